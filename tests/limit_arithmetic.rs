//! Arithmetic of limits and classes held against figures worked out by hand or printed in tables, each named.

use ductseam::catalog::class::{EnClass, class_flow, leakage_class};
use ductseam::catalog::{Catalog, Limit, Measure, Scope, Source, Stage, Sure, limit_words};
use ductseam::limits::{
    At25, AtPressure, Basis, MixedBasis, NotComparable, Part, Point, SeriesError, Verdict, at_25,
    flow_at_25_pa, judge, one_point, outside_warning, repeats_warning, side_alone, split,
    split_warning, two_points,
};
use ductseam::system::System;
use proptest::prelude::*;

const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;
const HUNDRED_FT2: f64 = 9.290304;

fn reading(id: &str, scope: Scope, pressure_pa: f64, cfm: f64, part: f64) -> AtPressure {
    AtPressure {
        id: id.to_owned(),
        basis: Basis {
            scope,
            stage: Some(Stage::Final),
        },
        point: Point {
            pressure_pa,
            // The larger of 1 % and 0.25 Pa.
            pressure_sd_pa: (0.01 * pressure_pa).max(0.25),
            flow_m3_s: cfm * CFM,
            flow_sd_m3_s: part * cfm * CFM,
        },
        shared_part_sd: part,
        is_bound: false,
    }
}

fn total(pressure_pa: f64, cfm: f64) -> AtPressure {
    reading("a", Scope::Total, pressure_pa, cfm, 0.03)
}

fn system(more: &str) -> System {
    let text = format!(
        "ductseam: 1
title: Limits (invented)
house: {{floor area: 1500 ft2}}
air handler: {{place: attic, airflow: 1000 cfm by plate at filter}}
places: {{attic: outside}}
runs:
  - {{id: trunk, side: supply, from: supply plenum, size: 12x8 in, place: attic, walk: [north 16 ft, cap]}}
  - {{id: kitchen, from: trunk at 6 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in]}}
  - {{id: back, side: return, from: return plenum, size: 14x8 in, place: attic, walk: [south 6 ft, return box 20x12 in]}}
{more}"
    );
    let sketch = ductseam::sketch::read(&text, "limits.yaml")
        .map_err(|found| found.render(false))
        .expect("a good sketch");
    ductseam::system::build(&sketch, &text, "limits.yaml", Catalog::builtin())
        .map_err(|found| found.render(false))
        .expect("a good system")
}

fn limit(words: &str) -> Limit {
    let read = limit_words(words).expect("a limit");
    Limit {
        id: words.to_owned(),
        words: String::new(),
        issuer: "own".to_owned(),
        edition: String::new(),
        section: String::new(),
        stages: Vec::new(),
        scope: read.scope,
        measure: read.measure,
        least_m3_s: read.least_m3_s,
        condition: String::new(),
        source: Source {
            text: "test".to_owned(),
            sure: Sure::Read,
        },
        own: true,
    }
}

#[test]
fn unsealed_guidance_class_48_is_two_and_a_half_times_class_a() {
    // ATC 6, "2.5 times class A", 0.0675 L/(s m2 Pa^0.65), is class 48.0 in inch-pound measure.
    let class = leakage_class(0.0675e-3, 1.0, 1.0);
    assert!((class - 48.0).abs() < 0.05, "{class}");
    assert!((class / EnClass::A.class_ip() - 2.5).abs() < 1e-9);
}

