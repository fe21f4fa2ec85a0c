//! `ductseam catalog` for a terminal 100 columns wide: one table a section.

use super::catalog_methods::{methods, serves};
use super::figures::{flow, flow_unit, length_unit};
use super::lines::{Holds, Table, wrapped};
use crate::catalog::{Basis, Catalog, JointType, Sure, Work};
use crate::quantity::{Length, UnitSystem};

/// The whole catalogue as text.
///
/// Each joint type shows its mean flow at 25 Pa in the three states, its spread factors, and a letter per state for how sure
/// the mean is. A star marks rows of the user's own file.
#[must_use]
pub fn catalog_text(catalog: &Catalog, units: UnitSystem) -> String {
    [
        joints(catalog, units),
        roughness(catalog),
        fittings(catalog),
        components(catalog),
        methods(catalog, units),
        serves(catalog),
    ]
    .join("\n")
}

fn joints(catalog: &Catalog, units: UnitSystem) -> String {
    let length = match units {
        UnitSystem::Ip => "foot",
        UnitSystem::Si => "metre",
    };
    let mut text = format!(
        "JOINT TYPES: mean leakage at 25 Pa, {} per {length} or each\n\n",
        flow_unit(units)
    );
    let mut table = Table::new(&[
        ("id", Holds::Names, 26),
        ("name", Holds::Words, 40),
        ("per", Holds::Names, 4),
        ("n", Holds::Numbers, 4),
        ("unseal.", Holds::Numbers, 8),
        ("ordin.", Holds::Numbers, 8),
        ("mastic", Holds::Numbers, 8),
        ("spread", Holds::Names, 14),
        ("sure", Holds::Names, 5),
    ]);
    let mut group = "";
    for joint in catalog.joints() {
        if joint.group != group {
            group = &joint.group;
            table.heading(&format!("-- {group}"));
        }
        table.row(joint_row(joint, units));
    }
    text.push_str(&table.text());
    text.push('\n');
    let marks = Sure::ALL.map(|sure| format!("{} {}", sure.letter(), sure.words()));
    text.push_str(&wrapped(
        "",
        &format!("sure (unsealed/ordinary/mastic): {}", marks.join(", ")),
    ));
    text.push_str("spread: factor up or down from the median that holds two joints in three\n");
    text.push_str(
        "n: exponent of unsealed and ordinary joints; mastic has 0.65 or the same if higher\n",
    );
    if catalog.joints().iter().any(|joint| joint.mine) {
        text.push_str("*: from your own file\n");
    }
    text
}

fn joint_row(joint: &JointType, units: UnitSystem) -> Vec<String> {
    let mean = |work| short(per(joint.state(work).mean_q25, joint.basis, units));
    let star = if joint.mine { "*" } else { "" };
    vec![
        format!("{}{star}", joint.id),
        joint.name.clone(),
        unit_word(joint.basis, units).to_owned(),
        format!("{:.2}", joint.state(Work::Unsealed).n),
        mean(Work::Unsealed),
        mean(Work::Ordinary),
        mean(Work::Mastic),
        Work::ALL
            .map(|work| format!("{:.1}", joint.state(work).gsd))
            .join("/"),
        Work::ALL
            .map(|work| joint.state(work).source.sure.letter().to_string())
            .join("/"),
    ]
}

fn roughness(catalog: &Catalog) -> String {
    let mut table = Table::new(&[
        ("id", Holds::Names, 26),
        ("material", Holds::Words, 46),
        ("design", Holds::Numbers, 8),
        ("range", Holds::Numbers, 15),
        ("sure", Holds::Names, 4),
    ]);
    for row in catalog.roughness_rows() {
        table.row(vec![
            row.id.clone(),
            row.name.clone(),
            row.eps_mm.to_string(),
            format!("{}-{}", row.low, row.high),
            row.source.sure.letter().to_string(),
        ]);
    }
    format!("ROUGHNESS, mm\n\n{}", table.text())
}

