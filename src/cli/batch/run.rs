//! The line of work: one thread reads, all cores answer, one writes in the order of the input.

use std::collections::HashSet;
use std::io::IsTerminal;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, sync_channel};
use std::thread;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use rayon::prelude::*;
use sha2::{Digest, Sha256};

use super::input::{Input, Item};
use crate::batch::{Answered, Ask, Fault, Record, answer};
use crate::cli::Refused;
use crate::cli::files::talk;

/// Records that are answered together, for each thread: many enough that no core waits long for the last.
const AT_ONCE: usize = 16;
/// How often somebody who does not sit before a terminal is told how far it is.
const TOLD_EVERY: Duration = Duration::from_secs(30);

/// Sixteen bytes that stand for a text: the beginning of its SHA-256.
pub type Mark = [u8; 16];

/// The mark of some texts.
pub fn mark(texts: &[&[u8]]) -> Mark {
    let mut hash = Sha256::new();
    for text in texts {
        hash.update((text.len() as u64).to_le_bytes());
        hash.update(text);
    }
    let mut mark = [0; 16];
    mark.copy_from_slice(&hash.finalize()[..16]);
    mark
}

/// What became of one thing of the input.
pub enum Outcome {
    /// A record, answered or refused.
    Answered(Box<Answered>),
    /// No record could be read, or its name had been there before.
    NoRecord(Fault),
}

/// One thing of the input, done.
pub struct Done {
    /// Where it stood.
    pub place: String,
    /// Stands for it among all others.
    pub key: Mark,
    /// Stands for what it says.
    pub content: Mark,
    pub outcome: Outcome,
}

/// Where answers go.
pub trait Sink {
    /// Whether this has been done by an earlier run.
    fn has(&mut self, key: &Mark, content: &Mark, place: &str) -> bool;
    /// Takes some, in the order of the input. `false`: nobody wants any more.
    fn take(&mut self, done: Vec<Done>) -> Result<bool, Refused>;
}

/// How many of what.
#[derive(Debug, Default, Clone, Copy)]
pub struct Count {
    pub answered: u64,
    pub doubtful: u64,
    pub refused: u64,
    /// Done by an earlier run.
    pub before: u64,
}

struct Work {
    /// A fault of a record whose name is known gets a row, unless the name has one.
    has_row: bool,
    place: String,
    key: Mark,
    content: Mark,
    record: Result<Record, Fault>,
}

/// Answers everything.
pub fn run(input: Input, ask: &Ask<'_>, sink: &mut dyn Sink) -> Result<Count, Refused> {
    let total = input.count();
    let at_once = AT_ONCE * rayon::current_num_threads();
    let (send, receive) = sync_channel::<Item>(at_once);
    let mut talker = Talker::new(total);
    thread::scope(|scope| {
        let reader = scope.spawn(move || input.read(&mut |item| send.send(item).is_ok()));
        let counted = answer_all(&receive, at_once, ask, sink, &mut talker);
        // Ends the reader where it is not done.
        drop(receive);
        let read = reader.join().unwrap_or(Ok(()));
        talker.end();
        let count = counted?;
        read.map(|()| count)
    })
}

fn answer_all(
    receive: &Receiver<Item>,
    at_once: usize,
    ask: &Ask<'_>,
    sink: &mut dyn Sink,
    talker: &mut Talker,
) -> Result<Count, Refused> {
    let mut count = Count::default();
    let mut names: HashSet<Mark> = HashSet::new();
    while let Ok(first) = receive.recv() {
        // What is there already, and no waiting for more: a slow writer on the other side gets its answers.
        let rest = std::iter::from_fn(|| receive.try_recv().ok()).take(at_once - 1);
        let mut works = Vec::new();
        for item in std::iter::once(first).chain(rest) {
            let work = work(item, &mut names);
            if sink.has(&work.key, &work.content, &work.place) {
                count.before += 1;
            } else {
                works.push(work);
            }
        }
        let done: Vec<Done> = works
            .into_par_iter()
            .map(|work| Done {
                outcome: outcome(work.record, work.has_row, ask),
                place: work.place,
                key: work.key,
                content: work.content,
            })
            .collect();
        for done in &done {
            match &done.outcome {
                Outcome::Answered(answered) => match &answered.refused {
                    None => {
                        count.answered += 1;
                        count.doubtful += u64::from(answered.doubtful);
                    }
                    Some(why) => {
                        count.refused += 1;
                        talker.say(&format!("skipped: {}\n{}\n", done.place, indented(why)));
                    }
                },
                Outcome::NoRecord(fault) => {
                    count.refused += 1;
                    let name = fault
                        .id
                        .as_ref()
                        .map_or_else(String::new, |id| format!(" ({id})"));
                    talker.say(&format!("skipped: {}{name}: {}\n", done.place, fault.text));
                }
            }
        }
        let goes_on = sink.take(done)?;
        talker.at(&count);
        if !goes_on {
            break;
        }
    }
    Ok(count)
}

