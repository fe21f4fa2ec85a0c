//! `ductseam catalog --format json`: the contract `ductseam/catalog/1`.
//!
//! These structs are the contract; the core types stay free to change.

use serde::Serialize;

use super::catalog_methods::{MethodOut, ServeOut, methods_json, serves_json};
use super::pretty;
use crate::catalog::{
    Catalog, Component, Exponent, Fitting, GROSS_CHANCE_SOURCE, JointType, Roughness, Source, Work,
};
use crate::quantity::Flow;

/// Name and version of the JSON format.
pub const FORMAT: &str = "ductseam/catalog/1";

/// The whole catalogue.
#[derive(Debug, Serialize)]
struct Answer<'a> {
    /// Always [`FORMAT`].
    format: &'a str,
    /// Pressure that all flows refer to, Pa.
    pressure_pa: f64,
    /// Joint types.
    joints: Vec<JointRow<'a>>,
    /// Roughness of duct materials.
    roughness: Vec<RoughnessRow<'a>>,
    /// Loss coefficients of fittings.
    fittings: Vec<FittingRow<'a>>,
    /// Pressure drops of components.
    components: Vec<ComponentRow<'a>>,
    /// What the flow exponents stand for.
    exponents: Vec<ExponentRow<'a>>,
    /// Ways of sealing.
    methods: Vec<MethodOut<'a>>,
    /// Which of them serve which joint type, best first.
    serves: Vec<ServeOut<'a>>,
}

/// One joint type.
#[derive(Debug, Serialize)]
struct JointRow<'a> {
    /// Stable name.
    id: &'a str,
    /// Name in the trade.
    name: &'a str,
    /// Group for listing.
    group: &'a str,
    /// `m` (per metre) or `each`.
    basis: &'a str,
    /// The three states: unsealed, ordinary, mastic.
    states: Vec<StateRow<'a>>,
    /// Whether made on site, and so sharing the workmanship of the system.
    field_made: bool,
    /// Prior chance that one such seam hangs open.
    gross_chance: f64,
    /// Source of `gross_chance`.
    gross_chance_source: &'a str,
    /// Divisor of the flow for 0.85 mm sheet; 1 where the gauge does not matter.
    thick_divisor: f64,
    /// What the row is for, and what it is not.
    note: &'a str,
    /// Whether from the user's own file.
    mine: bool,
}

/// One state of workmanship of a joint type.
#[derive(Debug, Serialize)]
struct StateRow<'a> {
    /// `unsealed`, `ordinary` or `mastic`.
    work: &'a str,
    /// Arithmetic mean flow at 25 Pa, L/s per metre or each.
    mean_l_s: f64,
    /// Median flow at 25 Pa, L/s per metre or each.
    median_l_s: f64,
    /// 5 % quantile of one joint, L/s per metre or each.
    low_l_s: f64,
    /// 95 % quantile of one joint, L/s per metre or each.
    high_l_s: f64,
    /// Geometric standard deviation among joints.
    gsd: f64,
    /// Flow exponent.
    n: f64,
    /// Where it is from.
    #[serde(flatten)]
    origin: Origin<'a>,
}

/// Roughness of one duct material, mm.
#[derive(Debug, Serialize)]
struct RoughnessRow<'a> {
    /// Stable name.
    id: &'a str,
    /// The material.
    name: &'a str,
    /// The handbook's class.
    words: &'a str,
    /// Design value, mm.
    eps_mm: f64,
    /// Lowest value in use, mm.
    low_mm: f64,
    /// Highest value in use, mm.
    high_mm: f64,
    /// Where it is from.
    #[serde(flatten)]
    origin: Origin<'a>,
}

/// Loss coefficient of one fitting, dimensionless.
#[derive(Debug, Serialize)]
struct FittingRow<'a> {
    /// Stable name.
    id: &'a str,
    /// Trade word.
    name: &'a str,
    /// Loss coefficient.
    c: f64,
    /// Low end.
    low: f64,
    /// High end.
    high: f64,
    /// Section whose velocity pressure it refers to.
    leg: &'a str,
    /// Where it is from.
    #[serde(flatten)]
    origin: Origin<'a>,
}

/// Pressure drop of one component, Pa.
#[derive(Debug, Serialize)]
struct ComponentRow<'a> {
    /// Stable name.
    id: &'a str,
    /// Name in words.
    name: &'a str,
    /// Pressure drop at the reference flow, Pa.
    dp_pa: f64,
    /// Low end, Pa.
    low_pa: f64,
    /// High end, Pa.
    high_pa: f64,
    /// Exponent of pressure against flow.
    m: f64,
    /// What the reference flow is.
    at: &'a str,
    /// Where it is from.
    #[serde(flatten)]
    origin: Origin<'a>,
}

/// What one flow exponent stands for.
#[derive(Debug, Serialize)]
struct ExponentRow<'a> {
    /// The exponent.
    n: f64,
    /// The openings it is used for.
    used_for: &'a str,
    /// Where it is from.
    #[serde(flatten)]
    origin: Origin<'a>,
}

