//! The sampler alone.

use super::calibration;

/// Runs and prints.
pub fn run(systems: usize, seams: usize, draws: usize, seed: u64) {
    let found = calibration::study(systems, seams, draws, seed);
    let margin = 300.0 * (0.09 / systems as f64).sqrt();
    println!("{systems} invented systems of {seams} seams, 3 readings, {draws} draws, seed {seed}");
    println!(
        "{:<24} {:>9}  {:>14}  {:>8}",
        "", "covered", "wanted", "rank χ²₉"
    );
    println!(
        "{:<24} {:>8.1} %  {:>14}",
        "seams, pooled",
        100.0 * found.seam_coverage,
        "88 to 92 %"
    );
    for (at, name) in calibration::QUANTITIES.iter().enumerate() {
        println!(
            "{name:<24} {:>8.1} %  {:>14}  {:>8.1}",
            100.0 * found.coverage[at],
            format!("90 ± {margin:.1} %"),
            found.rank_chi2[at]
        );
    }
    println!(
        "effective draws {:.0} %, worst tail shape {:.2}, failed draws {}",
        100.0 * found.effective_part,
        found.worst_pareto_k,
        found.failed
    );
}
