//! The column at the right: keys and tables, as far as there is room.

use super::label::Rect;
use super::scene::write_short;
use super::svg::{Svg, wrapped};
use super::text::measure;

/// A column being filled from above.
pub(super) struct Column<'s> {
    pub svg: &'s mut Svg,
    pub x0: f64,
    pub x1: f64,
    /// Where the next line begins.
    pub y: f64,
    /// Foot.
    pub y1: f64,
    /// Em, mm.
    pub size: f64,
}

impl<'s> Column<'s> {
    /// Starts a column.
    pub fn new(svg: &'s mut Svg, rect: Rect, size: f64) -> Column<'s> {
        Column {
            svg,
            x0: rect.x0,
            x1: rect.x1,
            y: rect.y0,
            y1: rect.y1,
            size,
        }
    }

    /// Height of a row, mm.
    pub fn step(&self) -> f64 {
        1.5 * self.size
    }

    /// Height of a row with a sign, mm.
    pub fn key_step(&self) -> f64 {
        self.step().max(3.6)
    }

    /// Rows that still fit.
    pub fn rows_left(&self) -> usize {
        ((self.y1 - self.y) / self.step() + 1e-6).max(0.0).floor() as usize
    }

    /// A heading, over two lines where it is long.
    pub fn head(&mut self, words: &str) {
        self.y += 0.6;
        for line in wrapped(words, 1.07 * self.size, self.x1 - self.x0) {
            if self.rows_left() == 0 {
                return;
            }
            let at = [self.x0, self.y + self.size];
            write_short(self.svg, at, self.size, true, &line, self.x1 - self.x0, "");
            self.y += self.step();
        }
    }

    /// Words over as many lines as they take.
    pub fn words(&mut self, words: &str) {
        for line in wrapped(words, self.size, self.x1 - self.x0) {
            if self.rows_left() == 0 {
                return;
            }
            let at = [self.x0, self.y + self.size];
            write_short(self.svg, at, self.size, false, &line, self.x1 - self.x0, "");
            self.y += self.step();
        }
    }

    /// Signs with words, two side by side where both are short. `sign` draws the i-th about a point.
    pub fn keys(
        &mut self,
        words: &[String],
        sign_mm: f64,
        mut sign: impl FnMut(&mut Svg, usize, [f64; 2]),
    ) {
        let half = 0.5 * (self.x1 - self.x0);
        let room = half - sign_mm - 2.0;
        let is_short = |words: &String| measure(words, self.size, false).width_mm <= room;
        let mut rows: Vec<Vec<usize>> = Vec::new();
        for (i, word) in words.iter().enumerate() {
            match rows.last_mut() {
                Some(row) if row.len() == 1 && is_short(word) && is_short(&words[row[0]]) => {
                    row.push(i);
                }
                _ => rows.push(vec![i]),
            }
        }
        for row in rows {
            let width = if row.len() == 1 { 2.0 * half } else { half };
            if !self.key_row(words, &row, width, sign_mm, &mut sign) {
                return;
            }
        }
    }

    /// Signs with words, one a row.
    pub fn list(
        &mut self,
        words: &[String],
        sign_mm: f64,
        mut sign: impl FnMut(&mut Svg, usize, [f64; 2]),
    ) {
        let width = self.x1 - self.x0;
        for i in 0..words.len() {
            if !self.key_row(words, &[i], width, sign_mm, &mut sign) {
                return;
            }
        }
    }

    /// Writes a row; `false` where there is no room for it.
    fn key_row(
        &mut self,
        words: &[String],
        row: &[usize],
        width: f64,
        sign_mm: f64,
        sign: &mut impl FnMut(&mut Svg, usize, [f64; 2]),
    ) -> bool {
        if self.rows_left() == 0 {
            return false;
        }
        for (col, &i) in row.iter().enumerate() {
            let x = self.x0 + col as f64 * width;
            sign(self.svg, i, [x + 0.5 * sign_mm, self.y + 0.66 * self.size]);
            let at = [x + sign_mm + 1.2, self.y + self.size];
            let room = width - sign_mm - 2.0;
            write_short(self.svg, at, self.size, false, &words[i], room, "");
        }
        self.y += self.key_step();
        true
    }

    /// Numbered entries from the `from`-th on, of two lines where there is room for all, else of one: the name with a short
    /// figure at its right, below it (or between) the rest. Gives the number of the first that found no room; where this is
    /// the last column, it says how many these are.
    pub fn entries(&mut self, all: &[Entry], from: usize, is_last: bool) -> usize {
        let entries = &all[from.min(all.len())..];
        let room = self.rows_left();
        let number_mm = if all.len() > 99 { 6.0 } else { 4.5 };
        let width = self.x1 - self.x0;
        let per = if from == 0 && 2 * entries.len() <= room {
            2
        } else {
            1
        };
        let shown = match room / per {
            fit if entries.len() <= fit => entries.len(),
            fit if !is_last => fit,
            _ => room.saturating_sub(1),
        };
        let widest = |of: fn(&Entry) -> &str| {
            entries[..shown]
                .iter()
                .map(|e| measure(of(e), self.size, false).width_mm)
                .fold(0.0, f64::max)
        };
        let figure_mm = widest(|e| &e.figure);
        // The name has its whole width where the rest keeps enough for a figure with its range.
        let left = width - number_mm - figure_mm - 2.4 - widest(|e| &e.name);
        let short_mm = widest(|e| &e.short).min(left.max(LEAST_SHORT_MM));
        let step = self.step();
        for (k, entry) in entries[..shown].iter().enumerate() {
            let y = self.y + self.size;
            let size = self.size;
            let mut write = |x: f64, y: f64, bold: bool, words: &str, room: f64| {
                write_short(self.svg, [self.x0 + x, y], size, bold, words, room, "");
            };
            write(0.0, y, true, &(from + k + 1).to_string(), number_mm - 0.5);
            let figure_x = width - measure(&entry.figure, size, false).width_mm;
            write(figure_x - 0.01, y, false, &entry.figure, figure_mm + 0.1);
            let mut name_mm = width - number_mm - figure_mm - 1.2;
            if per == 2 {
                write(number_mm, y + step, false, &entry.rest, width - number_mm);
            } else if short_mm > 0.0 {
                name_mm -= short_mm + 1.2;
                write(
                    number_mm + name_mm + 1.2,
                    y,
                    false,
                    &entry.short,
                    short_mm + 0.1,
                );
            }
            write(number_mm, y, false, &entry.name, name_mm);
            self.y += step * per as f64;
        }
        if is_last && shown < entries.len() {
            self.words(&format!("and {} more", entries.len() - shown));
        }
        from + shown
    }
}

/// Least room of an entry's short words, mm.
const LEAST_SHORT_MM: f64 = 18.0;

/// A numbered entry of a table.
pub(super) struct Entry {
    pub name: String,
    /// At the right.
    pub figure: String,
    /// What else is said, over a line of its own.
    pub rest: String,
    /// The same in short, on the name's line.
    pub short: String,
}
