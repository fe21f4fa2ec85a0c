//! The catalogue's rows, put together into duct lengths and two invented houses, held against published leakage classes,
//! house totals and the share of seams.
//!
//! Every figure is at a uniform 25 Pa. The bands are engineering estimates around the published target named with each case.
//! T1 to T12, T14 and T15 were used to set the catalogue: passing them proves the arithmetic and the bookkeeping, not the
//! physics. T16 to T18 and T20 were not fitted, but their targets were known while the estimated rows were chosen.
//!
//! The spread of a total is drawn with one workmanship factor (spread 1.7) shared by all field-made joints and the rest of
//! each joint's spread independent; the 5 and 95 % quantiles are compared with those that a separate program gave from the
//! same rows, within 10 % and their rounding, and are printed beside the published range.
//!
//! Published targets: T1-T4, T7, T8, T10-T13 ASHRAE Handbook Fundamentals 2001 and 2005, duct design chapter (from memory);
//! T3-T6, T9 SMACNA HVAC Air Duct Leakage Test Manual 1985, Table 4-1 (second-hand), and EN 12237; T14-T16, T20
//! FSEC-RR-138-03 (2003), abstract; T17 the RESNET/ICC 380 summary sheet, 4 cfm25 per 100 ft2 of 1800 ft2; T18 the NIST retrofit
//! of one manufactured house (80 %) and the LBNL study of 24 houses in Sacramento (64 %, from memory); T19 the test
//! convention 0.60 (from memory) and the class exponent 0.65; T21 the French default of 2.5 x class A.
//!
//! `cargo test --test leakage_class_bands -- --nocapture` shows the table.

use std::f64::consts::PI;

use ductseam::catalog::class::{EnClass, leakage_class};
use ductseam::catalog::{Catalog, WORKMANSHIP_GSD, Work};
use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;

/// One cfm in m³/s, exact by the definition of the foot.
const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;
/// Draws per case.
const N_DRAWS: usize = 3000;
/// How far our quantiles may lie from those of the separate program: both have sampling noise, and joints may be grouped
/// differently into independent parts.
const QUANTILE_TOLERANCE: f64 = 0.10;
/// Missed on purpose, with the reason. A case not listed here must lie in its band.
const KNOWN_MISSES: &[(&str, &str)] = &[];

use Work::{Mastic, Ordinary, Unsealed};

/// A joint of an assembly: type, length (m) or weight of one piece, how many alike, workmanship.
struct Part {
    id: &'static str,
    size: f64,
    count: usize,
    work: Work,
}

fn part(id: &'static str, size: f64, count: usize, work: Work) -> Part {
    Part {
        id,
        size,
        count,
        work,
    }
}

fn q25(p: &Part) -> f64 {
    let joint = Catalog::builtin()
        .joint(p.id)
        .unwrap_or_else(|| panic!("no row `{}`", p.id));
    joint.state(p.work).mean_q25 * p.size * p.count as f64
}

/// Sum of the mean flows at 25 Pa, m³/s.
fn total(parts: &[Part]) -> f64 {
    parts.iter().map(q25).sum()
}

/// Sum over the parts that `keep` accepts.
fn total_of(parts: &[Part], keep: impl Fn(&str) -> bool) -> f64 {
    parts.iter().filter(|p| keep(p.id)).map(q25).sum()
}

/// Exponent of the sum at 25 Pa: mean of the exponents weighted by flow.
fn local_exponent(parts: &[Part]) -> f64 {
    let n = |p: &Part| {
        Catalog::builtin()
            .joint(p.id)
            .expect("known")
            .state(p.work)
            .n
    };
    parts.iter().map(|p| q25(p) * n(p)).sum::<f64>() / total(parts)
}

