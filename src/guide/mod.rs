//! Pages to read: longer than the notes beside the code, and as much a part of the crate.
//!
//! | you are | read first | then |
//! |---|---|---|
//! | new here | [`tutorial`] | [`commands`], [`glossary`] |
//! | a technician with a test fan | [`tutorial`], [`evidence`] | [`commands::allocate`], [`commands::next`], [`commands::plan`], [`commands::prove`], [`troubleshooting`] |
//! | a designer | [`commands::predict`], [`files`] | [`commands::flow`], [`commands::draw`], [`theory`] |
//! | an inspector | [`commands::limits`], [`limits_of_validity`] | [`theory::limits`], [`commands::report`] |
//! | a trainer | [`commands::exercise`], [`commands::joints`] | [`evidence`], [`doubt`] |
//! | a builder of pipelines, a manager of many houses | [`commands::batch`], [`files`] | [`population`], [`commands::schema`], [`commands::catalog`] |
//! | somebody who doubts | [`doubt`], [`limits_of_validity`] | [`calibration`], [`theory`] |
//!
//! Every command line on these pages is run by the tests of this crate, and what is shown of its output is found in it. All
//! houses are invented.

pub mod commands;
pub mod theory;

pub mod tutorial {
    #![doc = include_str!("tutorial.md")]
}

pub mod evidence {
    #![doc = include_str!("evidence.md")]
}

pub mod doubt {
    #![doc = include_str!("doubt.md")]
}

pub mod limits_of_validity {
    #![doc = include_str!("limits_of_validity.md")]
}

pub mod files {
    #![doc = include_str!("files.md")]
}

pub mod troubleshooting {
    #![doc = include_str!("troubleshooting.md")]
}

pub mod glossary {
    #![doc = include_str!("glossary.md")]
}

pub mod calibration {
    #![doc = include_str!("calibration.md")]
    #![doc = include_str!("calibration/total.md")]
    #![doc = include_str!("calibration/split.md")]
    #![doc = include_str!("calibration/looks.md")]
    #![doc = include_str!("calibration/pan.md")]
    #![doc = include_str!("calibration/gross.md")]
}

pub mod population {
    #![doc = include_str!("population.md")]
}
