//! The pages: what is printed, where, and what the file claims.

use std::collections::BTreeSet;

use rayon::prelude::*;
use tackwright::plan::Words;
use tackwright::render::{self, Attachment, Relationship, RenderError, Rendered};
use tackwright::traveler::Document;
use tackwright::traveler::document::{Fact, Filled, LookUp, LookUpRow, Paper};
use tackwright::traveler::side_view::side_view;

use crate::support::printed::{is_letter, missing, model_strings};
use crate::support::{pdf, sample};

const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Typesets, and takes no warning for an answer.
fn typeset(document: &Document) -> Rendered {
    let rendered = render::pdf(document, &[]).unwrap();
    assert_eq!(rendered.warnings, Vec::<String>::new());
    rendered
}

fn samples() -> Vec<(&'static str, Document)> {
    let mut a4 = sample::traveler();
    a4.meta.paper = Paper::A4;
    vec![
        ("blank", sample::traveler()),
        ("a4", a4),
        ("completed", sample::completed()),
        ("empty", Document::default()),
    ]
}

#[test]
fn samples_typeset_without_a_warning() {
    for (name, document) in samples() {
        let rendered = typeset(&document);
        assert!((1..40).contains(&rendered.pages), "{name} has {} pages", rendered.pages);
        assert_eq!(pdf::pages(&rendered.bytes).len(), rendered.pages, "{name}");
        // For people: look at the pages.
        if let Ok(folder) = std::env::var("TACKWRIGHT_PAGES") {
            std::fs::write(format!("{folder}/{name}.pdf"), &rendered.bytes).unwrap();
        }
    }
}

#[test]
fn every_text_of_the_model_is_on_paper() {
    for (name, document) in samples() {
        let rendered = typeset(&document);
        if name != "empty" {
            assert!(model_strings(&document).len() > 300, "{name}");
        }
        assert_eq!(missing(&document, &rendered), Vec::<String>::new(), "{name}");
    }
}

#[test]
fn a_changed_figure_is_noticed() {
    let planned = sample::traveler();
    let mut changed = planned.clone();
    changed.operations[4].steps[1].readings[0].target = Some("≥ 0.26 in (6.6 mm)".to_owned());
    changed.lay_out();
    assert_eq!(missing(&planned, &typeset(&changed)), ["≥0.28in(7.1mm)"]);
}

/// The numbers in a text, each whole: `1-1/2 in (38.1 mm)` has 1, 1, 2 and 38.1.
fn numbers(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_ascii_digit() && c != '.')
        .map(|n| n.trim_matches('.'))
        .filter(|n| !n.is_empty())
}

/// Every text of a model, as it stands in it.
fn texts(model: &serde_json::Value, found: &mut String) {
    match model {
        serde_json::Value::String(text) => {
            found.push(' ');
            found.push_str(text);
        }
        serde_json::Value::Array(list) => list.iter().for_each(|one| texts(one, found)),
        serde_json::Value::Object(parts) => parts.values().for_each(|one| texts(one, found)),
        _ => {}
    }
}

#[test]
fn every_number_on_paper_comes_from_the_model() {
    for (name, document) in samples() {
        let rendered = typeset(&document);
        let mut known = String::new();
        let model = serde_json::to_value(&document).unwrap();
        texts(&model, &mut known);
        for operation in
            ["operations", "after_hand_over"].iter().filter_map(|k| model[k].as_array()).flatten()
        {
            known.push_str(&format!(" {}", operation["number"]));
            for step in operation["steps"].as_array().unwrap() {
                known.push_str(&format!(" {0} {1}.{0} .{0}", step["number"], operation["number"]));
            }
        }
        for entry in document.record.iter().flat_map(|r| &r.entries) {
            known.push_str(&format!(" {}", entry.number));
        }
        let known: std::collections::BTreeSet<&str> = numbers(&known).collect();
        let mut checked = 0;
        for page in pdf::pages(&rendered.bytes) {
            for run in &page.runs {
                // Page numbers are the only ones the typesetter adds.
                let text = run.text.replace(|c: char| c.is_whitespace(), " ");
                let text = match text.find("page ") {
                    Some(at) => text[..at].to_owned(),
                    None => text,
                };
                for token in text.split([' ', '·']).filter(|t| t.contains(|c: char| c.is_ascii_digit())) {
                    let of = token.parse::<usize>().is_ok_and(|n| n <= rendered.pages);
                    let all = numbers(token).all(|n| known.contains(n));
                    assert!(of || all, "{name}: \"{token}\" in \"{}\"", run.text);
                    checked += 1;
                }
            }
        }
        assert!(name == "empty" || checked > 300, "{name}: {checked}");
    }
}

