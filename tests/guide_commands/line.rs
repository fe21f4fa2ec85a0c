//! What kind of command a line is.

/// Lines that are not run here, by how they begin, and why. Anything else must be the program itself.
pub const NOT_RUN: [(&str, &str); 5] = [
    (
        "cargo ",
        "builds or tests this crate: `.ci/run` runs these, and a build inside a test would wait for itself",
    ),
    ("RUSTDOCFLAGS=", "builds the documents: a step of `.ci/run`"),
    (".ci/", "runs this very test among others"),
    (
        "cd tests/browser &&",
        "needs node and a browser: a step of `.ci/run`",
    ),
    (
        "benches/peers/run",
        "needs Python with two libraries, and is no part of `.ci/run`",
    ),
];

/// How cargo runs the program itself: what follows is run as `ductseam …` is.
const BY_CARGO: [&str; 2] = [
    "cargo run --release -- ",
    "cargo run --release --locked -- ",
];

/// A command line.
#[derive(Debug, PartialEq, Eq)]
pub enum Line {
    /// The program with its arguments, and where input comes from and output goes to.
    Program {
        /// Arguments.
        arguments: Vec<String>,
        /// File of `< FILE`.
        input: Option<String>,
        /// File of `> FILE`.
        output: Option<String>,
    },
    /// Not run, with why.
    NotRun(&'static str),
}

/// Reads a command line.
///
/// # Errors
/// Why it is none of those that this test knows.
pub fn read(words: &str) -> Result<Line, String> {
    let by_cargo = BY_CARGO.iter().find_map(|start| words.strip_prefix(start));
    let Some(rest) = by_cargo.or_else(|| words.strip_prefix("ductseam ")) else {
        return NOT_RUN
            .iter()
            .find(|(start, _)| words.starts_with(start))
            .map(|(_, why)| Line::NotRun(why))
            .ok_or_else(|| {
                format!("`{words}` is neither the program nor a kind that is left out")
            });
    };
    let mut arguments = Vec::new();
    let (mut input, mut output) = (None, None);
    let mut found = split(rest)?.into_iter();
    while let Some((word, quoted)) = found.next() {
        let file = match (word.as_str(), quoted) {
            ("<", false) => &mut input,
            (">", false) => &mut output,
            _ if !quoted && word.contains(['|', '&', ';', '$', '`', '*', '<', '>']) => {
                return Err(format!(
                    "`{word}` in `{words}` needs a shell: give each command a line of its own"
                ));
            }
            _ => {
                arguments.push(word);
                continue;
            }
        };
        let name = found
            .next()
            .ok_or_else(|| format!("`{words}` names no file"))?;
        *file = Some(name.0);
    }
    Ok(Line::Program {
        arguments,
        input,
        output,
    })
}

/// Words as a shell parts them, each with whether any of it was quoted.
fn split(text: &str) -> Result<Vec<(String, bool)>, String> {
    let (mut words, mut word, mut quoted, mut begun) = (Vec::new(), String::new(), false, false);
    let mut inside: Option<char> = None;
    for letter in text.chars() {
        match (inside, letter) {
            (Some(mark), _) if letter == mark => inside = None,
            (Some(_), _) => word.push(letter),
            (None, '"' | '\'') => {
                inside = Some(letter);
                (quoted, begun) = (true, true);
            }
            (None, ' ') => {
                if begun {
                    words.push((std::mem::take(&mut word), quoted));
                }
                (quoted, begun) = (false, false);
            }
            (None, '#') if !begun => break,
            (None, _) => {
                word.push(letter);
                begun = true;
            }
        }
    }
    if inside.is_some() {
        return Err(format!("`{text}` has a quote without its end"));
    }
    if begun {
        words.push((word, quoted));
    }
    Ok(words)
}
