//! The drawing with the choice of its layer.

use maud::{Markup, html};

use super::House;
use super::page::Part;
use super::parts::{ours, said};
use crate::drawing::Layer;
use crate::report::figures::number;
use crate::report::words::counted;

/// What a layer is called in the choice.
fn label(layer: Layer) -> &'static str {
    match layer {
        Layer::Ducts => "ducts alone",
        Layer::Seams => "every seam by its leakage",
        Layer::Top => "the leakiest seams",
        Layer::Plan => "the plan's steps",
        Layer::Running => "pressure while running",
        Layer::Types => "joint types",
    }
}

pub fn section(house: &House<'_>) -> Option<Part> {
    let drawing = house.drawing;
    if drawing.svg.is_empty() {
        return None;
    }
    let has = |layer| drawing.layers.contains(&layer);
    // What is printed for each reader, whatever is chosen on the screen.
    let printed = [
        (Layer::Top, "owner-top"),
        (Layer::Plan, "crew-plan"),
        (Layer::Seams, "all-seams"),
    ];
    let classes: Vec<&str> = std::iter::once("sheet")
        .chain(
            printed
                .into_iter()
                .filter(|(layer, _)| has(*layer))
                .map(|(_, class)| class),
        )
        .collect();
    let width = format!("--w:{}", number(drawing.width_mm, 1));
    let body = html! {
        (choice(&drawing.layers))
        (zoom())
        div class=(classes.join(" ")) style=(width) role="region" aria-label="Drawing of the ducts, scrolls inside itself" tabindex="0" {
            (ours(&drawing.svg))
        }
        p.note {
            "The ducts as they were sketched, seen from above. A mark stands where the sketch puts its joint: a place to look at, not a finding. "
            @if has(Layer::Seams) && !house.allocation.seams.is_empty() {
                span.screen {
                    "Point at a mark, or reach it with the tab and arrow keys, to light its row in the table of seams; a click or Enter goes there, Escape lets go. A click on a row brings its mark into the frame. "
                }
            }
            @if drawing.left_out > 0 {
                (counted(drawing.left_out, "name", "names")) " found no room on the sheet; the table of seams has them all."
            }
        }
    };
    Some(Part::new("drawing", "Drawing", &body))
}

/// Sizes of the drawing in its frame: word, and what is said.
const SIZES: [(&str, &str); 4] = [
    ("fit", "whole sheet"),
    ("150", "150 %"),
    ("200", "200 %"),
    ("300", "300 %"),
];

/// How large the sheet is shown; the style alone does it. On a narrow screen the first size is one whose letters can be
/// read, and the whole sheet is offered apart.
fn zoom() -> Markup {
    html! {
        fieldset.layers.zoom {
            legend { "Size" }
            @for (word, label) in SIZES {
                label {
                    input type="radio" name="zoom" value=(word) checked[word == "fit"];
                    @if word == "fit" { span.broad { (label) } span.narrow { "to read" } } @else { span { (said(label)) } }
                }
            }
            label.narrow { input type="radio" name="zoom" value="whole"; span { "whole sheet" } }
        }
    }
}

/// One layer at a time; none is offered where there is but one.
fn choice(layers: &[Layer]) -> Markup {
    html! {
        @if layers.len() > 1 {
            fieldset.layers {
                legend { "Show" }
                @for (k, layer) in layers.iter().enumerate() {
                    @let (word, label) = (layer.word(), label(*layer));
                    label {
                        input type="radio" name="layer" value=(word) checked[k == 0];
                        " " (label)
                    }
                }
            }
        }
    }
}
