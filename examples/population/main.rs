//! Invented houses by the thousand, and whether learning finds the habits they were invented with.
//!
//! Houses as NDJSON, for `ductseam batch`:
//! `cargo run --release --example population -- houses 10000 --seed 1 > houses.ndjson`
//!
//! What is true of them, in the columns of a catalogue:
//! `cargo run --release --example population -- truth`
//!
//! What a batch of them says, against the truth (the file is one that `ductseam batch -o answers` leaves):
//! `cargo run --release --example population -- learn answers/evidence.ndjson`
//!
//! A study of the same file, so many houses at a time, each part a population by itself: how often the truth lies in the bands:
//! `cargo run --release --example population -- study answers/evidence.ndjson --houses 400`
//!
//! The same bytes on the standard output for the same arguments, on any number of threads.

#[path = "../../tests/common/homes.rs"]
mod homes;

use std::io::{self, BufWriter, Write};

use ductseam::batch::HouseEvidence;
use ductseam::batch::learn::{Beliefs, learn};
use ductseam::catalog::Catalog;
use rayon::prelude::*;

fn main() -> Result<(), String> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |name: &str, usual: u64| -> Result<u64, String> {
        let flag = format!("--{name}");
        let mut pairs = arguments.windows(2);
        match pairs.find(|pair| pair[0] == flag) {
            None => Ok(usual),
            Some(pair) => pair[1]
                .parse()
                .map_err(|_| format!("--{name} takes a whole number, not `{}`", pair[1])),
        }
    };
    let seed = number("seed", 1)?;
    match arguments.first().map(String::as_str) {
        Some("houses") => {
            let count = arguments
                .get(1)
                .and_then(|n| n.parse().ok())
                .ok_or("how many houses? `houses 1000`")?;
            houses(count, seed).map_err(|error| error.to_string())
        }
        Some("truth") => {
            for (id, factor) in homes::FACTORS {
                println!("{id}: {factor} times the catalogue's mean");
            }
            println!("workmanship: {}", homes::WORKMANSHIP_GSD);
            println!("habit: {}", homes::HABIT_GSD);
            Ok(())
        }
        Some("learn") => {
            let path = arguments
                .get(1)
                .ok_or("which file? `learn answers/evidence.ndjson`")?;
            let text = std::fs::read_to_string(path).map_err(|error| error.to_string())?;
            let evidence: Vec<HouseEvidence> = text
                .lines()
                .map(serde_json::from_str)
                .collect::<Result<_, _>>()
                .map_err(|error| error.to_string())?;
            against_truth(&evidence);
            Ok(())
        }
        Some("study") => {
            let houses = number("houses", 400)?.max(2) as usize;
            study(&evidence(arguments.get(1))?, houses);
            Ok(())
        }
        _ => Err("`houses N`, `truth`, `learn FILE` or `study FILE`".to_owned()),
    }
}

fn houses(count: usize, seed: u64) -> io::Result<()> {
    let truth = homes::truth();
    let mut out = BufWriter::new(io::stdout().lock());
    let mut from = 0;
    while from < count {
        let to = (from + 256).min(count);
        let lines: Vec<String> = (from..to)
            .into_par_iter()
            .map(|index| homes::house(&truth, seed, index).line())
            .collect();
        for line in lines {
            writeln!(out, "{line}")?;
        }
        from = to;
    }
    out.flush()
}

/// Learns and prints each figure beside what is true.
fn against_truth(mut evidence: &[HouseEvidence]) {
    let habits =
        learn(&mut evidence, Catalog::builtin(), &Beliefs::default()).expect("memory can be read");
    println!(
        "{} houses, {} steps, settled: {}",
        habits.systems, habits.steps, habits.settled
    );
    println!(
        "{:<34}{:>8}{:>26}{:>8}{:>26}",
        "", "mean is", "learned, 90 % band", "habit", "learned, 90 % band"
    );
    let mark = |truth: f64, e: &ductseam::batch::learn::Estimate| {
        let mark = if e.p05 <= truth && truth <= e.p95 {
            ' '
        } else {
            '!'
        };
        format!("{:.3} ({:.3} to {:.3}){mark}", e.best, e.p05, e.p95)
    };
    let w = &habits.workmanship_gsd;
    println!(
        "{:<34}{:>68}",
        format!("workmanship, is {}", homes::WORKMANSHIP_GSD),
        mark(homes::WORKMANSHIP_GSD, w)
    );
    for row in &habits.rows {
        let factor = homes::factor(&row.joint_type);
        let habit = if row.field_made {
            homes::HABIT_GSD
        } else {
            row.whole_gsd
        };
        println!(
            "{:<34}{factor:>8}{:>26}{habit:>8.3}{:>26}",
            format!("{} {}", row.joint_type, row.work),
            mark(factor, &row.mean_factor),
            mark(habit, &row.habit_gsd)
        );
    }
}

