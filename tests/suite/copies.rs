//! Fill-in copies: what was typed comes back as it was typed, and nothing else is
//! taken for it.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use lopdf::{Dictionary, Document, Object};
use serde_json::Value as Json;

use crate::support::bench::START;
use crate::support::program::{Left, call, folder_with};

struct Bench {
    folder: tempfile::TempDir,
    copy: Vec<u8>,
}

/// Runs a command; gives its exit code and everything it said.
fn run(folder: &Path, args: &[&str]) -> (i32, String) {
    let said = call(folder, START, args, "");
    (said.code, said.out + &said.err)
}

impl Bench {
    fn new() -> Self {
        static LEFT: OnceLock<Left> = OnceLock::new();
        Self::again(LEFT.get_or_init(|| Self::issued("hoist-frame.toml")))
    }

    /// A job that was issued and copied.
    fn issued(job: &str) -> Left {
        let folder = folder_with(job);
        let (code, said) = run(folder.path(), &["issue", "job.toml"]);
        assert_eq!(code, 0, "{said}");
        let number = Self::number(folder.path());
        let (code, said) = run(folder.path(), &["copy", &number, "-o", "copy.pdf"]);
        assert_eq!(code, 0, "{said}");
        Left::of(folder.path())
    }

    fn again(left: &Left) -> Self {
        let folder = left.again();
        let copy = std::fs::read(folder.path().join("copy.pdf")).unwrap();
        Self { folder, copy }
    }

    fn number(folder: &Path) -> String {
        let list: Vec<PathBuf> =
            std::fs::read_dir(folder.join("travelers")).unwrap().map(|e| e.unwrap().path()).collect();
        let one = list.iter().find(|p| p.is_dir()).unwrap();
        one.file_name().unwrap().to_string_lossy().into_owned()
    }

    /// Brings a changed copy back.
    fn back(&self, change: impl FnOnce(&mut Document)) -> (i32, String) {
        let mut file = Document::load_mem(&self.copy).unwrap();
        change(&mut file);
        file.save(self.folder.path().join("renamed.pdf")).unwrap();
        let number = Self::number(self.folder.path());
        run(self.folder.path(), &["returned", &number, "renamed.pdf", "--json"])
    }
}

/// The first field of a kind, by what it holds.
fn field<'a>(file: &'a mut Document, kind: &str) -> &'a mut Dictionary {
    let id = *file
        .objects
        .iter()
        .find(|(_, o)| {
            let d = o.as_dict().ok();
            d.is_some_and(|d| {
                d.has(b"Rect") && d.get(b"FT").and_then(Object::as_name).is_ok_and(|n| n == kind.as_bytes())
            })
        })
        .unwrap()
        .0;
    file.get_dictionary_mut(id).unwrap()
}

#[test]
fn what_was_typed_comes_back_and_the_rest_stays_empty() {
    let bench = Bench::new();
    let (code, said) = bench.back(|file| {
        // UTF-16, as programs write what one byte a character can't hold.
        let wide: Vec<u8> =
            [0xFE, 0xFF].into_iter().chain("≥ 5¾ Łucja".encode_utf16().flat_map(u16::to_be_bytes)).collect();
        field(file, "Tx").set("V", Object::string_literal(wide));
        let tick = field(file, "Btn");
        tick.set("V", Object::Name(b"Done".to_vec()));
        tick.set("AS", Object::Name(b"Done".to_vec()));
    });
    assert_eq!(code, 0, "{said}");
    let json: Json = serde_json::from_str(&said).unwrap();
    let list = json["proposals"].as_array().unwrap();
    assert_eq!(list.len(), 2, "{said}");
    assert!(list.iter().any(|p| p["value"]["text"] == "≥ 5¾ Łucja"), "{said}");
    assert!(list.iter().all(|p| p["from"]["way"] == "copy" && !p["name"].as_str().unwrap().contains('!')));
    let (_, empty) = bench.back(|_| {});
    assert_eq!(serde_json::from_str::<Json>(&empty).unwrap()["proposals"], Json::Array(Vec::new()));
    // A second copy of the same revision has another number, and the first one stays.
    let number = Bench::number(bench.folder.path());
    let (code, said) = run(bench.folder.path(), &["copy", &number, "-o", "second.pdf"]);
    assert!(code == 0 && said.contains("Copy 2"), "{said}");
}

#[test]
fn value_and_state_that_differ_are_looked_at() {
    let bench = Bench::new();
    let (code, said) = bench.back(|file| field(file, "Btn").set("V", Object::Name(b"Done".to_vec())));
    assert_eq!(code, 0, "{said}");
    let json: Json = serde_json::from_str(&said).unwrap();
    assert!(json["proposals"][0]["value"]["look"].as_str().is_some_and(|w| w.contains("differ")), "{said}");
}

