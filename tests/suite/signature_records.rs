//! A signed record through the command line, and everything that may be done to
//! it afterwards: what is allowed holds, every attack is said in words.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

use lopdf::{Dictionary, Document, IncrementalDocument, Object, Stream};
use serde_json::Value;
use tackwright::seal::identity::Identity;
use tackwright::seal::key::PrivateKey;
use tackwright::seal::{certificate, pdf};

use crate::support::program::{Said, call, folder_with};

/// 2027-01-15, after the imported test certificates were made.
const CLOCK: i64 = 1_800_000_000;
/// 2027-01-01: when the shop's key was made.
const MADE: i64 = 1_798_761_600;
const ISSUED: &str = "2027-01-10T08:00:00-06:00";
/// The lead of the demonstration; the book has no PIN for them.
const LEAD: &str = "LO";
const PASSPHRASE: &str = "five wet weld coupons";

/// A folder with a shop book and a job.
pub(crate) struct Shop(tempfile::TempDir);

impl Shop {
    pub(crate) fn new() -> Self {
        Self(folder_with("hoist-frame.toml"))
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub(crate) fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap()
    }

    pub(crate) fn run(&self, args: &[&str], input: &str) -> Said {
        call(self.0.path(), if args[0] == "key" { MADE } else { CLOCK }, args, input)
    }

    pub(crate) fn yes(&self, args: &[&str], input: &str) -> String {
        let said = self.run(args, input);
        assert_eq!(said.code, 0, "{args:?}\n{}{}", said.out, said.err);
        said.out
    }

    pub(crate) fn number(&self) -> String {
        let folder = std::fs::read_dir(self.path("travelers")).unwrap().next().unwrap().unwrap();
        folder.file_name().to_string_lossy().into_owned()
    }

    /// Issues the job and writes its record as it stands, signed.
    pub(crate) fn record(&self) -> Vec<u8> {
        self.yes(&["issue", "job.toml", "--at", ISSUED], "");
        self.complete()
    }

    pub(crate) fn complete(&self) -> Vec<u8> {
        let number = self.number();
        self.yes(&["complete", &number, "--by", LEAD, "--passphrase-fd", "0"], &format!("{PASSPHRASE}\n"));
        self.read(&format!("travelers/{number}/{number}-completed.pdf"))
    }

    pub(crate) fn verify(&self, bytes: &[u8], more: &[&str]) -> Value {
        // Tests share one shop and run side by side.
        static CHECKED: AtomicUsize = AtomicUsize::new(0);
        let name = format!("check-{}.pdf", CHECKED.fetch_add(1, Ordering::Relaxed));
        std::fs::write(self.path(&name), bytes).unwrap();
        let said = self.run(&[&["verify", &name, "--json"], more].concat(), "");
        serde_json::from_str(&said.out).unwrap_or_else(|e| panic!("{e}: {}{}", said.out, said.err))
    }

    pub(crate) fn root(&self) -> String {
        let said = self.yes(&["key", "show", "--json"], "");
        serde_json::from_str::<Value>(&said).unwrap()["root"].as_str().unwrap().to_owned()
    }

    pub(crate) fn identity(&self) -> Identity {
        let key = String::from_utf8(self.read("seal.key")).unwrap();
        let key = PrivateKey::open(&key, PASSPHRASE).unwrap();
        Identity::new(key, certificate::read(&self.read("seal.pem")).unwrap()).unwrap()
    }
}

/// One signed record for all tests.
pub(crate) fn signed() -> &'static (Shop, Vec<u8>) {
    static MADE: OnceLock<(Shop, Vec<u8>)> = OnceLock::new();
    MADE.get_or_init(|| {
        let shop = Shop::new();
        shop.yes(&["key", "new", "--passphrase-fd", "0"], &format!("{PASSPHRASE}\n"));
        let record = shop.record();
        (shop, record)
    })
}

