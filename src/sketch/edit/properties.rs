//! Whatever is changed in the sketches that come with the program, all else stays byte for byte.

use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::{RngAlgorithm, TestRng, TestRunner};

use super::*;

const MODELS: [&str; 7] = [
    include_str!("../../../models/bungalow.yaml"),
    include_str!("../../../models/bungalow-sealed.yaml"),
    include_str!("../../../models/classroom-rig.yaml"),
    include_str!("../../../models/loose-takeoff.yaml"),
    include_str!("../../../models/shop.yaml"),
    include_str!("../../../models/slab-attic.yaml"),
    include_str!("../../../models/two-storey.yaml"),
];

fn check<S: Strategy>(strategy: S, test: impl Fn(S::Value) -> Result<(), TestCaseError>) {
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[8; 32]);
    let config = ProptestConfig {
        cases: 150,
        failure_persistence: None,
        ..ProptestConfig::default()
    };
    TestRunner::new_with_rng(config, rng)
        .run(&strategy, test)
        .unwrap();
}

/// All paths, the containers' first.
fn paths(value: &Value, here: &mut Vec<Step>, found: &mut Vec<Vec<Step>>) {
    found.push(here.clone());
    let steps: Vec<(Step, &Value)> = match value {
        Value::List(items) => items
            .iter()
            .enumerate()
            .map(|(i, v)| (Step::Item(i), v))
            .collect(),
        Value::Mapping(entries) => entries
            .iter()
            .map(|(k, v)| (Step::Key(k.clone()), v))
            .collect(),
        _ => Vec::new(),
    };
    for (step, value) in steps {
        here.push(step);
        paths(value, here, found);
        here.pop();
    }
}

fn pick(text: &str, index: Index, wanted: impl Fn(&[Step], &Value) -> bool) -> Vec<Step> {
    let root = values(text).unwrap();
    let mut all = Vec::new();
    paths(&root, &mut Vec::new(), &mut all);
    all.retain(|path| !path.is_empty() && wanted(path, root.at(path).unwrap()));
    all.swap_remove(index.index(all.len()))
}

fn dressed(model: usize, crlf: bool) -> String {
    let text = MODELS[model].to_owned();
    if crlf {
        format!("\u{feff}{}", text.replace('\n', "\r\n"))
    } else {
        text
    }
}

fn comments(text: &str) -> usize {
    let sheet = Sheet::read(text).unwrap();
    sheet
        .pieces_in(0, text.len())
        .iter()
        .filter(|(piece, _)| *piece == pieces::Piece::Comment)
        .count()
}

/// The lines that two texts do not share at their start and end.
fn differing<'t>(one: &'t str, other: &'t str) -> (Vec<&'t str>, Vec<&'t str>) {
    let a: Vec<&str> = one.split_inclusive('\n').collect();
    let b: Vec<&str> = other.split_inclusive('\n').collect();
    let head = a.iter().zip(&b).take_while(|(a, b)| a == b).count();
    let most = a.len().min(b.len()) - head;
    let tail = a
        .iter()
        .rev()
        .zip(b.iter().rev())
        .take(most)
        .take_while(|(a, b)| a == b)
        .count();
    (
        a[head..a.len() - tail].to_vec(),
        b[head..b.len() - tail].to_vec(),
    )
}

fn any_word() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(vec![
            "10 ft",
            "yes",
            "010",
            "a: b",
            "- x",
            "# no",
            "a, b]",
            "{x",
            "",
            "null",
            "é ± 3 %",
            "don't",
            "\"q\"",
            "tab\there",
            "two\nlines",
            "*x",
            "2026",
            "1e3",
            ": x",
            "x:"
        ])
        .prop_map(str::to_owned),
        "[ -~äß±]{0,24}",
    ]
}

#[test]
fn a_value_set_and_set_back_gives_the_same_bytes() {
    check(
        (0..7_usize, any::<Index>(), any_word(), any::<bool>()),
        |(model, at, word, crlf)| {
            let text = dressed(model, crlf);
            let path = pick(&text, at, |_, value| value.text().is_some());
            let old = values(&text).unwrap().at(&path).unwrap().clone();
            let set = |text: &str, value: Value| {
                edit(
                    text,
                    &[Edit::Set {
                        path: path.clone(),
                        value,
                    }],
                )
                .map(|edited| edited.text)
            };
            let changed = set(&text, Value::Word(word.clone())).unwrap();
            let (gone, come) = differing(&text, &changed);
            prop_assert!(gone.len() <= 1 && come.len() <= 1, "{gone:?} {come:?}");
            prop_assert_eq!(comments(&changed), comments(&text));
            let read = values(&changed).unwrap();
            prop_assert_eq!(read.at(&path).unwrap().text(), Some(word.as_str()));
            // A text that only double quotes can hold leaves no trace of what stood in double quotes before it.
            let sheet = Sheet::read(&text).unwrap();
            let was_double =
                text[sheet.follow(&path).unwrap().last.node.at.start..].starts_with('"');
            if !(was_double && word.chars().any(char::is_control)) {
                prop_assert_eq!(set(&changed, old).unwrap(), text.clone());
            }
            Ok(())
        },
    );
}

