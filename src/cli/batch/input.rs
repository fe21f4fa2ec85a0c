//! Where records come from: folders, patterns, sketches, files of records, standard input.

use std::fs;
use std::io::{self, BufRead, BufReader, Read};
use std::path::{Path, PathBuf};

use crate::batch::{Fault, MOST_RECORD_BYTES, Record, too_long};
use crate::cli::Refused;
use crate::cli::files::talk;
use crate::disk::plain;

/// One thing of the input.
pub struct Item {
    /// Where it stands, for messages: `house.yaml`, `line 12`.
    pub place: String,
    /// The record, or why there is none.
    pub record: Result<Record, Fault>,
}

/// What the input is, before any of it is read.
pub struct Input {
    parts: Vec<Part>,
}

enum Part {
    /// A sketch and the name of its record.
    Sketch(PathBuf, String),
    Records(PathBuf),
    Standard,
}

impl Input {
    /// Finds what the words of the command line mean.
    pub fn new(words: &[PathBuf]) -> Result<Input, Refused> {
        let mut parts = Vec::new();
        for word in words {
            find(word, &mut parts)?;
        }
        if parts
            .iter()
            .filter(|part| matches!(part, Part::Standard))
            .count()
            > 1
        {
            return Err(Refused(
                "error: standard input is named twice\nhint: write `-` once\n".to_owned(),
            ));
        }
        Ok(Input { parts })
    }

    /// How many records there are, where that is known beforehand.
    pub fn count(&self) -> Option<u64> {
        self.parts
            .iter()
            .all(|part| matches!(part, Part::Sketch(..)))
            .then_some(self.parts.len() as u64)
    }

    /// Whether one of these files would be written over by a run into the folder.
    pub fn lies_in(&self, folder: &Path) -> Option<&Path> {
        let folder = fs::canonicalize(folder).ok()?;
        self.parts.iter().find_map(|part| match part {
            Part::Standard => None,
            Part::Sketch(path, _) | Part::Records(path) => {
                let real = fs::canonicalize(path).ok()?;
                (real.parent() == Some(folder.as_path())).then_some(path.as_path())
            }
        })
    }

    /// Hands all items to `each`, in order, until it says that it has had enough.
    ///
    /// # Errors
    /// When a stream of records breaks off: what follows is not known.
    pub fn read(self, each: &mut dyn FnMut(Item) -> bool) -> Result<(), Refused> {
        for part in self.parts {
            let goes_on = match part {
                Part::Sketch(path, id) => each(sketch(&path, id)),
                Part::Standard => records(BufReader::new(io::stdin().lock()), "line ", each)?,
                Part::Records(path) => {
                    let name = format!("{}:", path.display());
                    let file = fs::File::open(&path).map_err(|error| unreadable(&path, &error))?;
                    records(BufReader::new(file), &name, each)?
                }
            };
            if !goes_on {
                break;
            }
        }
        Ok(())
    }
}

fn find(word: &Path, parts: &mut Vec<Part>) -> Result<(), Refused> {
    if word == Path::new("-") {
        parts.push(Part::Standard);
        return Ok(());
    }
    if word.is_dir() {
        let (mut found, mut within) = (Vec::new(), 0);
        let listed = fs::read_dir(word).and_then(|entries| {
            for entry in entries {
                let path = entry?.path();
                if path.is_dir() {
                    within += 1;
                } else if is_sketch(&path) {
                    found.push(path);
                }
            }
            Ok(())
        });
        listed.map_err(|error| unreadable(word, &error))?;
        if found.is_empty() {
            return Err(Refused(format!(
                "error: the folder `{0}` holds no sketch (`.yaml` or `.yml`)\nhint: for folders within it write a pattern in quotes, such as `'{0}/**/*.yaml'`\n",
                word.display()
            )));
        }
        if within > 0 {
            talk(&format!(
                "not read: {within} folder(s) within `{0}`; for them write a pattern in quotes, such as `'{0}/**/*.yaml'`\n",
                word.display()
            ));
        }
        found.sort();
        for path in found {
            let id = name(path.strip_prefix(word).unwrap_or(&path));
            parts.push(Part::Sketch(path, id));
        }
        return Ok(());
    }
    if word.is_file() {
        parts.push(one(word.to_owned()));
        return Ok(());
    }
    let pattern = word.to_string_lossy();
    if !pattern.contains(['*', '?', '[']) {
        return Err(Refused(format!(
            "error: `{}` cannot be read: no such file or folder\n",
            word.display()
        )));
    }
    let matches = glob::glob(&pattern).map_err(|error| {
        Refused(format!(
            "error: the pattern `{pattern}` is not understood: {}\nhint: `*` stands for any letters of a name, `**` for folders, `?` for one letter\n",
            error.msg
        ))
    })?;
    let before = parts.len();
    for path in matches {
        let path = path.map_err(|error| unreadable(error.path(), error.error()))?;
        if path.is_file() {
            parts.push(one(path));
        }
    }
    if parts.len() == before {
        return Err(Refused(format!(
            "error: no file matches the pattern `{pattern}`\n"
        )));
    }
    Ok(())
}

