use super::*;
use crate::catalog::{Catalog, Sure};

const LIMITS: &str = include_str!("data/limits.csv");
const CLASSES: &str = include_str!("data/classes.csv");

#[test]
fn the_builtin_tables_are_sound_and_say_where_each_figure_comes_from() {
    let c = Catalog::builtin();
    assert!(c.limits().len() >= 35 && c.classes().len() >= 20);
    for limit in c.limits() {
        assert!(!limit.own && !limit.source.text.is_empty(), "{}", limit.id);
        assert!(
            !limit.edition.is_empty() && !limit.issuer.is_empty(),
            "{}",
            limit.id
        );
        // What was only recalled says so in its mark, not in a footnote.
        if limit.source.text.starts_with("recalled") {
            assert_eq!(limit.source.sure, Sure::Memory, "{}", limit.id);
        }
    }
}

#[test]
fn a_hundred_square_feet_and_percent_come_out_in_si() {
    let c = Catalog::builtin();
    let limit = c.limit("energy-code-2021-final").expect("built in");
    // Code text of a state: 4 cfm is 113.3 L/min per 9.29 m2.
    let Measure::PerFloorArea(by) = limit.measure else {
        panic!("{limit:?}")
    };
    assert!((by * 1e3 * 60.0 * 9.290_304 - 113.3).abs() < 0.05, "{by}");
    assert_eq!(
        (limit.scope, &limit.stages[..]),
        (Scope::Total, &[Stage::Final][..])
    );
    let part = c.limit("state-code-2008-altered").expect("built in");
    assert_eq!(part.measure, Measure::PartOfAirflow(0.15));
    let floor = c.limit("label-final").expect("built in");
    assert!((floor.least_m3_s / CFM - 80.0).abs() < 1e-9);
}

#[test]
fn a_flow_by_duct_surface_at_a_tenth_of_an_inch_is_class_4_47() {
    // 1 / 0.1^0.65 by hand.
    let limit = Catalog::builtin()
        .limit("mechanical-code-surface")
        .expect("built in");
    let Measure::Class(class) = limit.measure else {
        panic!("{limit:?}")
    };
    assert!((class - 4.4668).abs() < 1e-3, "{class}");
}

#[test]
fn an_id_may_be_written_with_blanks() {
    let c = Catalog::builtin();
    assert_eq!(
        c.limit("Energy code 2021 final").map(|l| l.id.as_str()),
        Some("energy-code-2021-final")
    );
    assert!(c.limit("town rule").is_none());
    assert_eq!(
        c.nearest_limit("energy-code-2021-finall"),
        Some("energy-code-2021-final")
    );
}

#[test]
fn the_tightness_classes_are_those_of_the_arithmetic() {
    use crate::catalog::class::EnClass;
    let c = Catalog::builtin();
    for (id, class) in [
        ("atc-5", EnClass::A),
        ("atc-4", EnClass::B),
        ("atc-3", EnClass::C),
        ("atc-2", EnClass::D),
    ] {
        let row = c.classes().iter().find(|row| row.id == id).expect("a row");
        assert_eq!(row.factor, Some(class.k()));
        let by = row.by_surface(200.0).expect("classified");
        assert!((by / class.limit(200.0) - 1.0).abs() < 1e-12);
    }
    let open = c.classes().iter().find(|row| row.id == "atc-7");
    assert_eq!(open.expect("a row").class_ip(), None);
}

#[test]
fn rows_that_make_no_sense_are_refused() {
    for (from, to, word) in [
        (
            ",total,cfm-per-100-ft2-floor,6,",
            ",whole,cfm-per-100-ft2-floor,6,",
            "no scope",
        ),
        (",rough-in,total,", ",roughin,total,", "no stage"),
        (
            ",cfm-per-100-ft2-floor,6,",
            ",cfm-per-100,6,",
            "nothing is measured in",
        ),
        (
            ",percent-of-airflow,6,",
            ",percent-of-airflow,600,",
            "more than all",
        ),
        (
            ",percent-of-airflow,6,",
            ",percent-of-airflow,-6,",
            "out of range",
        ),
        (
            "energy-code-2009-no-handler,",
            "energy-code-2009-rough-in,",
            "stands twice",
        ),
        ("state-code-2008-new,", "State 2008,", "not a name"),
    ] {
        let mut errors = Vec::new();
        assert!(LIMITS.contains(from), "{from}");
        read_limits(&LIMITS.replacen(from, to, 1), "limits.csv", &mut errors);
        assert!(
            errors
                .iter()
                .any(|e| e.wrong.contains(word) && !e.hint.is_empty()),
            "{to}: {errors:?}"
        );
    }
    for (from, to, word) in [
        (",leakage-class,", ",class,", "no scale"),
        (",0.0675,", ",a lot,", "not a number"),
        ("atc-6,", "atc-7,", "stands twice"),
    ] {
        let mut errors = Vec::new();
        assert!(CLASSES.contains(from), "{from}");
        read_classes(&CLASSES.replacen(from, to, 1), "classes.csv", &mut errors);
        assert!(
            errors.iter().any(|e| e.wrong.contains(word)),
            "{to}: {errors:?}"
        );
    }
}
