//! What a later revision of a file changed, and whether it may. Allowed is:
//! filling an empty signature field of the first revision, the marks a signing
//! program leaves in form and description of the file, and material to check
//! signatures with (DSS, ETSI EN 319 142-1, 5.4). Everything else is said.

use std::collections::{BTreeMap, BTreeSet};

use lopdf::{Dictionary, Document, Object, ObjectId};

use super::described;
use super::revisions::{at, signature_fields, text};

/// What one revision did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Step {
    /// Signature fields it filled.
    pub filled: Vec<String>,
    /// What it did that it may do, beside that.
    pub notes: Vec<String>,
    /// What it did that nobody may do after signing, in words.
    pub against: Vec<String>,
}

/// Keys of a field that filling it may change.
const FIELD: &[&[u8]] = &[b"V", b"AP", b"AS", b"M"];
/// Keys of the form that signing may change.
const FORM: &[&[u8]] = &[b"SigFlags", b"DR", b"DA"];
/// Keys of the catalog that signing may change; the form is judged by itself.
const CATALOG: &[&[u8]] = &[b"AcroForm", b"DSS", b"Extensions", b"Metadata", b"Version"];
/// Keys of the information dictionary that a program that saves changes.
const INFORMATION: &[&[u8]] = &[b"ModDate", b"Producer"];

/// Judges the change from one revision to the next; `fields` are the signature
/// fields of the first.
pub(super) fn step(before: &Document, after: &Document, fields: &[String]) -> Step {
    let mut step = Step::default();
    let pages: BTreeMap<ObjectId, u32> = before.get_pages().into_iter().map(|(n, id)| (id, n)).collect();
    let mut ids: BTreeSet<ObjectId> = before.objects.keys().copied().collect();
    ids.extend(after.objects.keys().copied());
    let issued: BTreeMap<ObjectId, String> =
        signature_fields(before).into_iter().map(|(name, id)| (id, name)).collect();
    let mut said: BTreeSet<String> = BTreeSet::new();

    let root = |file: &Document| file.trailer.get(b"Root").and_then(Object::as_reference).ok();
    let info = |file: &Document| file.trailer.get(b"Info").and_then(Object::as_reference).ok();
    if root(before) != root(after) {
        said.insert("the file was written with another catalog".to_owned());
    }
    if info(before) != info(after) {
        said.insert("the file was given another description".to_owned());
    }
    let metadata = |file: &Document| {
        file.catalog().ok().and_then(|c| c.get(b"Metadata").and_then(Object::as_reference).ok())
    };
    let form = before.catalog().ok().and_then(|c| c.get(b"AcroForm").and_then(Object::as_reference).ok());
    let (mut described, mut saved, mut marked) = (metadata(before) != metadata(after), false, false);
    for id in ids {
        let (old, new) = (before.objects.get(&id), after.objects.get(&id));
        if old == new || machinery(old) {
            continue;
        }
        let Some(old) = old else { continue };
        let both = old.as_dict().ok().zip(new.and_then(|o| o.as_dict().ok()));
        if Some(id) == root(before) {
            let fits = both.is_some_and(|(old, new)| {
                // A form of its own object is judged as that.
                let forms = [old, new].map(|d| d.get(b"AcroForm").ok());
                let same_form = forms[0] == forms[1]
                    || matches!(forms, [Some(Object::Dictionary(a)), Some(Object::Dictionary(b))] if same(a, b, FORM));
                same(old, new, CATALOG) && same_form && same_version(old, new)
            });
            if !fits {
                said.insert("the catalog of the file was changed".to_owned());
            }
            if let Some((old, new)) = both {
                let other = |key: &[u8]| old.get(key).ok() != new.get(key).ok();
                let said = [
                    (b"DSS".as_slice(), "it adds material to check the signatures with"),
                    (b"Version", "it names a later version of the format"),
                    (b"Extensions", "it names extensions of the format"),
                ];
                step.notes
                    .extend(said.iter().filter(|(key, _)| other(key)).map(|(_, words)| (*words).to_owned()));
                marked |= other(b"AcroForm");
            }
        } else if Some(id) == form {
            if !both.is_some_and(|(old, new)| same(old, new, FORM)) {
                said.insert("fields were added to the form or taken from it".to_owned());
            }
            marked = true;
        } else if let Some(name) = issued.get(&id) {
            let empty = !both.is_some_and(|(old, _)| old.has(b"V"));
            let fits = both.is_some_and(|(old, new)| same(old, new, FIELD) && new.has(b"V"));
            if fits && empty && fields.contains(name) {
                step.filled.push(name.clone());
            } else if empty {
                said.insert(format!("the empty signature field \"{name}\" was changed without being signed"));
            } else {
                said.insert(format!("the signed field \"{name}\" was changed"));
            }
        } else if Some(id) == info(before) {
            if !both.is_some_and(|(old, new)| same(old, new, INFORMATION)) {
                said.insert("the description of the file was changed".to_owned());
            }
            saved = true;
        } else if Some(id) == metadata(before) {
            // One that was something else before is judged as that.
            described = true;
        } else {
            said.insert(words(before, after, id, &pages));
        }
    }
    if described {
        let otherwise = described::changed(before, after);
        if otherwise.is_empty() {
            step.notes.push("it writes the file's description (XMP) anew, and it says the same".to_owned());
        }
        said.extend(otherwise);
    }
    if step.filled.is_empty() {
        let added =
            after.objects.iter().filter(|(id, o)| !before.objects.contains_key(id) && !machinery(Some(o)));
        step.notes.extend(
            [
                (saved, "it names another day and program the file was saved by"),
                (marked, "it marks the form anew"),
                (
                    added.count() > 0 && step.notes.is_empty(),
                    "it adds what no page, field or list of the file shows",
                ),
            ]
            .iter()
            .filter(|(done, _)| *done)
            .map(|(_, words)| (*words).to_owned()),
        );
    }
    step.against = said.into_iter().collect();
    step
}

