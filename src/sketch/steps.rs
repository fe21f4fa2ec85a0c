//! The grammar of a walk step: `STEP [in PLACE] [REACH] [WORK]`.

use super::angles::TURN;
use super::diagnostics::{Diagnostic, quoted, shown};
use super::limits;
use super::meant;
use super::reader::{Cut, Reader};
use super::span::Marked;
use super::types::{Overrides, StepKind};
use super::words::{self, HEADING, MATERIAL, REACH, STEP, StepWord, WORK, Words};
use crate::quantity::{Length, Quantity, Size};

/// The most words of one written quantity: `9 ft 6 1/2 in`.
const LONGEST_QUANTITY: usize = 6;

/// Reads the words of a step and what they say of its place, reach and work.
pub(super) fn step(reader: &mut Reader<'_>, cut: &Cut<'_>) -> Option<(StepKind, Overrides)> {
    let before = reader.found.len();
    let found = parse(reader, cut);
    if found.is_none() {
        meant::offer(reader, cut, before);
    }
    found
}

/// What a part of a step's words says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Part {
    Word,
    Heading,
    Length,
    Material,
    Size,
    Degrees,
    /// The run that is joined.
    Run,
    /// The run that is joined, and where.
    Onto,
    Place,
    Reach,
    Work,
}

/// Reads the words of a step as they stand.
pub(super) fn parse(reader: &mut Reader<'_>, cut: &Cut<'_>) -> Option<(StepKind, Overrides)> {
    let (kind, over, _) = parse_parts(reader, cut)?;
    Some((kind, over))
}

/// What a step says, what is said at it, and its parts as written.
type WithParts<'c> = (StepKind, Overrides, Vec<(Part, &'c str)>);

/// Reads the words of a step with the parts of the words that say each thing.
pub(super) fn parse_parts<'c>(reader: &mut Reader<'_>, cut: &'c Cut<'c>) -> Option<WithParts<'c>> {
    let mut line = Line::new(cut);
    let mut degrees = line.leading_degrees(reader, &TURN)?;
    let from = line.at;
    let kind = match line.take(STEP) {
        Some(word) => {
            line.note(Part::Word, from);
            if degrees.is_some() && !matches!(word, StepWord::Elbow(_)) {
                line.refuse_degrees(reader, word);
                return None;
            }
            worded(reader, &mut line, word, &mut degrees)?
        }
        None => straight(reader, &mut line)?,
    };
    let over = tail(reader, &mut line, &kind)?;
    Some((kind, over, line.parts))
}

/// What follows the first words of a step.
fn worded(
    reader: &mut Reader<'_>,
    line: &mut Line<'_>,
    word: StepWord,
    degrees: &mut Option<f64>,
) -> Option<StepKind> {
    Some(match word {
        StepWord::Takeoff(takeoff) => StepKind::Takeoff(takeoff),
        StepWord::Cap => StepKind::Cap,
        StepWord::Damper => StepKind::Damper {
            degrees: line.damper(reader)?,
        },
        StepWord::Canvas => StepKind::Canvas,
        StepWord::FilterSlot => StepKind::FilterSlot,
        StepWord::TestHole => StepKind::TestHole,
        StepWord::Splice => StepKind::Splice,
        StepWord::Elbow(kind) => {
            let mut heading = line.take_noted(HEADING, Part::Heading);
            if let Some(said) = line.leading_degrees(reader, &TURN)? {
                *degrees = Some(said);
                heading = heading.or_else(|| line.take_noted(HEADING, Part::Heading));
            }
            StepKind::Elbow {
                kind,
                heading,
                degrees: degrees.unwrap_or(90.0),
            }
        }
        StepWord::Reducer => StepKind::Reducer {
            to: line.size(reader, &limits::DUCT_SIDE, "reducer to 16x8 in")?,
        },
        StepWord::Boot(kind) => StepKind::Boot {
            kind,
            size: line.size(reader, &limits::OPENING_SIDE, "boot 10x4 in")?,
        },
        StepWord::Intake => StepKind::Intake {
            size: line.size(reader, &limits::OPENING_SIDE, "intake 6 in")?,
        },
        StepWord::AccessDoor => StepKind::AccessDoor {
            size: line.size(reader, &limits::OPENING_SIDE, "access door 12x8 in")?,
        },
        StepWord::Joins => joins(reader, line)?,
    })
}