#[test]
fn what_is_removed_takes_its_own_lines_alone() {
    check(
        (0..7_usize, any::<Index>(), any::<bool>()),
        |(model, at, crlf)| {
            let text = dressed(model, crlf);
            let path = pick(&text, at, |_, _| true);
            let changed = match edit(&text, &[Edit::Remove { path: path.clone() }]) {
                Ok(edited) => edited.text,
                Err(refused) => return Err(TestCaseError::fail(format!("{path:?}: {refused}"))),
            };
            let root = values(&text).unwrap();
            let whole = remove::whole_of(&root, &path);
            let mut expected = root.clone();
            if root
                .at(&whole[..whole.len() - 1])
                .is_some_and(|above| above.items().len() == 1)
            {
                prop_assert!(expect::set(
                    &mut expected,
                    &whole[..whole.len() - 1],
                    &Value::List(Vec::new())
                ));
            } else {
                prop_assert!(expect::remove(&mut expected, whole));
            }
            prop_assert!(expect::same(&values(&changed).unwrap(), &expected));
            let (gone, come) = differing(&text, &changed);
            prop_assert!(come.len() <= 1, "{come:?}");
            let hashes = |lines: &[&str]| lines.iter().filter(|line| line.contains('#')).count();
            prop_assert_eq!(
                comments(&text) - comments(&changed),
                hashes(&gone) - hashes(&come)
            );
            Ok(())
        },
    );
}

#[test]
fn what_is_inserted_and_taken_out_again_leaves_the_same_bytes() {
    let value = prop_oneof![
        any_word().prop_map(Value::Word),
        Just(Value::Mapping(vec![
            ("id".to_owned(), Value::Word("new, one".to_owned())),
            (
                "walk".to_owned(),
                Value::List(vec![Value::Word("cap".to_owned())])
            )
        ])),
    ];
    check(
        (
            0..7_usize,
            any::<Index>(),
            any::<Index>(),
            value,
            any::<bool>(),
        ),
        |(model, list, at, value, crlf)| {
            let text = dressed(model, crlf);
            let path = pick(&text, list, |_, value| matches!(value, Value::List(_)));
            let count = values(&text).unwrap().at(&path).unwrap().items().len();
            let at = at.index(count + 1);
            let edited = edit(
                &text,
                &[Edit::Insert {
                    path: path.clone(),
                    at: Some(at),
                    value: value.clone(),
                }],
            )
            .unwrap();
            let placed = edited.at[0].clone().unwrap();
            prop_assert!(expect::same(
                values(&edited.text).unwrap().at(&placed).unwrap(),
                &value
            ));
            let (gone, come) = differing(&text, &edited.text);
            prop_assert!(gone.len() <= 1 && come.len() <= 4, "{gone:?} {come:?}");
            prop_assert_eq!(comments(&edited.text), comments(&text));
            let back = edit(&edited.text, &[Edit::Remove { path: placed }]).unwrap();
            prop_assert_eq!(back.text, text);
            Ok(())
        },
    );
}

#[test]
fn a_new_key_and_taken_out_again_leaves_the_same_bytes() {
    check(
        (0..7_usize, any::<Index>(), any_word(), any::<bool>()),
        |(model, at, word, crlf)| {
            let text = dressed(model, crlf);
            let mut path = pick(&text, at, |_, value| matches!(value, Value::Mapping(_)));
            path.push(Step::Key("new word".to_owned()));
            let changed = edit(
                &text,
                &[Edit::Set {
                    path: path.clone(),
                    value: Value::Word(word),
                }],
            )
            .unwrap();
            prop_assert_eq!(comments(&changed.text), comments(&text));
            let back = edit(&changed.text, &[Edit::Remove { path }]).unwrap();
            prop_assert_eq!(back.text, text);
            Ok(())
        },
    );
}

#[test]
fn any_text_is_changed_as_expected_or_refused() {
    let piece = prop::sample::select(vec![
        "a: 1", "\n", "\n  ", "\n- ", "- ", "b:", " ", "[x, y]", "{c: d}", "[", "]", "{", "}",
        ", ", "# c", " # c\n", "'q'", "\"r\"", "&k ", "*k", "|\n  t\n", "\r\n", "? ", "\t", "ä: ö",
        "\u{feff}", "---\n", "~",
    ]);
    let step = prop_oneof![
        (0..3_usize).prop_map(Step::Item),
        prop::sample::select(vec!["a", "b", "c", "ä"]).prop_map(Step::from)
    ];
    let path = prop::collection::vec(step, 0..4);
    check(
        (prop::collection::vec(piece, 0..12), path, any_word()),
        |(pieces, path, word)| {
            let text = pieces.concat();
            for one in [
                Edit::Set {
                    path: path.clone(),
                    value: Value::Word(word.clone()),
                },
                Edit::Remove { path: path.clone() },
                Edit::Insert {
                    path: path.clone(),
                    at: None,
                    value: Value::Word(word),
                },
            ] {
                match edit(&text, &[one]) {
                    Ok(edited) => prop_assert!(values(&edited.text).is_ok()),
                    Err(refused) => prop_assert!(!refused.title.is_empty()),
                }
            }
            Ok(())
        },
    );
}
