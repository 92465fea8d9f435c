//! Lines of a log or of the journal, which come piece by piece: read side by
//! side, each by itself, and taken in their order. No more than a piece of the
//! file is held.

use rayon::prelude::*;

/// Lines that are read at once, by as many as there are processors.
const AT_ONCE: usize = 4096;
/// So few lines are read faster by one.
const FEW: usize = 256;

/// Cuts pieces of a file into lines.
#[derive(Debug, Default)]
pub(super) struct Lines {
    /// What stands behind the last line feed so far.
    rest: Vec<u8>,
    /// Nothing more is taken: a line was not what it should be.
    stopped: bool,
}

impl Lines {
    /// Reads the lines that are whole with this piece and hands them on, in their
    /// order, until `one` says no; no line after that is taken any more.
    pub(super) fn take<T: Send>(
        &mut self,
        piece: &[u8],
        read: impl Fn(&[u8]) -> T + Sync,
        mut one: impl FnMut(T) -> bool,
    ) {
        let Some(end) = memchr::memrchr(b'\n', piece).map(|at| at + 1) else {
            self.rest.extend_from_slice(piece);
            return;
        };
        let (lines, rest) = piece.split_at(end);
        let begun = std::mem::replace(&mut self.rest, rest.to_vec());
        if self.stopped {
            return;
        }
        // The line that began in the piece before.
        let first = memchr::memchr(b'\n', lines).unwrap_or(0);
        let head = [&begun, lines.get(..first).unwrap_or_default()].concat();
        let mut ends = memchr::memchr_iter(b'\n', lines).skip(1);
        let mut from = first + 1;
        let mut some = vec![head.as_slice()];
        loop {
            let more = ends.by_ref().take(AT_ONCE - some.len());
            some.extend(more.filter_map(|at| lines.get(std::mem::replace(&mut from, at + 1)..at)));
            if some.is_empty() {
                return;
            }
            let done: Vec<T> = match some.len() < FEW {
                true => some.iter().map(|line| read(line)).collect(),
                false => some.par_iter().map(|line| read(line)).collect(),
            };
            if !done.into_iter().all(&mut one) {
                self.stopped = true;
                return;
            }
            some.clear();
        }
    }

    /// Bytes behind the last line feed.
    pub(super) fn torn(&self) -> usize {
        self.rest.len()
    }
}

#[cfg(test)]
mod tests {
    use super::Lines;

    fn cut(text: &[u8], piece: usize) -> (Vec<Vec<u8>>, usize) {
        let (mut lines, mut found) = (Lines::default(), Vec::new());
        for part in text.chunks(piece) {
            lines.take(part, <[u8]>::to_vec, |line| {
                found.push(line);
                true
            });
        }
        (found, lines.torn())
    }

    #[test]
    fn pieces_of_any_size_give_the_same_lines() {
        let long: Vec<u8> = (0..10_000).flat_map(|i| format!("{i}\n").into_bytes()).collect();
        for text in [&b""[..], b"\n", b"a", b"a\n", b"\n\na\n", b"one\ntwo\nthree", &long] {
            let mut whole: Vec<&[u8]> = text.split(|b| *b == b'\n').collect();
            let torn = whole.pop().unwrap_or_default().len();
            for piece in [1, 2, 3, 7, 4096, 1 << 20] {
                assert_eq!(cut(text, piece), (whole.iter().map(|l| l.to_vec()).collect(), torn), "{piece}");
            }
        }
    }

    #[test]
    fn nothing_is_taken_after_a_no() {
        let (mut lines, mut found) = (Lines::default(), 0);
        for part in [&b"a\nb\n"[..], b"c\nd"] {
            lines.take(part, <[u8]>::to_vec, |line| {
                found += 1;
                line != b"b"
            });
        }
        assert_eq!((found, lines.torn()), (2, 1));
    }
}