/// The 5 and 95 % quantiles of the total flow at 25 Pa, m³/s.
fn quantiles(parts: &[Part], seed: u64) -> (f64, f64) {
    let mut rng = Pcg64::seed_from_u64(seed);
    let shared_sd = WORKMANSHIP_GSD.ln();
    let mut totals: Vec<f64> = (0..N_DRAWS)
        .map(|_| {
            let shared: f64 = StandardNormal.sample(&mut rng);
            let mut sum = 0.0;
            for p in parts {
                let joint = Catalog::builtin().joint(p.id).expect("known");
                let s2 = joint.state(p.work).sd_ln().powi(2);
                let (common, own) = if joint.field_made {
                    (shared_sd * shared, (s2 - shared_sd.powi(2)).sqrt())
                } else {
                    (0.0, s2.sqrt())
                };
                for _ in 0..p.count {
                    let z: f64 = StandardNormal.sample(&mut rng);
                    sum += joint.median_q25(p.work) * p.size * (common + own * z).exp();
                }
            }
            sum
        })
        .collect();
    totals.sort_by(f64::total_cmp);
    (totals[N_DRAWS / 20], totals[N_DRAWS - N_DRAWS / 20])
}

/// A duct length: its parts and its surface, m².
struct Length {
    parts: Vec<Part>,
    surface: f64,
}

impl Length {
    fn class(&self) -> f64 {
        leakage_class(total(&self.parts), self.surface, 25.0)
    }

    fn class_band(&self) -> (f64, f64) {
        let (low, high) = quantiles(&self.parts, 1);
        (
            leakage_class(low, self.surface, 25.0),
            leakage_class(high, self.surface, 25.0),
        )
    }
}

/// 508 x 203 mm (20 x 8 in.), ten sections of 1.22 m, slip and drive, two lengthwise seams.
fn rectangular(seam: &'static str, seam_work: Work, joint_work: Work) -> Length {
    let (long, short, section) = (0.508, 0.203, 1.22);
    Length {
        parts: vec![
            part("joint-s-slip", long, 20, joint_work),
            part("joint-drive", short, 20, joint_work),
            part(seam, section, 20, seam_work),
        ],
        surface: 2.0 * (long + short) * section * 10.0,
    }
}

/// 508 x 203 mm, ten flanged sections of 1.5 m.
fn flanged() -> Length {
    let perimeter = 2.0 * (0.508 + 0.203);
    Length {
        parts: vec![
            part("joint-flange", perimeter, 10, Ordinary),
            part("seam-pittsburgh", 1.5, 20, Ordinary),
        ],
        surface: perimeter * 15.0,
    }
}

/// 203 mm (8 in.) snaplock pipe, ten sections of 1.52 m.
fn round(work: Work) -> Length {
    let circumference = PI * 0.203;
    Length {
        parts: vec![
            part("joint-round-crimp", circumference, 10, work),
            part("seam-snaplock-round", 1.52, 10, work),
        ],
        surface: circumference * 15.2,
    }
}

/// 250 mm spiral duct of 137 mm strip, ten lengths of 3.05 m, factory gaskets.
fn spiral() -> Length {
    let circumference = PI * 0.250;
    let surface = circumference * 3.05;
    Length {
        parts: vec![
            part("joint-spiral-coupling", circumference, 10, Ordinary),
            part("seam-spiral", surface / 0.137, 10, Ordinary),
        ],
        surface: surface * 10.0,
    }
}

/// 152 mm (6 in.) flex, ten runs of 7.6 m with two ends.
fn flex(work: Work) -> Length {
    let circumference = PI * 0.152;
    Length {
        parts: vec![part("flex-collar", circumference, 20, work)],
        surface: circumference * 76.0,
    }
}

/// Duct board of 1.4 m perimeter, ten sections of 1.22 m, one closure.
fn duct_board() -> Length {
    Length {
        parts: vec![
            part("joint-ductboard", 1.4, 10, Ordinary),
            part("seam-ductboard-corner", 1.22, 10, Ordinary),
        ],
        surface: 1.4 * 12.2,
    }
}

