//! Whole sheets: sound, legible, the same every time, and drawn of any system.

use roxmltree::{Document, Node};

use super::label::point_to_segment;
use super::scene::Scene;
use super::spots::Frame;
use super::{DrawAsk, DrawError, Drawing, DrawnFacts, Layer, Sheet, View, draw};
use crate::allocate::{AllocateSettings, Allocation, allocate};
use crate::catalog::Catalog;
use crate::quantity::UnitSystem;
use crate::system::{System, build};

const MODELS: [&str; 6] = [
    include_str!("../../models/bungalow.yaml"),
    include_str!("../../models/two-storey.yaml"),
    include_str!("../../models/slab-attic.yaml"),
    include_str!("../../models/shop.yaml"),
    include_str!("../../models/classroom-rig.yaml"),
    include_str!("../../models/loose-takeoff.yaml"),
];

const LAYERS: [Layer; 5] = [
    Layer::Seams,
    Layer::Ducts,
    Layer::Top,
    Layer::Running,
    Layer::Types,
];

fn system(text: &str) -> System {
    let sketch = crate::sketch::read(text, "model").expect("the models are sound");
    build(&sketch, text, "model", Catalog::builtin()).expect("the models are sound")
}

fn allocation(system: &System) -> Allocation {
    let settings = AllocateSettings {
        draws: 40,
        prior_draws: 20,
        ..AllocateSettings::default()
    };
    allocate(system, &settings).expect("the models can be allocated")
}

fn ask(layers: &[Layer], view: View) -> DrawAsk {
    DrawAsk {
        layers: layers.to_vec(),
        view,
        sheet: Sheet::Fit,
        units: UnitSystem::Ip,
        top: 20,
    }
}

fn drawn(system: &System, allocation: &Allocation, layers: &[Layer], view: View) -> Drawing {
    let facts = DrawnFacts {
        system,
        catalog: Catalog::builtin(),
        allocation: Some(allocation),
        plan: None,
        stop: None,
        cautions: &[],
    };
    draw(&facts, &ask(layers, view)).expect("everything that these layers need is there")
}

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name)
        .and_then(|x| x.parse().ok())
        .unwrap_or_else(|| panic!("a text without a number `{name}`"))
}

/// Words, and the box of their capitals.
fn texts(document: &Document<'_>) -> Vec<(String, [f64; 4])> {
    document
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .map(|n| {
            let words: String = n
                .children()
                .filter(|c| c.is_text())
                .filter_map(|c| c.text())
                .collect();
            let (x, y, size) = (number(n, "x"), number(n, "y"), number(n, "font-size"));
            assert!(size >= 1.9, "{words}: {size} mm");
            assert!(n.attribute("transform").is_none());
            (words, [x, y - 0.7 * size, x + number(n, "textLength"), y])
        })
        .collect()
}

fn check_texts(drawing: &Drawing, of: &str) {
    let document = Document::parse(&drawing.svg).unwrap_or_else(|e| panic!("{of}: {e}"));
    assert_eq!(
        document.root_element().attribute("class"),
        Some("plan-drawing")
    );
    let texts = texts(&document);
    for (i, (words, a)) in texts.iter().enumerate() {
        let inside =
            a[0] >= 0.0 && a[1] >= 0.0 && a[2] <= drawing.width_mm && a[3] <= drawing.height_mm;
        assert!(inside, "{of}: `{words}` leaves the sheet: {a:?}");
        for (other, b) in &texts[..i] {
            let apart = a[0] >= b[2] - 0.05
                || b[0] >= a[2] - 0.05
                || a[1] >= b[3] - 0.05
                || b[1] >= a[3] - 0.05;
            assert!(apart, "{of}: `{words}` {a:?} lies on `{other}` {b:?}");
        }
    }
}

