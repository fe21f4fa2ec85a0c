//! Two whole houses against published totals: bookkeeping of pieces and seams more than physics, since the catalogue's
//! estimated rows were chosen with these totals known.

use ductseam::catalog::Catalog;
use ductseam::quantity::Flow;
use ductseam::sketch;
use ductseam::system::{Seam, SeamRole, System, build, summary};

fn house(name: &str, text: &str) -> System {
    let sketch = sketch::read(text, name).unwrap_or_else(|d| panic!("{}", d.render(false)));
    build(&sketch, text, name, Catalog::builtin()).unwrap_or_else(|d| panic!("{}", d.render(false)))
}

fn cfm25(system: &System, counted: impl Fn(&Seam) -> bool) -> f64 {
    let sum: f64 = system
        .seams
        .iter()
        .filter(|s| counted(s))
        .map(|s| s.mean_q25_m3_s)
        .sum();
    Flow::new(sum).to_cfm()
}

fn metres(system: &System, joint: &str) -> f64 {
    summary(system)
        .joint_types
        .iter()
        .find(|t| t.joint_type == joint)
        .map_or(0.0, |t| t.amount)
}

fn drawn(seam: &Seam) -> bool {
    seam.role != SeamRole::Unsketched
}

/// FSEC, Florida houses of 2001: 220 cfm at 25 Pa for supply, return and equipment; the band accepted is 150 to 290.
#[test]
fn house_a_unsealed_falls_in_the_band_round_220_cfm25() {
    let a = house("house_a.yaml", include_str!("data/house_a.yaml"));
    let total = cfm25(&a, drawn);
    assert!((150.0..=290.0).contains(&total), "{total}");
    // The same list summed by hand from the catalogue's means, L/s: collars 12 x 0.573 + 1.531, flex collars 12 x 1.242 + 3.316,
    // bodies 5.4, gaps 19.51 + 4.06, connections 3.6 + 5.0, plenum joints 3.24 + 3.6, corners 2.4, cabinet 11.3, entries 2.4
    let by_hand = 12.0 * 0.573
        + 1.531
        + 12.0 * 1.242
        + 3.316
        + 5.4
        + 19.51
        + 4.06
        + 3.6
        + 5.0
        + 3.24
        + 3.6
        + 2.4
        + 11.3
        + 2.4;
    assert!(
        (total - by_hand * 1e-3 / Flow::from_cfm(1.0).si()).abs() < 0.5,
        "{total}"
    );
}

#[test]
fn house_a_has_the_metres_of_its_list() {
    let a = house("house_a.yaml", include_str!("data/house_a.yaml"));
    for (joint, want) in [
        ("joint-ductboard", 3.0 * 1.8 + 3.0 * 2.0),
        ("seam-ductboard-corner", 8.0),
        ("boot-to-surface", 12.0 * 0.8128 + 2.032),
        ("boot-body", 12.0),
        (
            "flex-collar",
            std::f64::consts::PI * (24.0 * 0.152 + 2.0 * 0.406),
        ),
        (
            "takeoff-tab-collar",
            std::f64::consts::PI * (12.0 * 0.152 + 0.406),
        ),
        ("conn-supply-plenum", 1.8),
        ("conn-return-plenum", 2.0),
        ("penetration", 3.0),
        ("cabinet", 1.0),
        ("filter-slot", 0.0),
    ] {
        let got = metres(&a, joint);
        assert!((got - want).abs() < 1e-9, "{joint}: {got} for {want}");
    }
}

/// Regression of the reference list: 378 cfm at 25 Pa, all unsealed; no published figure matches this house.
#[test]
fn house_b_unsealed_gives_378_cfm25_within_ten_percent_on_the_parts_of_its_list() {
    let b = house("house_b.yaml", include_str!("data/house_b.yaml"));
    let listed = |s: &Seam| {
        drawn(s) && !s.piece.ends_with("plenum") && !s.what.contains("gap between return box")
    };
    let total = cfm25(&b, listed);
    assert!((total - 378.0).abs() < 37.8, "{total}");
}

#[test]
fn house_b_has_the_seams_of_its_list() {
    let b = house("house_b.yaml", include_str!("data/house_b.yaml"));
    let pipe = std::f64::consts::PI * 0.152;
    for (joint, want) in [
        ("joint-round-crimp", 12.0 * 4.0 * pipe),
        ("elbow-adjustable", 12.0 * 2.0 * pipe),
        ("takeoff-side-tap", 12.0 * pipe),
        ("seam-snaplock-round", 12.0 * 5.0),
        ("endcap-rect", 3.0 * 1.422),
        ("pan-edge", 4.0 * 2.0 * 4.0),
        ("pan-end", 8.0),
        ("filter-slot", 1.0),
    ] {
        let got = metres(&b, joint);
        assert!((got - want).abs() < 1e-9, "{joint}: {got} for {want}");
    }
}

/// Florida field study: 4 cfm at 25 Pa per 100 ft² of 1800 ft² in the better houses; at or below 80 is accepted.
#[test]
fn house_a_with_ordinary_work_leaks_at_most_80_cfm25() {
    let text = include_str!("data/house_a.yaml").replace("work: unsealed", "work: ordinary");
    let total = cfm25(&house("house_a.yaml", &text), drawn);
    assert!(total <= 80.0, "{total}");
}
