//! The whole sheet.

use super::ask::{DrawAsk, DrawError, Drawing, DrawnFacts, Layer, Sheet, View};
use super::base::{base, defs};
use super::key::key;
use super::layer::Pen;
use super::scene::Scene;
use super::sheet::{is_legible, papers};
use super::svg::{Svg, num};
use super::{numbered, running_layer, seams_layer, types_layer};
use crate::allocate::Allocation;
use crate::flow::FlowState;
use crate::seal::Plan;

/// Fonts, the one that texts are measured in first.
const FONTS: &str = "\"Noto Sans\",\"Liberation Sans\",sans-serif";

/// Draws a sheet with the layers asked for, all on the same ducts.
///
/// An empty list of layers draws the ducts alone.
///
/// # Errors
/// [`DrawError::Missing`] where a layer needs what the facts do not hold, or belongs to another system.
pub fn draw(facts: &DrawnFacts<'_>, ask: &DrawAsk) -> Result<Drawing, DrawError> {
    let layers = match ask.layers.as_slice() {
        [] => vec![Layer::Ducts],
        some => some.to_vec(),
    };
    let mut distinct: Vec<Layer> = Vec::new();
    for layer in layers {
        if !distinct.contains(&layer) {
            distinct.push(layer);
        }
    }
    let allocation = facts.allocation.or(facts.plan.map(|p| &p.allocation));
    let mut running = None;
    for &layer in &distinct {
        check(facts, layer, allocation)?;
        if layer == Layer::Running {
            running = Some(running_layer::solved(
                facts.system,
                allocation.filter(|a| fits(facts, a)),
            )?);
        }
    }
    let own = allocation.filter(|a| fits(facts, a));
    let on = |sheet| {
        let ask = DrawAsk {
            layers: distinct.clone(),
            sheet,
            ..ask.clone()
        };
        Scene::new(facts, &ask, own)
    };
    let parts = |scene: &Scene<'_>| on_sheet(scene, &distinct, allocation, running.as_ref());
    if ask.sheet != Sheet::Fit {
        return Ok(parts(&on(ask.sheet)));
    }
    let [small, large] = papers(ask.units);
    let scene = on(small);
    let is_legible = is_legible(
        &scene.layout,
        &scene.bits,
        facts.system.seams.len(),
        facts.system.openings.len(),
    );
    let first = parts(&scene);
    if is_legible && first.left_out == 0 {
        return Ok(first);
    }
    let second = parts(&on(large));
    // What is legible on the smaller sheet stays there unless the larger one names more.
    Ok(if is_legible && second.left_out >= first.left_out {
        first
    } else {
        second
    })
}

/// Draws the layers of a scene on its sheet.
fn on_sheet(
    scene: &Scene<'_>,
    distinct: &[Layer],
    allocation: Option<&Allocation>,
    running: Option<&FlowState>,
) -> Drawing {
    let mut svg = Svg::default();
    let (width, height) = (num(scene.layout.width), num(scene.layout.height));
    let (width_mm, height_mm) = (format!("{width}mm"), format!("{height}mm"));
    let view_box = format!("0 0 {width} {height}");
    svg.open(
        "svg",
        &[
            ("class", "plan-drawing"),
            ("xmlns", "http://www.w3.org/2000/svg"),
            ("viewBox", &view_box),
            ("width", &width_mm),
            ("height", &height_mm),
            ("role", "img"),
            ("aria-labelledby", "pd-title pd-desc"),
            ("font-family", FONTS),
            ("fill", super::palette::INK),
        ],
    );
    svg.words(
        "title",
        &[("id", "pd-title")],
        &format!(
            "{} of the ducts: {}",
            match scene.ask.view {
                View::Plan => "Plan",
                View::Isometric => "Isometric view",
            },
            scene.facts.system.title
        ),
    );
    svg.words("desc", &[("id", "pd-desc")], &description(scene));
    defs(&mut svg, scene);
    svg.leaf(
        "rect",
        &[
            ("class", "paper"),
            ("width", &width),
            ("height", &height),
            ("fill", super::palette::PAPER),
        ],
    );
    svg.newline();
    let (taken, base_left_out) = base(&mut svg, scene);
    svg.open("g", &[("class", "base")]);
    let legend_y = key(&mut svg, scene);
    svg.close("g");
    svg.newline();
    let pen = Pen {
        scene,
        taken: &taken,
        legend_y,
        left_out: base_left_out,
    };
    let mut left_out = base_left_out;
    for (i, &layer) in distinct.iter().enumerate() {
        let all = one(&mut svg, &pen, layer, allocation, running, i == 0);
        left_out += all - base_left_out;
    }
    svg.close("svg");
    svg.newline();
    Drawing {
        svg: svg.finish(),
        width_mm: scene.layout.width,
        height_mm: scene.layout.height,
        layers: distinct.to_vec(),
        left_out,
    }
}

