//! One table of all benchmarks beside the budgets.
//!
//! `cargo bench --bench table -- rerun` runs every benchmark and the comparison with a peer, then prints the table;
//! `cargo bench --bench table` prints it from what earlier runs left. Machines are noisy: compare figures of one run only.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// Every other benchmark.
const BENCHES: [&str; 9] = [
    "check", "flow", "allocate", "plan", "predict", "effects", "drawing", "board", "batch",
];

/// Budgets on two cores: benchmark, most seconds, what it stands for.
const BUDGETS: [(&str, f64, &str); 9] = [
    (
        "house of 150 seams/cold",
        150e-6,
        "one flow solve, house of 150 seams, cold",
    ),
    ("house of 150 seams/warm", 15e-6, "the same, warm"),
    (
        "cold solve by seams/1000000",
        3.0,
        "one flow solve, a million seams",
    ),
    (
        "answers/house, 2000 draws",
        0.4,
        "allocation of a house, 2000 draws",
    ),
    (
        "answers/loose takeoff, open seams, 2000 draws",
        3.0,
        "the same where more is needed",
    ),
    (
        "answers/house, next, all candidates",
        0.5,
        "next for a house, all candidates",
    ),
    (
        "100000 seams, 10 readings, closed form/best points and 1 draws",
        2.0,
        "best point, 100000 seams, 10 readings",
    ),
    (
        "batch/one house, 2000 draws",
        1.0,
        "one record of a batch on one core",
    ),
    (WHOLE_CHECK, 15e-3, "check of a house, whole process"),
];

/// The whole program, started anew each time.
const WHOLE_CHECK: &str = "whole process/check models/bungalow.yaml";
/// How often it is started.
const STARTS: usize = 40;

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let begun = SystemTime::now();
    let anew = std::env::args().any(|word| word == "rerun");
    if anew {
        rerun(root);
    }
    // After a rerun nothing older stands beside it.
    let since = if anew { begun } else { UNIX_EPOCH };
    let mut found = medians(&criterion_folder(), since);
    found.insert(WHOLE_CHECK.to_owned(), whole_process(root));
    println!(
        "\n{:<74}{:>12}{:>12}{:>8}",
        "benchmark (median)", "time", "budget", "part"
    );
    for (name, budget, words) in BUDGETS {
        match found.remove(name) {
            Some(time) => println!(
                "{words:<74}{:>12}{:>12}{:>8.2}",
                span(time),
                span(budget),
                time / budget
            ),
            None => println!("{words:<74}{:>12}{:>12}", "not run", span(budget)),
        }
    }
    for (name, time) in &found {
        println!("{name:<74}{:>12}", span(*time));
    }
}

/// Runs all benchmarks and the peer; ends where one fails.
fn rerun(root: &Path) {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    for bench in BENCHES {
        println!("== {bench}");
        let status = Command::new(&cargo)
            .current_dir(root)
            .args([
                "bench", "--locked", "--bench", bench, "--", "--quick", "--noplot",
            ])
            .stdout(Stdio::null())
            .status();
        if !status.as_ref().is_ok_and(|status| status.success()) {
            eprintln!("the benchmark `{bench}` failed: {status:?}");
            std::process::exit(1);
        }
    }
    println!("== peer");
    let peer = Command::new(root.join("benches/peers/run"))
        .current_dir(root)
        .status();
    if !peer.as_ref().is_ok_and(|status| status.success()) {
        println!(
            "SKIPPED: the peer did not run ({peer:?}); it needs a Python with numpy and scipy"
        );
    }
}

fn criterion_folder() -> PathBuf {
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("target"),
        PathBuf::from,
    );
    target.join("criterion")
}

/// Median seconds of every benchmark that has left its figures since then, by its full name.
fn medians(folder: &Path, since: SystemTime) -> BTreeMap<String, f64> {
    let mut found = BTreeMap::new();
    let Ok(entries) = std::fs::read_dir(folder) else {
        return found;
    };
    for path in entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.is_dir())
    {
        let read = |name: &str| -> Option<serde_json::Value> {
            let file = path.join("new").join(name);
            let made = std::fs::metadata(&file).ok()?.modified().ok()?;
            if made < since {
                return None;
            }
            serde_json::from_slice(&std::fs::read(file).ok()?).ok()
        };
        match (read("benchmark.json"), read("estimates.json")) {
            (Some(about), Some(figures)) => {
                if let (Some(name), Some(nanoseconds)) = (
                    about["full_id"].as_str(),
                    figures["median"]["point_estimate"].as_f64(),
                ) {
                    found.insert(name.to_owned(), nanoseconds * 1e-9);
                }
            }
            _ => found.extend(medians(&path, since)),
        }
    }
    found
}

fn whole_process(root: &Path) -> f64 {
    let mut times: Vec<Duration> = (0..STARTS)
        .map(|_| {
            let begun = Instant::now();
            let output = Command::new(env!("CARGO_BIN_EXE_ductseam"))
                .current_dir(root)
                .args(["check", "models/bungalow.yaml"])
                .output()
                .expect("the program starts");
            assert!(output.status.success());
            begun.elapsed()
        })
        .collect();
    times.sort();
    times[STARTS / 2].as_secs_f64()
}

fn span(seconds: f64) -> String {
    match seconds {
        s if s < 1e-3 => format!("{:.1} us", s * 1e6),
        s if s < 1.0 => format!("{:.1} ms", s * 1e3),
        s => format!("{s:.2} s"),
    }
}