/// Invented slab house, attic flex and duct board.
fn house_a(w: Work) -> Vec<Part> {
    let (six, sixteen) = (PI * 0.152, PI * 0.406);
    vec![
        part("takeoff-tab-collar", six, 12, w),
        part("flex-collar", six, 24, w),
        part("boot-body", 1.0, 12, w),
        part("boot-to-surface", 0.813, 12, w),
        part("conn-supply-plenum", 1.8, 1, w),
        part("joint-ductboard", 1.8, 3, w),
        part("seam-ductboard-corner", 1.0, 4, w),
        part("conn-return-plenum", 2.0, 1, w),
        part("joint-ductboard", 2.0, 3, w),
        part("seam-ductboard-corner", 1.0, 4, w),
        part("takeoff-tab-collar", sixteen, 1, w),
        part("flex-collar", sixteen, 2, w),
        part("boot-to-surface", 2.03, 1, w),
        part("cabinet", 1.0, 1, w),
        part("penetration", 1.0, 3, w),
        // the filter sits at the grille in three houses of four
        part("filter-slot", 0.25, 1, w),
    ]
}

/// Invented basement house, sheet metal and panned returns.
fn house_b(w: Work) -> Vec<Part> {
    let (six, twelve) = (0.479, 12);
    vec![
        part("joint-s-slip", 0.508, 2 * (15 + 6), w),
        part("joint-drive", 0.203, 2 * (15 + 6), w),
        // two seams a section of 1.22 m: 18 m of supply trunk and 7 m of return trunk
        part("seam-snaplock-rect", 1.22, 41, w),
        part("endcap-rect", 1.42, 2, w),
        part("takeoff-side-tap", six, twelve, w),
        part("seam-snaplock-round", 5.0, twelve, w),
        part("joint-round-crimp", six, 4 * twelve, w),
        part("elbow-adjustable", six, 2 * twelve, w),
        part("boot-body", 1.0, twelve, w),
        part("boot-to-surface", 0.711, twelve, w),
        part("conn-supply-plenum", 1.8, 1, w),
        part("pan-edge", 4.0, 8, w),
        part("pan-end", 1.0, 8, w),
        part("conn-return-plenum", 2.0, 1, w),
        part("filter-slot", 1.0, 1, w),
        part("cabinet", 1.0, 1, w),
        part("penetration", 1.0, 2, w),
    ]
}

/// Cut by sealing to mastic with 15 % of the joints missed.
fn cut(before: &[Part], after: &[Part]) -> f64 {
    let missed = 0.15;
    let (b, a) = (total(before), total(after));
    100.0 * (1.0 - ((1.0 - missed) * a + missed * b) / b)
}

/// One line of the table.
struct Case {
    id: &'static str,
    what: &'static str,
    target: &'static str,
    band: (f64, f64),
    found: f64,
    /// Our 5 and 95 % quantiles, and those of the separate program.
    spread: Option<((f64, f64), (f64, f64))>,
}

fn case(
    id: &'static str,
    what: &'static str,
    target: &'static str,
    band: (f64, f64),
    found: f64,
) -> Case {
    Case {
        id,
        what,
        target,
        band,
        found,
        spread: None,
    }
}

fn length_case(
    id: &'static str,
    what: &'static str,
    target: &'static str,
    band: (f64, f64),
    length: &Length,
    other: (f64, f64),
) -> Case {
    Case {
        spread: Some((length.class_band(), other)),
        ..case(id, what, target, band, length.class())
    }
}

fn house_case(
    id: &'static str,
    what: &'static str,
    target: &'static str,
    band: (f64, f64),
    work: Work,
    other: (f64, f64),
) -> Case {
    let parts = house_a(work);
    let (low, high) = quantiles(&parts, 1);
    Case {
        spread: Some(((low / CFM, high / CFM), other)),
        ..case(id, what, target, band, total(&parts) / CFM)
    }
}

