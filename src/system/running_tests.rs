//! What a sketch says of the running system, from its words to the system.

use super::*;
use crate::catalog::Catalog;
use crate::sketch::{Diagnostics, read};

const RUNS: &str = "
runs:
  - {id: S, from: supply plenum, size: 20x8 in, walk: [north 12 ft, damper 40 deg, 4 ft, cap]}
  - {id: kitchen, from: S at 3 ft left, size: 6 in, room: Kitchen, walk: [tab collar, 4 ft, damper, boot 10x4 in]}
  - {id: den, from: S at 6 ft left, size: 10x4 in, room: den, walk: [side tap, 4 ft, boot 10x4 in]}
  - {id: attic den, from: S at 9 ft top, size: 14x14 in, room: den, walk: [side tap, 4 ft, boot 10x4 in]}
  - {id: tall, from: S at 9 ft right, size: 10x6 in, walk: [side tap, 4 ft, boot 10x4 in]}
  - {id: onward, from: supply plenum, size: 8 in, material: flex, walk: [tab collar, 4 ft, boot 10x4 in]}
  - {id: R, from: return plenum, size: 14 in, walk: [tab collar, 6 ft, return box 20x20 in]}
  - {id: R2, from: R at 2 ft left, size: 10 in, walk: [4 ft, return box 20x10 in]}
  - {id: fresh, from: R at 4 ft right, size: 6 in, walk: [4 ft, intake 6 in]}
";

fn build_of(head: &str, runs: &str) -> Result<System, Diagnostics> {
    let text = format!("ductseam: 1\ntitle: Running (invented)\n{head}{runs}");
    let sketch = read(&text, "running.yaml")?;
    build(&sketch, &text, "running.yaml", Catalog::builtin())
}

fn made(head: &str) -> System {
    match build_of(head, RUNS) {
        Ok(system) => system,
        Err(wrong) => panic!("{}", wrong.render(false)),
    }
}

fn piece<'s>(system: &'s System, id: &str) -> &'s Piece {
    let found = system.graph.edge_weights().find(|p| p.id == id);
    found.unwrap_or_else(|| panic!("no piece `{id}`"))
}

fn opening<'s>(system: &'s System, id: &str) -> &'s Opening {
    let found = system.openings.iter().find(|o| o.id == id);
    found.unwrap_or_else(|| panic!("no opening `{id}`"))
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-9 * b.abs().max(1e-6), "{a} against {b}");
}

const CFM: f64 = 4.719_474_432e-4;
const INWC: f64 = 249.088_91;

#[test]
fn every_default_of_a_running_system_is_listed() {
    let system = made("house: {floor area: 1500 ft2}\nair handler: {place: basement}\n");
    for taken in [
        "blower: fixed speed",
        "blower curve: the shape of a split-capacitor motor, 1200 cfm at 125 Pa",
        "filter loss: 25 Pa at the airflow",
        "coil loss: 37 Pa at the airflow",
        "height: 8 ft",
        // 1500 ft2 of 8 ft, seven times an hour: 12000 · 7/60 ft3/min
        "envelope: 1400 cfm at 50 Pa, 7 air changes an hour",
        "doors: open",
    ] {
        let found = system.defaults.iter().any(|d| d.taken == taken);
        assert!(found, "{taken}: {:#?}", system.defaults);
    }
    near(
        system.envelope.expect("there is a floor area").q_m3_s / CFM,
        1400.0,
    );
}

#[test]
fn nothing_is_estimated_of_an_envelope_without_a_floor_area() {
    let system = made("air handler: {place: basement}\n");
    assert_eq!(system.envelope, None);
    assert!(system.places.iter().all(|p| p.to_house.is_none()));
}

#[test]
fn what_is_said_of_the_unit_is_taken() {
    let system = made(
        "air handler: {place: attic, airflow: 1200 cfm assumed, filter loss: 0.10 inwc, coil loss: 0.15 inwc,\n  \
         blower: {points: [900 cfm at 0.8 inwc, 1310 cfm at 0.2 inwc, 1150 cfm at 0.5 inwc]}}\n",
    );
    let unit = &system.unit;
    assert_eq!(unit.blower.kind, BlowerKind::Points);
    for ((rise, q), (inwc, cfm)) in
        unit.blower
            .points
            .iter()
            .zip([(0.2, 1310.0), (0.5, 1150.0), (0.8, 900.0)])
    {
        near(rise / INWC, inwc);
        near(q / CFM, cfm);
    }
    let filter = unit.filter.expect("a filter at the unit");
    near(filter.dp_pa / INWC, 0.10);
    near(filter.q_m3_s / CFM, 1200.0);
    let coil = system.graph[unit.outlet_piece].component.expect("a coil");
    near(coil.dp_pa / INWC, 0.15);
    assert!(system.openings.iter().all(|o| o.filter.is_none()));
}

