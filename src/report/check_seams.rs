//! `ductseam check --seams`: every seam by the id that looks and sealing name it by.

use super::figures::{flow, flow_unit};
use super::lines::{Holds, Table, wrapped};
use super::words;
use crate::quantity::UnitSystem;
use crate::system::System;

/// One line a seam, in the order of the walks, for a terminal.
#[must_use]
pub fn check_seams_text(system: &System, units: UnitSystem) -> String {
    let mut table = Table::new(&[
        ("seam", Holds::Words, 38),
        ("joint type", Holds::Names, 22),
        (flow_unit(units), Holds::Numbers, 6),
        ("reach", Holds::Words, 11),
        ("place", Holds::Words, 12),
    ]);
    for seam in &system.seams {
        table.row(vec![
            seam.id.clone(),
            seam.joint_type.clone(),
            format!("{:.2}", flow(seam.mean_q25_m3_s, units)),
            words::reach(seam.reach).to_owned(),
            system.places[seam.place].name.clone(),
        ]);
    }
    let mut text = String::from(
        "Seams, as looks, sealing steps and the crew's list name them (expected as above)\n",
    );
    text.push_str(&table.text());
    text.push_str(&wrapped(
        "  ",
        "Several at once: `all boots`, `all takeoffs of run kitchen`.",
    ));
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn every_seam_stands_with_its_id_type_reach_and_place() {
        let system = samples::system();
        for units in [UnitSystem::Ip, UnitSystem::Si] {
            let text = check_seams_text(&system, units);
            assert!(
                text.lines().all(|line| line.chars().count() <= 100),
                "{text}"
            );
            for seam in &system.seams {
                assert!(text.contains(&seam.id), "{}\n{text}", seam.id);
                assert!(text.contains(&seam.joint_type), "{text}");
            }
        }
    }
}