#[test]
fn a_copy_that_is_not_as_it_was_given_out_is_refused_with_its_sentence() {
    let bench = Bench::new();
    let refused = |sentence: &str, change: &dyn Fn(&mut Document)| {
        let (code, said) = bench.back(change);
        assert!(code == 1 && said.contains(sentence), "expected \"{sentence}\": {said}");
    };
    refused("stands at another place", &|f| {
        field(f, "Tx").set("Rect", vec![10.into(), 10.into(), 90.into(), 40.into()]);
    });
    refused("says something else", &|f| field(f, "Tx").set("TU", Object::string_literal("anything")));
    refused("is new", &|f| field(f, "Tx").set("T", Object::string_literal("wall")));
    refused("is of another kind", &|f| field(f, "Btn").set("FT", "Tx"));
    refused("holds a script", &|f| {
        let script =
            Dictionary::from_iter([("S", Object::from("JavaScript")), ("JS", Object::string_literal("1"))]);
        field(f, "Tx").set("A", script);
    });
    refused("pages; the copy has", &|f| f.delete_pages(&[2]));
    refused("written over", &|f| {
        let page = f.get_pages()[&3];
        f.add_page_contents(page, b"0 0 m 99 99 l S".to_vec()).unwrap();
    });
    refused("flattened", &|f| {
        f.catalog_mut().unwrap().remove(b"AcroForm");
    });
    let (_, said) = bench.back(|f| {
        let ink = Dictionary::from_iter([("Type", Object::from("Annot")), ("Subtype", "Ink".into())]);
        let ink = f.add_object(ink);
        let page = f.get_pages()[&3];
        let list = f.get_dictionary(page).unwrap().get_deref(b"Annots", f);
        let mut list = list.and_then(Object::as_array).cloned().unwrap_or_default();
        list.push(ink.into());
        f.get_dictionary_mut(page).unwrap().set("Annots", list);
    });
    assert!(said.contains("page 3 has marks I can't read"), "{said}");
    let number = Bench::number(bench.folder.path());
    for (name, text, sentence) in [
        ("a.fdf", "%FDF-1.2\n", "without the pages"),
        ("a.xfdf", "<?xml version=\"1.0\"?><xfdf/>", "without the pages"),
        ("a.txt", "6.0 deg", "no PDF"),
    ] {
        std::fs::write(bench.folder.path().join(name), text).unwrap();
        let (code, said) = run(bench.folder.path(), &["returned", &number, name]);
        assert!(code == 1 && said.contains(sentence), "{name}: {said}");
    }
}

#[test]
fn a_copy_is_entered_by_who_looked_at_it_and_taken_in_once() {
    let bench = Bench::new();
    let typed = |file: &mut Document, text: &str| {
        let of =
            |d: &Dictionary| d.get(b"T").and_then(Object::as_str).is_ok_and(|t| t.ends_with(b":revision"));
        let id =
            *file.objects.iter().find(|(_, o)| o.as_dict().is_ok_and(of)).expect("a box for the revision").0;
        file.get_dictionary_mut(id).unwrap().set("V", Object::string_literal(text.as_bytes().to_vec()));
    };
    let (code, said) = bench.back(|file| typed(file, "drawing 7, rev C"));
    assert_eq!(code, 0, "{said}");
    let number = Bench::number(bench.folder.path());
    let log = || {
        std::fs::read_to_string(bench.folder.path().join(format!("travelers/{number}/log.jsonl"))).unwrap()
    };
    // Looked at: nothing is entered.
    let look = ["returned", &number, "renamed.pdf", "--by", "LO", "--travelers", "travelers"];
    let (code, said) = run(bench.folder.path(), &look);
    assert!(
        code == 0 && said.contains("1 box can be entered") && said.contains("Nothing is entered yet"),
        "{said}"
    );
    assert!(
        said.contains(&format!("returned {number} renamed.pdf --by LO --travelers travelers --enter")),
        "what to type next keeps the options: {said}"
    );
    assert_eq!(log().lines().count(), 1);
    let enter = ["returned", &number, "renamed.pdf", "--by", "LO", "--enter"];
    let (code, said) = run(bench.folder.path(), &enter);
    assert!(code == 0 && said.contains("1 box entered"), "{said}");
    assert!(log().contains("drawing 7, rev C") && log().contains("\"way\":\"copy\""), "{}", log());
    // The same file a second time is told; nobody unknown takes one in.
    let (code, said) = run(bench.folder.path(), &enter);
    assert!(code == 1 && said.contains("taken in before, see entry 2"), "{said}");
    let (code, said) =
        run(bench.folder.path(), &["returned", &number, "renamed.pdf", "--by", "X9", "--enter"]);
    assert!(code == 1 && said.contains("X9"), "{said}");
    assert_eq!(log().lines().count(), 2);
}

