//! Air density, viscosity and pressure against tables made by independent libraries (`tests/data/README.md`).

use approx::relative_eq;
use ductseam::air::{Air, standard_pressure, viscosity};
use ductseam::quantity::{Fraction, Length, Pressure, Temperature};

/// The same equation on both sides, printed with 12 digits; the pressure is printed to 0.001 Pa, 1e-8 of it at
/// worst, so it is taken from the height where one is given.
const SAME_EQUATION: f64 = 1e-9;
/// The table prints pressures to 0.001 Pa (half a last digit: 7e-9 of the lowest).
const PRINTED_PRESSURE: f64 = 1e-8;
/// The library's gas constant is 287.042 against 287.055, 4.5e-5 apart, and its table has 7 digits.
const OTHER_GAS_CONSTANT: f64 = 1e-4;
/// Moist rows: the library solves saturation from its own constants with an enhancement-free form like ours.
/// The humidity ratio is printed to 5e-8 kg/kg; the standard pressure differs by up to 2e-5 from the library's.
const MOIST: f64 = 1e-6;

fn rows(name: &str) -> Vec<csv::StringRecord> {
    let path = format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"));
    let rows: Result<Vec<_>, _> = csv::Reader::from_path(path)
        .unwrap()
        .into_records()
        .collect();
    rows.unwrap()
}

fn close(what: &str, ours: f64, theirs: f64, tolerance: f64) {
    assert!(
        relative_eq!(ours, theirs, epsilon = 0.0, max_relative = tolerance),
        "{what}: {ours} against {theirs}"
    );
}

fn numbers(row: &csv::StringRecord, from: usize) -> Vec<f64> {
    row.iter()
        .skip(from)
        .map(|cell| cell.parse().unwrap())
        .collect()
}

#[test]
fn density_and_viscosity_agree_with_the_table_over_altitude_temperature_and_humidity() {
    let rows = rows("air_properties.csv");
    assert_eq!(rows.len(), 6 * (8 + 7));
    for row in &rows {
        let [z, t, rh, p, _, ideal, library, mu, nu] = numbers(row, 0)[..] else {
            panic!("{row:?}")
        };
        let what = format!("{z} m, {t} °C, {rh}");
        let temperature = Temperature::from_celsius(t);
        let pressure = standard_pressure(Length::new(z));
        close(&what, pressure.si(), p, PRINTED_PRESSURE);
        let air = Air::moist(temperature, pressure, Fraction::new(rh));
        let tolerance = if rh > 0.0 { MOIST } else { SAME_EQUATION };
        close(&what, air.density, ideal, tolerance);
        close(&what, air.density, library, OTHER_GAS_CONSTANT);
        close(&what, air.viscosity, mu, SAME_EQUATION);
        close(&what, air.kinematic_viscosity(), nu, tolerance);
    }
}

#[test]
fn named_points_agree_with_the_table() {
    let rows = rows("standard_air.csv");
    assert_eq!(rows.len(), 8);
    for row in &rows {
        let [t, p, w, rho, mu, nu, pv] = numbers(row, 1)[..] else {
            panic!("{row:?}")
        };
        // The name carries the humidity; the temperature is printed to 1e-4 K (2e-7 of it).
        let rh = if row[0].contains("50% RH") {
            0.5
        } else if row[0].contains("90% RH") {
            0.9
        } else {
            assert!(w.abs() < 1e-12);
            0.0
        };
        let air = Air::moist(
            Temperature::from_celsius(t),
            Pressure::from_pa(p),
            Fraction::new(rh),
        );
        close(&row[0], air.density, rho, MOIST);
        close(&row[0], air.viscosity, mu, MOIST);
        close(&row[0], air.kinematic_viscosity(), nu, MOIST);
        close(&row[0], 0.5 * air.density * 25.0, pv, MOIST);
    }
}

#[test]
fn standard_air_is_the_20_degree_row_rounded() {
    let row = &rows("standard_air.csv")[1];
    let rho: f64 = row[4].parse().unwrap();
    close("density", Air::standard().density, rho, 5e-4 / 1.204); // 1.204 is rounded to the third decimal
    close(
        "viscosity",
        viscosity(Temperature::from_celsius(20.0)),
        row[5].parse().unwrap(),
        SAME_EQUATION,
    );
}
