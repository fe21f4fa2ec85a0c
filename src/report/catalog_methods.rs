//! The part of `catalog` about sealing: the methods, and which joint type each serves.

use serde::Serialize;

use super::catalog_json::Origin;
use super::figures::gap;
use super::lines::{Holds, Table, wrapped};
use crate::catalog::{Catalog, MethodRow};
use crate::quantity::{UnitSystem, significant};

/// The methods with their sources and what they serve.
pub(super) fn methods(catalog: &Catalog, units: UnitSystem) -> String {
    let mut text = String::from("SEALING METHODS: minutes and what they leave\n\n");
    let mut table = Table::new(&[
        ("id", Holds::Names, 12),
        ("what is done", Holds::Words, 32),
        ("each", Holds::Numbers, 5),
        ("per m", Holds::Numbers, 5),
        ("once", Holds::Numbers, 5),
        ("leaves", Holds::Numbers, 6),
        ("gap to", Holds::Numbers, 8),
        ("wait", Holds::Numbers, 5),
        ("sure", Holds::Names, 4),
    ]);
    for row in catalog.methods() {
        table.row(vec![
            row.id.clone(),
            row.words.clone(),
            row.minutes_each.to_string(),
            row.minutes_per_m.to_string(),
            row.minutes_once.to_string(),
            format!("{} %", significant(100.0 * row.mean_left(), 2)),
            gap(row.gap_to_m, units),
            format!("{} h", row.cure_h),
            row.source.sure.letter().to_string(),
        ]);
        for note in notes(catalog, row) {
            table.note(4, &note);
        }
    }
    text.push_str(&table.text());
    text.push('\n');
    text.push_str(&wrapped(
        "",
        "Minutes belong to you: write your own under `crew: {methods: ...}`. Leaves: mean of a whole joint, the missed \
         part included. Fastening, baring insulation and getting to a place come on top.",
    ));
    text
}

/// Where its figures come from, how far from the unit it may be used, what it serves.
fn notes(catalog: &Catalog, row: &MethodRow) -> Vec<String> {
    let serves: Vec<&str> = catalog
        .serves()
        .iter()
        .filter(|serve| serve.methods.contains(&row.id))
        .map(|serve| serve.id.as_str())
        .collect();
    let beyond = match row.beyond_m {
        far if far > 0.0 => format!("only more than {far} m from the air handler; "),
        _ => String::new(),
    };
    vec![
        format!("{beyond}serves: {}", serves.join(", ")),
        format!("source: {}", row.source.text),
    ]
}

/// Joint types with their methods.
pub(super) fn serves(catalog: &Catalog) -> String {
    let mut table = Table::new(&[
        ("joint type", Holds::Names, 24),
        ("methods, best suited first", Holds::Words, 30),
        ("fastened first", Holds::Words, 28),
        ("min", Holds::Numbers, 4),
        ("sure", Holds::Names, 4),
    ]);
    for row in catalog.serves() {
        table.row(vec![
            row.id.clone(),
            match row.methods.is_empty() {
                true => "none".to_owned(),
                false => row.methods.join(", "),
            },
            row.fasten.clone(),
            match row.fasten.is_empty() {
                true => String::new(),
                false => row.fasten_minutes.to_string(),
            },
            row.source.sure.letter().to_string(),
        ]);
        if !row.caution.is_empty() {
            table.note(4, &format!("mind: {}", row.caution));
        }
    }
    format!(
        "SEALING BY JOINT TYPE (any-...: your own joint types of that group)\n\n{}",
        table.text()
    )
}

/// One way of sealing, SI.
#[derive(Debug, Serialize)]
pub(super) struct MethodOut<'a> {
    id: &'a str,
    words: &'a str,
    from_inside: bool,
    gap_to_m: f64,
    beyond_m: f64,
    remains: f64,
    remains_own_gsd: f64,
    remains_shared_gsd: f64,
    missed: f64,
    missed_shared_gsd: f64,
    /// Arithmetic mean of what remains of a whole joint.
    mean_left: f64,
    minutes_each: f64,
    minutes_per_m: f64,
    minutes_once: f64,
    /// Whether its minutes hold already what baring the joint takes.
    bares: bool,
    material: &'a str,
    unit: &'a str,
    material_each: f64,
    material_per_m: f64,
    cure_h: f64,
    #[serde(flatten)]
    origin: Origin<'a>,
}

/// What serves one joint type.
#[derive(Debug, Serialize)]
pub(super) struct ServeOut<'a> {
    /// Joint type, `any-GROUP` or `any`.
    id: &'a str,
    methods: &'a [String],
    /// Metres of joint for each unit counted; null as counted, or once round the section.
    metres: Option<f64>,
    fasten: &'a str,
    fasten_minutes: f64,
    caution: &'a str,
    #[serde(flatten)]
    origin: Origin<'a>,
}

/// The methods for programs.
pub(super) fn methods_json(catalog: &Catalog) -> Vec<MethodOut<'_>> {
    catalog
        .methods()
        .iter()
        .map(|row| MethodOut {
            id: &row.id,
            words: &row.words,
            from_inside: row.from_inside,
            gap_to_m: row.gap_to_m,
            beyond_m: row.beyond_m,
            remains: row.remains,
            remains_own_gsd: row.remains_own_gsd,
            remains_shared_gsd: row.remains_shared_gsd,
            missed: row.missed,
            missed_shared_gsd: row.missed_shared_gsd,
            mean_left: row.mean_left(),
            minutes_each: row.minutes_each,
            minutes_per_m: row.minutes_per_m,
            minutes_once: row.minutes_once,
            bares: row.bares,
            material: &row.material,
            unit: &row.unit,
            material_each: row.material_each,
            material_per_m: row.material_per_m,
            cure_h: row.cure_h,
            origin: (&row.source).into(),
        })
        .collect()
}

/// What serves each joint type, for programs.
pub(super) fn serves_json(catalog: &Catalog) -> Vec<ServeOut<'_>> {
    catalog
        .serves()
        .iter()
        .map(|row| ServeOut {
            id: &row.id,
            methods: &row.methods,
            metres: row.metres,
            fasten: &row.fasten,
            fasten_minutes: row.fasten_minutes,
            caution: &row.caution,
            origin: (&row.source).into(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_method_shows_its_source_and_what_it_serves() {
        let catalog = Catalog::builtin();
        let text = methods(catalog, UnitSystem::Si);
        let flat: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
        for row in catalog.methods() {
            assert!(flat.contains(&row.source.text), "{}", row.id);
        }
        assert!(flat.contains("only more than 3 m from the air handler; serves: seam-pittsburgh"));
        assert!(flat.contains("serves: joint-flex-splice, flex-collar, any-flex"));
    }

    #[test]
    fn what_must_stay_free_is_said_beneath_its_joint_type() {
        let text = serves(Catalog::builtin());
        let flat: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
        for row in Catalog::builtin().serves() {
            assert!(flat.contains(&row.caution), "{}", row.id);
        }
        assert!(flat.contains("damper-shaft gasket"), "{text}");
    }
}
