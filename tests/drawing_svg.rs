//! Drawings as SVG files: well-formed, read whole by an SVG library of its own, the same every time.

#[path = "common/drawn.rs"]
mod drawn;

use std::collections::BTreeSet;
use std::process::Command;
use std::sync::Arc;

use drawn::{LAYERS, SVG, VIEWS, drawn as draw, known, models, texts};
use ductseam::drawing::{Layer, Sheet, View};
use roxmltree::Document;
use usvg::fontdb;

fn read(svg: &str) -> usvg::Tree {
    let mut fonts = fontdb::Database::new();
    for bytes in [notosans::REGULAR_TTF, notosans::BOLD_TTF] {
        fonts.load_font_data(bytes.to_vec());
    }
    let options = usvg::Options {
        fontdb: Arc::new(fonts),
        ..usvg::Options::default()
    };
    usvg::Tree::from_str(svg, &options).expect("an SVG library reads it")
}

/// Words that the library shows, and how many paths it paints.
fn shown(group: &usvg::Group, words: &mut Vec<String>, paths: &mut usize) {
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => shown(group, words, paths),
            usvg::Node::Path(_) => *paths += 1,
            usvg::Node::Text(text) => words.push(
                text.chunks()
                    .iter()
                    .map(|chunk| chunk.text().to_owned())
                    .collect(),
            ),
            usvg::Node::Image(_) => panic!("a drawing holds no picture"),
        }
    }
}

#[test]
fn an_svg_library_reads_every_drawing_whole() {
    let (name, text) = &models()[0];
    let known = known(text);
    for layer in LAYERS {
        for view in VIEWS {
            let drawing = draw(&known, &[layer], view, Sheet::Fit);
            let tree = read(&drawing.svg);
            // 96 pixels to the inch, as CSS has it
            let per_mm = 96.0 / 25.4;
            assert!((f64::from(tree.size().width()) / per_mm - drawing.width_mm).abs() < 0.05);
            assert!((f64::from(tree.size().height()) / per_mm - drawing.height_mm).abs() < 0.05);
            let (mut words, mut paths) = (Vec::new(), 0);
            shown(tree.root(), &mut words, &mut paths);
            let sorted = |mut words: Vec<String>| {
                for line in &mut words {
                    *line = line.split_whitespace().collect::<Vec<_>>().join(" ");
                }
                words.sort();
                words
            };
            let ours: Vec<String> = texts(&drawing.svg).into_iter().map(|t| t.words).collect();
            assert_eq!(sorted(words), sorted(ours), "{name} {layer:?} {view:?}");
            assert!(paths > 20, "{name} {layer:?} {view:?}: {paths} paths");
        }
    }
}

#[test]
fn ids_are_one_of_a_kind_and_what_is_referred_to_is_there() {
    for (name, text) in models() {
        let drawing = draw(&known(&text), &LAYERS, View::Plan, Sheet::Fit);
        let document = Document::parse(&drawing.svg).expect("well-formed");
        let mut ids = BTreeSet::new();
        for node in document.descendants() {
            if let Some(id) = node.attribute("id") {
                assert!(ids.insert(id), "{name}: `{id}` twice");
            }
        }
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        assert_eq!(root.attribute("class"), Some("plan-drawing"));
        for id in root
            .attribute("aria-labelledby")
            .expect("a name")
            .split(' ')
        {
            assert!(ids.contains(id), "{name}: `{id}` is not there");
        }
        for node in document.descendants() {
            for attribute in node.attributes() {
                let value = attribute.value();
                if let Some((_, rest)) = value.split_once("url(#") {
                    let id = rest.split(')').next().expect("closed");
                    assert!(ids.contains(id), "{name}: `{id}` is not there");
                }
                assert!(
                    !value.contains("http") && !value.contains("javascript"),
                    "{name}: refers to the outside: {value}"
                );
            }
        }
        // One layer is seen, the others wait.
        let layers: Vec<_> = document
            .descendants()
            .filter(|node| node.has_tag_name((SVG, "g")) && node.attribute("data-layer").is_some())
            .collect();
        let waiting = layers
            .iter()
            .filter(|node| node.attribute("display") == Some("none"))
            .count();
        assert_eq!(layers.len(), waiting + 1, "{name}");
        assert_eq!(layers.len(), drawing.layers.len(), "{name}");
        assert!(
            drawing.svg.len() < 350_000,
            "{name}: {} bytes with all layers",
            drawing.svg.len()
        );
    }
}

