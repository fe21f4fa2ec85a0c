//! Fittings of the catalogue, compression of flex and junction laws against handbook tables and equations, and against
//! the coefficients of an independent general fluid-dynamics library (`tests/data/fittings/make_fittings.py`).

use ductseam::air::Air;
use ductseam::catalog::{Catalog, Fitting};
use ductseam::flow::{BranchForm, JunctionLaw, Stream};
use ductseam::system::PieceKind;
use ductseam::{sketch, system};

/// Two handbooks that agree print coefficients this close together.
const BOOK_TO_BOOK: f64 = 0.05;
/// The compact equations of bends and mitres lie this close to the tables.
const EQUATION_TO_TABLE: f64 = 0.04;
/// Half of the last digit printed.
const ROUNDED_2: f64 = 0.006;
/// The same for tables with one digit after the point.
const ROUNDED_1: f64 = 0.051;
/// The library's numbers stand in the file with ten digits.
const SAME_FORMULA: f64 = 1e-8;

fn fitting(id: &str) -> &'static Fitting {
    Catalog::builtin().fitting(id).expect("a built-in fitting")
}

fn near(got: f64, expected: f64, within: f64, what: &str) {
    let off = (got - expected).abs();
    assert!(off <= within, "{what}: {got} against {expected}");
}

