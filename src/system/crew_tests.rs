use super::super::build::build;
use super::*;
use crate::sketch::Diagnostics;

/// An invented house: an open trunk in a basement, a branch in a wall, flex under insulation.
const HOUSE: &str = "\
ductseam: 1
title: Small house (invented)
air handler: {place: basement, airflow: 800 cfm assumed}
usual: {all: {place: basement, work: unsealed, reach: open}}
runs:
  - {id: S, from: supply plenum, size: 16x8 in, walk: [north 20 ft, damper, cap]}
  - {id: den, from: S at 6 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in in wall behind finish]}
  - {id: bath, from: S at 15 ft left, size: 6 in, material: flex, place: attic, reach: under insulation, insulation: R-6,
     walk: [20 ft, boot 10x4 in]}
  - {id: far, from: S at 16 ft left, size: 6 in, reach: under insulation, walk: [tab collar, 5 ft, boot 10x4 in]}
  - {id: R, from: return plenum, size: 14x10 in, walk: [south 8 ft, return box 20x20 in]}
";

fn built(rest: &str) -> Result<System, Diagnostics> {
    let text = format!("{HOUSE}{rest}");
    let sketch = sketch::read(&text, "house.yaml")?;
    build(&sketch, &text, "house.yaml", Catalog::builtin())
}

fn system(rest: &str) -> System {
    built(rest).unwrap_or_else(|wrong| panic!("{}", wrong.render(false)))
}

fn codes(rest: &str) -> Vec<&'static str> {
    let wrong = built(rest).expect_err("is refused");
    wrong.items.iter().map(|item| item.code).collect()
}

fn index(system: &System, id: &str) -> SeamIdx {
    let found = system.seams.iter().position(|seam| seam.id == id);
    found.unwrap_or_else(|| {
        let ids: Vec<&str> = system.seams.iter().map(|seam| seam.id.as_str()).collect();
        panic!("no `{id}` in {ids:?}")
    })
}

/// Ids of the methods that serve a seam.
fn ids(system: &System, id: &str) -> Vec<String> {
    let ways = system.ways(index(system, id));
    ways.iter()
        .map(|way| system.crew.methods[way.method].id.clone())
        .collect()
}

