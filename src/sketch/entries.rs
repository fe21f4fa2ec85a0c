//! Reads mappings by their tables.

use super::diagnostics::{Diagnostic, quoted, some_of};
use super::fields::{Field, Table};
use super::reader::{Cut, Reader};
use super::span::Span;
use super::tree::{Kind, Node};

/// The values of one mapping by key.
pub(super) struct Entries<'n, 't> {
    /// Place of the mapping.
    pub at: Span,
    table: &'static Table,
    values: Vec<Option<(Span, &'n Node<'t>)>>,
}

impl<'n, 't> Entries<'n, 't> {
    /// The value of a key of the table; `None` if it is absent or nothing is written there.
    pub fn get(&self, key: &str) -> Option<&'n Node<'t>> {
        self.entry(key).map(|(_, node)| node)
    }

    /// Place of a key that stands in the mapping with a value.
    pub fn key_at(&self, key: &str) -> Option<Span> {
        self.entry(key).map(|(at, _)| at)
    }

    fn entry(&self, key: &str) -> Option<(Span, &'n Node<'t>)> {
        let idx = self.table.fields.iter().position(|field| field.key == key);
        assert!(idx.is_some(), "`{key}` is a key of {}", self.table.name);
        idx.and_then(|i| self.values[i])
    }
}

