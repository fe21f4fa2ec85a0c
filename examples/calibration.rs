//! Long calibration of the sampler on invented systems.
//!
//! Lossless systems of equal build, with rank histograms:
//! `cargo run --release --example calibration -- --systems 300 [--seams 60] [--draws 2000] [--seed 1]`
//!
//! Whole systems by the flow solver, after a sketch with its set-ups and meters:
//! `cargo run --release --example calibration -- --model models/two-storey.yaml --systems 300`

#[path = "../tests/common/calibration.rs"]
mod calibration;
#[path = "../tests/common/model_calibration.rs"]
mod model_calibration;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let asked = |name: &str, usual: u64| -> u64 {
        arguments
            .windows(2)
            .find(|pair| pair[0] == format!("--{name}"))
            .and_then(|pair| pair[1].parse().ok())
            .unwrap_or(usual)
    };
    let (systems, seams) = (asked("systems", 300) as usize, asked("seams", 60) as usize);
    let (draws, seed) = (asked("draws", 2000) as usize, asked("seed", 1));
    if let Some(pair) = arguments.windows(2).find(|pair| pair[0] == "--model") {
        return on_model(&pair[1], systems, draws, seed);
    }
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

fn on_model(file: &str, systems: usize, draws: usize, seed: u64) {
    let text = std::fs::read_to_string(file).expect("the sketch can be read");
    let catalog = ductseam::catalog::Catalog::builtin();
    let sketch = ductseam::sketch::read(&text, file).expect("a good sketch");
    let system = ductseam::system::build(&sketch, &text, file, catalog).expect("a good system");
    let found = model_calibration::study(&system, systems, draws, seed);
    let margin = 300.0 * (0.09 / systems as f64).sqrt();
    let percent = |held: usize, of: usize| 100.0 * held as f64 / of as f64;
    println!(
        "{systems} invented truths of {file}: {} seams, {} readings, {draws} draws, seed {seed}",
        system.seams.len(),
        system.readings.len()
    );
    println!("{:<24} {:>9}  {:>14}", "", "covered", "wanted");
    println!(
        "{:<24} {:>8.1} %  {:>14}",
        "seams, pooled",
        percent(found.seams.0, found.seams.1),
        "88 to 92 %"
    );
    for (name, held) in model_calibration::QUANTITIES.iter().zip(found.held) {
        println!(
            "{name:<24} {:>8.1} %  {:>14}",
            percent(held, systems),
            format!("90 ± {margin:.1} %")
        );
    }
    println!(
        "effective draws {:.0} of {draws} on average, {} answers called doubtful",
        found.effective / systems as f64,
        found.doubtful
    );
}
