//! Reads money: `1.45 per therm`, `$980`.

use super::diagnostics::{Diagnostic, quoted};
use super::limits;
use super::reader::{Cut, Reader};
use super::span::Marked;
use super::tree::Node;
use super::types::Price;
use crate::quantity::{Energy, Quantity};

/// Currencies that `$` may stand for, as people write them.
const DOLLARS: [&str; 6] = ["$", "USD", "CAD", "AUD", "NZD", "SGD"];
/// Signs and the words they stand for.
const SIGNS: [(&str, &[&str]); 3] = [("$", &DOLLARS), ("€", &["€", "EUR"]), ("£", &["£", "GBP"])];

/// The word for the money.
pub(super) fn currency<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Marked<String>> {
    let name = reader.name(node, "a currency")?;
    let is_word = name.value.chars().all(char::is_alphabetic);
    let is_sign = SIGNS.iter().any(|(sign, _)| *sign == name.value);
    if !is_word && !is_sign {
        reader.report(
            Diagnostic::new(
                "E0280",
                name.at,
                format!("{} is no single currency", quoted(&name.value)),
            )
            .label("one word for the money")
            .hint("write one word like `USD` or `EUR`; all prices of a sketch are in it"),
        );
        return None;
    }
    Some(name)
}

/// `1.45 per therm`.
pub(super) fn price<'t>(
    reader: &mut Reader<'t>,
    node: &Node<'t>,
    currency: Option<&Marked<String>>,
) -> Option<Marked<Price>> {
    const HINT: &str =
        "write one price with its unit of energy like `1.45 per therm` or `0.17 per kWh`";
    let cut = reader.words(node, "a price")?;
    let lower = cut.text.to_ascii_lowercase();
    let bad = |reader: &mut Reader<'_>, title: String, label: &str| {
        reader.report(
            Diagnostic::new("E0280", cut.inner(), title)
                .label(label)
                .hint(HINT),
        );
        None
    };
    let marks = lower.matches(" per ").count() + lower.matches('/').count();
    if marks > 1 {
        let title = format!("{} gives more than one price", quoted(cut.text));
        return bad(reader, title, "which of them?");
    }
    let at = lower
        .find(" per ")
        .map(|i| (i, i + 5))
        .or_else(|| lower.find('/').map(|i| (i, i + 1)));
    let Some((end, start)) = at else {
        let title = format!(
            "{} does not say the price of how much energy",
            quoted(cut.text)
        );
        return bad(reader, title, "per what?");
    };
    let (money, unit) = (cut.text[..end].trim(), cut.text[start..].trim());
    let symbol = Energy::KIND.units.iter().find(|known| {
        known.symbol.eq_ignore_ascii_case(unit) && format!("1 {unit}").parse::<Energy>().is_ok()
    });
    let unit_j = format!("1 {unit}").parse::<Energy>().map(Energy::si);
    let (symbol, unit_j) = match (symbol, unit_j) {
        (Some(known), Ok(unit_j)) => (known.symbol, unit_j),
        // Another spelling of a unit: the one of the same size.
        (None, Ok(unit_j)) => {
            let same = Energy::KIND
                .units
                .iter()
                .find(|known| (known.to_si(1.0) / unit_j - 1.0).abs() < 1e-12);
            (same?.symbol, unit_j)
        }
        (_, Err(_)) => {
            let units: Vec<&str> = Energy::KIND
                .units
                .iter()
                .map(|known| known.symbol)
                .collect();
            reader.report(
                Diagnostic::new(
                    "E0280",
                    cut.span(unit),
                    format!("{} is no unit of energy", quoted(unit)),
                )
                .label("unknown unit")
                .hint(format!("{HINT} (units: {})", units.join(", "))),
            );
            return None;
        }
    };
    let money = amount(reader, &cut, money, currency, &limits::PRICE)?;
    Some(Marked::new(
        Price {
            money,
            unit_j,
            unit: symbol,
        },
        cut.inner(),
    ))
}

/// `980`, `$980`.
pub(super) fn bill<'t>(
    reader: &mut Reader<'t>,
    node: &Node<'t>,
    currency: Option<&Marked<String>>,
) -> Option<Marked<f64>> {
    let cut = reader.words(node, "a bill")?;
    let money = amount(reader, &cut, cut.text, currency, &limits::BILL)?;
    Some(Marked::new(money, cut.inner()))
}

/// A number, with a word or sign for the money before or after it.
fn amount(
    reader: &mut Reader<'_>,
    cut: &Cut<'_>,
    part: &str,
    currency: Option<&Marked<String>>,
    bounds: &limits::Bounds,
) -> Option<f64> {
    let is_word = |c: char| c.is_alphabetic() || matches!(c, '$' | '€' | '£');
    let number = part.trim_matches(|c: char| is_word(c) || c == ' ');
    let words: Vec<&str> = part
        .split(|c: char| !is_word(c))
        .filter(|word| !word.is_empty())
        .collect();
    for word in words {
        let known = currency.is_none_or(|said| same_money(&said.value, word));
        if known {
            continue;
        }
        let said = currency?;
        reader.report(
            Diagnostic::new(
                "E0281",
                cut.span(word),
                format!(
                    "{} is another money than {}",
                    quoted(word),
                    quoted(&said.value)
                ),
            )
            .label("the second currency")
            .also(said.at, "the first")
            .hint("write all prices and bills in one currency"),
        );
        return None;
    }
    if number.is_empty() {
        reader.report(
            Diagnostic::new(
                "E0280",
                cut.inner(),
                format!("{} holds no amount of money", quoted(cut.text)),
            )
            .label("how much?")
            .hint("write a number, as in `1.45 per therm`"),
        );
        return None;
    }
    reader
        .number_in(cut, number, bounds)
        .map(|number| number.value)
}

/// Whether two words or signs may stand for one money.
fn same_money(said: &str, word: &str) -> bool {
    said.eq_ignore_ascii_case(word)
        || SIGNS.iter().any(|(sign, words)| {
            let means = |one: &str| words.iter().any(|known| known.eq_ignore_ascii_case(one));
            (*sign == word && means(said)) || (*sign == said && means(word))
        })
}
