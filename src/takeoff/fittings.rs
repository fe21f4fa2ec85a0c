//! Reads a cell of fittings: `tab collar, 2 elbows, boot 10x4 in`, or a whole walk: `north 11 ft, reducer to 10x8 in, 10 ft, cap`.

use super::cells::Cells;
use super::fault::{Found, Spot};
use crate::sketch::parts::{self, Refusal};
use crate::sketch::{BootKind, Diagnostic, Material, Overrides, StepKind, quoted};

/// How often one item may be counted. Engineering estimate, wide of any house.
const MOST_ALIKE: usize = 40;
/// How many fittings a run may have. Engineering estimate.
const MOST: usize = 200;

/// One item of the cell.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Part {
    /// A step as the sketch has it.
    Step(StepKind, Box<Overrides>),
    /// A takeoff of whatever kind is usual.
    Takeoff,
    /// A boot or return box whose size nobody said.
    Opening(BootKind),
}

/// Reads the items of a cell in their order.
pub(super) fn fittings(
    at: Spot<'_>,
    material: Option<Material>,
    cells: &Cells<'_>,
    found: &mut Found,
) -> Vec<Part> {
    let whole = cells.pointed(at.cell);
    let whole = whole.replace(" and ", ",").replace(" AND ", ",");
    let mut all = Vec::new();
    for item in whole.split([',', ';', '+', '&', '|']).map(str::trim) {
        if item.is_empty() {
            continue;
        }
        let (count, words) = counted(item);
        if count == 0 || count > MOST_ALIKE {
            found.wrong(
                at,
                format!("{} counts {count} alike", quoted(item)),
                format!("a run has 1 to {MOST_ALIKE} fittings of one kind"),
            );
            continue;
        }
        match part(&words, material, cells) {
            Ok(part) => all.extend(std::iter::repeat_n(part, count)),
            Err(problem) => refuse(at, item, &words, &problem, found),
        }
        if all.len() > MOST {
            found.wrong(
                at,
                format!("the run has more than {MOST} fittings"),
                "cut it in two runs, the second one `from` the end of the first",
            );
            break;
        }
    }
    all
}

fn refuse(at: Spot<'_>, item: &str, words: &str, problem: &Diagnostic, found: &mut Found) {
    let near = (!found.is_full()).then(|| {
        // The words before any figure, which a misspelt fitting shares with the one that was meant.
        let head: Vec<&str> = words
            .split(' ')
            .take_while(|word| !word.starts_with(|c: char| c.is_ascii_digit()))
            .collect();
        let head = head.join(" ");
        parts::near_step(&head).or_else(|| parts::near_step(head.strip_suffix('s')?))
    });
    let hint = match (&problem.patch, &problem.hint, near.flatten()) {
        (Some(patch), _, _) if problem.code == "E0130" && patch.contains(' ') => {
            format!("did you mean `{patch}`?")
        }
        (_, _, Some(near)) if problem.code == "E0130" => format!("did you mean `{near}`?"),
        (_, Some(hint), _) => hint.clone(),
        (Some(patch), _, _) => format!("write `{patch}`"),
        _ => "write fittings like `tab collar, 2 elbows, boot 10x4 in`".to_owned(),
    };
    let what = if problem.title.contains(&quoted(item)) {
        problem.title.clone()
    } else {
        format!("{} cannot be read: {}", quoted(item), problem.title)
    };
    found.wrong(at, what, hint);
}

const NUMBERS: [&str; 13] = [
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
];

