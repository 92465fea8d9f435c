//! What a fill-in copy holds that came back, compared with the copy that went out.
//!
//! The value of a field counts (`/V`), never its picture: programs draw what they
//! can, and write what was meant. Everything else has to be as it was given out.

use std::collections::{BTreeMap, BTreeSet};

use lopdf::{Dictionary, Document, LoadOptions, Object, ObjectId};

use super::fill::{ABOUT, DONE};

/// Largest file looked at, in bytes.
const LARGEST: usize = 64 << 20;
/// One stream once unpacked, in bytes.
const UNPACKED: usize = 32 << 20;
/// Most steps down the tree of fields or pages.
const DEEP: usize = 32;
/// How far a corner may be off, in points: programs round.
const OFF_BY: f32 = 0.5;

/// What a field holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Holds {
    /// A box, ticked or not.
    Ticked(bool),
    /// What a field of text holds; empty where nothing was typed.
    Text(String),
    /// Its value and its state say different things.
    Disagrees,
}

/// A copy that came back.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Filled {
    /// What its fields hold, by name.
    pub fields: BTreeMap<String, Holds>,
    /// What else a person has to look at, a sentence each.
    pub marks: Vec<String>,
}

/// What the file says of itself, which tells the copy to compare it with.
///
/// # Errors
/// If it is no fill-in copy: a sentence that says what it is.
pub fn about(bytes: &[u8]) -> Result<String, String> {
    let file = load(bytes)?;
    let fields = fields(&file)?;
    let said = fields.get(ABOUT).and_then(|f| f.value(&file));
    match said.and_then(|v| string(v, &file)) {
        Some(text) => Ok(text),
        None if fields.is_empty() => Err("the file has no fields: it is another one, or it was flattened, and then the values are only drawn; save the copy itself, not a print of it".to_owned()),
        None => Err("the file does not say which copy it is".to_owned()),
    }
}

/// Compares a file with the copy that was given out, and reads its fields.
///
/// # Errors
/// What is not as it was given out, a sentence each.
pub fn read(bytes: &[u8], given: &[u8]) -> Result<Filled, Vec<String>> {
    let one = |why: String| vec![why];
    let (file, given) = (load(bytes).map_err(one)?, load(given).map_err(one)?);
    let mut wrong = Vec::new();
    scripts(&file, &mut wrong);
    let marks = pages(&file, &given, &mut wrong);
    let (ours, theirs) = (fields(&given).map_err(one)?, fields(&file).map_err(one)?);
    for (name, field) in &ours {
        match theirs.get(name) {
            None => wrong.push(format!("the field {name} is gone, or was flattened")),
            Some(other) => field.compare(name, &given, other, &file, &mut wrong),
        }
    }
    wrong.extend(theirs.keys().filter(|n| !ours.contains_key(*n)).map(|n| format!("the field {n} is new")));
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let held = theirs.iter().filter(|(name, _)| *name != ABOUT);
    let fields = held.map(|(name, field)| (name.clone(), field.holds(&file))).collect();
    Ok(Filled { fields, marks })
}

fn load(bytes: &[u8]) -> Result<Document, String> {
    if bytes.len() > LARGEST {
        return Err(format!("the file has {} bytes; more than {LARGEST} are not looked at", bytes.len()));
    }
    let head = bytes.get(..bytes.len().min(1024)).unwrap_or_default();
    let says = |mark: &[u8]| head.windows(mark.len()).any(|w| w.eq_ignore_ascii_case(mark));
    if says(b"%FDF-") || says(b"<xfdf") {
        return Err("this is a list of values without the pages (FDF): nothing shows what was asked for them; save the copy itself as a PDF".to_owned());
    }
    if !says(b"%PDF-") {
        return Err("the file is no PDF".to_owned());
    }
    let bytes = bytes.to_vec();
    // A parser's fault on a hostile file must not end the program.
    let reader = std::thread::Builder::new().stack_size(64 << 20).spawn(move || {
        std::panic::catch_unwind(|| {
            Document::load_mem_with_options(&bytes, LoadOptions::with_max_decompressed_size(UNPACKED))
        })
    });
    match reader.map(std::thread::JoinHandle::join) {
        Ok(Ok(Ok(Ok(file)))) if file.is_encrypted() => Err("the file is encrypted".to_owned()),
        Ok(Ok(Ok(Ok(file)))) => Ok(file),
        _ => Err("the file can't be read as a PDF".to_owned()),
    }
}