/// The verdict has a broken check whose words contain `part`.
pub(crate) fn against(verdict: &Value, part: &str) {
    let found = verdict["checks"]
        .as_array()
        .unwrap()
        .iter()
        .any(|c| c["holds"] == false && c["words"].as_str().unwrap().contains(part));
    assert!(found, "nothing says \"{part}\":\n{verdict:#}");
    assert_eq!(verdict["whole"], false);
}

pub(crate) fn none_against(verdict: &Value) {
    let bad: Vec<_> = verdict["checks"].as_array().unwrap().iter().filter(|c| c["holds"] == false).collect();
    assert!(bad.is_empty(), "{bad:#?}");
}

/// A revision added by a program that knows nothing of signatures.
pub(crate) fn revised(bytes: &[u8], change: impl FnOnce(&mut IncrementalDocument)) -> Vec<u8> {
    let before = Document::load_mem(bytes).unwrap();
    let mut file = IncrementalDocument::create_from(bytes.to_vec(), before);
    change(&mut file);
    let mut out = Vec::new();
    file.save_to(&mut out).unwrap();
    out
}

pub(crate) fn first_page(file: &IncrementalDocument) -> lopdf::ObjectId {
    file.get_prev_documents().page_iter().next().unwrap()
}

#[test]
fn a_signed_record_holds_and_names_its_signer() {
    let (shop, record) = signed();
    let verdict = shop.verify(record, &[]);
    none_against(&verdict);
    assert_eq!(verdict["sealed"], true, "{verdict:#}");
    assert_eq!(verdict["demonstration"], false);
    let signer = &verdict["signers"][0];
    assert_eq!(signer["field"], "shop");
    assert_eq!(signer["at"], ISSUED, "the time is that of the last entry, not the clock's");
    // A key made after the last entry signs from when it was made.
    let late = Shop::new();
    late.yes(&["issue", "job.toml", "--at", "2026-12-24T08:00:00-06:00"], "");
    late.yes(&["key", "new", "--passphrase-fd", "0"], &format!("{PASSPHRASE}\n"));
    let verdict = late.verify(&late.complete(), &[]);
    none_against(&verdict);
    assert_eq!(verdict["signers"][0]["at"], "2027-01-01T00:00:00+00:00");
    assert_eq!(signer["root"], shop.root());
    assert_eq!(signer["trusted"], Value::Null);
    assert!(verdict.to_string().contains("cut off"), "what can't be seen is said");

    // The same record, the same bytes.
    let number = shop.number();
    std::fs::remove_file(shop.path(&format!("travelers/{number}/{number}-completed.pdf"))).unwrap();
    assert_eq!(&shop.complete(), record);

    // Nothing of the key stands in the book or lies open.
    let book = String::from_utf8(shop.read("shop.toml")).unwrap();
    assert!(book.contains(&shop.root()) && !book.contains("PRIVATE"));
    for name in ["seal.key", "seal-root.key"] {
        assert!(String::from_utf8(shop.read(name)).unwrap().contains("ENCRYPTED PRIVATE KEY"));
    }
}

#[test]
fn trust_is_what_is_named() {
    let (shop, record) = signed();
    let root = shop.root();
    let colons: Vec<String> =
        root.as_bytes().chunks(2).map(|c| String::from_utf8_lossy(c).to_uppercase()).collect();
    for named in [root.as_str(), &colons.join(":"), "seal.pem", "shop.toml"] {
        let verdict = shop.verify(record, &["--trust", named]);
        none_against(&verdict);
        assert_eq!(verdict["signers"][0]["trusted"], true, "{named}");
    }
    let other = "0".repeat(64);
    let verdict = shop.verify(record, &["--trust", &other]);
    none_against(&verdict);
    assert_eq!((&verdict["signers"][0]["trusted"], &verdict["accepted"]), (&false.into(), &false.into()));
    assert!(verdict["remarks"].to_string().contains("none that you named"), "{verdict:#}");
    // A record sealed as earlier versions did can't slip past a named root.
    let old = include_bytes!("../cases/record-sealed-ed25519.pdf");
    assert_eq!(shop.verify(old, &["--trust", &root])["holds"], "pages-not-shown");
    std::fs::write(shop.path("named.pdf"), record).unwrap();
    let said = shop.run(&["verify", "named.pdf", "--trust", "nonsense"], "");
    assert!(said.code != 0 && said.err.contains("L196"), "{}", said.err);
}

