//! `ductseam check`: what was read, every default used, sizes and counts, warnings.

use serde::Serialize;

use super::cautions::{Caution, cautions};
use super::figures::{area, area_unit, flow, flow_unit, length, length_unit};
use super::lines::{Holds, Table, wrapped};
use super::words::{self, counted};
use super::{check_crew, check_evidence, check_running};
use crate::catalog::Basis;
use crate::quantity::{Area, Flow, Length, UnitSystem};
use crate::system::{CheckSummary, System, summary};

/// Name and version of the JSON form.
pub const CHECK_FORMAT: &str = "ductseam/check/1";

/// What was read, for a terminal.
#[must_use]
pub fn check_text(system: &System, units: UnitSystem) -> String {
    let found = summary(system);
    let mut text = wrapped("", &found.title);
    text.push_str(&wrapped(
        "",
        &format!(
            "{}, {}, {}, {}, {}, {}.",
            counted(found.runs.len(), "run", "runs"),
            counted(found.pieces, "piece", "pieces"),
            counted(found.seams, "seam", "seams"),
            counted(
                found.openings,
                "register or grille",
                "registers and grilles"
            ),
            counted(found.readings, "reading", "readings"),
            counted(found.looks, "look", "looks"),
        ),
    ));
    for caution in cautions(system).iter().filter(|caution| caution.stop) {
        text.push_str(&wrapped("STOP: ", &caution.text));
    }
    text.push('\n');
    text.push_str(&runs(&found, units));
    text.push_str(&sides(&found, units));
    text.push_str(&places(&found, units));
    text.push_str(&joint_types(&found, units));
    text.push_str(&check_running::text(system, units));
    text.push_str(&check_evidence::text(system, units));
    text.push_str(&check_crew::text(system, units));
    text.push_str(&defaults(&found));
    if !found.warnings.is_empty() {
        text.push_str("Mind\n");
        for warning in &found.warnings {
            text.push_str(&wrapped("  - ", &warning.text));
        }
        text.push('\n');
    }
    text.push_str("Before you touch anything\n");
    for caution in cautions(system).iter().filter(|caution| !caution.stop) {
        text.push_str(&wrapped("  - ", &caution.text));
    }
    text
}

fn runs(found: &CheckSummary, units: UnitSystem) -> String {
    let mut text = String::from(
        "Runs (expected: mean of the catalogue's figures at 25 Pa, before any reading)\n",
    );
    let mut table = Table::new(&[
        ("run", Holds::Names, 22),
        ("side", Holds::Names, 6),
        ("size", Holds::Names, 14),
        (length_unit(units), Holds::Numbers, 6),
        ("seams", Holds::Numbers, 5),
        (area_unit(units), Holds::Numbers, 6),
        (flow_unit(units), Holds::Numbers, 6),
        ("place", Holds::Words, 30),
    ]);
    for run in &found.runs {
        table.row(vec![
            run.id.clone(),
            words::side(run.side).to_owned(),
            run.size.show(units),
            format!("{:.1}", length(run.length_m, units)),
            run.seams.to_string(),
            format!("{:.1}", area(run.surface_m2, units)),
            format!("{:.1}", flow(run.prior_q25_m3_s, units)),
            run.place.clone(),
        ]);
    }
    text.push_str(&table.text());
    text.push('\n');
    text
}

fn sides(found: &CheckSummary, units: UnitSystem) -> String {
    let mut text = String::from(
        "Sides (the unit, its plenums and an allowance for what the sketch forgot included)\n",
    );
    for side in &found.sides {
        text.push_str(&wrapped(
            "  ",
            &format!(
                "{}: {}, {} of duct, {} of duct surface, {} seams, expected {}",
                words::side(side.side),
                counted(side.runs, "run", "runs"),
                Length::new(side.length_m).show(units),
                Area::new(side.surface_m2).show(units),
                side.seams,
                Flow::new(side.prior_q25_m3_s).show(units)
            ),
        ));
    }
    text.push_str(&wrapped(
        "  ",
        &format!(
            "all: expected {}",
            Flow::new(found.prior_q25_m3_s).show(units)
        ),
    ));
    text.push('\n');
    text
}

fn places(found: &CheckSummary, units: UnitSystem) -> String {
    let mut text = String::from(
        "Places (house pressure: part of the house's pressure against outdoors that the place follows)\n",
    );
    let mut table = Table::new(&[
        ("place", Holds::Names, 18),
        ("house pressure", Holds::Numbers, 14),
        ("seams", Holds::Numbers, 5),
        (area_unit(units), Holds::Numbers, 6),
        ("from", Holds::Words, 48),
    ]);
    for place in found.places.iter().filter(|place| place.seams > 0) {
        table.row(vec![
            place.name.clone(),
            format!("{:.0} %", 100.0 * place.house_share),
            place.seams.to_string(),
            format!("{:.1}", area(place.surface_m2, units)),
            place.source.clone(),
        ]);
    }
    text.push_str(&table.text());
    text.push('\n');
    text
}

fn joint_types(found: &CheckSummary, units: UnitSystem) -> String {
    let mut text = String::from("Seams by joint type\n");
    let mut table = Table::new(&[
        ("joint type", Holds::Names, 24),
        ("", Holds::Words, 40),
        ("seams", Holds::Numbers, 5),
        ("amount", Holds::Numbers, 10),
        (flow_unit(units), Holds::Numbers, 6),
    ]);
    for joint in &found.joint_types {
        table.row(vec![
            joint.joint_type.clone(),
            joint.name.clone(),
            joint.count.to_string(),
            match joint.basis {
                Basis::PerMetre => Length::new(joint.amount).show(units),
                Basis::Each => format!("{}", joint.amount),
            },
            format!("{:.1}", flow(joint.prior_q25_m3_s, units)),
        ]);
    }
    text.push_str(&table.text());
    text.push('\n');
    text
}

