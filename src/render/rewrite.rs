//! A typeset file written again, object by object: some of them exchanged,
//! some added, everything else as it was, byte by byte.
//!
//! One thing is mended on the way. A stream whose last byte is a carriage
//! return, followed by the writer's line feed, can be read as one byte shorter
//! than it is. The end of line before `endstream` is then written as carriage
//! return and line feed, which ISO 19005-3, 6.1.7.1 allows, so that the stream's
//! own last byte is beyond doubt.

use std::collections::BTreeMap;

/// The file can't be taken apart; the reason.
pub(super) type Unreadable = &'static str;

const STREAM_END: &[u8] = b"\nendstream";
const DOUBTFUL: &[u8] = b"\r\nendstream";

/// Whether the end of a stream of the file can be read two ways.
pub(super) fn doubtful(bytes: &[u8]) -> bool {
    let mut rest = bytes;
    while let Some(at) = rest.iter().position(|b| *b == b'\r') {
        rest = rest.get(at..).unwrap_or_default();
        if rest.starts_with(DOUBTFUL) {
            return true;
        }
        rest = rest.get(1..).unwrap_or_default();
    }
    false
}

/// The file with objects exchanged or added; each is given whole, from its
/// number to `endobj`. Numbers behind the last one are added.
pub(super) fn with_objects(bytes: &[u8], given: &BTreeMap<usize, Vec<u8>>) -> Result<Vec<u8>, Unreadable> {
    let table = Table::read(bytes)?;
    let mut out = bytes.get(..table.first).ok_or("the head is missing")?.to_vec();
    let mut offsets = vec![None; table.offsets.len()];
    for (number, from, to) in table.in_order() {
        offsets[number] = Some(out.len());
        match given.get(&number) {
            Some(object) => out.extend_from_slice(object),
            None => copy(&mut out, bytes.get(from..to).ok_or("an object lies outside")?),
        }
    }
    for (number, object) in given.range(table.offsets.len()..) {
        if *number != offsets.len() {
            return Err("the numbers of the added objects have a gap");
        }
        offsets.push(Some(out.len()));
        out.extend_from_slice(object);
    }
    let at = out.len();
    out.extend_from_slice(format!("xref\n0 {}\n", offsets.len()).as_bytes());
    for (number, offset) in offsets.iter().enumerate() {
        match offset {
            Some(offset) => out.extend_from_slice(format!("{offset:010} 00000 n\r\n").as_bytes()),
            None if number == 0 => out.extend_from_slice(b"0000000000 65535 f\r\n"),
            None => return Err("a number has no object"),
        }
    }
    let size = format!("/Size {}", table.offsets.len());
    let trailer = std::str::from_utf8(bytes.get(table.trailer.clone()).unwrap_or_default())
        .map_err(|_| "the trailer is no text")?;
    if trailer.matches(&size).count() != 1 {
        return Err("the trailer does not say how many objects there are");
    }
    out.extend_from_slice(trailer.replace(&size, &format!("/Size {}", offsets.len())).as_bytes());
    out.extend_from_slice(format!("startxref\n{at}\n%%EOF").as_bytes());
    Ok(out)
}

/// An object as it was; a doubtful end of a stream made plain.
fn copy(out: &mut Vec<u8>, object: &[u8]) {
    let end = object.windows(STREAM_END.len()).rposition(|w| w == STREAM_END);
    match end.filter(|at| object.get(..*at).is_some_and(|o| o.ends_with(b"\r"))) {
        Some(at) => {
            out.extend_from_slice(object.get(..at).unwrap_or_default());
            out.push(b'\r');
            out.extend_from_slice(object.get(at..).unwrap_or_default());
        }
        None => out.extend_from_slice(object),
    }
}

/// Where the objects of a file are: one table, as the typesetter writes it.
struct Table {
    /// Where the first object begins.
    first: usize,
    /// Offset of each object by its number; none for a free one.
    offsets: Vec<Option<usize>>,
    /// Where the table begins.
    at: usize,
    /// The trailer, up to `startxref`.
    trailer: std::ops::Range<usize>,
}