#[test]
fn a_customer_signs_behind_the_shop_and_nobody_changes_it_then() {
    let (shop, record) = signed();
    let customer = tackwright::seal::import::pem(
        &std::fs::read_to_string(imports("p-384.key")).unwrap(),
        Some("bring-it-in"),
        &std::fs::read(imports("p-384.pem")).unwrap(),
    )
    .unwrap();
    let mark = pdf::Mark {
        field: "customer".to_owned(),
        at: chrono::DateTime::parse_from_rfc3339("2027-01-12T10:00:00-06:00").unwrap(),
        reason: "accepted".to_owned(),
    };
    let both = pdf::sign(record, &mark, &customer).unwrap();
    assert!(both.starts_with(record), "nothing that was there changes");
    assert!(pdf::sign(&both, &mark, &customer).is_err(), "a field is signed once");
    let verdict = shop.verify(&both, &[]);
    none_against(&verdict);
    assert_eq!(verdict["signers"].as_array().unwrap().len(), 2);
    assert_eq!(verdict["signers"][1]["name"], "p-384");

    // A token belongs before the next signature.
    std::fs::write(shop.path("both.pdf"), &both).unwrap();
    std::fs::copy(imports("stamp.tsr"), shop.path("stamp.tsr")).unwrap();
    let said = shop.run(&["timestamp", "both.pdf", "--reply", "stamp.tsr"], "");
    assert!(said.code == 1 && said.err.contains("L198"), "{}", said.err);

    // The record written again does not wipe the customer's signature out.
    let number = shop.number();
    let place = format!("travelers/{number}/{number}-completed.pdf");
    let own = Shop::new();
    for name in ["seal.key", "seal.pem", "shop.toml"] {
        std::fs::copy(shop.path(name), own.path(name)).unwrap();
    }
    own.record();
    let alone = own.read(&place);
    let both = pdf::sign(&alone, &mark, &customer).unwrap();
    std::fs::write(own.path(&place), &both).unwrap();
    own.complete();
    assert_eq!(own.read(&place), both);

    // Signed twice in one field, or with the first signature exchanged.
    let mut exchanged = both.clone();
    let hole = both.windows(10).position(|w| w == b"/Contents<").unwrap() + 10;
    exchanged[hole + 40] = if exchanged[hole + 40] == b'0' { b'1' } else { b'0' };
    let verdict = shop.verify(&exchanged, &[]);
    against(&verdict, "The signature of the customer does not hold");
}

pub(crate) fn imports(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/imports").join(name)
}

#[test]
fn text_over_a_page_is_said() {
    let (shop, record) = signed();
    let made = revised(record, |file| {
        let page = first_page(file);
        file.opt_clone_object_to_new_document(page).unwrap();
        let stream = Stream::new(Dictionary::new(), b"q 0 0 1 rg 100 100 200 50 re f Q".to_vec());
        let id = file.new_document.add_object(stream);
        let page = file.new_document.get_dictionary_mut(page).unwrap();
        let old = page.get(b"Contents").unwrap().clone();
        page.set("Contents", vec![old, id.into()]);
    });
    against(&shop.verify(&made, &[]), "something was put over page 1");
}