#[test]
fn initials_for_several_operations_come_back_for_each_of_them() {
    let bench = Bench::again(&Bench::issued("pump-trailer.toml"));
    let number = Bench::number(bench.folder.path());
    let form = bench.folder.path().join(format!("travelers/{number}/A/form.json"));
    let form: Json = serde_json::from_slice(&std::fs::read(form).unwrap()).unwrap();
    let boxes = form["boxes"].as_array().unwrap();
    let several = boxes.iter().find(|b| b["covers"].as_array().is_some_and(|c| c.len() > 1)).unwrap();
    let name = several["name"].as_str().unwrap();
    let (_, role) = name.rsplit_once(":@").unwrap();
    let mut wanted: Vec<String> = several["covers"]
        .as_array()
        .unwrap()
        .iter()
        .map(|k| format!("{}:@{role}", k.as_str().unwrap()))
        .collect();
    let (code, said) = bench.back(|file| {
        let of = |d: &Dictionary| d.get(b"T").and_then(Object::as_str).is_ok_and(|t| t == name.as_bytes());
        let id = *file.objects.iter().find(|(_, o)| o.as_dict().is_ok_and(of)).expect("a box of initials").0;
        file.get_dictionary_mut(id).unwrap().set("V", Object::string_literal("LO"));
    });
    assert_eq!(code, 0, "{said}");
    let said: Json = serde_json::from_str(&said).unwrap();
    let mut found: Vec<String> = said["proposals"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p["name"].as_str().unwrap().to_owned())
        .collect();
    found.sort();
    wanted.sort();
    assert_eq!(found, wanted);
}

/// A word that rests on a paper has a line for its number and date behind it: a copy brings
/// both back as one value, as the desk takes it, and a line without its word is looked at.
#[test]
fn the_paper_behind_a_word_comes_back_with_the_word() {
    let bench = Bench::again(&Bench::issued("pump-trailer.toml"));
    let number = Bench::number(bench.folder.path());
    let form = bench.folder.path().join(format!("travelers/{number}/A/form.json"));
    let form: Json = serde_json::from_slice(&std::fs::read(form).unwrap()).unwrap();
    let boxes = form["boxes"].as_array().unwrap();
    let word = boxes.iter().find(|b| b["word"] == "by report").expect("a word with a paper");
    let name = word["name"].as_str().unwrap();
    let set = |file: &mut Document, field: &str, set: &dyn Fn(&mut Dictionary)| {
        let of = |d: &Dictionary| d.get(b"T").and_then(Object::as_str).is_ok_and(|t| t == field.as_bytes());
        let id = *file.objects.iter().find(|(_, o)| o.as_dict().is_ok_and(of)).expect(field).0;
        set(file.get_dictionary_mut(id).unwrap());
    };
    let tick = |file: &mut Document, word: &str| {
        set(file, &format!("{name}={word}"), &|d| {
            d.set("V", Object::Name(b"Done".to_vec()));
            d.set("AS", Object::Name(b"Done".to_vec()));
        });
    };
    let write = |file: &mut Document, text: &str| {
        set(file, name, &|d| d.set("V", Object::string_literal(text.as_bytes().to_vec())));
    };
    let said = |change: &dyn Fn(&mut Document)| -> Vec<Json> {
        let (code, said) = bench.back(change);
        assert_eq!(code, 0, "{said}");
        let said: Json = serde_json::from_str(&said).unwrap();
        let list = said["proposals"].as_array().unwrap().clone();
        assert!(list.len() == 1 && list[0]["name"] == *name, "{said}");
        list
    };
    let both = said(&|file| {
        tick(file, "by report");
        write(file, " PT-114, 2026-03-01 ");
    });
    assert_eq!(both[0]["value"]["text"], "by report: PT-114, 2026-03-01");
    assert_eq!(said(&|file| tick(file, "clear"))[0]["value"]["text"], "clear");
    let lone = said(&|file| write(file, "PT-114"));
    assert!(lone[0]["value"]["look"].as_str().is_some_and(|w| w.contains("no word is ticked")), "{lone:?}");
    let two = said(&|file| {
        tick(file, "by report");
        tick(file, "clear");
        write(file, "PT-114");
    });
    assert!(two[0]["value"]["look"].as_str().is_some_and(|w| w.contains("ticked at once")), "{two:?}");
}