fn one(path: PathBuf) -> Part {
    let is_records = path
        .extension()
        .is_some_and(|end| end.eq_ignore_ascii_case("ndjson") || end.eq_ignore_ascii_case("jsonl"));
    if is_records {
        Part::Records(path)
    } else {
        let id = name(&path);
        Part::Sketch(path, id)
    }
}

fn is_sketch(path: &Path) -> bool {
    path.extension()
        .is_some_and(|end| end.eq_ignore_ascii_case("yaml") || end.eq_ignore_ascii_case("yml"))
}

/// A file's name without its ending, with `/` between folders on every system.
fn name(path: &Path) -> String {
    let parts: Vec<_> = path
        .with_extension("")
        .components()
        .map(|part| part.as_os_str().to_string_lossy().into_owned())
        .collect();
    parts.join("/").replace("//", "/")
}

fn sketch(path: &Path, id: String) -> Item {
    let place = path.display().to_string();
    let mut bytes = Vec::new();
    let most = MOST_RECORD_BYTES as u64;
    let read = fs::File::open(path).and_then(|file| file.take(most + 1).read_to_end(&mut bytes));
    let fault = |text: String| {
        Err(Fault {
            id: Some(id.clone()),
            text,
        })
    };
    let record = match read {
        Err(error) => fault(format!("cannot be read: {}", plain(&error))),
        Ok(n) if n as u64 > most => Err(Fault {
            id: Some(id),
            ..too_long()
        }),
        Ok(_) => match String::from_utf8(bytes) {
            Err(error) => fault(format!(
                "is not UTF-8 text (byte {}); save it as UTF-8",
                error.utf8_error().valid_up_to() + 1
            )),
            Ok(sketch) => Ok(Record {
                id,
                sketch,
                seed: None,
            }),
        },
    };
    Item { place, record }
}

/// Reads lines of records. A line that is too long is passed over without being kept. Whether `each` wants more.
fn records(
    mut from: impl BufRead,
    name: &str,
    each: &mut dyn FnMut(Item) -> bool,
) -> Result<bool, Refused> {
    let mut number = 0_u64;
    let mut line = Vec::new();
    loop {
        number += 1;
        let place = || format!("{name}{number}");
        line.clear();
        let most = MOST_RECORD_BYTES as u64 + 2;
        let read = from.by_ref().take(most).read_until(b'\n', &mut line);
        let broken = |error: io::Error| {
            Refused(format!(
                "error: {}: the input breaks off: {}\n",
                place(),
                plain(&error)
            ))
        };
        if read.map_err(broken)? == 0 {
            return Ok(true);
        }
        let is_whole = line.last() == Some(&b'\n') || (line.len() as u64) < most;
        if !is_whole {
            skip_line(&mut from).map_err(broken)?;
        }
        if line.iter().all(u8::is_ascii_whitespace) && is_whole {
            continue;
        }
        let record = if is_whole {
            Record::read(&line)
        } else {
            Err(too_long())
        };
        if !each(Item {
            place: place(),
            record,
        }) {
            return Ok(false);
        }
    }
}

fn skip_line(from: &mut impl BufRead) -> io::Result<()> {
    loop {
        let held = from.fill_buf()?;
        if held.is_empty() {
            return Ok(());
        }
        match held.iter().position(|b| *b == b'\n') {
            Some(at) => {
                from.consume(at + 1);
                return Ok(());
            }
            None => {
                let n = held.len();
                from.consume(n);
            }
        }
    }
}

fn unreadable(path: &Path, error: &io::Error) -> Refused {
    Refused(format!(
        "error: `{}` cannot be read: {}\n",
        path.display(),
        plain(error)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn items(text: &[u8]) -> Vec<(String, Result<Record, Fault>)> {
        let mut found = Vec::new();
        let end = records(text, "line ", &mut |item| {
            found.push((item.place, item.record));
            true
        });
        assert!(end.is_ok_and(|more| more));
        found
    }

    #[test]
    fn lines_are_counted_with_the_empty_ones_and_the_last_needs_no_end() {
        let found =
            items(b"\n{\"id\":1,\"sketch\":\"a\"}\r\n\n  \nnonsense\n{\"id\":2,\"sketch\":\"b\"}");
        let places: Vec<_> = found.iter().map(|(place, _)| place.as_str()).collect();
        assert_eq!(places, ["line 2", "line 5", "line 6"]);
        assert!(found[0].1.is_ok() && found[1].1.is_err() && found[2].1.is_ok());
    }

    #[test]
    fn a_line_without_an_end_in_sight_is_passed_over_and_the_next_is_read() {
        let mut text = vec![b'x'; MOST_RECORD_BYTES + 100_000];
        text.extend_from_slice(b"\n{\"id\":1,\"sketch\":\"a\"}\n");
        let found = items(&text);
        assert_eq!(found.len(), 2);
        assert!(
            found[0]
                .1
                .as_ref()
                .is_err_and(|fault| fault.text.contains("longer than"))
        );
        assert_eq!(found[1].0, "line 2");
        assert!(found[1].1.is_ok());
    }

    #[test]
    fn names_are_paths_without_their_ending() {
        assert_eq!(name(Path::new("a/b c.d.yaml")), "a/b c.d");
        assert_eq!(name(Path::new("./x.yml")), "./x");
    }
}
