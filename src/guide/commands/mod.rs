//! A page for every command: what it answers, when to use it, an example that runs, how to read the answer.
//!
//! | command | answers |
//! |---|---|
//! | [`new`] | a sketch to start from |
//! | [`check`] | what was understood |
//! | [`flow`] | pressures and flows, before any reading |
//! | [`allocate`] | where it probably leaks |
//! | [`predict`] | what a design will leak |
//! | [`compare`] | does it all go together |
//! | [`joints`] | which joint types leak most |
//! | [`exercise`] | a house with holes only the answer file knows |
//! | [`next`] | what to look at or test next |
//! | [`plan`] | what to seal |
//! | [`effects`] | what sealing does to rooms, house and bill |
//! | [`prove`] | what was achieved |
//! | [`limits`] | is it too much |
//! | [`catalog`] | every figure with its source |
//! | [`draw`] | the ducts to scale |
//! | [`report`] | one page for everybody |
//! | [`page`] | draw in the browser |
//! | [`batch`] | many systems, and what their crews do |
//! | [`schema`] | the vocabulary, for editors |
//! | [`completions`] | what a shell needs |
//! | [`manual`] | man pages |
//!
//! Exit codes are the same everywhere: 0 answered, 1 answered but doubtful, out of reach or stopped by a caution, 2 wrong
//! input. The answer goes to standard output, talk to standard error. The same input gives the same bytes, on any number
//! of threads.

pub mod new {
    #![doc = include_str!("new.md")]
}

pub mod check {
    #![doc = include_str!("check.md")]
}

pub mod flow {
    #![doc = include_str!("flow.md")]
}

pub mod allocate {
    #![doc = include_str!("allocate.md")]
}

pub mod predict {
    #![doc = include_str!("predict.md")]
}

pub mod compare {
    #![doc = include_str!("compare.md")]
}

pub mod joints {
    #![doc = include_str!("joints.md")]
}

pub mod exercise {
    #![doc = include_str!("exercise.md")]
}

pub mod next {
    #![doc = include_str!("next.md")]
}

pub mod plan {
    #![doc = include_str!("plan.md")]
}

pub mod effects {
    #![doc = include_str!("effects.md")]
}

pub mod prove {
    #![doc = include_str!("prove.md")]
}

pub mod limits {
    #![doc = include_str!("limits.md")]
}

pub mod catalog {
    #![doc = include_str!("catalog.md")]
}

pub mod draw {
    #![doc = include_str!("draw.md")]
}

pub mod report {
    #![doc = include_str!("report.md")]
}

pub mod page {
    #![doc = include_str!("page.md")]
}

pub mod schema {
    #![doc = include_str!("schema.md")]
}

pub mod batch {
    #![doc = include_str!("batch.md")]
}

pub mod completions {
    #![doc = include_str!("completions.md")]
}

pub mod manual {
    #![doc = include_str!("manual.md")]
}
