//! The revisions of a file (ISO 32000-1, 7.5.6) and the signatures in it
//! (12.8), from a file nobody vouches for.

use std::panic;

use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta};
use lopdf::{Dictionary, Document, LoadOptions, Object, ObjectId};

use super::judge::{self, Step};
use crate::seal::Fault;

/// Stack of the reader: a hostile file may be nested deeply.
const STACK: usize = 64 << 20;
/// Most revisions that are looked at.
const MOST: usize = 32;
/// Largest stream that is unpacked while a file is read, in bytes.
const UNPACKED: usize = 64 << 20;

/// A signature in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    /// Name of its field.
    pub field: String,
    /// Revision it belongs to, from 0; none if it ends with no revision.
    pub revision: Option<usize>,
    /// Form of the signature: `ETSI.CAdES.detached`.
    pub form: String,
    /// The container (CMS) as the file holds it, not yet checked.
    pub contents: Vec<u8>,
    /// Bytes that are signed: from, length, from, length.
    pub ranges: [usize; 4],
    /// What speaks against its ranges, in words.
    pub gaps: Vec<String>,
    /// Time the signer claims.
    pub claimed: Option<DateTime<FixedOffset>>,
    /// What the signer says beside it, by the names of ISO 32000-1, 12.8.1, table 252.
    pub words: Vec<(&'static str, String)>,
}

impl Signature {
    /// The bytes that are signed.
    #[must_use]
    pub fn signed<'a>(&self, bytes: &'a [u8]) -> [&'a [u8]; 2] {
        let [a, b, c, d] = self.ranges;
        let part =
            |from: usize, length: usize| bytes.get(from..from.saturating_add(length)).unwrap_or_default();
        [part(a, b), part(c, d)]
    }
}

/// A file taken apart.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Read {
    /// Where each revision ends, the first one first.
    pub ends: Vec<usize>,
    /// Signature fields of the first revision, by name.
    pub fields: Vec<String>,
    /// Signatures, in the order of their revisions.
    pub signatures: Vec<Signature>,
    /// What each revision after the first changed.
    pub steps: Vec<Step>,
}

/// Where the first revision of a file ends; its whole length if that can't be
/// told.
#[must_use]
pub fn first(bytes: &[u8]) -> usize {
    sections(bytes).ok().and_then(|all| all.first().map(|s| s.end)).unwrap_or(bytes.len())
}

/// What stands behind the last end of a file and is read by nobody as a part of it; empty if
/// there is nothing but blanks, or if the file can't be told apart.
#[must_use]
pub fn behind(bytes: &[u8]) -> &[u8] {
    let end = linked(bytes).ok().and_then(|all| all.last().map(|s| s.end));
    let tail = end.and_then(|end| bytes.get(end..)).unwrap_or_default();
    // The end of its last line is the file's own, and may be signed with it.
    let tail = [&b"\r\n"[..], b"\n", b"\r"].iter().find_map(|eol| tail.strip_prefix(*eol)).unwrap_or(tail);
    if tail.trim_ascii().is_empty() { &[] } else { tail }
}

/// Takes a file apart.
///
/// # Errors
/// If it can't be read exactly as it is written; nothing is repaired.
pub fn read(bytes: &[u8]) -> Result<Read, Fault> {
    let bytes = bytes.to_vec();
    // A parser's fault on a hostile file must not end the program.
    let reader = std::thread::Builder::new()
        .stack_size(STACK)
        .spawn(move || panic::catch_unwind(|| apart(&bytes)))
        .map_err(|e| Fault::new(e.to_string()))?;
    match reader.join() {
        Ok(Ok(done)) => done,
        _ => Err(Fault::new("the file can't be read as a PDF")),
    }
}

/// A cross-reference section: where it begins and where its revision ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Section {
    at: usize,
    end: usize,
}