fn cases() -> Vec<Case> {
    let snap = |w| rectangular("seam-snaplock-rect", w, w);
    let pittsburgh = |seam, joint| rectangular("seam-pittsburgh", seam, joint);
    let seams =
        |l: &Length| 100.0 * total_of(&l.parts, |id| id.starts_with("seam")) / total(&l.parts);
    let one = |id, size, work| total(&[part(id, size, 1, work)]) * 1e3;
    let a = house_a(Unsealed);
    let unit = total_of(&a, |id| id == "cabinet" || id.starts_with("conn"));
    vec![
        length_case(
            "T1",
            "rectangular snaplock, unsealed, CL",
            "48, 12-110",
            (36.0, 60.0),
            &snap(Unsealed),
            (16.0, 97.0),
        ),
        length_case(
            "T2",
            "rectangular Pittsburgh, unsealed, CL",
            "48, 12-110",
            (34.0, 58.0),
            &pittsburgh(Unsealed, Unsealed),
            (15.0, 90.0),
        ),
        length_case(
            "T3",
            "rectangular snaplock, ordinary, CL",
            "12 to 24",
            (12.0, 24.0),
            &snap(Ordinary),
            (6.0, 36.0),
        ),
        length_case(
            "T4",
            "rectangular snaplock, mastic, CL",
            "6, 12",
            (3.0, 8.0),
            &snap(Mastic),
            (1.5, 9.0),
        ),
        length_case(
            "T5",
            "joints mastic, seams unsealed, CL",
            "at most 24",
            (0.0, 24.0),
            &pittsburgh(Unsealed, Mastic),
            (1.7, 10.0),
        ),
        length_case(
            "T6",
            "flanged, ordinary, CL",
            "12",
            (8.0, 16.0),
            &flanged(),
            (4.0, 23.0),
        ),
        length_case(
            "T7",
            "round snaplock, unsealed, CL",
            "30, 6-70",
            (22.0, 38.0),
            &round(Unsealed),
            (10.0, 63.0),
        ),
        length_case(
            "T8",
            "round snaplock, mastic, CL",
            "3",
            (2.0, 5.0),
            &round(Mastic),
            (0.9, 6.0),
        ),
        length_case(
            "T9",
            "spiral, gaskets, CL",
            "3 to 12",
            (2.5, 8.0),
            &spiral(),
            (1.4, 10.0),
        ),
        length_case(
            "T10",
            "flex, unsealed, CL",
            "30, 4-54",
            (22.0, 38.0),
            &flex(Unsealed),
            (10.0, 65.0),
        ),
        length_case(
            "T11",
            "flex, ordinary, CL",
            "12",
            (8.0, 16.0),
            &flex(Ordinary),
            (4.0, 24.0),
        ),
        length_case(
            "T12",
            "duct board, ordinary, CL",
            "6",
            (4.0, 9.0),
            &duct_board(),
            (2.0, 16.0),
        ),
        case(
            "T13a",
            "seam share of T1, %",
            "10-15",
            (5.0, 25.0),
            seams(&snap(Unsealed)),
        ),
        case(
            "T13b",
            "seam share of T7, %",
            "10-15",
            (5.0, 25.0),
            seams(&round(Unsealed)),
        ),
        case(
            "T14",
            "cabinet, unsealed, L/s",
            "11.3",
            (9.0, 14.0),
            one("cabinet", 1.0, Unsealed),
        ),
        case(
            "T15a",
            "supply connection, ordinary, L/s",
            "1.0",
            (0.8, 1.2),
            one("conn-supply-plenum", 1.96, Ordinary),
        ),
        case(
            "T15b",
            "return connection, ordinary, L/s",
            "1.8",
            (1.44, 2.16),
            one("conn-return-plenum", 1.96, Ordinary),
        ),
        house_case(
            "T16",
            "house A, unsealed, cfm25",
            "220",
            (150.0, 290.0),
            Unsealed,
            (82.0, 373.0),
        ),
        house_case(
            "T17",
            "house A, ordinary, cfm25",
            "72",
            (0.0, 80.0),
            Ordinary,
            (29.0, 125.0),
        ),
        case(
            "T18a",
            "house A, unsealed to mastic, cut %",
            "80; 64",
            (60.0, 85.0),
            cut(&a, &house_a(Mastic)),
        ),
        case(
            "T18b",
            "house B, unsealed to mastic, cut %",
            "80; 64",
            (60.0, 85.0),
            cut(&house_b(Unsealed), &house_b(Mastic)),
        ),
        case(
            "T19a",
            "exponent, house A",
            "0.60",
            (0.57, 0.63),
            local_exponent(&a),
        ),
        case(
            "T19b",
            "exponent, house B",
            "0.60",
            (0.57, 0.63),
            local_exponent(&house_b(Unsealed)),
        ),
        case(
            "T19c",
            "exponent, T1",
            "0.65",
            (0.63, 0.67),
            local_exponent(&snap(Unsealed).parts),
        ),
        case(
            "T20",
            "cabinet + connections of house A, %",
            "14",
            (10.0, 30.0),
            100.0 * unit / total(&a),
        ),
        case(
            "T21",
            "2.5 x class A as a class, CL",
            "48",
            (48.0 * 0.999, 48.0 * 1.001),
            2.5 * EnClass::A.class_ip(),
        ),
    ]
}

