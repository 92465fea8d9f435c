//! Puts a signature into an empty field: a revision of its own behind the
//! bytes that are there, none of which changes.

use chrono::{DateTime, FixedOffset};
use lopdf::{Dictionary, Document, Object, ObjectId, Writer};

use super::revisions::{Signature, signature_fields};
use crate::seal::certificate::describe;
use crate::seal::identity::Identity;
use crate::seal::{Fault, container, fingerprint, hex};

/// Room for the container, in bytes: its own 1 to 4 KiB, and a time-stamp token
/// with the service's certificates.
const ROOM: usize = 12 << 10;
/// Room for one number of the range, in digits.
const DIGITS: usize = 10;

/// What is written beside a signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// Name of the empty field.
    pub field: String,
    /// When it was signed, as the record says.
    pub at: DateTime<FixedOffset>,
    /// What the signature means.
    pub reason: String,
}

/// Signs a file into one of its empty fields.
///
/// # Errors
/// If the file has no such field, the field is filled, or the key can't sign.
pub fn sign(bytes: &[u8], mark: &Mark, identity: &Identity) -> Result<Vec<u8>, Fault> {
    let file = Document::load_mem(bytes).map_err(|e| Fault::new(format!("the file can't be read ({e})")))?;
    let (_, id) = signature_fields(&file)
        .into_iter()
        .find(|(name, _)| *name == mark.field)
        .ok_or_else(|| Fault::new(format!("the file has no signature field \"{}\"", mark.field)))?;
    let field = file.get_dictionary(id).map_err(|e| Fault::new(e.to_string()))?;
    if field.has(b"V") {
        return Err(Fault::new(format!("the field \"{}\" is signed already", mark.field)));
    }
    let (value, appearance) = ((file.max_id + 1, 0), (file.max_id + 2, 0));
    let mut filled = field.clone();
    filled.set("V", value);
    filled.set("AP", Dictionary::from_iter([("N", Object::Reference(appearance))]));

    let mut update = Update { bytes: bytes.to_vec(), places: Vec::new() };
    update.bytes.push(b'\n');
    update.object(id, &Object::Dictionary(filled))?;
    let hole = update.signature(value, mark, identity)?;
    update.object(appearance, &Object::Stream(drawing(field)))?;
    update.finish(&file, mark)?;
    let mut bytes = update.bytes;

    let [from, to] = [hole.contents, hole.contents + 2 * ROOM + 2];
    let rest = bytes.len() - to;
    let ranges = format!("0 {from} {to} {rest}");
    let room = hole.range..hole.range + 4 * (DIGITS + 1);
    let padded = format!("{ranges:<width$}", width = room.len());
    put(&mut bytes, room.start, padded.as_bytes())?;
    let (head, tail) = (bytes.get(..from).unwrap_or_default(), bytes.get(to..).unwrap_or_default());
    let made = container::sign(identity, &[head, tail])?;
    fill(&mut bytes, from, &made)?;
    Ok(bytes)
}

/// Another container in the place of one: the same signature with a time-stamp
/// token beside it. Nothing that is signed by it changes.
///
/// # Errors
/// If the room does not suffice.
pub fn put_contents(bytes: &[u8], signature: &Signature, container: &[u8]) -> Result<Vec<u8>, Fault> {
    let mut bytes = bytes.to_vec();
    let [start, length, rest, _] = signature.ranges;
    let from = start + length;
    if rest.saturating_sub(from + 2) / 2 < container.len() {
        return Err(Fault::new("the time-stamp token is too large for the room in the file"));
    }
    let zeros = vec![b'0'; rest.saturating_sub(from + 2)];
    put(&mut bytes, from + 1, &zeros)?;
    put(&mut bytes, from + 1, hex(container).as_bytes())?;
    Ok(bytes)
}

fn fill(bytes: &mut [u8], hole: usize, container: &[u8]) -> Result<(), Fault> {
    if container.len() > ROOM {
        return Err(Fault::new(format!(
            "the signature has {} bytes; there is room for {ROOM}",
            container.len()
        )));
    }
    put(bytes, hole + 1, hex(container).as_bytes())
}

fn put(bytes: &mut [u8], at: usize, value: &[u8]) -> Result<(), Fault> {
    let place =
        bytes.get_mut(at..at + value.len()).ok_or_else(|| Fault::new("there is no room in the file"))?;
    place.copy_from_slice(value);
    Ok(())
}

/// Where in the file what is known only at the end goes.
struct Hole {
    range: usize,
    contents: usize,
}

/// Objects behind a file.
struct Update {
    bytes: Vec<u8>,
    places: Vec<(ObjectId, usize)>,
}

impl Update {
    fn object(&mut self, id: ObjectId, object: &Object) -> Result<(), Fault> {
        self.places.push((id, self.bytes.len()));
        self.text(&format!("{} {} obj\n", id.0, id.1));
        Writer::write_object(&mut self.bytes, object).map_err(|e| Fault::new(e.to_string()))?;
        self.text("\nendobj\n");
        Ok(())
    }

    fn text(&mut self, text: &str) {
        self.bytes.extend_from_slice(text.as_bytes());
    }

