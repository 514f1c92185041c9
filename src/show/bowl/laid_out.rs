//! A bowl that was laid out.

use std::io::{self, Write};
use std::path::Path;

use crate::bowl::along_mold;
use crate::bowl::layout::LaidOut;
use crate::job::Job;
use crate::job::bowl::JOINTS;
use crate::joint::Joint;
use crate::seat::wood::UNTOLD;
use crate::show::names::next_command;
use crate::show::wrap::paragraph;

/// Writes what was laid out and what comes next.
///
/// # Errors
///
/// Those of the stream.
pub fn laid_out_text(laid: &LaidOut, folder: &Path, out: &mut impl Write) -> io::Result<()> {
    let s = &laid.settings;
    let say = |mm: f64| s.unit.say(mm);
    let (half, at) = laid.shape.outline.widest();
    let widest = laid.joints.iter().flat_map(arcs).fold(0.0, f64::max);
    let [from, to] = laid.shape.outline.ends();
    let text = format!(
        "Laid out a bowl of {} ribs in {}: {} long, {} wide at {} from the neck end, {} deep; {} joints with {} stations \
         each.",
        s.ribs,
        folder.display(),
        say(to - from),
        say(2.0 * half),
        say(at - from),
        say(laid.shape.ratio * half),
        laid.joints.len(),
        s.stations.len()
    );
    paragraph(out, "", &text)?;
    let bevels = laid.joints.iter().flat_map(|j| &j.stations).map(|s| s.bevel.in_degrees());
    let (low, high) = bevels.fold((f64::MAX, f64::MIN), |(l, h), b| (l.min(b), h.max(b)));
    let text = format!(
        "A rib is {} wide at its widest, along the mold{}; bevels run from {low:.1} to {high:.1} degrees. A joint is {} long between its end stations, which stand {} inside the ends.",
        say(widest),
        if s.spacer.is_some() { ", spacers taken off" } else { "" },
        laid.joints.first().map_or_else(String::new, |j| say(Joint::of(j).arc_length())),
        say(0.03 * (to - from))
    );
    paragraph(out, "", &text)?;
    if let Some(words) = slanting(laid) {
        paragraph(out, "", &words)?;
    }
    let text = "This is the regular shape; a real mold differs. Where you measure other widths, rises or bevels, write \
                them into the joints' stations.csv.";
    paragraph(out, "", text)?;
    if let Some(words) = laid.joints.first().and_then(taken_as_given) {
        paragraph(out, "", &words)?;
    }
    if s.wood.is_none() {
        paragraph(
            out,
            "",
            &format!("No wood is named, so {UNTOLD} can't be told; fitting needs none of that."),
        )?;
    }
    writeln!(out)?;
    let next = "Next: mark the stations on the mold, and read the whole girth from rim to rim at each of them. Then fit \
                rib 1, set rib 2 in its place, and read the joint:";
    paragraph(out, "", next)?;
    writeln!(out, "  {}", next_command("divide --enter", folder))?;
    writeln!(out, "  {}", next_command("enter", &folder.join(JOINTS).join("01")))
}

/// Bevels beyond these, degrees, are explained: below zero no round bowl has any, and few have more.
const USUAL: std::ops::RangeInclusive<f64> = 0.0..=20.0;

/// What bevels mean that no round bowl has, and at how many joints.
fn slanting(laid: &LaidOut) -> Option<String> {
    let slants = |j: &&Job| j.stations.iter().any(|s| !USUAL.contains(&s.bevel.in_degrees()));
    let count = laid.joints.iter().filter(slants).count();
    (laid.shape.ratio != 1.0 && count > 0).then(|| {
        format!(
            "A bevel is positive where the rib falls inwards from the joint to its outer edge, negative where it \
             rises. This bowl is no round one, and its joints' planes all run through its axis: so they meet the \
             ribs aslant near the rims, and at {count} of {} joints bevels lie outside 0 to 20 degrees. Hold a bevel \
             gauge to the mold there before you plane.",
            laid.joints.len()
        )
    })
}

/// What the advice reckons with at every joint, and where that is to be changed.
fn taken_as_given(job: &Job) -> Option<String> {
    let plane = job.planes.first()?;
    Some(format!(
        "Every joint is set for a plane with a sole of {} that takes shavings of {}, and for {} at most to come off the \
         rib; the advice plans with these. Where your plane differs, change that in bowl.toml, once for all joints; the spare \
         width stands in the joint.toml of every joint.",
        job.unit.say(plane.sole),
        job.unit.say(plane.shaving),
        job.unit.say(job.spare?)
    ))
}

fn arcs(job: &Job) -> Vec<f64> {
    let frames = Joint::of(job).frames;
    job.stations.iter().zip(&frames).map(|(s, f)| along_mold(s.width, f.across_curvature)).collect()
}