/// `[HEADING] LENGTH [MATERIAL]`.
fn straight(reader: &mut Reader<'_>, line: &mut Line<'_>) -> Option<StepKind> {
    let start = line.at;
    let heading = line.take_noted(HEADING, Part::Heading);
    let numeric = line.peek().is_some_and(|word| {
        word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '−'))
    });
    if !numeric {
        if heading.is_some() {
            let said = line.between(start, line.at);
            reader.report(
                Diagnostic::new("E0120", line.cut.inner(), format!("{} has no length", quoted(line.cut.text)))
                    .label("how far?")
                    .hint(format!("write a heading and a length like `{said} 24 ft`, or an elbow that turns there like `elbow {said}`")),
            );
        } else {
            line.at = start;
            line.unknown(reader);
        }
        return None;
    }
    let from = line.at;
    let length = line.quantity::<Length>(reader, &limits::STRAIGHT)?;
    line.note(Part::Length, from);
    line.skip("of");
    let material = line.take_noted(MATERIAL, Part::Material);
    Some(StepKind::Straight {
        heading,
        length: length.value,
        material,
    })
}

/// `joins RUN [at LENGTH]`.
fn joins(reader: &mut Reader<'_>, line: &mut Line<'_>) -> Option<StepKind> {
    let rest = line.rest();
    if rest.is_empty() {
        reader.report(
            Diagnostic::new(
                "E0130",
                line.cut.inner(),
                "`joins` needs the run that is joined",
            )
            .label("which run?")
            .hint("write `joins B at 12 ft`, or `joins B` for its end"),
        );
        return None;
    }
    let at = (line.at..line.words.len())
        .rev()
        .find(|i| line.words[*i].eq_ignore_ascii_case("at") && *i > line.at);
    let name = match at {
        Some(i) => line.between(line.at, i),
        None => rest,
    };
    let cut = *line.cut;
    let run = reader.id_in(&cut, name, "the name of a run")?;
    line.parts.push((Part::Run, name));
    let from = line.at;
    let along = match at {
        Some(i) => {
            line.at = i + 1;
            Some(line.quantity::<Length>(reader, &limits::ALONG)?)
        }
        None => {
            line.at = line.words.len();
            None
        }
    };
    line.note(Part::Onto, from);
    Some(StepKind::Joins { run, along })
}

/// `[in PLACE] [REACH] [WORK]`, in any order, each once.
fn tail(reader: &mut Reader<'_>, line: &mut Line<'_>, kind: &StepKind) -> Option<Overrides> {
    let mut over = Overrides::default();
    while let Some(word) = line.peek() {
        let from = line.at;
        let twice = if word.eq_ignore_ascii_case("in") && line.at + 1 < line.words.len() {
            line.at += 2; // a place has one word at least, even one like `open porch`
            while line.at < line.words.len() && !line.at_tail() {
                line.at += 1;
            }
            let cut = *line.cut;
            let place =
                reader.id_in(&cut, line.between(from + 1, line.at), "the name of a place")?;
            line.note(Part::Place, from + 1);
            over.place.replace(place).is_some()
        } else if let Some(reach) = line.take_noted(REACH, Part::Reach) {
            over.reach
                .replace(Marked::new(reach, line.span(from)))
                .is_some()
        } else if let Some(work) = line.take_noted(WORK, Part::Work) {
            over.work
                .replace(Marked::new(work, line.span(from)))
                .is_some()
        } else {
            line.leftover(reader, kind);
            return None;
        };
        if twice {
            reader.report(
                Diagnostic::new(
                    "E0130",
                    line.span(from),
                    format!("{} says the same thing twice", quoted(line.cut.text)),
                )
                .label("once is enough")
                .hint("say the place, the reach and the work once each"),
            );
            return None;
        }
    }
    Some(over)
}