/// Nothing outside the margins, nothing too small, no line of text over another.
fn check_layout(name: &str, rendered: &Rendered, overlaps: bool) {
    for (number, page) in (1..).zip(pdf::pages(&rendered.bytes)) {
        let (left, right) = (16.0 * POINTS_PER_MM - 0.6, page.width - 12.0 * POINTS_PER_MM + 0.6);
        for run in &page.runs {
            let visible = run.text.trim_end().chars().count() as f64 / run.text.chars().count().max(1) as f64;
            let end = run.left + (run.right - run.left) * visible;
            assert!(
                run.left >= left && end <= right && run.baseline > 20.0 && run.baseline < page.height - 20.0,
                "{name}, page {number}: outside the margins: {run:?}"
            );
            assert!(run.size >= 7.0, "{name}, page {number}: too small: {run:?}");
        }
        for path in &page.paths {
            let inside =
                path.x0 >= left - 2.0 && path.x1 <= right + 2.0 && path.y0 >= 0.0 && path.y1 <= page.height;
            assert!(inside, "{name}, page {number}: drawn outside the margins: {path:?}");
        }
        if !overlaps {
            continue;
        }
        for (i, a) in page.runs.iter().enumerate() {
            for b in &page.runs[i + 1..] {
                let across = a.right.min(b.right) - a.left.max(b.left);
                let (top_a, top_b) = (a.baseline - 0.7 * a.size, b.baseline - 0.7 * b.size);
                let down = a.baseline.min(b.baseline) - top_a.max(top_b);
                assert!(across < 0.8 || down < 0.4, "{name}, page {number}: overlap: {a:?} {b:?}");
            }
        }
    }
}

#[test]
fn nothing_overlaps_or_leaves_its_margins() {
    for (name, document) in samples() {
        check_layout(name, &typeset(&document), true);
    }
}

#[test]
fn boxes_are_large_enough_for_a_gloved_hand() {
    let document = sample::traveler();
    let rendered = typeset(&document);
    let pages = pdf::pages(&rendered.bytes);
    let boxes = |wide: f64, high: f64| {
        pages
            .iter()
            .flat_map(|p| &p.paths)
            .filter(|r| r.width() / POINTS_PER_MM >= wide - 0.01 && r.height() / POINTS_PER_MM >= high - 0.01)
            .filter(|r| r.height() / POINTS_PER_MM < 20.0)
            .count()
    };
    let operations = || document.operations.iter().chain(&document.after_hand_over);
    let readings: usize = operations().flat_map(|o| &o.steps).map(|s| s.readings.len()).sum();
    let steps: usize = operations().map(|o| o.steps.len()).sum();
    let points = operations().map(|o| o.before.len() + o.after.len()).sum::<usize>();
    let operations = operations().count();
    assert!(readings > 20 && steps > 20 && points == 5);
    assert!(boxes(30.0, 9.0) >= readings + 2 * operations + 3 * points, "write-in boxes");
    assert!(boxes(6.0, 6.0) >= steps + readings, "tick boxes");
}

#[test]
fn an_operation_never_begins_at_the_foot_and_a_banner_is_whole() {
    for (name, document) in samples() {
        let rendered = typeset(&document);
        let mut heads = 0;
        for (number, page) in (1..).zip(pdf::pages(&rendered.bytes)) {
            let foot = page.height - 19.0 * POINTS_PER_MM;
            for run in page.runs.iter().filter(|run| is_letter(run)) {
                heads += 1;
                let below = page
                    .runs
                    .iter()
                    .filter(|r| r.baseline > run.baseline + 20.0 && r.baseline < foot)
                    .count();
                assert!(below > 2, "{name}, page {number}: station {} alone at the foot", run.text);
            }
            let text = page.text();
            let banners = ["HOLDPOINT", "WITNESSPOINT", "REVIEWPOINT"].map(|b| text.matches(b).count());
            assert_eq!(
                banners.iter().sum::<usize>(),
                text.matches("signedby:").count(),
                "{name}, page {number}"
            );
            assert!(text.matches("dateandtime").count() >= banners.iter().sum(), "{name}, page {number}");
        }
        assert_eq!(heads, document.stations.len() + document.later_stations.len(), "{name}");
    }
}

