//! What a person asks to have written never takes the place of what must stay.
//! The rule is the one of any copying tool asked to be careful: what is there is
//! kept (POSIX `cp -i`, `mv -n`); the record belongs to the record alone.

use crate::support::bench::Bench;

fn issued() -> Bench {
    let bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    bench
}

/// What lies about in a shop, and must stay.
const OTHERS: &[&str] = &["job.toml", "shop.toml", "TW-2041-A.pdf", "notes.txt"];

#[test]
fn nothing_that_is_there_gives_way_to_something_else() {
    let bench = issued();
    bench.write("notes.txt", "call the customer");
    for other in OTHERS {
        bench.no(&["sheet", "TW-2041", "--out", other], "is kept");
        bench.no(&["copy", "TW-2041", "--out", other], "is kept");
        bench.no(&["look", "TW-2041", "notes.txt", "--out", other], "is kept");
        bench.no(&["route", "job.toml", "--graph", other], "is kept");
        bench.no(&["new", "weldment", "--out", other], "is kept");
        bench.no(&["new", "--sketches", "--out", other], "is kept");
    }
    for other in ["job.toml", "shop.toml", "notes.txt"] {
        bench.no(&["issue", "job.toml", "--out", other], "is kept");
        bench.no(&["issue", "job.toml", "--draft", "--out", other], "is kept");
    }
}

#[test]
fn nothing_asked_for_goes_into_the_record() {
    let bench = issued();
    let places = [
        "travelers/TW-2041/log.jsonl",
        "travelers/TW-2041/new.pdf",
        "travelers/TW-2041/A/new.csv",
        "travelers/TW-2041/slips/deep/new.pdf",
        "./travelers/../travelers/TW-2041/new.pdf",
        "travelers/TW-2041/none/../new.pdf",
    ];
    for place in places {
        bench.no(&["sheet", "TW-2041", "--out", place], "lies in the record");
        bench.no(&["copy", "TW-2041", "--out", place], "lies in the record");
        bench.no(&["look", "TW-2041", "shop.toml", "--out", place], "lies in the record");
        bench.no(&["route", "job.toml", "--graph", place], "lies in the record");
        bench.no(&["issue", "job.toml", "--draft", "--out", place], "is kept");
    }
    bench.no(&["copy", "TW-2041", "--out", "travelers/TW-2041"], "lies in the record");
    bench.no(
        &["template", "cope", "od=1-3/4 in", "on=2 in", "wall=0.120 in", "--out", "travelers/TW-2041/A"],
        "lies in the record",
    );
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(bench.path("travelers/TW-2041"), bench.path("way-round")).unwrap();
        let said = bench.run(&["sheet", "TW-2041", "--out", "way-round/new.csv"]);
        assert_eq!(said.code, 1, "{}{}", said.out, said.err);
        assert!(said.err.contains("lies in the record"), "{}", said.err);
    }
    bench.yes(&["status"]);
}

#[test]
fn a_sheet_gives_way_until_somebody_fills_it() {
    let bench = issued();
    bench.yes(&["sheet", "TW-2041", "--out", "s.csv"]);
    bench.yes(&["sheet", "TW-2041", "--out", "s.csv", "--between", "semicolon"]);
    bench.yes(&["sheet", "TW-2041", "--out", "s.csv"]);
    let blank = bench.text("s.csv");
    let columns: Vec<&str> =
        blank.lines().next().unwrap().trim_start_matches('\u{FEFF}').split(',').collect();
    for column in ["value", "by", "when", "remark"] {
        let at = columns.iter().position(|c| *c == column).unwrap();
        // The first line of the table gets a word in this column; it has no comma within a cell.
        let mut lines: Vec<String> = blank.lines().map(str::to_owned).collect();
        let plain = lines
            .iter()
            .position(|l| l.split(',').count() == columns.len() && !l.contains('"') && l.contains("TW-2041"));
        let line = plain.unwrap();
        let mut cells: Vec<String> = lines[line].split(',').map(str::to_owned).collect();
        cells[at] = "x".to_owned();
        lines[line] = cells.join(",");
        bench.write("s.csv", lines.join("\r\n"));
        bench.no(&["sheet", "TW-2041", "--out", "s.csv"], "filled in");
    }
    // A column of the shop's own with a word in it is somebody's work as well.
    let own: Vec<String> =
        blank.lines().enumerate().map(|(i, l)| format!("{l},{}", ["mine", "seen"][i.min(1)])).collect();
    bench.write("s.csv", own.join("\r\n"));
    bench.no(&["sheet", "TW-2041", "--out", "s.csv"], "is kept");
    // Another traveler's sheet, empty or not.
    bench.write("s.csv", blank.replace("TW-2041 A", "TW-9999 A"));
    bench.no(&["sheet", "TW-2041", "--out", "s.csv"], "is kept");
}

