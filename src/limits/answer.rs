//! Everything together: which readings a sketch or a series holds, on which basis, and how they stand to the limits chosen.

use super::checks::baseline_warnings;
use super::contradictions::{cross_warnings, found_warnings, stage_warnings, stale_warnings};
use super::density::Density;
use super::forms::{Forms, forms};
use super::group::{Group, group};
use super::hold::hold;
use super::judge::{Judged, NotComparable};
use super::measured::{
    At25, AtPressure, Basis, How, USUAL_DUCT_EXPONENT, USUAL_EXPONENT_SD, at_25,
};
use super::series::{Fit, Point, SeriesError, fit_weighted};
use crate::catalog::{Catalog, Limit, Scope, Stage};
use crate::system::{System, TEST_PRESSURE_PA, Warning};

/// What is asked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Asked {
    /// Limits besides the sketch's own.
    pub limits: Vec<Limit>,
    /// Every built-in limit of the scope and stage of a reading too.
    pub all: bool,
    /// Stage of the test, in place of the record's.
    pub stage: Option<Stage>,
    /// Exponent in place of the usual one, for single readings.
    pub exponent: Option<f64>,
    /// A series in place of the sketch's readings of that scope, as the meter indicated it, ducts blown up.
    pub series: Option<(Scope, Vec<AtPressure>)>,
    /// Whether the meter corrects for the density of the air by itself, in place of the record's word.
    pub meter_corrects: Option<bool>,
}

/// Readings of one set-up, and what they come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Found<'c> {
    /// Ids of the readings.
    pub ids: Vec<String>,
    /// What they speak of.
    pub basis: Basis,
    /// Steps of sealing that were done.
    pub sealed_steps: usize,
    /// Whether the other side was held at the same pressure.
    pub guarded: bool,
    /// Whether the ducts were blown up and not pulled down.
    pub pressurise: bool,
    /// Whether the readings are of a series given beside the sketch.
    pub is_given: bool,
    /// The air of the test.
    pub air: Density,
    /// Flow at 1.204 kg/m³ over the flow that the meter indicated; 1 where it corrects by itself.
    pub meter_factor: f64,
    /// What was read, flows at 1.204 kg/m³.
    pub readings: Vec<AtPressure>,
    /// At 25 Pa and 1.204 kg/m³: what is judged and put in every form.
    pub at_25: Result<At25, SeriesError>,
    /// The same series weighed by its errors, for comparison.
    pub weighted: Option<Fit>,
    /// In every form; `None` where it cannot be brought to 25 Pa.
    pub forms: Option<Forms<'c>>,
}

/// A limit with a reading held against it.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// The limit.
    pub limit: Limit,
    /// Index in [`Answer::found`]; `None` where nothing of its scope was read.
    pub found: Option<usize>,
    /// What is held against it: a side's reading without the barrier's leak where that is known.
    pub flow: Option<At25>,
    /// The leak past the barrier that was taken off, m³/s at 25 Pa.
    pub barrier_m3_s: Option<f64>,
    /// How it stands.
    pub judged: Result<Judged, NotComparable>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer<'c> {
    /// Readings of the latest state, by scope.
    pub found: Vec<Found<'c>>,
    /// Readings from before later sealing; shown, not judged.
    pub earlier: Vec<Found<'c>>,
    /// Limits held against them: own ones first, in the order of the sketch.
    pub held: Vec<Held>,
    /// Exponent assumed for single readings, and whether the person gave it.
    pub exponent: (f64, bool),
    /// Whether the meter was taken to correct for the density of the air by itself.
    pub meter_corrects: bool,
    /// Whether that was said, by the record or by what was asked.
    pub meter_said: bool,
    /// Stage of the test.
    pub stage: Option<Stage>,
    /// Readings of the sketch in whose place a series given beside it stands.
    pub replaced: Vec<String>,
    /// Whether every built-in limit of what was read was asked for.
    pub all: bool,
    /// Readings that were left out, with why.
    pub left_out: Vec<String>,
    /// What makes the answer doubtful.
    pub warnings: Vec<Warning>,
}