#[test]
fn every_page_says_what_it_belongs_to() {
    let rendered = typeset(&sample::traveler());
    let pages = pdf::pages(&rendered.bytes);
    for (number, page) in (1..).zip(&pages) {
        let text = page.text();
        let of = format!("page{number}of{}", rendered.pages);
        assert_eq!(text.matches(&of).count(), 2, "head and foot of page {number}");
        assert!(
            text.matches("BT-0412").count() >= 2 && text.contains("revB") && text.contains("Brushtruck7")
        );
    }
}

#[test]
fn a_page_that_continues_an_operation_says_so() {
    let mut all = 0;
    for (name, document) in samples() {
        let rendered = typeset(&document);
        let mut open: Option<String> = None;
        let mut continued = 0;
        for (number, page) in (1..).zip(pdf::pages(&rendered.bytes)) {
            let text = page.text();
            // Sheets behind the operations belong to none.
            let part =
                ["Torquesheet", "Picklist", "Foundconditions", "Worksheets"].iter().any(|t| text.contains(t));
            if part {
                open = None;
            }
            // A page that begins with a station continues none.
            let first = page
                .runs
                .iter()
                .filter(|r| r.baseline > 64.0)
                .min_by(|a, b| a.baseline.total_cmp(&b.baseline));
            let begins = page
                .runs
                .iter()
                .any(|r| is_letter(r) && first.is_some_and(|f| r.baseline < f.baseline + 16.0));
            assert!(!begins || !text.contains("continued"), "{name}, page {number} begins with a station");
            let says = open.as_ref().map(|letter| format!("station{letter}continued"));
            match says {
                Some(says) if text.contains(&says) => continued += 1,
                // Everything of the operation was on the page before.
                Some(_) => {
                    let first = page.runs.iter().find(|r| r.baseline > 64.0).unwrap();
                    assert!(first.size > 20.0 || number == 1, "{name}, page {number}: {first:?}");
                }
                None => assert!(!text.contains("continued"), "{name}, page {number}"),
            }
            if let Some(last) = page.runs.iter().rfind(|run| is_letter(run)) {
                open = Some(last.text.trim().to_owned());
            }
        }
        all += continued;
    }
    // Which of the samples goes on over a page hangs on a line more or less.
    assert!(all > 1, "{all}");
}

