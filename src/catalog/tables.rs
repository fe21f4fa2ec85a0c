//! Reading the small tables: roughness, fittings, components, exponents.

use super::error::CatalogError;
use super::read::{Row, table};
use super::types::{Component, Exponent, Fitting, Roughness};

const ROUGHNESS: &[&str] = &[
    "id", "name", "words", "eps_mm", "low_mm", "high_mm", "source", "sure",
];
const FITTING: &[&str] = &["id", "name", "c", "low", "high", "leg", "source", "sure"];
const COMPONENT: &[&str] = &[
    "id", "name", "dp_pa", "low_pa", "high_pa", "m", "at", "source", "sure",
];
const EXPONENT: &[&str] = &["n", "use", "source", "sure"];

pub(super) fn read_roughness(
    text: &str,
    file: &str,
    errors: &mut Vec<CatalogError>,
) -> Vec<Roughness> {
    rows(text, file, ROUGHNESS, errors, |row| {
        let range = three(row, "eps_mm", "low_mm", "high_mm", 0.0, 10.0);
        let (id, name, words) = (
            row.id("id"),
            row.text("name", "name it"),
            row.text("words", "class it"),
        );
        let source = row.source("source", "sure");
        let (eps_mm, low, high) = range?;
        Some(Roughness {
            id: id?,
            name: name?,
            words: words?,
            eps_mm,
            low,
            high,
            source: source?,
        })
    })
}

pub(super) fn read_fittings(
    text: &str,
    file: &str,
    errors: &mut Vec<CatalogError>,
) -> Vec<Fitting> {
    rows(text, file, FITTING, errors, |row| {
        let range = three(row, "c", "low", "high", -10.0, 1000.0);
        let (id, name, leg) = (
            row.id("id"),
            row.text("name", "name it"),
            row.text("leg", "name the leg"),
        );
        let source = row.source("source", "sure");
        let (c, low, high) = range?;
        Some(Fitting {
            id: id?,
            name: name?,
            c,
            low,
            high,
            leg: leg?,
            source: source?,
        })
    })
}

pub(super) fn read_components(
    text: &str,
    file: &str,
    errors: &mut Vec<CatalogError>,
) -> Vec<Component> {
    rows(text, file, COMPONENT, errors, |row| {
        let range = three(row, "dp_pa", "low_pa", "high_pa", 0.0, 1000.0);
        let m = row.number("m", 1.0, 2.0);
        let (id, name, at) = (
            row.id("id"),
            row.text("name", "name it"),
            row.text("at", "name the reference flow"),
        );
        let source = row.source("source", "sure");
        let (dp_pa, low_pa, high_pa) = range?;
        Some(Component {
            id: id?,
            name: name?,
            dp_pa,
            low_pa,
            high_pa,
            m: m?,
            at: at?,
            source: source?,
        })
    })
}

pub(super) fn read_exponents(
    text: &str,
    file: &str,
    errors: &mut Vec<CatalogError>,
) -> Vec<Exponent> {
    rows(text, file, EXPONENT, errors, |row| {
        let (n, used_for) = (
            row.number("n", 0.5, 1.0),
            row.text("use", "say what it is used for"),
        );
        let source = row.source("source", "sure");
        Some(Exponent {
            n: n?,
            used_for: used_for?,
            source: source?,
        })
    })
}

pub(super) fn rows<T>(
    text: &str,
    file: &str,
    names: &'static [&'static str],
    errors: &mut Vec<CatalogError>,
    read: impl Fn(&mut Row) -> Option<T>,
) -> Vec<T> {
    let Some(table) = table(text, file, names, errors) else {
        return Vec::new();
    };
    table
        .rows
        .iter()
        .filter_map(|r| read(&mut Row::new(&table, r, errors)))
        .collect()
}

/// A value with its range, in order.
fn three(
    row: &mut Row,
    mid: &str,
    low: &str,
    high: &str,
    least: f64,
    most: f64,
) -> Option<(f64, f64, f64)> {
    let (m, l, h) = (
        row.number(mid, least, most),
        row.number(low, least, most),
        row.number(high, least, most),
    );
    let (m, l, h) = (m?, l?, h?);
    if l > m || m > h {
        row.fail(
            mid,
            format!("{m} is outside its range {l} to {h}"),
            "write low, value and high in rising order".into(),
        );
        return None;
    }
    Some((m, l, h))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_outside_its_own_range_is_refused() {
        let mut errors = Vec::new();
        let text = "id,name,c,low,high,leg,source,sure\nx,x,2,0.1,1,own,book,read\n";
        assert!(read_fittings(text, "f.csv", &mut errors).is_empty());
        assert_eq!(
            (errors.len(), errors[0].line, errors[0].column.as_str()),
            (1, 2, "c")
        );
    }

    #[test]
    fn a_row_without_a_source_is_refused() {
        let mut errors = Vec::new();
        let text = "id,name,words,eps_mm,low_mm,high_mm,source,sure\nx,x,rough,1,1,1,,read\n";
        assert!(read_roughness(text, "f.csv", &mut errors).is_empty());
        assert_eq!(errors[0].column, "source");
    }
}
