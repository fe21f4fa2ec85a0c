//! Sealing: from words to steps, and when readings and looks were made.

use super::groups::Seams;
use super::notes::{ESTIMATE, Notes};
use super::places::Places;
use super::types::{SealingStep, SeamIdx};
use crate::catalog::{Catalog, JointType, Work};
use crate::math::{exp, ln, square};
use crate::sketch::{Diagnostic, Marked, Sealing, Span, When, some_of};

/// Least and largest median part that remains after sealing. Engineering estimate: no sealing is perfect, and none
/// that was worth doing leaves most.
const REMAINS: (f64, f64) = (0.02, 0.6);

/// When each step was done, for readings and looks to be placed between them.
pub(super) struct Stages<'a> {
    steps: &'a [Sealing],
}

impl<'a> Stages<'a> {
    /// Of these steps; days that run backwards are noted.
    pub fn new(steps: &'a [Sealing], notes: &mut Notes) -> Self {
        for pair in steps.windows(2) {
            if let (Some(first), Some(second)) = (&pair[0].date, &pair[1].date)
                && second.value < first.value
            {
                notes.wrong(
                    Diagnostic::new(
                        "E0243",
                        second.at,
                        format!(
                            "`{}` stands after `{}` but is dated before it",
                            pair[1].id.value, pair[0].id.value
                        ),
                    )
                    .label("an earlier day")
                    .also(first.at, "the step before")
                    .hint("write the steps in the order of the work"),
                );
            }
        }
        Stages { steps }
    }

    /// How many steps were done: by `after` or `before`, else by the date where all steps have one, else none.
    pub fn of(
        &self,
        when: Option<&When>,
        date: Option<&Marked<String>>,
        at: Span,
        notes: &mut Notes,
    ) -> usize {
        match when {
            Some(when) => self.said(when, date, notes),
            None => date.map_or(0, |date| self.by_date(date, at, notes)),
        }
    }

    fn said(&self, when: &When, date: Option<&Marked<String>>, notes: &mut Notes) -> usize {
        let said = &when.step;
        let Some(i) = self.steps.iter().position(|s| s.id.value == said.value) else {
            let ids = || self.steps.iter().map(|s| s.id.value.as_str());
            let problem = Diagnostic::new(
                "E0244",
                said.at,
                format!("no step of sealing is called `{}`", said.value),
            )
            .label("unknown step");
            notes.wrong(match notes.near(&said.value, ids()) {
                Some(near) => problem.suggest(Some(near)),
                None if self.steps.is_empty() => {
                    problem.hint("list what was sealed under `sealing`")
                }
                None => problem.hint(format!("the steps are: {}", some_of(ids()))),
            });
            return 0;
        };
        if let (Some(own), Some(step)) = (date, &self.steps[i].date) {
            let (word, against) = if when.after {
                ("after", own.value < step.value)
            } else {
                ("before", own.value > step.value)
            };
            if against {
                notes.wrong(
                    Diagnostic::new(
                        "E0245",
                        said.at,
                        format!("`{word}: {}` does not fit the dates", said.value),
                    )
                    .also(own.at, "the day of this entry")
                    .hint(format!("the step is dated {}", step.value)),
                );
            }
        }
        i + usize::from(when.after)
    }

    fn by_date(&self, date: &Marked<String>, at: Span, notes: &mut Notes) -> usize {
        let days: Option<Vec<&str>> = self
            .steps
            .iter()
            .map(|s| Some(s.date.as_ref()?.value.as_str()))
            .collect();
        let Some(days) = days else { return 0 };
        if let Some(i) = days.iter().position(|day| *day == date.value) {
            let id = &self.steps[i].id.value;
            notes.wrong(
                Diagnostic::new(
                    "E0245",
                    date.at,
                    format!("`{id}` was done on the same day: was this before it or after?"),
                )
                .also(at, "this entry")
                .hint(format!("add `before: {id}` or `after: {id}`")),
            );
        }
        days.iter()
            .filter(|day| **day < date.value.as_str())
            .count()
    }
}

/// Resolves the steps of sealing; `work` is that of every seam before the first.
pub(super) fn resolve_sealing(
    steps: &[Sealing],
    seams: &Seams,
    mut work: Vec<Work>,
    places: &mut Places,
    notes: &mut Notes,
) -> Vec<SealingStep> {
    let mut found = Vec::new();
    for step in steps {
        let left = match &step.work {
            Some(said) => said.value,
            None => {
                notes.assume(
                    &format!("sealing {}", step.id.value),
                    "work: mastic",
                    super::notes::PRACTICE,
                );
                Work::Mastic
            }
        };
        let mut named: Vec<SeamIdx> = Vec::new();
        let mut first_at: Vec<Option<Span>> = vec![None; seams.list.len()];
        for said in &step.seams {
            let Some(these) = seams.find(said, places, notes) else {
                continue;
            };
            for i in these.seams {
                match first_at[i] {
                    Some(first) => {
                        notes.wrong(
                            Diagnostic::new(
                                "E0246",
                                said.at,
                                format!("`{}` seals `{}` twice", step.id.value, seams.list[i].id),
                            )
                            .label("a second time")
                            .also(first, "first here")
                            .hint("keep one of them"),
                        );
                        break;
                    }
                    None => {
                        first_at[i] = Some(said.at);
                        named.push(i);
                    }
                }
            }
        }
        let remains = named
            .iter()
            .map(|&i| {
                let catalog = seams.book.catalog;
                let part = catalog
                    .joint(&seams.list[i].joint_type)
                    .map_or(REMAINS.1, |joint| {
                        let by_type = joint.state(left).mean_q25 / joint.state(work[i]).mean_q25;
                        by_type.max(usual_left(catalog, joint))
                    });
                // Steps add up.
                work[i] = work[i].max(left);
                part.clamp(REMAINS.0, REMAINS.1)
            })
            .collect();
        notes.assume(
            &format!("sealing {}", step.id.value),
            "what remains of a seam: its joint type's mean when sealed over its mean as it was, but no less than its usual \
             method leaves on average, 2 % to 60 %",
            ESTIMATE,
        );
        found.push(SealingStep {
            id: step.id.value.clone(),
            date: step.date.as_ref().map(|date| date.value.clone()),
            seams: named,
            remains,
        });
    }
    found
}

/// Median part that remains of a joint of this type, such that its mean is what the method that suits it best leaves.
fn usual_left(catalog: &Catalog, joint: &JointType) -> f64 {
    let figures = catalog.look_figures();
    let variance = square(ln(figures.remains_shared_gsd)) + square(ln(figures.remains_own_gsd));
    let best = catalog.served(joint).and_then(|row| row.methods.first());
    best.and_then(|id| catalog.method(id))
        .map_or(REMAINS.0, |method| {
            method.mean_left() * exp(-0.5 * variance)
        })
}