#[test]
fn tightness_classes_are_as_printed_at_25_200_and_400_pa() {
    // L/(s m2) by f p^0.65, and the equal inch-pound class, worked out apart.
    for (id, at_25, at_200, at_400, class) in [
        ("atc-6", 0.547, 2.113, 3.316, 48.0),
        ("atc-5", 0.219, 0.845, 1.326, 19.2),
        ("atc-4", 0.0729, 0.282, 0.442, 6.4),
        ("atc-3", 0.0243, 0.0939, 0.147, 2.13),
        ("atc-2", 0.0081, 0.0313, 0.0491, 0.71),
        ("atc-1", 0.0027, 0.0103, 0.0162, 0.23),
    ] {
        let row = Catalog::builtin()
            .classes()
            .iter()
            .find(|row| row.id == id)
            .expect("a row");
        // Half of the last printed digit.
        let near = |found: f64, printed: f64, digit: f64| {
            assert!(
                (found - printed).abs() <= 0.51 * digit,
                "{id}: {found} {printed}"
            );
        };
        let by = |pressure| row.by_surface(pressure).expect("classified") * 1e3;
        near(by(25.0), at_25, if at_25 > 0.1 { 1e-3 } else { 1e-4 });
        near(by(200.0), at_200, if at_200 > 0.2 { 1e-3 } else { 1e-4 });
        near(by(400.0), at_400, if at_400 > 0.1 { 1e-3 } else { 1e-4 });
        let digit = if class > 5.0 { 0.1 } else { 0.01 };
        near(row.class_ip().expect("classified"), class, digit);
    }
}

#[test]
fn four_cfm_per_hundred_square_feet_is_203_ml_per_square_metre() {
    // 113.3 L/min per 9.29 m2, as a state's copy of the code prints it.
    let Measure::PerFloorArea(by) = limit("4 cfm per 100 ft2").measure else {
        panic!("by floor area")
    };
    assert!((by * 1e3 - 0.203).abs() < 5e-4, "{by}");
    assert!((by - 4.0 * CFM / HUNDRED_FT2).abs() < 1e-15);
}

#[test]
fn one_cfm_per_hundred_square_feet_of_duct_at_a_tenth_of_an_inch_is_class_4_47() {
    // 1/0.1^0.65.
    let class = leakage_class(CFM, HUNDRED_FT2, 24.908891);
    assert!((class - 4.4668).abs() < 1e-3, "{class}");
    assert!((class_flow(class, HUNDRED_FT2, 24.908891) / CFM - 1.0).abs() < 1e-12);
}

#[test]
fn a_reading_is_moved_to_25_pa_as_the_factor_table_has_it() {
    // (25/P)^0.6, to three decimals, worked out apart.
    for (pressure, factor) in [
        (5.0, 2.627),
        (10.0, 1.733),
        (15.0, 1.359),
        (20.0, 1.143),
        (30.0, 0.896),
        (35.0, 0.817),
    ] {
        let at = one_point(&total(pressure, 100.0), 0.6, 0.05).expect("a flow");
        assert!(
            (at.flow_m3_s() / CFM / 100.0 - factor).abs() < 6e-4,
            "{pressure}"
        );
    }
}

#[test]
fn its_error_grows_with_the_distance_as_the_table_has_it() {
    // Flow 3 %, pressure the larger of 1 % and 0.25 Pa, u_n 0.05; per cent, worked out apart.
    for (pressure, percent, digit) in [
        (25.0, 3.06, 0.01),
        (20.0, 3.3, 0.1),
        (15.0, 4.1, 0.1),
        (10.0, 5.7, 0.1),
    ] {
        let at = one_point(&total(pressure, 100.0), 0.6, 0.05).expect("a flow");
        let found = 100.0 * at.sd_m3_s() / at.flow_m3_s();
        assert!(
            (found - percent).abs() <= 0.51 * digit,
            "{pressure}: {found}"
        );
    }
    let at = one_point(&reading("a", Scope::Total, 25.0, 100.0, 0.05), 0.6, 0.05).expect("a flow");
    assert!((100.0 * at.sd_m3_s() / at.flow_m3_s() - 5.04).abs() < 0.005);
}