/// A field: its own dictionary, and the page and place of its box.
struct Field<'a> {
    dictionary: &'a Dictionary,
    page: Option<u32>,
}

/// All fields by their whole name.
fn fields(file: &Document) -> Result<BTreeMap<String, Field<'_>>, String> {
    let mut found = BTreeMap::new();
    let Ok(form) = file.catalog().and_then(|c| c.get_deref(b"AcroForm", file)) else { return Ok(found) };
    let roots = form.as_dict().and_then(|f| f.get_deref(b"Fields", file)).and_then(Object::as_array);
    let mut on_pages: BTreeMap<ObjectId, u32> = BTreeMap::new();
    for (number, page) in file.get_pages() {
        for one in annotations(file, page) {
            if let Ok(id) = one.as_reference() {
                on_pages.insert(id, number);
            }
        }
    }
    let mut next: Vec<(Object, usize)> =
        roots.cloned().unwrap_or_default().into_iter().map(|o| (o, 0)).collect();
    let mut seen: BTreeSet<ObjectId> = BTreeSet::new();
    while let Some((object, depth)) = next.pop() {
        let id = object.as_reference().map_err(|_| "a field stands inside another object".to_owned())?;
        if depth > DEEP || !seen.insert(id) {
            return Err("the fields form a ring, or one is listed twice".to_owned());
        }
        let dictionary = file.get_dictionary(id).map_err(|_| "a field is missing".to_owned())?;
        let name = dictionary.get_deref(b"T", file).ok().and_then(|t| string(t, file));
        let Some(name) = name else { return Err("a field has no name".to_owned()) };
        if dictionary.has(b"Kids") || dictionary.has(b"Parent") {
            return Err(format!("the field {name} was put together from others"));
        }
        let field = Field { dictionary, page: on_pages.get(&id).copied() };
        if found.insert(name.clone(), field).is_some() {
            return Err(format!("the field {name} is there twice"));
        }
    }
    Ok(found)
}

impl<'a> Field<'a> {
    fn value(&self, file: &'a Document) -> Option<&'a Object> {
        self.dictionary.get_deref(b"V", file).ok()
    }

    fn get(&self, key: &[u8], file: &Document) -> Option<String> {
        match self.dictionary.get_deref(key, file).ok()? {
            Object::Name(name) => Some(String::from_utf8_lossy(name).into_owned()),
            other => string(other, file),
        }
    }

    /// Whether another field is the same box: kind, words, page, place.
    fn compare(
        &self,
        name: &str,
        file: &Document,
        other: &Field<'_>,
        theirs: &Document,
        wrong: &mut Vec<String>,
    ) {
        if self.get(b"FT", file) != other.get(b"FT", theirs) {
            wrong.push(format!("the field {name} is of another kind"));
        }
        if self.get(b"TU", file) != other.get(b"TU", theirs) {
            wrong.push(format!("the field {name} says something else"));
        }
        if self.page != other.page {
            wrong.push(format!("the field {name} stands on another page"));
        }
        let same = match (rect(self.dictionary, file), rect(other.dictionary, theirs)) {
            (Some(a), Some(b)) => a.iter().zip(b).all(|(a, b)| (a - b).abs() < OFF_BY),
            (a, b) => a.is_none() && b.is_none(),
        };
        if !same {
            wrong.push(format!("the field {name} stands at another place"));
        }
        if name == ABOUT {
            let said = |f: &Field<'_>, file: &Document| {
                f.dictionary.get_deref(b"V", file).ok().and_then(|v| string(v, file))
            };
            if said(self, file) != said(other, theirs) {
                wrong.push("what the copy says of itself was changed".to_owned());
            }
        }
    }

