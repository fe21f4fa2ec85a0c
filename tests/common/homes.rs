//! Invented houses of one population: sheet metal or flex, sizes and lengths by chance, all joints of one house in one state
//! of workmanship; truths from a catalogue that is not the built-in one, readings and looks made of them with all errors.

use std::fmt::Write as _;

use ductseam::allocate::{AllocateSettings, PriorKnobs, invent};
use ductseam::batch::Record;
use ductseam::batch::learn::{Estimate, Habits, RowHabit, learned_csv};
use ductseam::catalog::{Catalog, Work};
use ductseam::sketch::{self, Smoke};
use ductseam::system::{self, Seen, System};
use rand::RngExt;
use rand_pcg::Pcg64;

/// By what this population's joints differ from the catalogue's, as factors on the mean. Invented.
pub const FACTORS: [(&str, f64); 8] = [
    ("takeoff-tab-collar", 1.8),
    ("boot-to-surface", 0.6),
    ("cabinet", 1.3),
    ("joint-slip-drive", 0.7),
    ("joint-round-crimp", 1.4),
    ("flex-collar", 1.5),
    ("seam-snaplock-rect", 0.8),
    ("filter-slot", 0.75),
];
/// Spread of workmanship between its systems, geometric standard deviation. Invented.
pub const WORKMANSHIP_GSD: f64 = 1.6;
/// Spread of a crew's habit with one joint type. Invented.
pub const HABIT_GSD: f64 = 1.5;

/// The true factor of a joint type.
pub fn factor(joint_type: &str) -> f64 {
    FACTORS
        .iter()
        .find(|(id, _)| *id == joint_type)
        .map_or(1.0, |(_, factor)| *factor)
}

/// What would have been learned of it for sure.
fn of_row(catalog: &Catalog, joint_type: &str, work: Work) -> RowHabit {
    let joint = catalog.joint(joint_type).expect("a joint type");
    let sure = |best: f64| Estimate {
        best,
        p05: best,
        p95: best,
    };
    let shared = WORKMANSHIP_GSD.ln().powi(2) + HABIT_GSD.ln().powi(2);
    RowHabit {
        joint_type: joint_type.to_owned(),
        work: work.word().to_owned(),
        field_made: joint.field_made,
        systems: 1000,
        looked: 1000,
        seams: 1000,
        mean_factor: sure(factor(joint_type)),
        habit_gsd: sure(HABIT_GSD),
        whole_gsd: if joint.field_made {
            (shared + joint.own_variance(work)).sqrt().exp()
        } else {
            joint.state(work).gsd
        },
        informed: 1.0,
    }
}

/// The catalogue of this population.
pub fn truth() -> Catalog {
    let builtin = Catalog::builtin();
    let rows = builtin
        .joints()
        .iter()
        .flat_map(|joint| Work::ALL.map(|work| of_row(builtin, &joint.id, work)))
        .collect();
    let habits = Habits {
        systems: 1000,
        workmanship_gsd: Estimate {
            best: WORKMANSHIP_GSD,
            p05: WORKMANSHIP_GSD,
            p95: WORKMANSHIP_GSD,
        },
        rows,
        ln_posterior: 0.0,
        steps: 0,
        settled: true,
    };
    let overlay = learned_csv(&habits, builtin);
    builtin
        .clone()
        .overlay(&overlay, "truth.csv")
        .expect("the truth is a catalogue")
}

/// House `index` of the population of this seed.
pub fn house(truth: &Catalog, seed: u64, index: usize) -> Record {
    let mut random = Pcg64::new(u128::from(seed), 2 * index as u128 + 1);
    let id = format!("house-{index:06}");
    let plan = Plan::new(&id, &mut random);
    let settings = AllocateSettings {
        prior: PriorKnobs {
            workmanship_sd: WORKMANSHIP_GSD.ln(),
            habit_sd: HABIT_GSD.ln(),
            ..PriorKnobs::default()
        },
        ..AllocateSettings::default()
    };
    let system = built(&plan.text(None), truth);
    let (made, _) = invent(&system, &settings, seed, index).expect("a truth");
    let sketch = plan.text(Some(&made));
    Record {
        id,
        sketch,
        seed: None,
    }
}

fn built(text: &str, catalog: &Catalog) -> System {
    let read =
        sketch::read(text, "invented").unwrap_or_else(|e| panic!("{}\n{text}", e.render(false)));
    system::build(&read, text, "invented", catalog)
        .unwrap_or_else(|e| panic!("{}\n{text}", e.render(false)))
}

/// A house before its readings.
struct Plan {
    ducts: String,
    kinds: Vec<&'static str>,
    /// Steps of each branch that somebody may look at.
    looks: Vec<String>,
}

