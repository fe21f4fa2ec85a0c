//! The door as a page uses it.

use serde_json::{Value, json};

use super::call;
use crate::catalog::Catalog;
use crate::{sketch, system};

const MODELS: [&str; 3] = [
    include_str!("../../models/bungalow.yaml"),
    include_str!("../../models/two-storey.yaml"),
    include_str!("../../models/shop.yaml"),
];

fn ask(request: &Value) -> Value {
    serde_json::from_str(&call(&request.to_string())).expect("a reply is JSON")
}

fn view(text: &str) -> Value {
    let reply = ask(&json!({"ask": "look", "text": text}));
    assert_eq!(reply["ok"], true, "{reply}");
    reply["view"].clone()
}

fn built(text: &str) -> system::System {
    let sketch = sketch::read(text, "").expect("reads");
    system::build(&sketch, text, "", Catalog::builtin()).expect("stands")
}

fn count(value: &Value) -> usize {
    value.as_array().map_or(0, Vec::len)
}

#[test]
fn a_sound_sketch_is_shown_whole() {
    for text in MODELS {
        let (view, system) = (view(text), built(text));
        assert_eq!(view["stands"], true);
        assert_eq!(count(&view["pieces"]), system.graph.edge_count());
        assert_eq!(count(&view["seams"]), system.seams.len());
        assert_eq!(count(&view["openings"]), system.openings.len());
        for (i, seam) in system.seams.iter().enumerate() {
            assert_eq!(view["seams"][i]["id"], json!(seam.id));
            assert_eq!(view["seams"][i]["i"], json!(i));
        }
        for (k, run) in system.runs.iter().enumerate() {
            assert_eq!(view["runs"][k]["id"], json!(run.id));
            assert_eq!(view["runs"][k]["drawn"], true);
            assert_eq!(view["runs"][k]["open_end"], false);
            assert_eq!(view["sketch"]["runs"][k]["id"], json!(run.id));
        }
        for step in view["runs"]
            .as_array()
            .expect("a list")
            .iter()
            .flat_map(|run| run["steps"].as_array().expect("a list"))
        {
            assert!(!step["start"].is_null() && !step["end"].is_null(), "{step}");
        }
        // What has a duct of its own has its step, and the step its place.
        for piece in view["pieces"].as_array().expect("a list") {
            if let (Some(run), Some(step)) = (piece["run"].as_u64(), piece["step"].as_u64()) {
                let shown = &view["runs"][run as usize]["steps"][step as usize];
                assert!(
                    !shown["start"].is_null() && !shown["end"].is_null(),
                    "{shown}"
                );
            }
        }
    }
}

#[test]
fn a_run_without_an_end_is_drawn_and_its_fault_stands_at_the_end() {
    let text = MODELS[0].replace("11 ft, boot 10x4 in]", "11 ft]");
    let view = view(&text);
    assert_eq!(view["stands"], false);
    let whole = built(MODELS[0]);
    let open: Vec<&Value> = view["runs"]
        .as_array()
        .expect("a list")
        .iter()
        .filter(|run| run["open_end"] == true)
        .collect();
    assert_eq!(open.len(), 2);
    assert!(open.iter().all(|run| run["drawn"] == true));
    // Two boots are gone, and nothing stands in for them.
    assert_eq!(count(&view["pieces"]), whole.graph.edge_count() - 2);
    let fault = &view["faults"][0];
    assert_eq!(fault["code"], "E0132");
    assert_eq!(fault["at"], open[0]["end"]);
}

#[test]
fn a_word_that_cannot_be_read_takes_out_its_step_alone() {
    let text = MODELS[0].replacen("damper, 1 ft", "dampper, 1 ft", 1);
    let view = view(&text);
    let run = view["runs"]
        .as_array()
        .expect("a list")
        .iter()
        .position(|run| run["id"] == "hall")
        .expect("there");
    let fault = &view["faults"][0];
    assert_eq!(fault["run"], json!(run));
    assert_eq!(fault["step"], json!(2));
    assert_eq!(fault["path"], json!(["runs", run, "walk", 2]));
    assert_eq!(fault["at"], view["runs"][run]["steps"][1]["end"]);
    assert!(view["runs"][run]["steps"][2]["start"].is_null());
    assert!(!view["runs"][run]["steps"][3]["start"].is_null());
    let from = fault["text_from"].as_u64().expect("a number") as usize;
    let units: Vec<u16> = text.encode_utf16().skip(from).take(7).collect();
    assert_eq!(String::from_utf16(&units).expect("text"), "dampper");
}