impl<'t> Reader<'t> {
    /// The entries of a mapping: unknown keys, twins and missing keys are noted.
    pub fn mapping<'n>(
        &mut self,
        node: &'n Node<'t>,
        table: &'static Table,
    ) -> Option<Entries<'n, 't>> {
        let Kind::Mapping(pairs) = &node.kind else {
            self.wrong_shape(node, table.name, "a mapping like `key: value`");
            return None;
        };
        let mut values = vec![None; table.fields.len()];
        let mut seen: Vec<Option<Span>> = vec![None; table.fields.len()];
        let mut meant = Vec::new();
        for (key, value) in pairs {
            let Some(cut) = self.cut(key) else {
                self.report(
                    Diagnostic::new(
                        "E0111",
                        key.at,
                        format!("expected a word as key, found {}", key.shape()),
                    )
                    .label(format!("not a key of {}", table.name)),
                );
                continue;
            };
            let Some(idx) = table.fields.iter().position(|field| field.key == cut.text) else {
                meant.extend(self.unknown_key(&cut, table));
                continue;
            };
            if let Some(first) = seen[idx] {
                self.report(twin_key(cut.inner(), cut.text, first));
                continue;
            }
            seen[idx] = Some(cut.inner());
            if value.kind == Kind::Nothing {
                self.report(no_value(&cut, &table.fields[idx]));
            } else {
                values[idx] = Some((cut.inner(), value));
            }
        }
        let stated = |key: &str| {
            table
                .fields
                .iter()
                .position(|f| f.key == key)
                .and_then(|i| seen[i])
        };
        for field in table
            .fields
            .iter()
            .filter(|field| field.required && stated(field.key).is_none())
        {
            // A misspelt key is one mistake, not two.
            if !meant.contains(&field.key) {
                self.report(
                    Diagnostic::new(
                        "E0110",
                        self.head(node),
                        format!("{} needs the key `{}`", table.name, field.key),
                    )
                    .label(format!("`{}` is missing here", field.key))
                    .hint(format!("add `{}: ...`: {}", field.key, field.doc)),
                );
            }
        }
        for (key, needed) in table.needs {
            if let (Some(at), None) = (stated(key), stated(needed))
                && !meant.contains(needed)
            {
                let doc = table
                    .fields
                    .iter()
                    .find(|field| field.key == *needed)
                    .map_or("", |field| field.doc);
                self.report(
                    Diagnostic::new(
                        "E0142",
                        at,
                        format!("`{key}` needs the key `{needed}` beside it"),
                    )
                    .label(format!("without `{needed}`"))
                    .hint(format!("add `{needed}: ...`: {doc}")),
                );
            }
        }
        // Without a kind there is nothing to belong to.
        if table.one_of.iter().any(|key| stated(key).is_some()) {
            for only in table.only_with {
                if let Some(at) = stated(only.key)
                    && !only.with.iter().any(|key| stated(key).is_some())
                {
                    self.report(
                        Diagnostic::new(
                            "E0142",
                            at,
                            format!("`{}` belongs to {}", only.key, only.words),
                        )
                        .label("not of this entry")
                        .hint("take it out, or change the kind of the entry"),
                    );
                }
            }
        }
        if !table.one_of.is_empty() && !meant.iter().any(|key| table.one_of.contains(key)) {
            let stated: Vec<(&str, Span)> = table
                .one_of
                .iter()
                .filter_map(|key| Some((*key, stated(key)?)))
                .collect();
            self.exactly_one(node, table, &stated);
        }
        Some(Entries {
            at: node.at,
            table,
            values,
        })
    }

    fn exactly_one(&mut self, node: &Node<'t>, table: &'static Table, stated: &[(&str, Span)]) {
        // Where there are many kinds they go into the hint.
        const FEW: usize = 6;
        let listed = |mark: &str| {
            let marked: Vec<String> = table
                .one_of
                .iter()
                .map(|key| format!("{mark}{key}{mark}"))
                .collect();
            marked.join(", ")
        };
        let is_long = table.one_of.len() > FEW;
        let needs = if is_long {
            format!(
                "{} needs exactly one of its {} kinds",
                table.name,
                table.one_of.len()
            )
        } else {
            format!("{} needs exactly one of {}", table.name, listed("`"))
        };
        match stated {
            [_] => {}
            [] => {
                let first = table.fields.iter().find(|f| table.one_of.contains(&f.key));
                let example = first.map_or(String::new(), |f| match f.shape.example() {
                    Some(example) => format!("add one of them, like `{}: {example}`", f.key),
                    None if is_long => format!("add one of: {}", listed("")),
                    None => format!("add one of them, like `{}: ...`: {}", f.key, f.doc),
                });
                self.report(
                    Diagnostic::new("E0140", self.head(node), format!("{needs}, found none"))
                        .label("none of them stands here")
                        .hint(example),
                );
            }
            [(first, at), (second, also), ..] => self.report(
                Diagnostic::new(
                    "E0140",
                    *also,
                    format!("{needs}, found `{first}` and `{second}`"),
                )
                .label("one too many")
                .also(*at, "the first")
                .hint(format!("write a separate entry for `{second}`")),
            ),
        }
    }

    /// Whether a key is the rest of a number that was written with a comma: `{floor area: 1,250 ft2}`.
    fn cuts_a_number(&self, cut: &Cut<'_>) -> bool {
        let digit = |c: char| c.is_ascii_digit();
        cut.text.starts_with(digit)
            && self
                .source
                .get(..cut.inner().start)
                .and_then(|before| before.trim_end().strip_suffix(','))
                .is_some_and(|before| before.ends_with(digit))
    }

    /// Notes an unknown key and returns the one that was probably meant.
    fn unknown_key(&mut self, cut: &Cut<'_>, table: &'static Table) -> Option<&'static str> {
        let plain = cut.text.to_lowercase().replace(['_', '-'], " ");
        let names: Vec<&'static str> = table.fields.iter().map(|field| field.key).collect();
        let exact = names.iter().copied().find(|name| *name == plain);
        let near = exact.or_else(|| self.near(cut.text, names.iter().copied()));
        let title = format!("{} has no key {}", table.name, quoted(cut.text));
        let diagnostic = Diagnostic::new("E0109", cut.inner(), title).label("unknown key");
        self.report(match near {
            Some(_) => diagnostic.suggest(near),
            None if cut.text == "<<" => {
                diagnostic.hint("merging with `<<` is not read: write the values out")
            }
            None if self.cuts_a_number(cut) => diagnostic.hint(
                "inside `{ }` a comma ends an entry: write the number without it, `1250` for `1,250`",
            ),
            None => diagnostic.hint(format!("known keys: {}", some_of(names.iter().copied()))),
        });
        near
    }
}

fn no_value(cut: &Cut<'_>, field: &Field) -> Diagnostic {
    Diagnostic::new(
        "E0111",
        cut.inner(),
        format!("nothing is written for {}", quoted(cut.text)),
    )
    .label("no value follows")
    .hint(format!("write {}, or take the key out", field.doc))
}

/// Words for a key that stands twice.
pub(super) fn twin_key(at: Span, key: &str, first: Span) -> Diagnostic {
    Diagnostic::new("E0108", at, format!("the key {} stands twice", quoted(key)))
        .label("a second time")
        .also(first, "first here")
        .hint("keep one of them")
}
