//! The equations, with symbols, units and sources, as the code has them.
//!
//! Every figure carries its source: published, common practice, from memory, or engineering estimate. The names in
//! brackets lead to the code that computes.
//!
//! | page | holds |
//! |---|---|
//! | [`seams`] | one seam, one duct: the laws of air |
//! | [`network`] | the network: one solution |
//! | [`belief`] | prior, readings, looks, draws, the next reading's worth |
//! | [`sealing`] | what sealing leaves, the plan, the proof |
//! | [`effects`] | rooms, house, energy |
//! | [`limits`] | series, classes, limits |

pub mod seams {
    #![doc = include_str!("seams.md")]
}

pub mod network {
    #![doc = include_str!("network.md")]
}

pub mod belief {
    #![doc = include_str!("belief.md")]
}

pub mod sealing {
    #![doc = include_str!("sealing.md")]
}

pub mod effects {
    #![doc = include_str!("effects.md")]
}

pub mod limits {
    #![doc = include_str!("limits.md")]
}
