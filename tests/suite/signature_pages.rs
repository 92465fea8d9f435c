//! What an eye sees on the pages of a signed record that another version made, and
//! that the same record is the same bytes.

use lopdf::Document;
use serde_json::Value;
use tackwright::app::record::completed::Parts;
use tackwright::app::record::{pdf as attached, whole};
use tackwright::record::log;
use tackwright::seal::pdf;

use crate::signature_records::{Shop, none_against, signed};
use crate::support::pdf as read;

/// The record as another version would have made it, and after `change`, signed by
/// the shop itself.
fn of_another_version(shop: &Shop, record: &[u8], change: impl FnOnce(&mut Document)) -> Vec<u8> {
    let mine = whole::maker();
    let other = mine.replace("0.1.0+", "0.9.0+");
    assert_ne!(mine, other);
    let parts = Parts::of(attached::attachments(record).unwrap()).0;
    let mut file = Document::load_mem(&record[..pdf::first(record)]).unwrap();
    change(&mut file);
    let mut saved = Vec::new();
    file.save_to(&mut saved).unwrap();
    let mut aged = whole::read(&saved, &parts.salt()).bytes;
    let places: Vec<usize> =
        aged.windows(mine.len()).enumerate().filter(|(_, w)| *w == mine.as_bytes()).map(|(i, _)| i).collect();
    assert!(!places.is_empty());
    for at in places {
        aged[at..at + other.len()].copy_from_slice(other.as_bytes());
    }
    let aged = whole::finish(aged, &parts.salt());
    let identity = shop.identity();
    let mark = tackwright::app::record::seal::mark(&log::check(&parts.log), identity.leaf().unwrap());
    pdf::sign(&aged, &mark, &identity).unwrap()
}

