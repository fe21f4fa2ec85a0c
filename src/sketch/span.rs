//! Places in the text of a sketch.

/// A byte range of the sketch's text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// The range from `start` up to, and without, `end`.
    pub fn new(start: usize, end: usize) -> Span {
        Span { start, end }
    }

    /// The smallest range that holds both.
    pub fn to(self, other: Span) -> Span {
        Span::new(self.start.min(other.start), self.end.max(other.end))
    }
}

/// A value together with the place in the file where it was written.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked<T> {
    /// The value.
    pub value: T,
    /// Where it was written.
    pub at: Span,
}

impl<T> Marked<T> {
    /// Marks a value with its place.
    pub fn new(value: T, at: Span) -> Marked<T> {
        Marked { value, at }
    }
}