/// Takes a count off: `2 elbows`, `2x elbow`, `2 x elbow`, `(2) elbows`, `two elbows`, `elbow x2`, `elbow x 2`.
fn counted(item: &str) -> (usize, String) {
    let lower = item.to_lowercase();
    let lower = lower.replace(['×', '✕'], "x");
    let words: Vec<&str> = lower.split_whitespace().collect();
    let rest = |from: usize, to: usize| words[from..to].join(" ");
    let n = words.len();
    let whole = || (1, rest(0, n));
    let number = |word: &str| word.parse::<usize>().ok();
    let figure = |word: Option<&&str>| {
        word.is_some_and(|word| word.starts_with(|c: char| c.is_ascii_digit()))
    };
    if n < 2 {
        return whole();
    }
    let is_turn = words.iter().any(|word| turns(word));
    if let Some(count) = words[0].strip_suffix('x').and_then(number) {
        return (count, rest(1, n));
    }
    if let Some(count) = number(words[0].trim_matches(['(', ')']))
        && words[0].starts_with('(')
    {
        return (count, rest(1, n));
    }
    if let Some(count) = number(words[0])
        && words[1] == "x"
        && n > 2
        && (!figure(words.get(2)) || is_turn)
    {
        return (count, rest(2, n));
    }
    if let Some(count) = words[n - 1].strip_prefix('x').and_then(number) {
        return (count, rest(0, n - 1));
    }
    if n > 2
        && words[n - 2] == "x"
        && !words[n - 3].ends_with(|c: char| c.is_ascii_digit())
        && let Some(count) = number(words[n - 1])
    {
        return (count, rest(0, n - 2));
    }
    if let Some(count) = NUMBERS.iter().position(|word| *word == words[0])
        && parts::step(&lower).is_err()
    {
        return (count, rest(1, n));
    }
    // `2 elbows`, not `90 elbow`, `10 ft`, `10 x 4 boot`.
    if let Some(count) = number(words[0])
        && !(is_angle(words[0]) && is_turn && !words[1..].iter().any(|word| is_angle(word)))
        && words[1] != "x"
        && !is_angle_unit(words[1])
        && format!("1 {}", words[1])
            .parse::<crate::quantity::Length>()
            .is_err()
    {
        return (count, rest(1, n));
    }
    whole()
}

fn is_angle_unit(word: &str) -> bool {
    ["deg", "degree", "degrees", "°", "deg."].contains(&word)
}

/// `90`, `45°`, `90s`, `22.5`: from 15 to 180 degrees.
fn is_angle(word: &str) -> bool {
    angle(word).is_some()
}

fn angle(word: &str) -> Option<f64> {
    let digits = word.trim_end_matches(['s', '°']).trim_end_matches("deg");
    let degrees: f64 = digits.trim_end_matches('-').parse().ok()?;
    (15.0..=180.0).contains(&degrees).then_some(degrees)
}

/// Words of a turn.
fn turns(word: &str) -> bool {
    let one = word.strip_suffix('s').unwrap_or(word);
    ["elbow", "ell", "el", "bend", "turn"].contains(&one) || ["90s", "45s"].contains(&word)
}

/// Words of the trade and the words of a step that stand for them.
const OTHER_WORDS: &[(&str, &str)] = &[
    ("elbows", "elbow"),
    ("ell", "elbow"),
    ("ells", "elbow"),
    ("el", "elbow"),
    ("boots", "boot"),
    ("dampers", "damper"),
    ("vd", "damper"),
    ("collars", "collar"),
    ("taps", "tap"),
    ("caps", "cap"),
    ("endcap", "cap"),
    ("bends", "bend"),
    ("turn", "bend"),
    ("turns", "bend"),
    ("splices", "splice"),
    ("holes", "hole"),
    ("doors", "door"),
    ("slots", "slot"),
    ("reducers", "reducer"),
    ("transitions", "transition"),
    ("register", "boot"),
    ("registers", "boot"),
    ("vent", "boot"),
    ("diffuser", "boot"),
    ("grilles", "grille"),
    ("adj", "adjustable"),
    ("adj.", "adjustable"),
    ("miter", "mitre"),
];

/// One item without its count, in lower case.
fn part(words: &str, material: Option<Material>, cells: &Cells<'_>) -> Result<Part, Refusal> {
    if let Ok((kind, over)) = parts::step(words) {
        return Ok(Part::Step(kind, Box::new(over)));
    }
    let words = in_step_words(words, material, cells);
    match words.as_str() {
        "takeoff" | "take off" | "takeoffs" | "take offs" | "collar" | "tap" => {
            return Ok(Part::Takeoff);
        }
        "boot" => return Ok(Part::Opening(BootKind::Turn)),
        "end boot" | "straight boot" => return Ok(Part::Opening(BootKind::Straight)),
        "return box" | "grille" | "return grille" => {
            return Ok(Part::Opening(BootKind::ReturnBox));
        }
        _ => {}
    }
    parts::step(&words).map(|(kind, over)| Part::Step(kind, Box::new(over)))
}

