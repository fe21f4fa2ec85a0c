//! What the trade calls things: materials, their usual seams and joints, and the words for joint types.

use crate::catalog::Catalog;
use crate::math::{exp, ln};
use crate::quantity::Length;
use crate::sketch::{ElbowKind, Material, Takeoff};

/// How one material is usually built.
pub(super) struct Build {
    /// Words for defaults and errors.
    pub words: &'static str,
    /// What a piece is made of, in words.
    pub made_of: &'static str,
    /// Joint type of lengthwise seams; `None` where there are none.
    pub seam: Option<&'static str>,
    /// What a lengthwise seam is called in ids.
    pub seam_word: &'static str,
    /// Joint type between sections.
    pub joint: &'static str,
    /// Length of a section, m; `None` where the duct has no sections.
    pub section_m: Option<f64>,
    /// The same in words.
    pub section_words: &'static str,
    /// Roughness row of the catalogue.
    pub roughness: &'static str,
    /// Whether sections are round.
    pub round: bool,
}

const FOOT: f64 = Length::from_ft(1.0).si();

/// Width of the strip that spiral duct is wound of, m: 137 mm. Common practice.
pub(super) const SPIRAL_STRIP_M: f64 = 0.137;

/// Perimeter above which a section of rectangular duct is folded of two sheets and has two lengthwise seams, m.
/// Common practice, the figure an engineering estimate.
pub(super) const TWO_SEAMS_FROM_M: f64 = 1.2;

/// How a material is built. Section lengths are common practice.
pub(super) fn build_of(material: Material) -> Build {
    match material {
        Material::Rectangular => Build {
            words: "rectangular duct",
            made_of: "rectangular sheet metal",
            seam: Some("seam-snaplock-rect"),
            seam_word: "lock seam",
            joint: "joint-slip-drive",
            section_m: Some(4.0 * FOOT),
            section_words: "4 ft",
            roughness: "galvanized-rect",
            round: false,
        },
        Material::Round => Build {
            words: "round duct",
            made_of: "round sheet metal",
            seam: Some("seam-snaplock-round"),
            seam_word: "lock seam",
            joint: "joint-round-crimp",
            section_m: Some(5.0 * FOOT),
            section_words: "5 ft",
            roughness: "galvanized-round",
            round: true,
        },
        Material::Spiral => Build {
            words: "spiral duct",
            made_of: "spiral sheet metal",
            seam: Some("seam-spiral"),
            seam_word: "spiral seam",
            joint: "joint-spiral-coupling",
            section_m: Some(10.0 * FOOT),
            section_words: "10 ft",
            roughness: "galvanized-spiral",
            round: true,
        },
        Material::Flex => Build {
            words: "flex duct",
            made_of: "flex",
            seam: None,
            seam_word: "seam",
            joint: "flex-collar",
            section_m: None,
            section_words: "",
            roughness: "flex",
            round: true,
        },
        Material::DuctBoard => Build {
            words: "duct board",
            made_of: "fibrous-glass duct board",
            seam: Some("seam-ductboard-corner"),
            seam_word: "corner closure",
            joint: "joint-ductboard",
            section_m: Some(4.0 * FOOT),
            section_words: "4 ft",
            roughness: "duct-board",
            round: false,
        },
        Material::PannedJoist => Build {
            words: "panned joist",
            made_of: "panned joist",
            seam: Some("pan-edge"),
            seam_word: "pan edge",
            joint: "pan-end",
            section_m: None,
            section_words: "",
            roughness: "cavity",
            round: false,
        },
        Material::Cavity => Build {
            words: "building cavity",
            made_of: "building cavity",
            seam: Some("cavity-seam"),
            seam_word: "cavity seam",
            joint: "pan-end",
            section_m: None,
            section_words: "",
            roughness: "cavity",
            round: false,
        },
    }
}

/// Whether a material is a building part closed by end blocks rather than by joints.
pub(super) fn is_bay(material: Material) -> bool {
    matches!(material, Material::PannedJoist | Material::Cavity)
}

