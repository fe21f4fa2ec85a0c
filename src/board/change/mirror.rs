//! A branch turned over: left for right, and compass headings across the line it starts along.

use super::tree::{branch, deeper, run_path, steps, text_at};
use super::{Done, Refused};
use crate::catalog::Catalog;
use crate::math::hypot;
use crate::sketch::edit::{Edit, Step, Value, edit, values};
use crate::sketch::parts::{Part, step_parts};
use crate::{sketch, system};

/// The line a run starts along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Line {
    NorthSouth,
    EastWest,
}

/// Turns a run and what hangs on it over. The run's own start stays where it is; the starts of those on it change sides.
pub(super) fn mirror(text: &str, run: usize) -> Result<Done, Refused> {
    let root = values(text)?;
    let members = branch(&root, run)?;
    // The words of every step with the heading in them.
    let mut headed = Vec::new();
    for &i in &members {
        for (path, words) in steps(&root, i) {
            let heading = step_parts(&words).and_then(|(_, parts)| {
                let (_, said) = parts.into_iter().find(|(part, _)| *part == Part::Heading)?;
                let from = said.as_ptr() as usize - words.as_ptr() as usize;
                Some(from..from + said.len())
            });
            if let Some(heading) = heading {
                headed.push((path, words, heading));
            }
        }
    }
    let by_compass = headed
        .iter()
        .any(|(_, words, at)| compass(&words[at.clone()]).is_some());
    let line = if by_compass {
        Some(line_of(text, &root, run)?)
    } else {
        None
    };
    let mut edits = Vec::new();
    let mut set = |path: Vec<Step>, words: &str, at: std::ops::Range<usize>| {
        let said = &words[at.clone()];
        if let Some(other) = other_side(said, line) {
            let mut words = words.to_owned();
            words.replace_range(at, other);
            edits.push(Edit::Set {
                path,
                value: Value::Word(words),
            });
        }
    };
    for (path, words, at) in headed {
        set(path, &words, at);
    }
    for &i in members.iter().filter(|&&i| i != run) {
        let start = root.at(&run_path(i)).and_then(|run| text_at(run, "from"));
        if let Some(words) = start {
            let end = words.trim_end().len();
            let from = words[..end].rfind(char::is_whitespace).map_or(0, |i| i + 1);
            set(deeper(&run_path(i), &["from".into()]), words, from..end);
        }
    }
    Ok((edit(text, &edits)?.text, Some(run_path(run))))
}

fn compass(word: &str) -> Option<Line> {
    match word.to_ascii_lowercase().as_str() {
        "north" | "south" => Some(Line::NorthSouth),
        "east" | "west" => Some(Line::EastWest),
        _ => None,
    }
}

/// The heading that takes the place of another, if another does.
fn other_side(word: &str, line: Option<Line>) -> Option<&'static str> {
    let other = match word.to_ascii_lowercase().as_str() {
        "left" => return Some("right"),
        "right" => return Some("left"),
        "north" => "south",
        "south" => "north",
        "east" => "west",
        "west" => "east",
        _ => return None,
    };
    (line.is_some() && compass(word) != line).then_some(other)
}

/// The line along which a run first goes level: as its words say, or as the whole system is laid out.
fn line_of(text: &str, root: &Value, run: usize) -> Result<Line, Refused> {
    for (_, words) in steps(root, run) {
        let Some((kind, parts)) = step_parts(&words) else {
            break;
        };
        let heading = parts
            .iter()
            .find(|(part, _)| *part == Part::Heading)
            .map(|(_, said)| *said);
        let turns = matches!(kind, sketch::StepKind::Elbow { degrees, .. } if (degrees - 90.0).abs() > 1e-9);
        match (heading, heading.and_then(compass), &kind) {
            (_, Some(line), _) if !turns => return Ok(line),
            (Some(word), _, _)
                if ["up", "down"]
                    .iter()
                    .any(|own| own.eq_ignore_ascii_case(word))
                    && !turns => {}
            (None, _, kind)
                if !matches!(
                    kind,
                    sketch::StepKind::Straight { .. } | sketch::StepKind::Elbow { .. }
                ) => {}
            _ => break,
        }
    }
    laid_out(text, root, run).ok_or_else(|| {
        Refused::new(
            "the line this run starts along is not known, so headings by compass cannot be mirrored",
            "put right what is wrong with the sketch first, or write the run with `left` and `right`",
        )
    })
}

/// The line of the first level stretch of a run in the system that the sketch makes.
fn laid_out(text: &str, root: &Value, run: usize) -> Option<Line> {
    let id = root.at(&run_path(run)).and_then(|run| text_at(run, "id"))?;
    let sketch = sketch::read(text, "sketch").ok()?;
    let catalog = Catalog::builtin();
    let system = system::build(&sketch, text, "sketch", catalog).ok()?;
    let idx = system.runs.iter().position(|run| run.id == id.trim())?;
    system.graph.edge_indices().find_map(|edge| {
        let piece = &system.graph[edge];
        let (tail, head) = system.graph.edge_endpoints(edge)?;
        let [a, b] = [tail, head].map(|node| system.graph[node].position_m);
        let (x, y) = ((b[0] - a[0]).abs(), (b[1] - a[1]).abs());
        // A stretch shorter than a millimetre has no direction.
        if piece.run != Some(idx) || hypot(x, y) < 1e-3 {
            return None;
        }
        Some(if y < 1e-6 * x {
            Some(Line::EastWest)
        } else if x < 1e-6 * y {
            Some(Line::NorthSouth)
        } else {
            None
        })
    })?
}
