use super::super::{By, JointsAsk, joint_types};
use super::*;
use crate::allocate::AllocateSettings;
use crate::predict::{PredictSettings, What, predict};

fn built(text: &str) -> System {
    let read = crate::sketch::read(text, "m.yaml").expect("sound");
    crate::system::build(&read, text, "m.yaml", Catalog::builtin()).expect("sound")
}

fn slab() -> System {
    built(include_str!("../../models/slab-attic.yaml")).before_any_test()
}

#[test]
fn a_seam_that_hangs_open_stays_as_it_is() {
    // Two draws of two seams; in the first, seam 0 hangs open with 10. A quarter of it remains in mastic, and of the other
    // nine tenths (what the sketch forgot): seam 0 goes from 2 to 0.5 in the second draw, seam 1 from 1 to 0.9 in both.
    let flows = [10.0, 1.0, 2.0, 1.0];
    let draws = Draws {
        weights: &[0.5, 0.5],
        flows: &flows,
        open: &[Open::one(0), Open::default()],
    };
    let remade = Remade {
        own: vec![0],
        changed: 1,
        factors: vec![0.25, 0.9],
    };
    let found = change(std::iter::once((draws, remade)));
    assert_eq!(found.seams, 1);
    assert!((found.cut_m3_s - (0.75 + 0.1)).abs() < 1e-12);
    assert!((found.of_type - 0.75 / 6.0).abs() < 1e-12);
    assert!((found.of_total - 0.85 / 7.0).abs() < 1e-12);
}

#[test]
fn factors_are_those_of_the_catalogue_and_own_figures_and_mastic_stay() {
    let mut system = slab();
    let catalog = Catalog::builtin();
    let joint = catalog.joint("flex-collar").expect("a row");
    let of_type: Vec<SeamIdx> = (0..system.seams.len())
        .filter(|&at| system.seams[at].joint_type == joint.id)
        .collect();
    system.seams[of_type[0]].own_figure = true;
    let all = Remade::of(&system, catalog, &joint.id, Work::Mastic, None);
    assert_eq!(
        (all.own.len(), all.changed),
        (of_type.len(), of_type.len() - 1)
    );
    assert!((all.factors[of_type[0]] - 1.0).abs() < 1e-12);
    let at = of_type[1];
    let ratio = joint.state(Work::Mastic).mean_q25 / joint.state(system.seams[at].work).mean_q25;
    assert!((all.factors[at] - ratio).abs() < 1e-12);
    for (seam, factor) in system.seams.iter().zip(&all.factors) {
        let is_forgotten = seam.role == SeamRole::Unsketched;
        assert!(seam.joint_type == joint.id || is_forgotten || (factor - 1.0).abs() < 1e-12);
        assert!(!is_forgotten || (*factor < 1.0 + 1e-12 && *factor > 0.3));
    }
    // At four times the pressure the other exponent tells.
    let pa = vec![-4.0 * REFERENCE_PA; system.seams.len()];
    let high = Remade::of(&system, catalog, &joint.id, Work::Mastic, Some(&pa));
    let n = joint.state(Work::Mastic).n - system.seams[at].n;
    assert!((high.factors[at] / ratio - 4_f64.powf(n)).abs() < 1e-9);
    system.seams[at].work = Work::Mastic;
    let fewer = Remade::of(&system, catalog, &joint.id, Work::Mastic, None);
    assert_eq!(fewer.changed, all.changed - 1);
}

#[test]
fn mastic_takes_away_what_predict_says_of_the_sketch_rewritten_so() {
    let (system, catalog) = (slab(), Catalog::builtin());
    let settings = AllocateSettings {
        draws: 4000,
        ..AllocateSettings::default()
    };
    let ask = JointsAsk {
        by: By::Test,
        with_readings: false,
    };
    let joints =
        joint_types(std::slice::from_ref(&system), catalog, &settings, ask).expect("draws");
    let ask = PredictSettings {
        draws: settings,
        choice_draws: 2000,
        in_pairs: 0,
        ..PredictSettings::default()
    };
    let predicted = predict(&system, catalog, &ask).expect("draws");
    // Of the types that can hang open, the two that predict expects most of.
    let can_open = |id: &str| {
        catalog
            .joint(id)
            .is_some_and(|joint| joint.gross_chance > 0.0)
    };
    let both: Vec<(f64, f64)> = predicted
        .choices
        .iter()
        .filter_map(|choice| match &choice.what {
            What::Work { joint_type, .. } if can_open(joint_type) => {
                let own = joints.types.iter().find(|t| t.joint_type == *joint_type)?;
                Some((own.to_mastic.cut_m3_s, choice.total_cut_m3_s))
            }
            _ => None,
        })
        .take(2)
        .collect();
    assert_eq!(both.len(), 2);
    for (own, theirs) in both {
        // Draws of the closed seams alone tell apart: 4000 and 2000 draws of a lognormal sum are good to some 5 %. That the
        // other joints lose a little more once these are tight is solved for there and not here.
        assert!((own / theirs - 1.0).abs() < 0.15, "{own} {theirs}");
    }
}