/// The words of a step and how far they are read.
pub(super) struct Line<'c> {
    pub(super) cut: &'c Cut<'c>,
    pub(super) words: Vec<&'c str>,
    pub(super) at: usize,
    /// What was read so far, as written.
    pub(super) parts: Vec<(Part, &'c str)>,
}

impl<'c> Line<'c> {
    fn new(cut: &'c Cut<'c>) -> Line<'c> {
        Line {
            cut,
            words: cut.text.split_whitespace().collect(),
            at: 0,
            parts: Vec::new(),
        }
    }

    pub(super) fn peek(&self) -> Option<&'c str> {
        self.words.get(self.at).copied()
    }

    /// The text from one word up to, and without, another.
    pub(super) fn between(&self, from: usize, to: usize) -> &'c str {
        let text = self.cut.text;
        let offset = |word: &str| word.as_ptr() as usize - text.as_ptr() as usize;
        match (
            self.words.get(from),
            to.checked_sub(1).and_then(|i| self.words.get(i)),
        ) {
            (Some(first), Some(last)) if from < to => {
                &text[offset(first)..offset(last) + last.len()]
            }
            _ => "",
        }
    }

    fn rest(&self) -> &'c str {
        self.between(self.at, self.words.len())
    }

    /// Place of the words from `from` up to where reading stands.
    pub(super) fn span(&self, from: usize) -> super::span::Span {
        self.cut.span(self.between(from, self.at))
    }

    /// How many words of the line at `from` a phrase takes, if it stands there.
    fn phrase(&self, from: usize, phrase: &str) -> Option<usize> {
        let mut count = 0;
        for part in phrase.split(' ') {
            if !self.words.get(from + count)?.eq_ignore_ascii_case(part) {
                return None;
            }
            count += 1;
        }
        Some(count)
    }

    /// Takes the longest phrase of a list that stands next.
    fn take<T: Copy>(&mut self, words: Words<T>) -> Option<T> {
        let (count, value) = words
            .iter()
            .filter_map(|(phrase, value)| Some((self.phrase(self.at, phrase)?, *value)))
            .reduce(|best, next| if next.0 > best.0 { next } else { best })?;
        self.at += count;
        Some(value)
    }

    /// The same, and keeps how it was written.
    fn take_noted<T: Copy>(&mut self, words: Words<T>, part: Part) -> Option<T> {
        let from = self.at;
        let value = self.take(words)?;
        self.note(part, from);
        Some(value)
    }

    /// Keeps the words from `from` up to where reading stands as what says a part.
    fn note(&mut self, part: Part, from: usize) {
        let said = self.between(from, self.at);
        self.parts.push((part, said));
    }

    fn skip(&mut self, word: &str) {
        if self
            .peek()
            .is_some_and(|next| next.eq_ignore_ascii_case(word))
        {
            self.at += 1;
        }
    }

    /// Whether a word of place, reach or work stands next.
    fn at_tail(&self) -> bool {
        let stands = |phrase: &str| self.phrase(self.at, phrase).is_some();
        stands("in")
            || REACH.iter().any(|(phrase, _)| stands(phrase))
            || WORK.iter().any(|(phrase, _)| stands(phrase))
    }

    /// The longest part from here that reads as a quantity; if none does, the part that was probably meant.
    fn longest<Q: std::str::FromStr>(&self) -> (usize, bool) {
        let most = self.words.len().min(self.at + LONGEST_QUANTITY);
        for to in (self.at + 1..=most).rev() {
            if self.between(self.at, to).parse::<Q>().is_ok() {
                return (to, true);
            }
        }
        let mut probe = Line {
            cut: self.cut,
            words: self.words.clone(),
            at: self.at + 1,
            parts: Vec::new(),
        };
        while probe.at < most
            && !probe.at_tail()
            && MATERIAL
                .iter()
                .all(|(phrase, _)| probe.phrase(probe.at, phrase).is_none())
        {
            probe.at += 1;
        }
        (probe.at.min(self.words.len()), false)
    }

    fn quantity<Q: Quantity>(
        &mut self,
        reader: &mut Reader<'_>,
        bounds: &limits::Bounds,
    ) -> Option<Marked<Q>> {
        let (to, _) = self.longest::<Q>();
        let part = self.between(self.at, to);
        self.at = to;
        reader.quantity_in(self.cut, part, bounds)
    }

    fn size(
        &mut self,
        reader: &mut Reader<'_>,
        bounds: &limits::Bounds,
        example: &str,
    ) -> Option<Size> {
        if self.peek().is_none() || self.at_tail() {
            reader.report(
                Diagnostic::new(
                    "E0120",
                    self.cut.inner(),
                    format!("{} has no size", quoted(self.cut.text)),
                )
                .label("how large?")
                .hint(format!("write a size like `{example}`")),
            );
            return None;
        }
        let (to, _) = self.longest::<Size>();
        let part = self.between(self.at, to);
        self.at = to;
        self.parts.push((Part::Size, part));
        Some(reader.size_in(self.cut, part, bounds)?.value)
    }

    /// Notes that the step starts with words that nobody knows, and which were probably meant.
    fn unknown(&self, reader: &mut Reader<'_>) {
        let mut best: Option<(usize, usize, &'static str)> = None;
        if !reader.is_full() {
            for phrase in words::listed(STEP)
                .into_iter()
                .chain(words::listed(HEADING))
            {
                let count = phrase.split(' ').count();
                let part = self.between(0, count.min(self.words.len()));
                if let Some(near) = super::diagnostics::nearest(part, [phrase]) {
                    let distance = strsim::damerau_levenshtein(&part.to_lowercase(), near);
                    if best.is_none_or(|(least, longest, _)| {
                        distance < least || (distance == least && count > longest)
                    }) {
                        best = Some((distance, count, near));
                    }
                }
            }
        }
        let title = format!("no walk step starts with {}", quoted(self.cut.text));
        reader.report(match best {
            Some((_, count, near)) => Diagnostic::new(
                "E0130",
                self.cut.span(self.between(0, count.min(self.words.len()))),
                title,
            )
            .label("unknown step")
            .suggest(Some(near)),
            None => {
                let known: Vec<_> = words::listed(STEP).into_iter().take(words::STEPS).collect();
                Diagnostic::new("E0130", self.cut.inner(), title)
                    .label("unknown step")
                    .hint(format!(
                        "write a length like `north 24 ft`, or one of: {}",
                        known.join(", ")
                    ))
            }
        });
    }

    /// Notes words that are left over after a step.
    fn leftover(&self, reader: &mut Reader<'_>, kind: &StepKind) {
        let word = self.peek().unwrap_or_default();
        let mut names = words::listed(REACH);
        names.extend(words::listed(WORK));
        names.push("in");
        match kind {
            StepKind::Straight { material: None, .. } => names.extend(words::listed(MATERIAL)),
            StepKind::Elbow { .. } => names.extend(words::listed(HEADING)),
            _ => {}
        }
        // Phrases of two words are compared with two words.
        let mut found: Option<(&str, &'static str)> = None;
        for name in names {
            let to = (self.at + name.split(' ').count()).min(self.words.len());
            let part = self.between(self.at, to);
            if let Some(near) = reader.near(part, [name]) {
                found = Some((part, near));
                break;
            }
        }
        let title = format!(
            "{} is not understood in {}",
            quoted(word),
            quoted(self.cut.text)
        );
        reader.report(match found {
            Some((part, near)) => Diagnostic::new("E0131", self.cut.span(part), title)
                .label("left over")
                .suggest(Some(near)),
            None => Diagnostic::new("E0131", self.cut.span(word), title)
                .label("left over")
                .hint(after_a_step(word)),
        });
    }
}

/// What may follow a step, for a word that may not.
fn after_a_step(word: &str) -> String {
    const KNOWN: &str = "a reach (open, under insulation, behind finish, none) or a work (unsealed, ordinary, mastic)";
    if word.chars().all(char::is_alphabetic) {
        let place = shown(word);
        format!("write `in {place}` if it names a place; else a step may be followed by {KNOWN}")
    } else {
        format!("a step may be followed by `in PLACE`, {KNOWN}")
    }
}
