//! Looks against the model.

use super::evidence::Evidence;
use super::record::Recorded;
use super::types::LookResult;
use super::weights;
use crate::system::{Seen, System};

/// A look that the model expects this seldom gets a note.
const SELDOM: f64 = 0.15;

/// One result a look, in the order of the sketch.
pub(crate) fn looks(
    system: &System,
    evidence: &Evidence,
    posterior: &Recorded,
    before: &Recorded,
) -> Vec<LookResult> {
    system
        .looks
        .iter()
        .zip(&evidence.look_laws)
        .map(|(look, outcome)| {
            let mean = |recorded: &Recorded| {
                let layout = recorded.layout;
                let mut values = Vec::new();
                let mut sum = 0.0;
                for &at in &outcome.looks {
                    recorded.column(layout.look(at), &mut values);
                    sum += weights::mean(&values, &recorded.weights);
                }
                for &at in &outcome.claims {
                    let claim = &evidence.looks.claims[at];
                    let values: Vec<f64> = recorded
                        .draws
                        .iter()
                        .map(|d| {
                            let open = d.case.open.has(claim.seam)
                                && claim.stage < evidence.prior.stages_open(claim.seam);
                            if open { claim.if_open } else { claim.if_not }
                        })
                        .collect();
                    sum += weights::mean(&values, &recorded.weights);
                }
                sum / (outcome.looks.len() + outcome.claims.len()).max(1) as f64
            };
            let weighed = !(outcome.looks.is_empty() && outcome.claims.is_empty());
            let agreement = if weighed { mean(posterior) } else { 0.0 };
            LookResult {
                words: look.words.clone(),
                seams: look.seams.clone(),
                weighed,
                agreement,
                prior_agreement: if weighed { mean(before) } else { 0.0 },
                note: if !weighed {
                    outcome.why_not.clone()
                } else if agreement < SELDOM && matches!(look.seen, Seen::Smoke(_)) {
                    "the model and the readings expect something else here: look again, and check that the joint is of the kind the sketch says"
                        .to_owned()
                } else {
                    String::new()
                },
            }
        })
        .collect()
}
