//! Boxes of the papers: every one has its name, and stands where the form says.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use hayro::vello_cpu::kurbo::Rect as Drawn;
use tackwright::app::compose::compose;
use tackwright::app::paper_set::{self, boxes_of};
use tackwright::app::plan::{load, plan};
use tackwright::app::record::content::Content;
use tackwright::app::record::freeze;
use tackwright::form::{BoxKind, Form, FormBox, Part, Written};
use tackwright::picture::Pictures;
use tackwright::render::{self, Late, Marks};
use tackwright::term::Level;
use tackwright::traveler::Document;

use super::support::desk::{Desk, folder, shipped};
use super::support::pdf;

/// A millimetre in points.
const MM: f64 = 72.0 / 25.4;

/// What is frozen of a demonstration job on this paper.
fn frozen(text: &str, paper: &str) -> (tackwright::plan::Plan, Content) {
    let text = text.replacen("[job]\n", &format!("[job]\npaper = \"{paper}\"\n"), 1);
    let shelf = shipped();
    let desk = Desk::with("job.toml", &text);
    let loaded = load(&desk, "job.toml".as_ref(), &shelf).unwrap_or_else(|e| panic!("{e:#?}"));
    let plan = plan(&loaded, &shelf).unwrap();
    let (content, _) = freeze::content(&plan, &shelf, &compose(&plan)).unwrap();
    (plan.resolved, content)
}

/// What is frozen of every demonstration job on Letter paper; made once.
fn on_letter() -> &'static [(String, tackwright::plan::Plan, Content)] {
    static MADE: OnceLock<Vec<(String, tackwright::plan::Plan, Content)>> = OnceLock::new();
    let make = |(name, text): (String, String)| {
        let (plan, content) = frozen(&text, "letter");
        (name, plan, content)
    };
    MADE.get_or_init(|| jobs().into_iter().map(make).collect())
}

fn form(content: &Content) -> Form {
    serde_json::from_slice(&content.files["form.json"]).unwrap()
}

fn jobs() -> Vec<(String, String)> {
    folder("jobs", "toml")
        .into_iter()
        .filter(|(_, text)| text.contains("\n[job]"))
        .map(|(name, text)| {
            let plain: Vec<&str> = text.lines().filter(|l| !l.starts_with("paper")).collect();
            (name, plain.join("\n"))
        })
        .collect()
}