impl Table {
    fn read(bytes: &[u8]) -> Result<Self, Unreadable> {
        let last = |mark: &[u8]| bytes.windows(mark.len()).rposition(|w| w == mark);
        let end = last(b"startxref").ok_or("it has no end")?;
        let number = bytes.get(end + 9..).unwrap_or_default();
        let number = std::str::from_utf8(number).ok().and_then(|t| t.trim().strip_suffix("%%EOF"));
        let at: usize =
            number.and_then(|t| t.trim().parse().ok()).ok_or("it does not say where its table is")?;
        let trailer = last(b"trailer").filter(|t| *t > at && *t < end).ok_or("it has no trailer")?;
        let text = std::str::from_utf8(bytes.get(at..trailer).unwrap_or_default())
            .map_err(|_| "its table is no text")?;
        let mut lines = text.lines();
        let (Some("xref"), Some(head)) = (lines.next(), lines.next()) else {
            return Err("it has no plain table");
        };
        let count: usize =
            head.strip_prefix("0 ").and_then(|n| n.trim().parse().ok()).ok_or("its table has parts")?;
        let offsets: Vec<Option<usize>> = lines
            .map(|line| match (line.get(..10).map(str::parse), line.get(17..18)) {
                (Some(Ok(offset)), Some("n")) => Ok(Some(offset)),
                (Some(Ok(_)), Some("f")) => Ok(None),
                _ => Err("a line of its table can't be read"),
            })
            .collect::<Result<_, _>>()?;
        if offsets.len() != count {
            return Err("its table has another length than it says");
        }
        let first = offsets.iter().flatten().min().copied().ok_or("it has no objects")?;
        Ok(Self { first, offsets, at, trailer: trailer..end })
    }

    /// Number, begin and end of each object, in the order of the file.
    fn in_order(&self) -> Vec<(usize, usize, usize)> {
        let mut found: Vec<(usize, usize)> =
            self.offsets.iter().enumerate().filter_map(|(n, o)| o.map(|o| (o, n))).collect();
        found.sort_unstable();
        let ends: Vec<usize> = found.iter().skip(1).map(|(o, _)| *o).chain([self.at]).collect();
        found.iter().zip(ends).map(|((from, number), to)| (*number, *from, to)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A file of two objects as the typesetter writes one, the stream ending as given.
    fn file(stream: &[u8]) -> Vec<u8> {
        let mut out = b"%PDF-1.7\n%\x80\x80\n".to_vec();
        let one = out.len();
        out.extend_from_slice(b"1 0 obj\n<</Type/Catalog>>\nendobj\n");
        let two = out.len();
        out.extend_from_slice(format!("2 0 obj\n<</Length {}>>\nstream\n", stream.len()).as_bytes());
        out.extend_from_slice(stream);
        out.extend_from_slice(b"\nendstream\nendobj\n");
        let at = out.len();
        out.extend_from_slice(
            format!("xref\n0 3\n0000000000 65535 f\r\n{one:010} 00000 n\r\n{two:010} 00000 n\r\ntrailer\n<</Size 3/Root 1 0 R>>\nstartxref\n{at}\n%%EOF").as_bytes(),
        );
        out
    }

    #[test]
    fn nothing_to_do_changes_nothing() {
        let plain = file(b"abc");
        assert!(!doubtful(&plain));
        assert_eq!(with_objects(&plain, &BTreeMap::new()).unwrap(), plain);
    }

    #[test]
    fn a_stream_that_ends_in_a_carriage_return_gets_a_plain_end() {
        let made = file(b"abc\r");
        assert!(doubtful(&made));
        let mended = with_objects(&made, &BTreeMap::new()).unwrap();
        assert_eq!(mended.len(), made.len() + 1);
        // Read by an outside parser, the stream has all four bytes.
        let read = lopdf::Document::load_mem(&mended).unwrap();
        let stream = read.get_object((2, 0)).unwrap().as_stream().unwrap();
        assert_eq!(stream.content, b"abc\r");
        assert!(mended.windows(12).any(|w| w == b"\r\r\nendstream"));
    }

    #[test]
    fn objects_are_exchanged_and_added() {
        let given = BTreeMap::from([
            (1, b"1 0 obj\n<</Type/Catalog/New 3 0 R>>\nendobj\n".to_vec()),
            (3, b"3 0 obj\n(here)\nendobj\n".to_vec()),
        ]);
        let made = with_objects(&file(b"abc"), &given).unwrap();
        let read = lopdf::Document::load_mem(&made).unwrap();
        let new = read.catalog().unwrap().get_deref(b"New", &read).unwrap();
        assert_eq!(new.as_str().unwrap(), b"here");
        assert!(with_objects(&file(b"abc"), &BTreeMap::from([(4, Vec::new())])).is_err());
        assert!(with_objects(b"%PDF-1.7", &BTreeMap::new()).is_err());
    }
}