#[test]
fn two_points_at_a_ratio_of_four_give_the_exponent_to_0_031() {
    // 3 % on each flow alone: sqrt(2) 0.03 / ln 4 = 0.0306.
    let exact = |pressure: f64| {
        let mut one = total(pressure, 40.0 * pressure.powf(0.6));
        one.point.pressure_sd_pa = 0.0;
        one
    };
    let at = two_points(&exact(12.5), &exact(50.0)).expect("a flow");
    let (n, u_n) = at.exponent();
    assert!(
        (n - 0.6).abs() < 1e-12 && (u_n - 0.0306).abs() < 1e-4,
        "{u_n}"
    );
    assert!((at.flow_m3_s() / CFM - 275.95).abs() < 0.01);
    // The same in either order.
    let other = two_points(&exact(50.0), &exact(12.5)).expect("a flow");
    assert!((other.flow_m3_s() / at.flow_m3_s() - 1.0).abs() < 1e-12);
    assert!((other.sd_m3_s() / at.sd_m3_s() - 1.0).abs() < 1e-9);
}

#[test]
fn what_is_no_power_law_is_refused_with_what_to_do() {
    let law = |c: f64, n: f64| -> Vec<AtPressure> {
        [10.0, 20.0, 40.0, 60.0]
            .map(|p: f64| total(p, c * p.powf(n)))
            .to_vec()
    };
    for count in [2, 4] {
        let refused = |n: f64| at_25(&law(40.0, n)[..count], 0.6, 0.05).expect_err("refused");
        assert!(matches!(refused(-0.3), SeriesError::Falls(_)));
        assert!(matches!(refused(0.3), SeriesError::Low(_)));
        assert!(matches!(refused(1.2), SeriesError::High(_)));
        for n in [-0.3, 0.3, 1.2] {
            assert!(refused(n).hint().len() > 40);
        }
        assert!(at_25(&law(40.0, 1.0)[..count], 0.6, 0.05).is_ok());
    }
    assert_eq!(at_25(&[], 0.6, 0.05), Err(SeriesError::NoPoints));
    let same = [total(25.0, 100.0), total(25.0, 101.0)];
    assert!(matches!(
        two_points(&same[0], &same[1]),
        Err(SeriesError::EqualPressures(_))
    ));
    let points: Vec<Point> = same.iter().map(|r| r.point).collect();
    assert!(matches!(
        ductseam::limits::fit(&points),
        Err(SeriesError::TooFew(2))
    ));
    let bad = [
        total(25.0, 100.0),
        total(40.0, f64::NAN),
        total(50.0, 150.0),
    ];
    assert!(matches!(
        at_25(&bad, 0.6, 0.05),
        Err(SeriesError::NotPositive(2))
    ));
}

#[test]
fn a_limit_comes_out_as_a_flow_by_hand() {
    let system = system("");
    for (words, cfm) in [
        ("4 cfm per 100 ft2", 60.0),
        ("4 cfm per 100 ft2 at least 80 cfm", 80.0),
        ("6 % of airflow", 60.0),
        ("60 cfm", 60.0),
    ] {
        let flow = flow_at_25_pa(&limit(words), &system).expect("known");
        assert!((flow / CFM - cfm).abs() < 1e-9, "{words}");
    }
    // Sides: the supply's class by the supply's own surface, and both make the whole.
    let by = |words| flow_at_25_pa(&limit(words), &system).expect("known");
    let sum = by("supply class 6") + by("return class 6");
    assert!((sum / by("total class 6") - 1.0).abs() < 1e-12 && by("supply class 6") < sum);
    let mut bare = system;
    (bare.floor_area_m2, bare.unit.airflow_m3_s) = (None, None);
    for (words, wrong) in [
        ("4 cfm per 100 ft2", "floor area"),
        ("6 % of airflow", "divisor"),
    ] {
        let error = flow_at_25_pa(&limit(words), &bare).expect_err("unknown");
        assert!(error.to_string().contains(wrong), "{error}");
    }
}