fn evidence(path: Option<&String>) -> Result<Vec<HouseEvidence>, String> {
    let path = path.ok_or("which file? that is, `answers/evidence.ndjson`")?;
    let text = std::fs::read_to_string(path).map_err(|error| format!("{path}: {error}"))?;
    text.lines()
        .map(|line| serde_json::from_str(line).map_err(|error| format!("{path}: {error}")))
        .collect()
}

/// One figure over all populations.
#[derive(Default)]
struct Tally {
    inside: usize,
    count: usize,
    ln_error: Vec<f64>,
    ln_width: Vec<f64>,
}

impl Tally {
    fn add(&mut self, truth: f64, best: f64, p05: f64, p95: f64) {
        self.count += 1;
        self.inside += usize::from(p05 <= truth && truth <= p95);
        self.ln_error.push((best / truth).ln());
        self.ln_width.push((p95 / p05).ln());
    }

    fn print(&self, name: &str) {
        let n = self.count as f64;
        let mean = self.ln_error.iter().sum::<f64>() / n;
        let rms = (self.ln_error.iter().map(|e| e * e).sum::<f64>() / n).sqrt();
        let width = self.ln_width.iter().sum::<f64>() / n;
        println!(
            "{name:<44}{:>4} of {:<4}{:>9.2}{:>9.2}{:>9.2}",
            self.inside,
            self.count,
            mean.exp(),
            rms.exp(),
            (0.5 * width).exp()
        );
    }
}

fn study(evidence: &[HouseEvidence], houses: usize) {
    let parts: Vec<&[HouseEvidence]> = evidence.chunks_exact(houses).collect();
    println!("{} populations of {houses} houses", parts.len());
    println!(
        "{:<44}{:>12}{:>9}{:>9}{:>9}",
        "", "in 90 % band", "bias", "error", "band"
    );
    let mut workmanship = Tally::default();
    let mut rows: std::collections::BTreeMap<String, (Tally, Tally)> = Default::default();
    let (mut all_means, mut all_habits) = (Tally::default(), Tally::default());
    for mut part in parts {
        let habits =
            learn(&mut part, Catalog::builtin(), &Beliefs::default()).expect("memory can be read");
        assert!(habits.settled, "learning did not settle");
        let w = habits.workmanship_gsd;
        workmanship.add(
            homes::WORKMANSHIP_GSD.ln(),
            w.best.ln(),
            w.p05.ln(),
            w.p95.ln(),
        );
        for row in habits.rows.iter().filter(|row| row.informed >= 0.5) {
            let (means, spreads) = rows
                .entry(format!("{} {}", row.joint_type, row.work))
                .or_default();
            let (m, h) = (row.mean_factor, row.habit_gsd);
            let factor = homes::factor(&row.joint_type);
            means.add(factor, m.best, m.p05, m.p95);
            all_means.add(factor, m.best, m.p05, m.p95);
            if row.field_made {
                let truth = homes::HABIT_GSD.ln();
                spreads.add(truth, h.best.ln(), h.p05.ln(), h.p95.ln());
                all_habits.add(truth, h.best.ln(), h.p05.ln(), h.p95.ln());
            }
        }
    }
    for (name, (means, spreads)) in &rows {
        means.print(&format!("{name}: mean"));
        if spreads.count > 0 {
            spreads.print(&format!("{name}: habit"));
        }
    }
    workmanship.print("workmanship of whole systems");
    all_means.print("all means");
    all_habits.print("all habits");
}