#[test]
fn an_annotation_is_said() {
    let (shop, record) = signed();
    let made = revised(record, |file| {
        let page = first_page(file);
        file.opt_clone_object_to_new_document(page).unwrap();
        let note = Dictionary::from_iter([
            ("Type", Object::from("Annot")),
            ("Subtype", "Text".into()),
            ("Rect", vec![10.into(), 10.into(), 30.into(), 30.into()].into()),
            ("Contents", Object::string_literal("accepted as is")),
        ]);
        let id = file.new_document.add_object(note);
        let page = file.new_document.get_dictionary_mut(page).unwrap();
        page.set("Annots", vec![Object::Reference(id)]);
    });
    against(&shop.verify(&made, &[]), "annotation was put on page 1");
}

#[test]
fn a_changed_attachment_field_or_page_order_is_said() {
    let (shop, record) = signed();
    // The content of an attached file.
    let made = revised(record, |file| {
        let before = file.get_prev_documents();
        let (id, _) = before
            .objects
            .iter()
            .find(|(_, o)| o.as_stream().is_ok_and(|s| s.dict.has_type(b"EmbeddedFile")))
            .unwrap();
        file.new_document.set_object(*id, Stream::new(Dictionary::new(), b"{}".to_vec()));
    });
    against(&shop.verify(&made, &[]), "attached file was changed");
    // A further field.
    let made = revised(record, |file| {
        let before = file.get_prev_documents();
        let form = before.catalog().unwrap().get(b"AcroForm").unwrap().as_reference().unwrap();
        file.opt_clone_object_to_new_document(form).unwrap();
        let field =
            Dictionary::from_iter([("FT", Object::from("Sig")), ("T", Object::string_literal("more"))]);
        let id = file.new_document.add_object(field);
        let form = file.new_document.get_dictionary_mut(form).unwrap();
        let mut list = form.get(b"Fields").unwrap().as_array().unwrap().clone();
        list.push(id.into());
        form.set("Fields", list);
    });
    against(&shop.verify(&made, &[]), "fields were added to the form");
    // A page's content that calls itself a list of objects: written by hand.
    let before = Document::load_mem(record).unwrap();
    let page = before.get_dictionary(before.page_iter().next().unwrap()).unwrap();
    let (number, _) = page.get(b"Contents").unwrap().as_reference().unwrap();
    let mut made = record.clone();
    let at = made.len();
    let drawn = "q 0 0 1 rg 100 100 200 50 re f Q";
    made.extend(
        format!(
            "{number} 0 obj\n<</Type/XRef/Length {}>>\nstream\n{drawn}\nendstream\nendobj\n",
            drawn.len()
        )
        .bytes(),
    );
    let (root, _) = before.trailer.get(b"Root").unwrap().as_reference().unwrap();
    let (info, _) = before.trailer.get(b"Info").unwrap().as_reference().unwrap();
    let table = made.len();
    made.extend(
        format!(
            "xref\n0 1\n0000000000 65535 f \n{number} 1\n{at:010} 00000 n \ntrailer\n<</Size {}/Root {root} 0 R/Info {info} 0 R/Prev {}>>\nstartxref\n{table}\n%%EOF\n",
            before.max_id + 1,
            before.xref_start
        )
        .bytes(),
    );
    against(&shop.verify(&made, &[]), "what page 1 shows was changed");
    // A page less.
    let made = revised(record, |file| {
        let before = file.get_prev_documents();
        let pages = before.catalog().unwrap().get(b"Pages").unwrap().as_reference().unwrap();
        file.opt_clone_object_to_new_document(pages).unwrap();
        let pages = file.new_document.get_dictionary_mut(pages).unwrap();
        let mut kids = pages.get(b"Kids").unwrap().as_array().unwrap().clone();
        kids.pop();
        pages.set("Kids", kids);
    });
    against(&shop.verify(&made, &[]), "pages were added, taken out");
    // The customer's box moved over other words without signing.
    let made = revised(record, |file| {
        let before = file.get_prev_documents();
        let (id, _) = before
            .objects
            .iter()
            .find(|(_, o)| {
                o.as_dict()
                    .is_ok_and(|d| d.get(b"T").and_then(Object::as_str).is_ok_and(|t| t == b"customer"))
            })
            .unwrap();
        let id = *id;
        file.opt_clone_object_to_new_document(id).unwrap();
        let field = file.new_document.get_dictionary_mut(id).unwrap();
        field.set("Rect", vec![0.into(), 0.into(), 500.into(), 500.into()]);
    });
    against(&shop.verify(&made, &[]), "changed without being signed");
}