#[test]
fn everything_a_plan_asks_for_has_one_box_with_its_name() {
    let mut lines = 0;
    for (name, plan, content) in on_letter() {
        let form = form(content);
        let mut boxes: BTreeMap<String, Vec<&FormBox>> = BTreeMap::new();
        for one in form.boxes.iter().filter(|b| !b.name.on_paper()) {
            boxes.entry(one.name.to_string()).or_default().push(one);
        }
        for (of, list) in &boxes {
            let words: BTreeSet<_> = list.iter().map(|b| b.word.as_deref()).collect();
            assert_eq!(words.len(), list.len(), "{name}: {of} stands twice");
            // Beside boxes of words stands the line of the paper one of them rests on.
            let asked = plan.operations.iter().find(|o| o.key == list[0].name.operation);
            let paper = asked.into_iter().flat_map(|o| o.readings()).any(|r| {
                list[0].name.part == Part::Reading(r.id.clone()) && r.choices.iter().any(|c| c.paper)
            });
            assert_eq!(list.len() > 1 && words.contains(&None), paper, "{name}: {of}");
            lines += usize::from(paper);
            let fields: BTreeSet<_> = list.iter().map(|b| b.field()).collect();
            assert_eq!(fields.len(), list.len(), "{name}: {of}");
        }
        let mut expected: BTreeSet<String> = BTreeSet::new();
        let mut covered: BTreeSet<&str> = BTreeSet::new();
        for one in form.boxes.iter().filter(|b| matches!(b.name.part, Part::Initials(_))) {
            assert!(one.covers.contains(&one.name.operation), "{name}: {}", one.name);
            for key in &one.covers {
                assert!(covered.insert(key), "{name}: {key} is initialled twice");
            }
            expected.insert(one.name.to_string());
        }
        // Steps that are printed as one have one box that answers for all of them.
        for one in form.boxes.iter().filter(|b| matches!(b.name.part, Part::Step(_))) {
            let others = one.answers_for().into_iter().skip(1).map(|n| n.to_string());
            others
                .for_each(|other| assert!(boxes.insert(other, vec![one]).is_none(), "{name}: {}", one.name));
        }
        for operation in &plan.operations {
            let key = &operation.key;
            assert!(
                covered.contains(key.as_str()) || operation.by_signature,
                "{name}: {key} has no initials"
            );
            for step in &operation.steps {
                let second = step.by.is_some() && !step.by_signature;
                if step.level == Level::Safety && (step.readings.is_empty() || second) {
                    expected.insert(format!("{key}:#{}", step.number));
                }
                for reading in &step.readings {
                    let of = format!("{key}:{}", reading.id);
                    if boxes.get(&of).is_some_and(|list| list[0].word.is_some()) {
                        let words: BTreeSet<_> = boxes[&of].iter().filter_map(|b| b.word.clone()).collect();
                        let asked: BTreeSet<_> = reading.choices.iter().map(|c| c.word.clone()).collect();
                        assert_eq!(words, asked, "{name}: {of}");
                    }
                    expected.insert(of);
                }
            }
            for point in operation.points() {
                for signer in 1..=point.roles.len() {
                    for field in ["mark", "when"] {
                        expected.insert(format!("{key}:!{}/{signer}/{field}", point.slot));
                    }
                }
            }
        }
        // A name is asked for only where nobody is printed.
        let printed = |of: &String| matches!(&boxes[of][0].name.part, Part::Point(_, _, field) if *field == Written::Name);
        let found: BTreeSet<String> = boxes.keys().filter(|of| !printed(of)).cloned().collect();
        let lost: Vec<_> = expected.symmetric_difference(&found).collect();
        assert!(lost.is_empty(), "{name}: {lost:?}");
        for one in &form.boxes {
            let signs = matches!(one.name.part, Part::Point(..));
            assert_eq!(signs, one.kind == BoxKind::Signature, "{name}: {}", one.name);
            assert_eq!(one.operation_digest.len(), 64, "{name}: {}", one.name);
            assert!(!one.asks.is_empty(), "{name}: {}", one.name);
        }
    }
    assert!(lines > 10, "{lines}");
}

#[test]
fn every_box_is_drawn_where_the_form_says_on_letter() {
    for (name, _, content) in on_letter() {
        drawn_where_the_form_says(name, "letter", (215.9, 279.4), content);
    }
}

#[test]
fn every_box_is_drawn_where_the_form_says_on_a4() {
    for (name, text) in jobs() {
        drawn_where_the_form_says(&name, "a4", (210.0, 297.0), &frozen(&text, "a4").1);
    }
}

/// Whether a box of the paper itself has only a line under it.
fn lined(one: &FormBox) -> bool {
    let place = one.name.operation.trim_start_matches('/').split('/').next().unwrap_or_default();
    let boxed = |id: &str| id.starts_with("disposition") || id.starts_with("decided.");
    match (place, &one.name.part) {
        ("head" | "card" | "worksheet", _) => true,
        ("found", Part::Reading(id)) => !boxed(id),
        (_, Part::Reading(id)) => id == "torque" || id.ends_with("planned"),
        _ => false,
    }
}

/// Work papers are written on too: their boxes are named, drawn where the list says,
/// and only the paper keeps what is written there.
#[test]
fn the_boxes_of_work_papers_have_names_and_stand_where_they_say() {
    let mut places = BTreeSet::new();
    for (name, _, content) in on_letter() {
        let form = form(content);
        let pages = pdf::pages(&content.files["work-papers.pdf"]);
        let mut names = BTreeSet::new();
        for one in &form.papers {
            let kind = if one.name.of_bars() { BoxKind::Value } else { BoxKind::Note };
            assert!(one.name.on_paper() && one.kind == kind && !one.asks.is_empty(), "{name}: {one:?}");
            assert!(names.insert(one.name.to_string()), "{name}: {} stands twice", one.name);
            places.insert(one.name.operation.split('/').nth(1).unwrap().to_owned());
            let (at, page) = (one.rect, &pages[one.page as usize - 1]);
            let close = |a: f64, b: f64| (a - b * MM).abs() < 0.6;
            let there = page.paths.iter().any(|d| {
                let wide = close(d.x0, at.x) && close(d.width(), at.width);
                let framed = close(d.y0, at.y) && close(d.height(), at.height);
                wide && if lined(one) { close(d.y1, at.y + at.height) } else { framed }
            });
            assert!(there, "{name}, page {}: {} {at:?} is drawn nowhere", one.page, one.name);
        }
        for part in ["operation", "by", "when", "what.1", "what.2", "action", "disposition.1", "decided.4"] {
            assert!(names.contains(&format!("/found/new-1:{part}")), "{name}: {part} of {names:?}");
        }
    }
    for place in ["found", "pick"] {
        assert!(places.contains(place), "{place} of {places:?}");
    }
}