/// The words of an item as a step has them: its other words replaced, its angle at the end, its size behind with a unit.
fn in_step_words(item: &str, material: Option<Material>, cells: &Cells<'_>) -> String {
    let mut words: Vec<String> = Vec::new();
    for word in item.replace("take-off", "takeoff").split_whitespace() {
        let ours = OTHER_WORDS.iter().find(|(other, _)| *other == word);
        let next = ours.map_or(word, |(_, ours)| ours);
        if !(next == "boot" && words.last().is_some_and(|last| last == "boot")) {
            words.push(next.to_owned());
        }
    }
    if let Some(bend) = words.iter_mut().find(|word| *word == "bend")
        && material != Some(Material::Flex)
    {
        "elbow".clone_into(bend);
    } else if words.first().is_some_and(|word| word == "bend") {
        words.insert(0, "flex".to_owned());
    }
    let is_turn = words.iter().any(|word| word == "elbow" || word == "bend");
    let alone = words.len() == 1 || words.get(1).is_some_and(|word| is_angle_unit(word));
    if let Some(i) = words.iter().position(|word| is_angle(word))
        && (is_turn || (alone && i == 0))
        && let Some(degrees) = angle(&words[i])
    {
        words.remove(i);
        if words.get(i).is_some_and(|word| is_angle_unit(word)) {
            words.remove(i);
        }
        if !is_turn {
            let turn = if material == Some(Material::Flex) {
                ["flex", "bend"].as_slice()
            } else {
                &["elbow"]
            };
            words.splice(0..0, turn.iter().map(|&word| word.to_owned()));
        }
        // Behind the heading, before place, reach and work.
        let to = words
            .iter()
            .position(|word| word == "elbow" || word == "bend")
            .map_or(words.len(), |at| at + 1);
        words.insert(to, format!("{degrees} degrees"));
        return words.join(" ");
    }
    sized(&words, cells)
}

/// Puts the size behind the words of the step, with its unit: `10x4 boot`, `10 x 4 boot`, `reducer 14x8 to 12x8`.
fn sized(words: &[String], cells: &Cells<'_>) -> String {
    const IN_SIZE: [&str; 8] = ["x", "in", "mm", "cm", "ft", "round", "oval", "by"];
    let figure = |word: &String| {
        word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, 'ø' | '⌀' | '∅'))
    };
    let mut words = words.to_vec();
    let is_reducer = words
        .first()
        .is_some_and(|word| word == "reducer" || word == "transition");
    if is_reducer
        && let Some(to) = words.iter().rposition(|word| word == "to")
        && to > 1
    {
        words.drain(1..to);
    }
    let Some(from) = words.iter().position(figure) else {
        return words.join(" ");
    };
    let is_in_place = |i: usize| words[i] == "in" && i + 1 < words.len() && i > from + 1;
    let mut to = from + 1;
    while to < words.len()
        && (figure(&words[to]) || IN_SIZE.contains(&words[to].as_str()))
        && !(is_in_place(to) && words[to - 1] == "in")
    {
        to += 1;
    }
    let size = cells.size_in_fitting(&words[from..to].join(" "));
    let (before, after) = (words[..from].join(" "), words[to..].join(" "));
    if before.is_empty() && parts::step(&format!("{size} {after}")).is_err() {
        format!("{after} {size}")
    } else {
        format!("{before} {size} {after}")
    }
    .trim()
    .to_owned()
}

#[cfg(test)]
mod tests {
    use super::super::columns::{Columns, columns};
    use super::super::table::Line;
    use super::*;
    use crate::quantity::Size;

    fn header(cells: &[&str]) -> Columns {
        let cells = cells.iter().map(|&cell| cell.to_owned()).collect();
        let line = Line { number: 1, cells };
        columns(&line, &mut Found::default(), &mut Vec::new())
    }

    fn read(cell: &str, material: Option<Material>) -> (Vec<Part>, Vec<String>) {
        let columns = header(&["run", "size (in)", "fittings"]);
        let cells = Cells {
            columns: &columns,
            decimal_comma: false,
            commas: false.into(),
        };
        let mut found = Found::default();
        let at = Spot {
            line: 2,
            column: "fittings",
            cell,
        };
        let parts = fittings(at, material, &cells, &mut found);
        (parts, found.items.iter().map(|f| f.to_string()).collect())
    }

