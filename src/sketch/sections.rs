//! Whole sections of a sketch's text (a key in the first column with all beneath it) put in another's place.

use super::tree::{self, Kind};

/// The text with some of its sections replaced, everything else byte for byte as it was.
///
/// Each change is a key of the file and the text that takes its section's place, `None` to take the section out. A key
/// that the file does not have is added at the end. A section goes from its key to the next key of the file, without the
/// comments and blank lines right before that.
///
/// `None` where the text is no mapping with its keys in the first column (a whole file in braces, say).
///
/// # Examples
/// ```
/// use ductseam::sketch::with_sections;
/// let text = "a: 1\n# of b\nb:\n  - x   # gone\n# of c\nc: 3\n";
/// let changed = with_sections(text, &[("b", None), ("d", Some("d: 4\n".to_owned()))]);
/// assert_eq!(changed.as_deref(), Some("a: 1\n# of b\n# of c\nc: 3\nd: 4\n"));
/// ```
#[must_use]
pub fn with_sections(text: &str, changes: &[(&str, Option<String>)]) -> Option<String> {
    let root = tree::parse(text).ok()?;
    let Kind::Mapping(pairs) = &root.kind else {
        return None;
    };
    let mut starts = Vec::with_capacity(pairs.len());
    for (key, _) in pairs {
        let name = key.scalar(text)?.to_owned();
        let line = line_start(text, key.at.start);
        // The mark at the head of some files is no column.
        let before = text.get(line..key.at.start)?.trim_start_matches('\u{feff}');
        if !before.is_empty() {
            return None;
        }
        starts.push((name, key.at.start));
    }
    let end_of_all = end_mark(text);
    let mut changed = String::with_capacity(text.len());
    changed.push_str(text.get(..starts.first()?.1)?);
    for (at, (name, start)) in starts.iter().enumerate() {
        let next = starts.get(at + 1).map_or(end_of_all, |(_, start)| *start);
        let end = without_trailing_comments(text, *start, next)?;
        match changes.iter().find(|(key, _)| key == name) {
            Some((_, Some(new))) => changed.push_str(new),
            Some((_, None)) => {}
            None => changed.push_str(text.get(*start..end)?),
        }
        changed.push_str(text.get(end..next)?);
    }
    for (key, new) in changes {
        if let Some(new) = new
            && !starts.iter().any(|(name, _)| name == key)
        {
            if !changed.ends_with('\n') {
                changed.push('\n');
            }
            changed.push_str(new);
        }
    }
    changed.push_str(text.get(end_of_all..)?);
    Some(changed)
}

fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |newline| newline + 1)
}

/// Where the mark that ends a document stands, else the end of the text.
fn end_mark(text: &str) -> usize {
    text.rfind("\n...")
        .filter(|&at| text[at + 4..].trim().is_empty())
        .map_or(text.len(), |at| at + 1)
}

/// End of a section: the blank lines and comments in the first column before the next key stay with that.
fn without_trailing_comments(text: &str, start: usize, next: usize) -> Option<usize> {
    let mut end = next;
    while end > start {
        let line = line_start(text, end.checked_sub(1)?);
        let said = text.get(line..end)?;
        if line <= start || !(said.trim().is_empty() || said.starts_with('#')) {
            break;
        }
        end = line;
    }
    Some(end)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "# head\nductseam: 1\ntitle: one   # said\nreadings: [\n  {id: a}\n]\n\n# runs\nruns:\n- id: A\n# not of runs\n";

    #[test]
    fn lists_in_brackets_and_in_the_first_column_are_whole_sections() {
        let changed = with_sections(TEXT, &[("readings", None)]).expect("a mapping");
        assert_eq!(
            changed,
            "# head\nductseam: 1\ntitle: one   # said\n\n# runs\nruns:\n- id: A\n# not of runs\n"
        );
        let changed =
            with_sections(TEXT, &[("runs", Some("runs: []\n".into()))]).expect("a mapping");
        assert!(
            changed.ends_with("# runs\nruns: []\n# not of runs\n"),
            "{changed}"
        );
    }

    #[test]
    fn nothing_asked_leaves_every_byte() {
        for text in [
            TEXT,
            "\u{feff}a: 1\r\nb: 2\r\n",
            "---\na: |\n  # x\n\n  y\n...\n",
        ] {
            assert_eq!(with_sections(text, &[]).as_deref(), Some(text));
        }
    }

    #[test]
    fn what_is_added_stands_before_the_mark_that_ends_the_file_and_after_a_missing_line_end() {
        let add = [("b", Some("b: 2\n".to_owned()))];
        assert_eq!(
            with_sections("a: 1\n...\n", &add).as_deref(),
            Some("a: 1\nb: 2\n...\n")
        );
        assert_eq!(with_sections("a: 1", &add).as_deref(), Some("a: 1\nb: 2\n"));
    }

    #[test]
    fn a_file_in_braces_is_refused() {
        assert_eq!(with_sections("{a: 1, b: 2}\n", &[("a", None)]), None);
        assert_eq!(with_sections("- a\n", &[("a", None)]), None);
    }
}
