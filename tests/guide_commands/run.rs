//! A page's commands run one after the other in a folder of their own.

use std::collections::HashMap;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::channel;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::Duration;

use super::line::{self, Line};
use super::page::{How, Part};
use super::shown;

/// How long the drawing board may take until it tells its address.
const SERVES_WITHIN: Duration = Duration::from_secs(60);

/// What a command said and how it ended.
#[derive(Debug, Clone)]
struct Ended {
    code: Option<i32>,
    said: String,
    talk: String,
}

/// Answers that hang on the models alone: the same line on two pages is run once.
static ANSWERS: Mutex<Option<HashMap<String, Arc<OnceLock<Ended>>>>> = Mutex::new(None);

/// A fresh folder with a copy of the models.
pub fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("guide")
        .join(name);
    let _ = std::fs::remove_dir_all(&folder);
    let models = folder.join("models");
    std::fs::create_dir_all(&models).expect("a folder");
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("models");
    for entry in std::fs::read_dir(from).expect("models are there") {
        let path = entry.expect("an entry").path();
        if let Some(name) = path.file_name() {
            std::fs::copy(&path, models.join(name)).expect("a copy");
        }
    }
    folder
}

/// Does all that a page asks for; the faults, each with its line, and how many commands there were.
pub fn page(parts: &[Part], folder: &Path) -> (Vec<String>, usize) {
    let (mut faults, mut commands) = (Vec::new(), 0);
    let mut last: Option<Ended> = None;
    for part in parts {
        match part {
            Part::File { name, how, text } => {
                if let Err(fault) = write(&folder.join(name), *how, text) {
                    faults.push(format!("file {name}: {fault}"));
                }
            }
            Part::Shown { line, lines } => {
                let found = last.as_ref().map_or_else(
                    || Err("output without a command that was run".to_owned()),
                    |ended| shown::find(lines, &format!("{}\n{}", ended.said, ended.talk)),
                );
                if let Err(fault) = found {
                    faults.push(format!("line {line}: {fault}"));
                }
            }
            Part::Command { line, words, exit } => {
                let read = match line::read(words) {
                    Ok(Line::NotRun(_)) => {
                        last = None;
                        continue;
                    }
                    Ok(read) => read,
                    Err(fault) => {
                        faults.push(format!("line {line}: {fault}"));
                        continue;
                    }
                };
                commands += 1;
                match command(&read, *exit, folder) {
                    Ok(ended) => last = Some(ended),
                    Err(fault) => {
                        faults.push(format!("line {line}: `{words}`: {fault}"));
                        last = None;
                    }
                }
            }
        }
    }
    (faults, commands)
}

fn command(line: &Line, exit: i32, folder: &Path) -> Result<Ended, String> {
    let Line::Program {
        arguments,
        input,
        output,
    } = line
    else {
        return Err("not run".to_owned());
    };
    if arguments.first().is_some_and(|first| first == "page") {
        return serves(arguments, folder);
    }
    let ended = if input.is_none() && output.is_none() && hangs_on_models_alone(arguments) {
        let slot = {
            let mut held = ANSWERS.lock().unwrap_or_else(PoisonError::into_inner);
            let answers = held.get_or_insert_with(HashMap::new);
            Arc::clone(answers.entry(arguments.join("\u{0}")).or_default())
        };
        slot.get_or_init(|| run(arguments, None, folder)).clone()
    } else {
        run(arguments, input.as_deref(), folder)
    };
    if let Some(name) = output {
        std::fs::write(folder.join(name), &ended.said).map_err(|error| error.to_string())?;
    }
    if ended.talk.contains("Usage: ductseam") {
        return Err(format!(
            "the program does not know these words: {}",
            ended.talk
        ));
    }
    if ended.code != Some(exit) {
        return Err(format!(
            "ended with {:?}, the page says {exit}: {}",
            ended.code, ended.talk
        ));
    }
    Ok(ended)
}

