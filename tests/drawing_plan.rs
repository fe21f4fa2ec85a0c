//! The drawing of a plan: its steps, in their order, on the seams they are about.

#[path = "common/drawn.rs"]
mod drawn;

use drawn::{LAYERS, SVG, drawn as draw, known, models, texts};
use ductseam::drawing::{Layer, Sheet, View};
use ductseam::seal::Step;
use roxmltree::Document;

#[test]
fn every_step_of_a_plan_is_a_numbered_disc_on_its_seam_and_a_row() {
    let (_, text) = models()
        .into_iter()
        .find(|(name, _)| name == "bungalow")
        .expect("the model");
    let known = known(&text);
    let steps = &known.plan.steps;
    assert!(steps.len() > 5, "{} steps", steps.len());
    let drawing = draw(&known, &[Layer::Plan], View::Plan, Sheet::Fit);
    assert_eq!(drawing.left_out, 0);
    let document = Document::parse(&drawing.svg).expect("well-formed");
    let marks: Vec<_> = document
        .descendants()
        .filter(|n| n.has_tag_name((SVG, "g")) && n.attribute("data-seam").is_some())
        .collect();
    assert_eq!(marks.len(), steps.len());
    for (k, (mark, step)) in marks.iter().zip(steps).enumerate() {
        assert_eq!(
            mark.attribute("data-seam"),
            Some(step.seam.to_string().as_str()),
            "step {}",
            k + 1
        );
        let id = &known.system.seams[step.seam].id;
        let title = mark
            .first_element_child()
            .and_then(|n| n.text())
            .unwrap_or_default();
        assert!(title.starts_with(&format!("{}. {id}: ", k + 1)), "{title}");
        let number = mark
            .descendants()
            .find(|n| n.has_tag_name((SVG, "text")))
            .and_then(|n| n.text());
        assert_eq!(number, Some((k + 1).to_string().as_str()));
    }
    // The first step's row names its seam and says how.
    let words: Vec<String> = texts(&drawing.svg).into_iter().map(|t| t.words).collect();
    let first = &known.system.seams[steps[0].seam].id;
    let row = words
        .iter()
        .position(|w| w == first)
        .unwrap_or_else(|| panic!("no row of `{first}`: {words:?}"));
    let method = &known.system.crew.methods[steps[0].method].words;
    assert!(
        words[row - 4..row]
            .iter()
            .any(|w| method.starts_with(w.trim_end_matches('…'))),
        "{:?}: {method}",
        &words[row - 4..row]
    );
    // What is not in the plan is one quiet path.
    assert_eq!(drawing.svg.matches("class=\"quiet\"").count(), 1);
}