#[test]
fn the_chance_is_that_of_the_normal_law_and_close_calls_are_called_so() {
    let system = system("");
    // 60 cfm, 5.04 %: 3.024 cfm. z = 1: 84.13 %; z = 3: 99.87 %; by tables of the normal law.
    let at = one_point(&reading("a", Scope::Total, 25.0, 60.0, 0.05), 0.6, 0.05).expect("a flow");
    let sd = at.sd_m3_s() / CFM;
    for (z, chance, verdict) in [
        (1.0, 0.841_345, Verdict::TooClose),
        (-1.0, 0.158_655, Verdict::TooClose),
        (3.0, 0.998_650, Verdict::AtOrBelow),
        (-3.0, 0.001_350, Verdict::Above),
        (1.95, 0.974_412, Verdict::TooClose),
        (1.97, 0.975_581, Verdict::AtOrBelow),
    ] {
        let judged =
            judge(&limit(&format!("{} cfm", 60.0 + z * sd)), &at, &system).expect("judged");
        let found = judged.chance.expect("a chance");
        assert!((found - chance).abs() < 2e-6, "{z}: {found}");
        assert_eq!(judged.verdict, verdict, "{z}");
        assert!((judged.margin_m3_s / CFM - z * sd).abs() < 1e-9);
    }
}

#[test]
fn a_bound_settles_only_what_lies_above_it() {
    let system = system("");
    let mut bound = total(25.0, 50.0);
    bound.is_bound = true;
    let at = at_25(&[bound], 0.6, 0.05).expect("a flow");
    let verdict = |words: &str| judge(&limit(words), &at, &system).expect("judged").verdict;
    assert_eq!(verdict("60 cfm"), Verdict::AtOrBelow);
    assert_eq!(verdict("40 cfm"), Verdict::TooClose);
}

#[test]
fn figures_of_different_bases_are_never_compared() {
    let system = system("");
    let at = |scope| one_point(&reading("a", scope, 25.0, 60.0, 0.03), 0.6, 0.05).expect("a flow");
    let outside = judge(&limit("to outside 60 cfm"), &at(Scope::Total), &system);
    assert_eq!(
        outside.expect_err("mixed"),
        NotComparable::Basis(MixedBasis::Scopes(Scope::Outside, Scope::Total))
    );
    let rough = Catalog::builtin()
        .limit("energy-code-2021-rough-in")
        .expect("built in");
    let error = judge(rough, &at(Scope::Total), &system).expect_err("mixed");
    assert!(error.to_string().contains("rough-in") && error.to_string().contains("final"));
    let unsaid: At25 = at(Scope::Total).at_stage(None);
    let error = judge(rough, &unsaid, &system)
        .expect_err("unsaid")
        .to_string();
    assert!(error.contains("record: {stage: rough-in}"), "{error}");
    assert!(
        at(Scope::Supply)
            .basis()
            .same(at(Scope::Return).basis())
            .is_err()
    );
    assert!(unsaid.basis().same(at(Scope::Total).basis()).is_err());
    assert!(unsaid.basis().same(unsaid.basis()).is_ok());
}

#[test]
fn the_barrier_leak_is_half_of_what_the_sides_have_too_much() {
    let (supply, ret, past) = split(70.0, 55.0, 100.0);
    assert!(
        (supply - 57.5).abs() < 1e-12 && (ret - 42.5).abs() < 1e-12 && (past - 12.5).abs() < 1e-12
    );
}

