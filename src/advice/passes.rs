//! How the rib lies now and after each advised stroke.

use crate::seat::{self, Leverage, Seated};

use super::answer::Advice;
use super::words::TRIED;
use super::work::Working;

/// The rib of the best estimate, pushed home as it is now and anew after each
/// stroke of the advice, with `between` poses on the way to each: there the
/// stroke has taken that much of its wood. One entry, then `between + 1` a stroke.
///
/// Empty where the rib can't be seated, which finite readings never cause.
pub fn passes(advice: &Advice, w: &Working, between: usize) -> Vec<Seated> {
    let Ok(now) = Seated::new(&w.joint, w.fit.edge.clone(), w.fit.spring.clone(), w.now.pose) else {
        return Vec::new();
    };
    let mut all = vec![now];
    let mut before = &w.slice.height;
    for stroke in &advice.strokes {
        for k in 1..=between + 1 {
            let part = k as f64 / (between + 1) as f64;
            // Heights over the surface aimed at lie one constant shape from the edge.
            let height = before.iter().zip(&stroke.edge_after).map(|(b, a)| b + part * (a - b));
            let gone = w.slice.height.iter().zip(height).map(|(first, now)| first - now);
            let edge = w.fit.edge.iter().zip(gone).map(|(e, g)| e - g).collect();
            let next = all.last().and_then(|last| last.planed(&w.joint, edge).ok());
            all.extend(next);
        }
        before = &stroke.edge_after;
    }
    all
}

/// The rib of the best estimate with the whole least-wood slice off, pushed home.
pub fn sliced(w: &Working) -> Option<Seated> {
    let edge = w.fit.edge.iter().zip(&w.slice.remove).map(|(e, r)| e - r).collect();
    Seated::new(&w.joint, edge, w.fit.spring.clone(), w.slice.pose).ok()
}

/// What a tenth of a millimetre off each bearing of the rib, as it lies now, does elsewhere.
///
/// Empty where the rib can't be seated, which finite readings never cause.
pub fn levers(w: &Working) -> Vec<Leverage> {
    seat::leverage(&w.joint, &w.fit.edge, &w.fit.spring, &w.now, TRIED).unwrap_or_default()
}
