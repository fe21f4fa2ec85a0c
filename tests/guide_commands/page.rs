//! What a page holds for this test: command lines, files to write, and output that it shows.
//!
//! In a page's fenced blocks:
//!
//! * `sh`: every line is a command, but for blank ones and comments; `\` at the end goes on. `# exit 1` says with which
//!   code the next command ends (0 if nothing is said).
//! * `console`: lines that begin with `$ ` are commands, what stands below each is its output.
//! * `text` right after one of these (nothing but blank lines between): output of the last command, see `shown`.
//! * `yaml` and `csv` whose first line is `# file NAME`, `# add to NAME` or `# change in NAME`: a file, or the end of one, or
//!   words at its margin with all below them, new. In YAML that first line is part of the file, as a comment.

/// Something that a page asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// A command line.
    Command {
        /// Line in the document, from 1.
        line: usize,
        /// As written.
        words: String,
        /// Exit code that the page says.
        exit: i32,
    },
    /// Output of the command before.
    Shown {
        /// Line in the document, from 1.
        line: usize,
        /// Its lines.
        lines: Vec<String>,
    },
    /// A file, or a part of one.
    File {
        /// Name in the page's folder.
        name: String,
        /// How its text is put there.
        how: How,
        /// The text.
        text: String,
    },
}

/// How a block goes into its file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// It is the file.
    Whole,
    /// It is put at the end.
    Added,
    /// Its words at the margin take the place of those of the file.
    Changed,
}

/// A fenced block.
struct Block<'a> {
    /// Line of its fence, from 1.
    line: usize,
    tag: &'a str,
    lines: Vec<&'a str>,
    /// Whether only blank lines stand between it and the block before.
    follows: bool,
}

/// The parts of a page in their order.
///
/// # Errors
/// What is wrong with the page itself, with its line.
pub fn parts(text: &str) -> Result<Vec<Part>, String> {
    let mut parts = Vec::new();
    let mut after_command = false;
    for block in blocks(text)? {
        let shows = after_command && block.follows && block.tag == "text";
        after_command = false;
        match block.tag {
            "sh" => {
                read_sh(&block, &mut parts)?;
                after_command = true;
            }
            "console" => read_console(&block, &mut parts)?,
            "text" if shows => parts.push(Part::Shown {
                line: block.line,
                lines: block.lines.iter().map(|&l| l.to_owned()).collect(),
            }),
            "yaml" | "csv" => parts.extend(file(&block)),
            _ => {}
        }
    }
    Ok(parts)
}

/// Fences that open without a word: rustdoc would take them for Rust.
pub fn bare_fences(text: &str) -> Vec<usize> {
    blocks(text).map_or_else(
        |_| Vec::new(),
        |found| {
            found
                .iter()
                .filter(|block| block.tag.is_empty())
                .map(|block| block.line)
                .collect()
        },
    )
}

/// The doc comments of a Rust file, all else blank, so that lines keep their numbers.
pub fn doc_comments(text: &str) -> String {
    text.lines()
        .map(|line| {
            let line = line.trim_start();
            let doc = line.strip_prefix("///").or(line.strip_prefix("//!"));
            doc.map_or("", |doc| doc.strip_prefix(' ').unwrap_or(doc))
                .to_owned()
                + "\n"
        })
        .collect()
}

/// What stands between single backticks in running text, a word or more.
pub fn inline_code(text: &str) -> Vec<String> {
    let mut inside = false;
    let mut running = String::new();
    for line in text.lines() {
        if line.trim_start().starts_with("```") {
            inside = !inside;
        } else if !inside {
            running.push_str(line);
            running.push('\n');
        }
    }
    let pieces: Vec<&str> = running.split('`').collect();
    pieces
        .iter()
        .skip(1)
        .step_by(2)
        .map(|code| (*code).to_owned())
        .collect()
}

fn blocks(text: &str) -> Result<Vec<Block<'_>>, String> {
    let mut found: Vec<Block<'_>> = Vec::new();
    let mut open: Option<Block<'_>> = None;
    let mut blank_since = false;
    for (at, line) in text.lines().enumerate() {
        match &mut open {
            Some(_) if line.trim() == "```" => {
                found.extend(open.take());
                blank_since = true;
            }
            Some(block) => block.lines.push(line),
            None => {
                if let Some(tag) = line.trim_start().strip_prefix("```") {
                    open = Some(Block {
                        line: at + 1,
                        tag: tag.trim(),
                        lines: Vec::new(),
                        follows: blank_since,
                    });
                } else if !line.trim().is_empty() {
                    blank_since = false;
                }
            }
        }
    }
    match open {
        Some(block) => Err(format!("line {}: the block has no end", block.line)),
        None => Ok(found),
    }
}

fn read_sh(block: &Block<'_>, parts: &mut Vec<Part>) -> Result<(), String> {
    let (mut exit, mut begun) = (None, String::new());
    for (at, line) in block.lines.iter().enumerate() {
        let (number, line) = (block.line + 1 + at, line.trim());
        if let Some(code) = line.strip_prefix("# exit ") {
            let code: i32 = code
                .trim()
                .parse()
                .map_err(|_| format!("line {number}: `{line}` names no code"))?;
            exit = Some(code);
        } else if let Some(start) = line.strip_suffix('\\') {
            begun.push_str(start);
        } else if !line.is_empty() && !line.starts_with('#') {
            parts.push(Part::Command {
                line: number,
                words: std::mem::take(&mut begun) + line,
                exit: exit.take().unwrap_or(0),
            });
        }
    }
    if exit.is_some() || !begun.is_empty() {
        return Err(format!(
            "line {}: the block ends before its command",
            block.line
        ));
    }
    Ok(())
}

fn read_console(block: &Block<'_>, parts: &mut Vec<Part>) -> Result<(), String> {
    let mut shown: Option<(usize, Vec<String>)> = None;
    let close = |shown: &mut Option<(usize, Vec<String>)>, parts: &mut Vec<Part>| {
        if let Some((line, lines)) = shown.take().filter(|(_, lines)| !lines.is_empty()) {
            parts.push(Part::Shown { line, lines });
        }
    };
    for (at, line) in block.lines.iter().enumerate() {
        let number = block.line + 1 + at;
        if let Some(words) = line.strip_prefix("$ ") {
            close(&mut shown, parts);
            parts.push(Part::Command {
                line: number,
                words: words.trim().to_owned(),
                exit: 0,
            });
            shown = Some((number + 1, Vec::new()));
        } else if let Some((_, lines)) = &mut shown {
            lines.push((*line).to_owned());
        } else {
            return Err(format!(
                "line {number}: output before the first command of the block"
            ));
        }
    }
    close(&mut shown, parts);
    Ok(())
}

fn file(block: &Block<'_>) -> Option<Part> {
    let first = block.lines.first()?;
    let (how, name) = [
        ("# file ", How::Whole),
        ("# add to ", How::Added),
        ("# change in ", How::Changed),
    ]
    .into_iter()
    .find_map(|(words, how)| Some((how, first.strip_prefix(words)?)))?;
    let kept = if block.tag == "yaml" && how != How::Changed {
        0
    } else {
        1
    };
    let text: String = block.lines[kept..]
        .iter()
        .map(|line| format!("{line}\n"))
        .collect();
    Some(Part::File {
        name: name.trim().to_owned(),
        how,
        text,
    })
}
