//! The drawing board's local home: a server for one person on this machine, the sketch on disk, and the child processes that
//! compute.
//!
//! It knows neither mathematics nor the form of a sketch: every question goes to [`crate::board::call`] in a child process, so
//! that a computation that is no longer wanted can be ended and one that fails takes nothing with it.

mod ask;
mod assets;
mod front;
mod guard;
mod journal;
mod one_file;
mod photo;
mod rate;
mod reply;
mod routes;
mod server;
mod store;
mod trouble;
mod watch;
mod work;
mod workers;

pub use one_file::one_file;
pub use server::{Address, Serve, router, serve};
pub use store::Store;
pub use trouble::Trouble;
pub use work::work;
