//! Findings as tables.

use super::study::numbers::binomial_99;
use super::study::{Findings, Gross, LEVELS, NOTHING_FROM, SEAM_FROM, Set};

/// How many standard errors a pooled coverage may lie off: 99 % of a normal law.
const SE_99: f64 = 2.576;
/// A χ² less likely than this is marked.
const SELDOM: f64 = 0.01;

/// Prints everything.
pub fn findings(set: &Set, found: &Findings, draws: usize, seed: u64) {
    let system = &set.system;
    println!("### `{}`: {}\n", set.name, set.words);
    println!(
        "{} systems of {} seams, {} readings, {} looks, {draws} draws, seed {seed}.\n",
        found.systems,
        system.seams.len(),
        system.readings.len(),
        system.looks.len()
    );
    quantities(found);
    coverage(found);
    captured(found);
    gross(&found.gross, found.systems, set.settings.gross_factor);
    println!(
        "Effective draws {:.0} on average. Chains {} times of {}. Called doubtful for the computation {} times ({} of \
         them chains), for the readings {} times (a set-up was wrong in {} systems). Draws that failed {}, errors {}.",
        found.effective,
        found.chains,
        found.systems,
        found.doubts_itself,
        found.doubtful_chains,
        found.doubts_readings,
        found.wrong,
        found.failed,
        found.errors.len()
    );
    println!(
        "Truths drawn again because more than two set-ups were wrong {}, truths without a hypothesis {}.",
        found.thrown, found.without_hypothesis
    );
    for error in &found.errors {
        println!("error: {error}");
    }
    println!();
}

fn mark(is_off: bool) -> &'static str {
    if is_off { " **!**" } else { "" }
}

fn quantities(found: &Findings) {
    println!("| quantity | ranks, ten bins | χ²₉ | p |");
    println!("|---|---|---|---|");
    for quantity in &found.quantities {
        let bins: Vec<String> = quantity.bins.iter().map(usize::to_string).collect();
        println!(
            "| {} | {} | {:.1} | {:.3}{} |",
            quantity.name,
            bins.join(" "),
            quantity.chi2,
            quantity.p,
            mark(quantity.p < SELDOM)
        );
    }
    println!();
}

fn coverage(found: &Findings) {
    let header: Vec<String> = LEVELS
        .iter()
        .map(|l| format!("{:.0} %", 100.0 * l))
        .collect();
    println!("| bands of | {} |", header.join(" | "));
    println!("|---|---|---|---|---|");
    let seams: Vec<String> = LEVELS
        .iter()
        .zip(found.seams)
        .map(|(level, (part, error))| {
            let is_off = (part - level).abs() > SE_99 * error;
            format!("{:.2} ± {:.2}{}", 100.0 * part, 100.0 * error, mark(is_off))
        })
        .collect();
    println!("| seams, pooled | {} |", seams.join(" | "));
    let between = LEVELS.map(|level| binomial_99(found.systems, level));
    let percent = |count: usize| 100.0 * count as f64 / found.systems as f64;
    for quantity in &found.quantities {
        let held: Vec<String> = quantity
            .held
            .iter()
            .zip(between)
            .map(|(&held, (low, high))| {
                format!("{:.1}{}", percent(held), mark(held < low || held > high))
            })
            .collect();
        println!("| {} | {} |", quantity.name, held.join(" | "));
    }
    let between: Vec<String> = between
        .iter()
        .map(|(low, high)| format!("{:.1} to {:.1}", percent(*low), percent(*high)))
        .collect();
    println!("| *99 of 100 should lie in* | {} |\n", between.join(" | "));
}

fn captured(found: &Findings) {
    println!("| a fifth of the seams, picked by | part of the best possible, % |");
    println!("|---|---|");
    let names = [
        "posterior mean flow",
        "prior mean flow",
        "chance (its mean)",
    ];
    for (name, (mean, error)) in names.iter().zip(found.capture) {
        println!("| {name} | {:.1} ± {:.1} |", 100.0 * mean, 100.0 * error);
    }
    let (mean, error) = found.gain;
    println!(
        "| gain of posterior over prior | {:.1} ± {:.1} |\n",
        100.0 * mean,
        100.0 * error
    );
}

fn gross(gross: &Gross, systems: usize, factor: f64) {
    let part = |count: usize, of: usize| -> String {
        if of == 0 {
            return "none of 0".to_owned();
        }
        let p = count as f64 / of as f64;
        let error = (p * (1.0 - p) / of as f64).sqrt();
        format!("{count} of {of}, {:.1} ± {:.1} %", 100.0 * p, 100.0 * error)
    };
    println!("| open seams (factor on the catalogue's chances {factor:.2}) | |");
    println!("|---|---|");
    println!(
        "| prior chance that nothing hangs open | {:.3} |",
        gross.nothing_before
    );
    println!(
        "| systems with something open | {} |",
        part(gross.open, systems)
    );
    println!(
        "| of these: one of them in the first group of candidates | {} |",
        part(gross.in_first, gross.open)
    );
    println!(
        "| mean number of seams in that group | {:.1} |",
        gross.first_sizes as f64 / gross.open.max(1) as f64
    );
    println!(
        "| one of them with a chance above ½ | {} |",
        part(gross.likely, gross.open)
    );
    println!(
        "| some group with a chance above ½ | {} |",
        part(gross.alarms_if_open, gross.open)
    );
    let closed = systems - gross.open;
    println!(
        "| nothing open, yet some group above ½ | {} |\n",
        part(gross.false_alarms, closed)
    );
    reliability(
        "that nothing hangs open",
        "systems",
        &NOTHING_FROM,
        &gross.nothing,
    );
    reliability("of a seam to hang open", "seams", &SEAM_FROM, &gross.seams);
}

fn reliability(what: &str, of: &str, from: &[f64], bins: &[(usize, f64, usize)]) {
    println!("| stated chance {what} | {of} | stated, mean % | true, % |");
    println!("|---|---|---|---|");
    for (at, &(count, sum, is)) in bins.iter().enumerate().filter(|(_, bin)| bin.0 > 0) {
        let to = from.get(at + 1).copied().unwrap_or(1.0);
        let n = count as f64;
        let (stated, seen) = (sum / n, is as f64 / n);
        let error = (stated * (1.0 - stated) / n).sqrt();
        println!(
            "| {:.2} to {to:.2} | {count} | {:.2} | {:.2} ± {:.2}{} |",
            from[at],
            100.0 * stated,
            100.0 * seen,
            100.0 * error,
            mark((seen - stated).abs() > SE_99 * error)
        );
    }
    println!();
}