    fn holds(&self, file: &Document) -> Holds {
        let button = self.get(b"FT", file).is_some_and(|kind| kind == "Btn");
        let value = self.value(file);
        if !button {
            return match value {
                None | Some(Object::Null) => Holds::Text(String::new()),
                Some(value) => string(value, file).map_or(Holds::Disagrees, Holds::Text),
            };
        }
        let state = |object: Option<&Object>| match object {
            Some(Object::Name(name)) => name == DONE,
            Some(Object::String(text, _)) => text == DONE,
            _ => false,
        };
        let (value, shown) = (state(value), state(self.dictionary.get_deref(b"AS", file).ok()));
        if value == shown { Holds::Ticked(value) } else { Holds::Disagrees }
    }
}

fn rect(dictionary: &Dictionary, file: &Document) -> Option<Vec<f32>> {
    let list = dictionary.get_deref(b"Rect", file).ok()?.as_array().ok()?;
    let list: Vec<f32> = list.iter().filter_map(|o| o.as_float().ok()).collect();
    let [a, b, c, d] = list.as_slice() else { return None };
    Some(vec![a.min(*c), b.min(*d), a.max(*c), b.max(*d)])
}

/// Scripts and actions: a copy has none.
fn scripts(file: &Document, wrong: &mut Vec<String>) {
    let found = file.objects.values().any(|object| acts(object, 0));
    if found || file.catalog().is_ok_and(|c| c.has(b"OpenAction")) {
        wrong.push("the file holds a script or an action; a copy has none".to_owned());
    }
}

/// Whether an object, or one that stands inside it, does something when it is
/// opened or pressed. What nests too deeply is taken for one that does.
fn acts(object: &Object, depth: usize) -> bool {
    const KINDS: &[&[u8]] = &[b"JavaScript", b"Launch", b"SubmitForm", b"ImportData", b"ResetForm"];
    let inside = |d: &Dictionary| {
        d.get(b"S").and_then(Object::as_name).is_ok_and(|s| KINDS.contains(&s))
            || [&b"JS"[..], b"AA", b"XFA"].iter().any(|key| d.has(key))
            || d.iter().any(|(_, o)| acts(o, depth + 1))
    };
    match object {
        _ if depth > DEEP => true,
        Object::Dictionary(d) => inside(d),
        Object::Stream(s) => inside(&s.dict),
        Object::Array(list) => list.iter().any(|o| acts(o, depth + 1)),
        _ => false,
    }
}

/// Pages as they were given out; says what was drawn or noted on them since.
fn pages(file: &Document, given: &Document, wrong: &mut Vec<String>) -> Vec<String> {
    let (ours, theirs) = (given.get_pages(), file.get_pages());
    let mut marks = Vec::new();
    if ours.len() != theirs.len() {
        wrong.push(format!("it has {} pages; the copy has {}", theirs.len(), ours.len()));
        return marks;
    }
    for ((number, our), their) in ours.iter().zip(theirs.values()) {
        if content(given, *our) != content(file, *their) {
            wrong.push(format!(
                "page {number} is not the page that was given out: changed, moved, or written over"
            ));
        }
        for key in [&b"MediaBox"[..], b"Rotate", b"CropBox"] {
            if inherited(given, *our, key) != inherited(file, *their, key) {
                wrong.push(format!("page {number} was turned or cut"));
            }
        }
        let kinds = |file: &Document, page| {
            let mut count: BTreeMap<String, usize> = BTreeMap::new();
            for one in annotations(file, page) {
                let kind = file
                    .dereference(&one)
                    .ok()
                    .and_then(|(_, o)| o.as_dict().ok())
                    .and_then(|d| d.get(b"Subtype").ok());
                let kind = kind
                    .and_then(|k| k.as_name().ok())
                    .map_or_else(String::new, |k| String::from_utf8_lossy(k).into_owned());
                *count.entry(kind).or_default() += 1;
            }
            count
        };
        let before = kinds(given, *our);
        let new: Vec<String> = kinds(file, *their)
            .into_iter()
            .filter(|(kind, n)| *n > before.get(kind).copied().unwrap_or(0) && kind != "Popup")
            .map(|(kind, _)| kind)
            .collect();
        if !new.is_empty() {
            marks.push(format!("page {number} has marks I can't read ({}): look at them", new.join(", ")));
        }
    }
    marks
}