#[test]
fn the_file_claims_what_it_keeps() {
    let job = Attachment {
        name: "job.toml".to_owned(),
        bytes: b"number = \"BT-0412\"\n".to_vec().into(),
        mime: "application/toml".to_owned(),
        relationship: Relationship::Source,
        description: "the job file".to_owned(),
    };
    let figures = Attachment {
        name: "figures.json".to_owned(),
        bytes: b"{}".to_vec().into(),
        mime: "application/json".to_owned(),
        relationship: Relationship::Data,
        description: "the figures".to_owned(),
    };
    let document = sample::traveler();
    let rendered = render::pdf(&document, &[job.clone(), figures]).unwrap();
    let claims = pdf::claims(&rendered.bytes);
    assert_eq!(claims.title, document.meta.title);
    assert_eq!(claims.language, "en");
    assert!(claims.tagged && claims.shows_title);
    for claim in ["<pdfaid:part>3<", "<pdfaid:conformance>A<", "<pdfuaid:part>1<", "2026-03-09T07:30:00"] {
        assert!(claims.metadata.contains(claim), "{claim} in {}", claims.metadata);
    }
    assert_eq!(claims.actions, Vec::<String>::new());
    assert_eq!(claims.sheets, vec![(612.0, 792.0); rendered.pages]);
    assert_eq!(claims.fonts.len(), 3, "{:?}", claims.fonts);
    for (name, embedded, mapped) in &claims.fonts {
        assert!(name.contains("+Inter-") && *embedded && *mapped, "{name}");
    }
    let mut attached = claims.attachments.clone();
    attached.sort();
    assert_eq!(attached.len(), 2);
    assert_eq!((attached[0].0.as_str(), attached[0].1.as_str()), ("figures.json", "Data"));
    assert_eq!(
        attached[1],
        ("job.toml".to_owned(), "Source".to_owned(), "application/toml".to_owned(), job.bytes.to_vec())
    );
    for operation in document.operations.iter().chain(&document.after_hand_over) {
        let start = operation.verb.to_uppercase();
        assert!(
            claims
                .bookmarks
                .iter()
                .any(|b| b.trim_start().starts_with(&start) && b.contains(&operation.title)),
            "{start} in {:?}",
            claims.bookmarks
        );
    }
    assert!(claims.bookmarks.iter().any(|b| b.contains("H1")), "{:?}", claims.bookmarks);
    let drawings = &document.geometry.as_ref().unwrap().drawings;
    let spoken: Vec<String> = claims.spoken.iter().map(|s| pdf::squeeze(s)).collect();
    for drawing in drawings {
        assert!(
            spoken.contains(&pdf::squeeze(&drawing.drawing.alt)),
            "{} in {spoken:?}",
            drawing.drawing.alt
        );
    }
}

#[test]
fn attachments_need_usable_names() {
    let one = |name: &str| Attachment {
        name: name.to_owned(),
        bytes: vec![1].into(),
        mime: "application/octet-stream".to_owned(),
        relationship: Relationship::Supplement,
        description: String::new(),
    };
    let document = Document::default();
    for bad in ["", "..", "../job.toml", "/etc/passwd", "a\\b", "job\0.toml"] {
        let result = render::pdf(&document, &[one(bad)]);
        assert_eq!(result.unwrap_err(), RenderError::AttachmentName(bad.to_owned()));
    }
    let twice = render::pdf(&document, &[one("job.toml"), one("job.toml")]);
    assert_eq!(twice.unwrap_err(), RenderError::AttachmentName("job.toml".to_owned()));
}

#[test]
fn the_same_document_gives_the_same_bytes_from_every_thread() {
    let documents = samples();
    let once: Vec<Vec<u8>> = documents.iter().map(|(_, d)| typeset(d).bytes).collect();
    let again: Vec<Vec<u8>> = documents.par_iter().map(|(_, d)| typeset(d).bytes).collect();
    assert!(once == again);
    assert_eq!(once.iter().collect::<BTreeSet<_>>().len(), documents.len());
    let mut later = sample::traveler();
    later.meta.issued += chrono::TimeDelta::days(1);
    assert!(typeset(&later).bytes != once[0], "the date is in the file");
}

#[test]
fn a_very_long_job_still_typesets() {
    let mut document = sample::completed();
    let few = document.operations.clone();
    document.operations = (1..=200)
        .zip(few.iter().cycle())
        .map(|(i, one)| tackwright::traveler::document::Operation { number: i * 10, ..one.clone() })
        .collect();
    document.lay_out();
    let rendered = typeset(&document);
    assert!((60..400).contains(&rendered.pages), "{}", rendered.pages);
    check_layout("long", &rendered, true);
    assert_eq!(missing(&document, &rendered), Vec::<String>::new());
}

