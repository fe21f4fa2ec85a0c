//! What a package needs beside the program: completions of shells and man pages, as a black box.

#[path = "common/program.rs"]
mod black_box;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use black_box::{program, run, stderr, stdout};
use ductseam::cli::Args;

fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    folder
}

fn answered(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    stdout(&output)
}

/// Whether a program is on this machine; what it would check is said to be unchecked otherwise.
fn there(name: &str) -> bool {
    let quiet = Command::new(name)
        .arg("--version")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    let found = quiet.is_ok();
    if !found {
        eprintln!("NOT CHECKED: there is no {name} on this machine");
    }
    found
}

/// The commands with their long options, as the parser knows them.
fn commands() -> Vec<(String, Vec<String>)> {
    let mut program = <Args as clap::CommandFactory>::command();
    program.build();
    program
        .get_subcommands()
        .filter(|command| command.get_name() != "help")
        .map(|command| {
            let shown = command.get_arguments().filter(|one| !one.is_hide_set());
            let options = shown.filter_map(|one| one.get_long());
            let options = options.map(|long| format!("--{long}")).collect();
            (command.get_name().to_owned(), options)
        })
        .collect()
}

#[test]
fn every_shell_has_a_script_that_knows_every_command() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = answered(&["completions", shell]);
        for (command, _) in commands() {
            assert!(script.contains(&command), "{shell}: no {command}");
        }
        assert!(script.contains("--sensitivity") || script.contains("sensitivity"));
    }
    let output = run(&["completions", "tcsh"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("fish"), "{}", stderr(&output));
}

#[test]
fn a_script_is_written_to_a_file_as_it_is_printed() {
    let folder = scratch("completions");
    fs::create_dir_all(&folder).expect("a scratch folder");
    let file = folder.join("ductseam");
    let name = file.to_str().expect("plain letters");
    answered(&["completions", "bash", "-o", name]);
    let printed = answered(&["completions", "bash"]);
    assert_eq!(fs::read_to_string(&file).expect("written"), printed);
    let left = fs::read_dir(&folder).expect("the folder").count();
    assert_eq!(left, 1, "nothing half-written is left");
}

#[test]
fn bash_takes_the_script_and_completes_a_command_and_an_option() {
    if !there("bash") {
        return;
    }
    let folder = scratch("bash");
    fs::create_dir_all(&folder).expect("a scratch folder");
    let file = folder.join("ductseam");
    fs::write(&file, answered(&["completions", "bash"])).expect("written");
    let parsed = Command::new("bash").arg("-n").arg(&file).output();
    let parsed = parsed.expect("bash starts");
    assert!(
        parsed.status.success() && parsed.stderr.is_empty(),
        "{parsed:?}"
    );

    // As bash calls it: the words so far, the number of the one at the cursor; then program, word and the word before.
    let complete = |words: &[&str]| {
        let (last, before) = (words.len() - 1, words[words.len() - 2]);
        let ask = format!(
            "source \"$1\"; COMP_WORDS=({}); COMP_CWORD={last}; _ductseam ductseam '{}' '{before}'; echo \"${{COMPREPLY[*]}}\"",
            words.join(" "),
            words[last],
        );
        let output = Command::new("bash")
            .args(["--norc", "--noprofile", "-c", &ask, "bash"])
            .arg(&file)
            .output()
            .expect("bash starts");
        stdout(&output).trim().to_owned()
    };
    assert_eq!(complete(&["ductseam", "all"]), "allocate");
    assert_eq!(
        complete(&["ductseam", "allocate", "--sens"]),
        "--sensitivity"
    );
    assert_eq!(complete(&["ductseam", "nothing-like-it"]), "");
}

#[test]
fn the_manual_has_a_page_of_every_command_with_all_its_options() {
    // Two folders deep, neither there yet.
    let folder = scratch("manual").join("share").join("man1");
    let name = folder.to_str().expect("plain letters");
    let told = answered(&["manual", name]);
    let pages: BTreeSet<String> = fs::read_dir(&folder)
        .expect("the folder")
        .map(|entry| {
            entry
                .expect("a file")
                .file_name()
                .into_string()
                .expect("plain letters")
        })
        .collect();
    let mut expected: BTreeSet<String> = commands()
        .iter()
        .map(|(command, _)| format!("ductseam-{command}.1"))
        .collect();
    expected.insert("ductseam.1".to_owned());
    assert_eq!(pages, expected, "one page each, nothing else");
    assert_eq!(told.lines().count(), pages.len());

    for (command, options) in commands() {
        let page = fs::read_to_string(folder.join(format!("ductseam-{command}.1")));
        // A hyphen is written `\-` on a page.
        let page = page.expect("a page").replace("\\-", "-");
        assert!(!options.is_empty(), "{command}");
        for option in options {
            assert!(page.contains(&option), "{command}: no {option}");
        }
        assert!(
            page.contains(&format!("ductseam {command}"))
                || page.contains(&format!("ductseam-{command}"))
        );
    }
    let first = fs::read_to_string(folder.join("ductseam.1")).expect("the page of the program");
    for (command, _) in commands() {
        let named = format!("ductseam-{command}(1)");
        assert!(first.replace("\\-", "-").contains(&named), "no {named}");
    }
}

#[test]
fn a_manual_is_written_over_an_older_one_and_leaves_the_rest_of_the_folder() {
    let folder = scratch("manual-again");
    fs::create_dir_all(&folder).expect("a scratch folder");
    fs::write(folder.join("ductseam.1"), "old").expect("written");
    fs::write(folder.join("other.1"), "other").expect("written");
    let name = folder.to_str().expect("plain letters");
    answered(&["manual", name]);
    let of = |file: &str| fs::read_to_string(folder.join(file)).expect("a page");
    assert!(of("ductseam.1").starts_with(".ie"), "{}", of("ductseam.1"));
    assert_eq!(of("other.1"), "other");

    // A folder that cannot be one.
    let blocked = folder.join("other.1").join("man1");
    let output = run(&["manual", blocked.to_str().expect("plain letters")]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("cannot be made"),
        "{}",
        stderr(&output)
    );
}

#[test]
fn a_page_is_typeset_where_there_is_groff() {
    if !there("groff") {
        return;
    }
    let folder = scratch("typeset");
    answered(&["manual", folder.to_str().expect("plain letters")]);
    let output = Command::new("groff")
        .args(["-man", "-Tutf8", "-ww", "-P-cbou"])
        .arg(folder.join("ductseam-allocate.1"))
        .output()
        .expect("groff starts");
    assert!(output.status.success(), "{}", stderr(&output));
    let text = stdout(&output);
    assert!(text.contains("--sensitivity"), "{text}");
    assert!(text.starts_with("ductseam-allocate(1)"), "{text}");
}

#[test]
fn a_file_is_no_folder_for_a_manual() {
    let file = scratch("no_folder");
    fs::write(&file, "mine").expect("written");
    let output = run(&["manual", file.to_str().expect("plain letters")]);
    assert_eq!(output.status.code(), Some(2));
    let told = stderr(&output);
    assert!(
        told.contains("something of that name is there already"),
        "{told}"
    );
    assert_eq!(fs::read_to_string(&file).expect("kept"), "mine");
}

#[test]
fn help_names_both_commands() {
    let output = program()
        .arg("--help")
        .output()
        .expect("the program starts");
    let help = stdout(&output);
    for command in ["completions", "manual"] {
        assert!(help.contains(command), "{help}");
    }
}
