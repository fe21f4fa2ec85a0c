//! `plan`, `effects` and `prove`: read a sketch, compute, answer, say what is doubtful.

use super::answers::{Asked, ended, refused};
use super::args::{BasisWord, EffectsWords, Format, PlanWords, ProveWords, SealWords};
use super::commands::units;
use super::files;
use super::flow::refuse;
use super::{Ended, Refused};
use crate::allocate::{self, AllocateSettings, Posterior};
use crate::effects::{self, EffectsSettings};
use crate::quantity::{Area, Duration, Flow, Fraction, Money, Pressure, QuantityError};
use crate::report::{
    EffectsTextSettings, PlanTextSettings, ProveTextSettings, effects_csv, effects_json,
    effects_text, paragraph, plan_csv, plan_json, plan_text, prove_csv, prove_json, prove_text,
    work_list_csv, work_list_text,
};
use crate::seal::{self, Basis, BeforeAfter, Left, Plan, PlanAsk, SealError};
use crate::system::System;

/// Longest time at hand, h: more is a slip of the pen.
const MOST_HOURS: f64 = 1000.0;
/// Largest target, m³/s: more is a slip of the pen.
const MOST_TARGET_M3_S: f64 = 100.0;
/// The area that limits are usually by.
const HUNDRED_FT2: &str = "100 ft2";

/// Draws before and after that effects are taken from.
const PAIRS: usize = 120;

/// A plan with its draws before and after.
pub struct Planned {
    pub system: System,
    pub plan: Plan,
    pub pairs: BeforeAfter,
}

/// Plans with the words that `plan`, `effects` and `draw` share.
pub fn planned(asked: &Asked<'_>, words: &SealWords, frontier: bool) -> Result<Planned, Refused> {
    draft_limit_pa(words)?;
    let (system, settings) = asked.read()?;
    let posterior = allocate::posterior(&system, &settings).map_err(|e| refused(&e))?;
    planned_from(system, &settings, words, frontier, &posterior)
}

/// Plans from draws at hand; `system` comes back with what the words say of the crew.
pub fn planned_from(
    mut system: System,
    settings: &AllocateSettings,
    words: &SealWords,
    frontier: bool,
    posterior: &Posterior,
) -> Result<Planned, Refused> {
    let limit_pa = draft_limit_pa(words)?;
    system.crew.from_inside |= words.from_inside;
    let mut ask = ask(&system, words)?;
    if !frontier {
        ask.frontier = 0;
    }
    let left = Left::new(&system, posterior, settings.seed).map_err(|e| not_sealed(&e))?;
    let mut plan = seal::plan(&left, &ask).map_err(|e| not_sealed(&e))?;
    let sealed: Vec<(usize, usize)> = plan.steps.iter().map(|s| (s.seam, s.method)).collect();
    let pairs = left.pairs(&sealed, PAIRS);
    if !plan.steps.is_empty() {
        plan.halted = effects::draft_stop(&system, &pairs, &words.draft_limit, limit_pa);
    }
    Ok(Planned {
        system,
        plan,
        pairs,
    })
}

/// Depressurisation past which the work stops, Pa, positive.
fn draft_limit_pa(words: &SealWords) -> Result<f64, Refused> {
    let limit: Pressure = read("--draft-limit", &words.draft_limit)?;
    within(
        "--draft-limit",
        &words.draft_limit,
        limit.to_pa(),
        100.0,
        "Pa",
    )?;
    Ok(limit.to_pa().abs())
}

/// Chooses what to seal.
pub fn plan(asked: &Asked<'_>, words: &PlanWords) -> Result<Ended, Refused> {
    if words.work_list && asked.format == Format::Json {
        return Err(Refused(
            "error: `--work-list` is text or a table\nhint: use `--format csv`, or leave `--work-list` out: the JSON answer \
             holds every step\n"
                .to_owned(),
        ));
    }
    let Planned { system, plan, .. } = planned(asked, &words.seal, !words.work_list)?;
    let shown = units(asked.show, &system);
    let text = match (asked.format, words.work_list) {
        (Format::Csv, true) => work_list_csv(&system, &plan, shown),
        (_, true) => work_list_text(&system, &plan, shown),
        (Format::Text, false) => plan_text(
            &system,
            &plan,
            PlanTextSettings {
                units: shown,
                rows: words.rows,
            },
        ),
        (Format::Json, false) => plan_json(&system, &plan),
        (Format::Csv, false) => plan_csv(&system, &plan),
    };
    files::answer(&text, asked.show.output.as_deref())?;
    Ok(plan_ended(&plan))
}

