//! The page round the sections: head, title, choices of print, what stops the work.

use maud::{DOCTYPE, Markup, html};

use super::House;
use super::cautions::all;
use super::parts::{ours, said};
use crate::allocate::Status;

const STYLE: &str = include_str!("house.css");
const SCRIPT: &str = include_str!("house.js");
/// Nothing is loaded, from anywhere.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:";

/// A section with its id and the word for it in the list of contents.
pub struct Part {
    pub id: &'static str,
    pub name: &'static str,
    pub body: Markup,
}

impl Part {
    /// A section headed by its own name.
    pub fn new(id: &'static str, name: &'static str, body: &Markup) -> Part {
        Part {
            id,
            name,
            body: super::parts::section(id, name, body),
        }
    }
}

/// The whole document.
pub fn page(house: &House<'_>, parts: impl Iterator<Item = Part>) -> String {
    let parts: Vec<Part> = parts.collect();
    let title = &house.allocation.title;
    html! {
        (DOCTYPE)
        html lang="en" data-print="all" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="color-scheme" content="light dark";
                title { (title) " – duct leakage report" }
                style { (ours(STYLE)) }
            }
            body {
                a.skip href="#report" { "Skip to the report" }
                header {
                    p.kind { "Duct leakage report" }
                    h1 { (title) }
                    (top(house))
                    div.tools hidden {
                        label for="print-as" { "What to print" }
                        select id="print-as" {
                            option value="all" { "everything" }
                            option value="owner" { "two pages for the owner" }
                            option value="crew" { "cautions, drawing and work list" }
                        }
                        button id="print" type="button" { "Print" }
                    }
                }
                nav aria-label="Contents" {
                    ul { @for part in &parts { li { a href=(format!("#{}", part.id)) { (part.name) } } } }
                }
                main id="report" tabindex="-1" { @for part in &parts { (part.body) } }
                script { (ours(SCRIPT)) }
            }
        }
    }
    .into_string()
}

/// What stops the work and why the answer is doubtful, before anything else.
pub fn top(house: &House<'_>) -> Markup {
    html! { (stops(house)) (doubts(house)) }
}

/// What stops the work, before anything else.
fn stops(house: &House<'_>) -> Markup {
    let stops: Vec<String> = all(house)
        .into_iter()
        .filter(|caution| caution.stop)
        .map(|caution| caution.text)
        .collect();
    html! {
        @for text in &stops { p.stop { strong { "Stop: " } (said(text)) } }
    }
}

/// Why the answer is doubtful, loud; nothing where it is not.
fn doubts(house: &House<'_>) -> Markup {
    let reasons = reasons(house);
    html! {
        @if !reasons.is_empty() {
            div.doubtful {
                p { strong { "Doubtful: " } "the computation did not pass all of its own checks. Figures below may be off by more than their bands say." }
                ul { @for reason in &reasons { li { (said(reason)) } } }
            }
        }
    }
}

/// Why any of the answers shown is doubtful, each reason once.
fn reasons(house: &House<'_>) -> Vec<String> {
    let proof = house.proof.map(|proof| [&proof.before, &proof.after]);
    let answers = std::iter::once(house.allocation)
        .chain(proof.into_iter().flatten())
        .chain(house.next.map(|next| &next.allocation))
        .chain(house.plan.map(|plan| &plan.allocation));
    let mut found: Vec<String> = Vec::new();
    for answer in answers {
        if let Status::Doubtful { reasons } = &answer.status {
            for reason in reasons {
                if !found.contains(reason) {
                    found.push(reason.clone());
                }
            }
        }
    }
    found
}