/// What stands once in the job is told whole: what each value is, the value, what rests
/// on it.
#[test]
fn values_that_stand_once_are_told_in_words_and_whole() {
    let mut told = 0;
    for (name, _, content) in on_letter() {
        let text: String =
            pdf::pages(&content.files["work-papers.pdf"]).iter().map(pdf::Page::text).collect();
        assert!(!text.contains("notprinted]"), "{name}: a text is cut");
        let Some((_, sheet)) = text.split_once("Statedonce") else { continue };
        told += 1;
        // Every one of these jobs states one of these, by the help of its key.
        let words = ["Torquethemanufacturerstates", "Gradeofboltorstud", "Interpasstemperaturenever"];
        assert!(words.iter().any(|w| sheet.contains(w)), "{name}: keys without words");
    }
    assert!(told >= 5, "{told} jobs");
}

/// Work papers show what the traveler asks: nothing that is measured has a box on them
/// but the bars of sheets, which are part of no operation.
#[test]
fn work_papers_ask_for_no_value_of_the_traveler() {
    let mut bars = 0;
    for (name, _, content) in on_letter() {
        for one in form(content).papers {
            let place = one.name.operation.split('/').nth(1).unwrap_or_default().to_owned();
            let lot = one.name.to_string().ends_with(":lot");
            assert!(place != "geometry" && place != "torque" && !lot, "{name}: {}", one.name);
            bars += usize::from(one.name.of_bars());
        }
    }
    assert!(bars > 4, "{bars}");
}

/// A signature stands on the page of what it is for: no page begins with a point or with
/// initials of the station before. Of points in a row the first stands there, and the
/// others may follow it on the next page.
#[test]
fn a_page_begins_with_work_and_never_with_a_signature_for_the_page_before() {
    for (name, _, content) in on_letter() {
        let (mut seen, mut ended) = (0, false);
        for (number, page) in (1..).zip(pdf::pages(&content.files["traveler.pdf"])) {
            // Under the rule of the head.
            let mut runs: Vec<_> = page.runs.iter().filter(|r| r.baseline > 66.0).collect();
            runs.sort_by(|a, b| a.baseline.total_cmp(&b.baseline));
            let top = runs.first().unwrap().baseline;
            let words: String =
                runs.iter().filter(|r| r.baseline < top + 6.0).map(|r| r.text.as_str()).collect();
            seen += usize::from(page.text().contains("HOLDPOINT"));
            for torn in ["STOP", "CALL", "READ ", "initials, date"] {
                let goes_on = ended && torn != "initials, date";
                assert!(!words.contains(torn) || goes_on, "{name}, page {number} begins with {words}");
            }
            // The head of a point, with no more than its own boxes below.
            ended = page.runs.iter().any(|r| r.text.contains("signed by") && r.baseline > 620.0);
        }
        assert!(seen > 1, "{name}: {seen}");
    }
}