impl Answer<'_> {
    /// Why the answer is doubtful or no answer; empty where it stands.
    #[must_use]
    pub fn doubts(&self) -> Vec<String> {
        let mut doubts = self.reading_doubts();
        if self.held.iter().all(|held| held.judged.is_err()) {
            doubts.push(self.nothing_judged());
        }
        doubts
    }

    /// Why a record of the readings is doubtful: as [`doubts`](Self::doubts), but it needs no limit.
    #[must_use]
    pub fn record_doubts(&self) -> Vec<String> {
        if self.held.is_empty() && !self.found.is_empty() {
            self.reading_doubts()
        } else {
            self.doubts()
        }
    }

    fn reading_doubts(&self) -> Vec<String> {
        let mut doubts: Vec<String> = self.warnings.iter().map(|w| w.text.clone()).collect();
        for found in &self.found {
            if let Err(error) = &found.at_25 {
                doubts.push(format!("`{}`: {error}; {}", found.ids[0], error.hint()));
            }
        }
        doubts
    }

    fn nothing_judged(&self) -> String {
        let why = if self.found.is_empty() {
            "no reading of the whole ducts, one side, or to outside is in the sketch: add one like `{id: test, total: 60 cfm \
             at 25 Pa}`"
        } else if self.held.is_empty() && self.all {
            return self.none_built_in();
        } else if self.held.is_empty() {
            "no limit was chosen: write `limits:` in the sketch, or use `--limit` or `--all`; `ductseam limits --list` shows \
             them"
        } else {
            "no limit could be held against a reading; the table says what is missing"
        };
        format!("nothing was judged: {why}")
    }

    /// Every built-in limit was asked for, and none is for what was read.
    fn none_built_in(&self) -> String {
        let mut scopes: Vec<&str> = self
            .found
            .iter()
            .map(|one| one.basis.scope.words())
            .collect();
        scopes.dedup();
        let is_side = |one: &Found<'_>| matches!(one.basis.scope, Scope::Supply | Scope::Return);
        let what = if self.found.iter().all(is_side) {
            "no built-in limit is for one side: read the total or the leakage to outside, or give a limit of your own like \
             `--limit \"supply 30 cfm\"`"
        } else if self.stage.is_none() {
            "most built-in limits are for one stage, and that of the test is not stated: write `record: {stage: final}` in \
             the sketch, or `--stage final`"
        } else {
            "no built-in limit is for that leakage at that stage: give one of your own, as `--limit \"60 cfm\"`"
        };
        format!(
            "nothing was judged: what was read is {}, and {what}",
            scopes.join(", ")
        )
    }
}

/// Holds the readings of a system, or a series, against limits.
#[must_use]
pub fn answer<'c>(system: &System, catalog: &'c Catalog, asked: &Asked) -> Answer<'c> {
    let stage = asked.stage.or(system.record.stage);
    let meter_corrects = asked.meter_corrects.unwrap_or(system.record.corrected);
    let n = asked.exponent.unwrap_or(USUAL_DUCT_EXPONENT);
    let (mut groups, left_out) = group(system, stage, asked.stage);
    for one in &mut groups {
        let factor = meter_factor(system, one.pressurise, meter_corrects);
        // The system has brought them there by what the record says.
        let done = meter_factor(system, one.pressurise, system.record.corrected);
        one.scale(factor / done);
    }
    let mut replaced = Vec::new();
    if let Some((scope, readings)) = &asked.series {
        let others = groups.iter().filter(|group| group.basis.scope == *scope);
        replaced = others
            .flat_map(|group| group.readings.iter().map(|reading| reading.id.clone()))
            .collect();
        groups.retain(|group| group.basis.scope != *scope);
        let mut series = Group {
            basis: Basis {
                scope: *scope,
                stage,
            },
            sealed_steps: system.sealing.len(),
            guarded: false,
            pressurise: true,
            is_given: true,
            readings: readings.clone(),
        };
        series.scale(meter_factor(system, true, meter_corrects));
        groups.push(series);
    }
    groups.sort_by_key(|group| group.basis.scope);
    let mut warnings = baseline_warnings(&system.record);
    let latest = |group: &Group| {
        groups
            .iter()
            .filter(|other| other.basis.scope == group.basis.scope)
            .all(|other| other.sealed_steps <= group.sealed_steps)
    };
    let (mut found, mut earlier) = (Vec::new(), Vec::new());
    for group in &groups {
        let is_latest = latest(group);
        let now = find(group, n, meter_corrects, system, catalog);
        if is_latest {
            warnings.extend(found_warnings(&now, n));
            found.push(now);
        } else {
            earlier.push(now);
        }
    }
    let all: Vec<&Found<'_>> = found.iter().chain(&earlier).collect();
    warnings.extend(cross_warnings(&all));
    warnings.extend(stale_warnings(&found));
    warnings.extend(stage_warnings(system, asked.stage));
    let held = hold(&found, system, catalog, asked);
    Answer {
        found,
        earlier,
        held,
        exponent: (n, asked.exponent.is_some()),
        meter_corrects,
        meter_said: asked.meter_corrects.is_some() || system.record.corrected_said,
        stage,
        replaced,
        all: asked.all,
        left_out,
        warnings,
    }
}

