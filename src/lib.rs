//! **ribwright** turns the readings a maker takes at a rib's joint into the
//! strokes of a plane that close it.
//!
//! The bowl of an oud, a lute or a mandola is built of ribs, fitted one after
//! another on a mold. Each new rib meets its neighbour along a joint; its outer
//! edge must sit down on the mold. The maker sets the rib in place, reads
//! overlap, gap and lift at stations along the joint, planes, and reads again.
//!
//! # The story, in the order of the work
//!
//! 1. [`table`] takes files apart into cells, in every dialect of spreadsheets, and
//!    [`job`] makes a joint or a bowl of them, whole, or reports every problem at once.
//!    From here on lengths are millimetres, angles radians. What is added or written
//!    anew goes through [`record`].
//! 2. [`joint`] lays a smooth curve through the stations and says what a pose of
//!    the rib, six numbers, does to gap, seat and lift at each of them.
//! 3. [`fit`] takes the readings of all rounds together: the wood is the same in
//!    all of them but for what was planed off, the pose is each round's own.
//!    What past strokes took is replayed by the [`sole`].
//! 4. [`slice`](mod@slice) finds the least wood that closes the joint and brings
//!    the outer edge down, for the best estimate and for draws that agree with
//!    the readings.
//! 5. [`strokes`] tries whole shavings on all those draws and keeps what is safe.
//! 6. [`seat`] pushes the rib home, now and as it will lie after the strokes.
//! 7. [`bowl`] looks at all ribs together: how wide the next ones become, where their
//!    outer edges are marked, spacers and shims.
//! 8. [`advice`] decides: plane, stop, read again, or no answer; and says why.
//! 9. [`show`] tells people and programs; [`page`] is a local page for the bench,
//!    [`cli`] the program.
//!
//! [`practice`] closes the loop on joints whose wood is known, to judge all of
//! this. [`maths`] holds the tools that know nothing about wood. Each room says how
//! it does its part, and why so; `src/practice/MEASURED.md` says what was tried instead.
//!
//! # From a folder to an answer
//!
//! ```
//! use std::path::Path;
//!
//! use ribwright::advice::{self, Options, Verdict};
//! use ribwright::job;
//!
//! let job = job::read(Path::new("demo-readings/plain"))?;
//! let advice = advice::advise(&job, &Options::default());
//!
//! println!("{:?}: {}", advice.verdict, advice.reason);
//! for stroke in &advice.strokes {
//!     let [from, to] = [stroke.from, stroke.to].map(|i| &advice.stations[i].name);
//!     println!("{} from {from} to {to}, {} times", job.planes[stroke.plane].name, stroke.count);
//! }
//! assert_eq!(advice.verdict, Verdict::Plane);
//! # Ok::<(), job::Problems>(())
//! ```
//!
//! # Signs and units
//!
//! Right-handed frame: `x` along the chord of the joint line from the neck end to
//! the tail end, `z` in the joint plane outwards, `y` the joint plane's normal,
//! into the new rib. An overlap is wood past the joint line, positive; a gap is
//! the same number with the opposite sign. Lift and seat are clearances off the
//! mold, positive. A list of values at the stations has one entry a station, in
//! order along the joint; a number that does not exist is `None`.

#![deny(clippy::disallowed_methods)]
// What only the program calls says so; a browser loads nothing in vain.
#![cfg_attr(not(feature = "program"), deny(unused))]

pub mod advice;
pub mod bowl;
#[cfg(feature = "program")]
pub mod cli;
pub mod fit;
pub mod job;
pub mod joint;
pub mod json;
pub mod maths;
pub mod page;
pub mod practice;
pub mod record;
pub mod seat;
pub mod show;
pub mod slice;
pub mod sole;
pub mod store;
pub mod strokes;
pub mod table;
