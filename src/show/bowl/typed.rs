//! What is asked for where figures of a bowl are typed, at the prompt and on the page.

/// How the girth is measured after so many ribs.
pub(crate) fn girth_asked(after: usize) -> String {
    match after {
        0 => "Girth along the mold at each station, from rim to rim.".to_owned(),
        1 => "Girth along the mold at each station, from the outer edge of rib 1 to the far rim.".to_owned(),
        _ => format!(
            "Girth along the mold at each station, from the outer edge of rib {after} to the far rim; {after} ribs \
             are in their places."
        ),
    }
}

/// What is measured for the outer edge.
pub(crate) const MARKS_ASKED: &str = "Compass: from a reference line on the rib to the line on the mold. Edge: from \
    the reference line to the present outer edge. Reference: from the joint edge to the reference line, 0 where the \
    joint edge itself is the reference.";

/// Said where too little was measured.
pub(crate) const TOO_FEW: &str = "Figures at fewer than three stations determine no line: nothing was saved. Next: \
    measure at three stations at least, better at all";
