//! What a file is that was given to the wrong command, and which one takes it.

use crate::render::filled;

/// What to do with a file that is none of what a command takes; none if nothing of
/// ours takes it. Told by what is in it, never by its name.
pub(super) fn hint(bytes: &[u8], number: &str) -> Option<String> {
    if is_picture(bytes) {
        return Some(format!(
            "it is a picture; one of a filled page is read with: tackwright look {number} FILE --sheet FILE.csv"
        ));
    }
    if bytes.starts_with(b"%PDF") {
        return filled::about(bytes)
            .ok()
            .map(|_| format!("it is a fill-in copy, taken back with: tackwright returned {number} FILE"));
    }
    if bytes.starts_with(b"PK") || bytes.starts_with(&[0xD0, 0xCF, 0x11, 0xE0]) {
        return Some("it is a workbook or a packed folder: save the sheet as CSV".to_owned());
    }
    is_sheet(bytes).then(|| {
        format!("it is an entry sheet, taken in with: tackwright sheet {number} --take FILE --by ID")
    })
}

/// Whether it begins as a picture does.
pub(super) fn is_picture(bytes: &[u8]) -> bool {
    let begins = [&b"\x89PNG"[..], b"\xFF\xD8\xFF", b"II*\0", b"MM\0*"];
    begins.iter().any(|begin| bytes.starts_with(begin))
}

/// Whether the first line names columns of an entry sheet.
pub(super) fn is_sheet(bytes: &[u8]) -> bool {
    let head: String = bytes
        .iter()
        .filter(|b| **b != 0)
        .take_while(|b| !matches!(b, b'\r' | b'\n'))
        .take(400)
        .map(|b| char::from(*b).to_ascii_lowercase())
        .collect();
    ["box", "value", "traveler"].iter().all(|column| head.contains(column))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_known_by_what_is_in_it() {
        let says = |bytes: &[u8]| hint(bytes, "TW-1").unwrap_or_default();
        assert!(says(b"\x89PNG\r\n").contains("look TW-1"));
        assert!(says(b"\xFF\xD8\xFF\xE0").contains("look TW-1"));
        assert!(says("\u{FEFF}box,operation,value,traveler\r\n".as_bytes()).contains("sheet TW-1 --take"));
        assert!(says(b"PK\x03\x04").contains("CSV"));
        for other in [&b""[..], b"hello", b"%PDF-1.7\nnothing"] {
            assert!(hint(other, "TW-1").is_none(), "{other:?}");
        }
    }
}
