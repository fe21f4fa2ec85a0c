//! The whole prediction, step by step.

use super::choices::{Scale, choices, pairs};
use super::design::{design, static_pa};
use super::expected::{Drawn, before_any_test};
use super::materials::materials;
use super::types::{Choice, Prediction, VariantOutlook};
use crate::allocate::{AllocateError, AllocateSettings, Status};
use crate::catalog::Catalog;
use crate::system::System;

/// Settings of a prediction.
#[derive(Debug, Clone)]
pub struct PredictSettings {
    /// Settings of the draws.
    pub draws: AllocateSettings,
    /// Draws behind each choice; default 400.
    pub choice_draws: usize,
    /// Choices that are solved anew; the others are left out as changing less. Default 12.
    pub choices: usize,
    /// Choices of which pairs are made; default 5. Fewer than 2 gives no pairs.
    pub in_pairs: usize,
}

impl Default for PredictSettings {
    fn default() -> Self {
        PredictSettings {
            draws: AllocateSettings::default(),
            choice_draws: 400,
            choices: 12,
            in_pairs: 5,
        }
    }
}

/// Says what a design will probably leak before any test, and what would change it most.
///
/// # Errors
/// As [`allocate`](crate::allocate::allocate).
pub fn predict(
    system: &System,
    catalog: &Catalog,
    settings: &PredictSettings,
) -> Result<Prediction, AllocateError> {
    let bare = before_any_test(system);
    let drawn = Drawn::new(&bare, &settings.draws)?;
    let few = AllocateSettings {
        draws: settings.choice_draws,
        prior_draws: 1,
        ..settings.draws.clone()
    };
    let in_few = Drawn::new(&bare, &few)?.outlook(&bare);
    let as_sketched = drawn.outlook(&bare);
    // What is summed up is kept; the draws themselves are many and go before others are made.
    let expected = drawn.expected(&bare, catalog);
    let scale = Scale {
        whole: &as_sketched,
        few: &in_few,
    };
    let seams = &expected.allocation.seams;
    let singles = choices(&bare, catalog, &few, seams, scale, settings.choices)?;
    let pairs = pairs(&bare, catalog, &few, scale, &singles, settings.in_pairs)?;
    let variants = bare
        .variants
        .iter()
        .map(|variant| {
            let built = bare.built_otherwise(catalog, &variant.changes);
            let drawn = Drawn::new(&built, &settings.draws)?;
            Ok(VariantOutlook {
                id: variant.id.clone(),
                after: drawn.outlook(&built),
                static_pa: static_pa(&built),
            })
        })
        .collect::<Result<Vec<VariantOutlook>, AllocateError>>()?;
    let choices: Vec<Choice> = singles.into_iter().map(|single| single.choice).collect();
    let design = design(&bare);
    let mut doubts = match &expected.allocation.status {
        Status::Converged => Vec::new(),
        Status::Doubtful { reasons } => reasons.clone(),
    };
    let unsolved: usize = std::iter::once(&in_few)
        .chain(choices.iter().chain(&pairs).map(|choice| &choice.after))
        .chain(variants.iter().map(|variant| &variant.after))
        .map(|outlook| outlook.unsolved)
        .sum();
    if unsolved > 0 {
        doubts.push(format!(
            "{unsolved} draws of choices or variants could not be solved and are left out"
        ));
    }
    match &design {
        Some(design) if design.doubt.is_empty() => {}
        Some(design) => doubts.push(design.doubt.clone()),
        None => doubts.push("the running design could not be solved".to_owned()),
    }
    Ok(Prediction {
        expected,
        choice_draws: settings.choice_draws,
        as_sketched,
        base: in_few,
        choices,
        pairs,
        variants,
        design,
        materials: materials(&bare),
        doubts,
    })
}