#[test]
fn a_report_can_carry_its_drawing() {
    for (name, text) in models() {
        let layers: Vec<Layer> = LAYERS.into_iter().filter(|l| *l != Layer::Ducts).collect();
        let drawing = draw(&known(&text), &layers, View::Plan, Sheet::Fit);
        let bytes = drawing.svg.len();
        if name == "two-storey" {
            assert!(bytes < 210_000, "{name}: {bytes} bytes");
        }
        assert!(!drawing.svg.contains("class=\"hit\""), "{name}");
        assert!(!drawing.svg.contains("aria-label="), "{name}");
    }
}

#[test]
fn names_with_signs_of_the_language_survive() {
    let text = "
ductseam: 1
title: 'A & B <house> \"two\" it''s (invented)'
air handler: {place: attic}
runs:
  - {id: S, side: supply, from: supply plenum, size: 12x8 in, place: attic, walk: [north 16 ft, cap]}
  - {id: kitchen, from: S at 6 ft left, size: 6 in, place: attic, walk: [tab collar, 5 ft, boot 10x4 in]}
readings:
  - {id: first, total: 60 cfm at 25 Pa ± 3 %}
";
    let mut known = known(text);
    // A sketch refuses such a name; a system made otherwise may hold it.
    for run in known
        .system
        .runs
        .iter_mut()
        .filter(|run| run.id == "kitchen")
    {
        run.id = "a\"b's <r&m>".to_owned();
    }
    for layer in LAYERS {
        let drawing = draw(&known, &[layer], View::Plan, Sheet::Fit);
        let document = Document::parse(&drawing.svg).expect("well-formed");
        let all: String = document
            .descendants()
            .filter_map(|node| node.text())
            .collect::<Vec<_>>()
            .join("\n");
        assert!(
            all.contains("A & B <house> \"two\" it's"),
            "{layer:?}: {all}"
        );
        assert!(all.contains("a\"b's <r&m>"), "{layer:?}: {all}");
    }
}

#[test]
fn a_drawing_is_the_same_bytes_on_any_number_of_threads() {
    let draw = |threads: Option<&str>| {
        let mut program = Command::new(env!("CARGO_BIN_EXE_ductseam"));
        program.current_dir(env!("CARGO_MANIFEST_DIR")).args([
            "draw",
            "models/two-storey.yaml",
            "--draws",
            "500",
        ]);
        if let Some(threads) = threads {
            program.env("RAYON_NUM_THREADS", threads);
        }
        program.output().expect("the program starts").stdout
    };
    let first = draw(None);
    assert!(first.len() > 10_000);
    assert!(first == draw(None), "differs on a second run");
    assert!(first == draw(Some("1")), "differs on one thread");
    assert!(first == draw(Some("3")), "differs on three threads");
}

#[test]
fn layers_that_lack_their_facts_are_refused() {
    use ductseam::catalog::Catalog;
    use ductseam::drawing::{DrawAsk, DrawError, DrawnFacts, draw};
    let known = known(&models()[0].1);
    for layer in [Layer::Seams, Layer::Top, Layer::Plan, Layer::Types] {
        let facts = DrawnFacts {
            system: &known.system,
            catalog: Catalog::builtin(),
            allocation: None,
            plan: None,
            stop: None,
            cautions: &[],
        };
        let ask = DrawAsk {
            layers: vec![layer],
            view: View::Plan,
            sheet: Sheet::Fit,
            units: known.system.units,
            top: 10,
        };
        assert!(
            matches!(draw(&facts, &ask), Err(DrawError::Missing { .. })),
            "{layer:?}"
        );
    }
}