#[test]
fn a_stop_is_framed_whole_at_the_head_of_every_layer() {
    let (_, text) = models()
        .into_iter()
        .find(|(name, _)| name == "bungalow")
        .expect("the model");
    let mut known = known(&text);
    // Longer than two lines, with marks of code.
    let why = format!(
        "something burns here, and the leakage of the house is not stated (`floor area` or `envelope`): {} the end",
        "water heater in the utility room, ".repeat(12)
    );
    known.stop = Some(why.clone());
    let squeezed = |words: &str| words.split_whitespace().collect::<String>();
    for layer in LAYERS {
        let drawing = draw(&known, &[layer], View::Plan, Sheet::Fit);
        let document = Document::parse(&drawing.svg).expect("well-formed");
        let frame = document
            .descendants()
            .find(|n| n.has_tag_name((SVG, "g")) && n.attribute("class") == Some("stop"))
            .unwrap_or_else(|| panic!("{layer:?}: no stop"));
        assert!(frame.ancestors().all(|n| n.attribute("display").is_none()));
        assert!(frame.descendants().any(|n| n.has_tag_name((SVG, "path"))));
        let lines: Vec<_> = frame
            .descendants()
            .filter(|n| n.has_tag_name((SVG, "text")))
            .collect();
        let said: String = lines.iter().filter_map(|n| n.text()).collect();
        let meant = format!("STOP: S{}", &why[1..])
            .replacen('`', "‘", 1)
            .replacen('`', "’", 1)
            .replacen('`', "‘", 1)
            .replacen('`', "’", 1);
        assert_eq!(squeezed(&said), squeezed(&meant), "{layer:?}");
        // Nothing stands higher.
        let y = |n: &roxmltree::Node<'_, '_>| -> f64 {
            n.attribute("y").and_then(|y| y.parse().ok()).expect("y")
        };
        let foot = lines.iter().map(y).fold(0.0, f64::max);
        let highest = document
            .descendants()
            .filter(|n| n.has_tag_name((SVG, "text")) && !lines.contains(n))
            .map(|n| y(&n))
            .fold(f64::INFINITY, f64::min);
        assert!(foot < highest, "{layer:?}: {foot} {highest}");
        assert!(
            texts(&drawing.svg).iter().all(|t| !t.words.contains('`')),
            "{layer:?}: marks of code"
        );
    }
    let words = |known: &drawn::Known| -> String {
        let drawing = draw(known, &[Layer::Plan], View::Plan, Sheet::Fit);
        let all: Vec<String> = texts(&drawing.svg).into_iter().map(|t| t.words).collect();
        all.join(" ")
    };
    assert!(words(&known).contains("NOT BEFORE THE STOP IS CLEARED"));
    // Without a step there is no empty table but the reason.
    known.plan.steps.clear();
    let all = words(&known);
    assert!(all.contains("No steps before what stops the work"), "{all}");
    known.stop = None;
    let all = words(&known);
    assert!(all.contains("No steps: within what was asked"), "{all}");
    assert!(!all.contains("STOP"), "{all}");
    // A plan that was stopped says so even where nobody passed that on.
    known.plan.stopped = Some("old tape".to_owned());
    assert!(words(&known).contains("STOP: Old tape"));
}

#[test]
fn the_plans_foot_carries_the_cautions() {
    let known = known(&models()[0].1);
    let joined = |layer| {
        let drawing = draw(&known, &[layer], View::Plan, Sheet::Fit);
        let all: Vec<String> = texts(&drawing.svg).into_iter().map(|t| t.words).collect();
        all.join(" ")
    };
    let plan = joined(Layer::Plan);
    for caution in &known.cautions {
        assert!(plan.contains(caution), "no `{caution}`: {plan}");
    }
    assert!(!joined(Layer::Seams).contains(&known.cautions[0]));
}

#[test]
fn a_table_that_is_too_long_goes_on_in_free_columns() {
    let bungalow = models()
        .into_iter()
        .find(|(name, _)| name == "bungalow")
        .expect("the model");
    let mut all = known(&bungalow.1);
    // More steps than the column at the right holds, and few enough that there is room beside the ducts.
    let step = all.plan.steps[0].clone();
    let method = all.system.crew.methods[step.method].words.clone();
    all.plan.steps = (0..all.system.seams.len())
        .step_by(5)
        .map(|seam| step_of(&step, seam))
        .collect();
    let steps = all.plan.steps.len();
    assert_eq!(steps, 38);
    let drawing = draw(&all, &[Layer::Plan], View::Plan, Sheet::Letter);
    let found = texts(&drawing.svg);
    let column = drawing.width_mm - 7.0 - 60.0;
    // Rows are known by their method, as far as it is written out.
    let rows = |left: bool| {
        found
            .iter()
            .filter(|t| {
                let words = t.words.trim_end_matches('…').trim_end();
                words.len() > 5 && method.starts_with(words) && (t.x0 < column) == left
            })
            .count()
    };
    assert!(rows(false) > 20, "{} rows at the right", rows(false));
    assert!(rows(true) > 1, "{} rows elsewhere", rows(true));
    assert_eq!(rows(false) + rows(true), steps);
    let missing = found.iter().any(|t| t.words.ends_with(" found no room."));
    assert_eq!(missing, drawing.left_out > 0, "{}", drawing.left_out);
}

/// The same step on another seam.
fn step_of(step: &Step, seam: usize) -> Step {
    Step {
        seam,
        ..step.clone()
    }
}
