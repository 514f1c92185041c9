//! What can hurt at this work, and who decides.

use maud::{Markup, html};

/// Reminders; from memory where no source is named.
pub(super) fn cautions() -> Markup {
    html! {
        section #cautions {
            h2 { "Cautions" }
            p { "Reminders only: local rules and licensed practice decide." }
            ul {
                li {
                    b { "Blades. " }
                    "On an upturned plane the iron is bare. Keep fingers off the edge, hold the rib with a push block, \
                    and retract or cover the iron when you leave the bench."
                }
                li {
                    b { "Bending irons " }
                    "burn skin and set fire to shavings. Switch them off, let them cool out of reach, keep them clear of dust."
                }
                li {
                    b { "Wood dust " }
                    "is carcinogenic to humans (IARC, Group 1, Monographs vol. 62 and 100C). NIOSH recommends at most \
                    1 mg/m³ over the working day. Extract it where it arises, and wear a mask while sanding and scraping."
                }
                li {
                    b { "This report " }
                    "is a calculation from readings. You hold the plane: if a stroke looks wrong, don't take it; read again."
                }
            }
        }
    }
}