/// Words of each layer's marks, and their class.
fn titles(document: &Document<'_>) -> Vec<(usize, String, String)> {
    document
        .descendants()
        .filter(|n| n.has_tag_name((SVG, "g")) && n.attribute("data-seam").is_some())
        .map(|n| {
            let seam = n.attribute("data-seam").expect("asked above");
            let words = n.first_element_child().and_then(|t| t.text());
            (
                seam.parse().expect("an index"),
                words.unwrap_or_default().to_owned(),
                n.attribute("class").unwrap_or_default().to_owned(),
            )
        })
        .collect()
}

#[test]
fn a_mark_says_what_the_allocation_found_and_more_is_wider_and_darker() {
    let known = known(&models()[0].1);
    let drawing = draw(&known, &[Layer::Seams], View::Plan, Sheet::Fit);
    let document = Document::parse(&drawing.svg).expect("well-formed");
    let marks = titles(&document);
    assert_eq!(marks.len(), known.system.seams.len());
    let mut steps = Vec::new();
    for (seam, words, class) in marks {
        let found = &known.allocation.seams[seam];
        // ft3/min: 0.3048^3/60 m3/s.
        let mean = found.test_m3_s.mean / (0.3048_f64.powi(3) / 60.0);
        let rest = words
            .strip_prefix(&format!("{}: ", found.id))
            .unwrap_or_else(|| panic!("{words}: not `{}`", found.id));
        let said: f64 = rest
            .split(' ')
            .next()
            .and_then(|n| n.parse().ok())
            .unwrap_or_else(|| panic!("no figure: {words}"));
        // Two decimals below 1, one below 100, none above.
        let rounded = if mean < 0.995 { 0.005 } else { 0.05 };
        assert!(
            (said - mean).abs() < rounded + 0.5 * f64::from(mean > 99.9),
            "{words}: {mean}"
        );
        assert!(rest.contains(" cfm, ") && rest.ends_with(" %"), "{words}");
        let share: f64 = rest
            .rsplit(", ")
            .next()
            .and_then(|p| p.trim_end_matches(" %").parse().ok())
            .unwrap_or_else(|| panic!("no part: {words}"));
        assert!((share - 100.0 * found.share).abs() < 0.51, "{words}");
        let step: u32 = class
            .split(" k")
            .nth(1)
            .and_then(|k| k.parse().ok())
            .unwrap_or_else(|| panic!("no step: {class}"));
        steps.push((mean, step, words));
    }
    // Where the mean falls, the step never rises.
    steps.sort_by(|a, b| b.0.total_cmp(&a.0));
    for pair in steps.windows(2) {
        assert!(pair[1].1 <= pair[0].1, "{}, {}", pair[0].2, pair[1].2);
    }
    assert!(steps[0].1 > steps[steps.len() - 1].1, "one step for all");
}

#[test]
fn supply_stands_above_and_return_below_outdoors() {
    let (name, text) = models()
        .into_iter()
        .find(|(name, _)| name == "bungalow")
        .expect("the model");
    let drawing = draw(&known(&text), &[Layer::Running], View::Plan, Sheet::Fit);
    let document = Document::parse(&drawing.svg).expect("well-formed");
    let layer = document
        .descendants()
        .find(|n| n.attribute("data-layer") == Some("running"))
        .expect("the layer");
    let pressures: Vec<f64> = layer
        .descendants()
        .filter(|n| n.has_tag_name((SVG, "text")))
        .filter_map(|n| n.text())
        .filter_map(|words| words.strip_suffix(" Pa"))
        .filter_map(|words| words.replace('−', "-").parse().ok())
        .collect();
    let most = pressures.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least = pressures.iter().copied().fold(f64::INFINITY, f64::min);
    assert!(most > 1.0 && least < -1.0, "{name}: {pressures:?}");
    // What is dashed is below outdoors.
    let dashed = |n: &roxmltree::Node<'_, '_>| n.attribute("stroke-dasharray").is_some();
    let pieces: Vec<_> = layer
        .descendants()
        .filter(|n| {
            n.attribute("class")
                .is_some_and(|c| c.starts_with("pressure"))
        })
        .collect();
    assert!(pieces.iter().any(dashed) && !pieces.iter().all(dashed));
    for piece in &pieces {
        let below = piece
            .attribute("class")
            .is_some_and(|c| c.ends_with(" below"));
        assert_eq!(below, dashed(piece));
    }
}