#[test]
fn sides_that_cannot_make_the_total_are_told() {
    let at =
        |scope, cfm| one_point(&reading("a", scope, 25.0, cfm, 0.03), 0.6, 0.05).expect("a flow");
    let warn = |supply: f64, ret: f64, whole: f64, guarded: bool| {
        let (s, r, t) = (
            at(Scope::Supply, supply),
            at(Scope::Return, ret),
            at(Scope::Total, whole),
        );
        let part = |at| Part { at, guarded };
        split_warning(part(&s), part(&r), &t).map(|warning| warning.code)
    };
    assert_eq!(warn(60.0, 45.0, 100.0, false), None);
    assert_eq!(
        warn(50.0, 30.0, 100.0, false).as_deref(),
        Some("split-below-total")
    );
    assert_eq!(
        warn(95.0, 80.0, 100.0, false).as_deref(),
        Some("barrier-leaks")
    );
    assert_eq!(warn(70.0, 50.0, 100.0, false), None);
    // One side guarded: all that is too much passes the barrier, not half of it.
    let (s, r, t) = (
        at(Scope::Supply, 90.0),
        at(Scope::Return, 50.0),
        at(Scope::Total, 100.0),
    );
    let (open, guarded) = (
        |at| Part { at, guarded: false },
        |at| Part { at, guarded: true },
    );
    let told = split_warning(open(&s), guarded(&r), &t).expect("told");
    assert!(told.code == "barrier-leaks" && told.text.starts_with("40 %"));
    let told = split_warning(open(&s), open(&r), &t).expect("told");
    assert!(told.code == "barrier-leaks" && told.text.starts_with("20 %"));
    let (left, past) = side_alone(open(&s), guarded(&r), &t).expect("known");
    assert!((left.flow_m3_s() / CFM - 50.0).abs() < 1e-9 && (past / CFM - 40.0).abs() < 1e-9);
    let (left, past) = side_alone(open(&s), open(&r), &t).expect("known");
    assert!((left.flow_m3_s() / CFM - 70.0).abs() < 1e-9 && (past / CFM - 20.0).abs() < 1e-9);
    assert!(side_alone(guarded(&s), open(&r), &t).is_none());
    assert_eq!(
        warn(70.0, 50.0, 100.0, true).as_deref(),
        Some("split-above-total")
    );
    let total_100 = at(Scope::Total, 100.0);
    assert!(outside_warning(&at(Scope::Outside, 103.0), &total_100).is_none());
    let told = outside_warning(&at(Scope::Outside, 130.0), &total_100).expect("told");
    assert_eq!(told.code, "outside-above-total");
}

#[test]
fn repeats_that_disagree_are_told_and_repeats_that_agree_are_averaged() {
    let repeats = |a: f64, b: f64| {
        vec![
            reading("first", Scope::Total, 25.0, a, 0.03),
            reading("second", Scope::Total, 25.0, b, 0.03),
        ]
    };
    assert!(repeats_warning(&repeats(100.0, 104.0), 0.6, 0.05).is_none());
    let told = repeats_warning(&repeats(100.0, 140.0), 0.6, 0.05).expect("told");
    assert!(
        told.text.contains("`first`")
            && told.text.contains("`second`")
            && told.text.contains("40 %")
    );
    let mean = at_25(&repeats(100.0, 104.0), 0.6, 0.05).expect("a flow");
    assert!((mean.flow_m3_s() / CFM - 102.0).abs() < 1e-9);
    // The gauge's own error does not average out.
    assert!(mean.sd_m3_s() > 0.03 * mean.flow_m3_s());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// Twice the leak and twice the limit stand as before; a higher limit never lowers the chance.
    #[test]
    fn verdicts_scale_and_chances_rise_with_the_limit(
        cfm in 5.0_f64..500.0, of in 0.5_f64..1.5, more in 1.0_f64..1.5, by in 0.1_f64..10.0, pressure in 10.0_f64..60.0,
    ) {
        let system = system("");
        let judged = |cfm: f64, allowed: f64| {
            let at = one_point(&total(pressure, cfm), 0.6, 0.05).expect("a flow");
            judge(&limit(&format!("{allowed} cfm")), &at, &system).expect("judged")
        };
        let one = judged(cfm, of * cfm);
        let scaled = judged(by * cfm, by * of * cfm);
        prop_assert!((one.margin_part - scaled.margin_part).abs() < 1e-9);
        prop_assert!((one.chance.unwrap() - scaled.chance.unwrap()).abs() < 1e-9);
        let higher = judged(cfm, more * of * cfm);
        prop_assert!(higher.chance.unwrap() >= one.chance.unwrap() - 1e-12);
    }

    /// A reading moved to 25 Pa and taken back to its pressure is the reading.
    #[test]
    fn there_and_back_is_where_it_was(cfm in 1.0_f64..1000.0, pressure in 5.0_f64..100.0, n in 0.5_f64..0.75) {
        let at = one_point(&total(pressure, cfm), n, 0.05).expect("a flow");
        prop_assert!((at.flow_at(pressure) / (cfm * CFM) - 1.0).abs() < 1e-12);
    }
}