/// The sections in the order of the file; the file must end with the last.
fn sections(bytes: &[u8]) -> Result<Vec<Section>, Fault> {
    let found = linked(bytes)?;
    if behind(bytes).is_empty() {
        return Ok(found);
    }
    Err(Fault::new("something stands behind the end of the file"))
}

/// The sections in the order of the file. Every one must say where the one before it is.
fn linked(bytes: &[u8]) -> Result<Vec<Section>, Fault> {
    const MARK: &[u8] = b"startxref";
    const END: &[u8] = b"%%EOF";
    let mut found: Vec<Section> = Vec::new();
    let mut from = 0;
    while let Some(at) = find(bytes, MARK, from) {
        from = at + MARK.len();
        let mut rest = bytes.get(from..).unwrap_or_default();
        rest = rest.trim_ascii_start();
        let digits = rest.iter().take_while(|b| b.is_ascii_digit()).count();
        let number: Option<usize> =
            std::str::from_utf8(rest.get(..digits).unwrap_or_default()).ok().and_then(|t| t.parse().ok());
        let Some(number) = number else { continue };
        let after = rest.get(digits..).unwrap_or_default().trim_ascii_start();
        if !after.starts_with(END) {
            continue;
        }
        let end = bytes.len() - after.len() + END.len();
        let previous = found.last().map(|s| s.at);
        if number >= at || found.last().is_some_and(|s| number < s.end) {
            return Err(Fault::new("a revision of the file does not say where its objects are"));
        }
        if link(bytes.get(number..at).unwrap_or_default())? != previous {
            return Err(Fault::new("the revisions of the file are not linked one to the next"));
        }
        found.push(Section { at: number, end });
        if found.len() > MOST {
            return Err(Fault::new(format!("the file has more than {MOST} revisions")));
        }
    }
    if found.is_empty() { Err(Fault::new("the file has no end that could be read")) } else { Ok(found) }
}

fn find(bytes: &[u8], mark: &[u8], from: usize) -> Option<usize> {
    memchr::memmem::find(bytes.get(from..)?, mark).map(|at| from + at)
}

/// Where a section says the one before it is.
fn link(section: &[u8]) -> Result<Option<usize>, Fault> {
    let head = if section.starts_with(b"xref") {
        let at = find(section, b"trailer", 0).ok_or_else(|| Fault::new("a revision has no trailer"))?;
        section.get(at..).unwrap_or_default()
    } else {
        let to =
            find(section, b"stream", 0).ok_or_else(|| Fault::new("a revision has no list of objects"))?;
        section.get(..to).unwrap_or_default()
    };
    // Two lists of objects, of which some readers see one and some the other.
    if find(head, b"/XRefStm", 0).is_some() {
        return Err(Fault::new("a revision lists its objects in two ways"));
    }
    let mut places = memchr::memmem::find_iter(head, b"/Prev").map(|at| at + 5);
    let Some(at) = places.next() else { return Ok(None) };
    let text: String = head
        .get(at..)
        .unwrap_or_default()
        .trim_ascii_start()
        .iter()
        .map_while(|b| b.is_ascii_digit().then_some(char::from(*b)))
        .collect();
    match (text.parse().ok(), places.next()) {
        (Some(number), None) => Ok(Some(number)),
        _ => Err(Fault::new("a revision does not say plainly what it follows")),
    }
}

/// A file as it stood at the end of one revision.
fn load(bytes: &[u8], section: Section, count: usize) -> Result<Document, Fault> {
    let options =
        LoadOptions { strict: true, max_decompressed_size: Some(UNPACKED), ..LoadOptions::default() };
    let part = bytes.get(..section.end).unwrap_or_default();
    let document = Document::load_mem_with_options(part, options)
        .map_err(|e| Fault::new(format!("the file can't be read as it is written ({e})")))?;
    let plain = document.xref_recovery.is_none()
        && document.xref_start == section.at
        && document.xref_section_count == count
        && !document.is_encrypted();
    if plain { Ok(document) } else { Err(Fault::new("the file can't be read as it is written")) }
}

