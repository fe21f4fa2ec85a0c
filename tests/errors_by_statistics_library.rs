//! Flow at 25 Pa, its error, degrees of freedom, 95 % band and chance to be at or below a limit, held against numpy and
//! scipy: `tests/data/series/make_errors.py` works them out apart, leverages by numerical derivatives.

use std::path::Path;

use ductseam::catalog::{Catalog, Limit, Measure, Scope, Source, Sure};
use ductseam::limits::{AtPressure, Basis, How, Point, at_25, judge};

/// Leverages by numerical derivatives keep eight digits or so.
const RELATIVE: f64 = 1e-7;

fn rows(file: &str) -> Vec<csv::StringRecord> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/series");
    csv::Reader::from_path(folder.join(file))
        .expect("stored")
        .into_records()
        .map(|row| row.expect("a row"))
        .collect()
}

fn number(row: &csv::StringRecord, column: usize) -> f64 {
    row[column].parse().expect("a number")
}

fn basis() -> Basis {
    Basis {
        scope: Scope::Total,
        stage: None,
    }
}

fn readings(case: &str) -> Vec<AtPressure> {
    rows("errors_points.csv")
        .iter()
        .filter(|row| &row[0] == case)
        .map(|row| AtPressure {
            id: case.to_owned(),
            basis: basis(),
            point: Point {
                pressure_pa: number(row, 1),
                pressure_sd_pa: number(row, 2),
                flow_m3_s: number(row, 3),
                flow_sd_m3_s: number(row, 4),
            },
            shared_part_sd: number(row, 5),
            is_bound: false,
        })
        .collect()
}

fn limit(m3_s: f64) -> Limit {
    Limit {
        id: "a".to_owned(),
        words: String::new(),
        issuer: "own".to_owned(),
        edition: String::new(),
        section: String::new(),
        stages: Vec::new(),
        scope: Scope::Total,
        measure: Measure::Flow(m3_s),
        least_m3_s: 0.0,
        condition: String::new(),
        source: Source {
            text: "test".to_owned(),
            sure: Sure::Read,
        },
        own: true,
    }
}

#[test]
fn errors_freedom_and_chances_are_those_of_the_statistics_library() {
    let text = include_str!("good/base.yaml");
    let sketch = ductseam::sketch::read(text, "base.yaml").expect("a good sketch");
    let system = ductseam::system::build(&sketch, text, "base.yaml", Catalog::builtin())
        .expect("a good system");
    let expected = rows("errors.csv");
    assert_eq!(expected.len(), 5);
    let mut with_freedom = 0;
    for row in &expected {
        let at = at_25(&readings(&row[0]), 0.6, 0.05).expect("a flow");
        let close = |found: f64, column: usize| {
            let wanted = number(row, column);
            assert!(
                (found / wanted - 1.0).abs() < RELATIVE,
                "{}, column {column}: {found} against {wanted}",
                &row[0]
            );
        };
        close(at.flow_m3_s(), 1);
        close(at.sd_m3_s(), 2);
        match at.freedom() {
            // From a million on the normal law takes the place of Student's: its digits are not asked for.
            Some(freedom) if freedom < 1e6 => {
                with_freedom += 1;
                // The fourth power of a quotient of derivatives.
                assert!((freedom / number(row, 3) - 1.0).abs() < 1e-6);
            }
            Some(_) => assert!(number(row, 3) > 1e6),
            None => assert!(number(row, 3).is_infinite(), "{}", &row[0]),
        }
        close(at.half_95_m3_s(), 4);
        let judged = judge(&limit(number(row, 5)), &at, &system).expect("judged");
        close(judged.chance.expect("a chance"), 6);
    }
    assert_eq!(with_freedom, 2);
}

#[test]
fn a_bound_among_values_leaves_the_fit_as_it_is() {
    let values = readings("scattering");
    let mut with_bound = values.clone();
    let mut bound = values[0].clone();
    bound.is_bound = true;
    bound.point.flow_m3_s *= 3.0;
    with_bound.insert(1, bound.clone());
    let (plain, beside) = (at_25(&values, 0.6, 0.05), at_25(&with_bound, 0.6, 0.05));
    assert!(matches!(
        plain.as_ref().map(|at| at.how()),
        Ok(How::Series(_))
    ));
    assert_eq!(plain, beside);
    let mut lower = bound.clone();
    lower.point.flow_m3_s *= 0.5;
    let least = at_25(&[bound, lower.clone()], 0.6, 0.05).expect("a bound");
    assert!(least.is_bound());
    assert_eq!(least, at_25(&[lower], 0.6, 0.05).expect("a bound"));
}

#[test]
fn two_pressures_below_a_ratio_of_two_fall_back_to_the_assumed_exponent() {
    let mut two = readings("two points");
    two[0].point.pressure_pa = 26.0;
    // Flows that would give an exponent of 1.27.
    let at = at_25(&two, 0.6, 0.05).expect("a flow");
    let How::Repeats {
        count,
        least_pa,
        most_pa,
    } = *at.how()
    else {
        panic!("{:?}", at.how())
    };
    assert_eq!((count, least_pa, most_pa), (2, 26.0, 50.0));
    assert_eq!(at.exponent(), (0.6, 0.05));
    let by_hand = 0.5 * (0.0911 * (25.0_f64 / 26.0).powf(0.6) + 0.2092 * 0.5_f64.powf(0.6));
    assert!((at.flow_m3_s() / by_hand - 1.0).abs() < 1e-12);
}

#[test]
fn an_exponent_just_above_laminar_is_doubted_and_beyond_refused() {
    let law = |n: f64| -> Vec<AtPressure> {
        let mut points = readings("scattering");
        for one in &mut points {
            one.point.flow_m3_s = 0.004 * one.point.pressure_pa.powf(n);
        }
        points
    };
    let at = at_25(&law(1.03), 0.6, 0.05).expect("a fit");
    let How::Series(fit) = at.how() else {
        panic!("{:?}", at.how())
    };
    assert!(
        fit.warnings
            .iter()
            .any(|w| w.words().contains("above 1, laminar"))
    );
    assert!(at_25(&law(1.06), 0.6, 0.05).is_err());
}
