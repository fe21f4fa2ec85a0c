//! `ductseam limits --list`: all limits and classes with their sources and how sure they are.

use serde::Serialize;

use super::json::LimitJson;
use super::said;
use crate::catalog::{Catalog, ClassScale};
use crate::quantity::{UnitSystem, significant};
use crate::report::csv_table::{csv_table, optional};
use crate::report::lines::{Holds, Table, wrapped};

/// Name and version of the format of the list.
pub const LIST_FORMAT: &str = "ductseam/limit-list/1";

/// Columns of the list as a table.
pub const LIST_COLUMNS: [&str; 12] = [
    "kind",
    "id",
    "words",
    "issuer",
    "edition",
    "section",
    "stages",
    "scope",
    "figure",
    "condition",
    "source",
    "sure",
];

/// The list for a terminal.
#[must_use]
pub fn limit_list_text(catalog: &Catalog, units: UnitSystem) -> String {
    let mut text = String::from("LIMITS on leakage at 25 Pa\n\n");
    let mut table = Table::new(&[
        ("id", Holds::Names, 40),
        ("scope", Holds::Names, 10),
        ("figure", Holds::Words, 28),
        ("stage", Holds::Words, 20),
    ]);
    let mut last = ("", "");
    for limit in catalog.limits() {
        let whose = (limit.issuer.as_str(), limit.edition.as_str());
        if whose != last {
            table.heading(&format!("-- {}, {}", limit.issuer, limit.edition));
            last = whose;
        }
        table.row(vec![
            limit.id.clone(),
            limit.scope.words().to_owned(),
            said::measure(limit, units),
            said::stages(limit),
        ]);
        let section = match limit.section.as_str() {
            "" => String::new(),
            section => format!("; {section}"),
        };
        let condition = match limit.condition.as_str() {
            "" => String::new(),
            condition => format!("; for: {condition}"),
        };
        table.note(
            6,
            &format!(
                "{}{section}{condition}; {}: {}",
                limit.words,
                limit.source.sure.words(),
                limit.source.text
            ),
        );
    }
    text.push_str(&table.text());
    text.push_str("\nCLASSES by duct surface; both scales go with pressure to the 0.65\n\n");
    let mut table = Table::new(&[
        ("id", Holds::Names, 40),
        ("name", Holds::Names, 8),
        ("CL", Holds::Numbers, 6),
        ("factor", Holds::Numbers, 8),
        ("stands for", Holds::Words, 44),
    ]);
    let mut last = "";
    for row in catalog.classes() {
        if row.source.text != last {
            table.note(
                2,
                &format!("-- {}: {}", row.source.sure.words(), row.source.text),
            );
            last = &row.source.text;
        }
        table.row(vec![
            row.id.clone(),
            row.name.clone(),
            row.class_ip()
                .map_or_else(String::new, |class| significant(class, 3)),
            match row.scale {
                ClassScale::Leakage => String::new(),
                ClassScale::Tightness => row.factor.map_or_else(String::new, |f| f.to_string()),
            },
            row.words.clone(),
        ]);
    }
    text.push_str(&table.text());
    text.push('\n');
    text.push_str(&wrapped(
        "",
        "CL: cfm per 100 ft2 at 1 in. w.g. Factor: L/s per m2 at 1 Pa. Figures marked from memory or read second-hand are to \
         be checked against the edition in force; your own figure goes under `limits:` in the sketch, and one with a built-in \
         id stands in its place.",
    ));
    text
}

#[derive(Debug, Serialize)]
struct Json<'a> {
    format: &'static str,
    limits: Vec<LimitJson<'a>>,
    classes: Vec<Class<'a>>,
}

#[derive(Debug, Serialize)]
struct Class<'a> {
    id: &'a str,
    /// `leakage-class` or `tightness-class`.
    scale: &'static str,
    name: &'a str,
    words: &'a str,
    /// cfm per 100 ft² at 1 in. w.g., or L/(s·m²) at 1 Pa; null for what is not classified.
    factor: Option<f64>,
    leakage_class_ip: Option<f64>,
    /// Largest flow by duct surface at 25 Pa, m³/s per m².
    at_25_pa_m3_s_m2: Option<f64>,
    source: &'a str,
    sure: &'static str,
}

fn scale(scale: ClassScale) -> &'static str {
    match scale {
        ClassScale::Leakage => "leakage-class",
        ClassScale::Tightness => "tightness-class",
    }
}

/// The list as JSON.
#[must_use]
pub fn limit_list_json(catalog: &Catalog) -> String {
    crate::report::pretty(&Json {
        format: LIST_FORMAT,
        limits: catalog.limits().iter().map(Into::into).collect(),
        classes: catalog
            .classes()
            .iter()
            .map(|row| Class {
                id: &row.id,
                scale: scale(row.scale),
                name: &row.name,
                words: &row.words,
                factor: row.factor,
                leakage_class_ip: row.class_ip(),
                at_25_pa_m3_s_m2: row.by_surface(25.0),
                source: &row.source.text,
                sure: row.source.sure.code(),
            })
            .collect(),
    })
}

/// The list as a table.
#[must_use]
pub fn limit_list_csv(catalog: &Catalog) -> String {
    let limits = catalog.limits().iter().map(|limit| {
        [
            "limit".to_owned(),
            limit.id.clone(),
            limit.words.clone(),
            limit.issuer.clone(),
            limit.edition.clone(),
            limit.section.clone(),
            said::stages(limit),
            limit.scope.words().to_owned(),
            said::measure(limit, UnitSystem::Ip),
            limit.condition.clone(),
            limit.source.text.clone(),
            limit.source.sure.code().to_owned(),
        ]
    });
    let classes = catalog.classes().iter().map(|row| {
        let empty = String::new;
        [
            scale(row.scale).to_owned(),
            row.id.clone(),
            format!("{}: {}", row.name, row.words),
            empty(),
            empty(),
            empty(),
            empty(),
            empty(),
            optional(row.factor),
            empty(),
            row.source.text.clone(),
            row.source.sure.code().to_owned(),
        ]
    });
    csv_table(&LIST_COLUMNS, limits.chain(classes))
}
