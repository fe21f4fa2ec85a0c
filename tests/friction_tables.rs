//! Friction against tables made with an independent general fluids library (`tests/data/make_check_tables.py`).

use approx::relative_eq;
use ductseam::air::Air;
use ductseam::flow::{DuctLaw, DuctShape, Warm, colebrook_white, friction_factor};

/// The tables carry twelve digits.
const TABLE_DIGITS: f64 = 2e-11;
/// The blend's turbulent slope in the tables is a finite difference with step 1e-5.
const BLEND_SLOPE: f64 = 1e-9;

fn rows(name: &str) -> Vec<Vec<String>> {
    let path = format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("table is in the repository");
    text.lines()
        .skip(1)
        .map(|line| line.split(',').map(str::to_owned).collect())
        .collect()
}

fn number(text: &str) -> f64 {
    text.parse().expect("a number")
}

fn check(got: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        relative_eq!(got, expected, epsilon = 0.0, max_relative = tolerance),
        "{what}: {got} against {expected}"
    );
}

/// A law of Reynolds number and relative roughness against a table of them.
fn check_table(name: &str, length: usize, law: fn(f64, f64) -> f64, tolerance: f64) {
    let rows = rows(name);
    assert_eq!(rows.len(), length);
    for row in rows {
        let (re, rough) = (number(&row[0]), number(&row[1]));
        let what = format!("Re {re}, ε/D {rough}");
        check(law(re, rough), number(&row[2]), tolerance, &what);
    }
}

#[test]
fn turbulent_friction_matches_the_colebrook_white_grid() {
    check_table("colebrook_grid.csv", 63, colebrook_white, TABLE_DIGITS);
}

#[test]
fn laminar_and_transitional_friction_match_the_table() {
    check_table("friction_low_re.csv", 45, friction_factor, BLEND_SLOPE);
}

#[test]
fn eight_ducts_carry_their_flow_at_their_tabulated_loss() {
    let rows = rows("duct_friction_8.csv");
    assert_eq!(rows.len(), 8);
    // The table's air: 1.204 kg/m³, Sutherland viscosity at 20 °C.
    let kelvin = 293.15_f64;
    let air = Air {
        density: 1.204,
        viscosity: 1.458e-6 * kelvin.powf(1.5) / (kelvin + 110.4),
    };
    for row in rows {
        let (flow, velocity, loss) = (number(&row[4]), number(&row[5]), number(&row[9]));
        let length = 7.0;
        let law = DuctLaw::new(
            &DuctShape {
                area_m2: flow / velocity,
                hydraulic_diameter_m: number(&row[6]),
                length_m: length,
                roughness_m: number(&row[3]),
                friction_factor: 1.0,
                loss: 0.0,
            },
            air,
        );
        let got = law.response(loss * length, &mut Warm::default()).flow;
        check(got, flow, TABLE_DIGITS, &row[0]);
    }
}
