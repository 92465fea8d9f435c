//! Files attached to a PDF, read from a file nobody vouches for.

use std::collections::BTreeMap;
use std::panic;

use lopdf::{Dictionary, Document, LoadOptions, Object};

/// Largest file looked at, in bytes.
const LARGEST: usize = 128 << 20;
/// All attachments once unpacked, in bytes.
const UNPACKED: usize = 256 << 20;
/// One stream of the file's own tables once unpacked, in bytes. They hold numbers
/// and names; what is larger was made to fill the memory.
const TABLES: usize = 4 << 20;
/// Deepest nesting of an object that is looked at for attachments.
const DEEPEST: usize = 64;
/// Stack of the reader: a hostile file may be nested deeply.
const STACK: usize = 64 << 20;

/// Files attached to a PDF, by name.
///
/// # Errors
/// If the file can't be read as a PDF; the reason in words.
pub fn attachments(bytes: &[u8]) -> Result<BTreeMap<String, Vec<u8>>, String> {
    if bytes.len() > LARGEST {
        return Err(format!("the file has {} bytes; more than {LARGEST} are not looked at", bytes.len()));
    }
    if !bytes.starts_with(b"%PDF-") {
        return Err("the file does not begin as a PDF".to_owned());
    }
    let bytes = bytes.to_vec();
    // A parser's fault on a hostile file must not end the program.
    let reader = std::thread::Builder::new()
        .stack_size(STACK)
        .spawn(move || panic::catch_unwind(|| read(&bytes)))
        .map_err(|e| e.to_string())?;
    match reader.join() {
        Ok(Ok(found)) => found,
        _ => Err("the file can't be read as a PDF".to_owned()),
    }
}

fn read(bytes: &[u8]) -> Result<BTreeMap<String, Vec<u8>>, String> {
    let limits = LoadOptions::with_max_decompressed_size(TABLES);
    let file = Document::load_mem_with_options(bytes, limits)
        .map_err(|e| format!("the file can't be read as a PDF: {e}"))?;
    let mut found = BTreeMap::new();
    let mut room = UNPACKED;
    let mut specifications = Vec::new();
    for object in file.objects.values() {
        attached(object, DEEPEST, &mut specifications)?;
    }
    for entry in specifications {
        let said = |key: &[u8]| at(&file, entry, key).and_then(text);
        // Some readers show one name, some the other.
        if let (Some(one), Some(other)) = (said(b"UF"), said(b"F"))
            && one != other
        {
            return Err(format!("an attachment is called \"{one}\" and \"{other}\""));
        }
        let Some(name) = said(b"UF").or_else(|| said(b"F")) else {
            return Err("an attachment has no name".to_owned());
        };
        let stream = at(&file, entry, b"EF")
            .and_then(|o| o.as_dict().ok())
            .and_then(|d| at(&file, d, b"F"))
            .and_then(|o| o.as_stream().ok());
        let Some(stream) = stream else { continue };
        // The limit holds while it is unpacked, not afterwards.
        let bytes = stream
            .decompressed_content_with_limit(room)
            .map_err(|e| format!("the attachment \"{name}\" can't be unpacked: {e}"))?;
        room = room.checked_sub(bytes.len()).ok_or("the attachments are too large")?;
        if found.insert(name.clone(), bytes).is_some() {
            return Err(format!("two attachments are called \"{name}\""));
        }
    }
    Ok(found)
}

/// Dictionaries with an attached file in them, wherever they stand in an object and
/// whatever they call themselves: a reader lists them all.
fn attached<'a>(object: &'a Object, deep: usize, found: &mut Vec<&'a Dictionary>) -> Result<(), String> {
    let deeper = deep.checked_sub(1).ok_or("a part of the file is nested too deeply")?;
    let dictionary = match object {
        Object::Array(list) => return list.iter().try_for_each(|one| attached(one, deeper, found)),
        Object::Dictionary(dictionary) => dictionary,
        Object::Stream(stream) => &stream.dict,
        _ => return Ok(()),
    };
    if dictionary.has(b"EF") {
        found.push(dictionary);
    }
    dictionary.iter().try_for_each(|(_, one)| attached(one, deeper, found))
}