#[test]
fn a_rewritten_cut_or_flipped_file_is_said() {
    let (shop, record) = signed();
    // Written anew by a library that repairs and reorders.
    let mut rewritten = Vec::new();
    Document::load_mem(record).unwrap().save_to(&mut rewritten).unwrap();
    against(&shop.verify(&rewritten, &[]), "has not the digest it states");
    // The shop's revision cut off.
    let cut = &record[..pdf::first(record)];
    against(&shop.verify(cut, &[]), "The shop's signature was taken off the file");
    // A byte behind the end, and one in each part of the file.
    let mut longer = record.clone();
    longer.extend(b"\n% one more word\n");
    let said = shop.verify(&longer, &[]);
    against(&said, "17 bytes stand behind the end of the file, and nobody sealed that");
    against(&said, &format!("Nothing of what was sealed was changed: the first {} bytes", record.len()));
    // That, and nothing else: digest and signature are of what stands before it.
    let bad = said["checks"].as_array().unwrap().iter().filter(|c| c["holds"] == false).count();
    assert_eq!(bad, 1, "{said:#}");
    // One that is no letter is told by its number.
    let one = [record.as_slice(), &[0]].concat();
    against(
        &shop.verify(&one, &[]),
        "1 byte stands behind the end of the file, and nobody sealed that. It begins with 00.",
    );
    // Something else that was changed is told as well.
    let mut both = longer.clone();
    both[100] ^= 1;
    let said = shop.verify(&both, &[]);
    against(&said, "What else was changed stands with the other lines");
    against(&said, "has not the digest it states");
    let first = pdf::first(record);
    let hole = record.windows(10).position(|w| w == b"/Contents<").unwrap() + 10;
    for place in [100, first / 2, first - 40, first + 30, hole + 100, record.len() - 60] {
        let mut flipped = record.clone();
        flipped[place] ^= 1;
        let verdict = shop.verify(&flipped, &[]);
        assert_eq!(verdict["whole"], false, "byte {place}");
        let bad = verdict["checks"].as_array().unwrap().iter().filter(|c| c["holds"] == false).count();
        assert!(bad > 0, "byte {place}: {verdict:#}");
    }
}

#[test]
fn another_shops_signature_is_not_the_shops() {
    let (shop, record) = signed();
    let thief = Shop::new();
    thief.yes(&["key", "new", "--passphrase-fd", "0"], &format!("{PASSPHRASE}\n"));
    let base = &record[..pdf::first(record)];
    let mark = pdf::Mark {
        field: "shop".to_owned(),
        at: chrono::DateTime::parse_from_rfc3339(ISSUED).unwrap(),
        reason: "mine".to_owned(),
    };
    let forged = pdf::sign(base, &mark, &thief.identity()).unwrap();
    against(&shop.verify(&forged, &[]), "not made with the key the record names");
    // The right key at another time.
    let late = pdf::Mark { at: mark.at + chrono::TimeDelta::days(1), ..mark };
    let moved = pdf::sign(base, &late, &shop.identity()).unwrap();
    against(&shop.verify(&moved, &[]), "its time is not that of the last entry");
}