    fn steps(text: &str) -> Vec<StepKind> {
        text.split(", ")
            .map(|step| {
                parts::step(step)
                    .unwrap_or_else(|d| panic!("{step}: {}", d.title))
                    .0
            })
            .collect()
    }

    #[test]
    fn one_cell_has_many_spellings() {
        for (cell, want) in [
            ("2 elbows", "elbow, elbow"),
            ("2x elbow", "elbow, elbow"),
            ("2 x elbow", "elbow, elbow"),
            ("x2 elbow", ""),
            ("elbow x2", "elbow, elbow"),
            ("elbow x 2", "elbow, elbow"),
            ("two elbows", "elbow, elbow"),
            ("(2) ells", "elbow, elbow"),
            ("2 x 90 elbow", "elbow, elbow"),
            ("2 90s", "elbow, elbow"),
            ("90", "elbow"),
            ("90 elbow", "elbow"),
            ("2 45 deg elbows", "elbow 45 degrees, elbow 45 degrees"),
            ("elbow 45", "elbow 45 degrees"),
            ("45° adj elbow up", "adjustable elbow up 45 degrees"),
            (
                "adjustable elbow left 45 degrees",
                "adjustable elbow left 45 degrees",
            ),
            ("Boot 10x4 in", "boot 10x4 in"),
            ("boot 10x4", "boot 10x4 in"),
            ("boot 10 x 4", "boot 10x4 in"),
            ("10x4 boot", "boot 10x4 in"),
            ("10 x 4 in boot", "boot 10x4 in"),
            ("register boot 250x100 mm", "boot 250x100 mm"),
            ("reducer 14x8 to 12x8", "reducer to 12x8 in"),
            ("tab collar; damper + end cap", "tab collar, damper, cap"),
            (
                "10 ft, 9 ft in wall behind finish",
                "10 ft, 9 ft in wall behind finish",
            ),
            ("north 11 ft", "north 11 ft"),
            ("boot 10x4 in in attic", "boot 10x4 in in attic"),
        ] {
            let (parts, faults) = read(cell, None);
            if want.is_empty() {
                assert_eq!(faults.len(), 1, "{cell}");
                continue;
            }
            assert_eq!(faults, Vec::<String>::new(), "{cell}");
            let found: Vec<StepKind> = parts
                .into_iter()
                .map(|part| match part {
                    Part::Step(kind, _) => kind,
                    other => panic!("{cell}: {other:?}"),
                })
                .collect();
            assert_eq!(found, steps(want), "{cell}");
        }
    }

    #[test]
    fn what_is_not_said_stays_open() {
        assert_eq!(
            read("takeoff, boot", None).0,
            [Part::Takeoff, Part::Opening(BootKind::Turn)]
        );
        let flex = Some(Material::Flex);
        let bend = steps("flex bend").remove(0);
        assert!(matches!(&read("bend", flex).0[..], [Part::Step(kind, _)] if *kind == bend));
        assert!(matches!(
            &read("boot 8", None).0[..],
            [Part::Step(
                StepKind::Boot {
                    size: Size::Round(_),
                    ..
                },
                _
            )]
        ));
    }

    #[test]
    fn what_cannot_be_read_is_refused_with_a_word() {
        for (cell, needle) in [
            ("tab colar", "did you mean `tab collar`"),
            ("2 elbws", "did you mean `elbow`"),
            ("silver spoon", "one of:"),
            ("0 elbows", "counts 0 alike"),
            ("5000000 elbows", "alike"),
            ("boot -3x4 in", ""),
            ("reducer", "size"),
        ] {
            let (_, faults) = read(cell, None);
            assert_eq!(faults.len(), 1, "{cell}: {faults:?}");
            assert!(faults[0].contains(needle), "{cell}: {}", faults[0]);
            assert!(faults[0].contains("hint: "), "{cell}: {}", faults[0]);
        }
        let many = ["40 dampers"; 6].join(", ");
        assert!(read(&many, None).1[0].contains("more than 200 fittings"));
    }
}