fn work(item: Item, names: &mut HashSet<Mark>) -> Work {
    let place = item.place;
    match item.record {
        Ok(record) => {
            let name = mark(&[b"name", record.id.as_bytes()]);
            if names.insert(name) {
                let seed = record.seed.map(u64::to_le_bytes);
                let content = mark(&[
                    record.sketch.as_bytes(),
                    seed.as_ref().map_or(&[], |seed| seed.as_slice()),
                ]);
                return Work {
                    has_row: true,
                    place,
                    key: name,
                    content,
                    record: Ok(record),
                };
            }
            let fault = Fault {
                text: format!(
                    "the name `{}` has been there before: give each record its own",
                    record.id
                ),
                id: Some(record.id),
            };
            no_record(place, fault)
        }
        Err(fault) => match &fault.id {
            Some(id) if names.insert(mark(&[b"name", id.as_bytes()])) => Work {
                has_row: true,
                place,
                key: mark(&[b"name", id.as_bytes()]),
                content: mark(&[b"fault", fault.text.as_bytes()]),
                record: Err(fault),
            },
            _ => no_record(place, fault),
        },
    }
}

fn no_record(place: String, fault: Fault) -> Work {
    let key = mark(&[b"fault", place.as_bytes(), fault.text.as_bytes()]);
    Work {
        has_row: false,
        place,
        key,
        content: key,
        record: Err(fault),
    }
}

fn outcome(record: Result<Record, Fault>, has_row: bool, ask: &Ask<'_>) -> Outcome {
    let record = match record {
        Ok(record) => record,
        Err(Fault { id: Some(id), text }) if has_row => {
            return Outcome::Answered(Box::new(Answered::refused(&id, &text)));
        }
        Err(fault) => return Outcome::NoRecord(fault),
    };
    // A fault of this program's own must not cost the other records their answers.
    let answered = catch_unwind(AssertUnwindSafe(|| answer(&record, ask))).unwrap_or_else(|_| {
        Answered::refused(
            &record.id,
            "error: the program failed on this record; that is a fault of the program, not of the sketch",
        )
    });
    Outcome::Answered(Box::new(answered))
}

fn indented(text: &str) -> String {
    let lines: Vec<String> = text.lines().map(|line| format!("  {line}")).collect();
    lines.join("\n")
}

/// Says how far it is.
struct Talker {
    bar: ProgressBar,
    is_seen: bool,
    begun: Instant,
    told: Instant,
}

impl Talker {
    fn new(total: Option<u64>) -> Talker {
        let is_seen = std::io::stderr().is_terminal();
        let bar = ProgressBar::with_draw_target(total, ProgressDrawTarget::stderr_with_hz(5));
        let words = if total.is_some() {
            "{pos} of {len} systems, {per_sec}, about {eta} left{msg}"
        } else {
            "{pos} systems, {per_sec}{msg}"
        };
        if let Ok(style) = ProgressStyle::with_template(words) {
            bar.set_style(style);
        }
        Talker {
            bar,
            is_seen,
            begun: Instant::now(),
            told: Instant::now(),
        }
    }

    fn say(&self, text: &str) {
        self.bar.suspend(|| talk(text));
    }

    fn at(&mut self, count: &Count) {
        let done = count.answered + count.refused + count.before;
        if count.refused > 0 {
            self.bar.set_message(format!(", {} skipped", count.refused));
        }
        self.bar.set_position(done);
        if !self.is_seen && self.told.elapsed() >= TOLD_EVERY {
            self.told = Instant::now();
            talk(&format!(
                "{done} systems after {:.0} s\n",
                self.begun.elapsed().as_secs_f64()
            ));
        }
    }

    fn end(&self) {
        self.bar.finish_and_clear();
    }
}
