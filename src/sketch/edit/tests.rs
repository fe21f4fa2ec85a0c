use super::*;

fn path(words: &str) -> Vec<Step> {
    words
        .split('/')
        .filter(|word| !word.is_empty())
        .map(|word| {
            word.parse::<usize>()
                .map_or_else(|_| Step::from(word), Step::Item)
        })
        .collect()
}

fn json(value: &str) -> Value {
    serde_json::from_str(value).unwrap()
}

fn set(text: &str, at: &str, value: &str) -> Result<String, EditRefused> {
    let one = Edit::Set {
        path: path(at),
        value: json(value),
    };
    edit(text, &[one]).map(|edited| edited.text)
}

fn remove(text: &str, at: &str) -> Result<String, EditRefused> {
    edit(text, &[Edit::Remove { path: path(at) }]).map(|edited| edited.text)
}

fn insert(text: &str, at: &str, k: Option<usize>, value: &str) -> Result<String, EditRefused> {
    let one = Edit::Insert {
        path: path(at),
        at: k,
        value: json(value),
    };
    edit(text, &[one]).map(|edited| edited.text)
}

/// What changes come to one after another, each by itself.
fn one_by_one(text: &str, edits: &[Edit]) -> Result<Edited, EditRefused> {
    let mut all = Edited {
        text: text.to_owned(),
        at: Vec::new(),
    };
    for one in edits {
        let edited = edit(&all.text, std::slice::from_ref(one))?;
        all.text = edited.text;
        all.at.extend(edited.at);
    }
    Ok(all)
}

