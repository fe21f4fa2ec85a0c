//! The running design and what it is made of, in words and tables.

use super::text::PredictTextSettings;
use crate::catalog::Basis;
use crate::predict::{Design, FastPiece, Materials};
use crate::quantity::{Pressure, ThermalResistance, UnitSystem};
use crate::report::allocation_text::listed;
use crate::report::figures::{area, area_unit, flow_unit, leak, length, length_unit, number};
use crate::report::flow::{pressure, velocity, velocity_unit};
use crate::report::lines::{Holds, Table, wrapped};
use crate::report::plan::material;
use crate::report::words::counted;
use crate::system::System;

/// Metres in a hundred feet.
const HUNDRED_FT_M: f64 = 30.48;

pub fn running(system: &System, design: &Design, units: UnitSystem) -> String {
    // Figures of a solve that did not settle are no figures.
    if !design.doubt.is_empty() {
        return String::new();
    }
    let mut said = vec![format!(
        "{} {} through the blower ({}) ask {} from plenum to plenum; {}: {}.",
        leak(design.airflow_m3_s, units),
        flow_unit(units),
        match (design.airflow_stated, design.own_curve) {
            (true, _) => "as stated",
            (false, true) => "by the blower's own points",
            (false, false) => "by an estimated curve: state `airflow`",
        },
        pressure(design.static_pa, units),
        if design.static_pa > design.static_practice.value {
            "more than the usual rating"
        } else {
            "within the usual rating"
        },
        design.static_practice.source
    )];
    if let Some(steepest) = &design.steepest {
        said.push(format!(
            "Highest friction: {} in `{}`; usual at most {} ({}).",
            friction(steepest.friction_pa_m, units),
            steepest.id,
            friction(design.friction_practice.value, units),
            design.friction_practice.source
        ));
    }
    match design.fast.first() {
        None => said.push("No straight duct is faster than is usual for quiet houses.".to_owned()),
        Some(_) => {
            let named: Vec<String> = design.fast.iter().map(|p| fast(p, units)).collect();
            let mut sources: Vec<&str> = design.fast.iter().map(|p| p.practice.source).collect();
            sources.dedup();
            said.push(format!(
                "Faster than usual: {} ({}).",
                named.join(", "),
                sources.join("; ")
            ));
        }
    }
    for register in &design.registers {
        let opening = &system.openings[register.opening];
        let name = opening.room.as_deref().unwrap_or(&opening.id);
        let meant = register.meant_m3_s.map_or_else(String::new, |meant| {
            format!(" of {} meant", leak(meant, units))
        });
        said.push(format!(
            "{name}: {} {}{meant}, {} lost on the way from the plenum.",
            leak(register.flow_m3_s, units),
            flow_unit(units),
            pressure(register.loss_pa, units)
        ));
    }
    listed(
        "While running, every seam at its mean (the register that falls shortest, and the one with most loss)",
        said.iter().map(String::as_str),
    )
}

fn fast(piece: &FastPiece, units: UnitSystem) -> String {
    format!(
        "`{}` {} of {} {}",
        piece.id,
        velocity(piece.velocity_m_s, units),
        velocity(piece.practice.value, units),
        velocity_unit(units)
    )
}

/// Friction by length: inches of water per 100 ft, or Pa/m.
fn friction(pa_m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Ip => format!(
            "{} in. w.g. per 100 ft",
            number(Pressure::from_pa(pa_m * HUNDRED_FT_M).to_in_wg(), 3)
        ),
        UnitSystem::Si => format!("{} Pa/m", number(pa_m, 2)),
    }
}

pub fn made_of(materials: &Materials, settings: PredictTextSettings) -> String {
    let units = settings.units;
    let metres = |m: f64| format!("{} {}", number(length(m, units), 0), length_unit(units));
    let sealants: Vec<String> = materials
        .sealants
        .iter()
        .map(|line| {
            format!(
                "{} of {} ({})",
                material(line.amount, &line.unit, units),
                line.material,
                counted(line.seams, "seam", "seams")
            )
        })
        .collect();
    let to_seal = format!(
        "to seal every seam by hand, each by what suits it best: {}",
        sealants.join(", ")
    );
    if !settings.materials {
        let ducts = materials.ducts.iter().map(|line| line.length_m);
        let fittings: usize = materials.fittings.iter().map(|line| line.count).sum();
        let seams: usize = materials.seams.iter().map(|line| line.count).sum();
        return wrapped(
            "Made of: ",
            &format!(
                "{} of duct, {}, {}; {to_seal}. `--materials` lists everything.",
                metres(ducts.fold(0.0, |sum, m| sum + m)),
                counted(fittings, "fitting", "fittings"),
                counted(seams, "seam", "seams"),
            ),
        ) + "\n";
    }
    let mut table = Table::new(&[
        ("made of", Holds::Words, 56),
        ("pieces", Holds::Numbers, 6),
        (length_unit(units), Holds::Numbers, 8),
        (area_unit(units), Holds::Numbers, 8),
    ]);
    table.heading("  duct");
    for line in &materials.ducts {
        table.row(vec![
            format!("{}, {}", line.made_of, line.size.show(units)),
            line.lengths.to_string(),
            number(length(line.length_m, units), 1),
            number(area(line.surface_m2, units), 0),
        ]);
    }
    table.heading("  fittings");
    for line in &materials.fittings {
        table.row(vec![
            format!("{}, {}", line.what, line.size.show(units)),
            line.count.to_string(),
            String::new(),
            String::new(),
        ]);
    }
    table.heading("  seams");
    for line in &materials.seams {
        let by_length = line.basis == Basis::PerMetre;
        table.row(vec![
            line.name.clone(),
            line.count.to_string(),
            if by_length {
                number(length(line.amount, units), 1)
            } else {
                String::new()
            },
            String::new(),
        ]);
    }
    if !materials.insulation.is_empty() {
        table.heading("  insulation");
        for &(resistance, m2) in &materials.insulation {
            table.row(vec![
                ThermalResistance::new(resistance).show(units),
                String::new(),
                String::new(),
                number(area(m2, units), 0),
            ]);
        }
    }
    format!(
        "Made of\n{}{}\n",
        table.text(),
        wrapped("  ", &format!("{to_seal}."))
    )
}
