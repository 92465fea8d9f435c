//! Fill-in copies: a paper with a form field on every box that is written at the
//! bench. The typesetter knows no form fields; here each of its links to a box
//! becomes one (ISO 32000-1, 12.7), its tag a form with nothing but the field in it
//! (PDF/UA-1, 7.18.4). When the typesetter writes fields itself, this file can go.

use std::collections::BTreeMap;

use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use typst::layout::Abs;
use typst::text::{Font, FontVariant, FontVariations};

use super::fields::{links, text, write};
use super::rewrite;
use crate::form::{BoxKind, Form, FormBox};

/// Field that says which copy this is; nobody writes in it.
pub const ABOUT: &str = "about-this-copy";
/// State of a box that is ticked.
pub const DONE: &[u8] = b"Done";
/// State of a box that is not.
const OFF: &[u8] = b"Off";
/// Name of the font of typed text.
const FONT: &str = "Inter";
/// How typed text looks: 9 point, black.
const LOOK: &str = "/Inter 9 Tf 0 g";

/// Objects to be exchanged or added.
struct Objects {
    given: BTreeMap<usize, Vec<u8>>,
    next: u32,
}

impl Objects {
    fn add(&mut self, object: &Object) -> Result<ObjectId, String> {
        let id = (self.next, 0);
        self.next += 1;
        write(&mut self.given, id, object)?;
        Ok(id)
    }
}

/// Turns the links of a file to the boxes of a form into fields. `about` is what the
/// file says of itself.
pub(super) fn put(bytes: &[u8], form: &Form, about: &str, font: &Font) -> Result<Vec<u8>, String> {
    let file = Document::load_mem(bytes).map_err(|e| e.to_string())?;
    let mut objects = Objects { given: BTreeMap::new(), next: file.max_id + 1 };
    let names = targets(form);
    let (pages, tags) = (pages(&file), tags(&file));
    let shared = Shared {
        font: embed(&mut objects, font)?,
        done: objects.add(&Object::Stream(appearance(4.8, 4.8, CROSS.to_vec(), None)))?,
        off: objects.add(&Object::Stream(appearance(4.8, 4.8, Vec::new(), None)))?,
    };
    let mut fields: BTreeMap<String, ObjectId> = BTreeMap::new();
    for (id, link, target) in links(&file) {
        let target = std::str::from_utf8(target).map_err(|e| e.to_string())?;
        let one = names.get(target).ok_or_else(|| format!("a field on {target}, which is no box"))?;
        let page = *pages.get(&id).ok_or("a field on no page")?;
        let field = shared.field(&mut objects, link, one, page)?;
        write(&mut objects.given, id, &Object::Dictionary(field))?;
        let (tag, own) = tags.get(&id).ok_or("a field without a tag")?;
        let mut element = file.get_dictionary(*tag).map_err(|e| e.to_string())?.clone();
        element.set("S", "Form");
        element.set("K", own.clone());
        write(&mut objects.given, *tag, &Object::Dictionary(element))?;
        if fields.insert((*target).to_owned(), id).is_some() {
            return Err(format!("two fields on {target}"));
        }
    }
    if let Some(lost) = names.keys().find(|target| !fields.contains_key(*target)) {
        return Err(format!("no field on {lost}"));
    }
    // In the order they are read, not by name.
    let mut list: Vec<Object> = targets_in_order(form)
        .filter_map(|(target, _)| fields.get(&target).copied().map(Object::Reference))
        .collect();
    let mut says = Dictionary::new();
    says.set("FT", "Tx");
    says.set("T", Object::string_literal(ABOUT));
    says.set("TU", Object::string_literal("which copy this is"));
    says.set("Ff", 1);
    says.set("V", Object::string_literal(text(about)));
    says.set("DA", Object::string_literal(LOOK));
    list.push(objects.add(&Object::Dictionary(says))?.into());
    let fonts = Dictionary::from_iter([(FONT, Object::Reference(shared.font))]);
    let mut acro = Dictionary::new();
    acro.set("Fields", list);
    acro.set("DA", Object::string_literal(LOOK));
    acro.set("DR", Dictionary::from_iter([("Font", Object::Dictionary(fonts))]));
    let acro = objects.add(&Object::Dictionary(acro))?;
    let root = file.trailer.get(b"Root").and_then(Object::as_reference).map_err(|e| e.to_string())?;
    let mut catalog = file.catalog().map_err(|e| e.to_string())?.clone();
    catalog.set("AcroForm", acro);
    write(&mut objects.given, root, &Object::Dictionary(catalog))?;
    rewrite::with_objects(bytes, &objects.given).map_err(str::to_owned)
}

