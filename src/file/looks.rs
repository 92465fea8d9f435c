//! What a file looks like before it is read: people hand in what they have.

use toml::de::DeTable;

/// What a file looks like.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Looks {
    /// Text, with the names of its top-level tables and keys.
    Text {
        /// The text, without a byte order mark.
        text: String,
        /// Top-level names, as far as it can be parsed.
        names: Vec<String>,
    },
    /// It begins with `%PDF`.
    Pdf,
    /// An archive: a spreadsheet or a word processor's document.
    Archive,
    /// PNG, JPEG or GIF by its first bytes.
    Picture,
    /// UTF-16 text.
    Utf16,
    /// Text in another encoding, or no text; the first byte that is not UTF-8.
    NotUtf8(usize),
    /// A table with commas, semicolons or tabs.
    Table,
    /// Its first line that is no comment begins with `{`.
    Json,
}

/// Looks at the bytes of a file.
#[must_use]
pub fn looks(bytes: &[u8]) -> Looks {
    let starts = |with: &[u8]| bytes.starts_with(with);
    if starts(b"%PDF") {
        return Looks::Pdf;
    }
    if starts(b"PK\x03\x04") || starts(b"\xD0\xCF\x11\xE0") {
        return Looks::Archive;
    }
    if starts(b"\x89PNG") || starts(b"\xFF\xD8\xFF") || starts(b"GIF8") {
        return Looks::Picture;
    }
    // With its mark, or plain letters with every other byte empty.
    let empty = |first: usize| bytes.len() >= 8 && (0..4).all(|n| bytes[first + 2 * n] == 0);
    if starts(b"\xFF\xFE") || starts(b"\xFE\xFF") || empty(0) != empty(1) {
        return Looks::Utf16;
    }
    let text = match std::str::from_utf8(bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes)) {
        Ok(text) => text,
        Err(error) => return Looks::NotUtf8(error.valid_up_to()),
    };
    let lines: Vec<&str> =
        text.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with('#')).take(3).collect();
    if let Some(first) = lines.first() {
        if first.starts_with('{') {
            return Looks::Json;
        }
        let cells = |line: &str, by: char| line.matches(by).count();
        let table = [',', ';', '\t'].into_iter().any(|by| {
            cells(first, by) >= 2
                && lines.iter().all(|l| cells(l, by) == cells(first, by) && !l.contains('='))
        });
        if table && !first.starts_with('[') {
            return Looks::Table;
        }
    }
    let (table, _) = DeTable::parse_recoverable(text);
    let names = table.into_inner().into_iter().map(|(key, _)| key.into_inner().into_owned()).collect();
    Looks::Text { text: text.to_owned(), names }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_hand_in_is_told_apart() {
        assert_eq!(looks(b"%PDF-1.7 ..."), Looks::Pdf);
        assert_eq!(looks(b"PK\x03\x04xlsx"), Looks::Archive);
        assert_eq!(looks(b"\xFF\xFE[\0j\0"), Looks::Utf16);
        assert_eq!(looks(b"[\0j\0o\0b\0]\0\n\0"), Looks::Utf16);
        assert_eq!(looks(b"\0[\0j\0o\0b\0]\0\n"), Looks::Utf16);
        assert_eq!(looks(b"[job]\nname = \"M\xFCller\"\n"), Looks::NotUtf8(15));
        assert_eq!(looks(b"joint,size,length\nW1,1/4,5\n"), Looks::Table);
        assert_eq!(looks(b"{ \"job\": 1 }"), Looks::Json);
        let Looks::Text { names, .. } = looks(b"# x\n[job]\ntitle = \"a, b, c\"\n[[axle]]\nid = \"f\"\n")
        else {
            panic!("a job is text");
        };
        assert_eq!(names, ["axle", "job"]);
    }
}
