//! Drawings of sketches, and the boxes of their texts by a measure of the test's own.

#![allow(dead_code)] // every test takes what it needs

use ductseam::allocate::{AllocateSettings, Allocation, posterior};
use ductseam::catalog::Catalog;
use ductseam::drawing::{DrawAsk, Drawing, DrawnFacts, Layer, Sheet, View, draw};
use ductseam::seal::{Left, Plan, PlanAsk, plan};
use ductseam::system::System;
use ductseam::{sketch, system};
use roxmltree::{Document, Node};
use ttf_parser::Face;

pub const LAYERS: [Layer; 6] = [
    Layer::Ducts,
    Layer::Seams,
    Layer::Top,
    Layer::Plan,
    Layer::Running,
    Layer::Types,
];
pub const VIEWS: [View; 2] = [View::Plan, View::Isometric];

/// A sketch with all that can be drawn of it.
pub struct Known {
    pub system: System,
    pub allocation: Allocation,
    pub plan: Plan,
    /// What forbids the work, for the head of the sheet.
    pub stop: Option<String>,
    /// Cautions for the foot of the plan.
    pub cautions: Vec<String>,
}

/// Every model of the repository, by name.
pub fn models() -> Vec<(String, String)> {
    let folder = format!("{}/models", env!("CARGO_MANIFEST_DIR"));
    let mut found: Vec<(String, String)> = std::fs::read_dir(folder)
        .expect("the models")
        .map(|entry| entry.expect("a file").path())
        .filter(|path| path.extension().is_some_and(|e| e == "yaml"))
        .map(|path| {
            let name = path.file_stem().expect("a name").to_string_lossy();
            let text = std::fs::read_to_string(&path).expect("text");
            (name.into_owned(), text)
        })
        .collect();
    found.sort();
    assert!(found.len() >= 6, "{} models", found.len());
    found
}

pub fn known(text: &str) -> Known {
    let read = sketch::read(text, "drawn.yaml")
        .map_err(|found| found.render(false))
        .expect("a sound sketch");
    let system = system::build(&read, text, "drawn.yaml", Catalog::builtin())
        .map_err(|found| found.render(false))
        .expect("a sound sketch");
    let settings = AllocateSettings {
        draws: 500,
        ..AllocateSettings::default()
    };
    let draws = posterior(&system, &settings).expect("allocated");
    let left = Left::new(&system, &draws, 1).expect("its own draws");
    let ask = PlanAsk {
        minutes: Some(240.0),
        frontier: 0,
        ..PlanAsk::default()
    };
    let plan = plan(&left, &ask).expect("planned");
    Known {
        allocation: plan.allocation.clone(),
        system,
        plan,
        stop: None,
        cautions: vec![
            "Burners off during a test; draft is tested by a qualified person.".to_owned(),
            "Switch the unit off and lock it out.".to_owned(),
            "Local codes decide.".to_owned(),
        ],
    }
}

pub fn drawn(known: &Known, layers: &[Layer], view: View, sheet: Sheet) -> Drawing {
    let facts = DrawnFacts {
        system: &known.system,
        catalog: Catalog::builtin(),
        allocation: Some(&known.allocation),
        plan: Some(&known.plan),
        stop: known.stop.as_deref(),
        cautions: &known.cautions,
    };
    let ask = DrawAsk {
        layers: layers.to_vec(),
        view,
        sheet,
        units: known.system.units,
        top: 10,
    };
    draw(&facts, &ask).expect("a drawing")
}

/// A text where it stands on the sheet, mm.
#[derive(Debug, Clone)]
pub struct Text {
    pub words: String,
    pub size: f64,
    pub x0: f64,
    pub y0: f64,
    pub x1: f64,
    pub y1: f64,
    /// Width that the drawing asks for.
    pub asked: Option<f64>,
}

impl Text {
    /// Whether both hold a common piece of the sheet; coordinates are written to a hundredth of a millimetre.
    pub fn overlaps(&self, other: &Text) -> bool {
        const ROUNDED_MM: f64 = 0.02;
        self.x0 + ROUNDED_MM < other.x1
            && other.x0 + ROUNDED_MM < self.x1
            && self.y0 + ROUNDED_MM < other.y1
            && other.y0 + ROUNDED_MM < self.y1
    }
}