fn defaults(found: &CheckSummary) -> String {
    if found.defaults.is_empty() {
        return String::new();
    }
    let mut text = String::from("Taken because the sketch does not say\n");
    for default in &found.defaults {
        text.push_str(&wrapped(
            "  - ",
            &format!("{}: {} ({})", default.about, default.taken, default.source),
        ));
    }
    text.push('\n');
    text
}

/// The answer of `check` for programs, SI.
#[derive(Debug, Serialize)]
struct Answer<'a> {
    format: &'static str,
    title: &'a str,
    pieces: usize,
    openings: usize,
    prior_q25_m3_s: f64,
    runs: Vec<Run<'a>>,
    places: Vec<Place<'a>>,
    joint_types: Vec<JointType<'a>>,
    running: check_running::Running<'a>,
    seams: Vec<Seam<'a>>,
    #[serde(flatten)]
    evidence: check_evidence::Evidence<'a>,
    crew: check_crew::Crew<'a>,
    defaults: Vec<Default<'a>>,
    warnings: Vec<Warning<'a>>,
    cautions: Vec<Caution>,
}

#[derive(Debug, Serialize)]
struct Run<'a> {
    id: &'a str,
    side: &'static str,
    room: Option<&'a str>,
    size: String,
    length_m: f64,
    pieces: usize,
    seams: usize,
    surface_m2: f64,
    prior_q25_m3_s: f64,
    place: &'a str,
}

#[derive(Debug, Serialize)]
struct Place<'a> {
    name: &'a str,
    house_share: f64,
    source: &'a str,
    seams: usize,
    surface_m2: f64,
}

#[derive(Debug, Serialize)]
struct JointType<'a> {
    joint_type: &'a str,
    name: &'a str,
    count: usize,
    length_m: Option<f64>,
    prior_q25_m3_s: f64,
}

#[derive(Debug, Serialize)]
struct Seam<'a> {
    id: &'a str,
    run: &'a str,
    piece: &'a str,
    what: &'a str,
    joint_type: &'a str,
    side: &'static str,
    place: &'a str,
    reach: &'static str,
    work: &'static str,
    length_m: Option<f64>,
    count: Option<f64>,
    n: f64,
    prior_q25_mean_m3_s: f64,
    spread_factor: f64,
}

#[derive(Debug, Serialize)]
struct Default<'a> {
    about: &'a str,
    taken: &'a str,
    source: &'a str,
}

#[derive(Debug, Serialize)]
struct Warning<'a> {
    code: &'a str,
    text: &'a str,
}

/// The answer of `check` as JSON text.
///
/// # Panics
/// Never: the answer holds only texts, numbers and lists of them.
#[must_use]
pub fn check_json(system: &System) -> String {
    let found = summary(system);
    let answer = Answer {
        format: CHECK_FORMAT,
        title: &found.title,
        pieces: found.pieces,
        openings: found.openings,
        prior_q25_m3_s: found.prior_q25_m3_s,
        runs: found
            .runs
            .iter()
            .map(|run| Run {
                id: &run.id,
                side: words::side(run.side),
                room: run.room.as_deref(),
                size: run.size.show(UnitSystem::Si),
                length_m: run.length_m,
                pieces: run.pieces,
                seams: run.seams,
                surface_m2: run.surface_m2,
                prior_q25_m3_s: run.prior_q25_m3_s,
                place: &run.place,
            })
            .collect(),
        places: found
            .places
            .iter()
            .map(|place| Place {
                name: &place.name,
                house_share: place.house_share,
                source: &place.source,
                seams: place.seams,
                surface_m2: place.surface_m2,
            })
            .collect(),
        joint_types: found
            .joint_types
            .iter()
            .map(|joint| JointType {
                joint_type: &joint.joint_type,
                name: &joint.name,
                count: joint.count,
                length_m: (joint.basis == Basis::PerMetre).then_some(joint.amount),
                prior_q25_m3_s: joint.prior_q25_m3_s,
            })
            .collect(),
        running: check_running::running(system),
        seams: system
            .seams
            .iter()
            .map(|seam| {
                let by_length = seam.basis == Basis::PerMetre;
                Seam {
                    id: &seam.id,
                    run: &seam.run,
                    piece: &seam.piece,
                    what: &seam.what,
                    joint_type: &seam.joint_type,
                    side: words::side(seam.side),
                    place: &system.places[seam.place].name,
                    reach: words::reach(seam.reach),
                    work: words::work(seam.work),
                    length_m: by_length.then_some(seam.amount),
                    count: (!by_length).then_some(seam.amount),
                    n: seam.n,
                    prior_q25_mean_m3_s: seam.mean_q25_m3_s,
                    spread_factor: seam.gsd,
                }
            })
            .collect(),
        evidence: check_evidence::evidence(system),
        crew: check_crew::crew(system),
        defaults: found
            .defaults
            .iter()
            .map(|default| Default {
                about: &default.about,
                taken: &default.taken,
                source: &default.source,
            })
            .collect(),
        warnings: found
            .warnings
            .iter()
            .map(|warning| Warning {
                code: &warning.code,
                text: &warning.text,
            })
            .collect(),
        cautions: cautions(system),
    };
    super::pretty(&answer)
}