    /// The signature dictionary, by hand: two of its values are filled in later
    /// and must have a fixed length.
    fn signature(&mut self, id: ObjectId, mark: &Mark, identity: &Identity) -> Result<Hole, Fault> {
        self.places.push((id, self.bytes.len()));
        self.text(&format!(
            "{} {} obj\n<</Type/Sig/Filter/Adobe.PPKLite/SubFilter/ETSI.CAdES.detached/M(D:{})/Name",
            id.0,
            id.1,
            date(mark.at)
        ));
        let name = describe(identity.leaf()?).name;
        for (key, text) in [("", name.as_str()), ("/Reason", mark.reason.as_str())] {
            self.text(key);
            Writer::write_object(&mut self.bytes, &string(text)).map_err(|e| Fault::new(e.to_string()))?;
        }
        self.text("/ByteRange[");
        let range = self.bytes.len();
        self.text(&" ".repeat(4 * (DIGITS + 1)));
        self.text("]/Contents");
        let contents = self.bytes.len();
        self.text("<");
        self.text(&"0".repeat(2 * ROOM));
        self.text(">>>\nendobj\n");
        Ok(Hole { range, contents })
    }

    /// The list of the objects and the trailer.
    fn finish(&mut self, file: &Document, mark: &Mark) -> Result<(), Fault> {
        let at = self.bytes.len();
        self.text("xref\n0 1\n0000000000 65535 f \n");
        self.places.sort();
        for ((number, generation), offset) in self.places.clone() {
            self.text(&format!("{number} 1\n{offset:010} {generation:05} n \n"));
        }
        let mut trailer = Dictionary::new();
        trailer.set("Size", i64::from(file.max_id) + 3);
        for key in ["Root", "Info"] {
            if let Ok(value) = file.trailer.get(key.as_bytes()) {
                trailer.set(key, value.clone());
            }
        }
        trailer.set("Prev", i64::try_from(file.xref_start).unwrap_or_default());
        // The first half names the file, the second this revision of it.
        if let Ok([first, _]) = file.trailer.get(b"ID").and_then(Object::as_array).map(Vec::as_slice) {
            let content = fingerprint(self.bytes.get(..at).unwrap_or_default());
            let revision = fingerprint(format!("{content} {} {}", mark.field, date(mark.at)).as_bytes());
            let half = Object::string_literal(revision.get(..32).unwrap_or_default());
            trailer.set("ID", vec![first.clone(), half]);
        }
        self.text("trailer\n");
        Writer::write_object(&mut self.bytes, &Object::Dictionary(trailer))
            .map_err(|e| Fault::new(e.to_string()))?;
        self.text(&format!("\nstartxref\n{at}\n%%EOF\n"));
        Ok(())
    }
}

/// A text string: plain where it is ASCII, UTF-16 with a mark elsewhere.
fn string(text: &str) -> Object {
    if text.is_ascii() {
        return Object::string_literal(text);
    }
    let wide = text.encode_utf16().flat_map(u16::to_be_bytes);
    Object::string_literal([0xFE, 0xFF].into_iter().chain(wide).collect::<Vec<u8>>())
}

/// A date as ISO 32000-1, 7.9.4 writes it, without the letters in front.
fn date(at: DateTime<FixedOffset>) -> String {
    let minutes = at.offset().local_minus_utc() / 60;
    let sign = if minutes < 0 { '-' } else { '+' };
    let (hours, rest) = (minutes.abs() / 60, minutes.abs() % 60);
    format!("{}{sign}{hours:02}'{rest:02}'", at.format("%Y%m%d%H%M%S"))
}

/// What a signed field shows: the stroke of a pen on its line, without words;
/// those stand on the page under it. Whether the signature holds is for the
/// reader to say, not for a picture.
fn drawing(field: &Dictionary) -> lopdf::Stream {
    let sides: Vec<f32> = field
        .get(b"Rect")
        .and_then(Object::as_array)
        .map(|list| list.iter().filter_map(|o| o.as_float().ok()).collect())
        .unwrap_or_default();
    let (width, height) = match sides.as_slice() {
        [left, bottom, right, top] => ((right - left).abs(), (top - bottom).abs()),
        _ => (0.0, 0.0),
    };
    let (x, y) = (width - 44.0, height / 2.0 - 2.0);
    let path = format!(
        "q 0.9 w 1 J 1 j {x:.2} {y:.2} m {:.2} {:.2} {:.2} {:.2} {:.2} {y:.2} c {:.2} {:.2} {:.2} {:.2} {:.2} {y:.2} c {:.2} {:.2} {:.2} {:.2} {:.2} {:.2} c S Q",
        x + 2.0,
        y + 14.0,
        x + 9.0,
        y + 12.0,
        x + 8.0,
        x + 8.0,
        y - 6.0,
        x + 14.0,
        y - 5.0,
        x + 16.0,
        x + 18.0,
        y + 8.0,
        x + 24.0,
        y + 4.0,
        x + 36.0,
        y + 2.0,
    );
    let mut dict = Dictionary::new();
    dict.set("Type", "XObject");
    dict.set("Subtype", "Form");
    dict.set("BBox", vec![0.into(), 0.into(), Object::Real(width), Object::Real(height)]);
    dict.set("Resources", Dictionary::new());
    lopdf::Stream::new(dict, path.into_bytes())
}
