//! One hypothesis: which set-ups were wrong and which seams hang open.

/// Which readings are taken to have had a wrong set-up: bit k for reading k.
pub(crate) type WrongSet = u64;

/// Whether reading k belongs to the set.
pub(crate) fn is_wrong(wrong: WrongSet, k: usize) -> bool {
    wrong >> k & 1 == 1
}

const NONE: u32 = u32::MAX;

/// Seams that hang open: none, one or two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Open([u32; 2]);

impl Default for Open {
    fn default() -> Self {
        Open([NONE; 2])
    }
}

impl Open {
    /// One open seam.
    ///
    /// # Panics
    /// If the number does not fit in 32 bits.
    pub fn one(seam: usize) -> Self {
        Open([number(seam), NONE])
    }

    /// Two open seams.
    ///
    /// # Panics
    /// If they are the same, or a number does not fit in 32 bits.
    pub fn two(a: usize, b: usize) -> Self {
        assert_ne!(a, b, "two different seams");
        Open([number(a.min(b)), number(a.max(b))])
    }

    /// The seams.
    pub fn seams(self) -> impl Iterator<Item = usize> {
        self.0
            .into_iter()
            .filter(|&s| s != NONE)
            .map(|s| s as usize)
    }

    /// Whether this seam is open.
    pub fn has(self, seam: usize) -> bool {
        self.0.iter().any(|&s| s as usize == seam && s != NONE)
    }

    /// How many are open.
    pub fn count(self) -> usize {
        self.seams().count()
    }
}

fn number(seam: usize) -> u32 {
    let number = u32::try_from(seam).unwrap_or(NONE);
    assert_ne!(number, NONE, "a seam's number fits in 32 bits");
    number
}

/// One hypothesis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Case {
    /// Readings taken to have had a wrong set-up, bit k for reading k.
    pub wrong: u64,
    /// Seams that hang open.
    pub open: Open,
}
