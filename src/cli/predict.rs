//! `predict`: read a sketch, draw before any test, answer.

use super::answers::{Asked, doubtful, refused};
use super::args::{Format, PredictWords};
use super::commands::{read_catalog, units};
use super::{Ended, Refused, files};
use crate::predict::{self, PredictSettings};
use crate::report::{PredictTextSettings, predict_csv, predict_json, predict_text};

/// Says what a design will probably leak.
pub fn predict(asked: &Asked<'_>, words: &PredictWords) -> Result<Ended, Refused> {
    let (system, draws) = asked.read()?;
    let catalog = read_catalog(asked.input.catalog.as_deref())?;
    let settings = PredictSettings {
        draws: crate::allocate::AllocateSettings {
            stage: None,
            ..draws
        },
        ..PredictSettings::default()
    };
    let found = predict::predict(&system, &catalog, &settings).map_err(|e| refused(&e))?;
    let text = match asked.format {
        Format::Text => predict_text(
            &system,
            &found,
            PredictTextSettings {
                units: units(asked.show, &system),
                rows: words.rows,
                materials: words.materials,
            },
        ),
        Format::Json => predict_json(&system, &found),
        Format::Csv => predict_csv(&system, &found),
    };
    files::answer(&text, asked.show.output.as_deref())?;
    Ok(doubtful(&found.doubts))
}
