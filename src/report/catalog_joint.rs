//! The whole story of one joint type.

use super::catalog_text::{per, short};
use super::figures::{flow_unit, length_unit};
use super::lines::{Holds, Table, wrapped};
use crate::catalog::{
    Basis, Catalog, GROSS_CHANCE_SOURCE, HABIT_GSD, JointType, SPREAD_SOURCE, WORKMANSHIP_GSD, Work,
};
use crate::quantity::UnitSystem;

/// The whole story of a joint type as text: what it is, its leakage in each state, how sure that is, and from where.
///
/// The catalogue says what the exponents stand for.
///
/// # Examples
/// ```
/// use ductseam::{catalog::Catalog, quantity::UnitSystem, report::explain_joint};
/// let catalog = Catalog::builtin();
/// let cabinet = catalog.joint("cabinet").expect("a built-in row");
/// assert!(explain_joint(catalog, cabinet, UnitSystem::Ip).contains("23.9"));
/// ```
#[must_use]
pub fn explain_joint(catalog: &Catalog, joint: &JointType, units: UnitSystem) -> String {
    let whose = if joint.mine {
        " (from your own file)"
    } else {
        ""
    };
    let parts = [
        wrapped("", &format!("{}: {}{whose}", joint.id, joint.name)),
        wrapped("", &joint.note),
        counted(joint, units),
        states(joint, units),
        sources(joint),
        spread(joint),
        exponents(catalog, joint),
        gauge(joint),
        gross(joint),
        sealed(catalog, joint),
    ];
    let said: Vec<&str> = parts
        .iter()
        .map(String::as_str)
        .filter(|part| !part.is_empty())
        .collect();
    said.join("\n")
}

fn counted(joint: &JointType, units: UnitSystem) -> String {
    let by = match (joint.basis, units) {
        (Basis::Each, _) => "Counted by the piece",
        (Basis::PerMetre, UnitSystem::Ip) => "Counted by the foot",
        (Basis::PerMetre, UnitSystem::Si) => "Counted by the metre",
    };
    wrapped("", &format!("{by}. Group: {}.", joint.group))
}

fn states(joint: &JointType, units: UnitSystem) -> String {
    let mut text = format!(
        "Leakage at 25 Pa, {} per {}:\n",
        flow_unit(units),
        match joint.basis {
            Basis::PerMetre => length_unit(units),
            Basis::Each => "piece",
        }
    );
    let mut table = Table::new(&[
        ("state", Holds::Names, 10),
        ("mean", Holds::Numbers, 8),
        ("median", Holds::Numbers, 8),
        ("90 % of single joints", Holds::Numbers, 22),
        ("spread", Holds::Numbers, 7),
        ("n", Holds::Numbers, 5),
    ]);
    for work in Work::ALL {
        let state = joint.state(work);
        let show = |q| short(per(q, joint.basis, units));
        let (low, high) = state.band_90();
        table.row(vec![
            work.word().to_owned(),
            show(state.mean_q25),
            show(state.median_q25()),
            format!("{} to {}", show(low), show(high)),
            format!("{:.2}", state.gsd),
            format!("{:.2}", state.n),
        ]);
    }
    text.push_str(&table.text());
    for work in Work::ALL {
        text.push_str(&wrapped(
            "  ",
            &format!("{}: {}", work.word(), work.meaning()),
        ));
    }
    text
}

fn sources(joint: &JointType) -> String {
    let mut said = String::from("Where the means come from:\n");
    for work in Work::ALL {
        let source = &joint.state(work).source;
        let mark = source.sure.words();
        // Many texts begin with their own mark: say it once.
        let text = match source.text.strip_prefix(mark) {
            Some(rest) => rest.trim_start_matches([' ', ':', ';', ',']),
            None => &source.text,
        };
        let colon = if text.is_empty() { "" } else { ": " };
        said.push_str(&wrapped(
            "  ",
            &format!("{} [{mark}]{colon}{text}", work.word()),
        ));
    }
    said
}

