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
    let mut judge = Judge::new(before, after, fields);
    judge.trailer();
    let ids: BTreeSet<ObjectId> = before.objects.keys().chain(after.objects.keys()).copied().collect();
    for id in ids {
        let (old, new) = (before.objects.get(&id), after.objects.get(&id));
        if old == new || machinery(old) {
            continue;
        }
        if let Some(old) = old {
            judge.object(id, old.as_dict().ok().zip(new.and_then(|o| o.as_dict().ok())));
        }
    }
    judge.finish()
}

/// An object before and after, if both are dictionaries.
type Both<'a> = Option<(&'a Dictionary, &'a Dictionary)>;

/// Gathers what one revision did, object by object.
struct Judge<'a> {
    before: &'a Document,
    after: &'a Document,
    /// Names of the signature fields of the first revision.
    fields: &'a [String],
    pages: BTreeMap<ObjectId, u32>,
    /// Signature fields of the revision before, by their objects.
    issued: BTreeMap<ObjectId, String>,
    form: Option<ObjectId>,
    said: BTreeSet<String>,
    step: Step,
    /// Whether the description in the catalog, the one of the trailer and the form were
    /// written anew.
    described: bool,
    saved: bool,
    marked: bool,
}

/// The object a key of the trailer names.
fn named(file: &Document, key: &[u8]) -> Option<ObjectId> {
    file.trailer.get(key).and_then(Object::as_reference).ok()
}

/// The object a key of the catalog names.
fn catalogued(file: &Document, key: &[u8]) -> Option<ObjectId> {
    file.catalog().ok().and_then(|c| c.get(key).and_then(Object::as_reference).ok())
}

impl<'a> Judge<'a> {
    fn new(before: &'a Document, after: &'a Document, fields: &'a [String]) -> Self {
        Self {
            before,
            after,
            fields,
            pages: before.get_pages().into_iter().map(|(n, id)| (id, n)).collect(),
            issued: signature_fields(before).into_iter().map(|(name, id)| (id, name)).collect(),
            form: catalogued(before, b"AcroForm"),
            said: BTreeSet::new(),
            step: Step::default(),
            described: catalogued(before, b"Metadata") != catalogued(after, b"Metadata"),
            saved: false,
            marked: false,
        }
    }

    fn say(&mut self, words: impl Into<String>) {
        self.said.insert(words.into());
    }

    /// Whether the file still begins with the same catalog and description.
    fn trailer(&mut self) {
        if named(self.before, b"Root") != named(self.after, b"Root") {
            self.say("the file was written with another catalog");
        }
        if named(self.before, b"Info") != named(self.after, b"Info") {
            self.say("the file was given another description");
        }
    }

    /// An object that was there before and is another now.
    fn object(&mut self, id: ObjectId, both: Both<'_>) {
        if Some(id) == named(self.before, b"Root") {
            self.catalog(both);
        } else if Some(id) == self.form {
            if !both.is_some_and(|(old, new)| same(old, new, FORM)) {
                self.say("fields were added to the form or taken from it");
            }
            self.marked = true;
        } else if let Some(name) = self.issued.get(&id).cloned() {
            self.field(name, both);
        } else if Some(id) == named(self.before, b"Info") {
            if !both.is_some_and(|(old, new)| same(old, new, INFORMATION)) {
                self.say("the description of the file was changed");
            }
            self.saved = true;
        } else if Some(id) == catalogued(self.before, b"Metadata") {
            // One that was something else before is judged as that.
            self.described = true;
        } else {
            self.say(words(self.before, self.after, id, &self.pages));
        }
    }

    fn catalog(&mut self, both: Both<'_>) {
        let fits = both.is_some_and(|(old, new)| {
            // A form of its own object is judged as that.
            let forms = [old, new].map(|d| d.get(b"AcroForm").ok());
            let same_form = forms[0] == forms[1]
                || matches!(forms, [Some(Object::Dictionary(a)), Some(Object::Dictionary(b))] if same(a, b, FORM));
            same(old, new, CATALOG) && same_form && same_version(old, new)
        });
        if !fits {
            self.say("the catalog of the file was changed");
        }
        let Some((old, new)) = both else { return };
        let other = |key: &[u8]| old.get(key).ok() != new.get(key).ok();
        let may = [
            (b"DSS".as_slice(), "it adds material to check the signatures with"),
            (b"Version", "it names a later version of the format"),
            (b"Extensions", "it names extensions of the format"),
        ];
        self.step
            .notes
            .extend(may.iter().filter(|(key, _)| other(key)).map(|(_, words)| (*words).to_owned()));
        self.marked |= other(b"AcroForm");
    }

    /// A signature field of the revision before.
    fn field(&mut self, name: String, both: Both<'_>) {
        let empty = !both.is_some_and(|(old, _)| old.has(b"V"));
        let fits = both.is_some_and(|(old, new)| same(old, new, FIELD) && new.has(b"V"));
        if fits && empty && self.fields.contains(&name) {
            self.step.filled.push(name);
        } else if empty {
            self.say(format!("the empty signature field \"{name}\" was changed without being signed"));
        } else {
            self.say(format!("the signed field \"{name}\" was changed"));
        }
    }

    fn finish(mut self) -> Step {
        if self.described {
            let otherwise = described::changed(self.before, self.after);
            if otherwise.is_empty() {
                self.step
                    .notes
                    .push("it writes the file's description (XMP) anew, and it says the same".to_owned());
            }
            self.said.extend(otherwise);
        }
        if self.step.filled.is_empty() {
            let had = &self.before.objects;
            let adds = self.after.objects.iter().any(|(id, o)| !had.contains_key(id) && !machinery(Some(o)));
            let did = [
                (self.saved, "it names another day and program the file was saved by"),
                (self.marked, "it marks the form anew"),
                (adds && self.step.notes.is_empty(), "it adds what no page, field or list of the file shows"),
            ];
            let done = did.iter().filter(|(done, _)| *done).map(|(_, words)| (*words).to_owned());
            self.step.notes.extend(done);
        }
        self.step.against = self.said.into_iter().collect();
        self.step
    }
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