fn apart(bytes: &[u8]) -> Result<Read, Fault> {
    let sections = sections(bytes)?;
    let ends: Vec<usize> = sections.iter().map(|s| s.end).collect();
    let mut before: Option<Document> = None;
    let mut fields = Vec::new();
    let mut steps = Vec::new();
    for (index, section) in sections.iter().enumerate() {
        let now = load(bytes, *section, index + 1)?;
        match &before {
            None => fields = signature_fields(&now).into_iter().map(|(name, _)| name).collect(),
            Some(before) => steps.push(judge::step(before, &now, &fields)),
        }
        before = Some(now);
    }
    let last = before.ok_or_else(|| Fault::new("the file is empty"))?;
    let mut signatures: Vec<Signature> = signature_fields(&last)
        .into_iter()
        .filter_map(|(name, id)| signature(&last, name, id, bytes, &ends))
        .collect();
    signatures.sort_by_key(|s| s.ranges[2].saturating_add(s.ranges[3]));
    Ok(Read { ends, fields, signatures, steps })
}

/// Fields that take a signature, by name, with their objects.
pub(super) fn signature_fields(file: &Document) -> Vec<(String, ObjectId)> {
    let form = file.catalog().ok().and_then(|c| dictionary(file, c, b"AcroForm"));
    let Some(list) = form.and_then(|f| at(file, f, b"Fields")).and_then(|o| o.as_array().ok()) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for id in list.iter().filter_map(|o| o.as_reference().ok()) {
        let Ok(field) = file.get_dictionary(id) else { continue };
        if at(file, field, b"FT").is_some_and(|o| o.as_name().is_ok_and(|n| n == b"Sig")) {
            let name = at(file, field, b"T").and_then(text).unwrap_or_default();
            found.push((name, id));
        }
    }
    found
}

/// What a signer may say beside the signature, and how it is told.
const WORDS: &[(&str, &str)] =
    &[("Name", "name"), ("Reason", "reason"), ("Location", "place"), ("ContactInfo", "how to be reached")];

/// The signature in a field, if there is one.
fn signature(
    file: &Document,
    field: String,
    id: ObjectId,
    bytes: &[u8],
    ends: &[usize],
) -> Option<Signature> {
    let value = dictionary(file, file.get_dictionary(id).ok()?, b"V")?;
    let contents = match at(file, value, b"Contents") {
        Some(Object::String(contents, _)) => contents.clone(),
        _ => Vec::new(),
    };
    let numbers: Vec<usize> = at(file, value, b"ByteRange")
        .and_then(|o| o.as_array().ok())
        .map(|list| list.iter().filter_map(|o| usize::try_from(o.as_i64().ok()?).ok()).collect())
        .unwrap_or_default();
    let mut gaps = Vec::new();
    let ranges: [usize; 4] = numbers.try_into().unwrap_or_else(|_| {
        gaps.push("it does not say which bytes it covers".to_owned());
        [0; 4]
    });
    let [start, length, rest, last] = ranges;
    let end = rest.saturating_add(last);
    // The only hole is the container itself, from its bracket to its bracket.
    let hole = bytes.get(start.saturating_add(length)..rest).unwrap_or_default();
    let inside = hole.strip_prefix(b"<").and_then(|h| h.strip_suffix(b">"));
    let same = inside
        .and_then(|h| std::str::from_utf8(h).ok())
        .and_then(crate::seal::unhex)
        .is_some_and(|h| h == contents);
    if gaps.is_empty() && (start != 0 || !same || end > bytes.len()) {
        gaps.push("the bytes it covers leave out more than the signature itself".to_owned());
    }
    // It ends with the revision it belongs to.
    let revision = ends.iter().position(|e| {
        end >= *e && bytes.get(*e..end).is_some_and(|b| b.trim_ascii().is_empty() && b.len() <= 2)
    });
    if gaps.is_empty() && revision.is_none() {
        gaps.push("it does not cover its revision to the end".to_owned());
    }
    Some(Signature {
        field,
        revision,
        form: at(file, value, b"SubFilter")
            .and_then(|o| o.as_name().ok())
            .map(|n| String::from_utf8_lossy(n).into_owned())
            .unwrap_or_default(),
        contents,
        ranges,
        gaps,
        claimed: at(file, value, b"M").and_then(text).and_then(|t| date(&t)),
        words: WORDS
            .iter()
            .filter_map(|(key, name)| Some((*name, at(file, value, key.as_bytes()).and_then(text)?)))
            .filter(|(_, said)| !said.trim().is_empty())
            .collect(),
    })
}