/// A template can't draw an empty box without saying which it is.
#[test]
fn a_box_without_a_name_makes_no_paper() {
    let (_, _, content) = on_letter().iter().find(|(name, ..)| name == "hoist-frame").unwrap();
    let mut model: serde_json::Value = serde_json::from_slice(&content.files["document.json"]).unwrap();
    let marks = Marks::new("TW-1", "A", "0123456789abcdef0123456789abcdef");
    let set = |model: &serde_json::Value| {
        let document: Document = serde_json::from_value(model.clone()).unwrap();
        paper_set::set(&document, || Ok(Vec::new()), Some((&marks, &content.plan)))
    };
    assert!(set(&model).is_ok());
    assert!(unnamed(&mut model["stations"][0]) > 3);
    let why = set(&model).map(|_| ()).unwrap_err().words();
    assert!(why.contains("has no name") && why.contains("mm from the left"), "{why}");
    // Every frame a pen fills names itself, is filled, or is a digital signature's.
    for (file, text) in folder("templates/lib", "typ") {
        let lines: Vec<&str> = text.lines().collect();
        let framed =
            |line: &&str| line.contains("stroke: pen") || line.contains("0.9pt") && line.contains("stroke:");
        for (n, _) in lines.iter().enumerate().filter(|(_, line)| framed(line)) {
            let near = lines[n..lines.len().min(n + 10)].join(" ");
            let told = ["box-named(", "written(", "link(\"field:"].iter().any(|word| near.contains(word));
            assert!(told, "templates/lib/{file}.typ, line {}: a box nobody names", n + 1);
        }
    }
}

/// A row of another operation says which: its number stands left of the box, under what
/// stands above it and beside what stands left of it. Safety steps have their black field,
/// what is read at a joint its card.
#[test]
fn a_box_under_or_beside_one_of_another_operation_has_its_number() {
    let mut seen = 0;
    for (name, plan, content) in on_letter() {
        let pages = pdf::pages(&content.files["traveler.pdf"]);
        let form = form(content);
        let of = |b: &FormBox| plan.operations.iter().find(|o| o.key == b.name.operation);
        let table = |b: &&FormBox| {
            let Part::Reading(id) = &b.name.part else { return false };
            let reading = of(b).and_then(|o| o.readings().find(|r| r.id == *id));
            b.kind == BoxKind::Value
                && !id.contains(".J")
                && reading.is_some_and(|r| r.level != Level::Safety)
        };
        let boxes: Vec<&FormBox> = form.boxes.iter().filter(table).collect();
        for one in &boxes {
            let at = one.rect;
            let near = boxes.iter().filter(|b| b.page == one.page && b.name.operation != one.name.operation);
            for other in near {
                let o = other.rect;
                let above = (o.x - at.x).abs() < 2.0 && (0.0..8.0).contains(&(at.y - o.y - o.height));
                let beside = o.x + o.width < at.x && (o.y - at.y).abs() < 2.0;
                if !above && !beside {
                    continue;
                }
                seen += 1;
                let number = of(one).unwrap().number.to_string();
                let left = if beside { (o.x + o.width) * MM } else { 0.0 };
                let top = if above { o.y + o.height } else { at.y - 3.0 } * MM;
                let told = pages[one.page as usize - 1].runs.iter().any(|r| {
                    r.text.split([' ', '.']).next() == Some(&number)
                        && (left..at.x * MM).contains(&r.left)
                        && (top..(at.y + at.height) * MM).contains(&r.baseline)
                });
                // Or the head of its operation stands over it in a column of its own.
                let headed = pages[one.page as usize - 1].runs.iter().any(|r| {
                    let own = r.text.split([' ', '.']).next() == Some(&number);
                    let over = (left..(at.x + at.width) * MM).contains(&r.left) && r.baseline < at.y * MM;
                    let between = || {
                        form.boxes.iter().filter(|b| b.page == one.page).any(|b| {
                            b.name.operation != one.name.operation
                                && (b.rect.x + b.rect.width) * MM > r.left
                                && b.rect.x < at.x + at.width
                                && (r.baseline..at.y * MM).contains(&(b.rect.y * MM))
                        })
                    };
                    own && over && !between()
                });
                assert!(
                    told || headed,
                    "{name}, page {}: {} is not told from {}",
                    one.page,
                    one.name,
                    other.name
                );
            }
        }
    }
    assert!(seen > 4, "{seen}");
}