fn fittings(catalog: &Catalog) -> String {
    let mut table = Table::new(&[
        ("word in a walk", Holds::Words, 34),
        ("id", Holds::Names, 30),
        ("C", Holds::Numbers, 6),
        ("range", Holds::Numbers, 13),
        ("leg", Holds::Words, 14),
        ("sure", Holds::Names, 4),
    ]);
    for row in catalog.fittings() {
        table.row(vec![
            row.name.clone(),
            row.id.clone(),
            format!("{:.2}", row.c),
            format!("{:.2} to {:.2}", row.low, row.high),
            row.leg.clone(),
            row.source.sure.letter().to_string(),
        ]);
    }
    format!(
        "FITTINGS: loss coefficient on the velocity pressure of the leg named\n\n{}",
        table.text()
    )
}

fn components(catalog: &Catalog) -> String {
    let mut table = Table::new(&[
        ("id", Holds::Names, 26),
        ("name", Holds::Words, 40),
        ("Pa", Holds::Numbers, 6),
        ("range", Holds::Numbers, 12),
        ("m", Holds::Numbers, 5),
        ("at", Holds::Words, 30),
        ("sure", Holds::Names, 4),
    ]);
    for row in catalog.components() {
        table.row(vec![
            row.id.clone(),
            row.name.clone(),
            row.dp_pa.to_string(),
            format!("{}-{}", row.low_pa, row.high_pa),
            row.m.to_string(),
            row.at.clone(),
            row.source.sure.letter().to_string(),
        ]);
    }
    format!(
        "COMPONENTS: pressure drop at the reference flow, Pa\n\n{}",
        table.text()
    )
}

/// A flow per metre or each in the units shown: cfm per ft or each, L/s per m or each.
pub(super) fn per(q: f64, basis: Basis, units: UnitSystem) -> f64 {
    let counted = match (basis, units) {
        (Basis::PerMetre, UnitSystem::Ip) => Length::from_ft(1.0).si(),
        (Basis::PerMetre, UnitSystem::Si) | (Basis::Each, _) => 1.0,
    };
    flow(q * counted, units)
}

/// `ft`, `m` or `each`.
pub(super) fn unit_word(basis: Basis, units: UnitSystem) -> &'static str {
    match basis {
        Basis::PerMetre => length_unit(units),
        Basis::Each => "each",
    }
}

/// A positive number with two or three significant digits, never in powers of ten.
pub(super) fn short(v: f64) -> String {
    match v {
        v if v >= 99.95 => format!("{v:.0}"),
        v if v >= 9.995 => format!("{v:.1}"),
        v if v >= 0.0995 => format!("{v:.2}"),
        v if v >= 0.00995 => format!("{v:.3}"),
        v if v >= 0.000995 => format!("{v:.4}"),
        v => format!("{v:.5}"),
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    #[test]
    fn no_line_is_wider_than_100_columns() {
        for units in [UnitSystem::Ip, UnitSystem::Si] {
            let text = catalog_text(Catalog::builtin(), units);
            for line in text.lines() {
                assert!(line.chars().count() <= 100, "{line}");
                assert_eq!(line, line.trim_end());
            }
        }
    }

    #[test]
    fn every_row_is_listed() {
        let c = Catalog::builtin();
        let text = catalog_text(c, UnitSystem::Ip);
        for id in c
            .joints()
            .iter()
            .map(|joint| &joint.id)
            .chain(c.roughness_rows().iter().map(|row| &row.id))
            .chain(c.fittings().iter().map(|row| &row.id))
            .chain(c.components().iter().map(|row| &row.id))
            .chain(c.methods().iter().map(|row| &row.id))
            .chain(c.serves().iter().map(|row| &row.id))
        {
            assert!(text.contains(id.as_str()), "{id}");
        }
    }

    #[test]
    fn a_metre_becomes_a_foot_as_the_published_tables_have_it() {
        // 0.0254 L/s per m is 0.0164 cfm/ft (Pittsburgh lock, 1 in. w.g.); 23.9 cfm is 11.28 L/s (cabinet)
        let (ip, si) = (UnitSystem::Ip, UnitSystem::Si);
        assert_abs_diff_eq!(per(0.0254e-3, Basis::PerMetre, ip), 0.0164, epsilon = 5e-5);
        assert_abs_diff_eq!(per(11.28e-3, Basis::Each, ip), 23.9, epsilon = 0.01);
        assert_abs_diff_eq!(per(11.28e-3, Basis::Each, si), 11.28, epsilon = 1e-12);
    }
}