/// Every text that is seen, in the order of the file.
pub fn texts(svg: &str) -> Vec<Text> {
    let document = Document::parse(svg).expect("well-formed");
    let regular = Face::parse(notosans::REGULAR_TTF, 0).expect("a font");
    let bold = Face::parse(notosans::BOLD_TTF, 0).expect("a font");
    document
        .descendants()
        .filter(|node| node.has_tag_name((SVG, "text")) && is_seen(*node))
        .map(|node| {
            assert!(
                node.ancestors().all(|n| n.attribute("transform").is_none()),
                "a text is moved or turned: {node:?}"
            );
            assert!(
                !node.descendants().any(|n| n.has_tag_name((SVG, "tspan"))),
                "a text in parts: {node:?}"
            );
            let face = if inherited(node, "font-weight") == Some("bold") {
                &bold
            } else {
                &regular
            };
            text(node, face)
        })
        .collect()
}

pub const SVG: &str = "http://www.w3.org/2000/svg";

fn text(node: Node<'_, '_>, face: &Face<'_>) -> Text {
    let number = |name: &str| -> f64 {
        inherited(node, name)
            .unwrap_or_else(|| panic!("`{name}` of {node:?}"))
            .parse()
            .expect("a number")
    };
    let anchor = inherited(node, "text-anchor");
    assert!(anchor.is_none_or(|anchor| anchor == "start"), "{node:?}");
    let words: String = node
        .children()
        .filter(Node::is_text)
        .filter_map(|part| part.text())
        .collect();
    assert!(!words.trim().is_empty(), "a text without words");
    let (x, y, size) = (number("x"), number("y"), number("font-size"));
    let em = size / f64::from(face.units_per_em());
    let (mut width, mut top, mut bottom) = (0.0, 0.0_f64, 0.0_f64);
    for letter in words.chars() {
        // Ideographs and the like, which this font lacks, stand in a square of one em.
        let Some(glyph) = face.glyph_index(letter) else {
            width += size;
            continue;
        };
        width += em * f64::from(face.glyph_hor_advance(glyph).expect("an advance"));
        if let Some(ink) = face.glyph_bounding_box(glyph) {
            top = top.max(em * f64::from(ink.y_max));
            bottom = bottom.max(-em * f64::from(ink.y_min));
        }
    }
    let asked = node
        .attribute("textLength")
        .map(|length| length.parse().expect("a number"));
    Text {
        words,
        size,
        x0: x,
        y0: y - top,
        x1: x + width,
        y1: y + bottom,
        asked,
    }
}

fn is_seen(node: Node<'_, '_>) -> bool {
    node.ancestors().all(|n| {
        n.attribute("display") != Some("none")
            && n.attribute("visibility") != Some("hidden")
            && !n.has_tag_name((SVG, "defs"))
    })
}

fn inherited<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    node.ancestors().find_map(|n| n.attribute(name))
}

/// A house with this many supply outlets and a return for every ten of them, all invented.
pub fn large_house(outlets: usize) -> String {
    let each_side = outlets.div_ceil(2);
    let mut text = format!(
        "ductseam: 1\ntitle: a hall with {outlets} outlets (invented)\nair handler: {{place: attic}}\nruns:\n  - {{id: S, side: \
         supply, from: supply plenum, size: 30x14 in, place: attic, walk: [east {} ft, cap]}}\n",
        4 * each_side + 6
    );
    for k in 0..outlets {
        let (at, side) = (4 * (k / 2) + 4, ["left", "right"][k % 2]);
        // Two lengths by turns, as rooms lie in two rows.
        let length = [8, 15][(k / 2) % 2];
        text += &format!(
            "  - {{id: room {}, from: S at {at} ft {side}, size: 6 in, place: attic, walk: [tab collar, {length} ft, boot 10x4 \
             in]}}\n",
            k + 1
        );
    }
    text += "  - {id: R, side: return, from: return plenum, size: 30x16 in, place: attic, walk: [west 40 ft, cap]}\n";
    for k in 0..outlets / 10 {
        text += &format!(
            "  - {{id: return {}, from: R at {} ft {}, size: 14x8 in, place: attic, walk: [side tap, 6 ft, return box 24x8 \
             in]}}\n",
            k + 1,
            6 * k + 4,
            ["left", "right"][k % 2]
        );
    }
    text + "readings:\n  - {id: first, total: 400 cfm at 25 Pa ± 3 %}\n"
}