fn annotations(file: &Document, page: ObjectId) -> Vec<Object> {
    let list =
        file.get_dictionary(page).and_then(|p| p.get_deref(b"Annots", file)).and_then(Object::as_array);
    list.cloned().unwrap_or_default()
}

/// What a page draws, unpacked, without the space at its ends.
fn content(file: &Document, page: ObjectId) -> Option<Vec<u8>> {
    let mut all = Vec::new();
    for id in file.get_page_contents(page) {
        let stream = file.get_object(id).ok()?.as_stream().ok()?;
        let plain = match stream.dict.has(b"Filter") {
            true => stream.decompressed_content_with_limit(UNPACKED).ok()?,
            false => stream.content.clone(),
        };
        all.extend_from_slice(plain.trim_ascii());
        all.push(b'\n');
    }
    Some(all.trim_ascii().to_vec())
}

/// A value of a page, or of what it stands in, as text to compare.
fn inherited(file: &Document, page: ObjectId, key: &[u8]) -> Vec<i64> {
    let mut at = page;
    for _ in 0..DEEP {
        let Ok(dictionary) = file.get_dictionary(at) else { break };
        if let Ok(value) = dictionary.get_deref(key, file) {
            let list = value.as_array().map_or_else(|_| std::slice::from_ref(value), Vec::as_slice);
            #[expect(clippy::cast_possible_truncation, reason = "rounded, and compared with whole numbers")]
            let numbers: Vec<i64> =
                list.iter().filter_map(|o| o.as_float().ok()).map(|v| v.round() as i64).collect();
            // A turn by nothing is none.
            return if numbers == [0] { Vec::new() } else { numbers };
        }
        match dictionary.get(b"Parent").and_then(Object::as_reference) {
            Ok(parent) => at = parent,
            Err(_) => break,
        }
    }
    Vec::new()
}

/// A text string: UTF-16 or UTF-8 with a mark, or one byte a character.
fn string(object: &Object, file: &Document) -> Option<String> {
    let bytes = match object {
        Object::String(bytes, _) => bytes.clone(),
        Object::Stream(stream) => stream.decompressed_content_with_limit(UNPACKED).ok()?,
        Object::Reference(id) => return string(file.get_object(*id).ok()?, file),
        _ => return None,
    };
    let wide = |rest: &[u8], unit: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = rest.chunks_exact(2).filter_map(|c| c.try_into().ok()).map(unit).collect();
        String::from_utf16(&units).ok()
    };
    match bytes.as_slice() {
        [0xFE, 0xFF, rest @ ..] => wide(rest, u16::from_be_bytes),
        [0xFF, 0xFE, rest @ ..] => wide(rest, u16::from_le_bytes),
        [0xEF, 0xBB, 0xBF, rest @ ..] => String::from_utf8(rest.to_vec()).ok(),
        plain => plain.iter().map(|b| pdf_doc(*b)).collect(),
    }
}

/// A character of `PDFDocEncoding` (ISO 32000-1, D.2); none where it has none.
fn pdf_doc(byte: u8) -> Option<char> {
    const LOW: &str = "˘ˇˆ˙˝˛˚˜";
    const HIGH: &str = "•†‡…—–ƒ⁄‹›−‰„“”‘’‚™ﬁﬂŁŒŠŸŽıłœšž";
    match byte {
        0x18..=0x1F => LOW.chars().nth(usize::from(byte - 0x18)),
        0x80..=0x9E => HIGH.chars().nth(usize::from(byte - 0x80)),
        0x9F | 0xAD | 0x7F => None,
        0xA0 => Some('€'),
        other => Some(char::from(other)),
    }
}
