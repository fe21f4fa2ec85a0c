use serde_json::json;

use super::*;
use crate::catalog::Catalog;
use crate::{sketch, system};

const MODELS: [(&str, &str); 7] = [
    ("bungalow", include_str!("../../../models/bungalow.yaml")),
    (
        "bungalow-sealed",
        include_str!("../../../models/bungalow-sealed.yaml"),
    ),
    (
        "classroom-rig",
        include_str!("../../../models/classroom-rig.yaml"),
    ),
    (
        "loose-takeoff",
        include_str!("../../../models/loose-takeoff.yaml"),
    ),
    ("shop", include_str!("../../../models/shop.yaml")),
    (
        "slab-attic",
        include_str!("../../../models/slab-attic.yaml"),
    ),
    (
        "two-storey",
        include_str!("../../../models/two-storey.yaml"),
    ),
];

fn model(name: &str) -> &'static str {
    MODELS.iter().find(|(own, _)| *own == name).unwrap().1
}

fn built(text: &str) -> system::System {
    let sketch = sketch::read(text, "test.yaml")
        .unwrap_or_else(|found| panic!("{}\n{text}", found.render(false)));
    let catalog = Catalog::builtin();
    system::build(&sketch, text, "test.yaml", catalog)
        .unwrap_or_else(|found| panic!("{}\n{text}", found.render(false)))
}

fn ids(text: &str) -> Vec<String> {
    tree::ids(&edit::values(text).unwrap())
}

fn run(text: &str, id: &str) -> usize {
    ids(text).iter().position(|own| own == id).unwrap()
}

fn change(text: &str, change: serde_json::Value) -> String {
    apply(text, &[change]).unwrap().text
}

#[test]
fn parts_and_words_of_every_step_are_each_others_inverse() {
    let mut count = 0;
    for (name, text) in MODELS {
        let root = edit::values(text).unwrap();
        for i in 0..ids(text).len() {
            for (_, words) in tree::steps(&root, i) {
                let parts = parts_of(&words).unwrap_or_else(|| panic!("{name}: {words}"));
                assert_eq!(text_of(&parts).as_deref(), Ok(words.as_str()), "{name}");
                assert_eq!(parts_of(&text_of(&parts).unwrap()), Some(parts));
                count += 1;
            }
        }
    }
    assert!(count > 300, "{count}");
}

#[test]
fn parts_say_each_thing_apart() {
    let parts = parts_of("up 9 ft 6 in flex in outer wall behind finish mastic").unwrap();
    let said = json!({"kind": "straight", "word": null, "heading": "up", "length": "9 ft 6 in", "material": "flex", "degrees": null,
        "size": null, "onto": null, "place": "outer wall", "reach": "behind finish", "work": "mastic"});
    assert_eq!(serde_json::to_value(&parts).unwrap(), said);
    for words in [
        "adjustable elbow left 45 degrees",
        "damper 40 deg",
        "joins B at 12 ft in attic",
        "joins B",
        "transition to 12x3.25 in",
        "mitre elbow with vanes west",
        "cap",
    ] {
        assert_eq!(text_of(&parts_of(words).unwrap()).as_deref(), Ok(words));
    }
    assert_eq!(
        parts_of("joins B at 12 ft").unwrap().onto.as_deref(),
        Some("B at 12 ft")
    );
    assert_eq!(parts_of("north"), None);
}

#[test]
fn every_step_word_keeps_its_parts() {
    let mut read = std::collections::BTreeSet::new();
    for word in crate::sketch::parts::step_words() {
        for rest in [
            "",
            " left",
            " 10x4 in",
            " 45 degrees",
            " up 30 degrees in attic none",
            " 40 deg taped",
            " B at 3 ft in attic",
        ] {
            let words = format!("{word}{rest}");
            if let Some(parts) = parts_of(&words) {
                assert_eq!(parts.word.as_deref(), Some(word), "{words}");
                assert_eq!(parts_of(&text_of(&parts).unwrap()), Some(parts), "{words}");
                read.insert(word);
            }
        }
    }
    assert_eq!(read.len(), crate::sketch::parts::step_words().len());
    for words in [
        "12 ft of flex",
        "45 degree elbow left",
        "45° elbow",
        "north 3m in open porch",
    ] {
        let parts = parts_of(words).unwrap();
        assert_eq!(parts_of(&text_of(&parts).unwrap()), Some(parts), "{words}");
    }
}

