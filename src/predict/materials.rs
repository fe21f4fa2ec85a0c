//! What a design is made of: metres, pieces, seams, sealant.

use super::types::{DuctLine, FittingLine, Materials, SealantLine, SeamLine};
use crate::quantity::Size;
use crate::system::{Piece, PieceKind, SeamRole, System};

/// Lists everything, each kind once, in the order of the walk.
pub(super) fn materials(system: &System) -> Materials {
    let mut found = Materials::default();
    // A run's pieces between takeoffs are one length of duct: their ids begin with the length's own.
    let mut last_length = String::new();
    for piece in system.graph.edge_weights() {
        if piece.insulation_m2_k_w > 0.0 && piece.surface_m2 > 0.0 {
            add_insulation(&mut found.insulation, piece);
        }
        match piece.kind {
            PieceKind::Straight => {
                let own = piece.id.rfind('/').map_or(0, |slash| slash + 1);
                let end = piece.id[own..].find(" from ");
                let name = &piece.id[..end.map_or(piece.id.len(), |end| own + end)];
                let is_new = name != last_length;
                name.clone_into(&mut last_length);
                add_duct(&mut found.ducts, piece, is_new);
            }
            PieceKind::Plenum => add_duct(&mut found.ducts, piece, true),
            PieceKind::Elbow
            | PieceKind::Takeoff
            | PieceKind::Reducer
            | PieceKind::Boot
            | PieceKind::Cap
            | PieceKind::Inline => add_fitting(&mut found.fittings, word(piece), piece.section),
            PieceKind::Filter | PieceKind::Blower | PieceKind::Coil | PieceKind::Link => {}
        }
    }
    for (i, seam) in system.seams.iter().enumerate() {
        if seam.role == SeamRole::Unsketched {
            continue;
        }
        match found
            .seams
            .iter_mut()
            .find(|line| line.joint_type == seam.joint_type)
        {
            Some(line) => {
                line.count += 1;
                line.amount += seam.amount;
            }
            None => found.seams.push(SeamLine {
                joint_type: seam.joint_type.clone(),
                name: seam.joint_name.clone(),
                count: 1,
                basis: seam.basis,
                amount: seam.amount,
            }),
        }
        add_sealant(&mut found.sealants, system, i);
    }
    found
}

/// The trade word of a fitting: its id without the run and the number.
fn word(piece: &Piece) -> &str {
    let own = piece.id.rsplit('/').next().unwrap_or(&piece.id);
    own.trim_end_matches(|c: char| c.is_ascii_digit())
        .trim_end()
}

fn add_duct(ducts: &mut Vec<DuctLine>, piece: &Piece, is_new: bool) {
    let same = |line: &&mut DuctLine| line.made_of == piece.made_of && line.size == piece.section;
    let new = usize::from(is_new);
    match ducts.iter_mut().find(same) {
        Some(line) => {
            line.length_m += piece.length_m;
            line.surface_m2 += piece.surface_m2;
            line.lengths += new;
        }
        None => ducts.push(DuctLine {
            made_of: piece.made_of.clone(),
            size: piece.section,
            length_m: piece.length_m,
            lengths: new,
            surface_m2: piece.surface_m2,
        }),
    }
}

fn add_fitting(fittings: &mut Vec<FittingLine>, what: &str, size: Size) {
    match fittings
        .iter_mut()
        .find(|line| line.what == what && line.size == size)
    {
        Some(line) => line.count += 1,
        None => fittings.push(FittingLine {
            what: what.to_owned(),
            size,
            count: 1,
        }),
    }
}

fn add_insulation(insulation: &mut Vec<(f64, f64)>, piece: &Piece) {
    let resistance = piece.insulation_m2_k_w;
    match insulation
        .iter_mut()
        .find(|(r, _)| (r - resistance).abs() < 1e-9)
    {
        Some((_, area)) => *area += piece.surface_m2,
        None => insulation.push((resistance, piece.surface_m2)),
    }
}

/// What the best-suited way by hand takes.
fn add_sealant(sealants: &mut Vec<SealantLine>, system: &System, seam: usize) {
    let methods = &system.crew.methods;
    let Some(way) = system
        .ways(seam)
        .iter()
        .find(|way| !methods[way.method].from_inside)
    else {
        return;
    };
    let method = &methods[way.method];
    let amount = way.material(method);
    if amount <= 0.0 {
        return;
    }
    match sealants
        .iter_mut()
        .find(|line| line.material == method.material && line.unit == method.unit)
    {
        Some(line) => {
            line.amount += amount;
            line.seams += 1;
        }
        None => sealants.push(SealantLine {
            material: method.material.clone(),
            unit: method.unit.clone(),
            amount,
            seams: 1,
        }),
    }
}
