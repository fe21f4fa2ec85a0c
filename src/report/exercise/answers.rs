//! The answer file of an exercise: the contract `ductseam/answers/1`.
//!
//! SI; volume flows at 1.204 kg/m³. Fields are only ever added within version 1.

use serde::{Deserialize, Serialize};

use crate::system::{Relation, Seen, System};
use crate::teach::{Chosen, Exercise, SeamTruth, Teachable};

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/answers/1";

/// What is kept from the class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Answers {
    format: String,
    /// Title of the sketch handed out.
    pub title: String,
    /// Seed it was made with.
    pub seed: u64,
    /// Fingerprint of the sketch handed out, see [`fingerprint`].
    pub sketch: String,
    chosen: ChosenPart,
    /// All leakage in the total set-up, m³/s.
    total_m3_s: f64,
    seams: Vec<SeamPart>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct ChosenPart {
    /// Number of the truth taken.
    index: usize,
    /// Truths looked at.
    tried: usize,
    /// Truths passed over because they leak more in the total set-up than the unit moves.
    #[serde(default)]
    beyond_airflow: usize,
    /// `open`, `run`, `seam` or `even`.
    because: String,
    /// Seam or run it is about.
    at: String,
    /// Part of all leakage, or of a run how many times the middle one.
    figure: f64,
    /// In words.
    words: String,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct SeamPart {
    id: String,
    q25_m3_s: f64,
    n: f64,
    open: bool,
    test_m3_s: f64,
    running_m3_s: Option<f64>,
}

impl Answers {
    /// Of an exercise; `read` is the sketch handed out, read back.
    #[must_use]
    pub fn of(exercise: &Exercise, read: &System, seed: u64) -> Self {
        Answers {
            format: FORMAT.to_owned(),
            title: read.title.clone(),
            seed,
            sketch: fingerprint(read),
            chosen: chosen(&exercise.chosen),
            total_m3_s: exercise.truth.iter().map(|seam| seam.test_m3_s).sum(),
            seams: exercise
                .truth
                .iter()
                .map(|seam| SeamPart {
                    id: seam.id.clone(),
                    q25_m3_s: seam.q25_m3_s,
                    n: seam.n,
                    open: seam.open,
                    test_m3_s: seam.test_m3_s,
                    running_m3_s: seam.running_m3_s,
                })
                .collect(),
        }
    }

    /// As text, with a final newline.
    #[must_use]
    pub fn json(&self) -> String {
        crate::report::pretty(self)
    }

    /// What there was to be learnt, and how the truth was chosen.
    #[must_use]
    pub fn chosen_words(&self) -> &str {
        &self.chosen.words
    }

    /// The truth in the order of a system's seams.
    ///
    /// # Errors
    /// Words on what does not fit: another sketch, a figure that is none.
    pub fn truth(&self, system: &System) -> Result<Vec<SeamTruth>, String> {
        if self.seams.len() != system.seams.len()
            || self
                .seams
                .iter()
                .zip(&system.seams)
                .any(|(kept, seam)| kept.id != seam.id)
        {
            return Err(format!(
                "the answers hold {} seams of `{}`, and the sketch has {} seams that are not all the same",
                self.seams.len(),
                self.title,
                system.seams.len()
            ));
        }
        if self.sketch != fingerprint(system) {
            return Err(format!(
                "the answers belong to other readings or looks than the sketch holds (`{}`)",
                self.title
            ));
        }
        let sound = |seam: &&SeamPart| {
            let flow = |flow: f64| flow.is_finite() && flow >= 0.0;
            flow(seam.q25_m3_s)
                && seam.q25_m3_s > 0.0
                && (0.5..=1.0).contains(&seam.n)
                && flow(seam.test_m3_s)
        };
        if let Some(bad) = self.seams.iter().find(|seam| !sound(seam)) {
            return Err(format!(
                "the answers hold no sound figures for `{}`",
                bad.id
            ));
        }
        Ok(self
            .seams
            .iter()
            .map(|seam| SeamTruth {
                id: seam.id.clone(),
                q25_m3_s: seam.q25_m3_s,
                n: seam.n,
                open: seam.open,
                test_m3_s: seam.test_m3_s,
                running_m3_s: seam.running_m3_s,
            })
            .collect())
    }
}

/// Reads an answer file.
///
/// # Errors
/// Words on what is wrong: no JSON, another format, a missing field.
pub fn read_answers(text: &str) -> Result<Answers, String> {
    let value: serde_json::Value = serde_json::from_str(text.trim_start_matches('\u{feff}'))
        .map_err(|error| format!("it is not JSON: {error}"))?;
    match value.get("format").and_then(serde_json::Value::as_str) {
        Some(FORMAT) => {}
        Some(other) => return Err(format!("its format is `{other}`, not `{FORMAT}`")),
        None => return Err(format!("it has no `format`; answers have `{FORMAT}`")),
    }
    serde_json::from_value(value).map_err(|error| error.to_string())
}

fn chosen(chosen: &Chosen) -> ChosenPart {
    let (because, at, figure, words) = match &chosen.because {
        Teachable::Open { seam, part } => (
            "open",
            seam,
            *part,
            format!(
                "`{seam}` hangs open and brings {:.0} % of all leakage",
                100.0 * part
            ),
        ),
        Teachable::Run { run, times } => (
            "run",
            run,
            *times,
            format!("run `{run}` leaks {times:.1} times what the middle run does"),
        ),
        Teachable::Seam { seam, part } => (
            "seam",
            seam,
            *part,
            format!("`{seam}` alone brings {:.0} % of all leakage", 100.0 * part),
        ),
        Teachable::Even { seam, part } => (
            "even",
            seam,
            *part,
            format!(
                "nothing stands out; the largest single part is that of `{seam}`, {:.0} %",
                100.0 * part
            ),
        ),
    };
    let how = match &chosen.because {
        _ if chosen.beyond_airflow == chosen.tried => {
            format!("one of {} truths drawn", chosen.tried)
        }
        Teachable::Even { .. } => format!("the most uneven of {} truths drawn", chosen.tried),
        _ if chosen.tried == 1 => "the first truth drawn teaches that".to_owned(),
        _ => format!(
            "the first of {} truths drawn to teach something",
            chosen.tried
        ),
    };
    let passed = match chosen.beyond_airflow {
        0 => String::new(),
        all if all == chosen.tried => {
            "; all leak more at the test pressure than the unit moves, this one least".to_owned()
        }
        some => format!(
            "; {some} that leak more at the test pressure than the unit moves were passed over"
        ),
    };
    ChosenPart {
        index: chosen.index,
        tried: chosen.tried,
        beyond_airflow: chosen.beyond_airflow,
        because: because.to_owned(),
        at: at.clone(),
        figure,
        words: format!("{words} ({how}{passed})"),
    }
}

/// Fingerprint of what a sketch says of its seams, readings and looks, 16 hexadecimal digits: comments, titles and the way
/// it is written do not change it. It guards against mix-ups, not against forgery.
///
/// # Source
/// The 64-bit FNV-1a hash (public domain; from memory).
#[must_use]
pub fn fingerprint(system: &System) -> String {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    let mut take = |text: &str| {
        for byte in text.bytes().chain([0]) {
            hash ^= u64::from(byte);
            hash = hash.wrapping_mul(0x0100_0000_01b3);
        }
    };
    for seam in &system.seams {
        take(&seam.id);
        take(&seam.joint_type);
        take(&format!("{:.4e} {}", seam.amount, seam.work.word()));
    }
    for reading in &system.readings {
        let relation = match reading.relation {
            Relation::Equals => "=",
            Relation::Below => "<",
        };
        take(&format!("{} {relation} {:.4e}", reading.id, reading.value));
    }
    for look in &system.looks {
        let seen = match &look.seen {
            Seen::Smoke(smoke) => format!("{smoke:?}"),
            Seen::Gap(width) => format!("{:.4e}", width.si()),
            Seen::Sealed => "sealed".to_owned(),
            Seen::Hanging => "hanging".to_owned(),
        };
        take(&format!("{:?} {seen}", look.seams));
    }
    format!("{hash:016x}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;
    use crate::teach::make;

    #[test]
    fn answers_come_back_as_they_were_written() {
        let system = samples::system();
        let exercise = make(&system, 1).expect("made");
        let answers = Answers::of(&exercise, &exercise.system, 1);
        let read = read_answers(&answers.json()).expect("sound");
        assert_eq!(read, answers);
        assert_eq!(
            read.truth(&exercise.system).expect("the same sketch"),
            exercise.truth
        );
    }

    #[test]
    fn another_sketch_other_readings_and_other_files_are_refused_in_words() {
        let system = samples::system();
        let exercise = make(&system, 1).expect("made");
        let answers = Answers::of(&exercise, &exercise.system, 1);
        let mut other = exercise.system.clone();
        other.readings[0].value *= 1.1;
        assert!(
            answers
                .truth(&other)
                .expect_err("other")
                .contains("readings")
        );
        other.seams.pop();
        assert!(answers.truth(&other).expect_err("other").contains("seams"));
        assert!(read_answers("not JSON").is_err());
        let wrong = read_answers("{\"format\": \"ductseam/plan/1\"}").expect_err("another");
        assert!(wrong.contains("ductseam/plan/1"));
        let cut = answers.json().replace("\"test_m3_s\"", "\"other\"");
        assert!(
            read_answers(&cut)
                .expect_err("a field")
                .contains("test_m3_s")
        );
    }

    #[test]
    fn the_hash_is_the_published_one() {
        // FNV-1a 64 of the empty string is its offset basis.
        let mut empty = samples::system();
        empty.seams.clear();
        empty.readings.clear();
        empty.looks.clear();
        assert_eq!(fingerprint(&empty), "cbf29ce484222325");
    }
}
