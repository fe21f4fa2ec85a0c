//! A clock for the linear programs of the plan.
//!
//! The solver measures its time by the crate `web-time`, which in a browser asks the page for the clock through glue code.
//! The library for the web asks nobody for anything, and no plan is given a limit of time: this crate takes the other's place
//! (`[patch.crates-io]` of `Cargo.toml`) and, in WebAssembly, always says that no time has passed. Elsewhere it is the standard
//! library's clock, as `web-time` is.
#![forbid(unsafe_code)]

#[cfg(not(all(target_family = "wasm", target_os = "unknown")))]
pub use std::time::*;

#[cfg(all(target_family = "wasm", target_os = "unknown"))]
mod still {
    use std::ops::{Add, Sub};
    use std::time::Duration;

    /// A time since the beginning, which is always now.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub struct Instant(Duration);

    impl Instant {
        /// The beginning.
        #[must_use]
        pub fn now() -> Self {
            Instant(Duration::ZERO)
        }

        /// Time from an earlier instant to this; none if it is later.
        #[must_use]
        pub fn duration_since(&self, earlier: Instant) -> Duration {
            self.0.saturating_sub(earlier.0)
        }

        /// Time since this instant: none.
        #[must_use]
        pub fn elapsed(&self) -> Duration {
            Instant::now().duration_since(*self)
        }

        /// This much later, unless that is beyond all times.
        #[must_use]
        pub fn checked_add(&self, by: Duration) -> Option<Instant> {
            self.0.checked_add(by).map(Instant)
        }
    }

    impl Add<Duration> for Instant {
        type Output = Instant;

        fn add(self, by: Duration) -> Instant {
            Instant(self.0 + by)
        }
    }

    impl Sub for Instant {
        type Output = Duration;

        fn sub(self, earlier: Instant) -> Duration {
            self.duration_since(earlier)
        }
    }
}

#[cfg(all(target_family = "wasm", target_os = "unknown"))]
pub use still::Instant;
