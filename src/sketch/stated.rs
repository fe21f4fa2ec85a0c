//! Reads what a reading states: its value, its pressure and its error.

use super::diagnostics::{Diagnostic, quoted};
use super::limits;
use super::reader::{Cut, Reader};
use super::reading_kinds::{ReadingForm, Takes};
use super::span::Marked;
use super::tree::{Kind, Node};
use super::types::{Amount, ReadValue, Relation};
use crate::quantity::{Flow, Fraction, Parts, Pressure, Quantity, QuantityErrorKind, Stated};

/// A pressure's error may exceed the pressure up to this, Pa. Engineering estimate: no gauge for ducts is worse.
const LARGEST_PRESSURE_ERROR_PA: f64 = 5.0;

/// One value, or a list of them; `None` when something is wrong with any.
pub(super) fn values<'t>(
    reader: &mut Reader<'t>,
    node: &Node<'t>,
    form: &ReadingForm,
) -> Option<Vec<ReadValue>> {
    let Kind::List(items) = &node.kind else {
        return Some(vec![stated(reader, node, form)?]);
    };
    if items.is_empty() {
        reader.report(
            Diagnostic::new("E0110", node.at, "the list of readings is empty")
                .label("an empty list")
                .hint("write one value, or several between the brackets"),
        );
        return None;
    }
    let read: Vec<Option<ReadValue>> = items
        .iter()
        .map(|item| stated(reader, item, form))
        .collect();
    read.into_iter().collect()
}

fn stated<'t>(reader: &mut Reader<'t>, node: &Node<'t>, form: &ReadingForm) -> Option<ReadValue> {
    let cut = reader.words(node, "a reading")?;
    match form.takes {
        Takes::Flow(bounds) => value::<Flow>(reader, &cut, bounds, form, Amount::Flow),
        Takes::Pressure(bounds) => value::<Pressure>(reader, &cut, bounds, form, Amount::Pressure),
    }
}

/// `210 CFM25` as people say it: the flow and the pressure that are meant.
fn run_together(value: &str) -> Option<String> {
    let flow = value.trim_end_matches(|c: char| c.is_ascii_digit());
    let pressure = &value[flow.len()..];
    let flow = flow.trim();
    (!pressure.is_empty() && flow.parse::<Flow>().is_ok()).then(|| {
        let flow = if flow.to_ascii_lowercase().ends_with("cfm") {
            flow.to_ascii_lowercase()
        } else {
            flow.to_owned()
        };
        format!("{flow} at {pressure} Pa")
    })
}

/// `263 cfm at 25 Pa ± 3 %`.
fn value<Q: Quantity>(
    reader: &mut Reader<'_>,
    cut: &Cut<'_>,
    bounds: &limits::Bounds,
    form: &ReadingForm,
    amount: fn(Q) -> Amount,
) -> Option<ReadValue> {
    let is_flow = matches!(form.takes, Takes::Flow(_));
    let parts = match Parts::cut(cut.text) {
        Ok(parts) => parts,
        Err(error) => {
            reader.refuse(cut.inner(), &error);
            return None;
        }
    };
    if let Some(apart) = run_together(parts.value).filter(|_| is_flow) {
        let at = cut.span(parts.value);
        let title = format!(
            "{} runs a flow and its pressure together",
            quoted(parts.value)
        );
        let apart = match parts.at {
            // The pressure stands after it once more.
            Some(_) => apart.split(" at ").next().unwrap_or_default().to_owned(),
            None => apart,
        };
        reader.report(
            Diagnostic::new("E0120", at, title)
                .label("unknown unit")
                .suggest(Some(&apart)),
        );
        return None;
    }
    let read: Option<Marked<Q>> = reader.quantity_in(cut, parts.value, bounds);
    let pressure: Option<Option<Marked<Pressure>>> = match parts.at {
        Some(at) if !form.held => {
            reader.report(
                Diagnostic::new(
                    "E0143",
                    cut.span(at),
                    format!("`{}` has no pressure to be held", form.key),
                )
                .label("no test fan holds a pressure meanwhile")
                .hint("leave out `at` and what follows it"),
            );
            None
        }
        Some(at) => reader
            .quantity_in(cut, at, &limits::TEST_PRESSURE)
            .map(Some),
        None => Some(None),
    };
    let (read, pressure) = (read?, pressure?);
    let whole = match cut.text.parse::<Stated<Q>>() {
        Ok(whole) => whole,
        Err(error) => {
            let at = parts.coverage.or(parts.error).unwrap_or(cut.text);
            // The coverage is read first; an error that reads alone leaves the blame with the coverage.
            let at = match (parts.error, parts.coverage) {
                (Some(error), Some(coverage))
                    if coverage
                        .parse::<Fraction>()
                        .is_ok_and(|part| (part.si() - 0.95).abs() < 1e-9) =>
                {
                    error
                }
                _ => at,
            };
            if let (QuantityErrorKind::Sign, Some(part)) = (error.kind(), parts.error) {
                let si = part.parse::<Fraction>().map_or(0.0, Fraction::si);
                reader.within(cut.span(part), part, si.min(0.0), &limits::RELATIVE_ERROR);
                return None;
            }
            reader.refuse(cut.span(at), &error);
            return None;
        }
    };
    let error_at = cut.span(parts.error.unwrap_or(cut.text));
    if let Some(sd) = whole.relative_sd
        && !reader.within(
            error_at,
            parts.error.unwrap_or_default(),
            sd.si(),
            &limits::RELATIVE_ERROR,
        )
    {
        return None;
    }
    // A pressure may well be smaller than its error, and so may what is left to null.
    let most = match form.takes {
        Takes::Flow(bounds) if bounds.least > 0.0 => read.value.to_si(),
        Takes::Flow(_) => f64::INFINITY,
        Takes::Pressure(_) => read.value.to_si().abs().max(LARGEST_PRESSURE_ERROR_PA),
    };
    if let Some(sd) = whole.absolute_sd
        && sd.to_si() > most
    {
        reader.report(
            Diagnostic::new("E0141", error_at, "the error is larger than the reading")
                .label("one standard deviation")
                .hint("write `below ...` where only an upper bound is known"),
        );
        return None;
    }
    Some(ReadValue {
        relation: if parts.below {
            Relation::Below
        } else {
            Relation::Equals
        },
        value: Marked::new(amount(read.value), read.at),
        pressure,
        relative_sd: whole.relative_sd.map(|sd| Marked::new(sd, error_at)),
        absolute_sd: whole
            .absolute_sd
            .map(|sd| Marked::new(amount(sd), error_at)),
    })
}