/// Whether no file but a model is read, and none written.
fn hangs_on_models_alone(arguments: &[String]) -> bool {
    arguments.iter().all(|word| {
        word.starts_with("models/") || (word != "-o" && word != "-" && !is_file_name(word))
    })
}

fn is_file_name(word: &str) -> bool {
    Path::new(word).extension().is_some_and(|end| {
        [
            "yaml", "yml", "csv", "json", "ndjson", "html", "svg", "png", "txt",
        ]
        .iter()
        .any(|known| end.eq_ignore_ascii_case(known))
    })
}

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_ductseam"))
}

fn run(arguments: &[String], input: Option<&str>, folder: &Path) -> Ended {
    let input = match input {
        Some(name) => {
            std::fs::File::open(folder.join(name)).map_or_else(|_| Stdio::null(), Stdio::from)
        }
        None => Stdio::null(),
    };
    let output = program()
        .current_dir(folder)
        .args(arguments)
        .stdin(input)
        .output()
        .expect("the program starts");
    Ended {
        code: output.status.code(),
        said: String::from_utf8_lossy(&output.stdout).into_owned(),
        talk: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

/// The drawing board: it is started without a browser, must tell an address on this machine, and is then ended.
fn serves(arguments: &[String], folder: &Path) -> Result<Ended, String> {
    let mut command = program();
    command.current_dir(folder).args(arguments);
    if !arguments.iter().any(|word| word == "--no-open") {
        command.arg("--no-open");
    }
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let told = address(&mut child);
    let _ = child.kill();
    let _ = child.wait();
    told.map(|said| Ended {
        code: None,
        said,
        talk: String::new(),
    })
}

/// All that the drawing board says, up to the line with its address.
fn address(child: &mut Child) -> Result<String, String> {
    let (tell, told) = channel();
    let ends: [Option<Box<dyn Read + Send>>; 2] = [
        child.stdout.take().map(|end| Box::new(end) as _),
        child.stderr.take().map(|end| Box::new(end) as _),
    ];
    for end in ends.into_iter().flatten() {
        let tell = tell.clone();
        std::thread::spawn(move || {
            for line in BufReader::new(end).lines().map_while(Result::ok) {
                if tell.send(line).is_err() {
                    break;
                }
            }
        });
    }
    drop(tell);
    let mut said = String::new();
    loop {
        let line = told
            .recv_timeout(SERVES_WITHIN)
            .map_err(|_| format!("told no address: {said}"))?;
        said.push_str(&line);
        said.push('\n');
        if line.contains("http://127.0.0.1:") {
            return Ok(said);
        }
    }
}

fn write(path: &Path, how: How, text: &str) -> Result<(), String> {
    let old = std::fs::read_to_string(path);
    let new = match (how, old) {
        (How::Whole, _) => text.to_owned(),
        (_, Err(error)) => return Err(format!("nothing to add to: {error}")),
        (How::Added, Ok(old)) => old + text,
        (How::Changed, Ok(old)) => changed(&old, text),
    };
    std::fs::write(path, new).map_err(|error| error.to_string())
}

/// The old text with every word at the margin that the new one has too taken from there, and the rest put at its end.
fn changed(old: &str, new: &str) -> String {
    let mut news = sections(new);
    let mut text = String::new();
    for (word, section) in sections(old) {
        let at = news
            .iter()
            .position(|(other, _)| word.is_some() && *other == word);
        text.push_str(&at.map_or(section, |at| news.remove(at).1));
    }
    text.extend(news.into_iter().map(|(_, section)| section));
    text
}

/// A YAML file cut before each word at its margin.
fn sections(text: &str) -> Vec<(Option<&str>, String)> {
    let mut found = vec![(None, String::new())];
    for line in text.lines() {
        if line.starts_with(|letter: char| letter.is_ascii_alphabetic()) && line.contains(':') {
            found.push((line.split(':').next(), String::new()));
        }
        if let Some((_, section)) = found.last_mut() {
            section.push_str(line);
            section.push('\n');
        }
    }
    found
}