#[test]
fn a_record_sealed_before_signatures_still_verifies() {
    let (shop, _) = signed();
    // Written by version 0.1.0 of the program with a random Ed25519 key.
    let old = include_bytes!("../cases/record-sealed-ed25519.pdf");
    let verdict = shop.verify(old, &[]);
    none_against(&verdict);
    assert_eq!(verdict["sealed"], true, "{verdict:#}");
    let mut flipped = old.to_vec();
    flipped[old.len() / 2] ^= 1;
    against(&shop.verify(&flipped, &[]), "digest it states");
    // Whoever changes it and puts digest and signature in anew has not the key.
    let place = |mark: &str| old.windows(mark.len()).position(|w| w == mark.as_bytes()).unwrap() + mark.len();
    let digest = std::str::from_utf8(&old[place("file-sha256:")..][..64]).unwrap();
    let stranger = ed25519_dalek::SigningKey::from_bytes(&[7; 32]);
    let forged = ed25519_dalek::Signer::sign(&stranger, format!("file-sha256:{digest}").as_bytes());
    let forged: String = forged.to_bytes().iter().map(|b| format!("{b:02x}")).collect();
    let mut sealed = old.to_vec();
    let seals: Vec<usize> =
        old.windows(10).enumerate().filter(|(_, w)| *w == b"file-seal:").map(|(i, _)| i + 10).collect();
    for at in seals {
        sealed[at..at + 128].copy_from_slice(forged.as_bytes());
    }
    against(&shop.verify(&sealed, &[]), "The seal is broken");
    let noted = revised(old, |file| {
        let page = first_page(file);
        file.opt_clone_object_to_new_document(page).unwrap();
        file.new_document.get_dictionary_mut(page).unwrap().set("Rotate", 90);
    });
    against(&shop.verify(&noted, &[]), "page 1 was changed");
}

#[test]
fn keys_are_renewed_brought_in_and_relocked() {
    let shop = Shop::new();
    let line = format!("{PASSPHRASE}\n");
    let no = |args: &[&str], input: &str, part: &str| {
        let said = shop.run(args, input);
        assert!(said.code == 1 && said.err.contains(part), "{args:?} says {}{}", said.out, said.err);
    };
    no(&["key", "new", "--passphrase-fd", "0"], "short\n", "too short");
    no(&["key", "new"], "", "L186");
    no(&["key", "show"], "", "L188");
    assert!(!shop.path("seal.key").exists());
    shop.yes(&["key", "new", "--passphrase-fd", "0", "--curve", "p-384"], &line);
    no(&["key", "new", "--passphrase-fd", "0"], &line, "L160");
    let old = shop.root();

    // Another leaf under the same root, then another root the old one vouches for.
    let leaf = shop.read("seal.pem");
    no(&["key", "renew", "--passphrase-fd", "0"], "not the passphrase\n", "L187");
    assert_eq!(shop.read("seal.pem"), leaf, "what was refused changed nothing");
    shop.yes(&["key", "renew", "--passphrase-fd", "0"], &line);
    assert_eq!(shop.root(), old);
    shop.yes(&["key", "renew", "--root", "--passphrase-fd", "0"], &line);
    let new = shop.root();
    assert_ne!(new, old);
    let record = shop.record();
    for root in [&old, &new] {
        let verdict = shop.verify(&record, &["--trust", root]);
        none_against(&verdict);
        assert_eq!(verdict["signers"][0]["trusted"], true, "{verdict:#}");
    }

    // Another passphrase for both keys.
    let other = "seven dry weld coupons";
    shop.yes(&["key", "passphrase", "--passphrase-fd", "0"], &format!("{PASSPHRASE}\n{other}\n"));
    for name in ["seal.key", "seal-root.key"] {
        let text = String::from_utf8(shop.read(name)).unwrap();
        assert!(PrivateKey::open(&text, PASSPHRASE).is_err() && PrivateKey::open(&text, other).is_ok());
    }

    // A key of an earlier version is named as what it is.
    std::fs::write(shop.path("seal.key"), format!("{}\n", "5a".repeat(32))).unwrap();
    no(&["complete", &shop.number(), "--by", LEAD, "--passphrase-fd", "0"], &line, "L185");

    // A key the shop already has.
    let bring = Shop::new();
    bring.yes(
        &["key", "import", imports("rsa-2048.p12").to_str().unwrap(), "--passphrase-fd", "0"],
        "bring-it-in\n",
    );
    // The paper names the shop the certificate names.
    let job = String::from_utf8(bring.read("job.toml")).unwrap();
    let said = bring.run(&["issue", "job.toml", "--at", ISSUED], "");
    assert!(said.code == 1 && said.err.contains("J310"), "{}{}", said.out, said.err);
    let job = job.replace("Quarry Lane Fabrication (invented)", "Invented Test Works");
    std::fs::write(bring.path("job.toml"), job).unwrap();
    bring.yes(&["issue", "job.toml", "--at", ISSUED], "");
    let number = bring.number();
    bring.yes(&["complete", &number, "--by", LEAD, "--passphrase-fd", "0"], "bring-it-in\n");
    let record = bring.read(&format!("travelers/{number}/{number}-completed.pdf"));
    let verdict = bring.verify(&record, &["--trust", &bring.root()]);
    none_against(&verdict);
    assert!(verdict["signers"][0]["algorithm"].as_str().unwrap().contains("RSA, 2048 bits"));
}

