//! A cap on how often something is asked: a count within a sliding window.

use std::collections::VecDeque;
use std::time::{Duration, Instant};

/// Counts what came within the last `window` and refuses what is too much.
#[derive(Debug)]
pub struct Rate {
    most: usize,
    window: Duration,
    came: VecDeque<Instant>,
}

impl Rate {
    /// At most `most` within any `window`.
    pub fn new(most: usize, window: Duration) -> Rate {
        Rate {
            most,
            window,
            came: VecDeque::new(),
        }
    }

    /// Whether one more may come at `now`; what may is counted.
    pub fn may(&mut self, now: Instant) -> bool {
        while let Some(first) = self.came.front()
            && now.duration_since(*first) >= self.window
        {
            self.came.pop_front();
        }
        let may = self.came.len() < self.most;
        if may {
            self.came.push_back(now);
        }
        may
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_window_slides() {
        let start = Instant::now();
        let at = |ms| start + Duration::from_millis(ms);
        let mut rate = Rate::new(2, Duration::from_millis(100));
        assert!(rate.may(at(0)));
        assert!(rate.may(at(60)));
        assert!(!rate.may(at(99)));
        assert!(rate.may(at(100)));
        assert!(!rate.may(at(159)));
        assert!(rate.may(at(160)));
    }
}
