//! Equivalent openings held against rules of the trade and handbook forms. The 307 and 19 cfm rules of 25 Pa stand in
//! `facts_of_the_trade.rs`.

use ductseam::limits::opening_of;

const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;
const IN2: f64 = 0.0254 * 0.0254;

/// Square inches of a flow in cfm at a pressure.
fn in2(cfm: f64, pressure_pa: f64, coefficient: f64) -> f64 {
    // At sea level: the air in the opening is that of the flow.
    opening_of(cfm * CFM, pressure_pa, coefficient, 1.204) / IN2
}

#[test]
fn one_cfm_at_25_pa_is_0_1892_square_inches() {
    // √(2·25/1.2041) = 6.444 m/s by hand; 0.1135 in2 with a coefficient of 1. Air here is 1.204: within 0.01 %.
    assert!((in2(1.0, 25.0, 0.6) - 0.1892).abs() < 1e-4);
    assert!((in2(1.0, 25.0, 1.0) - 0.1135).abs() < 1e-4);
    assert!((5.285 * in2(1.0, 25.0, 0.6) - 1.0).abs() < 5e-4);
}

#[test]
fn leakage_areas_are_the_flow_at_50_pa_over_18_and_over_10() {
    // Rules of envelope tests: ELA = cfm50/18 and EqLA = cfm50/10, with 18.20 and 9.69 at exponent 0.65, 16.04 at 0.60.
    let at = |pressure: f64, n: f64| 1000.0 * (pressure / 50.0).powf(n);
    assert!((1000.0 / in2(at(4.0, 0.65), 4.0, 1.0) - 18.20).abs() < 0.01);
    assert!((1000.0 / in2(at(4.0, 0.60), 4.0, 1.0) - 16.04).abs() < 0.01);
    assert!((1000.0 / in2(at(10.0, 0.65), 10.0, 0.611) - 9.69).abs() < 0.01);
}

#[test]
fn the_program_prints_pressure_and_coefficient_beside_every_area() {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_ductseam"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args([
            "limits",
            "models/bungalow.yaml",
            "--limit",
            "300 cfm",
            "--units",
            "ip",
        ])
        .output()
        .expect("it runs");
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    let area = |name: &str, words: &str| -> f64 {
        let line = text
            .lines()
            .find(|line| line.contains(name))
            .unwrap_or_else(|| panic!("{name} in {text}"));
        assert!(line.contains(words), "{line}");
        let before = line.split(" in2").next().expect("an area");
        before
            .split_whitespace()
            .next_back()
            .and_then(|word| word.parse().ok())
            .expect("a number")
    };
    // The house lies at 820 ft: 98.36 kPa by the standard atmosphere, 1.1689 kg/m3 at 20 °C. The same mass of thinner air
    // takes √(1.204/1.1689) of the opening.
    let thin = (1.204_f64 / 1.1689).sqrt();
    // 268 cfm at 25 Pa; at 4 Pa 268·0.16^0.6 = 89.25, at 10 Pa 268·0.4^0.6 = 154.65 cfm.
    assert!((area("hole at", "Cd 0.6 at 25 Pa") - thin * 268.0 / 5.285).abs() < 0.06);
    assert!((area("effective", "Cd 1 at 4 Pa") - thin * in2(89.25, 4.0, 1.0)).abs() < 0.06);
    assert!(
        (area("equivalent", "Cd 0.611 at 10 Pa") - thin * in2(154.65, 10.0, 0.611)).abs() < 0.06
    );
}
