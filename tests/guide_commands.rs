//! Every command line that the documents show is run, and what they show of its output is found in it.
//!
//! Where: `README.md`, `DEVELOPERS.md`, `models/README.md`, all of `src/guide`, and doc comments of `src`. How a page is
//! written for this test stands in `guide_commands/page.rs`. What is not run, and why, is [`line::NOT_RUN`]; `ductseam page`
//! serves until it is stopped, so it must tell its address and is then ended.

#[path = "guide_commands/line.rs"]
mod line;
#[path = "guide_commands/page.rs"]
mod page;
#[path = "guide_commands/run.rs"]
mod run;
#[path = "guide_commands/shown.rs"]
mod shown;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Pages that show no command, each for its reason. A page that is listed and shows one is a fault too.
const WITHOUT_COMMANDS: [(&str, &str); 10] = [
    ("src/guide/population.md", "a study, run by cargo"),
    (
        "src/guide/evidence.md",
        "kinds of readings and looks, in YAML",
    ),
    ("src/guide/doubt.md", "how an answer comes about"),
    ("src/guide/calibration.md", "a study, run by cargo"),
    ("src/guide/calibration/total.md", "a table of that study"),
    ("src/guide/calibration/split.md", "a table of that study"),
    ("src/guide/calibration/looks.md", "a table of that study"),
    ("src/guide/calibration/pan.md", "a table of that study"),
    ("src/guide/calibration/gross.md", "a table of that study"),
    ("src/guide/glossary.md", "words"),
];

/// Commands whose pages are still to be written. One that has its page and stands here is a fault.
const STILL_TO_WRITE: [&str; 0] = [];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Files below a folder with an ending, sorted, as paths from the root.
fn files(folder: &str, ending: &str) -> Vec<String> {
    fn walk(folder: &Path, ending: &str, found: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                walk(&path, ending, found);
            } else if path.extension().is_some_and(|end| end == ending) {
                found.push(path);
            }
        }
    }
    let mut found = Vec::new();
    walk(&root().join(folder), ending, &mut found);
    let mut names: Vec<String> = found
        .iter()
        .map(|path| {
            let path = path.strip_prefix(root()).expect("below the root");
            let words: Vec<_> = path.iter().map(|word| word.to_string_lossy()).collect();
            words.join("/")
        })
        .collect();
    names.sort();
    names
}

