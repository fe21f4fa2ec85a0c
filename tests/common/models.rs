//! Models of the repository, read and built.

use ductseam::catalog::Catalog;
use ductseam::system::System;
use ductseam::{sketch, system};

/// A model by its name.
pub fn model(name: &str) -> System {
    let file = format!("{}/models/{name}.yaml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&file).expect("model is there");
    let read = sketch::read(&text, &file).expect("model is sound");
    system::build(&read, &text, &file, Catalog::builtin()).expect("model is sound")
}