/// A paper of so many pages and boxes is filled at the work; a longer one at the end of
/// the day, from memory.
#[test]
fn no_paper_grows_beyond_what_a_shop_fills() {
    for (job, pages, boxes) in [
        ("brush-truck", 22, 280),
        ("crew-cab", 17, 196),
        // Made for A4, where it has 8.
        ("forest-carrier", 9, 105),
        ("hoist-frame", 9, 84),
        ("pump-trailer", 12, 138),
    ] {
        let (_, _, content) = on_letter().iter().find(|(name, ..)| name == job).unwrap();
        let stood = form(content).pages.len();
        assert!(stood <= pages, "{job}: {stood} pages");
        let document: Document = serde_json::from_slice(&content.files["document.json"]).unwrap();
        let count = document.entries();
        let all = count.all();
        assert!(all <= boxes, "{job}: {count:?}");
    }
}

/// Where the words of a page begin and end, under its head and over its foot, in points.
fn filled(page: &pdf::Page) -> (f64, f64, f64) {
    // Under the rule of the head.
    let top = 66.0;
    // A letter of a digest may carry the break behind it wherever it stands on the page.
    let words = ["Tickinsidethebox", "Anybodycancheckthisfile"];
    let foot = page.runs.iter().filter(|r| words.iter().any(|w| pdf::squeeze(&r.text).contains(w)));
    let foot = foot.map(|r| r.baseline - 12.0).fold(f64::INFINITY, f64::min);
    let last = page.runs.iter().filter(|r| r.baseline < foot).map(|r| r.baseline).fold(top, f64::max);
    (top, last, foot)
}

/// No page is less than half full unless a station ends there (rule of the shop's own):
/// white paper in the middle of a station is a page turned for nothing.
#[test]
fn a_page_is_half_full_or_ends_a_station() {
    let sample = std::fs::read("jobs/TW-2041-completed.pdf").unwrap();
    let mut papers: Vec<(&str, &[u8])> = vec![("the sample", &sample)];
    papers.extend(on_letter().iter().map(|(name, _, c)| (name.as_str(), c.files["traveler.pdf"].as_slice())));
    for (name, bytes) in papers {
        let pages = pdf::pages(bytes);
        let goes_on =
            |page: &pdf::Page| page.runs.iter().any(|r| pdf::squeeze(&r.text).contains("continued"));
        let mut seen = 0;
        for (number, two) in (1..).zip(pages.windows(2)) {
            let (top, last, foot) = filled(&two[0]);
            if !foot.is_finite() || !goes_on(&two[1]) {
                continue;
            }
            seen += 1;
            assert!(
                last > f64::midpoint(top, foot),
                "{name}, page {number}: {:.0} %",
                100.0 * (last - top) / (foot - top)
            );
        }
        assert!(seen > 2, "{name}: {seen} pages go on");
    }
}

/// The list of boxes goes with the paper: attached, described, as it is frozen.
#[test]
fn the_list_of_boxes_is_attached_to_the_paper() {
    for (name, _, content) in on_letter() {
        let claims = pdf::claims(&content.files["traveler.pdf"]);
        let (_, relationship, mime, bytes) = claims
            .attachments
            .iter()
            .find(|(file, ..)| file == "form.json")
            .unwrap_or_else(|| panic!("{name}"));
        assert!(*bytes == content.files["form.json"], "{name}: another list is attached");
        assert_eq!((relationship.as_str(), mime.as_str()), ("Data", "application/json"), "{name}");
    }
}