#[test]
fn parts_that_make_no_step_are_refused_in_words() {
    let made = |value: serde_json::Value| text_of(&serde_json::from_value(value).unwrap());
    assert_eq!(
        made(json!({"kind": "elbow", "heading": "up"})).as_deref(),
        Ok("elbow up")
    );
    assert_eq!(
        made(json!({"kind": "cap", "work": " "})).as_deref(),
        Ok("cap")
    );
    for wrong in [
        json!({"kind": "bend"}),
        json!({"kind": "straight"}),
        json!({"kind": "straight", "length": "12"}),
        json!({"kind": "boot"}),
        json!({"kind": "cap", "heading": "left"}),
        json!({"kind": "elbow", "word": "cap"}),
        json!({"kind": "straight", "length": "9 ft mastic"}),
    ] {
        assert!(made(wrong.clone()).is_err(), "{wrong}");
    }
}

#[test]
fn steps_are_written_in_words() {
    let text = "runs:\n  - {id: A, walk: [tab collar, {step: 5 ft, joint: crimp}, cap]}\n";
    let done = apply(
        text,
        &[
            json!({"do": "set_step", "path": ["runs", 0, "walk", 1], "parts": {"kind": "straight", "length": "6 ft"}}),
            json!({"do": "insert_step", "path": ["runs", 0, "walk"], "at": 2, "parts": {"kind": "damper", "degrees": "40"}}),
        ],
    );
    let done = done.unwrap();
    assert_eq!(
        done.text,
        text.replace("5 ft", "6 ft")
            .replace("}, cap", "}, damper 40 deg, cap")
    );
    assert_eq!(
        done.at,
        [
            Some(json!(["runs", 0, "walk", 1])),
            Some(json!(["runs", 0, "walk", 2]))
        ]
    );
}

#[test]
fn a_refused_change_refuses_all() {
    let text = model("bungalow");
    let found = apply(
        text,
        &[
            json!({"do": "remove", "path": ["title"]}),
            json!({"do": "remove_run", "run": 99}),
        ],
    );
    assert!(found.unwrap_err().title.contains("number 100"));
    assert!(apply(text, &[json!({"do": "fly"})]).is_err());
    assert!(apply(text, &[json!({"do": "rename_run", "run": 0, "to": "a/b"})]).is_err());
}

const ALL: &str = "\
runs:
  - {id: S, from: supply plenum, floor: upstairs, walk: [cap]} # S
  - {id: A b, from: S at 2 ft left, walk: [tab collar, joins S at 3 ft in attic]}
  - {id: C, from: A b end, walk: [cap]}
readings:
  - {id: one, isolated: 9 cfm, run: A b}
  - {id: two, total: 9 cfm, fan: A b, tap: S, plugged: [A b, C]}
looks:
  - {seam: A b/tab collar, smoke: none}
  - {seam: [S/cap, all joints of a b upstairs, all boots of run A b], smoke: none}
  - {seam: all boots, smoke: none, during: one}
sealing:
  - {id: day, seams: [A b/tab collar]}
crew: {leave: [A b/cap, S/cap]}
variants:
  - {id: v, work: {all of run A b: mastic, S/cap: mastic}, shorter: {A b: 20 %}}
  - {id: w, shorter: {A b: 20 %}}
";

#[test]
fn a_run_is_renamed_with_every_mention() {
    let renamed = change(ALL, json!({"do": "rename_run", "run": 1, "to": "den"}));
    assert_eq!(renamed, ALL.replace("A b", "den").replace("a b", "den"));
    let trunk = change(ALL, json!({"do": "rename_run", "run": 0, "to": "T"}));
    let by_hand = ALL
        .replace("{id: S,", "{id: T,")
        .replace("S at", "T at")
        .replace("tap: S", "tap: T")
        .replace("S/cap", "T/cap");
    assert_eq!(trunk, by_hand);
    for to in ["", "unit", "C", "c", "x at y", "supply plenum"] {
        assert!(
            apply(ALL, &[json!({"do": "rename_run", "run": 1, "to": to})]).is_err(),
            "{to}"
        );
    }
}

