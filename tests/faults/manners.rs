//! Clocks, locales, line ends and marks of other machines.

use std::fs;
use std::path::Path;
use std::process::Output;

use crate::black_box::{program, run, stderr, stdout};
use crate::scratch;

fn in_locale(locale: &str, words: &[&str]) -> Output {
    program()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("LC_ALL", locale)
        .env("LANG", locale)
        .env("LC_NUMERIC", locale)
        .args(words)
        .output()
        .expect("the program starts")
}

/// Numbers are written with a point whatever the machine's language; the locale need not be there to be asked for.
#[test]
fn a_locale_with_decimal_commas_changes_no_byte() {
    let model = "models/slab-attic.yaml";
    for words in [
        &["allocate", model, "--draws", "500"][..],
        &["allocate", model, "--draws", "500", "--format", "json"],
        &["allocate", model, "--draws", "500", "--format", "csv"],
        &["draw", model],
        &["catalog", "--format", "csv"],
    ] {
        let plain = in_locale("C", words);
        assert!(!plain.stdout.is_empty(), "{}", stderr(&plain));
        assert_eq!(
            in_locale("de_DE.UTF-8", words).stdout,
            plain.stdout,
            "{words:?}"
        );
    }
}

fn sketch_with(length: &str) -> String {
    format!(
        "ductseam: 1\ntitle: one run (invented)\nruns:\n  - id: A\n    from: supply plenum\n    size: 6 in\n    walk:\n      - north {length}\n      - cap\n"
    )
}

#[test]
fn a_decimal_comma_in_a_sketch_is_refused_with_the_point_to_write() {
    let folder = scratch("comma");
    let path = folder.join("house.yaml");
    for (length, meant) in [
        ("0,65 ft", "0.65"),
        ("1,250 ft", "1250"),
        ("12,5 m", "12.5"),
    ] {
        fs::write(&path, sketch_with(length)).expect("written");
        let output = in_locale("de_DE.UTF-8", &["check", &path.display().to_string()]);
        let told = stderr(&output);
        assert_eq!(output.status.code(), Some(2), "{length}: {told}");
        assert!(
            told.contains(&format!("write `{meant}`")),
            "{length}: {told}"
        );
        assert_eq!(output.stdout, b"", "{length}");
    }
    fs::write(&path, sketch_with("0.65 ft")).expect("written");
    let good = run(&["check", &path.display().to_string()]);
    assert_eq!(good.status.code(), Some(0), "{}", stderr(&good));
}