#[test]
fn what_hangs_on_a_run_that_is_not_there_is_left_out_and_the_rest_is_drawn() {
    let text = MODELS[0].replace(
        "from: east trunk at 8 ft left",
        "from: east trukn at 8 ft left",
    );
    let view = view(&text);
    let drawn = view["runs"]
        .as_array()
        .expect("a list")
        .iter()
        .filter(|run| run["drawn"] == true)
        .count();
    assert_eq!(drawn, built(MODELS[0]).runs.len() - 1);
}

#[test]
fn a_blank_sketch_shows_the_unit() {
    let text = ask(&json!({"ask": "blank", "title": "x", "units": "ip"}))["text"].clone();
    let view = view(text.as_str().expect("text"));
    assert_eq!(view["stands"], false);
    assert_eq!(count(&view["runs"]), 0);
    assert!(
        view["pieces"]
            .as_array()
            .expect("a list")
            .iter()
            .all(|p| p["run"].is_null())
    );
    assert!(count(&view["pieces"]) >= 3, "the unit");
    assert_eq!(view["faults"][0]["title"], "the sketch has no runs");
}

#[test]
fn texts_that_are_no_sketch_are_told() {
    for text in [
        "",
        "# only a comment\n",
        "a: [",
        "- 1\n- 2\n",
        "\u{feff}",
        "title: \u{1f600}\nruns: x\n",
    ] {
        let view = view(text);
        assert_eq!(view["stands"], false, "{text:?}");
        assert!(count(&view["faults"]) > 0, "{text:?}");
    }
}

#[test]
fn any_line_may_be_lost_or_torn() {
    let text = MODELS[0];
    let lines: Vec<&str> = text.lines().collect();
    for gone in 0..lines.len() {
        let mut rest = lines.clone();
        rest.remove(gone);
        let _ = view(&rest.join("\n"));
        let torn: String = lines[gone]
            .chars()
            .take(lines[gone].chars().count() / 2)
            .collect();
        let mut rest: Vec<&str> = lines.clone();
        rest[gone] = &torn;
        let _ = view(&rest.join("\n"));
    }
}

#[test]
fn answers_are_those_of_the_commands() {
    let text = MODELS[0];
    let reply = ask(
        &json!({"ask": "answers", "text": text, "draws": 500, "seed": 3, "time": "2 h", "next": true}),
    );
    assert_eq!(reply["ok"], true, "{reply}");
    let printed =
        ask(&json!({"ask": "print", "text": text, "what": "allocate", "draws": 500, "seed": 3}));
    let printed: Value =
        serde_json::from_str(printed["bytes"].as_str().expect("text")).expect("JSON");
    assert_eq!(reply["allocation"], printed);
    assert_eq!(printed["draws"], 500);
    assert!(count(&reply["plan"]["steps"]) > 0);
    assert!(!reply["next"].is_null());
}

#[test]
fn what_cannot_be_answered_is_refused_in_words() {
    for request in [
        json!(null),
        json!({"ask": "fly"}),
        json!({"ask": "look"}),
        json!({"ask": "answers", "text": "a: ["}),
        json!({"ask": "answers", "text": MODELS[0], "draws": 1}),
        json!({"ask": "answers", "text": MODELS[0], "time": "soon"}),
        json!({"ask": "print", "text": MODELS[0], "what": "money"}),
        json!({"ask": "blank", "title": "x", "units": "cubits"}),
    ] {
        let reply = ask(&request);
        assert_eq!(reply["ok"], false, "{request}");
        assert!(
            reply["refused"]["title"]
                .as_str()
                .is_some_and(|t| t.len() > 10),
            "{reply}"
        );
    }
}
