//! Texts of drawings: none on another, none off the sheet, none too small; every seam marked once.

#[path = "common/drawn.rs"]
mod drawn;

use std::collections::BTreeMap;

use drawn::{LAYERS, SVG, Text, VIEWS, drawn as draw, known, large_house, models, texts};
use ductseam::drawing::{Drawing, Layer, Sheet, View};
use roxmltree::Document;

/// Smallest letters, mm: what is read at arm's length (engineering estimate).
const LEAST_MM: f64 = 1.9;

fn overlaps(texts: &[Text]) -> Vec<(&Text, &Text)> {
    let mut found = Vec::new();
    for (k, one) in texts.iter().enumerate() {
        for other in &texts[k + 1..] {
            if one.overlaps(other) {
                found.push((one, other));
            }
        }
    }
    found
}

/// All laws of texts on one sheet.
fn is_legible(what: &str, drawing: &Drawing) {
    let found = texts(&drawing.svg);
    assert!(found.len() > 5, "{what}: {} texts", found.len());
    let on_another = overlaps(&found);
    assert!(
        on_another.is_empty(),
        "{what}: {} texts lie on one another: {:#?}",
        on_another.len(),
        on_another.first()
    );
    for text in &found {
        assert!(text.size >= LEAST_MM, "{what}: {text:?}");
        assert!(
            text.x0 >= 0.0
                && text.y0 >= 0.0
                && text.x1 <= drawing.width_mm + 0.02
                && text.y1 <= drawing.height_mm + 0.02,
            "{what}: off the sheet: {text:?}"
        );
        let asked = text
            .asked
            .unwrap_or_else(|| panic!("{what}: no `textLength`: {text:?}"));
        assert!(
            (asked - (text.x1 - text.x0)).abs() <= 0.02,
            "{what}: squeezed: {text:?}"
        );
    }
}

#[test]
fn the_check_itself_finds_what_it_looks_for() {
    let sheet = |second: &str| {
        format!(
            "<svg xmlns=\"{SVG}\"><g font-size=\"2.5\"><text x=\"10\" y=\"10\">kitchen</text>{second}</g></svg>"
        )
    };
    for (second, expected) in [
        // on its end; under its descenders; clear of it on the right and below; hidden
        ("<text x=\"17\" y=\"10\">bath</text>", 1),
        ("<text x=\"10\" y=\"11.5\">bath</text>", 1),
        ("<text x=\"21\" y=\"10\">bath</text>", 0),
        ("<text x=\"10\" y=\"13\">bath</text>", 0),
        ("<text x=\"10\" y=\"10\" display=\"none\">bath</text>", 0),
    ] {
        let found = texts(&sheet(second));
        assert_eq!(overlaps(&found).len(), expected, "{second}");
    }
}

#[test]
fn no_text_of_any_model_lies_on_another() {
    for (name, text) in models() {
        let known = known(&text);
        for layer in LAYERS {
            for view in VIEWS {
                let drawing = draw(&known, &[layer], view, Sheet::Fit);
                is_legible(&format!("{name} {layer:?} {view:?}"), &drawing);
            }
        }
    }
}

#[test]
fn every_seam_has_one_mark() {
    for (name, text) in models() {
        let known = known(&text);
        for view in VIEWS {
            let drawing = draw(&known, &[Layer::Seams], view, Sheet::Fit);
            let document = Document::parse(&drawing.svg).expect("well-formed");
            let mut marks: BTreeMap<usize, usize> = BTreeMap::new();
            for node in document.descendants().filter(|node| {
                node.has_tag_name((SVG, "g"))
                    && node
                        .attribute("class")
                        .is_some_and(|class| class.split(' ').any(|word| word == "seam"))
            }) {
                let seam = node.attribute("data-seam").expect("its seam");
                *marks.entry(seam.parse().expect("an index")).or_default() += 1;
                let title = node.first_element_child().expect("a title");
                assert!(title.has_tag_name((SVG, "title")), "{title:?}");
                assert!(!title.text().unwrap_or_default().is_empty());
                assert_eq!(node.attribute("aria-label"), None, "named twice");
            }
            let once: BTreeMap<usize, usize> =
                (0..known.system.seams.len()).map(|k| (k, 1)).collect();
            assert_eq!(marks, once, "{name} {view:?}");
        }
    }
}