#[test]
fn letters_that_change_their_length_when_small_are_no_mention() {
    // Two letters that grow and one that shrinks by as much.
    let text = "ductseam: 1\nruns:\n  - {id: \u{23a}\u{23a}, walk: [cap]}\nlooks:\n  - {seam: \"\u{23a}\u{23a}/\u{212a}\", smoke: none}\n";
    let renamed = change(text, json!({"do": "rename_run", "run": 0, "to": "den"}));
    assert_eq!(ids(&renamed), ["den"]);
    assert!(renamed.contains("\u{23a}\u{23a}/\u{212a}"), "{renamed}");
}

#[test]
fn renaming_there_and_back_leaves_every_byte() {
    for (name, text) in MODELS {
        let text = text.replace('\n', "\r\n");
        for (i, id) in ids(&text).into_iter().enumerate() {
            let there = change(
                &text,
                json!({"do": "rename_run", "run": i, "to": "a new name"}),
            );
            assert_ne!(there, text);
            assert_eq!(
                change(&there, json!({"do": "rename_run", "run": i, "to": id})),
                text,
                "{name}"
            );
        }
    }
}

#[test]
fn a_renamed_system_has_the_same_seams() {
    for (name, id) in [
        ("two-storey", "S"),
        ("bungalow-sealed", "hall return"),
        ("loose-takeoff", "den"),
        ("classroom-rig", "duct A"),
    ] {
        let text = model(name);
        let renamed = change(
            text,
            json!({"do": "rename_run", "run": run(text, id), "to": "other"}),
        );
        let (old, new) = (built(text), built(&renamed));
        assert_eq!(old.looks.len(), new.looks.len());
        assert_eq!(old.readings.len(), new.readings.len());
        let flows = |system: &system::System| {
            system
                .seams
                .iter()
                .map(|seam| seam.mean_q25_m3_s)
                .collect::<Vec<_>>()
        };
        assert_eq!(flows(&old), flows(&new), "{name}");
        assert!(ids(&renamed).iter().all(|own| own != id));
    }
}

#[test]
fn a_run_is_removed_with_what_hangs_on_it_and_every_mention() {
    let removed = change(ALL, json!({"do": "remove_run", "run": 1}));
    let by_hand = "\
runs:
  - {id: S, from: supply plenum, floor: upstairs, walk: [cap]} # S
readings:
  - {id: two, total: 9 cfm, tap: S}
looks:
  - {seam: [S/cap], smoke: none}
crew: {leave: [S/cap]}
variants:
  - {id: v, work: {S/cap: mastic}}
";
    assert_eq!(removed, by_hand);
    let joined = "runs:\n  - {id: A, from: supply plenum, walk: [joins B at 2 ft]}\n  - {id: B, from: supply plenum, walk: [cap]}\n";
    assert_eq!(
        change(joined, json!({"do": "remove_run", "run": 1})),
        "runs:\n  - {id: A, from: supply plenum, walk: [cap]}\n"
    );
}

#[test]
fn what_is_left_of_a_model_still_stands() {
    for (name, text) in MODELS {
        for (i, id) in ids(text).into_iter().enumerate() {
            let removed = change(text, json!({"do": "remove_run", "run": i}));
            let words = edit::values(&removed).unwrap();
            assert!(
                mentions::mentions(&words)
                    .iter()
                    .all(|mention| mention.said() != id),
                "{name} {id}"
            );
            let left = ids(&removed);
            assert!(!left.contains(&id));
        }
    }
    for (name, id) in [
        ("two-storey", "study"),
        ("loose-takeoff", "den"),
        ("bungalow-sealed", "kitchen"),
        ("shop", "lateral 3"),
    ] {
        let text = model(name);
        let left = built(&change(
            text,
            json!({"do": "remove_run", "run": run(text, id)}),
        ));
        assert!(left.runs.iter().all(|run| run.id != id));
    }
}