/// What the template links each box to, in the order of the form. Signatures are
/// given at the desk, and what only the paper keeps is written there: their boxes have
/// no field.
fn targets_in_order(form: &Form) -> impl Iterator<Item = (String, &FormBox)> {
    let mut words: BTreeMap<&crate::form::BoxName, usize> = BTreeMap::new();
    form.boxes.iter().filter(|b| b.kind.entered()).map(move |one| {
        let target = match &one.word {
            Some(_) => {
                let place = words.entry(&one.name).or_default();
                *place += 1;
                format!("{}={}", one.name, *place - 1)
            }
            None => one.name.to_string(),
        };
        (target, one)
    })
}

fn targets(form: &Form) -> BTreeMap<String, &FormBox> {
    targets_in_order(form).collect()
}

/// The page of each annotation.
fn pages(file: &Document) -> BTreeMap<ObjectId, ObjectId> {
    let mut found = BTreeMap::new();
    for page in file.page_iter() {
        let list = file.get_dictionary(page).ok().and_then(|p| p.get_deref(b"Annots", file).ok());
        for one in list.and_then(|l| l.as_array().ok()).into_iter().flatten() {
            if let Ok(id) = one.as_reference() {
                found.insert(id, page);
            }
        }
    }
    found
}

/// The tag of each annotation, and the reference to it in there.
fn tags(file: &Document) -> BTreeMap<ObjectId, (ObjectId, Object)> {
    let mut found = BTreeMap::new();
    for (tag, object) in &file.objects {
        let Object::Dictionary(element) = object else { continue };
        let Ok(kids) = element.get(b"K") else { continue };
        let kids = kids.as_array().map_or_else(|_| std::slice::from_ref(kids), Vec::as_slice);
        for kid in kids {
            let refers = match kid {
                Object::Reference(id) => file.get_dictionary(*id).ok(),
                kid => kid.as_dict().ok(),
            };
            let refers = refers.and_then(|d| d.get(b"Obj").ok()).and_then(|o| o.as_reference().ok());
            if let Some(annotation) = refers {
                found.insert(annotation, (*tag, kid.clone()));
            }
        }
    }
    found
}

/// What all fields use.
struct Shared {
    font: ObjectId,
    done: ObjectId,
    off: ObjectId,
}

impl Shared {
    fn field(
        &self,
        objects: &mut Objects,
        link: &Dictionary,
        one: &FormBox,
        page: ObjectId,
    ) -> Result<Dictionary, String> {
        let mut field = Dictionary::new();
        field.set("Type", "Annot");
        field.set("Subtype", "Widget");
        field.set("T", Object::string_literal(text(&one.field())));
        field.set("TU", Object::string_literal(text(&one.asks)));
        for key in [&b"Rect"[..], b"StructParent"] {
            field.set(key, link.get(key).map_err(|e| e.to_string())?.clone());
        }
        field.set("P", page);
        // Printed, and never hidden (ISO 19005-3, 6.3.2).
        field.set("F", 4);
        let normal = if one.kind == BoxKind::Tick {
            field.set("FT", "Btn");
            field.set("V", Object::Name(OFF.to_vec()));
            field.set("AS", Object::Name(OFF.to_vec()));
            Object::Dictionary(Dictionary::from_iter([
                (DONE.to_vec(), Object::Reference(self.done)),
                (OFF.to_vec(), Object::Reference(self.off)),
            ]))
        } else {
            field.set("FT", "Tx");
            field.set("DA", Object::string_literal(LOOK));
            // Each its own: a shared one would be written anew in place, and the value
            // show up in every other box.
            let (width, height) = (points(one.rect.width), points(one.rect.height));
            let own = appearance(width, height, b"/Tx BMC\nEMC".to_vec(), Some(self.font));
            Object::Reference(objects.add(&Object::Stream(own))?)
        };
        field.set("AP", Dictionary::from_iter([("N", normal)]));
        Ok(field)
    }
}

fn points(mm: f64) -> f64 {
    Abs::mm(mm).to_pt()
}

/// A cross from corner to corner, in a square of 4.8 points.
const CROSS: &[u8] = b"0.7 w 0.6 0.6 m 4.2 4.2 l 0.6 4.2 m 4.2 0.6 l S";

