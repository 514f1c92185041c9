//! The girth shared out.

use std::io::{self, Write};

use super::{station_table, titled, warnings_text};
use crate::advice::girth_due;
use crate::bowl::divide::{Division, OddGirth, OddWidth, Source, when};
use crate::job::bowl::Bowl;
use crate::job::{Unit, Warning};
use crate::json::{self, all_mm, mm, object};
use crate::show::grid::Grid;
use crate::show::units::{cell, plural};
use crate::show::wrap::paragraph;

/// Writes the division of a bowl's girth, at most 80 columns wide, lengths in its unit.
///
/// # Errors
///
/// Those of the stream.
pub fn division_text(
    bowl: &Bowl,
    division: &Division,
    symmetric: bool,
    out: &mut impl Write,
) -> io::Result<()> {
    let s = &bowl.settings;
    paragraph(out, "", &verdict(bowl, division))?;
    writeln!(out)?;
    let measured = match division.measured {
        true if division.fitted == 0 => "The whole girth was read, no rib is fitted".into(),
        true => format!("The girth was read {}", when(division.fitted)),
        false => "No girth was read yet: everything as laid out".into(),
    };
    let head =
        format!("{}{measured}. Lengths in {}, along the mold.", titled(s.title.as_deref()), plural(s.unit));
    paragraph(out, "", &head)?;
    table(bowl, division, out)?;
    paragraph(out, "", "free: a rib left may lie anywhere in there without the largest difference growing")?;
    ribs(bowl, division, symmetric, out)?;
    moved(bowl, division, out)?;
    warnings_text(&warnings(bowl, division), out)
}

/// What to do, how sure, and how it stands against the tolerance.
pub(crate) fn verdict(bowl: &Bowl, d: &Division) -> String {
    let s = &bowl.settings;
    let say = |mm: f64| s.unit.say(mm);
    let (at, worst) = d.worst();
    let station = &s.stations[at];
    let rib = d.fitted + 1;
    let what = match d.odd.is_empty() {
        true if !d.odd_widths.is_empty() => {
            "Measure again before you mark: a rib's width does not go with the girths.".into()
        }
        true if rib < s.ribs => format!("Make rib {rib} as wide as the column next says."),
        true => format!("Rib {rib} is the last: it takes what is left."),
        false => "Measure again before you mark: a girth does not go with the others.".into(),
    };
    let sd = d.sd.iter().copied().fold(0.0, f64::max);
    let sure = match d.measured {
        true => format!("each share is sure to {} (one standard uncertainty)", say(sd)),
        false => "nothing was measured yet".into(),
    };
    let held = if worst <= s.even { "within" } else { "beyond" };
    let made = d.ribs[..d.fitted].iter().map(|r| r.at[at]);
    let (low, high) = made.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), w| (l.min(w), h.max(w)));
    let already = if worst > s.even && high - low > s.even {
        " The ribs fitted differ by that already; no division can mend it."
    } else {
        ""
    };
    format!(
        "{what} All ribs then differ by {} at most (station {station}), {held} the tolerance of {}; {sure}.{already} The same division is least in squares and in the largest difference.",
        say(worst),
        say(s.even)
    )
}

fn table(bowl: &Bowl, d: &Division, out: &mut impl Write) -> io::Result<()> {
    let unit = bowl.settings.unit;
    let value = |v: f64| cell(Some(v), unit);
    let row = |i: usize| {
        let (planned, next) = (d.plan[i], d.next()[i]);
        vec![
            cell(d.read[i], unit),
            value(d.girth[i]),
            value(planned),
            value(next),
            signed(next - planned, unit),
            value(d.free[i][0]),
            value(d.free[i][1]),
            value(d.difference(i)),
        ]
    };
    let grid = Grid {
        groups: vec![(0, " girth left "), (5, " free ")],
        heads: vec!["read", "smoothed", "laid out", "next", "shared out", "from", "to", "differ"],
        rows: (0..d.girth.len()).map(row).collect(),
    };
    station_table(&bowl.settings.stations, &grid, out)
}

pub(super) fn signed(mm: f64, unit: Unit) -> String {
    let text = cell(Some(mm), unit);
    if mm > 0.0 && !text.trim_start_matches(['0', '.']).is_empty() { format!("+{text}") } else { text }
}

/// Every rib left, where they are not all alike.
fn ribs(bowl: &Bowl, d: &Division, symmetric: bool, out: &mut impl Write) -> io::Result<()> {
    if !symmetric || d.fitted == 0 {
        return Ok(());
    }
    writeln!(out, "\nSymmetric about the middle rib; widths of the ribs left:")?;
    let unit = bowl.settings.unit;
    let shown = |k: usize| d.ribs[k].at.iter().map(|w| cell(Some(*w), unit)).collect::<Vec<_>>();
    let left: Vec<(usize, Vec<String>)> = (d.fitted..d.ribs.len()).map(|k| (k + 1, shown(k))).collect();
    for alike in left.chunk_by(|a, b| a.1 == b.1) {
        let (from, to) = (alike[0].0, alike[alike.len() - 1].0);
        let ribs = if from == to { from.to_string() } else { format!("{from} to {to}") };
        let head = if from == to { "rib" } else { "ribs" };
        paragraph(out, &format!("{:14}", format!("{head} {ribs}:")), &alike[0].1.join("  "))?;
    }
    Ok(())
}