/// Draws one layer; gives how many names found no room, those of the base included.
fn one(
    svg: &mut Svg,
    pen: &Pen<'_, '_>,
    layer: Layer,
    allocation: Option<&Allocation>,
    running: Option<&FlowState>,
    first: bool,
) -> usize {
    match (layer, allocation, running) {
        (Layer::Seams, Some(a), _) => seams_layer::draw(svg, pen, a, first),
        (Layer::Top, Some(a), _) => numbered::top(svg, pen, a, first),
        (Layer::Types, Some(a), _) => types_layer::draw(svg, pen, a, first),
        (Layer::Plan, Some(a), _) => match pen.scene.facts.plan {
            Some(plan) => numbered::plan(svg, pen, plan, a, first),
            None => pen.left_out,
        },
        (Layer::Running, _, Some(state)) => {
            let own = allocation.filter(|a| fits(pen.scene.facts, a));
            running_layer::draw(svg, pen, state, own, first)
        }
        _ => {
            pen.open(
                svg,
                Layer::Ducts,
                first,
                "Ducts, places, registers and names.",
            );
            svg.open("g", &[("class", "legend")]);
            let mut column = pen.column(svg);
            let all = pen.left_out(&mut column, 0);
            svg.close("g");
            pen.close(svg);
            all
        }
    }
}

/// Whether an allocation is of this very system: the same seams in the same order.
fn fits(facts: &DrawnFacts<'_>, allocation: &Allocation) -> bool {
    let (ours, theirs) = (&facts.system.seams, &allocation.seams);
    ours.len() == theirs.len() && ours.iter().zip(theirs).all(|(our, s)| our.id == s.id)
}

/// Whether a plan is one for this very system.
fn plans(facts: &DrawnFacts<'_>, plan: &Plan) -> bool {
    let n = facts.system.seams.len();
    fits(facts, &plan.allocation) && plan.steps.iter().all(|step| step.seam < n)
}

fn check(
    facts: &DrawnFacts<'_>,
    layer: Layer,
    allocation: Option<&Allocation>,
) -> Result<(), DrawError> {
    let missing = |needs: &str| {
        Err(DrawError::Missing {
            layer: layer.word(),
            needs: needs.to_owned(),
        })
    };
    match layer {
        Layer::Ducts | Layer::Running => Ok(()),
        Layer::Plan if facts.plan.is_none() => missing("a plan"),
        Layer::Plan if !facts.plan.is_some_and(|plan| plans(facts, plan)) => {
            missing("a plan for this very system")
        }
        _ => match allocation {
            None => missing("an allocation"),
            Some(a) if !fits(facts, a) => missing("an allocation of this very system"),
            Some(_) => Ok(()),
        },
    }
}

fn description(scene: &Scene<'_>) -> String {
    let words = super::words::counted;
    let system = scene.facts.system;
    let way = match scene.ask.view {
        View::Plan => "north up",
        View::Isometric => "north to the right and up",
    };
    let scale = if scene.layout.to_scale {
        format!("at 1 to {}", num(scene.layout.scale))
    } else {
        "not to scale".to_owned()
    };
    let drawn = format!(
        "{}, {}, {}, drawn from the walks {scale} with {way}.",
        words(system.runs.len(), "run", "runs"),
        words(
            system.openings.len(),
            "register or grille",
            "registers and grilles"
        ),
        words(system.seams.len(), "seam", "seams"),
    );
    match &scene.notes.stop {
        Some(stop) => format!("{stop} {drawn}"),
        None => drawn,
    }
}