#[test]
fn every_model_is_sound_and_no_text_lies_on_another() {
    for text in MODELS {
        let system = system(text);
        let allocation = allocation(&system);
        for view in [View::Plan, View::Isometric] {
            for layer in LAYERS {
                let drawing = drawn(&system, &allocation, &[layer], view);
                check_texts(
                    &drawing,
                    &format!("{} {} {view:?}", system.title, layer.word()),
                );
            }
        }
        let all = drawn(&system, &allocation, &LAYERS, View::Plan);
        assert!(
            all.svg.len() < 350_000,
            "{}: {} bytes",
            system.title,
            all.svg.len()
        );
        let document = Document::parse(&all.svg).expect("checked above");
        let layers: Vec<Node<'_, '_>> = document
            .descendants()
            .filter(|n| n.attribute("data-layer").is_some())
            .collect();
        let shown: Vec<bool> = layers
            .iter()
            .map(|n| n.attribute("display").is_none())
            .collect();
        assert_eq!(shown, [true, false, false, false, false]);
        // Every seam once in each layer that shows them all, in whatever order.
        for word in ["seams", "types"] {
            let mut seams: Vec<usize> = document
                .descendants()
                .filter(|n| {
                    n.attribute("id")
                        .is_some_and(|id| id.starts_with(&format!("{word}-s")))
                })
                .filter_map(|n| n.attribute("data-seam").and_then(|s| s.parse().ok()))
                .collect();
            seams.sort_unstable();
            assert_eq!(
                seams,
                (0..system.seams.len()).collect::<Vec<_>>(),
                "{} {word}",
                system.title
            );
        }
    }
}

#[test]
fn every_mark_is_on_its_duct_its_ladder_or_its_register() {
    for text in MODELS {
        let system = system(text);
        let facts = DrawnFacts {
            system: &system,
            catalog: Catalog::builtin(),
            allocation: None,
            plan: None,
            stop: None,
            cautions: &[],
        };
        for view in [View::Plan, View::Isometric] {
            let ask = ask(&[Layer::Ducts], view);
            let scene = Scene::new(&facts, &ask, None);
            for (seam, spot) in system.seams.iter().zip(&scene.spots.of) {
                let spot = spot.as_ref().expect("every seam has a mark");
                let Frame::Panel(panel) = spot.frame else {
                    assert!(
                        seam.run == "unit" || seam.role == crate::system::SeamRole::Unsketched,
                        "{}",
                        seam.id
                    );
                    continue;
                };
                if spot.outline.is_some() {
                    continue;
                }
                let run = system.runs.iter().position(|r| r.id == seam.run);
                let on_duct = scene
                    .lines
                    .ducts
                    .iter()
                    .filter(|d| d.panel == panel && Some(d.run) == run)
                    .any(|d| {
                        d.points
                            .windows(2)
                            .any(|w| point_to_segment(spot.at, [w[0], w[1]]) < d.half + 1.2)
                    });
                let on_ladder =
                    scene.spots.ladders.iter().any(|l| {
                        l.panel == panel && point_to_segment(spot.at, [l.from, l.to]) < 1.5
                    });
                assert!(
                    on_duct || on_ladder,
                    "{} {view:?} at {:?}",
                    seam.id,
                    spot.at
                );
            }
        }
    }
}

#[test]
fn the_same_system_is_drawn_with_the_same_bytes() {
    let system = system(MODELS[1]);
    let allocation = allocation(&system);
    let first = drawn(&system, &allocation, &LAYERS, View::Plan);
    assert_eq!(first, drawn(&system, &allocation, &LAYERS, View::Plan));
}