#[test]
fn a_copied_branch_leaks_as_the_first() {
    for (name, id, from, copy) in [
        ("shop", "lateral 1", "main at 20 m left", "lateral 7"),
        (
            "bungalow",
            "kitchen",
            "east trunk at 14 ft right",
            "kitchen 2",
        ),
        (
            "slab-attic",
            "main bedroom 1",
            "trunk at 14 ft left",
            "main bedroom 3",
        ),
        ("classroom-rig", "duct B", "spine at 7 ft right", "duct B 2"),
        ("two-storey", "bedroom 3", "S at 27 ft right", "bedroom 5"),
    ] {
        let text = model(name);
        let done = apply(
            text,
            &[json!({"do": "copy_branch", "run": run(text, id), "from": from})],
        )
        .unwrap();
        let place = run(&done.text, copy);
        assert_eq!(done.at, [Some(json!(["runs", place]))]);
        // Nothing else changed: the new text is the old one with one stretch put in.
        let head = text
            .bytes()
            .zip(done.text.bytes())
            .take_while(|(a, b)| a == b)
            .count();
        let tail = text
            .bytes()
            .rev()
            .zip(done.text.bytes().rev())
            .take_while(|(a, b)| a == b)
            .count();
        assert!(head + tail >= text.len(), "{name}");
        let system = built(&done.text);
        let flows = |id: &str| -> Vec<(String, f64)> {
            let own = system.seams.iter().filter(|seam| seam.run == id);
            own.map(|seam| (seam.id.replacen(id, "", 1), seam.mean_q25_m3_s))
                .collect()
        };
        assert!(!flows(id).is_empty());
        assert_eq!(flows(id), flows(copy), "{name}");
        if name == "shop" {
            assert_eq!(flows("outlet 1.3"), flows("outlet 1.3 2"));
            assert_eq!(system.runs.len(), ids(text).len() + 6);
        }
    }
    let text = model("bungalow");
    for from in ["nowhere at 3 ft", "left", "kitchen"] {
        assert!(
            apply(
                text,
                &[json!({"do": "copy_branch", "run": 2, "from": from})]
            )
            .is_err(),
            "{from}"
        );
    }
}

#[test]
fn a_mirrored_branch_changes_sides() {
    let text = "\
runs:
  - {id: S, from: supply plenum, walk: [east 9 ft, elbow north, 4 ft, elbow left, 3 ft, cap]}
  - {id: A, from: S at 2 ft left, walk: [tab collar, 3 ft, elbow east, Up 2 ft, south 1 ft, cap]}
  - {id: B, from: A at 1 ft up, walk: [tab collar, 3 ft, elbow right 45 degrees, cap]}
";
    let over = change(text, json!({"do": "mirror", "run": 0}));
    let by_hand = text
        .replace("elbow north", "elbow south")
        .replace("elbow left", "elbow right")
        .replace("2 ft left", "2 ft right")
        .replace("south 1 ft", "north 1 ft")
        .replace("elbow right 45", "elbow left 45");
    assert_eq!(over, by_hand);
    // Where the line is not known and a heading by compass stands, nothing is guessed.
    assert!(apply(text, &[json!({"do": "mirror", "run": 1})]).is_err());
    assert_eq!(
        change(text, json!({"do": "mirror", "run": 2})),
        text.replace("elbow right 45", "elbow left 45")
    );
}

#[test]
fn mirrored_twice_leaves_every_byte() {
    let mut turned = 0;
    for (name, text) in MODELS {
        for (i, id) in ids(text).into_iter().enumerate() {
            let once = change(text, json!({"do": "mirror", "run": i}));
            turned += usize::from(once != text);
            assert_eq!(
                change(&once, json!({"do": "mirror", "run": i})),
                text,
                "{name} {id}"
            );
        }
    }
    assert!(turned > 20, "{turned}");
}

#[test]
fn a_mirrored_model_lies_on_the_other_side() {
    let text = model("slab-attic");
    let over = change(text, json!({"do": "mirror", "run": run(text, "trunk")}));
    let (old, new) = (built(text), built(&over));
    let places = |system: &system::System, sign: f64| -> Vec<[i64; 3]> {
        let trunk: Vec<usize> = (0..system.runs.len())
            .filter(|&i| {
                !["hall bath", "hall", "bedroom 2", "bedroom 3", "hall return"]
                    .contains(&system.runs[i].id.as_str())
            })
            .collect();
        let mut found: Vec<[i64; 3]> = system
            .openings
            .iter()
            .filter(|opening| trunk.contains(&opening.run))
            .map(|opening| {
                let [x, y, z] = system.graph[opening.node].position_m;
                [x, sign * y, z].map(|m| (m * 1000.0).round() as i64)
            })
            .collect();
        found.sort_unstable();
        found
    };
    // The trunk runs east from the plenum: its branches change north for south.
    assert_eq!(places(&old, -1.0), places(&new, 1.0));
    assert_ne!(places(&old, 1.0), places(&new, 1.0));
}