/// Lengthwise seams beside each other on one section.
pub(super) fn seams_side_by_side(material: Material, perimeter_m: f64) -> f64 {
    match material {
        Material::Rectangular if perimeter_m > TWO_SEAMS_FROM_M => 2.0,
        Material::PannedJoist | Material::Cavity => 2.0,
        // The lock winds round the duct: metres of seam are surface over strip width.
        Material::Spiral => perimeter_m / SPIRAL_STRIP_M,
        _ => 1.0,
    }
}

/// Trade words for joint types; a pair for round and for other sections where they differ.
const WORDS: &[(&str, &str, &str)] = &[
    ("snaplock", "seam-snaplock-round", "seam-snaplock-rect"),
    ("snap lock", "seam-snaplock-round", "seam-snaplock-rect"),
    ("button punch", "seam-snaplock-round", "seam-snaplock-rect"),
    ("pittsburgh", "seam-pittsburgh", "seam-pittsburgh"),
    ("pittsburgh lock", "seam-pittsburgh", "seam-pittsburgh"),
    ("grooved", "seam-grooved-round", "seam-grooved-round"),
    ("grooved lock", "seam-grooved-round", "seam-grooved-round"),
    ("spiral lock", "seam-spiral", "seam-spiral"),
    (
        "corner closure",
        "seam-ductboard-corner",
        "seam-ductboard-corner",
    ),
    ("v-groove", "seam-ductboard-corner", "seam-ductboard-corner"),
    ("slip and drive", "joint-slip-drive", "joint-slip-drive"),
    ("slip & drive", "joint-slip-drive", "joint-slip-drive"),
    ("s and drive", "joint-slip-drive", "joint-slip-drive"),
    ("s slip", "joint-s-slip", "joint-s-slip"),
    ("s-slip", "joint-s-slip", "joint-s-slip"),
    ("drive", "joint-drive", "joint-drive"),
    ("drive cleat", "joint-drive", "joint-drive"),
    ("flange", "joint-flange", "joint-flange"),
    ("flanged", "joint-flange", "joint-flange"),
    ("crimp", "joint-round-crimp", "joint-round-crimp"),
    ("beaded crimp", "joint-round-crimp", "joint-round-crimp"),
    ("coupling", "joint-spiral-coupling", "joint-spiral-coupling"),
    ("shiplap", "joint-ductboard", "joint-ductboard"),
    ("butt", "joint-ductboard", "joint-ductboard"),
    ("canvas", "joint-canvas", "joint-canvas"),
    ("collar", "flex-collar", "flex-collar"),
    ("tie", "flex-collar", "flex-collar"),
    ("tab collar", "takeoff-tab-collar", "takeoff-tab-collar"),
    ("spin-in", "takeoff-spin-in", "takeoff-spin-in"),
    ("spin-in collar", "takeoff-spin-in", "takeoff-spin-in"),
    ("side tap", "takeoff-side-tap", "takeoff-side-tap"),
];

/// The joint type id that a person's words mean for a material: a catalogue id or a trade word.
pub(super) fn joint_id<'c>(
    words: &str,
    material: Material,
    catalog: &'c Catalog,
) -> Option<&'c str> {
    let plain = words.trim().to_lowercase();
    if let Some(joint) = stored(&plain, catalog) {
        return Some(joint);
    }
    let (_, round, other) = WORDS.iter().find(|(word, ..)| *word == plain)?;
    stored(
        if build_of(material).round {
            round
        } else {
            other
        },
        catalog,
    )
}

/// The id as the catalogue keeps it.
pub(super) fn stored<'c>(id: &str, catalog: &'c Catalog) -> Option<&'c str> {
    catalog.joint(id).map(|joint| joint.id.as_str())
}

/// All words that [`joint_id`] knows beside the catalogue's ids.
pub(super) fn joint_words() -> impl Iterator<Item = &'static str> {
    WORDS.iter().map(|(word, ..)| *word)
}

