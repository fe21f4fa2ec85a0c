//! Blower law: points, slopes, content, air.

use super::*;

/// Invented: four shapes that press on every rule (flat parts, uneven steps, two points, shut-off at zero flow).
fn curves() -> Vec<Vec<(f64, f64)>> {
    vec![
        vec![
            (25.0, 0.66),
            (75.0, 0.63),
            (125.0, 0.58),
            (175.0, 0.52),
            (225.0, 0.44),
        ],
        vec![
            (25.0, 0.57),
            (75.0, 0.57),
            (125.0, 0.57),
            (175.0, 0.565),
            (225.0, 0.53),
        ],
        vec![(0.0, 0.6), (10.0, 0.59), (180.0, 0.58), (200.0, 0.1)],
        vec![(50.0, 0.5), (150.0, 0.3)],
        vec![(0.0, 0.4), (120.0, 0.4), (250.0, 0.0)],
    ]
}

fn airs() -> [Air; 2] {
    let standard = Air::standard();
    let high = Air {
        density: 0.986,
        ..standard
    };
    [standard, high]
}

fn laws() -> Vec<BlowerLaw> {
    let mut laws = Vec::new();
    for points in curves() {
        let curve = BlowerCurve::new(&points).expect("good points");
        for air in airs() {
            laws.push(curve.in_air(air));
            laws.push(curve.in_air(air).scaled(1.3));
        }
    }
    laws
}

#[test]
fn the_curve_goes_through_its_points() {
    for points in curves() {
        let law = BlowerCurve::new(&points)
            .expect("good points")
            .in_air(Air::standard());
        for (rise, flow) in &points {
            // The straight term takes at most 1e-6 of the first flow.
            let off = law.response(-rise).flow - flow;
            assert!(off.abs() <= 1.001e-6 * points[0].1, "{rise} {off}");
        }
    }
}

#[test]
fn flow_rises_strictly_with_the_pressure_difference_everywhere() {
    for law in laws() {
        let mut before = f64::NEG_INFINITY;
        for step in -4000..=1000 {
            let at = law.response(0.1 * f64::from(step));
            assert!(at.flow > before && at.slope > 0.0, "{law:?} {step}");
            before = at.flow;
        }
    }
}

#[test]
fn slope_is_the_derivative_of_flow_and_flow_of_content() {
    for law in laws() {
        for step in -45..=15 {
            // No multiple lands on a point of the curve, where the slope may jump.
            let dp = 9.37 * f64::from(step) + 0.011;
            let h = 1e-3;
            let at = law.response(dp);
            let slope = (law.response(dp + h).flow - law.response(dp - h).flow) / (2.0 * h);
            assert!((slope - at.slope).abs() < 1e-8, "{dp} {slope} {at:?}");
            let flow = (law.content(dp + h) - law.content(dp - h)) / (2.0 * h);
            assert!((flow - at.flow).abs() < 1e-8, "{dp} {flow} {at:?}");
        }
        assert!(law.content(0.0).abs() < 1e-12);
    }
}

#[test]
fn slope_is_continuous_between_the_ends() {
    for law in laws() {
        let knots = &law.shape.knots;
        for knot in &knots[1..knots.len() - 1] {
            let dp = -law.ratio * knot;
            let (left, right) = (law.response(dp - 1e-7), law.response(dp + 1e-7));
            assert!((left.slope - right.slope).abs() < 1e-8, "{knot}");
            assert!((left.flow - right.flow).abs() < 1e-8, "{knot}");
        }
    }
}

#[test]
fn pressure_drop_inverts_response() {
    for law in laws() {
        for step in -45..=15 {
            let dp = 9.37 * f64::from(step);
            let at = law.response(dp);
            let back = law.pressure_drop(at.flow);
            let again = law.response(back).flow;
            assert!((again - at.flow).abs() < 1e-14, "{dp} {back}");
            // Flow is held to a few units in the last place; the pressure to that over the slope.
            let reach = 1e-12 + 4.0 * f64::EPSILON / at.slope;
            assert!((back - dp).abs() < reach * dp.abs().max(1.0), "{dp} {back}");
        }
    }
}

#[test]
fn beyond_the_last_point_flow_falls_to_zero_and_then_runs_back() {
    // Two points, slope −0.002 m³/(s·Pa); Q_last/rise_last = 0.3/150 is the same: zero flow at 300 Pa, by hand.
    let law = BlowerCurve::new(&[(50.0, 0.5), (150.0, 0.3)])
        .expect("good points")
        .in_air(Air::standard());
    assert!(law.response(-300.0).flow.abs() < 2e-6);
    assert!((law.response(-350.0).flow + 0.1).abs() < 2e-6);
    // Flat to the end: 0.4 m³/s at 100 Pa goes on with 0.4/100, so zero at 200 Pa.
    let flat = BlowerCurve::new(&[(0.0, 0.4), (100.0, 0.4)])
        .expect("good points")
        .in_air(Air::standard());
    assert!((flat.response(-150.0).flow - 0.2).abs() < 2e-6);
    // Below the first point at least 1e-3·Q₁/rise_last: 0.4e-5 m³/(s·Pa).
    assert!((flat.response(100.0).flow - 0.4004).abs() < 2e-6);
}

#[test]
fn thin_air_takes_rise_and_mass_flow_down_together() {
    let curve = BlowerCurve::new(&curves()[0]).expect("good points");
    let thin = Air {
        density: 0.5 * STANDARD_DENSITY,
        ..Air::standard()
    };
    let law = curve.in_air(thin);
    // At 0.58 m³/s the curve makes 125 Pa; at half density 62.5 Pa, and 0.29 m³/s at 1.204 kg/m³.
    assert!((law.response(-62.5).flow - 0.29).abs() < 1e-6);
    assert!((law.highest_point_rise_pa() - 112.5).abs() < 1e-12);
    assert!((law.lowest_point_rise_pa() - 12.5).abs() < 1e-12);
    let more = law.scaled(2.0);
    assert!((more.response(-62.5).flow - 0.58).abs() < 2e-6);
    assert!((more.content(-62.5) - 2.0 * law.content(-62.5)).abs() < 1e-12);
}

#[test]
fn points_that_are_no_falling_curve_are_refused() {
    let bad: [&[(f64, f64)]; 8] = [
        &[],
        &[(10.0, 0.5)],
        &[(10.0, 0.5), (10.0, 0.4)],
        &[(10.0, 0.5), (20.0, 0.6)],
        &[(-1.0, 0.5), (20.0, 0.4)],
        &[(0.0, 0.0), (20.0, 0.0)],
        &[(0.0, 0.5), (20.0, -0.1)],
        &[(0.0, f64::NAN), (f64::INFINITY, 0.1)],
    ];
    for points in bad {
        assert!(
            matches!(BlowerCurve::new(points), Err(FlowError::BadFigure { .. })),
            "{points:?}"
        );
    }
}