/// Whether everything in a file unpacks within the limits, for a reader that has
/// none of its own.
///
/// # Errors
/// If it does not, or can't be read; in words.
pub fn bounded(bytes: &[u8]) -> Result<(), String> {
    let limits = LoadOptions::with_max_decompressed_size(TABLES);
    let file = Document::load_mem_with_options(bytes, limits)
        .map_err(|e| format!("the file can't be read as a PDF: {e}"))?;
    let mut room = UNPACKED;
    for object in file.objects.values() {
        let Object::Stream(stream) = object else { continue };
        let filters = stream.filters().unwrap_or_default();
        // Pictures of these kinds are not unpacked to see where they lie.
        if filters.iter().any(|f| [&b"DCTDecode"[..], b"JPXDecode"].contains(f)) {
            continue;
        }
        let size = if filters.is_empty() {
            stream.content.len()
        } else {
            let unpacked = stream.decompressed_content_with_limit(room);
            unpacked.map_err(|e| format!("a part of the file can't be unpacked: {e}"))?.len()
        };
        room = room.checked_sub(size).ok_or("the file is too large once it is unpacked")?;
    }
    Ok(())
}

/// Kinds of annotations that draw nothing over a page: what is clicked, and the fields
/// signatures go into.
const DRAWS_NOTHING: &[&[u8]] = &[b"Link", b"Widget"];
/// What acts when a file is opened or looked at, and what a reader may switch on and off.
const ACTS: &[&[u8]] = &[b"OCProperties", b"OpenAction", b"AA"];

/// Whether every reader shows the same on the pages of a file: nothing is switched on and
/// off, nothing acts, no unit is stretched, nothing lies over a page beside its content.
///
/// # Errors
/// With what a reader may show otherwise; in words.
pub fn plain(bytes: &[u8]) -> Result<(), String> {
    let limits = LoadOptions::with_max_decompressed_size(TABLES);
    let file = Document::load_mem_with_options(bytes, limits)
        .map_err(|e| format!("the file can't be read as a PDF: {e}"))?;
    let catalog = file.catalog().map_err(|e| format!("the file can't be read as a PDF: {e}"))?;
    if let Some(key) = ACTS.iter().find(|key| catalog.has(key)) {
        return Err(format!(
            "the file has {}, so it shows otherwise from one reader to the next",
            text_of(key)
        ));
    }
    for object in file.objects.values() {
        let dictionary = match object {
            Object::Dictionary(dictionary) => dictionary,
            Object::Stream(stream) => &stream.dict,
            _ => continue,
        };
        if dictionary.has(b"UserUnit") {
            return Err("a page has a unit of its own, which readers scale otherwise".to_owned());
        }
    }
    for (number, page) in file.get_pages() {
        let page = file.get_dictionary(page).map_err(|e| format!("page {number} can't be read: {e}"))?;
        if page.has(b"AA") {
            return Err(format!("page {number} acts when it is looked at"));
        }
        let Some(notes) = at(&file, page, b"Annots") else { continue };
        let notes = notes.as_array().map_err(|_| format!("the notes of page {number} can't be read"))?;
        for note in notes {
            let note = file.dereference(note).ok().and_then(|(_, note)| note.as_dict().ok());
            let kind = note.and_then(|n| at(&file, n, b"Subtype")).and_then(|k| k.as_name().ok());
            let draws = note.is_none_or(|n| n.has(b"AP") && !empty(&file, n));
            if draws || !kind.is_some_and(|k| DRAWS_NOTHING.contains(&k)) {
                return Err(format!("a note or other annotation lies over page {number}"));
            }
        }
    }
    Ok(())
}

/// Whether what an annotation looks like is nothing at all: an empty field.
fn empty(file: &Document, note: &Dictionary) -> bool {
    let look = at(file, note, b"AP").and_then(|ap| ap.as_dict().ok());
    let only = look.filter(|ap| ap.len() == 1).and_then(|ap| at(file, ap, b"N"));
    only.and_then(|n| n.as_stream().ok()).is_some_and(|stream| stream.content.is_empty())
}

fn text_of(name: &[u8]) -> String {
    String::from_utf8_lossy(name).into_owned()
}

fn at<'a>(file: &'a Document, dictionary: &'a Dictionary, key: &[u8]) -> Option<&'a Object> {
    dictionary.get(key).ok().and_then(|o| file.dereference(o).ok()).map(|(_, o)| o)
}

/// A text string: UTF-16 with a mark, or single bytes.
fn text(object: &Object) -> Option<String> {
    let Object::String(bytes, _) = object else { return None };
    match bytes.strip_prefix(&[0xFE, 0xFF]) {
        Some(wide) => {
            let units: Vec<u16> =
                wide.chunks_exact(2).filter_map(|c| Some(u16::from_be_bytes(c.try_into().ok()?))).collect();
            String::from_utf16(&units).ok()
        }
        None => String::from_utf8(bytes.clone()).ok(),
    }
}