fn is_in_band(c: &Case) -> bool {
    c.band.0 <= c.found && c.found <= c.band.1
}

fn misses(what: &str, cases: &[Case], good: impl Fn(&Case) -> bool) -> Vec<String> {
    cases
        .iter()
        .filter(|c| !good(c))
        .map(|c| format!("{} ({}): {what}, found {:.3}", c.id, c.what, c.found))
        .collect()
}

#[test]
fn the_catalogue_lies_in_the_bands_round_the_published_targets() {
    let cases = cases();
    println!(
        "{:<5}{:<38}{:>9}  {:<15}{:<13}{:<15}{:<15}",
        "", "case at 25 Pa", "found", "band", "published", "5-95 % here", "5-95 % apart"
    );
    for c in &cases {
        let band = format!("{:.2}-{:.2}", c.band.0, c.band.1);
        let pair = |(l, h): (f64, f64)| format!("{l:.1}-{h:.1}");
        let (ours, other) = c
            .spread
            .map_or((String::new(), String::new()), |(o, t)| (pair(o), pair(t)));
        let mark = if is_in_band(c) { "" } else { "  MISS" };
        println!(
            "{:<5}{:<38}{:>9.3}  {band:<15}{:<13}{ours:<15}{other:<15}{mark}",
            c.id, c.what, c.found, c.target
        );
    }
    assert_eq!(
        cases
            .iter()
            .map(|c| c.id.trim_end_matches(['a', 'b', 'c']))
            .collect::<std::collections::BTreeSet<_>>()
            .len(),
        21
    );
    let known = |c: &Case| KNOWN_MISSES.iter().any(|(id, _)| *id == c.id);
    let missed = misses("outside its band", &cases, |c| is_in_band(c) || known(c));
    assert!(missed.is_empty(), "{missed:#?}");
    let mended = misses("listed as a miss, yet it hits", &cases, |c| {
        !(known(c) && is_in_band(c))
    });
    assert!(mended.is_empty(), "{mended:#?}");
}

#[test]
fn the_spreads_agree_with_a_separate_program() {
    // The separate figures are rounded: to whole classes from 2 up, to one decimal below.
    let half_a_step = |b: f64| if b < 2.0 { 0.05 } else { 0.5 };
    let close = |a: f64, b: f64| (a - b).abs() <= QUANTILE_TOLERANCE * b + half_a_step(b);
    let missed = misses("5-95 % apart", &cases(), |c| {
        c.spread
            .is_none_or(|(o, t)| close(o.0, t.0) && close(o.1, t.1))
    });
    assert!(missed.is_empty(), "{missed:#?}");
}

#[test]
fn house_totals_equal_a_sum_by_hand() {
    // House B, unsealed: 178.45 L/s by hand (378 cfm); house A: 90.14 L/s (191 cfm). A check of the bookkeeping only.
    assert!(
        (total(&house_a(Unsealed)) * 1e3 - 90.14).abs() < 0.1,
        "{}",
        total(&house_a(Unsealed)) * 1e3
    );
    assert!(
        (total(&house_b(Unsealed)) * 1e3 - 178.45).abs() < 0.3,
        "{}",
        total(&house_b(Unsealed)) * 1e3
    );
}