fn spread(joint: &JointType) -> String {
    let from = if joint.mine {
        "your own file"
    } else {
        SPREAD_SOURCE
    };
    let shared = if joint.field_made {
        format!(
            "Made on site: it shares a workmanship factor with the other field-made joints of its system (spread {WORKMANSHIP_GSD}) \
             and a habit factor with those of its own type (spread {HABIT_GSD}); both are engineering estimates. The rest is the joint's own."
        )
    } else {
        "Not made on site: its spread is its own, independent of the crew.".into()
    };
    wrapped("", &format!("Spread: {from}.")) + &wrapped("", &shared)
}

fn exponents(catalog: &Catalog, joint: &JointType) -> String {
    let mut said = String::new();
    let mut shown: Vec<f64> = Vec::new();
    for work in Work::ALL {
        let n = joint.state(work).n;
        if shown.iter().any(|m| (m - n).abs() < 1e-9) {
            continue;
        }
        shown.push(n);
        let text = match catalog.exponents().iter().find(|e| (e.n - n).abs() < 1e-9) {
            Some(e) => format!(
                "{n:.2}: {} [{}; {}]",
                e.used_for,
                e.source.sure.words(),
                e.source.text
            ),
            None => format!("{n:.2}: from the row itself"),
        };
        said.push_str(&wrapped("", &format!("Exponent {text}.")));
    }
    said
}

/// Nothing where the gauge of the sheet does not matter.
fn gauge(joint: &JointType) -> String {
    if joint.thick_divisor <= 1.0 {
        return String::new();
    }
    wrapped(
        "",
        &format!(
            "Sheet: the figures are for 0.55 mm (26 ga) and thinner. At 0.85 mm (22 ga) and thicker they are divided by {}; \
             between, ln flow runs straight (engineering estimate).",
            joint.thick_divisor
        ),
    )
}

fn gross(joint: &JointType) -> String {
    let from = if joint.mine {
        "your own file"
    } else {
        GROSS_CHANCE_SOURCE
    };
    let text = if joint.gross_chance > 0.0 {
        format!(
            "Chance that one hangs open or is off: {:.2} % ({from}).",
            joint.gross_chance * 100.0
        )
    } else {
        "Not counted among the places that may hang open.".into()
    };
    wrapped("", &text)
}

/// By which methods it is sealed, what is fastened first, what to mind.
fn sealed(catalog: &Catalog, joint: &JointType) -> String {
    let Some(row) = catalog.served(joint) else {
        return String::new();
    };
    if row.methods.is_empty() {
        return wrapped("", &format!("Nobody can seal it: {}.", row.source.text));
    }
    let by: Vec<&str> = row
        .methods
        .iter()
        .map(|id| {
            catalog
                .method(id)
                .map_or(id.as_str(), |method| &method.words)
        })
        .collect();
    let mut said = format!("Sealed, best suited first: {}.", by.join("; "));
    if !row.fasten.is_empty() {
        said.push_str(&format!(" Fasten first: {}.", row.fasten));
    }
    let source = format!(" [{}: {}]", row.source.sure.words(), row.source.text);
    said.push_str(&source);
    let caution = match row.caution.as_str() {
        "" => String::new(),
        caution => wrapped("Mind: ", caution),
    };
    wrapped("", &said) + &caution
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_joint_type_is_explained_within_100_columns_with_its_sources() {
        let c = Catalog::builtin();
        for joint in c.joints() {
            for units in [UnitSystem::Ip, UnitSystem::Si] {
                let text = explain_joint(c, joint, units);
                assert!(text.lines().all(|l| l.chars().count() <= 100), "{text}");
                assert!(text.contains(joint.state(Work::Unsealed).source.sure.words()));
                assert!(text.contains("median") && text.contains("90 %"));
                assert!(
                    text.contains("Sealed, best suited first") || joint.id == "unsketched",
                    "{text}"
                );
            }
        }
    }
}