fn appearance(width: f64, height: f64, content: Vec<u8>, font: Option<ObjectId>) -> Stream {
    // Hundredths of a point are finer than any pen.
    #[expect(clippy::cast_possible_truncation, reason = "a PDF holds single precision")]
    let side = |v: f64| Object::Real(((v * 100.0).round() / 100.0) as f32);
    let mut resources = Dictionary::new();
    if let Some(font) = font {
        resources.set("Font", Dictionary::from_iter([(FONT, Object::Reference(font))]));
    }
    let dictionary = Dictionary::from_iter([
        ("Type", Object::from("XObject")),
        ("Subtype", "Form".into()),
        ("BBox", vec![0.into(), 0.into(), side(width), side(height)].into()),
        ("Resources", resources.into()),
    ]);
    Stream::new(dictionary, content)
}

/// The characters of `WinAnsiEncoding` from 128 to 159 (ISO 32000-1, D.2); a point
/// where it has none.
const UPPER: &str = "€•‚ƒ„…†‡ˆ‰Š‹Œ•Ž••‘’“”•–—˜™š›œ•žŸ";

/// A number of thousandths of the type size, without a fraction.
fn whole(value: f64) -> Object {
    // Metrics of a font are far smaller than what a whole number holds.
    format!("{:.0}", value.round()).parse().map_or(Object::Integer(0), Object::Integer)
}

/// The font of typed text: simple, one byte a character, for programs that draw what
/// is typed.
fn embed(objects: &mut Objects, font: &Font) -> Result<ObjectId, String> {
    let instance = font.clone().instantiate(FontVariant::default(), Abs::zero(), &FontVariations::default());
    let face = instance.ttf();
    let units = f64::from(face.units_per_em());
    let scale = |v: i16| whole(f64::from(v) * 1000.0 / units);
    let characters = (32_u8..=126).map(char::from).chain(['•']).chain(UPPER.chars());
    let characters = characters.chain((160_u8..=255).map(char::from));
    let widths: Vec<Object> = characters
        .map(|c| {
            let glyph = face.glyph_index(c);
            let advance = glyph.and_then(|g| face.glyph_hor_advance(g)).unwrap_or_default();
            whole(f64::from(advance) * 1000.0 / units)
        })
        .collect();
    let outlines =
        table(font.data(), b"CFF ").ok_or("the font has no outlines of the kind that is embedded")?;
    let mut program =
        Stream::new(Dictionary::from_iter([("Subtype", Object::from("Type1C"))]), outlines.to_vec());
    program.compress().map_err(|e| e.to_string())?;
    let program = objects.add(&Object::Stream(program))?;
    let bounds = face.global_bounding_box();
    let mut descriptor = Dictionary::new();
    descriptor.set("Type", "FontDescriptor");
    descriptor.set("FontName", "Inter-Regular");
    descriptor.set("Flags", 32);
    let bounds = [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max];
    descriptor.set("FontBBox", bounds.map(scale).to_vec());
    descriptor.set("ItalicAngle", 0);
    descriptor.set("Ascent", scale(face.ascender()));
    descriptor.set("Descent", scale(face.descender()));
    descriptor.set("CapHeight", scale(face.capital_height().unwrap_or_else(|| face.ascender())));
    descriptor.set("StemV", 80);
    descriptor.set("FontFile3", program);
    let descriptor = objects.add(&Object::Dictionary(descriptor))?;
    let mut simple = Dictionary::new();
    simple.set("Type", "Font");
    simple.set("Subtype", "Type1");
    simple.set("BaseFont", "Inter-Regular");
    simple.set("Encoding", "WinAnsiEncoding");
    simple.set("FirstChar", 32);
    simple.set("LastChar", 255);
    simple.set("Widths", widths);
    simple.set("FontDescriptor", descriptor);
    objects.add(&Object::Dictionary(simple))
}

/// A table of a font file (OpenType 1.9, table directory).
fn table<'a>(file: &'a [u8], tag: &[u8; 4]) -> Option<&'a [u8]> {
    let number = |at: usize, size: usize| {
        let bytes = file.get(at..at + size)?;
        Some(bytes.iter().fold(0_usize, |n, b| n << 8 | usize::from(*b)))
    };
    let count = number(4, 2)?;
    (0..count).map(|n| 12 + 16 * n).find(|at| file.get(*at..*at + 4) == Some(tag)).and_then(|at| {
        let (from, length) = (number(at + 8, 4)?, number(at + 12, 4)?);
        file.get(from..from + length)
    })
}