/// The ordinary houses.
const HOUSES: [&str; 3] = ["bungalow", "slab-attic", "two-storey"];

/// Words without their spaces, so that a name may be broken over lines anywhere.
fn squeezed(words: &str) -> String {
    words.split_whitespace().collect()
}

#[test]
fn an_ordinary_house_is_named_whole_on_the_smaller_paper() {
    for (name, text) in models() {
        if !HOUSES.contains(&name.as_str()) {
            continue;
        }
        let known = known(&text);
        let layers = [
            Layer::Seams,
            Layer::Top,
            Layer::Plan,
            Layer::Running,
            Layer::Types,
        ];
        let drawing = draw(&known, &layers, View::Plan, Sheet::Fit);
        assert!(drawing.width_mm < 300.0, "{name}: {} mm", drawing.width_mm);
        assert_eq!(drawing.left_out, 0, "{name}");
        let drawing = draw(&known, &[Layer::Seams], View::Plan, Sheet::Fit);
        assert!(drawing.width_mm < 300.0, "{name}: {} mm", drawing.width_mm);
        let words: String = texts(&drawing.svg)
            .iter()
            .map(|t| squeezed(&t.words))
            .collect();
        for opening in &known.system.openings {
            let run = &known.system.runs[opening.run].id;
            assert!(
                words.contains(&squeezed(run)),
                "{name}: `{run}` has no name"
            );
        }
        let mut seams: Vec<_> = known.allocation.seams.iter().collect();
        seams.sort_by(|a, b| b.test_m3_s.mean.total_cmp(&a.test_m3_s.mean));
        for seam in &seams[..10] {
            // A seam in the enlarged view of the unit goes without the unit's name.
            let id = seam.id.strip_prefix("unit/").unwrap_or(&seam.id);
            let id = format!("{},", squeezed(id));
            assert!(words.contains(&id), "{name}: `{id}` has no name");
        }
    }
}

#[test]
fn sixty_outlets_are_legible_on_one_sheet() {
    let known = known(&large_house(60));
    for layer in [Layer::Ducts, Layer::Seams, Layer::Top] {
        let drawing = draw(&known, &[layer], View::Plan, Sheet::Fit);
        is_legible(&format!("sixty outlets, {layer:?}"), &drawing);
        // A3 or tabloid at the most, landscape
        assert!(drawing.width_mm > drawing.height_mm);
        assert!(drawing.width_mm <= 432.0 && drawing.height_mm <= 297.0);
    }
    // Every outlet is named where ducts alone are drawn.
    let drawing = draw(&known, &[Layer::Ducts], View::Plan, Sheet::Fit);
    let words: Vec<String> = texts(&drawing.svg).into_iter().map(|t| t.words).collect();
    for k in 1..=60 {
        let name = format!("room {k}");
        let is_named = words
            .iter()
            .any(|w| *w == name || w.starts_with(&format!("{name} ")));
        assert!(is_named, "`{name}` has no name on the sheet");
    }
    assert_eq!(drawing.left_out, 0);
}

#[test]
fn a_sheet_has_the_size_asked() {
    let known = known(&models()[0].1);
    for (sheet, width, height) in [
        (Sheet::A4, 297.0, 210.0),
        (Sheet::A3, 420.0, 297.0),
        (Sheet::Letter, 279.4, 215.9),
        (Sheet::Tabloid, 431.8, 279.4),
    ] {
        let drawing = draw(&known, &[Layer::Seams], View::Plan, sheet);
        assert!((drawing.width_mm - width).abs() < 0.05, "{sheet:?}");
        assert!((drawing.height_mm - height).abs() < 0.05, "{sheet:?}");
        is_legible(&format!("{sheet:?}"), &drawing);
    }
}
