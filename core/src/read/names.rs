//! Names of the stations that a file has left, exact and within bounds.

use std::collections::BTreeSet;

/// Most stations of a file. Ours: GHCN-Daily has about 130,000 (its readme); 500,000 names take at most 16 MiB.
pub const MAX_STATIONS: usize = 500_000;
/// Most bytes of names of more than 15 bytes, together. Ours: names of known archives have 11 bytes.
pub const MAX_LONG_NAME_BYTES: usize = 4 * 1024 * 1024;
/// Longest name that is kept as a number.
const SHORT: usize = 15;

/// What became of a name that was added.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Entry {
    /// It was new, and is known from now on.
    New,
    /// It was known.
    Known,
    /// It is new, and there is no room for it.
    Full,
}

/// Names of stations. A short one is kept as its bytes and its length in one number, a long one as it is, so that two
/// names are never taken for one.
#[derive(Debug, Default)]
pub struct Names {
    short: BTreeSet<u128>,
    long: BTreeSet<Vec<u8>>,
    long_bytes: usize,
}

impl Names {
    /// Adds a name.
    pub(crate) fn insert(&mut self, name: &[u8]) -> Entry {
        if self.contains(name) {
            return Entry::Known;
        }
        let is_full = self.short.len() + self.long.len() >= MAX_STATIONS;
        if let Some(short) = short(name) {
            if is_full {
                return Entry::Full;
            }
            self.short.insert(short);
        } else {
            if is_full || self.long_bytes + name.len() > MAX_LONG_NAME_BYTES {
                return Entry::Full;
            }
            self.long_bytes += name.len();
            self.long.insert(name.to_vec());
        }
        Entry::New
    }

    fn contains(&self, name: &[u8]) -> bool {
        match short(name) {
            Some(short) => self.short.contains(&short),
            None => self.long.contains(name),
        }
    }

    /// Forgets a name.
    pub(crate) fn remove(&mut self, name: &[u8]) {
        match short(name) {
            Some(short) => {
                self.short.remove(&short);
            }
            None if self.long.remove(name) => self.long_bytes -= name.len(),
            None => {}
        }
    }
}

/// A short name as a number: its bytes, and its length last.
fn short(name: &[u8]) -> Option<u128> {
    let mut bytes = [0; SHORT + 1];
    let (text, length) = bytes.split_at_mut(SHORT);
    text.get_mut(..name.len())?.copy_from_slice(name);
    *length.first_mut()? = u8::try_from(name.len()).ok()?;
    Some(u128::from_be_bytes(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The contract, section 6: many stations, counts have limits. Names that differ in length alone are two.
    #[test]
    fn names_are_exact_and_bounded() {
        let mut names = Names::default();
        for name in [
            &b""[..],
            b"\0",
            b"A",
            b"A\0",
            b"USW00094728",
            b"a name of more than fifteen bytes",
        ] {
            assert_eq!(names.insert(name), Entry::New, "{name:?}");
            assert_eq!(names.insert(name), Entry::Known, "{name:?}");
        }
        names.remove(b"A");
        assert_eq!(names.insert(b"A"), Entry::New);
        assert_eq!(names.insert(&vec![b'x'; MAX_LONG_NAME_BYTES]), Entry::Full);
    }
}