/// Puts a text everywhere a user's text can go.
fn everywhere(text: &str) -> Document {
    let mut document = sample::completed();
    let s = || text.to_owned();
    document.meta.title = s();
    document.meta.author = s();
    document.meta.ident = s();
    document.running.number = s();
    document.running.unit = s();
    document.running.work = s();
    document.running.stamp = Some(s());
    document.head.shop = s();
    document.head.shop_lines.push(s());
    document.head.facts.push(Fact::new(s(), s()));
    document.head.scope.push(Words::plain(text).strong(text));
    document.head.people[0].name = Some(s());
    document.head.people[0].initials = Some(Filled::new(text).by(text));
    document.head.points[0].what = s();
    document.head.waivers[0].reason = s();
    document.head.cautions[0].hazard = s();
    document.head.disclaimer.push(Words::plain(text));
    for row in &mut document.geometry.as_mut().unwrap().rows {
        (row.what, row.side, row.found, row.planned) = (s(), Some(s()), Some(s()), Some(s()));
        row.left = Some(Filled::new(text));
    }
    let mut axle = sample::axle();
    axle.caster.as_mut().unwrap().0 = s();
    document.geometry.as_mut().unwrap().drawings[0] = side_view(&axle);
    let operation = &mut document.operations[3];
    (operation.verb, operation.title, operation.station, operation.component) = (s(), s(), s(), Some(s()));
    operation.tools = vec![s(); 3];
    operation.notice = Some(Words::plain(text));
    operation.joints.push(Words::plain(text));
    let step = &mut operation.steps[0];
    step.text = Words::plain(text);
    step.done = Some(Filled::new(text));
    let reading = &mut step.readings[0];
    (reading.label, reading.target, reading.tolerance) = (s(), Some(s()), Some(s()));
    reading.filled = Some(Filled { value: s(), by: Some(s()), outside: true, remark: Some(s()) });
    step.table = Some(LookUp {
        title: s(),
        rows: vec![LookUpRow { head: s(), cells: vec!["1".to_owned(); 20] }; 3],
        note: Some(s()),
    });
    let point = &mut operation.after[0];
    (point.what, point.who, point.meaning) = (Words::plain(text), s(), s());
    (document.welds[0].title, document.welds[0].symbol) = (s(), s());
    document.welds[0].facts[0].value = Some(s());
    document.torques[0].title = s();
    document.torques[0].torque = Some(s());
    document.pick_list[0].rows[0].what = s();
    document.found.as_mut().unwrap().entries[0].found = s();
    document.changes[0].what = s();
    document.worksheets[0].figures[0].formula = s();
    document.record.as_mut().unwrap().entries[0].what = s();
    document
}

#[test]
fn hostile_text_is_only_text() {
    let long_word = "x".repeat(100_000);
    let many_words = "weld ".repeat(20_000);
    let mixed = format!("{}\u{0}{}", "é".repeat(300), "🔥".repeat(300));
    let cases: &[(&str, &str)] = &[
        ("#panic(\"no\")", "#panic(\"no\")"),
        ("#sys.inputs.document", "#sys.inputs.document"),
        ("$ sum x^2 $ @ref <label> = Heading", "$sumx^2$@ref<label>=Heading"),
        ("*bold* _it_ `raw` \\ // -- --- ... \"q\"", "*bold*_it_`raw`\\//-----...\"q\""),
        ("]}) #let x = 1; -> != 3x4 >= 1/2", "]})#letx=1;->!=3x4>=1/2"),
        ("nul\0bell\u{7}", "nul[U+0000]bell[U+0007]"),
        ("right\u{202E}left\u{200F}mark\u{2067}", "right[U+202E]left[U+200F]mark[U+2067]"),
        ("fire 🔥 שלום 溶接", "fire[U+1F525][U+05E9][U+05DC][U+05D5][U+05DD][U+6EB6][U+63A5]"),
        ("soft\u{AD}hyphen zero\u{200B}width \u{FEFF}", "soft[U+00AD]hyphenzero[U+200B]width[U+FEFF]"),
        ("two\nlines\r\nand\ttab", "twolinesandtab"),
        ("e\u{301} n\u{303} combining", "combining"),
        (&long_word, "morecharacters,notprinted]"),
        (&many_words, "morecharacters,notprinted]"),
        (&mixed, "[U+1F525]"),
    ];
    cases.par_iter().for_each(|(text, shown)| {
        let name: String = text.chars().take(20).collect();
        let rendered = typeset(&everywhere(text));
        if let Ok(folder) = std::env::var("TACKWRIGHT_PAGES") {
            std::fs::write(format!("{folder}/hostile-{}.pdf", shown.len()), &rendered.bytes).unwrap();
        }
        let paper: String = pdf::pages(&rendered.bytes).iter().map(pdf::Page::text).collect();
        let count = paper.matches(shown).count();
        assert!(count >= 10, "{name:?} shows {count} times as {shown:?}");
        assert!(rendered.pages < 60, "{name:?}: {} pages", rendered.pages);
        check_layout(&format!("{name:?}"), &rendered, false);
    });
}

