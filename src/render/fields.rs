//! Signature fields. The typesetter knows no form fields; a box that is one is
//! a link to `field:NAME`, and has then its exact place, its place in the order
//! of reading, and its tag. Here each such link becomes an empty signature field
//! (ISO 32000-1, 12.7.4.5), and its tag a form (PDF/UA-1, 7.18.4).

use std::collections::BTreeMap;

use lopdf::{Dictionary, Document, Object, ObjectId, Stream, Writer};

use super::rewrite;
use crate::traveler::document::SignatureBox;

/// What a link to a field begins with.
const MARK: &[u8] = b"field:";

/// Turns the links of a file to these boxes into empty signature fields.
///
/// The form says from the start that signatures are there and the file may only
/// grow: then signing changes nothing but the field.
pub(super) fn put(bytes: &[u8], boxes: &[SignatureBox]) -> Result<Vec<u8>, String> {
    let file = Document::load_mem(bytes).map_err(|e| e.to_string())?;
    let mut next = file.max_id + 1;
    let mut fresh = || {
        next += 1;
        (next - 1, 0)
    };
    let mut given: BTreeMap<usize, Vec<u8>> = BTreeMap::new();
    let mut fields = Vec::new();
    for (id, link, name) in links(&file) {
        let one = boxes.iter().find(|b| b.field.as_bytes() == name).ok_or("a field nobody described")?;
        let appearance = fresh();
        let field = field(&file, link, one, id, appearance)?;
        write(&mut given, id, &Object::Dictionary(field))?;
        write(&mut given, appearance, &Object::Stream(nothing(link)))?;
        let (tag, element) = tag(&file, id).ok_or("a field without a tag")?;
        write(&mut given, tag, &Object::Dictionary(element))?;
        fields.push((one, id));
    }
    if fields.len() != boxes.len() {
        return Err(format!("{} signature fields were asked for, {} were set", boxes.len(), fields.len()));
    }
    let root = file.trailer.get(b"Root").and_then(Object::as_reference).map_err(|e| e.to_string())?;
    let mut catalog = file.catalog().map_err(|e| e.to_string())?.clone();
    let form = fresh();
    catalog.set("AcroForm", form);
    write(&mut given, root, &Object::Dictionary(catalog))?;
    let list: Vec<Object> = fields.iter().map(|(_, id)| Object::Reference(*id)).collect();
    let form_dictionary = Dictionary::from_iter([("Fields", Object::Array(list)), ("SigFlags", 3.into())]);
    write(&mut given, form, &Object::Dictionary(form_dictionary))?;
    rewrite::with_objects(bytes, &given).map_err(str::to_owned)
}

/// Links to fields: object, dictionary, name of the field.
pub(super) fn links(file: &Document) -> Vec<(ObjectId, &Dictionary, &[u8])> {
    let mut found = Vec::new();
    for (id, object) in &file.objects {
        let Object::Dictionary(link) = object else { continue };
        let target = link
            .get(b"A")
            .and_then(|a| file.dereference(a))
            .and_then(|(_, a)| a.as_dict())
            .and_then(|a| a.get(b"URI"))
            .and_then(Object::as_str);
        if let Ok(name) = target
            && let Some(name) = name.strip_prefix(MARK)
        {
            found.push((*id, link, name));
        }
    }
    found
}

/// The field in the place of a link.
fn field(
    file: &Document,
    link: &Dictionary,
    one: &SignatureBox,
    id: ObjectId,
    appearance: ObjectId,
) -> Result<Dictionary, String> {
    let page = file.page_iter().find(|page| {
        let annotations = file.get_dictionary(*page).ok().and_then(|p| p.get_deref(b"Annots", file).ok());
        annotations.and_then(|a| a.as_array().ok()).is_some_and(|list| list.contains(&Object::Reference(id)))
    });
    let mut field = Dictionary::new();
    field.set("Type", "Annot");
    field.set("Subtype", "Widget");
    field.set("FT", "Sig");
    field.set("T", Object::string_literal(one.field.as_bytes()));
    field.set("TU", Object::string_literal(text(&one.spoken)));
    for key in [&b"Rect"[..], b"StructParent"] {
        field.set(key, link.get(key).map_err(|e| e.to_string())?.clone());
    }
    field.set("P", page.ok_or("a field on no page")?);
    // Printed, and never hidden (ISO 19005-3, 6.3.2).
    field.set("F", 4);
    field.set("AP", Dictionary::from_iter([("N", Object::Reference(appearance))]));
    Ok(field)
}

/// What an empty field shows: nothing; the page has its box.
fn nothing(link: &Dictionary) -> Stream {
    let side: Vec<f32> = link
        .get(b"Rect")
        .and_then(Object::as_array)
        .map(|list| list.iter().filter_map(|o| o.as_float().ok()).collect())
        .unwrap_or_default();
    let (width, height) = match side.as_slice() {
        [left, bottom, right, top] => ((right - left).abs(), (top - bottom).abs()),
        _ => (0.0, 0.0),
    };
    let dictionary = Dictionary::from_iter([
        ("Type", Object::from("XObject")),
        ("Subtype", "Form".into()),
        ("BBox", vec![0.into(), 0.into(), Object::Real(width), Object::Real(height)].into()),
        ("Resources", Dictionary::new().into()),
    ]);
    Stream::new(dictionary, Vec::new())
}

/// The tag of an annotation, as that of a form: it holds the field and nothing
/// else (PDF/UA-1, 7.18.4), and not in a list: programs that judge later
/// signatures look for the field right there.
fn tag(file: &Document, id: ObjectId) -> Option<(ObjectId, Dictionary)> {
    let refers = |o: &Object| {
        let d = match o {
            Object::Reference(r) => file.get_dictionary(*r).ok(),
            o => o.as_dict().ok(),
        };
        d.is_some_and(|d| d.get(b"Obj").and_then(Object::as_reference).is_ok_and(|r| r == id))
    };
    file.objects.iter().find_map(|(tag, object)| {
        let Object::Dictionary(element) = object else { return None };
        let kids = match element.get(b"K").ok()? {
            Object::Array(list) => list.clone(),
            one => vec![one.clone()],
        };
        let own = kids.iter().find(|k| refers(k))?.clone();
        let mut element = element.clone();
        element.set("S", "Form");
        element.set("K", own);
        Some((*tag, element))
    })
}

/// A text string: plain where it is ASCII, UTF-16 with a mark elsewhere.
pub(super) fn text(text: &str) -> Vec<u8> {
    if text.is_ascii() {
        return text.as_bytes().to_vec();
    }
    [0xFE, 0xFF].into_iter().chain(text.encode_utf16().flat_map(u16::to_be_bytes)).collect()
}

pub(super) fn write(
    given: &mut BTreeMap<usize, Vec<u8>>,
    id: ObjectId,
    object: &Object,
) -> Result<(), String> {
    let mut bytes = format!("{} {} obj\n", id.0, id.1).into_bytes();
    Writer::write_object(&mut bytes, object).map_err(|e| e.to_string())?;
    bytes.extend_from_slice(b"\nendobj\n");
    given.insert(usize::try_from(id.0).map_err(|e| e.to_string())?, bytes);
    Ok(())
}
