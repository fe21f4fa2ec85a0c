use approx::assert_abs_diff_eq;

use super::*;
use crate::catalog::Catalog;

/// A good row; each test breaks one thing in it.
const GOOD: &[(&str, &str)] = &[
    ("id", "my-collar"),
    ("name", "My collar"),
    ("group", "mine"),
    ("basis", "m"),
    ("mean_unsealed_l_s", "1.5"),
    ("mean_ordinary_l_s", "0.5 L/s/m"),
    ("mean_mastic_l_s", "0.05 cfm/ft"),
    ("gsd_unsealed", "2.0"),
    ("gsd_ordinary", "2.2"),
    ("gsd_mastic", "2.5"),
    ("n", "0.6"),
    ("n_mastic", "0.65"),
    ("field_made", "yes"),
    ("gross_chance", "0.01"),
    ("thick_divisor", ""),
    ("source_unsealed", "own bench test 2026"),
    ("sure_unsealed", "read"),
    ("source_ordinary", "own bench test 2026"),
    ("sure_ordinary", "read"),
    ("source_mastic", "guess"),
    ("sure_mastic", "estimate"),
    ("note", ""),
];

fn row(changes: &[(&str, &str)]) -> String {
    let cells: Vec<&str> = GOOD
        .iter()
        .map(|(c, v)| {
            changes
                .iter()
                .find(|(k, _)| k == c)
                .map_or(*v, |(_, new)| new)
        })
        .collect();
    cells.join(",") + "\n"
}

fn file(rows: &[String]) -> String {
    JOINT_COLUMNS.join(",") + "\n" + &rows.concat()
}

fn read(text: &str) -> Result<Catalog, Vec<CatalogError>> {
    Catalog::builtin().clone().overlay(text, "mine.csv")
}

/// The errors of a one-row file with some cells changed, as (line, column).
fn places(changes: &[(&str, &str)]) -> Vec<(u64, String)> {
    let errors = read(&file(&[row(changes)])).expect_err("must be refused");
    for e in &errors {
        assert!(
            e.file == "mine.csv"
                && !e.wrong.is_empty()
                && !e.hint.is_empty()
                && !e.wrong.ends_with('.'),
            "{e}"
        );
    }
    errors.into_iter().map(|e| (e.line, e.column)).collect()
}

fn refused(column: &str, cell: &str) {
    assert_eq!(
        places(&[(column, cell)]),
        [(2, column.to_string())],
        "{column} = `{cell}`"
    );
}

#[test]
fn a_new_id_is_added_and_marked_as_mine() {
    let c = read(&file(&[row(&[])])).expect("a good file");
    let j = c.joint("my-collar").expect("added");
    assert!(j.mine && j.field_made);
    assert_eq!(c.joints().len(), Catalog::builtin().joints().len() + 1);
    assert_abs_diff_eq!(j.state(Work::Unsealed).mean_q25, 1.5e-3, epsilon = 1e-15);
    assert_abs_diff_eq!(j.state(Work::Ordinary).mean_q25, 0.5e-3, epsilon = 1e-15);
    // 0.05 cfm/ft: one cfm/ft is 1.5484 L/s per m
    assert_abs_diff_eq!(
        j.state(Work::Mastic).mean_q25 / (0.05 * 1.5484e-3),
        1.0,
        epsilon = 1e-4
    );
    assert_abs_diff_eq!(j.state(Work::Mastic).n, 0.65, epsilon = 1e-15);
}

#[test]
fn a_known_id_replaces_its_row() {
    let c = read(&file(&[row(&[("id", "flex-collar")])])).expect("a good file");
    assert_eq!(c.joints().len(), Catalog::builtin().joints().len());
    assert!(
        c.joint("flex-collar")
            .is_some_and(|j| j.mine && j.name == "My collar")
    );
    assert!(
        !Catalog::builtin()
            .joint("flex-collar")
            .expect("built in")
            .mine
    );
}

#[test]
fn columns_may_stand_in_any_order_and_lines_of_comment_are_passed_over() {
    let mut names: Vec<&str> = JOINT_COLUMNS.to_vec();
    names.reverse();
    let cells: Vec<&str> = GOOD.iter().rev().map(|(_, v)| *v).collect();
    let text = format!(
        "\u{feff}# invented\n{}\r\n\r\n# more\n{}\r\n",
        names.join(","),
        cells.join(",")
    );
    assert!(
        read(&text)
            .expect("a good file")
            .joint("my-collar")
            .is_some()
    );
}

#[test]
fn lines_are_counted_with_comments_and_blank_lines() {
    let text = format!(
        "# a\n{}\n\n# b\n{}",
        JOINT_COLUMNS.join(","),
        row(&[("n", "7")])
    );
    let errors = read(&text).expect_err("must be refused");
    assert_eq!((errors[0].line, errors[0].column.as_str()), (5, "n"));
}

#[test]
fn every_bad_number_is_refused() {
    for bad in [
        "", "much", "NaN", "nan", "inf", "-inf", "1e308", "1e999", "-1", "0", "0,5,", "1.2.3",
        "0x10", "e5", "--1",
    ] {
        if bad.contains(',') {
            continue;
        }
        refused("mean_unsealed_l_s", bad);
        refused("gsd_unsealed", bad);
        refused("n", bad);
    }
    for bad in ["", "-0.1", "0.6", "NaN", "1e308"] {
        refused("gross_chance", bad);
    }
    for bad in ["0.5", "0", "-10", "NaN", "1e308", "ten"] {
        refused("thick_divisor", bad);
    }
}

#[test]
fn an_exponent_outside_half_to_one_is_refused() {
    for bad in ["0.49", "1.01"] {
        refused("n", bad);
        refused("n_mastic", bad);
    }
}