#[test]
fn a_time_stamp_is_asked_for_over_the_signature_and_no_other_is_taken() {
    let (shop, record) = signed();
    std::fs::write(shop.path("asked.pdf"), record).unwrap();
    shop.yes(&["timestamp", "asked.pdf"], "");
    let file = pdf::read(record).unwrap();
    let parts = file.signatures[0].signed(record);
    let signed = tackwright::seal::container::check(
        &file.signatures[0].contents,
        tackwright::seal::container::Expected::Detached(&parts),
    )
    .unwrap();
    let query = shop.read("asked.tsq");
    // RFC 3161, 2.4.1: the query carries the SHA-256 of the signature value.
    let digest = tackwright::seal::algorithm::Digest::Sha256.over(&[&signed.signature]);
    assert!(query.windows(32).any(|w| w == digest));
    let said = shop.run(&["timestamp", "asked.pdf", "--reply", imports("stamp.tsr").to_str().unwrap()], "");
    assert!(said.code == 1 && said.err.contains("over another signature"), "{}", said.err);
    assert_eq!(&shop.read("asked.pdf"), record, "what was refused changed nothing");
    // A file nobody signed has nothing to stamp.
    std::fs::write(shop.path("asked.pdf"), &record[..pdf::first(record)]).unwrap();
    let said = shop.run(&["timestamp", "asked.pdf"], "");
    assert!(said.code == 1 && said.err.contains("has not signed"), "{}", said.err);
}

#[test]
fn a_token_stands_beside_the_signature_and_changes_nothing_that_is_signed() {
    // A container over the bytes that were stamped by another program: its own
    // signature is put in their place, so the token is refused; the shape of a
    // token that fits is shown by tests/outside/signatures.sh.
    let (shop, record) = signed();
    let file = pdf::read(record).unwrap();
    let token = tackwright::seal::token::from_reply(&std::fs::read(imports("stamp.tsr")).unwrap()).unwrap();
    let fault = tackwright::seal::container::with_token(&file.signatures[0].contents, &token).unwrap_err();
    assert!(fault.to_string().contains("another signature"), "{fault}");
    // Its room takes a container of another length, and the signature still holds.
    let container: Vec<u8> = file.signatures[0].contents.clone();
    let again = pdf::put_contents(record, &file.signatures[0], &container).unwrap();
    assert_eq!(&again, record);
    assert!(pdf::put_contents(record, &file.signatures[0], &vec![0; 20_000]).is_err());
    none_against(&shop.verify(&again, &[]));
}
