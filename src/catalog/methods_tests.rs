use super::*;
use crate::catalog::{Basis, Catalog};

const METHODS: &str = include_str!("data/methods.csv");
const SERVES: &str = include_str!("data/serves.csv");

#[test]
fn every_joint_type_stands_once_and_every_group_has_a_row_for_a_persons_own() {
    let c = Catalog::builtin();
    for joint in c.joints() {
        let own = c.serves().iter().filter(|row| row.id == joint.id).count();
        assert_eq!(own, 1, "{}", joint.id);
        let group = format!("any-{}", joint.group);
        assert!(c.serves().iter().any(|row| row.id == group), "{group}");
    }
    for row in c.serves() {
        assert!(
            row.id.starts_with("any") || c.joint(&row.id).is_some(),
            "`{}` is no joint type",
            row.id
        );
        let is_forgotten = ["unsketched", "any-remainder"].contains(&row.id.as_str());
        assert_eq!(row.methods.is_empty(), is_forgotten, "{}", row.id);
        assert_eq!(
            row.fasten.is_empty(),
            row.fasten_minutes <= 0.0,
            "{}",
            row.id
        );
    }
    for method in c.methods() {
        assert!(
            c.serves()
                .iter()
                .any(|row| row.methods.contains(&method.id)),
            "nothing is sealed with {}",
            method.id
        );
    }
}

#[test]
fn a_joint_type_that_is_counted_by_the_piece_says_how_long_it_is_unless_it_goes_round() {
    let c = Catalog::builtin();
    let known = c.joints().iter().filter(|joint| joint.id != "unsketched");
    for joint in known {
        let row = c.served(joint).expect("is served");
        if joint.basis == Basis::Each {
            assert_eq!(row.metres.is_none(), joint.id == "pan-end", "{}", joint.id);
        } else {
            // A fitting of several seams has more joint than once round.
            assert!(row.metres.is_none_or(|metres| metres > 1.0), "{}", joint.id);
        }
    }
}

#[test]
fn a_persons_own_joint_type_is_served_like_its_group() {
    let c = Catalog::builtin();
    let mut own = c.joint("flex-collar").expect("built in").clone();
    own.id = "my-collar".into();
    let methods = |joint: &JointType| c.served(joint).expect("is served").methods.clone();
    assert_eq!(methods(&own)[0], "flex-mastic");
    own.group = "Equipment".into();
    assert_eq!(methods(&own)[0], "gasket");
    own.group = "chimneys of my own".into();
    assert_eq!(c.served(&own).map(|row| row.id.as_str()), Some("any"));
}

#[test]
fn hand_sealing_takes_away_what_field_studies_found() {
    // Published reductions of reachable leakage by hand: 50 to 80 %, a new joint up to 85 %.
    for method in Catalog::builtin().methods() {
        let left = method.mean_left();
        if method.from_inside {
            // Published for sealing from inside: 66 to 92 % taken away.
            assert!((0.08..=0.34).contains(&left), "{}: {left}", method.id);
        } else {
            assert!((0.15..=0.5).contains(&left), "{}: {left}", method.id);
        }
    }
}

#[test]
fn what_is_left_is_the_missed_part_and_the_mean_of_the_rest() {
    let mut method = Catalog::builtin().methods()[0].clone();
    // Without spread it is plain arithmetic: 0.2 + 0.8 · 0.1.
    (method.missed, method.remains) = (0.2, 0.1);
    (method.remains_own_gsd, method.remains_shared_gsd) = (1.0, 1.0);
    assert!((method.mean_left() - 0.28).abs() < 1e-12);
    // ln gsd = 1: the mean of a lognormal is exp(1/2) times its median.
    method.remains_own_gsd = std::f64::consts::E;
    assert!((method.mean_left() - (0.2 + 0.08 * 0.5_f64.exp())).abs() < 1e-12);
}

#[test]
fn gaps_are_closed_as_the_specifications_have_it() {
    let c = Catalog::builtin();
    // 1/8, 1/4 and 3/4 in; brush mastic only more than 10 ft from the air handler.
    for (id, inches) in [
        ("mastic", 0.125),
        ("mastic-mesh", 0.25),
        ("bridge-mesh", 0.75),
    ] {
        let method = c.method(id).expect("is there");
        assert!(
            (method.gap_to_m / (inches * 0.0254) - 1.0).abs() < 0.06,
            "{id}"
        );
    }
    for method in c.methods() {
        assert_eq!(
            method.beyond_m > 0.0,
            method.id == "mastic",
            "{}",
            method.id
        );
    }
    assert!((c.method("mastic").expect("is there").beyond_m - 3.0).abs() < 0.1);
}

#[test]
fn a_collar_of_200_mm_takes_25_ml_of_mastic() {
    // 0.63 m · 0.05 m · 0.8 mm
    let mastic = Catalog::builtin().method("mastic").expect("is there");
    let litres = mastic.material_each + mastic.material_per_m * std::f64::consts::PI * 0.2;
    assert!((litres - 0.025).abs() < 5e-4, "{litres}");
}

#[test]
fn what_must_stay_free_is_never_glued_shut() {
    let c = Catalog::builtin();
    for id in ["damper-shaft", "filter-slot", "access-door", "cabinet"] {
        let row = c.served(c.joint(id).expect("built in")).expect("is served");
        assert!(!row.caution.is_empty(), "{id}");
        for method in &row.methods {
            assert!(
                ["gasket", "foil-tape"].contains(&method.as_str()),
                "{id}: {method}"
            );
        }
    }
    let drain = c
        .served(c.joint("penetration").expect("built in"))
        .expect("is served");
    assert!(drain.caution.contains("drain") && drain.caution.contains("combustion-air"));
}

#[test]
fn rows_that_make_no_sense_are_refused() {
    for (from, to, word) in [
        (
            "mastic,brush mastic,no",
            "mastic,brush mastic,maybe",
            "`yes` or `no`",
        ),
        (
            "mastic-mesh,mastic with",
            "mastic,mastic with",
            "stands twice",
        ),
        (
            ",mastic,L,0,0.04",
            ",mastic,bucket,0,0.04",
            "not counted in",
        ),
        (",3,3,0.1,", ",3,3,1.0,", "out of range"),
    ] {
        let mut errors = Vec::new();
        assert!(METHODS.contains(from), "{from}");
        read_methods(&METHODS.replacen(from, to, 1), "methods.csv", &mut errors);
        assert!(
            errors.iter().any(|e| e.wrong.contains(word)),
            "{to}: {errors:?}"
        );
    }
    let mut errors = Vec::new();
    let methods = read_methods(METHODS, "methods.csv", &mut errors);
    assert!(errors.is_empty(), "{errors:?}");
    for (from, to, word) in [
        (
            "flex-mastic redo",
            "flex-mastik redo",
            "no method is called",
        ),
        ("flex-mastic redo", "redo redo", "`redo` stands twice"),
        ("flex-collar,", "joint-drive,", "`joint-drive` stands twice"),
    ] {
        let mut errors = Vec::new();
        assert!(SERVES.contains(from), "{from}");
        read_serves(
            &SERVES.replacen(from, to, 1),
            "serves.csv",
            &methods,
            &mut errors,
        );
        assert!(
            errors.iter().any(|e| e.wrong.contains(word)),
            "{to}: {errors:?}"
        );
    }
}