fn drawn_where_the_form_says(name: &str, paper: &str, (width, height): (f64, f64), content: &Content) {
    let form = form(content);
    let pages = pdf::pages(&content.files["traveler.pdf"]);
    assert_eq!(pages.len(), form.pages.len(), "{name}, {paper}");
    assert!(form.boxes.len() > 40, "{name}, {paper}: {} boxes", form.boxes.len());
    for (number, (page, drawn)) in (1..).zip(form.pages.iter().zip(&pages)) {
        assert!((page.width - width).abs() < 0.1 && (page.height - height).abs() < 0.1, "{page:?}");
        let close = |a: f64, b: f64| (a - b * MM).abs() < 0.05;
        let there = |r: &Drawn, x: f64, y: f64, w: f64, h: f64| {
            close(r.x0, x) && close(r.y0, y) && close(r.width(), w) && close(r.height(), h)
        };
        for (x, y) in page.discs() {
            let r = 1.6;
            let disc = drawn.paths.iter().any(|d| there(d, x - r, y - r, 2.0 * r, 2.0 * r));
            assert!(disc, "{name}, {paper}, page {number}: no disc at {x} {y}");
        }
        let on: Vec<&FormBox> = form.on(number).collect();
        let near_it =
            |d: &&Drawn, x: f64, y: f64| (d.x0 - x * MM).abs() < 9.0 && (d.y1 - y * MM).abs() < 30.0;
        for one in &on {
            let at = one.rect;
            let place = format!("{name}, {paper}, page {number}: {} {at:?}", one.name);
            assert!(
                at.x > 10.0 && at.x + at.width < page.width - 10.0 && at.y > 22.8,
                "{place} is off the page"
            );
            let words = on.iter().any(|b| b.name == one.name && b.word.is_some());
            let paper = one.word.is_none() && words;
            if paper {
                assert!(at.width >= 40.0 && at.height >= 6.0, "{place} is no line for a glove");
                assert!(one.asks.contains("number and date of the paper"), "{place}: {}", one.asks);
            }
            let line = matches!(&one.name.part, Part::Point(_, _, Written::Name)) || lined(one) || paper;
            let framed = drawn.paths.iter().any(|d| there(d, at.x, at.y, at.width, at.height));
            let under = drawn.paths.iter().any(|d| {
                // A line of its own width and ends.
                let near = |a: f64, b: f64| (a - b * MM).abs() < 0.6;
                near(d.x0, at.x) && near(d.width(), at.width) && near(d.y1, at.y + at.height)
            });
            assert!(
                if line { under } else { framed },
                "{place} is drawn nowhere: {:?}",
                drawn.paths.iter().filter(|d| near_it(d, at.x, at.y)).collect::<Vec<_>>()
            );
            for other in on.iter().filter(|o| o.field() != one.field()) {
                let b = other.rect;
                let apart = at.x + at.width <= b.x + 0.01
                    || b.x + b.width <= at.x + 0.01
                    || at.y + at.height <= b.y + 0.01
                    || b.y + b.height <= at.y + 0.01;
                assert!(apart, "{place} lies over {}", other.name);
            }
            let code = page.code.unwrap();
            assert!(at.y > code.y + code.height + 2.4, "{place} lies in the quiet zone of the code");
        }
    }
}

#[test]
fn names_leave_no_trace_on_the_pages() {
    let (_, text) = jobs().into_iter().find(|(name, _)| name == "hoist-frame").unwrap();
    let (_, content) = frozen(&text, "letter");
    let mut model: serde_json::Value = serde_json::from_slice(&content.files["document.json"]).unwrap();
    let marks = Marks::new("TW-1", "A", "0123456789abcdef0123456789abcdef");
    let typeset = |model: &serde_json::Value| {
        let document: Document = serde_json::from_value(model.clone()).unwrap();
        let list = |_: &[_], _: &[_]| Ok((Late::default(), vec![boxes_of(b"{}\n".to_vec())]));
        render::paper(&document, Late::default(), &marks, list).unwrap()
    };
    let named = typeset(&model);
    let gone = unnamed(&mut model);
    let plain = typeset(&model);
    let nameless = |made: &render::Rendered| made.boxes.iter().filter(|b| b.nameless()).count();
    // Only the places of the paper itself keep their names.
    let kept = plain.boxes.iter().filter(|b| b.name.starts_with('/')).count();
    assert!(gone > 40 && named.boxes.len() > 40 && nameless(&named) == 0, "{gone} names");
    assert!(kept > 2 && nameless(&plain) + kept == plain.boxes.len(), "{kept} of {}", plain.boxes.len());
    let (one, other) = (Pictures::open(&named.bytes).unwrap(), Pictures::open(&plain.bytes).unwrap());
    assert_eq!(one.count(), other.count());
    for page in 0..one.count() {
        assert!(one.get(page).unwrap() == other.get(page).unwrap(), "page {} is drawn otherwise", page + 1);
    }
}

/// Takes the names off the boxes of a document; gives how many there were.
fn unnamed(value: &mut serde_json::Value) -> usize {
    match value {
        serde_json::Value::Object(map) => {
            let own = usize::from(map.remove("box").is_some());
            own + map.values_mut().map(unnamed).sum::<usize>()
        }
        serde_json::Value::Array(list) => list.iter_mut().map(unnamed).sum(),
        _ => 0,
    }
}
