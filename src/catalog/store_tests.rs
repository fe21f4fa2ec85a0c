use approx::assert_abs_diff_eq;

use super::*;
use crate::catalog::Work;

#[test]
fn the_builtin_tables_are_sound() {
    let c = Catalog::builtin();
    assert!(c.joints().len() >= 33 && c.fittings().len() >= 20 && c.roughness_rows().len() >= 15);
    for j in c.joints() {
        assert!(!j.mine && !j.note.is_empty(), "{}", j.id);
        for w in Work::ALL {
            assert!(!j.state(w).source.text.is_empty());
            assert!(j.own_variance(w) > 0.0, "{}", j.id);
        }
        assert!(j.state(Work::Mastic).n >= 0.65, "{}", j.id);
    }
}

#[test]
fn ids_and_trade_words_are_unique() {
    let c = Catalog::builtin();
    fn unique<'a>(it: impl Iterator<Item = &'a str>) -> bool {
        let mut v: Vec<_> = it.collect();
        let n = v.len();
        v.sort_unstable();
        v.dedup();
        v.len() == n
    }
    assert!(unique(c.joints().iter().map(|x| x.id.as_str())));
    assert!(unique(c.fittings().iter().map(|x| x.id.as_str())));
    assert!(unique(c.fittings().iter().map(|x| x.name.as_str())));
    assert!(unique(c.roughness_rows().iter().map(|x| x.id.as_str())));
    assert!(unique(c.components().iter().map(|x| x.id.as_str())));
}

#[test]
fn medians_lie_below_means_by_half_the_variance() {
    let j = Catalog::builtin().joint("flex-collar").expect("built in");
    // mean 1.30 L/s, spread 2.5: median 1.30·exp(−(ln 2.5)²/2) = 0.8544 L/s by hand
    assert_abs_diff_eq!(j.median_q25(Work::Unsealed) * 1e3, 0.8544, epsilon = 1e-3);
    let (low, high) = j.state(Work::Unsealed).band_90();
    assert_abs_diff_eq!(
        (low * high).sqrt() / j.median_q25(Work::Unsealed),
        1.0,
        epsilon = 1e-12
    );
    // exp(1.6449·ln 2.5) = 4.514
    assert_abs_diff_eq!(high / j.median_q25(Work::Unsealed), 4.514, epsilon = 2e-3);
}

#[test]
fn the_gauge_factor_meets_both_published_thicknesses() {
    // 26 ga 0.0164 and 22 ga 0.0016 cfm/ft for Pittsburgh lock, 0.0795 and 0.0032 for button-punch snaplock
    for (id, ratio) in [
        ("seam-pittsburgh", 0.0016 / 0.0164),
        ("seam-snaplock-rect", 0.0032 / 0.0795),
    ] {
        let j = Catalog::builtin().joint(id).expect("built in");
        assert_abs_diff_eq!(j.gauge_factor(0.55e-3), 1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(j.gauge_factor(0.85e-3) / ratio, 1.0, epsilon = 0.03);
        assert_abs_diff_eq!(j.gauge_factor(0.3e-3), 1.0, epsilon = 1e-12);
        assert!((j.gauge_factor(2e-3) - j.gauge_factor(0.85e-3)).abs() < 1e-12);
        assert!(
            (j.gauge_factor(0.70e-3).powi(2) - j.gauge_factor(0.85e-3)).abs() < 1e-12,
            "straight in ln"
        );
        assert_abs_diff_eq!(j.gauge_factor(f64::NAN), 1.0, epsilon = 1e-12);
    }
    let spiral = Catalog::builtin().joint("seam-spiral").expect("built in");
    assert_abs_diff_eq!(spiral.gauge_factor(0.85e-3), 1.0, epsilon = 1e-12);
}

#[test]
fn drilled_holes_agree_with_the_orifice_formula() {
    let c = Catalog::builtin();
    for (id, d) in [("test-hole", 9.5e-3_f64), ("screw-hole", 3.5e-3)] {
        let q = crate::catalog::opening::opening_flow(std::f64::consts::FRAC_PI_4 * d * d, 25.0);
        let row = c.joint(id).expect("built in");
        assert!(!row.field_made);
        assert!(
            (row.state(Work::Unsealed).mean_q25 / q - 1.0).abs() < 0.03,
            "{id}"
        );
    }
    assert!(!c.joint("cabinet").expect("built in").field_made);
}

#[test]
fn look_ups_find_by_id_and_by_trade_word() {
    let c = Catalog::builtin();
    assert_eq!(
        c.fitting_named("tab collar").map(|f| f.id.as_str()),
        Some("takeoff-tab-collar")
    );
    assert_eq!(
        c.nearest_fitting("adjustible elbow"),
        Some("adjustable elbow")
    );
    assert_eq!(
        c.nearest_roughness("galvanised-round"),
        Some("galvanized-round")
    );
    assert!(
        c.fitting("elbow-adjustable").is_some()
            && c.roughness("flex").is_some()
            && c.component("filter").is_some()
    );
    assert!(c.joint("nothing").is_none());
    assert_eq!(Work::from_word(" Mastic"), Some(Work::Mastic));
}

#[test]
fn a_misspelt_id_has_a_neighbour() {
    let c = Catalog::builtin();
    assert_eq!(c.nearest("flex-coler"), Some("flex-collar"));
    assert_eq!(c.nearest("Flex Collar"), Some("flex-collar"));
    assert_eq!(c.nearest("zzzzzzzzzzzz"), None);
}