/// What stands before the effects: what forbids the work, and which work it is.
fn said_first(plan: &Plan, work: &str) -> String {
    let stop = plan.stopped.as_ref().or(plan.halted.as_ref());
    let stop = stop.map_or_else(String::new, |why| paragraph("STOP: ", why) + "\n");
    stop + &paragraph("The work: ", work) + "\n"
}

/// Says on stderr what stands against a plan.
pub fn plan_ended(plan: &Plan) -> Ended {
    let end = ended(&plan.allocation);
    if let Some(why) = plan.stopped.as_ref().or(plan.halted.as_ref()) {
        files::talk(&format!("stopped: {why}\n"));
        return Ended::Doubtful;
    }
    let stands = plan.target_chance.is_some_and(|met| met >= plan.ask.chance);
    if plan.steps.is_empty()
        && !stands
        && plan.before_m3_s.mean > 1e-5
        && plan.out_of_reach.is_none()
    {
        files::talk("nothing in reach can be sealed with what is at hand\n");
        return Ended::Doubtful;
    }
    if plan.out_of_reach.is_some() {
        files::talk("out of reach: the target is not met with the chance asked for\n");
        return Ended::Doubtful;
    }
    end
}

/// Says what sealing would do.
pub fn effects(asked: &Asked<'_>, words: &EffectsWords) -> Result<Ended, Refused> {
    let Planned {
        system,
        plan,
        pairs,
    } = planned(asked, &words.seal, false)?;
    let found = effects::effects(&system, &pairs, &EffectsSettings::default())
        .map_err(|error| Refused(format!("error: {error}\nhint: {}\n", error.hint())))?;
    let shown = units(asked.show, &system);
    let work = if plan.steps.is_empty() {
        "nothing is sealed.".to_owned()
    } else {
        format!(
            "{} seams in {:.0} minutes, as `ductseam plan` with the same words chooses them.",
            plan.steps.len(),
            plan.minutes
        )
    };
    let text = match asked.format {
        Format::Text => {
            said_first(&plan, &work)
                + &effects_text(
                    &system,
                    &found,
                    EffectsTextSettings {
                        units: shown,
                        registers: words.registers,
                        defaults: words.defaults,
                    },
                )
        }
        Format::Json => effects_json(&system, &found),
        Format::Csv => effects_csv(&found),
    };
    files::answer(&text, asked.show.output.as_deref())?;
    Ok(plan_ended(&plan))
}

/// Proves what was achieved.
pub fn prove(asked: &Asked<'_>, words: &ProveWords) -> Result<Ended, Refused> {
    let (system, settings) = asked.read()?;
    let target = words
        .target
        .as_deref()
        .map(|said| target(&system, said))
        .transpose()?;
    let proof = seal::prove(&system, &settings, target).map_err(|e| not_sealed(&e))?;
    let text = match asked.format {
        Format::Text => prove_text(
            &system,
            &proof,
            ProveTextSettings {
                units: units(asked.show, &system),
                rows: words.rows,
            },
        ),
        Format::Json => prove_json(&system, &proof),
        Format::Csv => prove_csv(&system, &proof),
    };
    files::answer(&text, asked.show.output.as_deref())?;
    let end = ended(&proof.after);
    if proof.target.is_some_and(|(_, met)| met < 0.5) {
        files::talk("the target is probably not met\n");
        return Ok(Ended::Doubtful);
    }
    Ok(end)
}