fn find<'c>(
    group: &Group,
    n: f64,
    meter_corrects: bool,
    system: &System,
    catalog: &'c Catalog,
) -> Found<'c> {
    let air = Density::of(system, group.basis.scope, group.pressurise);
    let at_25 = at_25(&group.readings, n, USUAL_EXPONENT_SD);
    let values = group.readings.iter().filter(|reading| !reading.is_bound);
    let points: Vec<Point> = values.map(|reading| reading.point).collect();
    let weighted = match &at_25 {
        Ok(at) if matches!(at.how(), How::Series(_)) => fit_weighted(&points).ok(),
        _ => None,
    };
    let forms = at_25
        .as_ref()
        .ok()
        .map(|at| forms(at, air.leak.density, system, catalog));
    Found {
        ids: group.readings.iter().map(|r| r.id.clone()).collect(),
        basis: group.basis,
        sealed_steps: group.sealed_steps,
        guarded: group.guarded,
        pressurise: group.pressurise,
        is_given: group.is_given,
        air,
        meter_factor: meter_factor(system, group.pressurise, meter_corrects),
        readings: group.readings.clone(),
        at_25,
        weighted,
        forms,
    }
}

/// Flow at 1.204 kg/m³ over the flow indicated.
fn meter_factor(system: &System, pressurise: bool, corrects: bool) -> f64 {
    if corrects {
        1.0
    } else {
        system.record.meter_factor(system.elevation_m, pressurise)
    }
}

impl Group {
    fn scale(&mut self, factor: f64) {
        // A factor of 1 leaves every bit as it was.
        for reading in &mut self.readings {
            *reading = reading.clone().scaled(factor);
        }
    }
}

impl Found<'_> {
    /// Whether the flow was moved by an exponent that was assumed.
    #[must_use]
    pub fn moved_by_assumption(&self) -> bool {
        let off = |pa: f64| (pa - TEST_PRESSURE_PA).abs() > super::AT_25_PA;
        match self.at_25.as_ref().map(At25::how) {
            Ok(How::OnePoint { pressure_pa }) => off(*pressure_pa),
            Ok(How::Repeats {
                least_pa, most_pa, ..
            }) => off(*least_pa) || off(*most_pa),
            _ => false,
        }
    }

    /// The actual volume through the leaks at 25 Pa, and the flow at reference air, m³/s; `None` where the air of the leaks
    /// is not known.
    #[must_use]
    pub fn by_air(&self) -> Option<(f64, f64)> {
        let at = self.at_25.as_ref().ok()?;
        let flow = at.flow_m3_s();
        let reference = self.air.to_reference(at.exponent().0)?;
        Some((flow * self.air.to_leaks()?, flow * reference))
    }

    /// Whether a side was read with the other open, so that the barrier's leak may be in it.
    #[must_use]
    pub fn may_hold_barrier(&self) -> bool {
        matches!(self.basis.scope, Scope::Supply | Scope::Return) && !self.guarded
    }
}