/// The same text with the ends of lines, the mark and the blanks of other editors.
fn dressed(text: &str) -> [(&'static str, Vec<u8>); 3] {
    let crlf = text.replace('\n', "\r\n");
    [
        ("crlf", crlf.clone().into_bytes()),
        ("mark", format!("\u{feff}{text}").into_bytes()),
        ("both", format!("\u{feff}{crlf}").into_bytes()),
    ]
}

fn answered(output: &Output) -> String {
    assert_eq!(output.status.code(), Some(0), "{}", stderr(output));
    stdout(output)
}

#[test]
fn line_ends_and_a_byte_order_mark_lose_nothing_of_a_sketch() {
    let folder = scratch("dressed-sketch");
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for model in ["tests/good/full.yaml", "models/two-storey.yaml"] {
        let text = fs::read_to_string(root.join(model))
            .expect("read")
            .replace("\r\n", "\n");
        let path = folder.join("house.yaml");
        let name = path.display().to_string();
        let check = || answered(&run(&["check", &name, "--format", "json"]));
        fs::write(&path, &text).expect("written");
        let plain = check();
        for (how, bytes) in dressed(&text) {
            fs::write(&path, bytes).expect("written");
            assert_eq!(check(), plain, "{model} {how}");
        }
    }
}

/// A tab is no indent in YAML, and is told; after words and in flow lists it is a blank.
#[test]
fn tabs_in_a_sketch_are_blanks_or_are_told() {
    let folder = scratch("tabs");
    let path = folder.join("house.yaml");
    let name = path.display().to_string();
    let plain = sketch_with("12 ft");
    fs::write(&path, &plain).expect("written");
    let checked = answered(&run(&["check", &name, "--format", "json"]));
    for tabbed in [
        plain.replace("size: 6 in", "size:\t6\tin"),
        plain.replace("size: 6 in", "size: 6 in\t# a note"),
        plain.replace("north 12 ft", "north\t12 ft"),
    ] {
        fs::write(&path, &tabbed).expect("written");
        assert_eq!(
            answered(&run(&["check", &name, "--format", "json"])),
            checked,
            "{tabbed:?}"
        );
    }
    fs::write(&path, plain.replace("    size", "\tsize")).expect("written");
    let output = run(&["check", &name]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("tab"), "{}", stderr(&output));
}

#[test]
fn line_ends_marks_and_tabs_lose_nothing_of_a_list_of_runs() {
    let folder = scratch("dressed-list");
    let path = folder.join("runs.csv");
    let name = path.display().to_string();
    let list = "run,from,at,size,length (ft),fittings\n\
                trunk,supply plenum,,14x8 in,20.5,cap\n\
                kitchen,trunk,6 ft left,6 in,9,\"tab collar, elbow, boot 10x4 in\"\n";
    let made = || answered(&run(&["new", "--from", &name]));
    fs::write(&path, list).expect("written");
    let plain = made();
    let tabs = list
        .replace(
            "\"tab collar, elbow, boot 10x4 in\"",
            "tab collar; elbow; boot 10x4 in",
        )
        .replace(',', "\t");
    let mut others = dressed(list).to_vec();
    others.extend(dressed(&tabs).map(|(_, bytes)| ("tabs", bytes)));
    for (how, bytes) in others {
        fs::write(&path, bytes).expect("written");
        assert_eq!(made(), plain, "{how}");
    }
}

#[test]
fn line_ends_and_a_mark_lose_nothing_of_an_overlay() {
    let folder = scratch("dressed-overlay");
    let path = folder.join("mine.csv");
    let name = path.display().to_string();
    let text = stdout(&run(&["catalog", "--format", "csv"]));
    let text = text.replace("\r\n", "\n");
    let told = || answered(&run(&["catalog", "--catalog", &name, "--format", "json"]));
    fs::write(&path, &text).expect("written");
    let plain = told();
    for (how, bytes) in dressed(&text) {
        fs::write(&path, bytes).expect("written");
        assert_eq!(told(), plain, "{how}");
    }
}

/// The board holds text against text, never a time: files of the future and of the past are files.
#[test]
#[cfg(feature = "page")]
fn a_clock_that_jumps_loses_no_change() {
    use std::time::{Duration, UNIX_EPOCH};

    use serde_json::json;

    let sketch = scratch("clock").join("house.yaml");
    let date = |year: u64| {
        let at = UNIX_EPOCH + Duration::from_secs((year - 1970) * 31_556_952);
        let file = fs::File::options()
            .append(true)
            .open(&sketch)
            .expect("opened");
        file.set_modified(at).expect("set");
    };
    fs::write(&sketch, "a: 1\n").expect("written");
    date(2099);
    // A journal that was written when the clock stood later than now.
    let journal = sketch.with_file_name(".house.yaml.journal");
    let entry = json!({"when_ms": 4_070_908_800_000_u64, "base": null, "text": "a: kept\n"});
    fs::write(&journal, format!("{entry}\n")).expect("written");
    let server = crate::board_server::Server::start(&sketch);
    let opened = server.open();
    assert_eq!(opened["text"], "a: 1\n");
    assert_eq!(opened["recovered"]["text"], "a: kept\n");
    let revision = server.saved("a: 2\n", 1, "a");
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 2\n");
    // Changed elsewhere by a machine whose clock stands in the past.
    fs::write(&sketch, "a: 3\n").expect("written");
    date(1990);
    let reply = server.save("a: 4\n", revision, "a");
    assert_eq!(reply.status, 409, "{reply:?}");
    assert_eq!(reply.json()["outside"]["text"], "a: 3\n");
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 3\n");
}