/// The word for a takeoff, its joint type and its fitting row.
pub(super) fn takeoff(kind: Takeoff) -> (&'static str, &'static str, &'static str) {
    match kind {
        Takeoff::TabCollar => ("tab collar", "takeoff-tab-collar", "takeoff-tab-collar"),
        Takeoff::SpinIn => ("spin-in collar", "takeoff-spin-in", "takeoff-spin-in"),
        Takeoff::SideTap => ("side tap", "takeoff-side-tap", "takeoff-side-tap"),
    }
}

/// The word for an elbow and the fitting row of its loss at 90 degrees and, where there is one, at 45.
pub(super) fn elbow(
    kind: ElbowKind,
    round: bool,
) -> (&'static str, &'static str, Option<&'static str>) {
    match (kind, round) {
        (ElbowKind::Adjustable, _) => (
            "adjustable elbow",
            "elbow-adjustable",
            Some("elbow-adjustable-45"),
        ),
        (ElbowKind::Fixed, true) => ("elbow", "elbow-stamped", Some("elbow-stamped-45")),
        (ElbowKind::Fixed, false) => ("elbow", "elbow-radius-rect", None),
        (ElbowKind::Mitre, true) => ("mitre elbow", "elbow-mitre-round", None),
        (ElbowKind::Mitre, false) => ("mitre elbow", "elbow-square", None),
        (ElbowKind::MitreVanes, _) => ("mitre elbow with vanes", "elbow-square-vaned", None),
        (ElbowKind::FlexBend, _) => ("flex bend", "elbow-flex", None),
    }
}

/// Part of the 90 degree loss that an elbow of another angle has.
///
/// # Source
/// SMACNA HVAC Systems Duct Design, 4th edition, table A-7: the angle factor of smooth and gored bends at
/// 20/30/45/60/75/90/110/130/150/180 degrees, and for mitres the row of the round mitre at 20/30/45/60/75/90 degrees
/// over its 1.2 at 90; straight lines between. Beyond 90 degrees a mitre is taken as at 90: no figure found.
pub(super) fn angle_factor(kind: ElbowKind, degrees: f64) -> f64 {
    match kind {
        ElbowKind::Mitre | ElbowKind::MitreVanes => mitre_factor(degrees),
        ElbowKind::Adjustable | ElbowKind::Fixed | ElbowKind::FlexBend => bend_factor(degrees),
    }
}

fn mitre_factor(degrees: f64) -> f64 {
    interpolate(
        &[
            (0.0, 0.0),
            (20.0, 0.08 / 1.2),
            (30.0, 0.16 / 1.2),
            (45.0, 0.34 / 1.2),
            (60.0, 0.55 / 1.2),
            (75.0, 0.81 / 1.2),
            (90.0, 1.0),
        ],
        degrees,
    )
}

fn bend_factor(degrees: f64) -> f64 {
    const TABLE: [(f64, f64); 11] = [
        (0.0, 0.0),
        (20.0, 0.31),
        (30.0, 0.45),
        (45.0, 0.60),
        (60.0, 0.78),
        (75.0, 0.90),
        (90.0, 1.0),
        (110.0, 1.13),
        (130.0, 1.20),
        (150.0, 1.28),
        (180.0, 1.40),
    ];
    interpolate(&TABLE, degrees)
}

/// Straight lines between the points of a table that rises in its first column; its last value beyond.
fn interpolate(table: &[(f64, f64)], x: f64) -> f64 {
    for pair in table.windows(2) {
        let [(a, fa), (b, fb)] = [pair[0], pair[1]];
        if x <= b {
            return fa + (fb - fa) * ((x - a) / (b - a)).max(0.0);
        }
    }
    table.last().map_or(0.0, |point| point.1)
}

/// Loss coefficient of a round butterfly damper at an angle from full open.
///
/// # Equation
/// Straight lines in ln C between the rows of the table.
///
/// # Limits
/// 0 to 70 degrees; beyond, the nearest end.
///
/// # Source
/// ASHRAE fitting CD9-1, round, full bore: 0/10/20/30/40/50/60/70 degrees; from memory.
pub(super) fn damper_loss(degrees: f64) -> f64 {
    const TABLE: [f64; 8] = [0.19, 0.67, 1.76, 4.4, 11.0, 32.0, 113.0, 619.0];
    let x = (degrees / 10.0).clamp(0.0, (TABLE.len() - 1) as f64);
    let i = (x.floor() as usize).min(TABLE.len() - 2);
    let (a, b) = (ln(TABLE[i]), ln(TABLE[i + 1]));
    exp(a + (b - a) * (x - i as f64))
}

