//! The examples, run as a newcomer runs them: what each prints must be an answer, and a true one.
//!
//! `cargo test` builds them beside the tests. Whoever runs this file alone builds them first:
//! `cargo build --profile test --examples`.

use std::path::PathBuf;
use std::process::Command;

/// What an example prints; it must end well and say nothing on standard error.
fn printed(name: &str) -> String {
    let program = beside(name);
    assert!(
        program.is_file(),
        "`{}` is not there: `cargo build --profile test --examples` builds it",
        program.display()
    );
    let output = Command::new(&program).output().expect("it starts");
    let talk = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success() && talk.is_empty(), "{name}: {talk}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// The folder of the tests is `deps`; that of the examples lies beside it.
fn beside(name: &str) -> PathBuf {
    let own = std::env::current_exe().expect("this test is a file");
    let profile = own.parent().and_then(|deps| deps.parent());
    let folder = profile.expect("target/PROFILE/deps").join("examples");
    folder.join(format!("{name}{}", std::env::consts::EXE_SUFFIX))
}

/// The line that begins with some words, without them.
fn line<'t>(text: &'t str, begins: &str) -> &'t str {
    let found = text.lines().find_map(|line| line.strip_prefix(begins));
    found.unwrap_or_else(|| panic!("no line begins with `{begins}`:\n{text}"))
}

/// All figures of a line, in order.
fn figures(line: &str) -> Vec<f64> {
    let parts = line.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    parts
        .filter_map(|part| part.trim_matches('.').parse().ok())
        .collect()
}

#[test]
fn the_designers_mastic_leaks_less_than_other_collars_and_both_less_than_the_sketch() {
    let text = printed("designer");
    let [sketched, collars, mastic] = ["as sketched: ", "spin-in collars: ", "mastic everywhere: "]
        .map(|name| figures(line(&text, name)));
    for way in [&sketched, &collars, &mastic] {
        let [mean, low, high] = way[..] else {
            panic!("mean and band: {way:?}")
        };
        assert!(0.0 < low && low < mean && mean < high, "{way:?}");
    }
    // Four collars are a small part of the seams; mastic goes to all of them.
    assert!(
        collars[0] < sketched[0] && mastic[0] < 0.5 * collars[0],
        "{text}"
    );
}

#[test]
fn the_inspector_is_told_which_reading_disagrees_and_by_how_much() {
    let text = printed("inspector");
    assert_eq!(line(&text, "disagrees most: "), "after lunch");
    let of = |name: &str| figures(line(&text, name));
    // Read, expected from the others, its band, chance of a wrong set-up in percent.
    let [read, expected, low, high, wrong] = of("after lunch: ")[..] else {
        panic!("{text}")
    };
    assert!(
        read > 1.5 * expected && low < expected && expected < high,
        "{text}"
    );
    assert!(wrong > 50.0, "{text}");
    for good in ["morning: ", "again: "] {
        assert!(*of(good).last().expect("a chance") < 20.0, "{text}");
    }
}

#[test]
fn the_trainers_joint_types_are_ranked_and_knowing_the_truth_scores_best() {
    let text = printed("trainer");
    let shares: Vec<f64> = text
        .lines()
        .filter(|line| line.starts_with("  "))
        .map(|line| figures(line)[0])
        .collect();
    assert_eq!(shares.len(), 5, "{text}");
    assert!(
        shares.is_sorted_by(|a, b| a >= b) && shares[4] > 0.0,
        "{text}"
    );
    assert!(shares.iter().sum::<f64>() <= 100.0, "{text}");

    let given = figures(line(&text, "exercise: "));
    assert!(
        given[0] >= 2.0 && given[1] >= 1.0,
        "readings and looks to work from: {text}"
    );
    // Caught, how many are named, blind guessing, the program.
    let peeked = figures(line(&text, "peeked at the answers: caught "));
    let by_kind = figures(line(&text, "went by kind of joint: caught "));
    assert!((peeked[0] - 100.0).abs() < 0.05, "{text}");
    assert!(
        by_kind[0] < peeked[0] && by_kind[0] > by_kind[2],
        "better than blind: {text}"
    );
    assert!(
        (peeked[2] - by_kind[2]).abs() < 1e-9,
        "one exercise, one blind guess: {text}"
    );
}

#[test]
fn a_larger_figure_of_ones_own_gives_the_joint_type_a_larger_share() {
    let text = printed("own_joint_type");
    let [builtin, own] = ["built-in: ", "own: "].map(|name| figures(line(&text, name)));
    assert!(
        (own[0] / builtin[0] - 4.0).abs() < 0.05,
        "four times the mean: {text}"
    );
    // The reading holds the whole, so the share grows by less than the mean does.
    let times = own[1] / builtin[1];
    assert!(times > 1.3 && times < 4.0, "{text}");
    assert!(line(&text, "source: ").starts_with("own bench"), "{text}");
}

#[test]
fn in_a_set_up_of_ones_own_the_tap_holds_its_pressure_and_more_stands_nearer_the_fan() {
    let text = printed("own_set_up");
    // Supply plenum, bath, fan.
    let [usual, own] = ["usual: ", "own: "].map(|name| figures(line(&text, name)));
    assert!((usual[0] - 25.0).abs() < 0.01, "held at the plenum: {text}");
    assert!(usual[1] < usual[0], "less arrives at the end: {text}");
    assert!((own[1] + 10.0).abs() < 0.01, "held at the bath: {text}");
    assert!(own[0] < own[1], "the fan pulls at the other end: {text}");
    // 10 Pa instead of 25 and one run less: well under the usual flow, and not none.
    assert!(own[2] > 0.0 && own[2] < 0.8 * usual[2], "{text}");
}

#[test]
fn a_quicker_method_of_ones_own_is_used_and_buys_more_in_the_same_time() {
    let text = printed("own_method");
    // Steps, minutes, cfm taken off, pressure, steps by the own method.
    let builtin = figures(line(&text, "built-in methods: "));
    let own = figures(line(&text, "with own-putty: "));
    assert!(builtin[1] <= 240.5 && own[1] <= 240.5, "{text}");
    assert!(builtin[4] == 0.0 && own[4] >= 3.0, "{text}");
    assert!(own[2] > 1.05 * builtin[2], "{text}");
}