#[test]
fn a_date_outside_the_calendar_is_refused() {
    let mut document = Document::default();
    document.meta.issued = chrono::DateTime::<chrono::Utc>::MAX_UTC;
    assert!(matches!(render::pdf(&document, &[]), Err(RenderError::Date(_))));
}

#[test]
fn templates_place_and_do_not_compute() {
    let mut names = Vec::new();
    for folder in ["templates", "templates/lib"] {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|e| e == "typ") {
                names.push(path);
            }
        }
    }
    assert!(names.len() > 8);
    for path in names {
        let text = std::fs::read_to_string(&path).unwrap();
        let code: String =
            text.lines().filter(|l| !l.trim_start().starts_with("//")).map(|l| format!("{l}\n")).collect();
        // The one file that is read is an attachment, which is not looked into.
        let code = code.replacen("pdf.attach(file.name, read(file.path, encoding: none)", "pdf.attach(", 1);
        // Columns of a share of what is left, as a grid has them.
        let code = code.replacen("rest * (width / shares)", "rest", 1).replacen("2 * n - 1", "n", 1);
        for word in
            ["calc.", "eval(", "today", "@preview", "read(", "plugin(", "float(", "int(", "decimal(", " / "]
        {
            let used = code
                .match_indices(word)
                .any(|(at, _)| !code[..at].ends_with(|c: char| c.is_ascii_alphanumeric() || c == '-'));
            assert!(!used, "{} uses {word}", path.display());
        }
        // Numbers become lengths in one place: coordinates of drawings.
        let times = code.matches(" * ").count();
        let allowed = code.matches("(1fr,) * ").count()
            + code.matches("(center + horizon,) * ").count()
            + code.matches("(lane-width,) * ").count()
            + code.matches("number * 1mm").count()
            + code.matches("(column-gutter,) * ").count()
            + code.matches("(align,) * count").count()
            // Shapes at full size: their numbers are millimetres and degrees.
            + ["width * 1mm", "height * 1mm", "one.size * 1mm", "one.turn * 1deg", "-wide * 0.5", "one.x * 1mm", "one.y * 1mm", "one.thick * 1pt", "2 * x", "2 * y", "json(\"/marks.json\") * 1mm"]
                .iter()
                .map(|made| code.matches(made).count())
                .sum::<usize>();
        assert_eq!(times, allowed, "{} multiplies", path.display());
        let embedded = format!("\"../../{}\"", path.display());
        let list = std::fs::read_to_string("src/render/assets.rs").unwrap();
        assert!(list.contains(&embedded), "{embedded} is not embedded");
    }
}

/// Coarse pictures, compared with a tolerance of one grey step per cell.
#[test]
fn pages_look_as_approved() {
    let blank = typeset(&sample::traveler());
    let completed = typeset(&sample::completed());
    for (name, rendered, page) in [
        ("head", &blank, 0),
        ("route", &blank, 2),
        ("geometry", &blank, 3),
        ("operation", &blank, 6),
        ("hold", &blank, 7),
        ("record", &completed, 6),
    ] {
        let picture = pdf::picture(&rendered.bytes, page, 34, 44);
        let path = format!("tests/cases/pages/{name}.txt");
        if std::env::var_os("TACKWRIGHT_APPROVE").is_some() {
            assert!(std::env::var_os("CI").is_none(), "pictures are approved by a person");
            std::fs::create_dir_all("tests/cases/pages").unwrap();
            std::fs::write(&path, &picture).unwrap();
        }
        let approved = std::fs::read_to_string(&path).unwrap();
        assert_eq!(approved.lines().count(), 44, "{path}");
        assert!(approved.bytes().filter(|b| (b'1'..=b'9').contains(b)).count() > 150, "{path} is blank");
        for (row, (was, is)) in approved.lines().zip(picture.lines()).enumerate() {
            let same = was.len() == is.len() && was.bytes().zip(is.bytes()).all(|(a, b)| a.abs_diff(b) <= 1);
            assert!(same, "{path}, row {}:\n{was}\n{is}", row + 1);
        }
    }
}
