//! The prior against its own definition.

use super::*;

fn seam(joint_type: &str, gsd: f64, field_made: bool) -> SeamPrior {
    SeamPrior {
        id: "a".into(),
        joint_type: joint_type.into(),
        mean_q25_m3_s: 2e-3,
        gsd,
        n: 0.6,
        field_made,
    }
}

#[test]
fn the_coordinates_add_up_to_the_whole_spread_and_the_mean() {
    let prior = Prior::new(&[seam("crimp", 3.0, true)], PriorKnobs::default(), 1).unwrap();
    let unit = |at: usize| {
        let mut x = vec![0.0; prior.dim()];
        x[at] = 1.0;
        let (mut l, mut n) = ([0.0], [0.0]);
        prior.laws(&x, &mut l, &mut n);
        l[0]
    };
    let median = (2e-3_f64).ln() - 0.5 * 3.0_f64.ln().powi(2);
    let variance: f64 = (0..prior.dim()).map(|at| (unit(at) - median).powi(2)).sum();
    assert!((variance.sqrt() - 3.0_f64.ln()).abs() < 1e-12);
}

#[test]
fn a_spread_smaller_than_the_shared_part_is_refused_by_joint_type() {
    // ln² 1.7 + ln² 1.3 = 0.2816 + 0.0688: a gsd of exp(0.592) = 1.807 leaves nothing.
    let error = Prior::new(&[seam("crimp", 1.8, true)], PriorKnobs::default(), 0).unwrap_err();
    assert!(
        matches!(&error, AllocateError::SpreadTooSmall { joint_type, .. } if joint_type == "crimp")
    );
    assert!(Prior::new(&[seam("crimp", 1.82, true)], PriorKnobs::default(), 0).is_ok());
    assert!(Prior::new(&[seam("hole", 1.2, false)], PriorKnobs::default(), 0).is_ok());
}

#[test]
fn pulled_back_slopes_agree_with_finite_differences() {
    let seams = [
        seam("crimp", 2.5, true),
        seam("slip", 3.0, true),
        seam("crimp", 2.2, false),
    ];
    let prior = Prior::new(&seams, PriorKnobs::default(), 2).unwrap();
    let x: Vec<f64> = (0..prior.dim()).map(|i| 0.3 * (i as f64 - 4.0)).collect();
    // An arbitrary smooth readout: Σ aᵢ·exp(ln q25ᵢ)·2^nᵢ.
    let a = [1.0, 2.0, 3.0];
    let value = |x: &[f64]| {
        let (mut l, mut n) = ([0.0; 3], [0.0; 3]);
        prior.laws(x, &mut l, &mut n);
        (0..3).map(|i| a[i] * l[i].exp() * n[i].exp2()).sum::<f64>()
    };
    let (mut l, mut n) = ([0.0; 3], [0.0; 3]);
    prior.laws(&x, &mut l, &mut n);
    let d_l: Vec<f64> = (0..3).map(|i| a[i] * l[i].exp() * n[i].exp2()).collect();
    let d_n: Vec<f64> = d_l.iter().map(|d| d * 2.0_f64.ln()).collect();
    let mut row = vec![9.0; prior.dim()];
    prior.pull_back(&x, Open::default(), 0, &d_l, &d_n, &mut row);
    for at in 0..prior.dim() {
        let step = 1e-5;
        let (mut up, mut down) = (x.clone(), x.clone());
        up[at] += step;
        down[at] -= step;
        let slope = (value(&up) - value(&down)) / (2.0 * step);
        assert!(
            (slope - row[at]).abs() < 1e-9 + 1e-6 * slope.abs(),
            "{at}: {slope} {}",
            row[at]
        );
    }
}
