//! Watching the sketch for changes from outside, such as an editor's.

use std::fs;
use std::sync::Arc;
use std::time::{Duration, SystemTime};

use tokio::task::spawn_blocking;

use super::server::Shared;

/// Between two looks.
const PAUSE: Duration = Duration::from_millis(500);
/// The content is compared at every so many looks even where time and size say nothing: clocks of disks can be coarse.
const WHOLE_LOOK: u32 = 10;

/// Compares the file with what is known of it, for ever.
///
/// A change is taken when it was seen the same twice, so that a file that is being written is not read half. A file that
/// cannot be read is left to the next save, which tells the person.
pub async fn keep_watch(shared: &Arc<Shared>) {
    let mut taken = None;
    let mut before = None;
    for look in 1_u32.. {
        tokio::time::sleep(PAUSE).await;
        let shared = Arc::clone(shared);
        let looked = spawn_blocking(move || {
            let path = shared.with_store(|store| store.path().to_path_buf());
            let seen = stamp(&path);
            let is_steady = seen == before;
            if is_steady && (seen != taken || look % WHOLE_LOOK == 0) {
                // What cannot be read now is told at the next save.
                let _ = shared.with_store(super::store::Store::refresh);
                return (seen, seen);
            }
            (seen, taken)
        });
        if let Ok((seen, now_taken)) = looked.await {
            before = seen;
            taken = now_taken;
        }
    }
}

/// What tells a file from what it was, without reading it.
fn stamp(path: &std::path::Path) -> Option<(SystemTime, u64)> {
    let found = fs::metadata(path).ok()?;
    Some((found.modified().ok()?, found.len()))
}