fn ask(system: &System, words: &SealWords) -> Result<PlanAsk, Refused> {
    let minutes = words
        .time
        .as_deref()
        .map(|said| {
            let time: Duration = read("--time", said)?;
            within("--time", said, time.to_hours(), MOST_HOURS, "h")?;
            Ok::<f64, Refused>(time.to_minutes())
        })
        .transpose()?;
    let money = words
        .money
        .as_deref()
        .map(|said| {
            let money: Money = read("--money", said)?;
            within("--money", said, money.si(), 1e9, "")?;
            Ok::<f64, Refused>(money.si())
        })
        .transpose()?;
    let chance: Fraction = read("--chance", &words.chance)?;
    if !(0.5..=0.999).contains(&chance.si()) {
        return Err(Refused(format!(
            "error: `--chance` needs a chance from 50 % to 99.9 %, found `{}`\nhint: 90 % is usual\n",
            words.chance
        )));
    }
    Ok(PlanAsk {
        minutes,
        money,
        target_m3_s: words
            .target
            .as_deref()
            .map(|said| target(system, said))
            .transpose()?,
        chance: chance.si(),
        basis: words.basis.into(),
        ..PlanAsk::default()
    })
}

/// `60 cfm`, `6 % of airflow`, `4 cfm per 100 ft2`.
pub fn target(system: &System, said: &str) -> Result<f64, Refused> {
    let flow = if let Some((part, of)) = said.split_once('%') {
        if of.trim() != "of airflow" {
            return Err(Refused(format!(
                "error: `--target`: a percent of what? found `{said}`\nhint: write `{}% of airflow`, or a flow like `60 cfm`\n",
                part
            )));
        }
        let Some((airflow, _)) = system.unit.airflow_m3_s else {
            return Err(Refused(
                "error: `--target` in percent of the airflow needs an airflow, and the sketch states none\nhint: say \
                 `airflow` under `air handler`, as in `airflow: 1200 cfm by plate at filter`\n"
                    .to_owned(),
            ));
        };
        let part: Fraction = read("--target", &format!("{} %", part.trim()))?;
        part.si() * airflow
    } else if let Some((flow, area)) = said.split_once(" per ") {
        let flow: Flow = read("--target", flow.trim())?;
        let area: Area = read("--target", area.trim())?;
        let Some(floor) = system.floor_area_m2 else {
            return Err(Refused(
                "error: `--target` by floor area needs the floor area, and the sketch states none\nhint: say `floor area` \
                 under `house`\n"
                    .to_owned(),
            ));
        };
        if area.si() <= 0.0 {
            return Err(Refused(format!(
                "error: `--target` by floor area needs an area above zero, found `{said}`\nhint: write `4 cfm per {HUNDRED_FT2}`\n"
            )));
        }
        flow.si() * floor / area.si()
    } else {
        read::<Flow>("--target", said)?.si()
    };
    if flow.is_finite() && (0.0..=MOST_TARGET_M3_S).contains(&flow) {
        Ok(flow)
    } else {
        Err(Refused(format!(
            "error: `--target` needs a flow from 0 to 100 m3/s, found `{said}`\nhint: write `60 cfm`, `6 % of airflow` or `4 \
             cfm per {HUNDRED_FT2}`\n"
        )))
    }
}

fn read<Q: std::str::FromStr<Err = QuantityError>>(option: &str, said: &str) -> Result<Q, Refused> {
    said.parse()
        .map_err(|error: QuantityError| refuse(option, &error))
}

fn within(option: &str, said: &str, value: f64, most: f64, unit: &str) -> Result<(), Refused> {
    if value.is_finite() && (0.0..=most).contains(&value) {
        return Ok(());
    }
    let unit = if unit.is_empty() {
        String::new()
    } else {
        format!(" {unit}")
    };
    Err(Refused(format!(
        "error: `{option}` needs a figure from 0 to {most}{unit}, found `{said}`\nhint: look at the figure and its unit\n"
    )))
}

pub fn not_sealed(error: &SealError) -> Refused {
    Refused::with_hint(error, error.hint())
}

impl From<BasisWord> for Basis {
    fn from(word: BasisWord) -> Self {
        match word {
            BasisWord::Total => Basis::Total,
            BasisWord::Outside => Basis::Outside,
            BasisWord::Running => Basis::Running,
        }
    }
}
