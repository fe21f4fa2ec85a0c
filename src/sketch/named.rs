//! Mappings whose keys are free names.

use std::collections::BTreeMap;

use super::diagnostics::{Diagnostic, quoted};
use super::entries::twin_key;
use super::reader::Reader;
use super::span::{Marked, Span};
use super::tree::{Kind, Node};

/// The names of a mapping with what stands behind each; what is no mapping, stands twice or has nothing behind it is
/// reported. `remedy` says what to write instead.
pub(super) fn named<'n, 't>(
    reader: &mut Reader<'t>,
    node: &'n Node<'t>,
    what: &str,
    remedy: &str,
    name: impl Fn(&mut Reader<'t>, &'n Node<'t>) -> Option<Marked<String>>,
) -> Vec<(Marked<String>, &'n Node<'t>)> {
    let Kind::Mapping(pairs) = &node.kind else {
        reader.wrong_shape(node, what, remedy);
        return Vec::new();
    };
    let mut found = Vec::new();
    let mut seen: BTreeMap<String, Span> = BTreeMap::new();
    for (key, value) in pairs {
        let Some(name) = name(reader, key) else {
            continue;
        };
        if let Some(first) = seen.insert(name.value.clone(), name.at) {
            reader.report(twin_key(name.at, &name.value, first));
            continue;
        }
        if value.kind == Kind::Nothing {
            reader.report(
                Diagnostic::new(
                    "E0111",
                    name.at,
                    format!("nothing is written for {}", quoted(&name.value)),
                )
                .label("no value follows")
                .hint(format!("write {remedy}, or take it out")),
            );
            continue;
        }
        found.push((name, value));
    }
    found
}