#[test]
fn changes_together_are_the_changes_one_by_one() {
    let word = |at: &str, words: &str| Edit::Set {
        path: path(at),
        value: Value::Word(words.to_owned()),
    };
    let item = |k: usize, value: &str| Edit::Insert {
        path: path("runs"),
        at: Some(k),
        value: json(value),
    };
    let cases = [
        vec![
            word("runs/2/from", "T at 4 ft right"),
            word("runs/0/id", "T"),
            word("runs/1/from", "T at 2 ft left"),
            word("title", "one: two"),
            word("runs/2/walk/1/step", "6 ft # no comment"),
        ],
        // The same path twice, a key that is new, an item that is a mapping.
        vec![word("title", "a"), word("title", "b"), word("title", "c")],
        vec![
            word("title", "a"),
            word("units", "si"),
            word("runs/0/id", "T"),
        ],
        vec![
            word("title", "a"),
            word("runs/2/walk/1", "5 ft"),
            word("runs/0/id", "T"),
        ],
        vec![
            item(1, r#"{"id": "C", "walk": ["cap"], "from": "S"}"#),
            item(2, r#"{"id": "D", "walk": ["1 ft", "cap"]}"#),
            item(3, r#"{"id": "E"}"#),
        ],
        vec![
            item(3, r#"{"id": "C"}"#),
            item(4, r#"{"id": "D"}"#),
            word("title", "a"),
        ],
        vec![item(0, r#"{"id": "C"}"#), item(1, r#"{"id": "D"}"#)],
        vec![word("title", "a"), word("runs/9/id", "b")],
    ];
    let open = HOUSE.trim_end().to_owned();
    let braces = "title: a\nruns: [{id: S, walk: [cap]}, {id: A, walk: [cap]}, {id: B, walk: [{x: 1}, {step: cap}]}]\n".to_owned();
    for text in [HOUSE.to_owned(), HOUSE.replace("\r\n", "\n"), open, braces] {
        for edits in &cases {
            assert_eq!(
                edit(&text, edits),
                one_by_one(&text, edits),
                "{edits:?}\n{text}"
            );
        }
    }
    // Both ways of doing many at once were taken.
    for (case, count) in [(&cases[0], 5), (&cases[4], 3)] {
        assert_eq!(together::ahead(case), count);
        assert!(together::at_once(HOUSE, case).is_some_and(|(_, at)| at.len() == count));
    }
}

#[test]
fn a_path_without_end_is_refused() {
    let path = vec![Step::from("a"); LONGEST_PATH + 1];
    let value = Value::Word("b".to_owned());
    assert_eq!(edit(HOUSE, &[Edit::Set { path, value }]), Err(unsuited()));
}

const HOUSE: &str = "\u{feff}# Invented.\r\nductseam: 1\r\ntitle: \"one: two\"   # a title\r\n\r\nplaces:\r\n  attic: outside # hot\r\n\r\nruns:\r\n  # The trunk.\r\n  - {id: S, from: supply plenum, size: 12x8 in, walk: [east 9 ft, cap]} # big\r\n  # Only of A.\r\n  - id: A\r\n    from: S at 2 ft left\r\n    # a size\r\n    size: 6 in # round\r\n    walk: [tab collar,\r\n           5 ft, # long\r\n           boot 10x4 in]\r\n\r\n  # Others.\r\n  - {id: B, from: S at 4 ft right, size: 6 in,\r\n     walk: [tab collar, {step: 4 ft, source: \"a # b\"}, boot 10x4 in]}\r\n";

#[test]
fn a_value_changes_alone() {
    for (at, value, old, new) in [
        ("title", "\"x\"", "\"one: two\"", "\"x\""),
        ("runs/0/size", "\"10x8 in\"", "12x8 in", "10x8 in"),
        ("runs/0/walk/0", "\"a, b\"", "[east 9 ft", "['a, b'"),
        (
            "runs/1/size",
            "\"a, b\"",
            "size: 6 in # round",
            "size: a, b # round",
        ),
        ("runs/1/walk/1", "\"ü #\"", "5 ft, # long", "'ü #', # long"),
        ("runs/2/walk/1/source", "\"c\"", "\"a # b\"", "\"c\""),
        ("ductseam", "2", "ductseam: 1", "ductseam: 2"),
    ] {
        assert_eq!(
            set(HOUSE, at, value).unwrap(),
            HOUSE.replacen(old, new, 1),
            "{at}"
        );
    }
}

#[test]
fn a_new_key_takes_its_place_in_the_order_and_style_of_its_neighbours() {
    for (at, value, old, new) in [
        (
            "runs/0/place",
            "\"attic\"",
            "12x8 in, walk",
            "12x8 in, place: attic, walk",
        ),
        (
            "runs/0/side",
            "\"supply\"",
            "id: S, ",
            "id: S, side: supply, ",
        ),
        (
            "runs/1/room",
            "\"den\"",
            "6 in # round\r\n",
            "6 in # round\r\n    room: den\r\n",
        ),
        (
            "runs/2/work",
            "\"mastic\"",
            "6 in,\r\n     walk",
            "6 in, work: mastic,\r\n     walk",
        ),
        (
            "runs/1/own word",
            "1",
            "    walk: [tab",
            "    own word: 1\r\n    walk: [tab",
        ),
        ("units", "\"si\"", "title\r\n", "title\r\nunits: si\r\n"),
        (
            "house/height",
            "\"8 ft\"",
            "title\r\n",
            "title\r\nhouse: {height: 8 ft}\r\n",
        ),
        (
            "places/wall",
            "{\"like\": \"inside\"}",
            "hot\r\n",
            "hot\r\n  wall: {like: inside}\r\n",
        ),
        (
            "readings",
            "[{\"total\": \"9 cfm\", \"id\": \"a\"}]",
            "boot 10x4 in]}\r\n",
            "boot 10x4 in]}\r\n\r\nreadings:\r\n  - {id: a, total: 9 cfm}\r\n",
        ),
    ] {
        let changed = set(HOUSE, at, value).unwrap();
        assert_eq!(changed, HOUSE.replacen(old, new, 1), "{at}");
        assert_eq!(remove(&changed, at).unwrap(), HOUSE, "{at} taken out again");
    }
}

#[test]
fn removing_takes_the_comment_of_the_line_and_keeps_headings() {
    for (at, gone) in [
        (
            "runs/0",
            "  - {id: S, from: supply plenum, size: 12x8 in, walk: [east 9 ft, cap]} # big\r\n",
        ),
        ("runs/1/size", "    size: 6 in # round\r\n"),
        ("runs/1/walk/1", "           5 ft, # long\r\n"),
        ("runs/1/from", "    from: S at 2 ft left\r\n"),
        ("runs/0/id", "id: S, "),
        ("runs/0/walk", ", walk: [east 9 ft, cap]"),
        ("runs/2/size", ", size: 6 in"),
        ("runs/2/walk/1/source", ", source: \"a # b\""),
        ("places", "places:\r\n  attic: outside # hot\r\n\r\n"),
        ("places/attic", "places:\r\n  attic: outside # hot\r\n\r\n"),
    ] {
        let changed = remove(HOUSE, at).unwrap();
        assert_eq!(changed, HOUSE.replacen(gone, "", 1), "{at}");
    }
    // The last of a list of lines takes its comma, not the comment of the line before.
    let last = remove(HOUSE, "runs/1/walk/2").unwrap();
    assert_eq!(
        last,
        HOUSE.replacen(
            ", # long\r\n           boot 10x4 in]",
            " # long\r\n           ]",
            1
        )
    );
}

#[test]
fn a_comment_goes_only_with_what_it_alone_speaks_of() {
    let alone = remove(HOUSE, "runs/1").unwrap();
    assert!(
        !alone.contains("Only of A") && alone.contains("# Others."),
        "{alone}"
    );
    let two = "runs:\n  - a\n  # of both\n  - b\n  - c\n";
    assert_eq!(
        remove(two, "runs/1").unwrap(),
        "runs:\n  - a\n  # of both\n  - c\n"
    );
    assert_eq!(
        remove(two, "runs/0").unwrap(),
        "runs:\n  # of both\n  - b\n  - c\n"
    );
    assert_eq!(
        remove(two, "runs/2").unwrap(),
        "runs:\n  - a\n  # of both\n  - b\n"
    );
    let headed = "a: 1\n\n# head\nb: 2\n";
    assert_eq!(remove(headed, "b").unwrap(), "a: 1\n\n# head\n");
}

#[test]
fn items_are_inserted_in_the_style_of_the_list() {
    for (at, k, value, old, new) in [
        (
            "runs/0/walk",
            Some(1),
            "\"damper\"",
            "9 ft, cap",
            "9 ft, damper, cap",
        ),
        (
            "runs/0/walk",
            Some(0),
            "\"damper\"",
            "[east",
            "[damper, east",
        ),
        ("runs/0/walk", None, "\"x, y\"", "cap]", "cap, \"x, y\"]"),
        (
            "runs",
            Some(1),
            "{\"walk\": [\"cap\"], \"id\": \"C\"}",
            "# big\r\n",
            "# big\r\n  - {id: C, walk: [cap]}\r\n",
        ),
        (
            "runs",
            Some(2),
            "{\"walk\": [\"cap\"], \"id\": \"C\"}",
            "boot 10x4 in]\r\n",
            "boot 10x4 in]\r\n  - id: C\r\n    walk: [cap]\r\n",
        ),
        (
            "runs",
            Some(0),
            "{\"id\": \"C\"}",
            "  - {id: S",
            "  - {id: C}\r\n  - {id: S",
        ),
        (
            "looks",
            None,
            "{\"smoke\": \"none\", \"seam\": [\"A/boot\"]}",
            "boot 10x4 in]}\r\n",
            "boot 10x4 in]}\r\n\r\nlooks:\r\n  - {seam: [A/boot], smoke: none}\r\n",
        ),
    ] {
        assert_eq!(
            insert(HOUSE, at, k, value).unwrap(),
            HOUSE.replacen(old, new, 1),
            "{at} {k:?}"
        );
    }
}

#[test]
fn a_long_run_breaks_before_its_walk() {
    let value = format!(
        "{{\"id\": \"D\", \"room\": \"{}\", \"walk\": [\"cap\"]}}",
        "r".repeat(150)
    );
    let changed = insert("runs:\n  - {id: S}\n", "runs", None, &value).unwrap();
    assert!(changed.ends_with("r,\n     walk: [cap]}\n"), "{changed}");
}

#[test]
fn the_empty_file_and_comments_take_a_first_key() {
    assert_eq!(set("", "title", "\"x\"").unwrap(), "title: x\n");
    assert_eq!(set("# c", "a/b", "\"x\"").unwrap(), "# c\na: {b: x}\n");
    assert_eq!(
        insert("a: 1 # c", "runs", None, "{\"id\": \"A\"}").unwrap(),
        "a: 1 # c\n\nruns:\n  - {id: A}\n"
    );
    assert_eq!(
        insert("runs: []\n", "runs", None, "{\"id\": \"A\"}").unwrap(),
        "runs:\n  - {id: A}\n"
    );
    assert_eq!(
        insert("runs:  # none yet\n", "runs", None, "\"a\"").unwrap(),
        "runs: [a]  # none yet\n"
    );
    assert_eq!(
        set("k: {a: , b}\n", "k/a", "\"x\"").unwrap(),
        "k: {a: x , b}\n"
    );
    assert_eq!(
        set("k: {a: , b}\n", "k/b", "\"x\"").unwrap(),
        "k: {a: , b: x}\n"
    );
    assert_eq!(remove("runs: [a]\n", "runs/0").unwrap(), "runs: []\n");
    assert_eq!(
        remove(
            "runs:\n  - id: a\n    walk:\n      - cap\n",
            "runs/0/walk/0"
        )
        .unwrap(),
        "runs:\n  - id: a\n    walk: []\n"
    );
}

#[test]
fn several_lines_of_text_are_one_value() {
    let text = "note: |\n  one # no comment\n  two\n\ntitle: t\tu # tab\there\n";
    assert_eq!(
        set(text, "note", "\"x\"").unwrap(),
        "note: x\n\ntitle: t\tu # tab\there\n"
    );
    assert_eq!(
        set(text, "title", "\"a\\nb\"").unwrap(),
        text.replace("t\tu", "\"a\\nb\"")
    );
    assert_eq!(remove(text, "note").unwrap(), "\ntitle: t\tu # tab\there\n");
}

#[test]
fn lists_and_mappings_change_only_where_they_differ() {
    let text = "a: [1, 2, # two\n    3]\nb:\n  # first\n  c: 1\n  d: 2 # second\n";
    assert_eq!(
        set(text, "a", "[1, 2, 4]").unwrap(),
        text.replace("3]", "4]")
    );
    assert_eq!(
        set(text, "b", "{\"e\": 3, \"d\": 2, \"c\": 5}").unwrap(),
        text.replace("c: 1", "c: 5") + "  e: 3\n"
    );
    assert_eq!(
        set(text, "b", "{\"d\": 2}").unwrap(),
        text.replace("  c: 1\n", "")
    );
    assert!(
        set(text, "b", "\"x\"")
            .unwrap_err()
            .title
            .contains("comments")
    );
    assert_eq!(
        set("b:\n  c: 1\nd: 2\n", "b", "\"x\"").unwrap(),
        "b: x\nd: 2\n"
    );
    assert_eq!(
        set("b:\n- c: 1\n- d\n", "b/1", "{\"x\": 1}").unwrap(),
        "b:\n- c: 1\n- {x: 1}\n"
    );
}

#[test]
fn what_is_shared_is_refused_in_words() {
    let text = "x: &k {a: 1}\ny: *k\nz: {<<: *k, b: 2}\nw: [1, *k]\nv: !!str 3\nu: 4\n";
    for at in ["x/a", "y/a", "y", "z/b", "w/1", "v", "x"] {
        assert!(
            set(text, at, "\"9\"").unwrap_err().title.contains("shared"),
            "{at}"
        );
        assert!(remove(text, at).is_err(), "{at}");
    }
    assert_eq!(set(text, "u", "5").unwrap(), text.replace("u: 4", "u: 5"));
    assert_eq!(set(text, "w/0", "5").unwrap(), text.replace("[1", "[5"));
}

#[test]
fn a_path_that_leads_nowhere_is_refused() {
    for at in [
        "title/x",
        "runs/9",
        "runs/9/size",
        "runs/0/walk/7",
        "runs/x",
    ] {
        assert!(set(HOUSE, at, "\"x\"").is_err(), "{at}");
        assert!(remove(HOUSE, at).is_err(), "{at}");
    }
    let below = set(HOUSE, "places/attic/like", "\"buffer\"").unwrap_err();
    assert_eq!(below.title, "`places attic` holds no such part");
    assert!(insert(HOUSE, "runs", Some(9), "\"x\"").is_err());
    assert!(insert(HOUSE, "title", None, "\"x\"").is_err());
    assert!(
        set("a: [", "a", "\"x\"")
            .unwrap_err()
            .title
            .contains("cannot be read")
    );
}
