//! The drawing board: what a page needs to show a sketch, to change it and to answer, as text in and text out.
//!
//! [`call`] is the one door: a JSON request to a JSON reply. It keeps nothing between calls, knows no file, no clock and no
//! socket, and so serves a program that answers a page and a page that holds the library itself alike.
//!
//! | `ask` | with | the reply has |
//! |---|---|---|
//! | `look` | `text` | `view`: everything that is drawn, faults in words with their places |
//! | `change` | `text`, `changes` | the new `text`, its `view`, where each change is (`at`) |
//! | `answers` | `text`, `draws`, `seed`, `time`, `next`, `next_draws` | `allocation`, `next`, `plan`, `stop`, `cautions` |
//! | `print` | `text`, `what` (`allocate`, `check`), `draws`, `seed` | `bytes`: what the command writes as JSON |
//! | `choices` | | the words to choose from |
//! | `blank` | `title`, `units` | `text` of a sketch without runs |
//! | `starter` | | `text` of a sketch to start from |
//!
//! Places are in metres, x east, y north, z up, the supply plenum at the origin. Indices of runs and steps count what
//! stands in the file, faulty ones included.

mod answers;
mod blank;
pub mod change;
mod door;
mod look;
mod mend;
mod place;
mod refused;
mod view;

#[cfg(test)]
mod tests;

pub use door::call;
pub use refused::Refused;
