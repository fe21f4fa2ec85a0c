//! The front end as it is sent: its files joined.

use super::front::{PAGE, SCRIPTS, STYLES};

/// The page itself.
pub fn page() -> &'static str {
    PAGE
}

/// All scripts as one, with the one global that they share.
pub fn script() -> String {
    format!("'use strict';\nvar ds = {{}};\n{}", SCRIPTS.join("\n"))
}

/// All style sheets as one.
pub fn style() -> String {
    STYLES.join("\n")
}