#[test]
fn a_filter_at_the_grilles_is_shared_by_their_area_and_not_by_the_intake() {
    let system = made(
        "air handler: {place: attic, airflow: 1200 cfm assumed, filter: grille, filter loss: 30 Pa}\n",
    );
    assert_eq!(system.unit.filter, None);
    for (id, part) in [("R/return box", 2.0 / 3.0), ("R2/return box", 1.0 / 3.0)] {
        let filter = opening(&system, id).filter.expect("a filter in the grille");
        near(filter.dp_pa, 30.0);
        near(filter.q_m3_s / CFM, 1200.0 * part);
    }
    assert_eq!(opening(&system, "fresh/intake").filter, None);
    assert_eq!(opening(&system, "den/boot").filter, None);
}

#[test]
fn an_intake_leads_outdoors_and_has_no_gap_to_a_room() {
    let system = made("air handler: {place: attic}\n");
    let intake = opening(&system, "fresh/intake");
    assert_eq!(intake.leads_to, LeadsTo::Outdoors);
    assert_eq!((intake.side, intake.room_index), (Side::Return, None));
    let of_fresh: Vec<&Seam> = system.seams.iter().filter(|s| s.run == "fresh").collect();
    assert!(of_fresh.iter().all(|s| s.role == SeamRole::Duct));
    assert!(of_fresh.iter().all(|s| s.joint_type != "boot-to-surface"));
    // one joint behind the collar, one at the intake
    let joints = of_fresh
        .iter()
        .filter(|s| s.joint_type == "joint-round-crimp");
    assert_eq!(joints.count(), 2);
    near(intake.loss, (1.007_f64 / 0.7).powi(2) + 1.0);
}

#[test]
fn rooms_stand_in_the_order_of_the_runs_and_openings_know_theirs() {
    let system = made(
        "air handler: {place: attic}\nrooms: [{room: Den, door: closed, undercut: 0.75x30 in, transfer: 12x6 in}, \
         {room: kitchen, door: closed}]\n",
    );
    let names: Vec<&str> = system.rooms.iter().map(|r| r.name.as_str()).collect();
    assert_eq!(names, ["Kitchen", "den"]);
    assert_eq!(opening(&system, "den/boot").room_index, Some(1));
    assert_eq!(opening(&system, "attic den/boot").room_index, Some(1));
    assert_eq!(opening(&system, "tall/boot").room_index, None);
    let den = &system.rooms[1];
    assert_eq!((den.door, den.paths.len()), (Door::Closed, 2));
    // orifice: 0.6 · A · √(2 Δp/ρ), 22.5 in2 and 72 in2
    for (path, square_inches) in den.paths.iter().zip([22.5, 72.0]) {
        let area = square_inches * 0.0254 * 0.0254;
        near(
            path.q_m3_s,
            0.6 * area * (2.0 * path.dp_pa / 1.204_f64).sqrt(),
        );
        near(path.n, 0.5);
    }
    let usual = 15.0 * 0.0254 * 0.0254;
    let kitchen = &system.rooms[0].paths;
    near(
        kitchen[0].q_m3_s,
        0.6 * usual * (2.0 * kitchen[0].dp_pa / 1.204_f64).sqrt(),
    );
    assert!(
        system
            .defaults
            .iter()
            .any(|d| d.taken == "undercut: 0.5x30 in")
    );
}

#[test]
fn takeoffs_off_a_side_carry_their_form_and_others_none() {
    let system = made("air handler: {place: attic}\n");
    let low = |id: &str| piece(&system, id).takeoff_form.map(|f| f.low_branch);
    // round branches never count as low; 4 in of 8 in is low, 6 in is not, 14 in of the 20 in top is not
    assert_eq!(low("kitchen/tab collar"), Some(false));
    assert_eq!(low("den/side tap"), Some(true));
    assert_eq!(low("tall/side tap"), Some(false));
    assert_eq!(low("attic den/side tap"), Some(false));
    // off a round main, and on the return side
    assert_eq!(low("R2/tab collar"), Some(false));
    assert_eq!(low("onward/tab collar"), None);
    assert_eq!(low("R/tab collar"), None);
    let form = piece(&system, "den/side tap").takeoff_form.expect("a tee");
    assert_eq!(form.form, JunctionForm::Tee);
    near(form.angle_deg, 90.0);
}

