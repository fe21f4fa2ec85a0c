//! Output that a page shows, held against what the program said.

/// Finds the shown lines, in their order, in what was said. `…` stands for anything within a line; a line of `…` alone for
/// any number of lines, none too. Blank lines and blanks at a line's end do not count.
///
/// # Errors
/// The first line that was not found, or that nothing is shown at all.
pub fn find(shown: &[String], said: &str) -> Result<(), String> {
    let mut rest = said.lines();
    let mut count = 0;
    for line in shown.iter().map(|line| line.trim_end()) {
        if line.is_empty() || line.trim() == "…" {
            continue;
        }
        count += 1;
        if !rest.any(|one| is_like(line, one.trim_end())) {
            return Err(format!("not said, or not in this order: `{line}`"));
        }
    }
    if count == 0 {
        return Err("the block shows nothing".to_owned());
    }
    Ok(())
}

/// Whether a line is as a pattern has it.
fn is_like(pattern: &str, line: &str) -> bool {
    let mut pieces = pattern.split('…');
    let Some(mut rest) = line.strip_prefix(pieces.next().unwrap_or_default()) else {
        return false;
    };
    let mut last = None;
    for piece in pieces {
        if let Some(before) = last.replace(piece) {
            let Some(at) = rest.find(before) else {
                return false;
            };
            rest = &rest[at + before.len()..];
        }
    }
    last.map_or(rest.is_empty(), |end| rest.ends_with(end))
}