fn text(name: &str) -> String {
    std::fs::read_to_string(root().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// Runs a document; its faults and how many commands it has.
fn document(name: &str, text: &str) -> (Vec<String>, usize) {
    let parts = match page::parts(text) {
        Ok(parts) => parts,
        Err(fault) => return (vec![fault], 0),
    };
    let folder = run::folder(&name.replace(['/', '.'], "-"));
    run::page(&parts, &folder)
}

/// Holds documents to what they show; each must have a command unless it is listed as without.
fn hold(names: &[String]) {
    let mut faults = Vec::new();
    for name in names {
        let (found, commands) = document(name, &text(name));
        faults.extend(found.into_iter().map(|fault| format!("{name}, {fault}")));
        let listed = WITHOUT_COMMANDS.iter().any(|(page, _)| page == name);
        match (listed, commands) {
            (false, 0) => faults.push(format!("{name} shows no command that is run")),
            (true, 1..) => faults.push(format!(
                "{name} is listed as without commands and shows {commands}"
            )),
            _ => {}
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

fn guide(part: impl Fn(&str) -> bool) -> Vec<String> {
    let found: Vec<String> = files("src/guide", "md")
        .into_iter()
        .filter(|name| part(name))
        .collect();
    assert!(!found.is_empty());
    found
}

fn is_command_page(name: &str) -> bool {
    name.starts_with("src/guide/commands/")
}

#[test]
fn commands_of_the_readme_run() {
    hold(&["README.md".to_owned()]);
}

#[test]
fn commands_for_developers_and_of_the_models_run() {
    hold(&["DEVELOPERS.md".to_owned(), "models/README.md".to_owned()]);
}

#[test]
fn commands_of_the_first_half_of_the_command_pages_run() {
    hold(&guide(|name| {
        is_command_page(name) && name < "src/guide/commands/h"
    }));
}

#[test]
fn commands_of_the_second_half_of_the_command_pages_run() {
    hold(&guide(|name| {
        is_command_page(name) && name >= "src/guide/commands/h"
    }));
}

#[test]
fn commands_of_the_other_pages_of_the_guide_run() {
    hold(&guide(|name| !is_command_page(name)));
}

#[test]
fn commands_in_doc_comments_run() {
    let mut faults = Vec::new();
    for name in files("src", "rs") {
        let docs = page::doc_comments(&text(&name));
        if docs.contains("```sh") || docs.contains("```console") {
            let (found, commands) = document(&name, &docs);
            faults.extend(found.into_iter().map(|fault| format!("{name}, {fault}")));
            if commands == 0 {
                faults.push(format!("{name} shows no command that is run"));
            }
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

/// Commands that the program lists, `help` left out.
fn commands() -> BTreeSet<String> {
    help(&[])
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|word| !word.is_empty() && *word != "help")
        .map(str::to_owned)
        .collect()
}

fn help(words: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_ductseam"))
        .args(words)
        .arg("--help")
        .output()
        .expect("the program starts");
    assert!(output.status.success(), "{words:?}");
    String::from_utf8(output.stdout).expect("help is UTF-8")
}

#[test]
fn every_command_has_its_page_and_every_page_its_command() {
    let known = commands();
    assert!(known.len() > 10, "{known:?}");
    let pages: BTreeSet<String> = files("src/guide/commands", "md")
        .iter()
        .filter_map(|name| Path::new(name).file_stem()?.to_str().map(str::to_owned))
        .collect();
    for command in &known {
        let waits = STILL_TO_WRITE.contains(&command.as_str());
        assert!(
            pages.contains(command) != waits,
            "`ductseam {command}`: one of page and list of pages still to write, not both, not none"
        );
    }
    for page in &pages {
        assert!(
            known.contains(page),
            "src/guide/commands/{page}.md tells of no command"
        );
    }
}

#[test]
fn options_that_a_command_page_names_are_options_of_a_command() {
    let all: String = commands().iter().map(|command| help(&[command])).collect();
    let has = |help: &str, option: &str| {
        help.lines().any(|line| {
            line.split([' ', ','])
                .any(|word| word.strip_suffix('>').unwrap_or(word) == option)
        })
    };
    for name in guide(is_command_page) {
        let command = Path::new(&name).file_stem().and_then(|stem| stem.to_str());
        let own = help(&[command.expect("a name")]);
        let named = page::inline_code(&text(&name));
        let options = named.iter().filter(|code| code.starts_with("--"));
        let mut own_options = 0;
        for option in options.filter_map(|code| code.split([' ', '=']).next()) {
            assert!(has(&all, option), "{name}: no command takes `{option}`");
            own_options += usize::from(has(&own, option));
        }
        let has_some = own
            .lines()
            .filter(|line| line.trim_start().starts_with("--"))
            .any(|line| !line.contains("--help"));
        assert!(
            own_options > 0 || !has_some,
            "{name} names no option of its command"
        );
    }
}

#[test]
fn commands_that_running_text_names_exist() {
    let known = commands();
    let mut names = guide(|_| true);
    names.extend(["README.md", "DEVELOPERS.md", "models/README.md"].map(str::to_owned));
    let mut seen = 0;
    for name in names {
        for code in page::inline_code(&text(&name)) {
            let Some(rest) = code.strip_prefix("ductseam ") else {
                continue;
            };
            let word = rest.split_whitespace().next().unwrap_or_default();
            let is_word = !word.starts_with('-') && word.chars().all(|c| c.is_ascii_lowercase());
            if is_word && !word.is_empty() {
                seen += 1;
                assert!(
                    known.contains(word) || STILL_TO_WRITE.contains(&word),
                    "{name}: `{code}` names no command"
                );
            }
        }
    }
    assert!(seen > 20, "{seen}");
}

#[test]
fn every_page_is_part_of_the_crates_documents_and_every_block_says_what_it_is() {
    let trees: String = files("src/guide", "rs")
        .iter()
        .map(|name| text(name))
        .collect();
    for name in guide(|_| true) {
        let stem = Path::new(&name).file_name().and_then(|stem| stem.to_str());
        let stem = stem.expect("a name");
        assert!(
            trees.contains(&format!("{stem}\")")),
            "{name} is included by no `mod.rs`"
        );
        let bare = page::bare_fences(&text(&name));
        assert!(
            bare.is_empty(),
            "{name}: rustdoc takes lines {bare:?} for Rust"
        );
        let count = text(&name).lines().count();
        assert!(count < 500, "{name} has {count} lines: part it");
    }
}

/// Faults of a page made up here.
fn faults(page: &str, name: &str) -> Vec<String> {
    document(name, page).0
}

#[test]
fn a_right_page_passes() {
    let right = "```sh\n# a remark\nductseam catalog \\\n  --joint cabinet\n```\n\n\
                 ```text\n…\nCounted by … Group: …\n…\n```\n\n\
                 ```yaml\n# file a.yaml\nductseam: 2\n```\n\n```sh\n# exit 2\nductseam check a.yaml\n```\n\n\
                 ```yaml\n# change in a.yaml\nductseam: 3\n```\n\n\
                 ```console\n$ ductseam catalog --joint cabinet\ncabinet: …\n$ cargo test\n```\n";
    assert_eq!(document("right", right), (Vec::new(), 3));
    let written =
        std::fs::read_to_string(Path::new(env!("CARGO_TARGET_TMPDIR")).join("guide/right/a.yaml"));
    assert_eq!(written.expect("the file"), "# file a.yaml\nductseam: 3\n");
}

#[test]
fn wrong_pages_are_noticed() {
    let wrong = [
        (
            "```sh\nductseam allocat models/bungalow.yaml\n```\n",
            "does not know",
        ),
        (
            "```sh\n# exit 2\nductseam allocat models/bungalow.yaml\n```\n",
            "does not know",
        ),
        (
            "```sh\nductseam check models/bungalow.yaml --no-such\n```\n",
            "does not know",
        ),
        (
            "```sh\nductseam check nowhere.yaml\n```\n",
            "the page says 0",
        ),
        ("```sh\n# exit 1\nductseam schema\n```\n", "the page says 1"),
        ("```sh\nrm -rf models\n```\n", "neither the program"),
        ("```sh\nductseam schema | head\n```\n", "needs a shell"),
        ("```sh\nductseam schema\n", "no end"),
        ("```sh\n# exit 2\n```\n", "before its command"),
        (
            "```sh\nductseam catalog --joint cabinet\n```\n```text\nno such line\n```\n",
            "not said",
        ),
        (
            "```sh\nductseam catalog --joint cabinet\n```\n```text\n…\n```\n",
            "shows nothing",
        ),
        (
            "```sh\ncargo test\n```\n```text\npassed\n```\n",
            "without a command",
        ),
        (
            "```yaml\n# add to nothing.yaml\na: 1\n```\n",
            "nothing to add to",
        ),
    ];
    for (at, (page, why)) in wrong.iter().enumerate() {
        let found = faults(page, &format!("wrong-{at}"));
        assert!(
            found.len() == 1 && found[0].contains(why),
            "{page}\n{found:?}"
        );
    }
    assert_eq!(document("none", "Words alone.\n").1, 0);
}
