//! What later revisions of a signed record touch, and what later signatures on it say: told
//! as it is, and no more held against the record than it is worth.

use lopdf::{IncrementalDocument, Object, Stream};
use serde_json::Value;
use tackwright::seal::identity::Identity;
use tackwright::seal::{import, pdf};

use crate::signature_records::{against, first_page, imports, none_against, revised, signed};

fn customer() -> Identity {
    import::pem(
        &std::fs::read_to_string(imports("p-384.key")).unwrap(),
        Some("bring-it-in"),
        &std::fs::read(imports("p-384.pem")).unwrap(),
    )
    .unwrap()
}

fn signed_by_customer(record: &[u8], reason: &str) -> Vec<u8> {
    let mark = pdf::Mark {
        field: "customer".to_owned(),
        at: chrono::DateTime::parse_from_rfc3339("2027-01-12T10:00:00-06:00").unwrap(),
        reason: reason.to_owned(),
    };
    pdf::sign(record, &mark, &customer()).unwrap()
}

/// The words of a verdict that begin so.
fn remark<'a>(verdict: &'a Value, part: &str) -> &'a str {
    let all = verdict["remarks"].as_array().unwrap().iter().filter_map(Value::as_str);
    let mut found = all.filter(|r| r.contains(part));
    found.next().unwrap_or_else(|| panic!("nothing says \"{part}\":\n{verdict:#}"))
}

/// The file with its description (XMP) put through `change`.
fn described(record: &[u8], change: impl FnOnce(String) -> String) -> Vec<u8> {
    revised(record, |file| {
        let before = file.get_prev_documents();
        let id = before.catalog().unwrap().get(b"Metadata").unwrap().as_reference().unwrap();
        let old = before.get_object(id).unwrap().as_stream().unwrap();
        let plain = old.decompressed_content().unwrap_or_else(|_| old.content.clone());
        let mut dict = old.dict.clone();
        dict.remove(b"Filter");
        let new = change(String::from_utf8(plain).unwrap());
        file.new_document.set_object(id, Stream::new(dict, new.into_bytes()));
    })
}

fn replaced(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "{from} is not in {text}");
    text.replacen(from, to, 1)
}

#[test]
fn the_title_readers_show_is_that_of_the_record() {
    let (shop, record) = signed();
    let title = |to: &str| described(record, |xmp| replaced(&xmp, "Completed record", to));
    let said = shop.verify(&title("Release: approved by the authority, no exceptions,"), &[]);
    against(&said, "the title in the description of the file (XMP) was changed");
    assert_eq!(said["holds"], "altered");
    assert!(!said.to_string().contains("it only signs"), "{said:#}");
    for (from, to, part) in [
        ("made-by:", "made-by:9.9", "the keywords in the description"),
        ("<pdfaid:part>3", "<pdfaid:part>1", "the standard it claims to keep"),
        (
            "</rdf:RDF>",
            "<rdf:Description xmlns:dc=\"http://purl.org/dc/elements/1.1/\" dc:title=\"Release\"/></rdf:RDF>",
            "the title in",
        ),
        ("</x:xmpmeta>", "", "the description of the file (XMP) was replaced"),
    ] {
        against(&shop.verify(&described(record, |xmp| replaced(&xmp, from, to)), &[]), part);
    }
    // What a program that saves the file may write there.
    let saved = described(record, |xmp| {
        replaced(
            &xmp,
            "</rdf:RDF>",
            "<rdf:Description xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\" pdf:Producer=\"a reader\"/></rdf:RDF>",
        )
    });
    let said = shop.verify(&saved, &[]);
    none_against(&said);
    remark(&said, "writes the file's description (XMP) anew, and it says the same");
    assert!(!said.to_string().contains("it only signs"), "{said:#}");
}

/// A description that stands in the place of what a page shows: something else before.
#[test]
fn nothing_of_a_page_is_called_a_description() {
    let (shop, record) = signed();
    let made = revised(record, |file| {
        let before = file.get_prev_documents();
        let root = before.trailer.get(b"Root").unwrap().as_reference().unwrap();
        let metadata = before.catalog().unwrap().get(b"Metadata").unwrap().as_reference().unwrap();
        let xmp = before.get_object(metadata).unwrap().as_stream().unwrap().clone();
        let page = before.get_dictionary(first_page(file)).unwrap();
        let shows = page.get(b"Contents").unwrap().as_reference().unwrap();
        file.opt_clone_object_to_new_document(root).unwrap();
        file.new_document.get_dictionary_mut(root).unwrap().set("Metadata", shows);
        file.new_document.set_object(shows, xmp);
    });
    against(&shop.verify(&made, &[]), "what page 1 shows was changed");
}

