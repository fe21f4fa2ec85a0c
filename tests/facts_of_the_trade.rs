//! Facts of the trade, marked "common practice", that every technician would check first.

use approx::assert_abs_diff_eq;
use ductseam::catalog::opening::{opening_area, opening_flow};
use ductseam::quantity::{Area, Flow, Pressure};

/// Common practice: rounded figures; half a square inch is what "about" means here.
const ABOUT_IN2: f64 = 0.5;

#[test]
fn a_leak_of_307_cfm_at_25_pa_is_about_58_square_inches_and_19_cfm_about_4() {
    let square_inches = |cfm: f64| Area::new(opening_area(Flow::from_cfm(cfm).si(), 25.0)).to_in2();
    assert_abs_diff_eq!(square_inches(307.0), 58.0, epsilon = ABOUT_IN2);
    assert_abs_diff_eq!(square_inches(19.0), 4.0, epsilon = ABOUT_IN2);
}

#[test]
fn a_slot_of_one_millimetre_leaks_two_and_a_half_cfm_a_foot() {
    // 1 mm x 1 ft at 25 Pa, discharge coefficient 0.6: 2.50 cfm per foot by the orifice formula.
    let cfm = Flow::new(opening_flow(0.001 * 0.3048, 25.0)).to_cfm();
    assert_abs_diff_eq!(cfm, 2.50, epsilon = 0.01);
}

#[test]
fn a_tenth_of_an_inch_of_water_is_25_pa_within_half_a_percent() {
    let tenth: Pressure = "0.1 in. w.g.".parse().expect("a pressure");
    assert_abs_diff_eq!(tenth.si() / 25.0, 1.0, epsilon = 0.005);
}
