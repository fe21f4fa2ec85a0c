//! Blower curves against the monotone cubics of a general scientific library (`tests/data/blower/make_pchip.py`).

use ductseam::air::Air;
use ductseam::flow::BlowerCurve;

/// The table carries fifteen digits of figures of order 1 (flow), 1e-2 (slope) and 1e2 (integral).
const FLOW: f64 = 1e-14;
const SLOPE: f64 = 1e-15;
const INTEGRAL: f64 = 1e-12;

fn rows(name: &str) -> Vec<(String, Vec<f64>)> {
    let path = format!("{}/tests/data/blower/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("table is in the repository");
    text.lines()
        .skip(1)
        .map(|line| {
            let (curve, figures) = line.split_once(',').expect("several columns");
            let figures = figures.split(',').map(|f| f.parse().expect("a number"));
            (curve.to_owned(), figures.collect())
        })
        .collect()
}

#[test]
fn flow_slope_and_integral_match_the_library_on_seven_curves() {
    let all = rows("points.csv");
    let table = rows("pchip.csv");
    assert_eq!(table.len(), 7 * 24);
    for (curve, row) in table {
        let points: Vec<(f64, f64)> = all
            .iter()
            .filter(|(name, _)| *name == curve)
            .map(|(_, p)| (p[0], p[1]))
            .collect();
        let (first, last) = (points[0], points[points.len() - 1]);
        let law = BlowerCurve::new(&points)
            .expect("good points")
            .in_air(Air::standard());
        let (rise, flow, slope, integral) = (row[0], row[1], row[2], row[3]);
        // The straight term that keeps the law strictly falling is no part of the library's curve.
        let least = 1e-6 * first.1 / last.0;
        let from = rise - first.0;
        let at = law.response(-rise);
        let got = (
            at.flow + least * from,
            -at.slope + least,
            law.content(-first.0) - law.content(-rise) + 0.5 * least * from * from,
        );
        assert!((got.0 - flow).abs() < FLOW, "{curve} {rise}: {got:?}");
        assert!((got.1 - slope).abs() < SLOPE, "{curve} {rise}: {got:?}");
        assert!(
            (got.2 - integral).abs() < INTEGRAL,
            "{curve} {rise}: {got:?}"
        );
    }
}
