//! Junction laws: derivatives, continuity, handbook figures.

use super::*;

const AREA_C: f64 = 0.06;

fn law(form: BranchForm, stream: Stream, ratio: f64, density: f64) -> JunctionLaw {
    let air = Air {
        density,
        ..Air::standard()
    };
    JunctionLaw::new(form, stream, AREA_C, ratio * AREA_C, Some(AREA_C), air)
}

/// Every form and stream with area ratios on both sides of every limit, in two airs.
fn laws() -> Vec<JunctionLaw> {
    let mut laws = Vec::new();
    for form in [
        BranchForm::TEE,
        BranchForm::LOW_TEE,
        BranchForm::wye(45.0),
        BranchForm::wye(30.0),
    ] {
        for stream in [Stream::Diverging, Stream::Converging] {
            for ratio in [0.1, 0.3, 0.38, 0.45, 0.8, 1.0] {
                laws.push(law(form, stream, ratio, 1.204));
                laws.push(law(form, stream, ratio, 0.986));
            }
        }
    }
    laws
}

/// Branch flows at which a formula changes, for a common flow above zero.
fn switches(law: &JunctionLaw, q_c: f64) -> Vec<f64> {
    let v = law.area_b / law.area_c;
    let mut at = vec![0.0, 0.5 * q_c, q_c, (1.0 - 0.55 / 0.9) * q_c];
    at.extend([0.6 * v * q_c, 0.8 * v * q_c]);
    at
}

fn sources(law: &JunctionLaw, q_b: f64, q_c: f64) -> [Source; 2] {
    [law.branch_source(q_b, q_c), law.straight_source(q_b, q_c)]
}

#[test]
fn derivatives_are_those_of_the_sources() {
    let h = 1e-6;
    let mut compared = 0;
    for law in laws() {
        for q_c in [-0.2_f64, 0.03, 0.31] {
            for step in -8..=28 {
                let q_b = 0.05 * q_c.abs() * f64::from(step) + 0.0007;
                let near = |s: f64| (q_b - s).abs() < 5.0 * h;
                if switches(&law, q_c).into_iter().any(near) {
                    continue;
                }
                compared += 1;
                let (left, right) = (sources(&law, q_b - h, q_c), sources(&law, q_b + h, q_c));
                let (below, above) = (sources(&law, q_b, q_c - h), sources(&law, q_b, q_c + h));
                for (i, at) in sources(&law, q_b, q_c).iter().enumerate() {
                    let to_b = (right[i].pa - left[i].pa) / (2.0 * h);
                    let to_c = (above[i].pa - below[i].pa) / (2.0 * h);
                    let what = format!("{law:?} {q_b} {q_c}: {at:?} {to_b} {to_c}");
                    let fine = |d: f64, f: f64| (d - f).abs() < 1e-5 * (1.0 + d.abs());
                    assert!(fine(at.per_branch_flow, to_b), "{what}");
                    assert!(fine(at.per_common_flow, to_c), "{what}");
                }
            }
        }
    }
    assert!(compared > 10_000, "{compared}");
}

#[test]
fn sources_are_continuous_across_every_switch() {
    let step = 1e-9;
    for law in laws() {
        for q_c in [0.03, 0.31] {
            for q_b in switches(&law, q_c) {
                let (left, right) = (
                    sources(&law, q_b - step, q_c),
                    sources(&law, q_b + step, q_c),
                );
                for (l, r) in left.iter().zip(&right) {
                    assert!(
                        (l.pa - r.pa).abs() < 1e-4,
                        "{law:?} {q_b} {q_c}: {l:?} {r:?}"
                    );
                }
            }
        }
        // The common leg comes to a stand while the branch runs either way or stands too.
        for q_b in [-0.1, 0.0, 0.1] {
            for source in sources(&law, q_b, step) {
                assert!(source.pa.abs() < 1e-4, "{law:?} {q_b}: {source:?}");
            }
            for source in sources(&law, q_b, -step) {
                assert!(source.pa.abs() < 1e-12);
            }
        }
    }
}

/// Loss of the branch over the common leg's velocity pressure, at q = q_b/q_c, with what its element keeps.
fn branch_loss(law: &JunctionLaw, q: f64) -> f64 {
    let q_c = 0.3;
    let pv = |q: f64, area: f64| law.density_factor * (q / area) * (q / area);
    let own = law.own_branch_loss() * pv(q * q_c, law.area_b);
    (own - law.branch_source(q * q_c, q_c).pa) / pv(q_c, law.area_c)
}

fn straight_loss(law: &JunctionLaw, q: f64) -> f64 {
    let q_c = 0.3;
    let pv = law.density_factor * (q_c / law.area_c) * (q_c / law.area_c);
    -law.straight_source(q * q_c, q_c).pa / pv
}

#[test]
fn takeoffs_of_the_ashrae_worked_system_lose_what_its_tables_say() {
    // ASHRAE Handbook Fundamentals (SI) 2021, ch. 21, tables 10 and 11: Q_b/Q_c 0.2, A_b/A_c 0.25, on the branch's pv.
    const WITHIN: f64 = 0.05;
    let v2 = 0.8 * 0.8;
    for (form, table) in [(BranchForm::TEE, 1.80), (BranchForm::wye(45.0), 0.70)] {
        for density in [1.204, 0.986] {
            let got = branch_loss(&law(form, Stream::Diverging, 0.25, density), 0.2) / v2;
            assert!(
                (got / table - 1.0).abs() < WITHIN,
                "{form:?}: {got} against {table}"
            );
        }
    }
}