/// Where a figure is from.
#[derive(Debug, Serialize)]
pub(super) struct Origin<'a> {
    /// Source.
    source: &'a str,
    /// How sure, in words.
    sure: &'a str,
}

impl<'a> From<&'a Source> for Origin<'a> {
    fn from(source: &'a Source) -> Self {
        Self {
            source: &source.text,
            sure: source.sure.words(),
        }
    }
}

/// The catalogue as JSON text, indented, with a final newline.
#[must_use]
pub fn catalog_json(catalog: &Catalog) -> String {
    pretty(&Answer {
        format: FORMAT,
        pressure_pa: 25.0,
        joints: catalog.joints().iter().map(joint_row).collect(),
        roughness: catalog.roughness_rows().iter().map(roughness).collect(),
        fittings: catalog.fittings().iter().map(fitting).collect(),
        components: catalog.components().iter().map(component).collect(),
        exponents: catalog.exponents().iter().map(exponent).collect(),
        methods: methods_json(catalog),
        serves: serves_json(catalog),
    })
}

/// One joint type as JSON text, as it stands in the list of [`catalog_json`].
#[must_use]
pub fn joint_json(joint: &JointType) -> String {
    pretty(&joint_row(joint))
}

fn joint_row(joint: &JointType) -> JointRow<'_> {
    JointRow {
        id: &joint.id,
        name: &joint.name,
        group: &joint.group,
        basis: joint.basis.word(),
        states: Work::ALL.into_iter().map(|w| state(joint, w)).collect(),
        field_made: joint.field_made,
        gross_chance: joint.gross_chance,
        gross_chance_source: if joint.mine {
            "user's file"
        } else {
            GROSS_CHANCE_SOURCE
        },
        thick_divisor: joint.thick_divisor,
        note: &joint.note,
        mine: joint.mine,
    }
}

fn state(joint: &JointType, work: Work) -> StateRow<'_> {
    let s = joint.state(work);
    let (low, high) = s.band_90();
    let litres_s = |q| Flow::new(q).to_litres_s();
    StateRow {
        work: work.word(),
        mean_l_s: litres_s(s.mean_q25),
        median_l_s: litres_s(s.median_q25()),
        low_l_s: litres_s(low),
        high_l_s: litres_s(high),
        gsd: s.gsd,
        n: s.n,
        origin: (&s.source).into(),
    }
}

fn roughness(r: &Roughness) -> RoughnessRow<'_> {
    RoughnessRow {
        id: &r.id,
        name: &r.name,
        words: &r.words,
        eps_mm: r.eps_mm,
        low_mm: r.low,
        high_mm: r.high,
        origin: (&r.source).into(),
    }
}

fn fitting(f: &Fitting) -> FittingRow<'_> {
    FittingRow {
        id: &f.id,
        name: &f.name,
        c: f.c,
        low: f.low,
        high: f.high,
        leg: &f.leg,
        origin: (&f.source).into(),
    }
}

fn component(c: &Component) -> ComponentRow<'_> {
    ComponentRow {
        id: &c.id,
        name: &c.name,
        dp_pa: c.dp_pa,
        low_pa: c.low_pa,
        high_pa: c.high_pa,
        m: c.m,
        at: &c.at,
        origin: (&c.source).into(),
    }
}

fn exponent(e: &Exponent) -> ExponentRow<'_> {
    ExponentRow {
        n: e.n,
        used_for: &e.used_for,
        origin: (&e.source).into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> serde_json::Value {
        serde_json::from_str(text).expect("JSON")
    }

    #[test]
    fn one_joint_type_is_written_as_in_the_list() {
        let c = Catalog::builtin();
        let all = read(&catalog_json(c));
        let cabinet = c.joint("cabinet").expect("a built-in row");
        let list = all["joints"].as_array().expect("a list");
        assert!(list.contains(&read(&joint_json(cabinet))));
    }

    #[test]
    fn the_json_names_its_format_and_holds_every_row_with_a_source() {
        let c = Catalog::builtin();
        let json = read(&catalog_json(c));
        assert_eq!(json["format"], "ductseam/catalog/1");
        assert_eq!(
            json["joints"].as_array().map(Vec::len),
            Some(c.joints().len())
        );
        for (key, rows) in [("methods", c.methods().len()), ("serves", c.serves().len())] {
            let list = json[key].as_array().expect("a list");
            assert_eq!(list.len(), rows);
            for row in list {
                assert!(!row["source"].as_str().expect("text").is_empty());
            }
        }
        for joint in json["joints"].as_array().expect("a list") {
            for s in joint["states"].as_array().expect("a list") {
                assert!(
                    !s["source"].as_str().expect("text").is_empty()
                        && !s["sure"].as_str().expect("text").is_empty()
                );
            }
        }
    }
}