#[test]
fn hostile_names_and_places_are_drawn_too() {
    let mut sound = system(MODELS[0]);
    let mut allocation = allocation(&sound);
    for (seam, same) in allocation.seams.iter_mut().zip(&mut sound.seams) {
        seam.id
            .push_str("<&\"'> and a name that goes on and on and on and on and on");
        same.id.clone_from(&seam.id);
    }
    type Change = fn(&mut System);
    let changes: [(&str, Change); 5] = [
        ("at one point", |s| {
            for j in s.graph.node_weights_mut() {
                j.position_m = [0.0; 3];
            }
        }),
        ("kilometres", |s| {
            for j in s.graph.node_weights_mut() {
                j.position_m = j.position_m.map(|x| x * 3000.0);
            }
        }),
        ("not finite", |s| {
            for j in s.graph.node_weights_mut() {
                j.position_m[0] = f64::NAN;
                j.position_m[2] = f64::INFINITY;
            }
        }),
        ("spiral stairs", |s| {
            for (i, j) in s.graph.node_weights_mut().enumerate() {
                j.position_m[2] = 3.0 * i as f64;
            }
        }),
        ("names", |s| {
            s.title = "<&\"'> ".repeat(80);
            for run in &mut s.runs {
                run.room = Some("r<&\"'>".repeat(40));
            }
            for place in &mut s.places {
                place.name = "p<&\"'>".repeat(40);
            }
        }),
    ];
    for (name, change) in changes {
        let mut system = sound.clone();
        change(&mut system);
        for view in [View::Plan, View::Isometric] {
            let drawing = drawn(&system, &allocation, &LAYERS, view);
            check_document(&drawing, name);
        }
    }
}

fn check_document(drawing: &Drawing, of: &str) {
    Document::parse(&drawing.svg).unwrap_or_else(|e| panic!("{of}: {e}"));
    for wrong in ["NaN", "inf "] {
        assert!(!drawing.svg.contains(wrong), "{of}: {wrong}");
    }
}

#[test]
fn no_seams_and_three_thousand_are_drawn() {
    let sound = system(MODELS[0]);
    let full = allocation(&sound);
    for n in [0, 3000] {
        let (mut system, mut allocation) = (sound.clone(), full.clone());
        system.seams = sound.seams.iter().cycle().take(n).cloned().collect();
        allocation.seams = full.seams.iter().cycle().take(n).cloned().collect();
        let drawing = drawn(
            &system,
            &allocation,
            &[Layer::Seams, Layer::Top, Layer::Types],
            View::Plan,
        );
        check_document(&drawing, &format!("{n} seams"));
        assert_eq!(drawing.svg.matches("id=\"seams-s").count(), n);
    }
}

#[test]
fn a_layer_without_its_facts_is_refused() {
    let system = system(MODELS[4]);
    let facts = DrawnFacts {
        system: &system,
        catalog: Catalog::builtin(),
        allocation: None,
        plan: None,
        stop: None,
        cautions: &[],
    };
    for layer in [Layer::Seams, Layer::Top, Layer::Types, Layer::Plan] {
        let found = draw(&facts, &ask(&[layer], View::Plan));
        assert!(
            matches!(found, Err(DrawError::Missing { layer: word, .. }) if word == layer.word())
        );
    }
    assert!(draw(&facts, &ask(&[], View::Plan)).is_ok());
    let mut other = allocation(&system);
    other.seams.pop();
    let facts = DrawnFacts {
        allocation: Some(&other),
        ..facts
    };
    assert!(draw(&facts, &ask(&[Layer::Seams], View::Plan)).is_err());
}

#[test]
fn running_seams_leak_together_what_was_allocated() {
    let system = system(MODELS[0]);
    let allocation = allocation(&system);
    let (ln_q25, n) = crate::seal::mean_laws(&allocation);
    assert_eq!(n.len(), system.seams.len());
    let laws: f64 = ln_q25.iter().map(|ln| ln.exp()).sum();
    let found: f64 = allocation.seams.iter().map(|s| s.q25_m3_s.mean).sum();
    assert!(
        found > 0.0 && (laws / found - 1.0).abs() < 1e-6,
        "{laws} {found}"
    );
}

