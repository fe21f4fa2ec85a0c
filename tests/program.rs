//! The program as a black box: arguments in; answer, talk and exit code out.

#[path = "common/program.rs"]
mod black_box;

use std::path::{Path, PathBuf};
use std::process::Stdio;

use black_box::{program, run, stderr, stdout};
use serde_json::Value;

fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    folder
}

fn models() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("models");
    let mut found: Vec<String> = std::fs::read_dir(folder)
        .expect("models are there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|end| end == "yaml"))
        .map(|path| path.display().to_string())
        .collect();
    found.sort();
    assert_eq!(found.len(), 7, "seven models");
    found
}

#[test]
fn every_model_is_checked_without_an_error_and_within_a_hundred_columns() {
    for model in models() {
        let output = run(&["check", &model]);
        assert_eq!(
            output.status.code(),
            Some(0),
            "{model}: {}",
            stderr(&output)
        );
        let text = stdout(&output);
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{model}: {line}");
        }
        assert!(
            text.contains("(invented)"),
            "{model} does not say that it is invented"
        );
    }
}

#[test]
fn the_answer_fits_a_hundred_columns_and_json_shares_sum_to_one() {
    let model = "models/slab-attic.yaml";
    let text = run(&["allocate", model, "--draws", "500"]);
    assert_eq!(text.status.code(), Some(0), "{}", stderr(&text));
    for line in stdout(&text).lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }

    let json = run(&["allocate", model, "--draws", "500", "--format", "json"]);
    let answer: Value = serde_json::from_str(&stdout(&json)).expect("JSON");
    assert_eq!(answer["format"], "ductseam/allocation/1");
    let seams = answer["seams"].as_array().expect("seams");
    let sum = |key: &str| {
        seams
            .iter()
            .map(|seam| seam[key].as_f64().expect("a number"))
            .sum::<f64>()
    };
    assert!((sum("share") - 1.0).abs() < 1e-9);
    assert!((sum("to_outside_share") - 1.0).abs() < 1e-9);
    for reading in answer["readings"].as_array().expect("readings") {
        let flows: f64 = reading["seams"]
            .as_array()
            .expect("flows")
            .iter()
            .map(|seam| seam["flow_m3_s"]["mean"].as_f64().expect("a number"))
            .sum();
        let whole = reading["modelled"]["mean"].as_f64().expect("a number");
        let masks = reading["mask_leak_m3_s"].as_f64().expect("a number");
        assert!(
            (flows + masks - whole).abs() < 1e-6 * whole,
            "{flows} + {masks} against {whole}"
        );
    }
}

#[test]
fn the_same_seed_gives_the_same_bytes_on_one_thread_and_on_two() {
    let answer = |threads: &str, seed: &str| {
        let output = program()
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .env("RAYON_NUM_THREADS", threads)
            .args([
                "allocate",
                "models/classroom-rig.yaml",
                "--format",
                "json",
                "--draws",
                "500",
                "--seed",
                seed,
            ])
            .output()
            .expect("the program starts");
        stdout(&output)
    };
    let one = answer("1", "7");
    assert_eq!(one, answer("2", "7"));
    assert_ne!(one, answer("2", "8"), "another seed gives other draws");
}

#[test]
fn csv_has_one_row_a_seam_in_falling_order() {
    let output = run(&[
        "allocate",
        "models/classroom-rig.yaml",
        "--format",
        "csv",
        "--draws",
        "500",
    ]);
    let text = stdout(&output);
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let column = table
        .headers()
        .expect("a header")
        .iter()
        .position(|name| name == "test_mean_m3_s")
        .expect("flows");
    let flows: Vec<f64> = table
        .records()
        .map(|row| row.expect("a row")[column].parse().expect("a number"))
        .collect();
    assert!(flows.len() > 20);
    assert!(flows.windows(2).all(|pair| pair[0] >= pair[1]));
}

#[test]
fn the_starter_is_accepted_by_check_and_never_overwrites() {
    let folder = scratch("starter");
    let file = folder.join("house.yaml");
    let name = file.display().to_string();
    assert_eq!(run(&["new", "-o", &name]).status.code(), Some(0));
    let check = run(&["check", &name]);
    assert_eq!(check.status.code(), Some(0), "{}", stderr(&check));
    std::fs::write(&file, "mine").expect("written");
    let again = run(&["new", "-o", &name]);
    assert_eq!(again.status.code(), Some(2));
    assert!(
        stderr(&again).contains("exists already"),
        "{}",
        stderr(&again)
    );
    assert_eq!(std::fs::read_to_string(&file).expect("kept"), "mine");
}