#[test]
fn a_copy_is_never_written_over_and_uses_no_number_when_refused() {
    let bench = issued();
    bench.yes(&["copy", "TW-2041", "--out", "c.pdf"]);
    bench.no(&["copy", "TW-2041", "--out", "c.pdf"], "is kept");
    let said = bench.yes(&["copy", "TW-2041", "--out", "papers"]);
    assert!(said.out.contains("Copy 2,"), "{}", said.out);
}

#[test]
fn a_review_gives_way_to_the_next_review_of_the_same_traveler() {
    let bench = issued();
    bench.write("scan.png", crate::support::picture::gusset());
    bench.no(&["look", "TW-2041", "scan.png", "--out", "scan.png"], "is kept");
    for _ in 0..2 {
        bench.run(&["look", "TW-2041", "scan.png", "--out", "review.pdf"]);
        assert!(bench.read("review.pdf").starts_with(b"%PDF"));
    }
    let said = bench.run(&["look", "TW-2041", "scan.png", "--out", "review.pdf"]);
    assert!(!said.err.contains("is kept"), "{}", said.err);
}

#[test]
fn a_draft_takes_the_place_of_drafts_only() {
    let bench = issued();
    let paper = bench.read("TW-2041-A.pdf");
    bench.no(&["issue", "job.toml", "--draft", "--out", "TW-2041-A.pdf"], "no draft replaces");
    assert!(bench.read("TW-2041-A.pdf") == paper);
    for _ in 0..2 {
        bench.yes(&["issue", "job.toml", "--draft", "--out", "look.pdf"]);
    }
    // The paper itself may stand where a draft stood, and where it stood before.
    for _ in 0..2 {
        bench.yes(&["issue", "job.toml", "--out", "look.pdf"]);
    }
    bench.no(&["issue", "job.toml", "--draft", "--out", "look.pdf"], "no draft replaces");
    assert!(bench.read("look.pdf") == paper);
}

/// What a reader put into a file (ISO 32000-1, 12.5: annotations; 12.7.4.5: signatures)
/// is somebody's work: a file that is not as it was written is kept.
#[test]
fn notes_in_a_file_are_kept() {
    let bench = issued();
    bench.yes(&["template", "cope", "od=1-3/4 in", "on=2 in", "wall=0.120 in", "--out", "."]);
    // A picture of nothing has a review too.
    let mut png = std::io::Cursor::new(Vec::new());
    let grey = image::GrayImage::from_pixel(900, 1200, image::Luma([230]));
    grey.write_to(&mut png, image::ImageFormat::Png).unwrap();
    bench.write("page.png", png.into_inner());
    bench.run(&["look", "TW-2041", "page.png", "--out", "review.pdf"]);
    bench.yes(&["issue", "job.toml", "--draft", "--out", "draft.pdf"]);
    let again: [(&str, &[&str]); 4] = [
        ("TW-2041-A.pdf", &["issue", "job.toml"]),
        ("draft.pdf", &["issue", "job.toml", "--draft", "--out", "draft.pdf"]),
        ("review.pdf", &["look", "TW-2041", "page.png", "--out", "review.pdf"]),
        ("cope.pdf", &["template", "cope", "od=1-3/4 in", "on=2 in", "wall=0.120 in", "--out", "."]),
    ];
    for (file, command) in again {
        let written = bench.read(file);
        let said = bench.run(command);
        assert!(!said.err.contains("is kept"), "{file}: {}", said.err);
        assert!(bench.read(file) == written, "{file}: the same again");
        // As a reader saves a note: appended, or the whole file written anew.
        let mut added = written.clone();
        added.extend_from_slice(b"\n9000 0 obj\n<</Type/Annot/Subtype/Text/Contents(call me)>>\nendobj\n");
        let mut anew = lopdf::Document::load_mem(&written).unwrap();
        let note = lopdf::dictionary! { "Type" => "Annot", "Subtype" => "Text", "Rect" => vec![0.into(), 0.into(), 9.into(), 9.into()] };
        let note = anew.add_object(note);
        let page = anew.page_iter().next().unwrap();
        anew.get_dictionary_mut(page).unwrap().set("Annots", vec![note.into()]);
        let mut saved = Vec::new();
        anew.save_to(&mut saved).unwrap();
        for changed in [added, saved] {
            bench.write(file, &changed);
            bench.no(command, "somebody's notes or a signature");
            assert!(bench.read(file) == changed, "{file} is kept");
        }
        bench.write(file, written);
    }
}