fn moved(bowl: &Bowl, d: &Division, out: &mut impl Write) -> io::Result<()> {
    let unit = bowl.settings.unit;
    let taken = d.take.iter().sum::<f64>() / d.take.len().max(1) as f64;
    if let Some(last) = d.moved.last() {
        let (low, high) = last.at.iter().fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
        let left = match bowl.settings.ribs - d.fitted {
            1 => "the last rib makes up for that".to_owned(),
            left => format!("the {left} ribs left share that out"),
        };
        let text = format!(
            "The outer edge of rib {} lies {} to {} past its line (towards the far rim; negative: short of it); {left}.",
            last.rib,
            signed(low, unit),
            signed(high, unit)
        );
        writeln!(out)?;
        paragraph(out, "", &text)?;
    }
    if taken.abs() > 0.005 {
        let text = format!(
            "So far a joint took {} beyond its spacer (glue, gaps); the joints left are reckoned with as much.",
            unit.say(taken)
        );
        paragraph(out, "", &text)?;
    }
    Ok(())
}

fn warnings(bowl: &Bowl, d: &Division) -> Vec<Warning> {
    let odd = d.odd.iter().map(|o| odd_girth(bowl, o));
    let plan = d.ribs[..d.fitted].iter().filter(|r| r.source == Source::Plan).count();
    let unmeasured = (plan > 0).then(|| {
        let text = format!(
            "Fitted ribs whose widths are taken as laid out, not measured: {plan}. Measure them in their places and \
             write them into widths.csv, or read the girth after every rib."
        );
        Warning::new("unmeasured-ribs", text)
    });
    // Behind the last rib none can be read any more.
    let due = !d.measured && girth_due(bowl).is_some();
    let none = due.then(|| {
        let text = "No girth was read. Lay a strip of paper along the mold from rim to rim at each station, and type its \
                    length with `ribwright divide --enter`; after each rib again from its outer edge.";
        Warning::new("no-girth", text)
    });
    let widths = d.odd_widths.iter().map(|o| odd_width(bowl, o));
    bowl.warnings.iter().cloned().chain(odd).chain(widths).chain(unmeasured).chain(none).collect()
}

fn odd_girth(bowl: &Bowl, odd: &OddGirth) -> Warning {
    let say = |mm: f64| bowl.settings.unit.say(mm);
    let text = format!(
        "The girth of {} at station {} {} does not go with the others, which say about {}. Measure it again \
         and correct girth.csv; until then it hardly counts.",
        say(odd.off.read),
        bowl.settings.stations[odd.off.station],
        when(odd.after),
        say(odd.off.expected)
    );
    Warning::new("odd-girth", text)
}

fn odd_width(bowl: &Bowl, odd: &OddWidth) -> Warning {
    let say = |mm: f64| bowl.settings.unit.say(mm);
    let text = format!(
        "Rib {} is measured {} wide at station {}, but the girths before and behind it leave about {}. Measure it again and \
         correct widths.csv, or girth.csv.",
        odd.rib,
        say(odd.off.read),
        bowl.settings.stations[odd.off.station],
        say(odd.off.expected)
    );
    Warning::new("odd-width", text)
}

/// The word for where a width comes from.
pub(super) fn source_word(source: Source) -> &'static str {
    match source {
        Source::Measured => "measured",
        Source::Girths => "girths",
        Source::Plan => "laid out",
        Source::Share => "share",
    }
}

/// The division as pretty-printed JSON, lengths in mm, without a newline at its end.
///
/// # Errors
///
/// Only if it cannot be written as JSON, which no valid division causes.
pub fn division_json(bowl: &Bowl, d: &Division, symmetric: bool) -> serde_json::Result<String> {
    let (at, worst) = d.worst();
    let settings = &bowl.settings;
    let station = |i: usize| {
        object! {
            station: &settings.stations[i],
            girth_read_mm: mm(d.read[i]),
            girth_mm: mm(d.girth[i]),
            laid_out_mm: mm(d.plan[i]),
            next_mm: mm(d.next()[i]),
            sd_mm: mm(d.sd[i]),
            joint_takes_mm: mm(d.take[i]),
            free_from_mm: mm(d.free[i][0]),
            free_to_mm: mm(d.free[i][1]),
            difference_mm: mm(d.difference(i)),
            spread_mm: mm(d.spread(i)),
        }
    };
    let ribs = d.ribs.iter().enumerate();
    let ribs = ribs.map(|(k, r)| object! { rib: k + 1, source: r.source, widths_mm: all_mm(&r.at) });
    let moved = d.moved.iter().map(|m| object! { rib: m.rib, past_its_line_mm: all_mm(&m.at) });
    json::answer(object! {
        fitted: d.fitted,
        ribs: settings.ribs,
        measured: d.measured,
        symmetric: symmetric,
        even_mm: mm(settings.even),
        difference_mm: mm(worst),
        worst_station: &settings.stations[at],
        within: worst <= settings.even,
        stations: (0..d.girth.len()).map(station).collect::<Vec<_>>(),
        widths: ribs.collect::<Vec<_>>(),
        moved: moved.collect::<Vec<_>>(),
        warnings: warnings(bowl, d),
    })
}
