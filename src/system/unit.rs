//! The air handler: its four junctions, three pieces and own seams.

use petgraph::graph::{EdgeIndex, NodeIndex};

use super::blower;
use super::book::Around;
use super::frame::Frame;
use super::notes::{ESTIMATE, PRACTICE, source_words};
use super::plenum::{plenum_seams, plenum_size};
use super::shape;
use super::site::{NewSeam, Site, seam};
use super::types::{ComponentLoss, Piece, PieceKind, PlaceIdx, SeamAt, SeamRole, Side, Unit};
use crate::quantity::{Flow, Pressure, Size};
use crate::sketch::{CoilAt, Diagnostic, FilterAt, Marked};

/// Part of the cabinet's leakage that is its inlet section (the larger panels and the suction side). Engineering estimate.
const INLET_PART: f64 = 0.75;

/// Pipe, drain and cable entries that a coil brings. Common practice: two refrigerant lines and a drain.
const LINE_ENTRIES: f64 = 3.0;

/// Airflow taken when nobody says: 1200 cfm (3 tons at 400 cfm a ton), m³/s. Common practice; the blower curve and the losses of
/// filter, coil and idle blower hang on it.
const USUAL_AIRFLOW_M3_S: f64 = Flow::from_cfm(1200.0).si();

/// Builds the unit.
pub(super) fn build_unit(site: &mut Site<'_>) -> Unit {
    let sketch = site.book.sketch;
    let handler = &sketch.air_handler;
    let place = unit_place(site);
    let book = site.book;
    let around = book.around_unit(
        Some(&handler.over),
        None,
        "air handler",
        place,
        &mut site.places,
        &mut site.notes,
    );
    let supply_size = plenum_size(site, handler.supply_plenum.as_ref(), Side::Supply);
    let return_size = plenum_size(site, handler.return_plenum.as_ref(), Side::Return);

    // The unit lies south of its supply plenum, a step of a third of a metre for each part: a drawing, not a survey.
    let node = |site: &mut Site<'_>, id: &str, y: f64, side: Side| {
        site.junction(
            id.to_owned(),
            &Frame::new([0.0, y, 0.0], [0.0, 1.0, 0.0]),
            side,
        )
    };
    let return_plenum = node(site, "return plenum", -1.0, Side::Return);
    let cabinet_inlet = node(site, "cabinet inlet", -0.6, Side::Return);
    let cabinet_outlet = node(site, "cabinet outlet", -0.3, Side::Supply);
    let supply_plenum = node(site, "supply plenum", 0.0, Side::Supply);

    let airflow = handler
        .airflow
        .as_ref()
        .map(|(flow, by)| (flow.value.si(), *by));
    let q_m3_s = airflow.map_or(USUAL_AIRFLOW_M3_S, |a| a.0);
    if airflow.is_none() {
        let shown = Flow::new(USUAL_AIRFLOW_M3_S).show(book.units);
        site.notes.assume(
            "air handler",
            &format!("airflow: {shown}, for the blower curve and the losses of filter, coil and idle blower"),
            PRACTICE,
        );
    }
    let coil = handler.coil.as_ref().map(|c| c.value).unwrap_or_else(|| {
        site.notes
            .assume("air handler", "coil: after blower", PRACTICE);
        CoilAt::AfterBlower
    });
    let filter = handler.filter.as_ref().map(|f| f.value).unwrap_or_else(|| {
        site.notes.assume("air handler", "filter: unit", PRACTICE);
        FilterAt::Unit
    });
    let idle = book
        .catalog
        .component("idle-blower")
        .map(|c| ComponentLoss {
            dp_pa: c.dp_pa,
            q_m3_s,
            m: c.m,
        });
    let loss = |site: &mut Site<'_>, id: &str, said: Option<&Marked<Pressure>>, there: bool| {
        let row = book.catalog.component(id)?;
        match said {
            Some(said) if !there => no_such_part(site, id, said),
            None if there => site.notes.assume(
                "air handler",
                &format!("{id} loss: {} Pa at the airflow", row.dp_pa),
                &source_words(&row.source),
            ),
            _ => {}
        }
        there.then(|| ComponentLoss {
            dp_pa: said.map_or(row.dp_pa, |dp| dp.value.si()),
            q_m3_s,
            m: row.m,
        })
    };
    let coil_said = handler.coil_loss.as_ref();
    let coil_loss = loss(site, "coil", coil_said, coil != CoilAt::None);
    let filter_said = handler.filter_loss.as_ref();
    let filter_loss = loss(site, "filter", filter_said, filter != FilterAt::None);
    let blower_curve = blower::curve(handler.blower.as_ref(), q_m3_s, book.units, &mut site.notes);
    if let Some(blower) = book.catalog.component("idle-blower") {
        site.notes.assume(
            "air handler",
            &format!("idle blower: {} Pa at the airflow", blower.dp_pa),
            &source_words(&blower.source),
        );
    }
    let inlet = match (coil, filter) {
        (CoilAt::BeforeBlower, _) => ("unit/coil", PieceKind::Coil, coil_loss),
        (_, FilterAt::Unit) => ("unit/filter", PieceKind::Filter, None),
        _ => ("unit/inlet", PieceKind::Link, None),
    };
    let outlet = match coil {
        CoilAt::AfterBlower => ("unit/coil", PieceKind::Coil, coil_loss),
        _ => ("unit/outlet", PieceKind::Link, None),
    };
    let mut part = |from,
                    to,
                    (id, kind, component): (&str, PieceKind, Option<ComponentLoss>),
                    side,
                    section| {
        unit_piece(site, from, to, id, kind, component, side, section, around)
    };
    let inlet_piece = part(
        return_plenum,
        cabinet_inlet,
        inlet,
        Side::Return,
        return_size,
    );
    let blower = ("unit/blower", PieceKind::Blower, idle);
    let blower_piece = part(
        cabinet_inlet,
        cabinet_outlet,
        blower,
        Side::Supply,
        supply_size,
    );
    let outlet_piece = part(
        cabinet_outlet,
        supply_plenum,
        outlet,
        Side::Supply,
        supply_size,
    );

    let add = |site: &mut Site<'_>,
               id: &str,
               what: &str,
               joint: &str,
               amount: f64,
               around: Around,
               side,
               at,
               role,
               piece: &str| {
        unit_seam(site, id, what, joint, amount, around, side, at, role, piece);
    };
    let (inlet_id, outlet_id) = (inlet.0, outlet.0);
    add(
        site,
        "cabinet inlet section",
        "cabinet, inlet section",
        "cabinet",
        INLET_PART,
        around,
        Side::Return,
        cabinet_inlet,
        SeamRole::CabinetInlet,
        "unit/blower",
    );
    add(
        site,
        "cabinet outlet section",
        "cabinet, outlet section",
        "cabinet",
        1.0 - INLET_PART,
        around,
        Side::Supply,
        cabinet_outlet,
        SeamRole::CabinetOutlet,
        "unit/blower",
    );
    site.notes.assume(
        "air handler",
        "cabinet leakage: three quarters in the inlet section, a quarter in the outlet section",
        ESTIMATE,
    );
    let metres = shape::perimeter(&supply_size);
    add(
        site,
        "supply connection",
        "cabinet to supply plenum",
        "conn-supply-plenum",
        metres,
        around,
        Side::Supply,
        supply_plenum,
        SeamRole::Duct,
        outlet_id,
    );
    let metres = shape::perimeter(&return_size);
    add(
        site,
        "return connection",
        "cabinet to return plenum",
        "conn-return-plenum",
        metres,
        around,
        Side::Return,
        return_plenum,
        SeamRole::Duct,
        inlet_id,
    );
    if filter == FilterAt::Unit {
        add(
            site,
            "filter slot",
            "filter slot",
            "filter-slot",
            1.0,
            around,
            Side::Return,
            cabinet_inlet,
            SeamRole::FilterSlot,
            inlet_id,
        );
    }
    let entries = match coil {
        CoilAt::AfterBlower => Some((cabinet_outlet, Side::Supply)),
        CoilAt::BeforeBlower => Some((cabinet_inlet, Side::Return)),
        CoilAt::None => None,
    };
    if let Some((at, side)) = entries {
        site.notes.assume(
            "air handler",
            "3 pipe and drain entries at the coil",
            PRACTICE,
        );
        add(
            site,
            "line entry",
            "pipe and drain entries",
            "penetration",
            LINE_ENTRIES,
            around,
            side,
            at,
            SeamRole::Duct,
            "unit/coil",
        );
    }
    plenum_seams(
        site,
        handler.supply_plenum.as_ref(),
        supply_size,
        Side::Supply,
        supply_plenum,
        place,
    );
    plenum_seams(
        site,
        handler.return_plenum.as_ref(),
        return_size,
        Side::Return,
        return_plenum,
        place,
    );

    Unit {
        place: around.place,
        return_plenum,
        cabinet_inlet,
        cabinet_outlet,
        supply_plenum,
        inlet_piece,
        blower_piece,
        outlet_piece,
        airflow_m3_s: airflow,
        blower: blower_curve,
        filter: filter_loss,
    }
}