#[test]
fn the_schema_is_json_and_the_catalogue_explains_a_joint() {
    let schema: Value = serde_json::from_str(&stdout(&run(&["schema"]))).expect("JSON");
    assert!(schema["properties"]["runs"].is_object());
    let list = stdout(&run(&["catalog"]));
    assert!(list.lines().all(|line| line.chars().count() <= 100));
    assert!(list.contains("takeoff-tab-collar"));
    let one = run(&["catalog", "--joint", "flex-collar"]);
    assert_eq!(one.status.code(), Some(0));
    assert!(stdout(&one).contains("flex-collar"));
    let none = run(&["catalog", "--joint", "flex-colar"]);
    assert_eq!(none.status.code(), Some(2));
    assert!(stderr(&none).contains("flex-collar"), "{}", stderr(&none));
}

#[test]
fn wrong_files_are_refused_with_exit_2_and_nothing_is_written() {
    let folder = scratch("wrong");
    let answer = folder.join("answer.json");
    let cases: [(&str, &[u8]); 6] = [
        ("empty.yaml", b""),
        ("binary.yaml", &[0xff, 0xfe, 0x00, 0x80]),
        ("prose.yaml", b"the ducts run north\n"),
        ("unclosed.yaml", b"ductseam: 1\ntitle: \"open\nruns: [\n"),
        ("list.yaml", b"- 1\n- 2\n"),
        ("huge-number.yaml", b"ductseam: 1\ntitle: x\nruns:\n  - {id: a, side: supply, from: supply plenum, size: 1e308 in, walk: [4 ft, cap]}\n"),
    ];
    for (name, bytes) in cases {
        let file = folder.join(name);
        std::fs::write(&file, bytes).expect("written");
        let output = run(&[
            "allocate",
            &file.display().to_string(),
            "--format",
            "json",
            "-o",
            &answer.display().to_string(),
        ]);
        assert_eq!(output.status.code(), Some(2), "{name}: {}", stderr(&output));
        assert!(stdout(&output).is_empty(), "{name}");
        assert!(!answer.exists(), "{name} left an answer");
        let talk = stderr(&output);
        assert!(talk.contains("error"), "{name}: {talk}");
        assert!(!talk.contains("panicked"), "{name}: {talk}");
    }
    assert_eq!(run(&["check", "no/such/file.yaml"]).status.code(), Some(2));
    assert_eq!(run(&["check", "models"]).status.code(), Some(2));
    let left: Vec<_> = std::fs::read_dir(&folder)
        .expect("folder")
        .map(|entry| {
            entry
                .expect("entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .filter(|name| name.ends_with(".part"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn a_file_of_twenty_megabytes_is_refused_in_words() {
    let folder = scratch("large");
    let file = folder.join("large.yaml");
    let mut text = String::from("ductseam: 1\ntitle: large\nnote: |\n");
    text.push_str(&"  a line of words that says nothing at all about ducts\n".repeat(400_000));
    text.push_str("runs: 5\n");
    assert!(text.len() > 20_000_000);
    std::fs::write(&file, text).expect("written");
    let output = run(&["check", &file.display().to_string()]);
    assert_eq!(output.status.code(), Some(2));
    let talk = stderr(&output);
    assert!(talk.len() < 5_000, "{} bytes of talk", talk.len());
    assert!(talk.contains("MB"), "{talk}");
}

#[test]
fn a_hundred_thousand_pieces_are_read() {
    use std::fmt::Write as _;
    let folder = scratch("many");
    let file = folder.join("many.yaml");
    let mut text =
        String::from("ductseam: 1\ntitle: many (invented)\nsuspect tape: none seen\nruns:\n");
    text.push_str("  - {id: S, side: supply, from: supply plenum, size: 60x40 in, place: attic, walk: [north 3000 ft, cap]}\n");
    for branch in 0..14_000 {
        let at = 0.2 * f64::from(branch) + 1.0;
        writeln!(
            text,
            "  - {{id: b{branch}, from: S at {at:.1} ft left, size: 6 in, walk: [tab collar, 4 ft, adjustable elbow up, 8 ft, adjustable elbow left, 3 ft, boot 10x4 in]}}"
        )
        .expect("a string takes every line");
    }
    std::fs::write(&file, text).expect("written");
    let output = run(&["check", &file.display().to_string(), "--format", "json"]);
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}",
        &stderr(&output).chars().take(2000).collect::<String>()
    );
    let answer: Value = serde_json::from_str(&stdout(&output)).expect("JSON");
    assert!(
        answer["pieces"].as_u64().expect("a count") > 100_000,
        "{}",
        answer["pieces"]
    );
}

#[test]
fn a_closed_pipe_ends_quietly() {
    let mut child = program()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["catalog"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("it ends");
    assert!(!stderr(&output).contains("panicked"), "{}", stderr(&output));
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn readings_that_no_model_can_meet_are_answered_with_doubt() {
    let folder = scratch("contradiction");
    let file = folder.join("two.yaml");
    let model = std::fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("models/classroom-rig.yaml"),
    )
    .expect("the model");
    let (before, _) = model.split_once("readings:").expect("readings");
    let text = format!(
        "{before}readings:\n  - {{id: first, total: 20 cfm at 25 Pa ± 2 %}}\n  - {{id: second, total: 60 cfm at 25 Pa ± 2 %}}\n"
    );
    std::fs::write(&file, text).expect("written");
    let output = run(&["allocate", &file.display().to_string(), "--draws", "500"]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    for reading in ["`first` does not agree", "`second` does not agree"] {
        assert!(stderr(&output).contains(reading), "{}", stderr(&output));
    }
    assert!(
        stdout(&output).contains("Seams by probable leakage"),
        "doubtful, yet answered"
    );
}

#[test]
fn an_answer_is_never_written_over_the_sketch_it_is_made_from() {
    let folder = scratch("over");
    let file = folder.join("house.yaml");
    let model =
        std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("models/classroom-rig.yaml"))
            .expect("a model");
    std::fs::write(&file, &model).expect("written");
    let link = folder.join("link.yaml");
    #[cfg(unix)]
    std::os::unix::fs::symlink(&file, &link).expect("linked");
    for target in [&file, &link] {
        let (sketch, target) = (file.display().to_string(), target.display().to_string());
        let output = run(&["check", &sketch, "-o", &target]);
        assert_eq!(output.status.code(), Some(2), "{target}");
        assert!(
            stderr(&output).contains("another name"),
            "{}",
            stderr(&output)
        );
        assert_eq!(std::fs::read(&file).expect("kept"), model);
    }
}

#[cfg(unix)]
#[test]
fn an_answer_to_a_link_lands_in_the_file_behind_it() {
    let folder = scratch("behind");
    let (file, link) = (folder.join("answer.txt"), folder.join("link.txt"));
    std::fs::write(&file, "old").expect("written");
    std::os::unix::fs::symlink(&file, &link).expect("linked");
    let output = run(&[
        "check",
        "models/classroom-rig.yaml",
        "-o",
        &link.display().to_string(),
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert!(
        std::fs::symlink_metadata(&link)
            .expect("a link")
            .file_type()
            .is_symlink()
    );
    assert!(
        std::fs::read_to_string(&file)
            .expect("an answer")
            .contains("Classroom rig")
    );
}

#[test]
fn the_longest_names_keep_every_answer_within_a_hundred_columns() {
    let folder = scratch("long-names");
    let file = folder.join("long.yaml");
    let named = |start: &str| format!("{start:x<57}end"); // a name has at most 60 characters
    let (trunk, branch, place, first) = (named("s"), named("b"), named("p"), named("r"));
    let text = format!(
        "ductseam: 1\ntitle: {title}\nunits: ip\nplaces:\n  {place}: buffer\nair handler: {{place: {place}}}\nruns:\n  \
         - {{id: {trunk}, side: supply, from: supply plenum, size: 20x8 in, place: {place}, reach: under insulation, walk: [north 24 ft, cap]}}\n  \
         - {{id: {branch}, from: {trunk} at 6 ft left, size: 6 in, reach: behind finish, walk: [tab collar, 9 ft, boot 10x4 in]}}\n\
         readings:\n  - {{id: {first}, total: 90 cfm at 25 Pa ± 3 %, fan: {branch}}}\n",
        title = "long names, an invented house ".repeat(9),
    );
    std::fs::write(&file, text).expect("written");
    let name = file.display().to_string();
    for arguments in [
        vec!["check", &name],
        vec!["allocate", &name, "--draws", "500"],
        vec![
            "allocate", &name, "--draws", "500", "--units", "si", "--rows", "0",
        ],
    ] {
        let output = run(&arguments);
        assert_ne!(output.status.code(), Some(2), "{}", stderr(&output));
        let text = stdout(&output);
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{line}");
            assert_eq!(line, line.trim_end());
        }
    }
    let ranked = stdout(&run(&["allocate", &name, "--draws", "500", "--rows", "0"]));
    let cut = ranked
        .lines()
        .find(|line| line.contains("  bxx") && line.contains('…'))
        .expect("a seam of the branch");
    assert!(
        cut.contains("collar") || cut.contains("boot") || cut.contains("joint"),
        "{cut}"
    );
}

#[test]
fn the_catalogue_as_csv_is_a_file_that_may_be_laid_over_it() {
    let folder = scratch("overlay");
    let file = folder.join("mine.csv");
    let text = stdout(&run(&["catalog", "--format", "csv"]));
    let (header, rows) = text.split_once('\n').expect("a header");
    let collar = rows
        .lines()
        .find(|row| row.starts_with("flex-collar,"))
        .expect("a row");
    let mine = collar.replace(",1.30,", ",2.60,");
    assert_ne!(mine, collar);
    std::fs::write(&file, format!("{header}\n{mine}\n")).expect("written");
    let name = file.display().to_string();
    let over = run(&[
        "catalog",
        "--catalog",
        &name,
        "--joint",
        "flex-collar",
        "--units",
        "si",
    ]);
    assert_eq!(over.status.code(), Some(0), "{}", stderr(&over));
    assert!(stdout(&over).contains("2.60"), "{}", stdout(&over));
    assert!(stdout(&over).contains("your own file"), "{}", stdout(&over));
}

#[test]
fn a_seam_seen_hanging_loose_comes_first() {
    let folder = scratch("hanging");
    let file = folder.join("house.yaml");
    let model =
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("models/bungalow.yaml"))
            .expect("the model");
    std::fs::write(
        &file,
        format!("{model}\nlooks:\n  - {{seam: dining/side tap, hanging: yes}}\n"),
    )
    .expect("written");
    let output = run(&["allocate", &file.display().to_string(), "--draws", "500"]);
    assert_ne!(output.status.code(), Some(2), "{}", stderr(&output));
    let text = stdout(&output)
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(
        text.contains("Probably hangs open `dining/side tap`"),
        "{text}"
    );
}

#[test]
fn beliefs_that_make_no_sense_are_refused_with_their_range() {
    let model = "models/classroom-rig.yaml";
    for command in ["allocate", "next", "compare"] {
        for (option, value, said) in [
            ("--workmanship-spread", "0.5", "from 1.01 to 10"),
            ("--wrong-set-up-chance", "75%", "from 0 to 0.5"),
            ("--share-above", "25", "25"),
            ("--draws", "3", "500"),
        ] {
            let output = run(&[command, model, option, value]);
            assert_eq!(output.status.code(), Some(2), "{command} {option}");
            assert!(stderr(&output).contains(said), "{}", stderr(&output));
            assert!(stdout(&output).is_empty());
        }
    }
    let output = run(&["allocate", model, "--sensitivity", "--format", "csv"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("no place in the table of seams"),
        "{}",
        stderr(&output)
    );
}

#[test]
fn the_help_of_every_command_fits_a_hundred_columns() {
    for command in [
        "new", "check", "allocate", "next", "compare", "flow", "limits", "catalog", "schema",
    ] {
        let output = run(&[command, "--help"]);
        assert_eq!(output.status.code(), Some(0), "{command}");
        for line in stdout(&output).lines() {
            assert!(line.chars().count() <= 100, "{command}: {line}");
        }
    }
}