#[test]
fn an_allocation_of_another_system_with_as_many_seams_is_refused() {
    let system = system(MODELS[4]);
    let mut other = allocation(&system);
    other.seams[0].id = "elsewhere/seam".into();
    let facts = DrawnFacts {
        system: &system,
        catalog: Catalog::builtin(),
        allocation: Some(&other),
        plan: None,
        stop: None,
        cautions: &[],
    };
    let found = draw(&facts, &ask(&[Layer::Seams], View::Plan));
    assert!(
        matches!(&found, Err(DrawError::Missing { needs, .. }) if needs.contains("very system")),
        "{found:?}"
    );
}

/// Runs that join one another, an intake, a damper, seven places, a duct that slants from one level to the next: invented.
const ODD: &str = "
ductseam: 1
title: a house of odd ducts (invented)
places:
  p one: {like: buffer}
  p two: {like: buffer}
  p three: {like: buffer}
  p four: {like: buffer}
  p five: {like: buffer}
  p six: {like: buffer}
  p seven: {like: buffer}
air handler: {place: p one}
runs:
  - {id: S, side: supply, from: supply plenum, size: 14x8 in, place: p one, walk: [north 24 ft, cap]}
  - {id: far, from: S at 20 ft right, size: 6 in, place: p two, walk: [tab collar, 12 ft, boot 10x4 in]}
  - {id: loop, from: S at 8 ft right, size: 6 in, place: p three, walk: [tab collar, 10 ft, elbow north, 9 ft, joins far at 8 ft]}
  - {id: near, from: S at 6 ft left, size: 6 in, place: p four, walk: [tab collar, 8 ft, damper 45 deg, boot 10x4 in]}
  - {id: last, from: S at 14 ft left, size: 6 in, place: p five, walk: [tab collar, 8 ft, boot 10x4 in]}
  - {id: R, side: return, from: return plenum, size: 14x10 in, place: p six, walk: [south 10 ft, return box 14x10 in]}
  - {id: fresh, from: R at 4 ft left, size: 6 in, place: p seven, walk: [tab collar, 9 ft, outdoor air intake 6 in]}
readings:
  - {id: first, total: 120 cfm at 25 Pa ± 3 %}
";

#[test]
fn what_no_model_holds_is_drawn_and_stands_in_the_key() {
    let system = system(ODD);
    let allocation = allocation(&system);
    for view in [View::Plan, View::Isometric] {
        for layer in [Layer::Seams, Layer::Top, Layer::Types] {
            let drawing = drawn(&system, &allocation, &[layer], view);
            check_texts(&drawing, &format!("odd {} {view:?}", layer.word()));
            let document = Document::parse(&drawing.svg).expect("checked above");
            let all: Vec<String> = texts(&document).into_iter().map(|t| t.0).collect();
            let key = [
                "supply duct",
                "return duct",
                "supply register",
                "return grille",
                "opening to outdoors",
                "capped end",
                "damper",
                "p seven",
            ];
            for words in key {
                assert!(all.iter().any(|w| w == words), "{view:?}: {words}: {all:?}");
            }
        }
    }
    // Seven grounds, all different in colour or figure.
    let drawing = drawn(&system, &allocation, &[Layer::Ducts], View::Plan);
    let document = Document::parse(&drawing.svg).expect("sound");
    let grounds: std::collections::BTreeSet<String> = document
        .descendants()
        .filter(|n| {
            n.attribute("id")
                .is_some_and(|id| id.starts_with("pd-place"))
        })
        .map(|n| {
            n.children()
                .filter(Node::is_element)
                .flat_map(|c| c.attributes())
                .map(|a| a.value().to_owned())
                .collect()
        })
        .collect();
    assert_eq!(grounds.len(), 7, "{grounds:?}");
    // Nothing of that in the key of a house without it.
    let plain = super::tests::system(MODELS[0]);
    let drawing = drawn(
        &plain,
        &super::tests::allocation(&plain),
        &[Layer::Ducts],
        View::Plan,
    );
    assert!(!drawing.svg.contains("opening to outdoors"));
}