#[test]
fn pages_of_another_version_show_the_log_or_are_not_taken_whoever_signed() {
    let (shop, record) = signed();
    let trust = shop.root();
    let judged = |file: &[u8]| shop.verify(file, &["--trust", &trust]);
    let honest = judged(&of_another_version(shop, record, |_| {}));
    none_against(&honest);
    assert_eq!((&honest["holds"], &honest["sealed"]), (&"not-closed".into(), &true.into()), "{honest:#}");
    let said = |verdict: &Value, part: &str| {
        assert_eq!(verdict["holds"], "pages-not-shown", "{part}: {verdict:#}");
        assert!(verdict["checks"].to_string().contains(part), "{part}: {verdict:#}");
    };
    // A white box, a wide white line and a picture's worth of white over every page.
    for over in ["q 1 1 1 rg 0 0 2000 2000 re f Q", "q 1 1 1 RG 1500 w 0 0 m 900 900 l S Q"] {
        let covered = of_another_version(shop, record, |file| {
            for page in file.get_pages().into_values().collect::<Vec<_>>() {
                let mut content = file.get_page_content(page);
                content.extend_from_slice(format!("\n{over}\n").as_bytes());
                file.change_page_content(page, content).unwrap();
            }
        });
        said(&judged(&covered), "is not seen in the list of entries");
    }
    // The list left alone, and a small box over some words of the first page.
    let covered = of_another_version(shop, record, |file| {
        let page = *file.get_pages().values().next().unwrap();
        let mut content = file.get_page_content(page);
        content.extend_from_slice(b"\nq 1 1 1 rg 40 600 300 120 re f Q\n");
        file.change_page_content(page, content).unwrap();
    });
    said(&judged(&covered), "on page 1");
    // Whatever makes another digit of one, hides it, or shows it otherwise from reader to reader.
    let on_pages = |before: &str, after: &str| {
        of_another_version(shop, record, |file| {
            for page in file.get_pages().into_values().collect::<Vec<_>>() {
                let content =
                    [before.as_bytes(), &file.get_page_content(page), after.as_bytes()].join(&b'\n');
                file.change_page_content(page, content).unwrap();
            }
        })
    };
    let every =
        |step: usize, mark: &dyn Fn(usize) -> String| (0..800).step_by(step).map(mark).collect::<String>();
    // Thin lines, nearer than a digit is high, which make an eight of a five; drawn before the
    // letters they do the same.
    let lines = format!("q 0.4 w {} Q", every(4, &|y| format!("30 {y} m 580 {y} l S ")));
    // Small squares in the white of letters.
    let squares = format!("q {} Q", every(5, &|y| every(8, &|x| format!("{x} {y} 0.9 0.9 re f "))));
    let variants = [
        on_pages("", &lines),
        on_pages(&lines, ""),
        on_pages("", &squares),
        on_pages("q 1 0 0 1 1000 0 cm", "Q"),
        on_pages("q 0.1 0 0 0.1 0 0 cm", "Q"),
    ];
    for (n, variant) in variants.iter().enumerate() {
        let verdict = judged(variant);
        assert_eq!(verdict["holds"], "pages-not-shown", "variant {n}");
        said(&verdict, "is not seen in the list of entries");
    }
    // A glyph that stands for no letter draws all the same: here the box of a missing one.
    let strange = of_another_version(shop, record, |file| {
        for page in file.get_pages().into_values().collect::<Vec<_>>() {
            let fonts = file.get_page_fonts(page).unwrap();
            let Some(name) = fonts.keys().next().map(|n| String::from_utf8(n.clone()).unwrap()) else {
                continue;
            };
            let mut content = file.get_page_content(page);
            content.extend(format!("\nBT /{name} 9 Tf 100 500 Td <0000> Tj ET\n").into_bytes());
            file.change_page_content(page, content).unwrap();
        }
    });
    said(&judged(&strange), "letters are covered, or drawn so that nobody sees them");
    let with_page = |change: &dyn Fn(&mut lopdf::Dictionary)| {
        of_another_version(shop, record, |file| {
            for page in file.get_pages().into_values().collect::<Vec<_>>() {
                change(file.get_object_mut(page).unwrap().as_dict_mut().unwrap());
            }
        })
    };
    said(&judged(&with_page(&|page| page.set("Rotate", 180))), "is not seen in the list of entries");
    let small = lopdf::Object::Array([0, 0, 50, 50].map(lopdf::Object::Integer).to_vec());
    said(
        &judged(&with_page(&|page| page.set("CropBox", small.clone()))),
        "is not seen in the list of entries",
    );
    said(&judged(&with_page(&|page| page.set("UserUnit", 9))), "a unit of its own");
    let note = || {
        let mut note = lopdf::Dictionary::new();
        note.set("Type", lopdf::Object::Name(b"Annot".to_vec()));
        note.set("Subtype", lopdf::Object::Name(b"FreeText".to_vec()));
        note.set("Rect", lopdf::Object::Array([0, 0, 600, 700].map(lopdf::Object::Integer).to_vec()));
        lopdf::Object::Array(vec![lopdf::Object::Dictionary(note)])
    };
    said(&judged(&with_page(&|page| page.set("Annots", note()))), "lies over page");
    let layers = of_another_version(shop, record, |file| {
        file.catalog_mut().unwrap().set("OCProperties", lopdf::Dictionary::new());
    });
    said(&judged(&layers), "OCProperties");
    // The page with the list taken out.
    let shorter = of_another_version(shop, record, |file| {
        let listed = read::pages(record).iter().position(|p| p.text().contains("Eachentrycarriesthehash"));
        file.delete_pages(&[u32::try_from(listed.unwrap() + 1).unwrap()]);
    });
    said(&judged(&shorter), "is not seen in the list of entries");
}

#[test]
fn the_same_record_is_the_same_bytes_and_names_its_makers() {
    let (shop, record) = signed();
    let number = shop.number();
    let path = shop.path(&format!("travelers/{number}/{number}-completed.pdf"));
    std::fs::rename(&path, shop.path("before.pdf")).unwrap();
    assert_eq!(&shop.complete(), record, "RFC 6979, and every time from the log");
    // The versions the build is pinned to.
    let lock = include_str!("../../Cargo.lock");
    let maker = whole::maker();
    for name in ["typst", "krilla", "pdf-writer"] {
        let version = lock.split_once(&format!("name = \"{name}\"\nversion = \"")).unwrap().1;
        let named = format!("+{name}-{}", version.split('"').next().unwrap());
        assert!(maker.contains(&named), "{maker} does not name {named}");
    }
    assert!(record.windows(maker.len()).any(|w| w == maker.as_bytes()));
}