#[test]
fn a_reservation_of_the_customer_is_told() {
    let (shop, record) = signed();
    let said = shop.verify(&signed_by_customer(record, "accepted under protest: brakes soft"), &[]);
    none_against(&said);
    let words = remark(&said, "With the signature the customer says");
    assert!(words.contains("reason \"accepted under protest: brakes soft\""), "{words}");
    assert!(!words.contains("the name is not that"), "{words}");
    assert_eq!(said["signers"][1]["says"]["reason"], "accepted under protest: brakes soft");
    assert!(said.to_string().contains("2 revisions were added to the file, and they only sign:"), "{said:#}");
}

/// Whoever passes a record on can put a signature behind it that does not hold: nothing of
/// what the shop signed is less for it.
#[test]
fn a_later_signature_that_does_not_hold_is_none_of_the_record() {
    let (shop, record) = signed();
    let root = shop.root();
    let before = shop.verify(record, &["--trust", &root]);
    let both = signed_by_customer(record, "accepted");
    let hole = record.len() + both[record.len()..].windows(10).position(|w| w == b"/Contents<").unwrap() + 10;
    let mut flipped = both.clone();
    flipped[hole + 900] = if flipped[hole + 900] == b'0' { b'1' } else { b'0' };
    let mut zeros = both.clone();
    let end = hole + both[hole..].iter().position(|b| *b == b'>').unwrap();
    zeros[hole..end].fill(b'0');
    for (name, poor) in [("flipped", flipped), ("zeros", zeros)] {
        let said = shop.verify(&poor, &["--trust", &root]);
        assert_eq!(said["holds"], before["holds"], "{name}: {said:#}");
        assert_eq!((&said["whole"], &said["accepted"]), (&true.into(), &false.into()), "{name}");
        assert!(said["behind"].as_str().unwrap().contains("A LATER SIGNATURE"), "{name}: {said:#}");
        let bad: Vec<&Value> =
            said["checks"].as_array().unwrap().iter().filter(|c| c["holds"] == false).collect();
        assert!(
            !bad.is_empty() && bad.iter().all(|c| c["words"].to_string().contains("customer")),
            "{bad:#?}"
        );
        std::fs::write(shop.path("poor.pdf"), &poor).unwrap();
        let said = shop.run(&["verify", "poor.pdf", "--trust", &root], "");
        assert_eq!(said.code, 1);
        assert!(said.out.lines().nth(1).unwrap().starts_with("A LATER SIGNATURE"), "{}", said.out);
    }
    assert_eq!(before["behind"], Value::Null);
    // The shop's own is a part of the record.
    let own = record.windows(10).position(|w| w == b"/Contents<").unwrap() + 10;
    let mut broken = record.clone();
    broken[own..own + 200].fill(b'0');
    assert_eq!(shop.verify(&broken, &[])["holds"], "altered");
}

#[test]
fn a_revision_that_shows_nothing_is_told_as_what_it_is() {
    let (shop, record) = signed();
    let told = |change: &dyn Fn(&mut IncrementalDocument), part: &str| {
        let said = shop.verify(&revised(record, change), &[]);
        none_against(&said);
        remark(&said, part);
        let all = said.to_string();
        assert!(!all.contains("changes nothing") && !all.contains("only signs: no"), "{said:#}");
        assert!(all.contains("2 revisions were added to the file, 1 of which only signs;"), "{said:#}");
    };
    told(
        &|file| _ = file.new_document.add_object(Object::string_literal("a word nobody sees")),
        "Revision 3 of the file: it adds what no page, field or list of the file shows",
    );
    told(
        &|file| {
            let root = file.get_prev_documents().trailer.get(b"Root").unwrap().as_reference().unwrap();
            file.opt_clone_object_to_new_document(root).unwrap();
            file.new_document.get_dictionary_mut(root).unwrap().set("Version", Object::Name(b"2.0".to_vec()));
        },
        "Revision 3 of the file: it names a later version of the format",
    );
}
