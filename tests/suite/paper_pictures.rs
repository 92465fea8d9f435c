//! From a picture of a filled page to the log without typing again what was ticked.
//! The page is printed by the program, filled by drawn strokes and captured by a drawn
//! scanner; no real paper was used.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde_json::Value as Json;
use tackwright::form::{Form, Rect};
use tackwright::picture::Pictures;

use crate::support::bench::{Bench, START};
use crate::support::drawn_page::{Capture, Dice, captured_at, stroke_at};
use crate::support::gate::Printed;

fn form(bench: &Bench) -> Form {
    serde_json::from_slice(&bench.read("travelers/TW-2041/A/form.json")).unwrap()
}

fn rect(form: &Form, name: &str, word: Option<&str>) -> Rect {
    let of = |b: &&tackwright::form::FormBox| b.name.to_string() == name && b.word.as_deref() == word;
    form.boxes.iter().find(of).unwrap_or_else(|| panic!("no box {name} {word:?}")).rect
}

/// A scan of page 2 with these boxes ticked, and these written in.
fn scan(bench: &Bench, ticked: &[(&str, &str)], written: &[&str]) -> Vec<u8> {
    let form = form(bench);
    let pdf = bench.read("travelers/TW-2041/A/traveler.pdf");
    let pictures = Pictures::open(&pdf).unwrap();
    let printed = Printed::of(&form, &pictures, 2);
    let mut paper = printed.grey.clone();
    let mut put = |points: &[(f64, f64)]| stroke_at(&mut paper, printed.per, points, 0.5, 0.9);
    for (name, word) in ticked {
        let r = rect(&form, name, Some(word));
        let at = |u: f64, v: f64| (r.x + u * r.width, r.y + v * r.height);
        put(&[at(0.2, 0.5), at(0.4, 0.8), at(0.85, 0.15)]);
    }
    for name in written {
        let r = rect(&form, name, None);
        let line: Vec<_> = (0..9)
            .map(|k| (r.x + 3.0 + 2.4 * f64::from(k), r.y + r.height * if k % 2 == 0 { 0.45 } else { 0.85 }))
            .collect();
        put(&line);
    }
    captured_at(&paper, printed.per, Capture::ScanAt(150), 0.0, &mut Dice(8101))
}

/// Lines of a sheet by their box, each a map by column.
fn lines(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut csv = csv::Reader::from_reader(text.trim_start_matches('\u{FEFF}').as_bytes());
    let head: Vec<String> = csv.headers().unwrap().iter().map(str::to_owned).collect();
    csv.records().map(|r| head.iter().cloned().zip(r.unwrap().iter().map(str::to_owned)).collect()).collect()
}

/// The sheet with these values, as a spreadsheet saves it.
fn with(lines: &[BTreeMap<String, String>], values: &[(&str, &str)]) -> String {
    let mut text = "box,value,picture,traveler\n".to_owned();
    for line in lines {
        let value = values.iter().find(|(name, _)| *name == line["box"]).map_or(&*line["value"], |(_, v)| v);
        writeln!(text, "\"{}\",\"{value}\",\"{}\",\"{}\"", line["box"], line["picture"], line["traveler"])
            .unwrap();
    }
    text
}

fn outcomes(said: &Json) -> BTreeMap<String, String> {
    let text = |v: &Json| v.as_str().unwrap().to_owned();
    said["lines"].as_array().unwrap().iter().map(|l| (text(&l["box"]), text(&l["outcome"]))).collect()
}