#[test]
fn units_that_do_not_fit_the_basis_are_refused() {
    for bad in [
        "1.5 cfm",
        "1.5 cfm each",
        "1.5 Pa",
        "1.5 L/s each",
        "1.5 furlong/ft",
        "1.5 µ",
        "é",
    ] {
        refused("mean_unsealed_l_s", bad);
    }
    assert_eq!(
        places(&[("basis", "each")]).len(),
        2,
        "both per-length cells"
    );
    let each = [
        ("basis", "each"),
        ("mean_unsealed_l_s", "24 cfm"),
        ("mean_ordinary_l_s", "11 L/s each"),
        ("mean_mastic_l_s", "0.002 m3/s"),
    ];
    let c = read(&file(&[row(&each)])).expect("a good file");
    let j = c.joint("my-collar").expect("added");
    assert!((j.state(Work::Unsealed).mean_q25 * 1e3 - 24.0 * 0.471947).abs() < 1e-4);
    assert_abs_diff_eq!(j.state(Work::Mastic).mean_q25, 0.002, epsilon = 1e-15);
}

#[test]
fn a_spread_that_leaves_nothing_for_the_joint_is_refused() {
    // exp(√((ln 1.7)² + (ln 1.3)²)) = 1.8076
    refused("gsd_ordinary", "1.80");
    assert!(read(&file(&[row(&[("gsd_ordinary", "1.81")])])).is_ok());
    assert!(
        read(&file(&[row(&[
            ("gsd_ordinary", "1.2"),
            ("field_made", "no")
        ])]))
        .is_ok()
    );
}

#[test]
fn a_row_without_a_source_or_a_mark_is_refused() {
    for work in Work::ALL {
        refused(&format!("source_{}", work.word()), "");
        refused(&format!("sure_{}", work.word()), "");
        refused(&format!("sure_{}", work.word()), "certain");
    }
}

#[test]
fn better_work_that_leaks_more_is_refused() {
    refused("mean_ordinary_l_s", "2.0");
    assert!(read(&file(&[row(&[("mean_ordinary_l_s", "1.5")])])).is_ok());
}

#[test]
fn bad_words_are_refused() {
    for bad in ["", "My Collar", "collar!", "9collar", "é"] {
        refused("id", bad);
    }
    refused("id", &"a".repeat(41));
    refused("name", "");
    refused("name", &"a".repeat(2001));
    refused("note", "a\u{7}b");
    refused("group", "");
    refused("field_made", "maybe");
    refused("basis", "ft");
}

#[test]
fn a_duplicate_id_is_refused_at_the_second() {
    let errors = read(&file(&[row(&[]), row(&[])])).expect_err("must be refused");
    assert_eq!(errors.len(), 1);
    assert_eq!((errors[0].line, errors[0].column.as_str()), (3, "id"));
    assert!(errors[0].wrong.contains("line 2"));
}

#[test]
fn all_errors_of_a_file_come_at_once_in_order() {
    let text = file(&[
        row(&[("n", "7"), ("sure_mastic", "x")]),
        row(&[("id", "two")]),
        row(&[("id", "three"), ("basis", "")]),
    ]);
    let errors = read(&text).expect_err("must be refused");
    let lines: Vec<u64> = errors.iter().map(|e| e.line).collect();
    assert_eq!(lines, [2, 2, 4]);
    assert_eq!(
        errors[2].to_string(),
        "mine.csv:4: column `basis`: expected `m` or `each`, found ``"
    );
}

#[test]
fn a_wrong_header_is_refused_with_the_nearest_name() {
    let text = file(&[row(&[])]).replacen("gsd_mastic", "gsd_mastik", 1);
    let errors = read(&text).expect_err("must be refused");
    assert_eq!(errors.len(), 2, "one unknown, one missing");
    assert!(errors.iter().all(|e| e.line == 1 && e.column == "header"));
    assert!(
        errors
            .iter()
            .any(|e| e.hint == "did you mean `gsd_mastic`?")
    );
    let few = read("id,name\n").expect_err("must be refused");
    assert_eq!(few.len(), 1, "all that are missing in one");
    assert!(
        few[0].wrong.starts_with(&format!(
            "{} columns are missing: group, basis, ",
            crate::catalog::JOINT_COLUMNS.len() - 2
        )),
        "{}",
        few[0]
    );
    let twice = file(&[]).replacen("gsd_mastic", "n", 1);
    assert!(
        read(&twice)
            .expect_err("must be refused")
            .iter()
            .any(|e| e.wrong.contains("appears twice"))
    );
}

#[test]
fn empty_and_torn_files_are_refused_without_panic() {
    for text in [
        "",
        "\n\n",
        "# only this\n",
        "\u{feff}",
        "\"",
        "id",
        ",,,,",
        "\0",
        "id,name\n\"x",
    ] {
        assert!(read(text).is_err(), "{text:?}");
    }
    // a header alone adds nothing and is no error
    assert_eq!(read(&file(&[])).as_ref(), Ok(Catalog::builtin()));
}

#[test]
fn a_row_with_too_few_or_too_many_cells_is_refused() {
    let short = read(&file(&["my-collar,My collar\n".into()])).expect_err("must be refused");
    assert!(short.iter().any(|e| e.column == "row" && e.line == 2));
    let long = read(&file(&[row(&[]).replace('\n', ",extra\n")])).expect_err("must be refused");
    assert_eq!((long.len(), long[0].column.as_str()), (1, "row"));
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(200))]
    #[test]
    fn no_text_makes_the_reader_panic(text in ".{0,200}", column in 0..22_usize, cell in "[-+0-9eE.µ/a-z ]{0,12}") {
        let _ = read(&text);
        let name = JOINT_COLUMNS[column];
        let _ = read(&file(&[row(&[(name, &cell)])]));
    }
}
