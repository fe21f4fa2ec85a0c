//! Pages to read: longer than the notes beside the code, and as much a part of the crate.

pub mod evidence {
    #![doc = include_str!("evidence.md")]
}

pub mod doubt {
    #![doc = include_str!("doubt.md")]
}

pub mod calibration {
    #![doc = include_str!("calibration.md")]
    #![doc = include_str!("calibration/total.md")]
    #![doc = include_str!("calibration/split.md")]
    #![doc = include_str!("calibration/looks.md")]
    #![doc = include_str!("calibration/pan.md")]
    #![doc = include_str!("calibration/gross.md")]
}
