//! What a file says of itself in its description (XMP, ISO 16684-1), and what a later
//! revision made another thing: readers show its title above the page.

use std::collections::BTreeMap;

use lopdf::{Document, Object};
use roxmltree::Node;

use super::revisions::at;

/// Largest description that is read, in bytes; ours has some 5,000.
const LARGEST: usize = 1 << 20;
/// The language descriptions are written in (W3C, RDF 1.1 XML Syntax).
const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";
const XML: &str = "http://www.w3.org/XML/1998/namespace";
/// What a program that signs may write anew, as in the information dictionary (ISO 16684-1,
/// 8.4; the schemas PDF/A asks for by ISO 19005-3, 6.6.2.3, say nothing of the file).
const SAVED: &[(&str, &str)] = &[
    ("http://ns.adobe.com/xap/1.0/", "ModifyDate"),
    ("http://ns.adobe.com/xap/1.0/", "MetadataDate"),
    ("http://ns.adobe.com/pdf/1.3/", "Producer"),
    ("http://ns.adobe.com/xap/1.0/mm/", "InstanceID"),
    ("http://ns.adobe.com/xap/1.0/mm/", "History"),
    ("http://www.aiim.org/pdfa/ns/extension/", "schemas"),
];

/// What a description says: by name space and name, every value there is.
type Said = BTreeMap<(String, String), Vec<String>>;

/// What the description says otherwise than before, in words; empty if nothing but what
/// saving a file changes.
pub(super) fn changed(before: &Document, after: &Document) -> Vec<String> {
    let Ok(old) = said(before) else {
        // Of a file that never had one nothing can be held against the new one.
        return vec!["the file was given a description (XMP) it did not have".to_owned()];
    };
    let new = match said(after) {
        Ok(new) => new,
        Err(why) => return vec![format!("the description of the file (XMP) was replaced: {why}")],
    };
    let mut names: Vec<&(String, String)> = old.keys().chain(new.keys()).collect();
    names.sort();
    names.dedup();
    let other = names.into_iter().filter(|name| old.get(*name) != new.get(*name));
    other
        .map(|(_, name)| format!("the {} in the description of the file (XMP) was changed", words(name)))
        .collect()
}

/// What a name of the description means to somebody who reads the file.
fn words(name: &str) -> &str {
    match name {
        "creator" => "author",
        "Keywords" => "keywords",
        "part" | "conformance" => "standard it claims to keep",
        other => other,
    }
}

/// What the description of a file says.
fn said(file: &Document) -> Result<Said, String> {
    let catalog = file.catalog().map_err(|e| e.to_string())?;
    let stream = match at(file, catalog, b"Metadata") {
        Some(Object::Stream(stream)) => stream,
        _ => return Err("it has none".to_owned()),
    };
    let bytes = if stream.dict.has(b"Filter") {
        stream.decompressed_content_with_limit(LARGEST).map_err(|e| e.to_string())?
    } else if stream.content.len() <= LARGEST {
        stream.content.clone()
    } else {
        return Err("it is too large".to_owned());
    };
    properties(&text(&bytes)?)
}

/// The text of a description, by its mark or as UTF-8.
fn text(bytes: &[u8]) -> Result<String, String> {
    let wide = |rest: &[u8], unit: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = rest.chunks_exact(2).filter_map(|c| Some(unit(c.try_into().ok()?))).collect();
        String::from_utf16(&units).map_err(|e| e.to_string())
    };
    match bytes {
        [0xFE, 0xFF, rest @ ..] => wide(rest, u16::from_be_bytes),
        [0xFF, 0xFE, rest @ ..] => wide(rest, u16::from_le_bytes),
        [0xEF, 0xBB, 0xBF, rest @ ..] => String::from_utf8(rest.to_vec()).map_err(|e| e.to_string()),
        plain => String::from_utf8(plain.to_vec()).map_err(|e| e.to_string()),
    }
}

/// The properties of a description. One may be written as an attribute or as an element.
fn properties(xml: &str) -> Result<Said, String> {
    let tree = roxmltree::Document::parse(xml).map_err(|e| format!("it can't be read ({e})"))?;
    let mut found = Said::new();
    let mut put = |space: Option<&str>, name: &str, values: Vec<String>| {
        let key = (space.unwrap_or_default().to_owned(), name.to_owned());
        if !SAVED.contains(&(key.0.as_str(), name)) {
            found.entry(key).or_default().extend(values);
        }
    };
    let lists = tree.descendants().filter(|n| n.has_tag_name((RDF, "RDF")));
    for about in lists.flat_map(|list| list.children()).filter(Node::is_element) {
        for one in about.attributes().filter(|a| counts(a.namespace(), a.name())) {
            put(one.namespace(), one.name(), vec![plain(one.value())]);
        }
        for one in about.children().filter(Node::is_element) {
            put(one.tag_name().namespace(), one.tag_name().name(), values(one));
        }
    }
    found.values_mut().for_each(|values| values.sort());
    Ok(found)
}

/// Whether an attribute says something: those of the language itself name a place or a kind.
fn counts(space: Option<&str>, name: &str) -> bool {
    match space {
        Some(RDF) => name == "resource",
        Some(XML) => false,
        _ => true,
    }
}

/// Everything that is said below an element.
fn values(element: Node<'_, '_>) -> Vec<String> {
    let mut all = Vec::new();
    for node in element.descendants() {
        if node.is_element() {
            let said = node.attributes().filter(|a| counts(a.namespace(), a.name()));
            all.extend(said.map(|a| plain(a.value())));
        } else if node.is_text() {
            all.extend(node.text().map(plain).filter(|text| !text.is_empty()));
        }
    }
    all
}

/// A value without the white space around it.
fn plain(value: &str) -> String {
    value.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::properties;

    fn described(body: &str, attributes: &str) -> String {
        format!(
            "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"{}\"><rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\" xmlns:pdfaid=\"http://www.aiim.org/pdfa/ns/id/\" {attributes}>{body}</rdf:Description></rdf:RDF></x:xmpmeta>",
            super::RDF
        )
    }

    #[test]
    fn a_description_says_the_same_however_it_is_written() {
        let title =
            "<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">Record 1</rdf:li></rdf:Alt></dc:title>";
        let one =
            described(&format!("{title}<pdfaid:part>3</pdfaid:part><pdf:Producer>a</pdf:Producer>"), "");
        let other = described(title, "pdfaid:part=\"3\" pdf:Producer=\"another\"");
        assert_eq!(properties(&one).unwrap(), properties(&other).unwrap());
        for changed in [
            one.replace("Record 1", "Record 2"),
            one.replace("<pdfaid:part>3", "<pdfaid:part>1"),
            one.replace("</rdf:Alt>", "<rdf:li xml:lang=\"en\">Release</rdf:li></rdf:Alt>"),
            one.replace(
                "</rdf:RDF>",
                "<rdf:Description xmlns:dc=\"http://purl.org/dc/elements/1.1/\"><dc:title>Release</dc:title></rdf:Description></rdf:RDF>",
            ),
            described("", "dc:title=\"Record 2\""),
        ] {
            assert_ne!(properties(&one).unwrap(), properties(&changed).unwrap(), "{changed}");
        }
        assert!(properties("<x").is_err());
        assert!(properties("<!DOCTYPE x [<!ENTITY t \"Release\">]><x>&t;</x>").is_err());
    }
}