#[test]
fn a_damper_has_the_loss_of_its_angle_and_a_plain_one_that_of_the_catalogue() {
    let system = made("air handler: {place: attic}\n");
    // the butterfly table: 11 at 40 degrees, 0.19 full open
    near(piece(&system, "S/damper").loss, 11.0);
    near(piece(&system, "kitchen/damper").loss, 0.19);
}

#[test]
fn paths_of_a_place_settle_its_share_or_follow_from_it() {
    let system = made(
        "house: {envelope: 2400 cfm at 50 Pa}\nair handler: {place: basement}\nplaces:\n  \
         basement: {like: buffer, to outdoors: 900 cfm at 50 Pa, to house: 1400 cfm at 50 Pa}\n  \
         garage: {like: buffer, zone reading: 40 of 50 Pa to house, to outdoors: 900 cfm at 50 Pa}\n  \
         shed: {like: buffer, outside: 40 %}\n",
    );
    let place = |name: &str| {
        let found = system.places.iter().find(|p| p.name == name);
        found.expect("it is declared").clone()
    };
    let flow = |path: &Option<LeakPath>, dp: f64| {
        let path = path.as_ref().expect("both paths");
        path.q_m3_s * (dp / path.dp_pa).powf(path.n)
    };
    for name in ["basement", "garage", "shed"] {
        let p = place(name);
        let inside = 50.0 * p.house_share;
        near(
            flow(&p.to_outdoors, inside),
            flow(&p.to_house, 50.0 - inside),
        );
    }
    near(place("garage").house_share, 0.2);
    near(flow(&place("shed").to_outdoors, 50.0) / CFM, 2400.0);
    near(flow(&place("basement").to_house, 50.0) / CFM, 1400.0);
}

#[test]
fn a_liner_and_duct_board_have_their_roughness() {
    let runs = "
runs:
  - {id: A, from: supply plenum, size: 12x8 in, lined: yes, walk: [4 ft, boot 10x4 in]}
  - {id: B, from: supply plenum, size: 12x8 in, walk: [4 ft, boot 10x4 in]}
  - {id: C, from: supply plenum, size: 12x8 in, lined: no, walk: [4 ft, boot 10x4 in]}
  - {id: D, from: supply plenum, size: 12x8 in, material: duct board, walk: [4 ft, boot 10x4 in]}
  - {id: E, from: supply plenum, size: 12x8 in, lined: yes, walk: [4 ft duct board, 4 ft, boot 10x4 in]}
";
    let roughness = |head: &str| {
        let system = match build_of(head, runs) {
            Ok(system) => system,
            Err(wrong) => panic!("{}", wrong.render(false)),
        };
        ["A", "B", "C", "D"].map(|run| {
            let id = format!("{run}/straight 1");
            (1e6 * piece(&system, &id).roughness_m).round() as i64
        })
    };
    // handbook table: liner 1.5 mm, board 0.9 mm; sheet metal 0.12 mm
    assert_eq!(roughness(""), [1500, 120, 120, 900]);
    let usual = "usual: {rectangular: {lined: yes}}\n";
    assert_eq!(roughness(usual), [1500, 1500, 120, 900]);
    // the person's own figure stands, but for a run that says more
    let own = "usual: {rectangular: {lined: yes, roughness: 0.3 mm}}\n";
    assert_eq!(roughness(own), [1500, 300, 300, 900]);
}

#[test]
fn a_filter_at_a_grille_that_is_not_drawn_is_warned_of() {
    let runs = "runs: [{id: A, from: supply plenum, size: 6 in, walk: [4 ft, boot 10x4 in]}]\n";
    let system = match build_of("air handler: {filter: grille}\n", runs) {
        Ok(system) => system,
        Err(wrong) => panic!("{}", wrong.render(false)),
    };
    let found = system
        .warnings
        .iter()
        .any(|w| w.code == "filter-without-grille");
    assert!(found, "{:#?}", system.warnings);
}
