use super::*;

fn ids(count: usize) -> (System, Vec<String>) {
    let text = include_str!("../../models/bungalow.yaml");
    let read = crate::sketch::read(text, "b.yaml").expect("sound");
    let system = crate::system::build(&read, text, "b.yaml", crate::catalog::Catalog::builtin())
        .expect("sound");
    let ids = system.seams.iter().take(count).map(|s| s.id.clone());
    let ids = ids.collect();
    (system, ids)
}

#[test]
fn a_mark_semicolons_blanks_and_capitals_do_no_harm() {
    let (system, ids) = ids(3);
    let text = format!(
        "\u{feff}seam ; seal; Minutes\r\n\r\n  {} ; yes ; 12,5\r\n# a thought\r\n{};no;\r\n",
        ids[2].to_uppercase(),
        ids[0].replace(' ', "  ")
    );
    let found = read_learner(&system, &text).expect("a good list");
    assert_eq!(found.ranking, vec![2, 0]);
    assert_eq!(found.seal, Some(vec![2]));
    assert_eq!(found.minutes, Some(12.5));
}

#[test]
fn a_bare_list_is_a_ranking_and_ranks_put_it_in_order() {
    let (system, ids) = ids(3);
    let bare = read_learner(&system, &ids.join("\n")).expect("a good list");
    assert_eq!(bare.ranking, vec![0, 1, 2]);
    assert_eq!((bare.seal, bare.minutes), (None, None));
    let ranked = format!("{},3\n{},1\n{},2\n", ids[0], ids[1], ids[2]);
    let found = read_learner(&system, &ranked).expect("a good list");
    assert_eq!(found.ranking, vec![1, 2, 0]);
}

#[test]
fn ranks_in_some_lines_only_are_refused_at_the_first_without() {
    let (system, ids) = ids(3);
    let text = format!("{},2\n{},\n{}\n", ids[0], ids[1], ids[2]);
    let faults = read_learner(&system, &text).expect_err("a fault");
    assert_eq!((faults.told.len(), faults.more), (1, 0));
    assert_eq!(faults.told[0].line, 2);
    assert_eq!(
        faults.told[0].wrong,
        "2 of 3 seams have no rank, this one first"
    );
    // Equal ranks are refused: which comes first nobody can tell.
    let text = format!("{},2\n{},1\n{},1.0\n", ids[0], ids[2], ids[1]);
    let faults = read_learner(&system, &text).expect_err("a tie");
    assert_eq!(faults.told.len(), 1);
    assert_eq!(faults.told[0].line, 3);
    assert_eq!(faults.told[0].wrong, "rank 1 is given in line 2 already");
}

#[test]
fn what_parts_columns_is_not_sought_in_comments_and_quotes() {
    let (system, ids) = ids(2);
    let text = format!(
        "# kitchen first; then\tthe rest\n{}\n\"{}\",,yes,12.5\n",
        ids[1], ids[0]
    );
    let found = read_learner(&system, &text).expect("a good list");
    assert_eq!(found.ranking, vec![1, 0]);
    assert_eq!((found.seal, found.minutes), (Some(vec![0]), Some(12.5)));
    for (text, part) in [
        ("# a;b\na,b\n", b','),
        ("\"a;b\",c\n", b','),
        ("a\nb;1,5\nc,d\n", b';'),
        ("a\tb,c\n", b'\t'),
        ("# only;\n", b','),
    ] {
        assert_eq!(separator(text), part, "{text}");
    }
}

#[test]
fn everything_wrong_is_said_at_once_with_its_line_and_what_was_meant() {
    let (system, ids) = ids(2);
    let misspelt = format!("{}x", ids[1]);
    let text = format!("{0}\n{misspelt}\n{0}\n{1},first,perhaps\n", ids[0], ids[1]);
    let faults = read_learner(&system, &text).expect_err("faults");
    let lines: Vec<u64> = faults.told.iter().map(|fault| fault.line).collect();
    assert_eq!(lines, vec![2, 3, 4, 4]);
    assert_eq!(faults.told[0].hint, format!("did you mean `{}`?", ids[1]));
    assert!(faults.told[1].wrong.ends_with("is named twice"));
    let empty = read_learner(&system, "\u{feff}\n\n").expect_err("nothing");
    assert_eq!(empty.told[0].wrong, "the list names no seam");
    assert!(read_learner(&system, "seam,rank\n").is_err());
}

#[test]
fn a_head_line_is_known_by_usual_names_and_told_where_seams_have_no_column() {
    let (system, ids) = ids(2);
    for head in [
        "Seam ID;Rank;Seal;Minutes",
        "name;ranking;Sealed;min",
        ";;\nID;RANK;seal;minutes",
    ] {
        let text = format!("{head}\n{};2;no;\n{};1;yes;7\n", ids[0], ids[1]);
        let found = read_learner(&system, &text).expect("a good list");
        assert_eq!(found.ranking, vec![1, 0], "{head}");
        assert_eq!((found.seal, found.minutes), (Some(vec![1]), Some(7.0)));
    }
    let two = read_learner(&system, &format!("seal,name\nyes,{}\n", ids[1])).expect("a good list");
    assert_eq!((two.ranking, two.seal), (vec![1], Some(vec![1])));
    let text = format!("where,rank\n{},1\n", ids[0]);
    let faults = read_learner(&system, &text).expect_err("no column of seams");
    assert_eq!(
        faults.told[0].wrong,
        "no column is called `seam` among `where`, `rank`"
    );
    assert_eq!(faults.told.len(), 1);
}

#[test]
fn a_blank_in_a_column_of_seals_is_counted() {
    let (system, ids) = ids(3);
    let text = format!("seam,seal\n{},yes\n{},\n{}\n", ids[0], ids[1], ids[2]);
    let found = read_learner(&system, &text).expect("a good list");
    assert_eq!((found.seal, found.seal_blank), (Some(vec![0]), 2));
    let bare = read_learner(&system, &ids.join("\n")).expect("a good list");
    assert_eq!((bare.seal, bare.seal_blank), (None, 0));
}

#[test]
fn faults_beyond_twenty_are_counted_and_large_lists_refused_in_words() {
    let (system, _) = ids(1);
    let faults = read_learner(&system, &"bGVha3kgZHVjdHMK\n".repeat(900)).expect_err("faults");
    assert_eq!((faults.told.len(), faults.more), (TOLD, 900 - TOLD));
    let rows = read_learner(&system, &"a\n".repeat(ROWS + 1)).expect_err("too many");
    assert_eq!(rows.told[0].wrong, "the list has more than 50000 rows");
    assert_eq!((rows.told.len(), rows.more), (1, 0));
    let large = read_learner(&system, &"a".repeat(BYTES + 1)).expect_err("too large");
    assert_eq!(large.told[0].wrong, "the list is larger than 8 MB");
}