impl Plan {
    fn new(id: &str, random: &mut Pcg64) -> Plan {
        let mut between = |lo: u32, hi: u32| random.random_range(lo..=hi);
        let flex = between(0, 99) < 40;
        let work = if between(0, 99) < 45 {
            "unsealed"
        } else {
            "ordinary"
        };
        let place = ["basement", "attic", "crawlspace"][between(0, 2) as usize];
        let area = 900 + 50 * between(0, 30);
        let mut text = format!(
            "ductseam: 1\ntitle: {id} (invented)\nunits: ip\nhouse: {{floor area: {area} ft2, height: 8 ft}}\n\
             suspect tape: none seen\n\
             places: {{basement: {{like: buffer, zone reading: 46 of 50 Pa to outdoors}}, attic: outside, crawlspace: outside}}\n\
             air handler: {{place: {place}, filter: unit, coil: after blower, work: {work},\n  \
             supply plenum: {{size: 18x18 in, length: 3 ft, material: rectangular}}, return plenum: {{size: 20x14 in, length: 3 ft, material: rectangular}}}}\n\
             usual: {{all: {{place: {place}, reach: open, work: {work}}}}}\nruns:\n"
        );
        let trunk = 14 + between(0, 22);
        let _ = writeln!(
            text,
            "  - {{id: trunk, side: supply, from: supply plenum, size: {}x8 in, walk: [north {trunk} ft, cap]}}",
            2 * between(7, 10)
        );
        let branches = between(4, 9);
        let takeoff = if between(0, 99) < 65 {
            "tab collar"
        } else {
            "spin-in"
        };
        let mut looks = vec!["unit/filter slot".to_owned(), "trunk/cap".to_owned()];
        for branch in 0..branches {
            let at = 2.0 + f64::from(branch) * (f64::from(trunk) - 4.0) / f64::from(branches);
            let side = if branch % 2 == 0 { "left" } else { "right" };
            let feet = 5 + between(0, 15);
            let size = between(5, 7);
            let elbows = if flex { 0 } else { between(0, 2) };
            let material = if flex { ", material: flex" } else { "" };
            let mut walk = format!("{takeoff}, {feet} ft");
            if elbows > 0 {
                walk.push_str(", adjustable elbow left, 3 ft");
            }
            if elbows > 1 {
                walk.push_str(", adjustable elbow right, 2 ft");
            }
            let _ = writeln!(
                text,
                "  - {{id: b{branch}, from: trunk at {at:.1} ft {side}, size: {size} in{material}, walk: [{walk}, boot 10x4 in]}}"
            );
            looks.push(format!(
                "b{branch}/{}",
                if takeoff == "spin-in" {
                    "spin-in collar"
                } else {
                    takeoff
                }
            ));
            looks.push(format!("b{branch}/boot gap"));
        }
        let _ = writeln!(
            text,
            "  - {{id: main return, side: return, from: return plenum, size: 20x8 in, walk: [south {} ft, return box 20x14 in]}}",
            5 + between(0, 18)
        );
        let mut kinds = vec!["total"];
        if place != "basement" && between(0, 99) < 50 {
            kinds.push("to outside");
        }
        if between(0, 99) < 25 {
            kinds.push("supply");
        }
        // A walk with the smoke pencil in two houses of three.
        let count = if between(0, 99) < 65 {
            between(3, 8) as usize
        } else {
            0
        };
        let mut seen: Vec<String> = Vec::new();
        for _ in 0..count {
            let seam = &looks[between(0, looks.len() as u32 - 1) as usize];
            if !seen.contains(seam) {
                seen.push(seam.clone());
            }
        }
        Plan {
            ducts: text,
            kinds,
            looks: seen,
        }
    }

    /// The sketch with readings and looks of a made-up system, or with any.
    fn text(&self, made: Option<&System>) -> String {
        let mut text = self.ducts.clone();
        text.push_str("readings:\n");
        for (k, kind) in self.kinds.iter().enumerate() {
            let cfm = made.map_or(200.0, |made| made.readings[k].value / 4.719_474_432e-4);
            let barrier = if *kind == "supply" {
                ", barrier: filter"
            } else {
                ""
            };
            let _ = writeln!(
                text,
                "  - {{id: r{k}, {kind}: {cfm:.1} cfm at 25 Pa ± 4 %{barrier}}}"
            );
        }
        if !self.looks.is_empty() {
            text.push_str("looks:\n");
        }
        for (l, seam) in self.looks.iter().enumerate() {
            let smoke = match made.map(|made| &made.looks[l].seen) {
                Some(Seen::Smoke(Smoke::None)) => "none",
                Some(Seen::Smoke(Smoke::Wisp)) => "wisp",
                _ => "strong",
            };
            let _ = writeln!(text, "  - {{seam: {seam}, smoke: {smoke}}}");
        }
        text
    }
}