#[test]
fn compact_forms_of_parting_junctions_hold_on_both_sides_of_their_limits() {
    // By hand from the handbook's forms, on the common leg's pv; a = 0.5, v = q/a.
    let tee = law(BranchForm::TEE, Stream::Diverging, 0.5, 1.204);
    assert!((branch_loss(&tee, 0.4) - (1.0 + 0.3 * 0.64)).abs() < 1e-12);
    let low = law(BranchForm::LOW_TEE, Stream::Diverging, 0.5, 1.204);
    assert!((branch_loss(&low, 0.5) - 2.0).abs() < 1e-12);
    let square = law(BranchForm::wye(90.0), Stream::Diverging, 0.5, 1.204);
    assert!((branch_loss(&square, 0.25) - 1.25).abs() < 1e-12); // v 0.5, A′ 1
    assert!((branch_loss(&square, 0.5) - 1.8).abs() < 1e-12); // v 1, A′ 0.9
    // Straight leg: large branch 2(2·0.3 − 1)·0.09 = −0.072, 0.3(2·0.8 − 1)·0.64 = 0.1152; small 0.4·0.09 = 0.036.
    assert!((straight_loss(&tee, 0.3) + 0.072).abs() < 1e-12);
    assert!((straight_loss(&tee, 0.8) - 0.1152).abs() < 1e-12);
    let small = law(BranchForm::TEE, Stream::Diverging, 0.4, 1.204);
    assert!((straight_loss(&small, 0.3) - 0.036).abs() < 1e-12);
}

#[test]
fn a_joining_branch_follows_the_row_of_the_cibse_table() {
    // CIBSE Guide C, table 4.132, A_b/A_c = 0.2, q = 0.1 to 1.0, on the common leg's pv; two digits are printed.
    let table = [-0.37, 0.72, 2.3, 4.3, 6.8, 9.7, 13.0, 17.0, 21.0, 26.0];
    let tee = law(BranchForm::TEE, Stream::Converging, 0.2, 1.204);
    for (i, printed) in table.into_iter().enumerate() {
        let got = branch_loss(&tee, 0.1 * (i as f64 + 1.0));
        let last_digit =
            [0.01, 0.1, 1.0][usize::from(printed > 1.0) + usize::from(printed >= 10.0)];
        assert!(
            (got - printed).abs() < 0.51 * last_digit,
            "{i}: {got} against {printed}"
        );
    }
}

#[test]
fn the_straight_leg_of_a_joining_tee_follows_the_handbook_row() {
    // Loss of the main at a converging round tee, Q_b/Q_c 0.1 to 1.0, of the sheet-metal and heating trades'
    // duct tables (from memory), on the common leg's pv; two digits are printed, and the form is within 0.02.
    let table = [0.16, 0.27, 0.38, 0.46, 0.53, 0.57, 0.59, 0.60, 0.59, 0.55];
    let tee = law(BranchForm::TEE, Stream::Converging, 0.5, 1.204);
    for (i, printed) in table.into_iter().enumerate() {
        let got = straight_loss(&tee, 0.1 * (i as f64 + 1.0));
        assert!((got - printed).abs() < 0.02, "{i}: {got} against {printed}");
    }
}

#[test]
fn larger_joining_branches_take_the_handbook_factor() {
    // By hand: a = 0.5; q 0.2: 0.9·0.8·(1 + 0.16 − 1.28) = −0.0864; q 0.6: 0.55·(1 + 1.44 − 0.32) = 1.166.
    let tee = law(BranchForm::TEE, Stream::Converging, 0.5, 1.204);
    assert!((branch_loss(&tee, 0.2) + 0.0864).abs() < 1e-12);
    assert!((branch_loss(&tee, 0.6) - 1.166).abs() < 1e-12);
    // A wye of 60 degrees (cosine 0.5) takes 2·0.36/0.5·0.5·0.55 = 0.396 off.
    let wye = law(BranchForm::wye(60.0), Stream::Converging, 0.5, 1.204);
    assert!((branch_loss(&wye, 0.6) - 0.77).abs() < 1e-12);
}

#[test]
fn notes_say_when_the_correlation_is_left() {
    let parting = law(BranchForm::TEE, Stream::Diverging, 0.25, 1.204);
    let joining = law(BranchForm::TEE, Stream::Converging, 0.25, 1.204);
    for law in [parting, joining] {
        assert_eq!(law.range_note(0.06, 0.3), None);
        assert_eq!(law.range_note(0.0, 0.0), None);
        assert!(
            law.range_note(0.1, -0.1)
                .is_some_and(|n| n.contains("common"))
        );
        assert!(
            law.range_note(-0.1, 0.1)
                .is_some_and(|n| n.contains("branch"))
        );
        assert!(
            law.range_note(0.2, 0.1)
                .is_some_and(|n| n.contains("straight"))
        );
    }
    assert!(
        parting
            .range_note(0.29, 0.3)
            .is_some_and(|n| n.contains("fast"))
    );
    assert_eq!(joining.range_note(0.29, 0.3), None);
    let tiny = law(BranchForm::TEE, Stream::Converging, 0.05, 1.204);
    assert!(
        tiny.range_note(0.01, 0.3)
            .is_some_and(|n| n.contains("tenth"))
    );
    let big = law(BranchForm::TEE, Stream::Diverging, 1.2, 1.204);
    assert!(
        big.range_note(0.01, 0.3)
            .is_some_and(|n| n.contains("larger"))
    );
    let narrowed = JunctionLaw {
        area_s: Some(0.7 * AREA_C),
        ..joining
    };
    assert!(
        narrowed
            .range_note(0.01, 0.3)
            .is_some_and(|n| n.contains("straight"))
    );
}