/// Objects that hold other objects or say where they are; what they hold is
/// compared by itself. Asked of what was there before only: whatever a revision
/// puts in its place could call itself one.
fn machinery(object: Option<&Object>) -> bool {
    object.is_some_and(|o| o.type_name().is_ok_and(|n| n == b"XRef" || n == b"ObjStm"))
}

/// Whether two dictionaries are the same apart from some keys.
fn same(old: &Dictionary, new: &Dictionary, apart: &[&[u8]]) -> bool {
    let rest = |d: &Dictionary| -> BTreeMap<Vec<u8>, Object> {
        d.iter()
            .filter(|(k, _)| !apart.contains(&k.as_slice()))
            .map(|(k, v)| (k.clone(), v.clone()))
            .collect()
    };
    rest(old) == rest(new)
}

/// A revision may name a later version of the format, never an older one.
fn same_version(old: &Dictionary, new: &Dictionary) -> bool {
    let version = |d: &Dictionary| d.get(b"Version").and_then(Object::as_name).map(<[u8]>::to_vec).ok();
    version(old) <= version(new)
}

/// What the change of an object means to somebody who reads the file.
fn words(before: &Document, after: &Document, id: ObjectId, pages: &BTreeMap<ObjectId, u32>) -> String {
    let Some(old) = before.objects.get(&id) else { return format!("object {} was changed", id.0) };
    if let Some(page) = pages.get(&id) {
        let new = after.objects.get(&id).and_then(|o| o.as_dict().ok());
        let differs = |key: &[u8]| {
            old.as_dict().ok().and_then(|d| at(before, d, key)) != new.and_then(|d| at(after, d, key))
                || old.as_dict().ok().and_then(|d| d.get(key).ok()) != new.and_then(|d| d.get(key).ok())
        };
        return if differs(b"Contents") || differs(b"Resources") {
            format!("something was put over page {page}, or taken from it")
        } else if differs(b"Annots") {
            format!("a note or other annotation was put on page {page}, or taken from it")
        } else {
            format!("page {page} was changed")
        };
    }
    for (page, number) in pages {
        let Ok(page) = before.get_dictionary(*page) else { continue };
        let names = |key: &[u8]| match page.get(key) {
            Ok(Object::Reference(r)) => *r == id,
            Ok(Object::Array(list)) => list.iter().any(|o| o.as_reference().is_ok_and(|r| r == id)),
            _ => false,
        };
        if names(b"Contents") || names(b"Resources") {
            return format!("what page {number} shows was changed");
        }
        if names(b"Annots") {
            return format!("an annotation of page {number} was changed");
        }
    }
    let dictionary = match old {
        Object::Dictionary(d) => Some(d),
        Object::Stream(s) => Some(&s.dict),
        _ => None,
    };
    let kind = dictionary.and_then(|d| d.get_type().ok()).unwrap_or_default();
    match kind {
        b"Filespec" | b"EmbeddedFile" => {
            let name = dictionary.and_then(|d| at(before, d, b"UF")).and_then(text);
            format!("an attached file was changed{}", name.map_or(String::new(), |n| format!(": {n}")))
        }
        b"Pages" => "pages were added, taken out or put in another order".to_owned(),
        b"StructElem" | b"StructTreeRoot" => {
            "the order and meaning of the text for readers aloud was changed".to_owned()
        }
        b"Font" | b"FontDescriptor" => "a font of the pages was changed".to_owned(),
        b"Sig" => "a signature itself was changed".to_owned(),
        _ => format!("object {} was changed", id.0),
    }
}
