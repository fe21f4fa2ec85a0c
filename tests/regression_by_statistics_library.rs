//! Fits of pressure series held against general statistics libraries (scipy, statsmodels) on stored series.
//!
//! `tests/data/series/make_series.py` made series and reference figures; the calls stand there. All series are invented: no
//! openly published table of pressures and flows of a duct test, free to be stored here, is known to us.

use std::path::Path;

use ductseam::catalog::Scope;
use ductseam::limits::{
    Basis, Fit, Point, SeriesWarning, Weights, chance_below, fit, fit_weighted, read_series, t_95,
};
use ductseam::system::TestRecord;
use proptest::prelude::*;

/// Both sides are double precision and the series hold ten digits; sums of a dozen logarithms lose a few of them.
const RELATIVE: f64 = 1e-8;
/// Standard errors of a series that lies on its line are its rounding: they agree to fewer digits.
const ERROR_RELATIVE: f64 = 1e-6;
/// The library's own quantile and distribution of Student's law.
const STUDENT: f64 = 1e-9;

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/series")
}

fn points(name: &str) -> Vec<Point> {
    let text = std::fs::read_to_string(folder().join(format!("{name}.csv"))).expect("stored");
    let basis = Basis {
        scope: Scope::Total,
        stage: None,
    };
    let table = read_series(&text, name, basis, &TestRecord::default()).expect("a good table");
    table.readings.iter().map(|r| r.point).collect()
}

fn rows(file: &str) -> Vec<csv::StringRecord> {
    csv::Reader::from_path(folder().join(file))
        .expect("stored")
        .into_records()
        .map(|row| row.expect("a row"))
        .collect()
}

fn close(found: f64, expected: f64, relative: f64, what: &str) {
    let scale = expected.abs().max(1e-12);
    assert!(
        (found - expected).abs() <= relative * scale,
        "{what}: {found} against {expected}"
    );
}

#[test]
fn every_stored_series_is_fitted_as_the_statistics_libraries_fit_it() {
    let rows = rows("reference.csv");
    assert_eq!(rows.len(), 16);
    for row in &rows {
        let name = format!("{} {}", &row[0], &row[1]);
        let number = |k: usize| row[k].parse::<f64>().expect("a number");
        let points = points(&row[0]);
        let fit: Fit = match &row[1] {
            "alike" => fit(&points),
            _ => fit_weighted(&points),
        }
        .unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(fit.points as f64, number(2));
        close(fit.n, number(3), RELATIVE, &format!("{name} n"));
        close(fit.ln_c, number(5), RELATIVE, &format!("{name} ln C"));
        close(fit.t, number(8), STUDENT, &format!("{name} t"));
        close(fit.n_se, number(4), ERROR_RELATIVE, &format!("{name} s_n"));
        close(
            fit.ln_c_se,
            number(6),
            ERROR_RELATIVE,
            &format!("{name} s_lnC"),
        );
        for (k, pressure) in [(9, 4.0), (10, 25.0), (11, 50.0)] {
            let found = fit.ln_flow_se(pressure);
            close(
                found,
                number(k),
                ERROR_RELATIVE,
                &format!("{name} s_y at {pressure}"),
            );
        }
        match fit.weights {
            Weights::Alike => close(fit.r2, number(7), RELATIVE, &format!("{name} r2")),
            // A sum of squares of next to nothing agrees to nothing.
            Weights::ByError { chi_square, .. } if &row[0] != "exact" => {
                close(chi_square, number(12), ERROR_RELATIVE, &name);
            }
            Weights::ByError { .. } => {}
        }
    }
}

#[test]
fn students_law_is_that_of_another_library() {
    for row in rows("student.csv") {
        let number = |k: usize| row[k].parse::<f64>().expect("a number");
        let freedom = Some(number(0));
        close(t_95(freedom), number(1), STUDENT, &format!("t {}", &row[0]));
        close(
            chance_below(number(2), freedom),
            number(3),
            STUDENT,
            &format!("cdf {} {}", &row[0], &row[2]),
        );
    }
}

#[test]
fn the_exact_law_comes_back_whole() {
    // Q = 40 P^0.6 at any pressures: C 40, n 0.6, no scatter, Q25 275.95.
    let point = |pressure_pa: f64| Point {
        pressure_pa,
        pressure_sd_pa: 0.25,
        flow_m3_s: 40.0 * pressure_pa.powf(0.6),
        flow_sd_m3_s: 1.0,
    };
    let points: Vec<Point> = [7.0, 19.0, 33.0, 58.0].map(point).to_vec();
    for fit in [fit(&points), fit_weighted(&points)] {
        let fit = fit.expect("a fit");
        close(fit.c(), 40.0, 1e-12, "C");
        close(fit.n, 0.6, 1e-12, "n");
        close(fit.flow(25.0), 275.95, 2e-5, "Q25");
    }
    assert!(fit(&points).expect("a fit").n_se < 1e-12);
}

#[test]
fn only_the_bent_series_is_called_bent() {
    let curved = |name: &str| {
        let fit = fit(&points(name)).expect("a fit");
        fit.warnings
            .iter()
            .any(|warning| matches!(warning, SeriesWarning::Curved(_)))
    };
    for name in [
        "exact", "noisy", "three", "uneven", "wide", "repeats", "tight",
    ] {
        assert!(!curved(name), "{name}");
    }
    assert!(curved("bent"));
}

#[test]
fn the_band_at_a_pressure_is_far_narrower_than_one_from_both_limits_at_once() {
    // "C low with n low" and "C high with n high" is wrong: C and n hang on each other.
    let fit = fit(&points("noisy")).expect("a fit");
    let (low, high) = fit.band(25.0);
    let wrong = (fit.t * fit.ln_c_se + fit.t * fit.n_se * 25.0_f64.ln()).exp();
    assert!(wrong.ln() > 5.0 * (high / low).ln() / 2.0);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// Another unit of flow or pressure changes C alone; the order of points changes nothing.
    #[test]
    fn units_and_order_change_nothing_but_c(
        n in 0.5_f64..0.8, by_flow in 1e-4_f64..1e4, by_pressure in 1e-2_f64..1e2,
        noise in prop::collection::vec(-0.02_f64..0.02, 6),
    ) {
        let pressures = [8.0, 14.0, 22.0, 31.0, 45.0, 60.0];
        let points: Vec<Point> = pressures.iter().zip(&noise).map(|(p, e)| Point {
            pressure_pa: *p, pressure_sd_pa: 0.2, flow_m3_s: 0.02 * p.powf(n) * e.exp(), flow_sd_m3_s: 0.001,
        }).collect();
        let mut other: Vec<Point> = points.iter().map(|p| Point {
            pressure_pa: p.pressure_pa * by_pressure,
            pressure_sd_pa: p.pressure_sd_pa * by_pressure,
            flow_m3_s: p.flow_m3_s * by_flow,
            flow_sd_m3_s: p.flow_sd_m3_s * by_flow,
        }).collect();
        other.reverse();
        for (a, b) in [(fit(&points), fit(&other)), (fit_weighted(&points), fit_weighted(&other))] {
            let (a, b) = (a.expect("a fit"), b.expect("a fit"));
            prop_assert!((a.n / b.n - 1.0).abs() < 1e-9);
            prop_assert!((a.n_se / b.n_se - 1.0).abs() < 1e-6);
            prop_assert!((a.flow(25.0) * by_flow / b.flow(25.0 * by_pressure) - 1.0).abs() < 1e-9);
            let (low, high) = a.band(25.0);
            prop_assert!(low <= a.flow(25.0) && a.flow(25.0) <= high);
        }
    }
}
