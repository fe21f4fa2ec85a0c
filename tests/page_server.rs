//! The drawing board's server, spoken to from outside: who is let in, what is on disk when, and what becomes of its children.
#![cfg(all(feature = "page", unix))]

#[path = "common/board_server.rs"]
mod board_server;
#[path = "page_server/disk.rs"]
mod disk;
#[path = "page_server/guarded.rs"]
mod guarded;
#[path = "page_server/picture.rs"]
mod picture;
#[path = "page_server/saving.rs"]
mod saving;
#[path = "page_server/started.rs"]
mod started;
#[path = "page_server/working.rs"]
mod working;