/// Factor on friction of flex that is not stretched.
///
/// # Equation
/// ```text
/// 1 + 0.58 · Kc · exp(−0.00496 · D)
/// ```
/// where `Kc` compression, % of the full length; `D` diameter, mm.
///
/// # Source
/// ASHRAE Handbook Fundamentals (SI) 2021, chapter 21, equations 22 and 23; for 150 to 400 mm and up to 45 %.
pub(super) fn flex_factor(compression: f64, diameter_m: f64) -> f64 {
    1.0 + 0.58 * (100.0 * compression).max(0.0) * exp(-0.00496 * 1000.0 * diameter_m)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flex_of_150_mm_at_15_percent_has_five_times_the_friction() {
        // table of the handbook's formula: 5.1 at 150 mm and 15 %, 9.3 at 30 %, 2.4 at 100 mm and 4 %
        assert!((flex_factor(0.15, 0.150) - 5.1).abs() < 0.06);
        assert!((flex_factor(0.30, 0.150) - 9.3).abs() < 0.06);
        assert!((flex_factor(0.04, 0.100) - 2.4).abs() < 0.06);
    }

    #[test]
    fn an_elbow_of_45_degrees_loses_six_tenths() {
        assert!((angle_factor(ElbowKind::Fixed, 45.0) - 0.60).abs() < 1e-12);
        assert!((angle_factor(ElbowKind::Fixed, 90.0) - 1.0).abs() < 1e-12);
        assert!((angle_factor(ElbowKind::Fixed, 52.5) - 0.69).abs() < 1e-12);
        // A mitre at 45 degrees loses 0.34, not the 0.72 of a smooth bend's factor.
        assert!((1.2 * angle_factor(ElbowKind::Mitre, 45.0) - 0.34).abs() < 1e-12);
        assert!((angle_factor(ElbowKind::Mitre, 120.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_damper_loses_what_the_table_says_and_the_geometric_mean_between() {
        for (degrees, c) in [(0.0, 0.19), (40.0, 11.0), (70.0, 619.0)] {
            assert!((damper_loss(degrees) / c - 1.0).abs() < 1e-12, "{degrees}");
        }
        assert!((damper_loss(45.0) / (11.0_f64 * 32.0).sqrt() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn every_built_in_word_is_in_the_catalogue() {
        let catalog = Catalog::builtin();
        for (word, round, other) in WORDS {
            assert!(
                stored(round, catalog).is_some() && stored(other, catalog).is_some(),
                "{word}"
            );
        }
        for m in [
            Material::Rectangular,
            Material::Round,
            Material::Spiral,
            Material::Flex,
            Material::DuctBoard,
            Material::PannedJoist,
            Material::Cavity,
        ] {
            let b = build_of(m);
            assert!(stored(b.joint, catalog).is_some(), "{}", b.joint);
            assert!(b.seam.is_none_or(|s| stored(s, catalog).is_some()));
            assert!(catalog.roughness(b.roughness).is_some(), "{}", b.roughness);
        }
    }

    #[test]
    fn snaplock_means_the_lock_of_the_duct_at_hand() {
        let catalog = Catalog::builtin();
        assert_eq!(
            joint_id("Snaplock", Material::Round, catalog),
            Some("seam-snaplock-round")
        );
        assert_eq!(
            joint_id("snaplock", Material::Rectangular, catalog),
            Some("seam-snaplock-rect")
        );
        assert_eq!(
            joint_id("seam-pittsburgh", Material::Rectangular, catalog),
            Some("seam-pittsburgh")
        );
        assert_eq!(joint_id("welded sideways", Material::Round, catalog), None);
    }
}