#[test]
fn what_a_picture_shows_is_entered_once_a_person_has_compared_it() {
    let mut bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    let log = |bench: &Bench| bench.text("travelers/TW-2041/log.jsonl");
    let ticked = [
        ("receive:faults-in", "none known, none seen"),
        ("inspect-old-work:frame", "sound"),
        // One question, two answers.
        ("inspect-old-work:running-gear", "sound"),
        ("inspect-old-work:running-gear", "worn, to renew"),
    ];
    let file = scan(&bench, &ticked, &["receive:identity", "receive:@lead", "receive:!after.1/1/mark"]);
    bench.write("scan.jpg", &file);
    bench.now = START + 3600;
    let said = bench.yes(&["look", "TW-2041", "scan.jpg", "--sheet", "in.csv"]).out;
    assert!(said.contains("Nothing is entered") && said.contains("sheet TW-2041 --take in.csv"), "{said}");
    assert_eq!(log(&bench).lines().count(), 1, "to look enters nothing");

    let sheet = lines(&bench.text("in.csv"));
    let of =
        |name: &str| sheet.iter().find(|l| l["box"] == name).unwrap_or_else(|| panic!("{name}: {sheet:#?}"));
    assert_eq!(of("receive:faults-in")["value"], "none known, none seen");
    assert_eq!(of("inspect-old-work:frame")["value"], "sound");
    let both = of("inspect-old-work:running-gear");
    assert!(both["value"].is_empty() && both["seen"].contains("another word"), "{both:?}");
    assert_eq!(both["crop"].split(' ').count(), 2, "both words are shown: {both:?}");
    // A value is typed from its crop, initials stand for all operations of the box.
    let seen = [("receive:identity", "written"), ("receive:@lead", "initials seen on paper")];
    for (name, words) in seen {
        let line = of(name);
        assert!(line["value"].is_empty() && line["seen"].contains(words), "{line:?}");
        let crop = bench.read(&format!("in-crops/{}", line["crop"]));
        assert!(image::load_from_memory(&crop).is_ok(), "{line:?}");
    }
    assert!(!sheet.iter().any(|l| l["box"].contains('!')), "a picture signs nothing");
    let page = of("page 2");
    assert!(page["value"].is_empty() && page["picture"].ends_with("page 2"), "{page:?}");

    // As it was written nobody has compared anything: nothing is entered.
    let said = bench.run(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--enter"]);
    assert!(
        said.code == 1 && said.err.contains("nobody says that scan.jpg, page 2 of the paper was compared"),
        "{}",
        said.err
    );
    assert_eq!(log(&bench).lines().count(), 1);

    let filled =
        with(&sheet, &[("page 2", "x"), ("receive:identity", "UV-7-114 84 210 mi"), ("receive:@lead", "x")]);
    bench.write("in.csv", &filled);
    let take = ["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--enter", "--json"];
    let said = bench.json(&take);
    let came = outcomes(&said);
    assert_eq!(came["receive:identity"], "entered", "{said:#}");
    assert_eq!(came["receive:faults-in"], "entered", "{said:#}");
    assert_eq!(came["receive:@lead"], "entered", "{said:#}");
    // The review R1 shows ink on paper and is not signed: what waits for it waits.
    assert_eq!(came["inspect-old-work:frame"], "refused", "{said:#}");
    let entered: Vec<Json> =
        log(&bench).lines().map(|l| serde_json::from_str::<Json>(l).unwrap()["entry"].clone()).collect();
    assert_eq!(entered.len(), 4);
    let digest = |bytes: &[u8]| tackwright::record::sha256(bytes);
    for entry in &entered[1..] {
        let (taken, picture) = (&entry["taken_in"], &entry["taken_in"]["picture"]);
        assert_eq!((&taken["way"], &taken["by"]), (&"sheet".into(), &"LO".into()), "{entry:#}");
        assert_eq!(taken["sha256"], digest(filled.as_bytes()));
        assert_eq!(picture["sha256"], digest(&file));
        assert_eq!(picture["place"], "scan.jpg, page 2 of the paper");
        assert_eq!(
            (&picture["rule"], &picture["compared"]),
            (&tackwright::picture::RULE.into(), &"LO".into())
        );
        let showed = picture["showed"].as_str().unwrap();
        let told = ["written", "initials seen on paper", "none known, none seen"];
        assert!(told.iter().any(|words| showed.contains(words)), "{showed}");
    }
    // What the entries name is kept: the sheet, the picture, the crops.
    let kept = |name: String| bench.path(&format!("travelers/TW-2041/{name}")).exists();
    assert!(kept(format!("taken-in/{}.csv", &digest(filled.as_bytes())[..32])));
    assert!(kept(format!("pictures/{}.jpg", &digest(&file)[..40])));
    let crops: Vec<String> = entered[1..]
        .iter()
        .flat_map(|e| e["taken_in"]["picture"]["crops"].as_array().cloned().unwrap_or_default())
        .map(|c| c.as_str().unwrap().to_owned())
        .collect();
    assert!(
        crops.len() == 2 && crops.iter().all(|c| kept(format!("pictures/{}.png", &c[..40]))),
        "{crops:?}"
    );
    let status = bench.json(&["status", "TW-2041", "--json", "--entries"]);
    let words = status["travelers"][0]["log"][1]["words"].as_str().unwrap();
    assert!(words.contains("a picture of paper, scan.jpg, page 2"), "{words}");

    // Signed at the desk, the rest of the same sheet goes in; what was, is not again.
    bench.yes(&["sign", "TW-2041", "R1", "--as", "lead", "--by", "LO"]);
    let came = outcomes(&bench.json(&take));
    assert_eq!((&*came["receive:identity"], &*came["inspect-old-work:frame"]), ("same", "entered"));
    // A second look leaves out what is entered.
    let said = bench.yes(&["look", "TW-2041", "scan.jpg", "--sheet", "again.csv"]).out;
    assert!(said.contains("were entered before"), "{said}");
    let again = lines(&bench.text("again.csv"));
    assert!(!again.iter().any(|l| l["box"] == "receive:identity" || l["box"] == "inspect-old-work:frame"));
}

#[test]
fn a_line_names_a_picture_that_was_read() {
    let bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    let status = bench.json(&["status", "TW-2041", "--json"]);
    let paper = status["travelers"][0]["paper"].as_str().unwrap();
    let no = |picture: &str, part: &str| {
        let text = format!(
            "box,value,picture,traveler\npage 2,x,{picture},{paper}\nreceive:identity,UV-7-114 84 210 mi,{picture},{paper}\n"
        );
        bench.write("in.csv", text);
        let said = bench.run(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--enter"]);
        assert!(said.code == 1 && said.err.contains(part), "{picture}: {}", said.err);
        assert_eq!(bench.text("travelers/TW-2041/log.jsonl").lines().count(), 1, "{picture}");
    };
    no("0123456789abcdef page 2", "no picture with the digits 0123456789abcdef");
    no("a photo", "names no page of a picture");
    no("0123456789abcdef page 2 receive", "names no page of a picture");
    let text = format!("box,value,picture,traveler\npage 2,perhaps,0123456789abcdef page 2,{paper}\n");
    bench.write("in.csv", text);
    let said = bench.run(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO"]);
    assert!(said.code == 1 && said.err.contains("is no x beside page 2"), "{}", said.err);
}

#[test]
fn a_file_given_to_the_wrong_command_is_sent_to_the_right_one() {
    let bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    bench.yes(&["copy", "TW-2041", "-o", "copy.pdf"]);
    bench.yes(&["sheet", "TW-2041", "--out", "sheet.csv"]);
    let mut png = std::io::Cursor::new(Vec::new());
    image::GrayImage::from_pixel(900, 1200, image::Luma([230]))
        .write_to(&mut png, image::ImageFormat::Png)
        .unwrap();
    bench.write("page.png", png.into_inner());
    bench.write("words.txt", "hello");
    bench.write("empty", "");
    // Cut off in the middle, under the name of something else, a log, a book.
    let cut = |name: &str, to: &str| bench.write(to, &bench.read(name)[..4000]);
    cut("copy.pdf", "cut.pdf");
    bench.write("sheet.png", bench.read("sheet.csv"));
    bench.write("photo.jpg", bench.read("copy.pdf"));
    let returned = |file: &str, part: &str| {
        bench.no(&["returned", "TW-2041", file, "--by", "LO", "--enter"], part);
    };
    let sheet = |file: &str, part: &str| {
        bench.no(&["sheet", "TW-2041", "--take", file, "--by", "LO", "--enter"], part);
    };
    let photo = |file: &str, part: &str| {
        bench.no(&["photo", "TW-2041", "10", file, "--shows", "as-found", "--by", "WO"], part);
    };
    returned("page.png", "tackwright look TW-2041 FILE --sheet FILE.csv");
    returned("sheet.png", "tackwright sheet TW-2041 --take FILE --by ID");
    sheet("copy.pdf", "tackwright returned TW-2041 FILE");
    sheet("page.png", "tackwright look TW-2041 FILE --sheet FILE.csv");
    for file in ["words.txt", "empty", "cut.pdf", "job.toml", "travelers/TW-2041/log.jsonl"] {
        returned(file, "nothing was taken from it");
        sheet(file, "L209");
        photo(file, "can't be kept as a photo");
    }
    photo("sheet.png", "can't be kept as a photo");
    photo("photo.jpg", "can't be kept as a photo");
    returned("travelers/TW-2041/A/traveler.pdf", "nothing was taken from it");
    // Every picture is looked at by itself; what is none is said and enters nothing.
    for (file, part) in [
        ("sheet.png", "tackwright sheet TW-2041 --take FILE --by ID"),
        ("photo.jpg", "tackwright returned TW-2041 FILE"),
        ("words.txt", "it is no picture"),
        ("empty", "the file is empty"),
        ("cut.pdf", "NOT READ"),
        ("page.png", "no page's code was found"),
    ] {
        let said = bench.run(&["look", "TW-2041", file, "--out", "review.pdf", "--sheet", "out.csv"]);
        assert!(said.code == 1 && said.out.contains(part), "{file}: {} {}", said.out, said.err);
        assert_eq!(lines(&bench.text("out.csv")).len(), 0, "{file}");
    }
    assert_eq!(bench.text("travelers/TW-2041/log.jsonl").lines().count(), 1);
}

/// At the desk the pictures are gone through box by box: as it is shown, otherwise, or
/// left; signed in between, and entered with what the picture showed.
#[test]
fn the_desk_goes_through_what_pictures_show() {
    let mut bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    let ticked = [
        ("receive:faults-in", "none known, none seen"),
        ("inspect-old-work:frame", "sound"),
        ("inspect-old-work:running-gear", "sound"),
        ("inspect-old-work:running-gear", "worn, to renew"),
    ];
    let file = scan(&bench, &ticked, &["receive:identity", "receive:@lead"]);
    bench.write("scan.jpg", &file);
    bench.now = START + 3600;
    let sit = |answers: &[&str]| {
        let input: String = answers.iter().map(|a| format!("{a}\n")).collect();
        let said = bench.typed(&["desk", "TW-2041", "--pictures", "scan.jpg", "--by", "LO"], &input);
        assert_eq!(said.code, 0, "{}{}", said.out, said.err);
        assert!(said.err.is_empty(), "no progress into a pipe: {}", said.err);
        said.out
    };
    let log = || -> Vec<Json> {
        let text = bench.text("travelers/TW-2041/log.jsonl");
        text.lines().skip(1).map(|l| serde_json::from_str::<Json>(l).unwrap()["entry"].clone()).collect()
    };
    // `=` says nothing where the picture only shows that something is written; Enter leaves it.
    let said = sit(&["=", "", "q"]);
    assert!(said.contains("picture: page 2: written"), "{said}");
    assert!(log().len() <= 1, "{said}");
    // Typed from the crop; as it is shown; initials; the review is signed by who signs it.
    let said = sit(&["UV-7-114 84 210 mi", "=", "1", "1", "=", "1", "1"]);
    let entries = log();
    let about = |name: &str| {
        entries
            .iter()
            .find(|e| e["what"]["reading"]["reading"] == name)
            .unwrap_or_else(|| panic!("{name}: {said}"))
    };
    assert_eq!(about("identity")["what"]["reading"]["text"], "UV-7-114 84 210 mi");
    assert_eq!(about("faults-in")["what"]["reading"]["text"], "none known, none seen");
    assert_eq!(about("frame")["what"]["reading"]["text"], "sound");
    assert!(entries.iter().any(|e| e["what"]["act"] == "sign"), "{said}");
    let digest = tackwright::record::sha256(&file);
    for name in ["identity", "faults-in", "frame"] {
        let taken = &about(name)["taken_in"];
        assert_eq!((&taken["way"], &taken["by"]), (&"picture".into(), &"LO".into()), "{taken:#}");
        assert_eq!(taken["sha256"], Json::from(digest.clone()));
        assert_eq!(
            (&taken["picture"]["compared"], &taken["picture"]["sha256"]),
            (&"LO".into(), &taken["sha256"])
        );
    }
    // Signed at the desk, not by the picture.
    assert!(entries.iter().filter(|e| e["what"]["act"] == "sign").all(|e| e["taken_in"].is_null()));
    // Every crop that is named is there.
    let crops: Vec<&str> = said.lines().filter_map(|l| l.trim().strip_prefix("crop: ")).collect();
    assert!(crops.len() >= 5, "{said}");
    for crop in crops {
        assert!(image::load_from_memory(&bench.read(crop)).is_ok(), "{crop}");
    }
}

/// Twice the same, in any order: what the program filled in gives way to the program,
/// what a person wrote does not, and nothing is written beside a refusal.
#[test]
fn a_look_may_be_taken_again_in_any_order() {
    let bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    let file = scan(&bench, &[("receive:faults-in", "none known, none seen")], &["receive:identity"]);
    bench.write("scan.jpg", &file);
    let review = ["look", "TW-2041", "scan.jpg", "--out", "review.pdf"];
    let sheet = ["look", "TW-2041", "scan.jpg", "--sheet", "in.csv"];
    bench.yes(&review);
    bench.yes(&sheet);
    bench.yes(&review);
    let first = bench.text("in.csv");
    bench.yes(&sheet);
    assert_eq!(first, bench.text("in.csv"));
    // A person has typed what the crop shows.
    let at = first.find("receive:identity").unwrap();
    let line = &first[at..at + first[at..].find("\r\n").unwrap()];
    let mut cells: Vec<&str> = line.split(',').collect();
    let value = cells.iter().position(|c| c.starts_with("TW-2041 A")).unwrap() - 2;
    cells[value] = "UV-7-114 84 210 mi";
    bench.write("in.csv", first.replace(line, &cells.join(",")));
    std::fs::remove_file(bench.path("review.pdf")).unwrap();
    let both = ["look", "TW-2041", "scan.jpg", "--out", "review.pdf", "--sheet", "in.csv"];
    bench.no(&both, "a sheet that is filled in");
    assert!(!bench.path("review.pdf").exists(), "said before anything is written");
}

/// The issued PDF alone names its boxes: pictures of its pages are read without the
/// record, and nothing is kept.
#[test]
fn a_picture_is_read_with_the_issued_file_alone() {
    let bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    let file = scan(&bench, &[("receive:faults-in", "none known, none seen")], &["receive:identity"]);
    let away = Bench::new();
    away.write("paper.pdf", bench.read("TW-2041-A.pdf"));
    away.write("scan.jpg", &file);
    let said = away.json(&["look", "paper.pdf", "scan.jpg", "--out", "review.pdf", "--json"]);
    let boxes = said["pages"][0]["boxes"].as_array().unwrap();
    let of = |name: &str| {
        boxes.iter().filter(|b| b["name"] == name).map(|b| b["value"].clone()).collect::<Vec<_>>()
    };
    assert!(of("receive:faults-in").contains(&"ticked".into()), "{boxes:#?}");
    assert_eq!(of("receive:identity"), ["written"]);
    assert!(away.read("review.pdf").starts_with(b"%PDF") && !away.path("travelers").exists());
    away.no(&["look", "paper.pdf", "scan.jpg", "--sheet", "in.csv"], "only the record knows");
    away.yes(&["issue", "job.toml", "--draft", "--out", "draft.pdf"]);
    away.no(&["look", "draft.pdf", "scan.jpg"], "no list of its boxes");
}