fn lines(name: &str) -> Vec<Vec<String>> {
    let path = format!("{}/tests/data/fittings/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("table is in the repository");
    let cells = |line: &str| line.split(',').map(str::to_owned).collect();
    text.lines().skip(1).map(cells).collect()
}

/// Mean, least and greatest coefficient of the library's methods.
fn library(what: &str) -> (f64, f64, f64) {
    let rows = lines("losses.csv");
    let row = rows.iter().find(|row| row[0] == what).expect("a row");
    let figure = |i: usize| row[i].parse::<f64>().expect("a number");
    (figure(1), figure(2), figure(3))
}

/// Pieces of an invented supply run of the given size and walk.
fn pieces(size: &str, more: &str, walk: &str) -> Vec<system::Piece> {
    let text = format!(
        "ductseam: 1\ntitle: fittings (invented)\nair handler: {{place: basement}}\nruns:\n  \
         - {{id: a, side: supply, from: supply plenum, size: {size}, {more}place: basement, walk: [{walk}]}}\n"
    );
    let sketch =
        sketch::read(&text, "fittings.yaml").unwrap_or_else(|e| panic!("{}", e.render(false)));
    let system = system::build(&sketch, &text, "fittings.yaml", Catalog::builtin())
        .unwrap_or_else(|e| panic!("{}", e.render(false)));
    system.graph.edge_weights().cloned().collect()
}

/// Handbook of Hydraulic Resistance, diagram 6-1, local part of a smooth 90 degree bend, round or square.
fn compact_bend(r_over_width: f64) -> f64 {
    0.21 * r_over_width.powf(if r_over_width <= 1.0 { -2.5 } else { -0.5 })
}

/// A published equation of a single mitre (general fluids library, first method).
fn compact_mitre(degrees: f64) -> f64 {
    let half = (0.5 * degrees).to_radians().sin();
    0.42 * half + 2.56 * half.powi(3)
}

#[test]
fn smooth_elbows_follow_the_compact_bend_equation() {
    let round = fitting("elbow-stamped");
    near(
        round.c,
        compact_bend(1.0),
        EQUATION_TO_TABLE,
        "round, r/D 1",
    );
    near(
        round.low,
        compact_bend(1.5),
        EQUATION_TO_TABLE,
        "round, r/D 1.5",
    );
    // At r/D 0.75 the sheet-metal table has 0.33 and the equation 0.43: the range's end is no sharper than that.
    near(round.high, compact_bend(0.75), 0.11, "round, r/D 0.75");
    let rect = fitting("elbow-radius-rect");
    near(
        rect.c,
        compact_bend(1.0),
        EQUATION_TO_TABLE,
        "rectangular, r/W 1",
    );
    near(
        rect.low,
        compact_bend(2.0),
        EQUATION_TO_TABLE,
        "rectangular, r/W 2",
    );
    near(
        rect.high,
        compact_bend(0.75),
        EQUATION_TO_TABLE,
        "rectangular, r/W 0.75",
    );
}

#[test]
fn smooth_elbows_times_the_reynolds_factor_follow_the_library() {
    // The catalogue holds the duct tables' coefficients for fast flow. Their Reynolds factor for r/W of 0.75 and more is
    // 1.30 at Re 1e5 (SMACNA HVAC Systems Duct Design, 4th edition, table A-7); the library knows Reynolds number itself.
    let elbow = fitting("elbow-stamped");
    for (c, what) in [
        (elbow.c, "bend r/D 1 Re 100000"),
        (elbow.low, "bend r/D 1.5 Re 100000"),
    ] {
        near(1.30 * c, library(what).0, 0.02, what);
    }
    // At Re 1e6, where the factor is 1, the library's own methods lie 0.1 apart and take the catalogue between them.
    for (c, what) in [
        (elbow.c, "bend r/D 1 Re 1e+06"),
        (elbow.low, "bend r/D 1.5 Re 1e+06"),
    ] {
        let (_, least, greatest) = library(what);
        assert!(least <= c && c <= greatest, "{what}: {c}");
    }
}

#[test]
fn mitre_elbows_of_90_degrees_follow_the_mitre_equation_and_the_library() {
    for id in ["elbow-mitre-round", "elbow-square"] {
        near(fitting(id).c, compact_mitre(90.0), EQUATION_TO_TABLE, id);
        let (mean, least, greatest) = library("mitre 90");
        near(fitting(id).c, mean, BOOK_TO_BOOK, id);
        assert!(fitting(id).low <= least && greatest <= fitting(id).high + BOOK_TO_BOOK);
    }
}

#[test]
fn smooth_elbows_of_other_angles_lose_the_tabulated_part() {
    // Angle factor of smooth and gored bends: SMACNA HVAC Systems Duct Design, 4th edition, table A-7.
    let table = [
        (30.0, 0.45),
        (45.0, 0.60),
        (60.0, 0.78),
        (75.0, 0.90),
        (90.0, 1.0),
    ];
    for (word, id) in [
        ("elbow", "elbow-stamped"),
        ("adjustable elbow", "elbow-adjustable"),
    ] {
        for (degrees, part) in table {
            let walk = format!("north 1 m, {word} left {degrees} degrees, 1 m, cap");
            let all = pieces("150 mm", "", &walk);
            let elbow = all
                .iter()
                .find(|p| p.kind == PieceKind::Elbow)
                .expect("an elbow");
            near(elbow.loss, part * fitting(id).c, ROUNDED_2, &walk);
        }
    }
}

#[test]
fn compressed_flex_has_the_friction_of_the_handbooks_table() {
    // ASHRAE Handbook Fundamentals (SI) 2021, ch. 21, eq. 22 and 23, worked out for six sizes and five compressions.
    let compressions = [4, 10, 15, 30, 45];
    let table = [
        (100, [2.4, 4.5, 6.3, 11.6, 16.9]),
        (150, [2.1, 3.8, 5.1, 9.3, 13.4]),
        (200, [1.9, 3.2, 4.2, 7.5, 10.7]),
        (250, [1.7, 2.7, 3.5, 6.0, 8.6]),
        (300, [1.5, 2.3, 3.0, 4.9, 6.9]),
        (400, [1.3, 1.8, 2.2, 3.4, 4.6]),
    ];
    for (diameter, factors) in table {
        for (compression, factor) in compressions.into_iter().zip(factors) {
            let more = format!("material: flex, compression: {compression} %, ");
            let all = pieces(
                &format!("{diameter} mm"),
                &more,
                "tab collar, 3 m, boot 10x4 in",
            );
            let flex = all
                .iter()
                .find(|p| p.length_m > 2.9 && p.length_m < 3.1)
                .expect("the flex");
            near(
                flex.friction_factor,
                factor,
                ROUNDED_1,
                &format!("{diameter} mm, {compression} %"),
            );
        }
    }
}

#[test]
fn reducers_follow_the_rows_of_contractions_and_the_library() {
    // Area ratio 2, SMACNA HVAC Systems Duct Design 1990, table 14-12, least (15 to 40 degrees), 50 to 60, and abrupt.
    let reducer = fitting("reducer");
    near(reducer.low, 0.05, ROUNDED_2, "gentle");
    near(reducer.c, 0.06, ROUNDED_2, "50 to 60 degrees");
    near(reducer.high, 0.26, ROUNDED_2, "abrupt");
    near(
        reducer.low,
        library("contraction 2 30").0,
        BOOK_TO_BOOK,
        "gentle",
    );
    near(
        reducer.c,
        library("contraction 2 60").0,
        BOOK_TO_BOOK,
        "60 degrees",
    );
    near(
        reducer.high,
        library("contraction 2 180").0,
        BOOK_TO_BOOK,
        "abrupt",
    );
    // Common practice gives 0.5·(1 − A₂/A₁) for an abrupt one.
    near(reducer.high, 0.25, BOOK_TO_BOOK, "abrupt, closed form");
}

#[test]
fn increasers_follow_two_equations_of_enlargements_and_the_library() {
    let increaser = fitting("increaser");
    let lost = (1.0_f64 - 0.5).powi(2);
    // Handbook of Hydraulic Resistance 1994, diagram 5-5, 30 degrees, area ratio 2.
    let gradual = 3.2 * 15.0_f64.to_radians().tan().powf(1.25) * lost;
    near(increaser.c, gradual, ROUNDED_2, "30 degrees");
    near(
        increaser.c,
        library("enlargement 2 30").0,
        BOOK_TO_BOOK,
        "30 degrees",
    );
    near(
        increaser.low,
        library("enlargement 2 10").0,
        BOOK_TO_BOOK,
        "10 degrees",
    );
    near(increaser.high, lost, ROUNDED_2, "sudden");
    near(
        increaser.high,
        library("sudden enlargement 2").0,
        ROUNDED_2,
        "sudden",
    );
}

#[test]
fn entries_exits_and_screens_follow_the_library() {
    let flush = fitting("entry-flush").c;
    let (_, least, greatest) = library("entry flush");
    assert!(least <= flush && flush <= greatest);
    near(
        fitting("takeoff-plenum").low,
        least,
        ROUNDED_2,
        "plenum collar",
    );
    near(
        fitting("entry-projecting").c,
        library("entry projecting").0,
        BOOK_TO_BOOK,
        "projecting",
    );
    near(fitting("exit").c, library("exit").0, ROUNDED_2, "exit");
    let screen = fitting("screen");
    near(
        screen.low,
        library("screen 0.8").0,
        ROUNDED_2,
        "free area 0.8",
    );
    near(
        screen.c,
        library("screen 0.7").0,
        ROUNDED_2,
        "free area 0.7",
    );
    near(
        screen.high,
        library("screen 0.5").0,
        ROUNDED_2,
        "free area 0.5",
    );
}

/// Loss of the branch and of the straight leg on the common leg's velocity pressure.
fn losses(form: BranchForm, stream: Stream, area: f64, flow: f64) -> (f64, f64) {
    let (area_c, q_c) = (0.06, 0.25);
    let (area_b, q_b) = (area * area_c, flow * q_c);
    let law = JunctionLaw::new(form, stream, area_c, area_b, Some(area_c), Air::standard());
    let pv = |q: f64, area: f64| 0.5 * 1.204 * (q / area).powi(2);
    let own = law.own_branch_loss() * pv(q_b, area_b);
    let pv_c = pv(q_c, area_c);
    (
        (own - law.branch_source(q_b, q_c).pa) / pv_c,
        -law.straight_source(q_b, q_c).pa / pv_c,
    )
}

/// Rows of the library's tees and wyes: angle, area ratio, flow ratio, then the losses of branch and straight leg parting
/// and of branch and straight leg joining.
fn junctions(angle: f64) -> Vec<[f64; 7]> {
    let rows = lines("junctions.csv").into_iter().map(|row| {
        let figures: Vec<f64> = row.iter().map(|c| c.parse().expect("a number")).collect();
        <[f64; 7]>::try_from(figures).expect("seven columns")
    });
    rows.filter(|row| (row[0] - angle).abs() < 1.0).collect()
}

#[test]
fn parting_tees_follow_the_library() {
    let rows = junctions(90.0);
    assert_eq!(rows.len(), 54);
    let mut tall = 0;
    for row in rows {
        let [_, area, flow, branch, straight, ..] = row;
        // The library's formulas take round legs: a branch is low up to two thirds of the main's diameter. Beyond that
        // and up to two thirds of its area they have 0.3; for branches still larger they add a factor.
        let low = area.sqrt() <= 2.0 / 3.0;
        let form = if low {
            BranchForm::LOW_TEE
        } else {
            BranchForm::TEE
        };
        let got = losses(form, Stream::Diverging, area, flow);
        let what = format!("area {area}, flow {flow}");
        if area <= 2.0 / 3.0 {
            near(got.0, branch, SAME_FORMULA * branch.max(1.0), &what);
            tall += usize::from(!low);
        } else {
            // A known disagreement: the library's factor 1 + 0.3 (q_b/q_c)² is left out of the law.
            let left_out = 1.0 + 0.3 * flow * flow;
            near(got.0 * left_out, branch, SAME_FORMULA * branch, &what);
        }
        near(got.1, straight, SAME_FORMULA, &what);
    }
    assert_eq!(tall, 9);
}

#[test]
fn parting_wyes_of_45_degrees_come_near_the_library() {
    let rows = junctions(45.0);
    assert_eq!(rows.len(), 54);
    for row in rows {
        let [_, area, flow, branch, straight, ..] = row;
        let got = losses(BranchForm::wye(45.0), Stream::Diverging, area, flow);
        let what = format!("area {area}, flow {flow}: {} against {branch}", got.0);
        if area <= 0.35 {
            assert!((got.0 / branch - 1.0).abs() < 0.13, "{what}");
        } else {
            // A known disagreement: for a large branch the library's factor falls to 0.6 with the flow ratio, the law's
            // to 0.9 with the velocity ratio. The law takes up to half more.
            assert!(got.0 >= branch && got.0 < 1.51 * branch, "{what}");
        }
        near(got.1, straight, SAME_FORMULA, &what);
    }
}

#[test]
fn joining_tees_and_wyes_follow_the_library() {
    for (angle, form) in [(90.0, BranchForm::TEE), (45.0, BranchForm::wye(45.0))] {
        for row in junctions(angle) {
            let [_, area, flow, .., branch, straight] = row;
            let got = losses(form, Stream::Converging, area, flow);
            let what = format!("angle {angle}, area {area}, flow {flow}");
            // Where the library's factor jumps from 0.54 to 0.55 the law is continuous; its 1.41 is 2 cos 45° = 1.4142.
            let factor = if area > 0.35 {
                0.01 * (branch.abs() / 0.55)
            } else {
                0.0
            };
            let cosine = if angle < 90.0 {
                0.0043 * flow * flow / area
            } else {
                0.0
            };
            near(
                got.0,
                branch,
                SAME_FORMULA + 1.05 * (factor + cosine),
                &what,
            );
            // A wye's straight leg is taken as a tee's: the library has less there, down to a gain.
            if angle > 75.0 {
                near(got.1, straight, SAME_FORMULA, &what);
            } else if flow >= 0.2 && area <= 0.5 {
                assert!(got.1 > straight, "{what}");
            }
        }
    }
}

#[test]
fn takeoffs_of_the_catalogue_agree_with_the_junction_laws_where_both_hold() {
    // ASHRAE Handbook Fundamentals (SI) 2021, ch. 21, tables 10 and 11: Q_b/Q_c 0.2, A_b/A_c 0.25, on the branch.
    let v2 = 0.8 * 0.8;
    let (tee, _) = losses(BranchForm::TEE, Stream::Diverging, 0.25, 0.2);
    near(tee / v2 / fitting("tee").c, 1.0, 0.05, "tee");
    let (wye, _) = losses(BranchForm::wye(45.0), Stream::Diverging, 0.25, 0.2);
    near(wye / v2 / fitting("wye").c, 1.0, 0.05, "wye");
    let (tap, _) = losses(BranchForm::TEE, Stream::Converging, 0.25, 0.2);
    near(
        tap / v2,
        fitting("takeoff-return").c,
        ROUNDED_2,
        "return tap",
    );
    // The other handbook's tee of a low branch loses 2.56 there: two published figures for one tee, the range's width.
    let (low, _) = losses(BranchForm::LOW_TEE, Stream::Diverging, 0.25, 0.2);
    near(low / v2, fitting("tee").high, BOOK_TO_BOOK, "low tee");
}
