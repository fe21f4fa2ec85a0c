//! What all layers have in common.

use super::ask::Layer;
use super::label::Rect;
use super::legend::Column;
use super::palette as ink;
use super::scene::Scene;
use super::spots::{Frame, Spot};
use super::svg::{Line, Svg, shortened, tenth, wrapped};
use super::symbols::reach_glyph;
use crate::system::Reach;

impl Layer {
    /// Stable word: `ducts`, `seams`, `top`, `plan`, `running` or `types`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Layer::Ducts => "ducts",
            Layer::Seams => "seams",
            Layer::Top => "top",
            Layer::Plan => "plan",
            Layer::Running => "running",
            Layer::Types => "types",
        }
    }
}

/// What a layer is drawn with.
pub(super) struct Pen<'p, 'a> {
    pub scene: &'p Scene<'a>,
    /// Boxes of the names that stand on every layer.
    pub taken: &'p [(Frame, Rect)],
    /// Where the layer's own legend begins, mm.
    pub legend_y: f64,
    /// Names of the base that found no room.
    pub left_out: usize,
}

impl Pen<'_, '_> {
    /// Opens a layer's group and writes what it shows.
    pub fn open(&self, svg: &mut Svg, layer: Layer, first: bool, words: &str) {
        let class = format!("layer layer-{}", layer.word());
        let mut attrs = vec![("class", class.as_str()), ("data-layer", layer.word())];
        if !first {
            attrs.push(("display", "none"));
        }
        svg.open("g", &attrs);
        svg.newline();
        let title = self.scene.layout.title;
        let size = self.scene.text;
        let width = title.x1 - title.x0;
        let mut lines = wrapped(words, size, width);
        let is_cut = lines.len() > 2;
        lines.truncate(2);
        if let Some(last) = lines.last_mut().filter(|_| is_cut) {
            // Room for the sign that says so.
            *last = shortened(&format!("{last} …"), size, false, width);
        }
        for (k, line) in lines.iter().enumerate() {
            let at = [title.x0, title.y0 + 8.4 + 3.4 * k as f64];
            svg.text(Line {
                class: "subtitle",
                at,
                size,
                bold: false,
                words: line,
                whole: (is_cut && k == 1).then_some(words),
            });
        }
    }

    /// Closes it.
    pub fn close(&self, svg: &mut Svg) {
        svg.close("g");
        svg.newline();
    }

    /// The column for its legend.
    pub fn column<'s>(&self, svg: &'s mut Svg) -> Column<'s> {
        let rect = Rect {
            y0: self.legend_y + 0.8,
            y1: self.scene.detail.rect.y0 - 1.2,
            ..self.scene.layout.column
        };
        let mut column = Column::new(svg, rect, self.scene.small);
        // A line at the foot is kept for what found no room.
        column.y1 -= column.step();
        column
    }

    /// Says how many names found no room; gives their number.
    pub fn left_out(&self, column: &mut Column<'_>, own: usize) -> usize {
        let all = own + self.left_out;
        column.y1 += column.step();
        if all > 0 {
            column.words(&format!(
                "{} found no room.",
                super::words::counted(all, "name", "names")
            ));
        }
        all
    }
}

/// A seam's group: `<g class="seam …" data-seam …><title/>`. Its title names it.
pub(super) fn open_seam(
    svg: &mut Svg,
    layer: Layer,
    seam: usize,
    class: &str,
    stroke: Option<&str>,
    words: &str,
) {
    let (number, id) = (seam.to_string(), format!("{}-s{seam}", layer.word()));
    let mut attrs = vec![
        ("class", class),
        ("data-seam", number.as_str()),
        ("id", &id),
        ("role", "img"),
    ];
    if let Some(stroke) = stroke {
        attrs.push(("stroke", stroke));
    }
    svg.open("g", &attrs);
    svg.words("title", &[], words);
}

/// What a group of marks passes on to its parts.
pub(super) const MARKS: [(&str, &str); 2] = [("class", "marks"), ("fill", "none")];

/// A seam's line: whole where it is seen, in short dashes where a higher duct lies over it.
pub(super) fn mark(svg: &mut Svg, spot: &Spot, width: &str) {
    let whole = spot.under.as_ref().map_or(&spot.d, |parts| &parts.seen);
    svg.path(whole, &[("class", "mark"), ("stroke-width", width)]);
    if let Some(parts) = &spot.under {
        svg.path(
            &parts.hidden,
            &[
                ("class", "mark under"),
                ("stroke-width", width),
                ("stroke-dasharray", UNDER),
            ],
        );
    }
}

/// Dashes of what lies under a higher duct, mm.
pub(super) const UNDER: &str = ".6 .5";

/// The glyph of the reach at the mark's end.
pub(super) fn reach(svg: &mut Svg, spot: &Spot, reach: Reach) {
    let Some(k) = REACHES.iter().position(|r| *r == reach) else {
        return;
    };
    let [x, y] = spot.glyph.map(tenth);
    svg.leaf(
        "use",
        &[
            ("class", "reach"),
            ("href", &format!("#pd-reach{k}")),
            ("x", &x),
            ("y", &y),
        ],
    );
}

/// The glyphs, drawn once.
pub(super) fn reach_defs(svg: &mut Svg) {
    for (k, reach) in REACHES.iter().enumerate() {
        svg.path(
            &reach_glyph(*reach, [0.0; 2]),
            &[
                ("id", &format!("pd-reach{k}")),
                ("fill", "none"),
                ("stroke", ink::INK),
                ("stroke-width", ".25"),
            ],
        );
    }
}

/// All seams, thin, beneath those that are the matter of a layer.
pub(super) fn quiet(svg: &mut Svg) {
    svg.leaf(
        "use",
        &[
            ("href", "#pd-quiet"),
            ("class", "quiet"),
            ("fill", "none"),
            ("stroke", ink::QUIET),
            ("stroke-width", "0.25"),
        ],
    );
}

/// Reach as everywhere else, in the order of the glyphs.
pub(super) const REACHES: [Reach; 3] = [Reach::UnderInsulation, Reach::BehindFinish, Reach::None];