fn no_such_part(site: &mut Site<'_>, id: &str, said: &Marked<Pressure>) {
    site.notes.wrong(
        Diagnostic::new(
            "E0238",
            said.at,
            format!("a loss is given for a {id} that is not there"),
        )
        .label(format!("the sketch says `{id}: none`"))
        .hint(format!("take `{id} loss` out, or say where the {id} sits")),
    );
}

fn unit_place(site: &mut Site<'_>) -> PlaceIdx {
    let handler = &site.book.sketch.air_handler;
    let said = handler.place.as_ref().or(handler.over.place.as_ref());
    if let Some(place) = said.and_then(|p| site.places.resolve(p, &mut site.notes)) {
        return place;
    }
    if said.is_none() {
        site.notes.assume(
            "air handler",
            "place: inside",
            "engineering estimate; say where it stands",
        );
    }
    // `inside` is built in, and place 0 stands in only when the sketch is refused anyway.
    site.places.find("inside", &mut site.notes).unwrap_or(0)
}

#[allow(clippy::too_many_arguments)] // one piece, all of it needed
fn unit_piece(
    site: &mut Site<'_>,
    from: NodeIndex,
    to: NodeIndex,
    id: &str,
    kind: PieceKind,
    component: Option<ComponentLoss>,
    side: Side,
    section: Size,
    around: Around,
) -> EdgeIndex {
    let piece = Piece {
        id: id.to_owned(),
        kind,
        run: None,
        step: None,
        side,
        section,
        length_m: 0.0,
        roughness_m: 0.0,
        friction_factor: 1.0,
        loss: 0.0,
        component,
        place: around.place,
        reach: around.reach,
        made_of: "air handler".to_owned(),
        surface_m2: 0.0,
        insulation_m2_k_w: around.insulation,
        takeoff_form: None,
    };
    site.piece(from, to, piece)
}

#[allow(clippy::too_many_arguments)] // one seam, all of it needed
fn unit_seam(
    site: &mut Site<'_>,
    id: &str,
    what: &str,
    joint: &str,
    amount: f64,
    around: Around,
    side: Side,
    at: NodeIndex,
    role: SeamRole,
    piece: &str,
) {
    if let Some(joint) = site.book.joint(joint) {
        push(
            site,
            format!("unit/{id}"),
            piece,
            what.to_owned(),
            joint,
            amount,
            1.0,
            around,
            side,
            at,
            role,
        );
    }
}

/// Adds one seam of the unit.
#[allow(clippy::too_many_arguments)] // one seam, all of it needed
pub(super) fn push(
    site: &mut Site<'_>,
    id: String,
    piece: &str,
    what: String,
    joint: &crate::catalog::JointType,
    amount: f64,
    factor: f64,
    around: Around,
    side: Side,
    at: NodeIndex,
    role: SeamRole,
) {
    site.unit_seams.push(seam(NewSeam {
        id,
        run: "unit",
        piece: piece.to_owned(),
        what,
        joint,
        amount,
        factor,
        around,
        side,
        at: SeamAt::Junction(at),
        role,
        own: None,
        own_part: 1.0,
    }));
}
