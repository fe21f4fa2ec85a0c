//! Long calibration of the answers on invented systems.
//!
//! Whole systems with more and more evidence (`total`, `split`, `looks`, `pan`, `gross`, or `all`), by the flow solver:
//! `cargo run --release --example calibration -- --evidence looks --systems 1000 --draws 1000 --seed 1`
//!
//! The same for a sketch with its own set-ups, meters and looks:
//! `cargo run --release --example calibration -- --model models/two-storey.yaml --systems 300 --draws 1000 --seed 3`
//!
//! The sampler alone, on lossless systems of equal build:
//! `cargo run --release --example calibration -- --systems 1000 --draws 1000 --seed 2`
//!
//! The same bytes on the standard output for the same arguments, on any number of threads.

#[path = "../../tests/common/calibration.rs"]
mod calibration;
mod lossless;
mod print;
#[path = "../../tests/common/study/mod.rs"]
mod study;

use ductseam::allocate::AllocateSettings;

fn main() -> Result<(), String> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let text = |name: &str| -> Option<&str> {
        let flag = format!("--{name}");
        let mut pairs = arguments.windows(2);
        pairs.find(|pair| pair[0] == flag).map(|pair| &*pair[1])
    };
    let number = |name: &str, usual: u64| -> Result<u64, String> {
        text(name).map_or(Ok(usual), |said| {
            said.parse()
                .map_err(|_| format!("--{name} takes a whole number, not `{said}`"))
        })
    };
    let (systems, draws) = (
        number("systems", 300)? as usize,
        number("draws", 1000)? as usize,
    );
    let seed = number("seed", 1)?;
    if systems < 2 || draws < 2 {
        return Err("a study takes at least two systems and two draws".to_owned());
    }
    study::numbers::check_against_tables();
    if let Some(file) = text("model") {
        run(&of_model(file)?, systems, draws, seed);
    } else if let Some(name) = text("evidence") {
        let names: Vec<&str> = if name == "all" {
            study::NAMES.to_vec()
        } else {
            vec![name]
        };
        for name in names {
            let set = study::set(name).ok_or_else(|| {
                format!(
                    "no evidence set `{name}`: one of {}, all",
                    study::NAMES.join(", ")
                )
            })?;
            match number("only", u64::MAX)? {
                u64::MAX => run(&set, systems, draws, seed),
                index => study::one_alone(&set, index as usize, draws, seed),
            }
        }
    } else {
        let seams = number("seams", 60)? as usize;
        lossless::run(systems, seams, draws, seed);
    }
    Ok(())
}

fn run(set: &study::Set, systems: usize, draws: usize, seed: u64) {
    let begun = std::time::Instant::now();
    let found = study::study(set, systems, draws, seed);
    print::findings(set, &found, draws, seed);
    let seconds = begun.elapsed().as_secs_f64();
    eprintln!(
        "{}: {seconds:.0} s, {:.2} s a system",
        set.name,
        seconds / systems as f64
    );
}

/// A sketch's own evidence under the usual error law: σ of the true value makes the readings and σ of the value read
/// judges them, so the two laws are near but not the same.
fn of_model(file: &str) -> Result<study::Set, String> {
    let text = std::fs::read_to_string(file).map_err(|error| format!("{file}: {error}"))?;
    let catalog = ductseam::catalog::Catalog::builtin();
    let sketch = ductseam::sketch::read(&text, file).map_err(|found| found.render(false))?;
    let system = ductseam::system::build(&sketch, &text, file, catalog)
        .map_err(|found| found.render(false))?;
    let settings = AllocateSettings::default().with_beliefs(&system.beliefs);
    Ok(study::Set {
        name: file.to_owned(),
        words: "its own readings and looks, relative errors".to_owned(),
        judged_by: settings.clone(),
        settings,
        system,
        is_blind: false,
        is_exact: false,
    })
}