/// The way of a seam by a method.
fn way(system: &System, seam: &str, method: &str) -> Way {
    let wanted = system.crew.method(method).expect("a method");
    let ways = system.ways(index(system, seam));
    ways.iter()
        .find(|way| way.method == wanted)
        .unwrap_or_else(|| panic!("no {method} for {seam}"))
        .clone()
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn every_seam_has_a_way_or_a_reason_and_none_has_both() {
    for rest in [
        "",
        "crew: {from inside: yes}\n",
        "crew: {leave: all boots}\n",
    ] {
        let system = system(rest);
        assert_eq!(system.crew.ways.len(), system.seams.len());
        assert_eq!(system.crew.left.len(), system.seams.len());
        for (i, seam) in system.seams.iter().enumerate() {
            let served = system
                .ways(i)
                .iter()
                .any(|way| system.crew.from_inside || !system.crew.methods[way.method].from_inside);
            assert_eq!(!served, system.crew.left[i].is_some(), "{}", seam.id);
        }
        assert_eq!(system.crew.place_minutes.len(), system.places.len());
    }
}

#[test]
fn brush_mastic_serves_only_what_lies_more_than_three_metres_from_the_unit() {
    let system = system("");
    // Sections of 4 ft: joint 1 lies at 4 ft, joint 4 at 16 ft.
    assert_eq!(ids(&system, "S/joint 1")[0], "mastic-mesh");
    assert_eq!(ids(&system, "S/joint 4")[0], "mastic");
    assert_eq!(ids(&system, "S/joint 4")[1], "mastic-mesh");
    // Off the trunk at 6 ft against 16 ft.
    assert_eq!(ids(&system, "den/tab collar")[0], "mastic-mesh");
    assert_eq!(ids(&system, "far/tab collar")[0], "mastic");
    assert_eq!(ids(&system, "unit/supply connection")[0], "mastic-mesh");
    // 8 ft of return do not reach 10 ft.
    assert!(!ids(&system, "R/joint 1").contains(&"mastic".to_owned()));
}

#[test]
fn what_no_hand_reaches_is_sealed_from_inside_or_not_at_all() {
    let (by_hand, inside) = (system(""), system("crew: {from inside: yes}\n"));
    let why = |system: &System, id: &str| system.crew.left[index(system, id)].clone();
    assert_eq!(
        why(&by_hand, "den/boot").as_deref(),
        Some("behind finish"),
        "{:?}",
        ids(&by_hand, "den/boot")
    );
    assert_eq!(ids(&inside, "den/boot"), ["inside"]);
    // Behind the plug in the throat, but within reach of the room.
    assert_eq!(why(&by_hand, "den/boot gap"), None);
    assert_eq!(
        ids(&inside, "den/boot gap"),
        ["caulk", "bridge-mesh", "patch"]
    );
    assert!(way(&by_hand, "den/boot gap", "caulk").from_room);
    let forgotten = "supply/unsketched";
    assert_eq!(
        why(&inside, forgotten).as_deref(),
        Some("nobody knows where it is")
    );
    // What sealing from inside would do is known whether it is offered or not.
    assert!(!by_hand.crew.from_inside && inside.crew.from_inside);
    for system in [&by_hand, &inside] {
        assert_eq!(
            ids(system, "bath/flex collar"),
            ["flex-mastic", "redo", "inside"]
        );
    }
}

#[test]
fn the_unit_is_isolated_when_sealing_from_inside_and_its_plenums_are_not() {
    let system = system("crew: {from inside: yes}\n");
    let inside = "inside".to_owned();
    for seam in [
        "unit/cabinet inlet section",
        "unit/cabinet outlet section",
        "unit/supply connection",
        "unit/return connection",
        "unit/filter slot",
        "unit/line entry",
        "den/boot gap",
    ] {
        assert!(!ids(&system, seam).contains(&inside), "{seam}");
    }
    for seam in ["unit/supply plenum joint 1", "S/joint 1", "S/cap"] {
        assert!(ids(&system, seam).contains(&inside), "{seam}");
    }
}

#[test]
fn a_way_holds_fastening_insulation_and_the_length_of_the_joint() {
    let system = system("crew: {from inside: yes}\nminutes: {bare insulation: 9}\n");
    let collar = way(&system, "far/tab collar", "mastic");
    // Round a pipe of 6 in, under insulation.
    assert!(near(collar.joint_m, std::f64::consts::PI * 0.1524));
    assert!(near(collar.bare_minutes, 9.0) && near(collar.fasten_minutes, 3.0));
    assert!(
        collar
            .fasten
            .as_deref()
            .is_some_and(|f| f.contains("tabs bent"))
    );
    // 3 + 5 · 0.4788 + 3 + 9 minutes, 0.04 L a metre.
    let mastic = &system.crew.methods[collar.method];
    assert!(near(
        collar.minutes(mastic),
        15.0 + 5.0 * std::f64::consts::PI * 0.1524
    ));
    assert!(near(
        collar.material(mastic),
        0.04 * std::f64::consts::PI * 0.1524
    ));
    // The minutes of a flex collar hold its jacket, and from inside nothing is bared or fastened.
    assert!(near(
        way(&system, "bath/flex collar", "flex-mastic").bare_minutes,
        0.0
    ));
    let inside = way(&system, "far/tab collar", "inside");
    assert!(near(inside.bare_minutes + inside.fasten_minutes, 0.0) && inside.fasten.is_none());
    // In the open nothing is bared.
    assert!(near(
        way(&system, "den/tab collar", "mastic-mesh").bare_minutes,
        0.0
    ));
    // Three entries of 0.1 m; three quarters of a cabinet's 4 m of panel joints; 0.7 m of lap seam of a boot.
    assert!(near(way(&system, "unit/line entry", "caulk").joint_m, 0.3));
    assert!(near(
        way(&system, "unit/cabinet inlet section", "gasket").joint_m,
        3.0
    ));
    assert!(near(way(&system, "far/boot", "mastic").joint_m, 0.7));
}

#[test]
fn an_end_block_goes_once_round_its_bay() {
    let system = system(
        "  - {id: P, from: R at 4 ft up, size: 14x8 in, material: panned joist, walk: [6 ft, cap]}\n",
    );
    let i = system
        .seams
        .iter()
        .position(|seam| seam.run == "P" && seam.joint_type == "pan-end")
        .expect("a bay has an end");
    let block = &system.ways(i)[0];
    assert!(
        near(block.joint_m, 2.0 * (14.0 + 8.0) * 0.0254),
        "{block:?}"
    );
    let caulk = &system.crew.methods[block.method];
    assert_eq!(caulk.id, "caulk");
}

#[test]
fn a_persons_own_figures_stand_over_the_catalogues() {
    let system = system(
        "crew:
  currency: USD
  hour: 95
  visit: 60
  set up: {Attic: 20, crawl: 25}
  from inside: yes
  leave: [den/tab collar, all boots in attic]
  methods:
    mastic mesh: {minutes each: 6, minutes per metre: 9, minutes once: 4, remains: 12 %, missed: 20 %, cure: 36 h, price: 14, price once: 2, gap to: 1/4 in}
    foil tape: no
    inside: {minutes once: 200, price once: 900}
    gasket: yes
",
    );
    let crew = &system.crew;
    assert_eq!(
        (
            crew.currency.as_str(),
            crew.money_per_hour,
            crew.money_per_visit
        ),
        ("USD", Some(95.0), Some(60.0))
    );
    assert!(crew.from_inside && crew.method("foil-tape").is_none());
    let mesh = &crew.methods[crew.method("mastic-mesh").expect("is used")];
    assert!(near(mesh.minutes_each, 6.0) && near(mesh.minutes_per_m, 9.0));
    assert!(near(mesh.minutes_once, 4.0) && near(mesh.remains, 0.12));
    assert!(near(mesh.missed, 0.2) && near(mesh.cure_h, 36.0));
    assert!(near(mesh.gap_to_m, 0.00635));
    assert_eq!(
        (mesh.money_per_unit, mesh.money_once),
        (Some(14.0), Some(2.0))
    );
    assert!(
        mesh.source
            .starts_with("given in the sketch: minutes each, minutes per metre")
    );
    assert!(mesh.source.contains("the rest: "));
    let patch = &crew.methods[crew.method("patch").expect("is used")];
    assert!(patch.source.contains("engineering estimate") && patch.money_per_unit.is_none());
    let inside = &crew.methods[crew.method("inside").expect("is used")];
    assert!(near(inside.minutes_once, 200.0) && inside.money_once == Some(900.0));

    for (place, minutes) in system.places.iter().zip(&crew.place_minutes) {
        let own = if place.name == "attic" { 20.0 } else { 10.0 };
        assert!(near(*minutes, own), "{}", place.name);
    }
    assert!(
        crew.place_minutes_source
            .starts_with("given in the sketch for attic; the rest: ")
    );
    // A place where no duct lies is no place of the system.
    assert!(!system.places.iter().any(|place| place.name == "crawlspace"));

    let left = |id: &str| crew.left[index(&system, id)].as_deref();
    assert_eq!(left("den/tab collar"), Some("left, as the sketch says"));
    assert_eq!(left("bath/boot gap"), Some("left, as the sketch says"));
    assert_eq!(left("far/boot gap"), None);
    assert!(near(crew.reattach_minutes, 20.0));
}

#[test]
fn a_seam_whose_methods_are_not_used_says_so() {
    let system = system("crew: {methods: {gasket: no, foil tape: no}}\n");
    assert_eq!(
        system.crew.left[index(&system, "unit/filter slot")].as_deref(),
        Some("no method used here serves it")
    );
}

#[test]
fn minutes_of_the_sketch_reach_the_crew() {
    let system = system("minutes: {place set up: 15, reattach: 33}\n");
    assert!(near(system.crew.reattach_minutes, 33.0));
    assert!(system.crew.place_minutes.iter().all(|m| near(*m, 15.0)));
    assert_eq!(system.crew.place_minutes_source, "given in the sketch");
}

#[test]
fn every_method_of_the_catalogue_can_be_given_figures() {
    let mut text = String::from("crew:\n  from inside: yes\n  methods:\n");
    for row in Catalog::builtin().methods() {
        text.push_str(&format!(
            "    {}: {{minutes each: 7}}\n",
            row.id.replace('-', " ")
        ));
    }
    let system = system(&text);
    assert_eq!(
        system.crew.methods.len(),
        Catalog::builtin().methods().len()
    );
    assert!(
        system
            .crew
            .methods
            .iter()
            .all(|m| near(m.minutes_each, 7.0))
    );
}

#[test]
fn what_contradicts_itself_is_refused() {
    for (crew, code) in [
        ("set up: {atic: 20}", "E0202"),
        ("set up: {crawl: 20, attic: 5, Attic: 4}", "E0260"),
        (
            "from inside: no, methods: {inside: {remains: 20 %}}",
            "E0261",
        ),
        ("from inside: yes, methods: {inside: no}", "E0261"),
        ("methods: {inside: {price: 3}}, from inside: yes", "E0262"),
        ("leave: all chimneys", "E0229"),
        ("leave: den/tab colar", "E0230"),
        ("methods: {mastik: no}", "E0109"),
        ("methods: {mastic: {remains: 100 %}}", "E0121"),
        ("methods: {mastic: {remains: 0 %}}", "E0121"),
        ("methods: {mastic: {minutes each: -1}}", "E0121"),
        ("methods: {mastic: {cure: 24}}", "E0120"),
        ("methods: {mastic: maybe}", "E0112"),
        ("methods: {mastic: no, mastic: {remains: 10 %}}", "E0108"),
        ("currency: doubloons", "E0121"),
        ("hour: 95 USD", "E0120"),
        ("set up: {attic: -3}", "E0121"),
    ] {
        assert_eq!(codes(&format!("crew: {{{crew}}}\n")), [code], "{crew}");
    }
    // Not offered, and nothing said against it.
    let system = system("crew: {methods: {inside: {remains: 20 %}}}\n");
    let mut codes = system.warnings.iter().map(|w| w.code.as_str());
    assert!(codes.any(|code| code == "from-inside-not-offered"));
    let ordinary = self::system("crew: {from inside: no, methods: {inside: no}}\n");
    assert!(!ordinary.crew.from_inside);
}
