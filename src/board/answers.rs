//! Shares, next looks and a plan for a sketch, as the commands answer them.

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use super::refused::Refused;
use crate::allocate::{self, AllocateSettings, NextAsk, Posterior};
use crate::catalog::Catalog;
use crate::effects::{self, USUAL_DRAFT_LIMIT};
use crate::quantity::{Duration, Pressure};
use crate::report::{allocation_json, cautions, check_json, next_json, plan_json};
use crate::seal::{self, Left, PlanAsk};
use crate::sketch;
use crate::system::{self, System};

/// Fewest and most draws that a page may ask for; the fewest are those of the commands.
const DRAWS: std::ops::RangeInclusive<usize> = 500..=20_000;
/// Most draws behind the gains of next looks; their work grows with the square.
const MOST_NEXT_DRAWS: usize = 2000;
/// Longest time at hand, minutes: more is a slip of the pen.
const MOST_MINUTES: f64 = 60_000.0;
/// Pairs of draws from which the pressure round appliances is told, as the command takes them.
const PAIRS: usize = 120;

/// What is wanted beside the sketch.
#[derive(Debug, Clone, Deserialize)]
#[serde(default)]
pub(super) struct Wanted {
    pub draws: usize,
    pub seed: u64,
    /// Time at hand for sealing; no plan without.
    pub time: Option<String>,
    /// Whether the next looks are wanted.
    pub next: bool,
    /// Draws behind the gains of the next looks; the command's if not said.
    pub next_draws: Option<usize>,
}

impl Default for Wanted {
    fn default() -> Self {
        let usual = AllocateSettings::default();
        Wanted {
            draws: usual.draws,
            seed: usual.seed,
            time: None,
            next: false,
            next_draws: None,
        }
    }
}

/// The answers; each JSON is that of the command.
#[derive(Debug, Serialize)]
pub(super) struct Answers {
    pub draws: usize,
    pub seed: u64,
    pub allocation: Box<RawValue>,
    pub next: Option<Box<RawValue>>,
    pub plan: Option<Box<RawValue>>,
    /// What forbids the work; stands before any advice.
    pub stop: Vec<String>,
    pub cautions: Vec<String>,
}

/// Answers a sketch from one set of draws.
pub(super) fn answers(text: &str, wanted: &Wanted) -> Result<Answers, Refused> {
    let system = read(text)?;
    let settings = settings(&system, wanted)?;
    let minutes = wanted.time.as_deref().map(minutes).transpose()?;
    let looks = NextAsk {
        draws: wanted.next_draws.map(|draws| draws.min(MOST_NEXT_DRAWS)),
        ..NextAsk::default()
    };
    let (posterior, next) = if wanted.next {
        let (posterior, next) =
            allocate::posterior_and_next(&system, &settings, &looks).map_err(|e| refused(&e))?;
        (posterior, Some(next))
    } else {
        let posterior = allocate::posterior(&system, &settings).map_err(|e| refused(&e))?;
        (posterior, None)
    };
    let said = cautions(&system);
    let mut stop: Vec<String> = said
        .iter()
        .filter(|c| c.stop)
        .map(|c| c.text.clone())
        .collect();
    let plan = minutes
        .map(|minutes| planned(&system, &settings, &posterior, minutes))
        .transpose()?;
    if let Some(plan) = &plan {
        for why in plan.stopped.iter().chain(&plan.halted) {
            if !stop.contains(why) {
                stop.push(why.clone());
            }
        }
    }
    Ok(Answers {
        draws: settings.draws,
        seed: settings.seed,
        allocation: raw(allocation_json(&system, &posterior.allocation, None))?,
        next: next
            .map(|next| raw(next_json(&system, &next)))
            .transpose()?,
        plan: plan
            .map(|plan| raw(plan_json(&system, &plan)))
            .transpose()?,
        stop,
        cautions: said
            .into_iter()
            .filter(|c| !c.stop)
            .map(|c| c.text)
            .collect(),
    })
}

/// What a command writes as JSON, byte for byte.
pub(super) fn print(text: &str, what: &str, wanted: &Wanted) -> Result<String, Refused> {
    let system = read(text)?;
    match what {
        "check" => Ok(check_json(&system)),
        "allocate" => {
            let settings = settings(&system, wanted)?;
            let allocation = allocate::allocate(&system, &settings).map_err(|e| refused(&e))?;
            Ok(allocation_json(&system, &allocation, None))
        }
        _ => Err(Refused::new(
            format!("`{what}` cannot be printed here"),
            "`allocate` and `check` can",
        )),
    }
}

fn read(text: &str) -> Result<System, Refused> {
    let wrong = |found: sketch::Diagnostics| {
        let hint = found.items.first().and_then(|item| item.hint.clone());
        Refused {
            title: found.to_string(),
            hint,
        }
    };
    let sketch = sketch::read(text, "the sketch").map_err(wrong)?;
    system::build(&sketch, text, "the sketch", Catalog::builtin()).map_err(wrong)
}

fn settings(system: &System, wanted: &Wanted) -> Result<AllocateSettings, Refused> {
    if !DRAWS.contains(&wanted.draws) {
        return Err(Refused::new(
            format!("{} draws cannot be made here", wanted.draws),
            "ask for 500 to 20000",
        ));
    }
    Ok(AllocateSettings {
        draws: wanted.draws,
        seed: wanted.seed,
        ..AllocateSettings::default()
    }
    .with_beliefs(&system.beliefs))
}

fn minutes(said: &str) -> Result<f64, Refused> {
    let time: Duration = said.parse().map_err(|error| {
        Refused::new(
            format!("the time for the plan cannot be read: {error}"),
            "write for instance `3 h` or `90 min`",
        )
    })?;
    let minutes = time.to_minutes();
    if !(minutes > 0.0 && minutes <= MOST_MINUTES) {
        return Err(Refused::new(
            format!("`{said}` is no time for a plan"),
            "write for instance `3 h`, up to 1000 h",
        ));
    }
    Ok(minutes)
}

fn planned(
    system: &System,
    settings: &AllocateSettings,
    posterior: &Posterior,
    minutes: f64,
) -> Result<seal::Plan, Refused> {
    let not_sealed =
        |error: seal::SealError| Refused::bare(format!("nothing can be planned: {error}"));
    let left = Left::new(system, posterior, settings.seed).map_err(not_sealed)?;
    let ask = PlanAsk {
        minutes: Some(minutes),
        frontier: 0,
        ..PlanAsk::default()
    };
    let mut plan = seal::plan(&left, &ask).map_err(not_sealed)?;
    if !plan.steps.is_empty() {
        let sealed: Vec<(usize, usize)> = plan.steps.iter().map(|s| (s.seam, s.method)).collect();
        let limit: Pressure = USUAL_DRAFT_LIMIT
            .parse()
            .map_err(|error| Refused::bare(format!("the draft limit: {error}")))?;
        let pairs = left.pairs(&sealed, PAIRS);
        plan.halted = effects::draft_stop(system, &pairs, USUAL_DRAFT_LIMIT, limit.si().abs());
    }
    Ok(plan)
}

fn refused(error: &allocate::AllocateError) -> Refused {
    let hint = error.hint().map(|hint| hint.to_string());
    Refused {
        title: error.to_string(),
        hint,
    }
}

/// JSON on one line, as a reply is one: strings of JSON hold no line ends of their own, so a line begins between values.
fn raw(json: String) -> Result<Box<RawValue>, Refused> {
    RawValue::from_string(json.lines().map(str::trim_start).collect())
        .map_err(|error| Refused::bare(format!("an answer is no JSON: {error}")))
}