/// A value of a dictionary, references followed.
pub(super) fn at<'a>(file: &'a Document, dictionary: &'a Dictionary, key: &[u8]) -> Option<&'a Object> {
    dictionary.get(key).ok().and_then(|o| file.dereference(o).ok()).map(|(_, o)| o)
}

/// A dictionary in a dictionary, references followed.
pub(super) fn dictionary<'a>(
    file: &'a Document,
    parent: &'a Dictionary,
    key: &[u8],
) -> Option<&'a Dictionary> {
    at(file, parent, key).and_then(|o| o.as_dict().ok())
}

/// A text string: UTF-16 with a mark, or single bytes.
pub(super) fn text(object: &Object) -> Option<String> {
    let Object::String(bytes, _) = object else { return None };
    match bytes.strip_prefix(&[0xFE, 0xFF]) {
        Some(wide) => {
            let units: Vec<u16> =
                wide.chunks_exact(2).filter_map(|c| Some(u16::from_be_bytes(c.try_into().ok()?))).collect();
            String::from_utf16(&units).ok()
        }
        None => Some(bytes.iter().map(|b| char::from(*b)).collect()),
    }
}

/// A date of a PDF (ISO 32000-1, 7.9.4): `D:20260305141500-06'00'`.
fn date(text: &str) -> Option<DateTime<FixedOffset>> {
    let text = text.strip_prefix("D:")?;
    let number = |from: usize, to: usize| text.get(from..to).and_then(|t| t.parse::<u32>().ok());
    let day = NaiveDate::from_ymd_opt(i32::try_from(number(0, 4)?).ok()?, number(4, 6)?, number(6, 8)?)?;
    let local = day.and_hms_opt(number(8, 10)?, number(10, 12)?, number(12, 14)?)?;
    let zone = text.get(14..).unwrap_or_default();
    let offset = match zone.chars().next() {
        Some(sign @ ('+' | '-')) => {
            let part = |from: usize| zone.get(from..from + 2).and_then(|t| t.parse::<i32>().ok());
            let seconds = part(1)? * 3600 + part(4).unwrap_or(0) * 60;
            FixedOffset::east_opt(if sign == '-' { -seconds } else { seconds })?
        }
        _ => FixedOffset::east_opt(0)?,
    };
    let utc = local.checked_sub_signed(TimeDelta::seconds(i64::from(offset.local_minus_utc())))?;
    Some(DateTime::from_naive_utc_and_offset(utc, offset))
}

#[cfg(test)]
mod tests {
    use super::date;

    #[test]
    fn a_date_is_read_with_its_zone() {
        // ISO 32000-1, 7.9.4, example: December 23, 1998, 19:52, U.S. Pacific Standard Time.
        let read = date("D:199812231952-08'00'");
        assert!(read.is_none(), "seconds are always written by signing programs");
        let read = date("D:19981223195200-08'00").unwrap();
        assert_eq!(read.to_rfc3339(), "1998-12-23T19:52:00-08:00");
        assert_eq!(date("D:20260305141500Z").unwrap().to_rfc3339(), "2026-03-05T14:15:00+00:00");
        assert!(date("yesterday").is_none() && date("D:20261305141500Z").is_none());
    }
}
