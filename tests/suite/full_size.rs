//! Sheets at full size on every paper: words that stay apart, wrong inputs, files
//! that are kept, bars that are entered, sheets a job orders.

use std::path::Path;

use tackwright::app::System;
use tackwright::app::record::recompute::{Base, Reckoner};
use tackwright::app::record::{desk, stored};
use tackwright::app::template::{Order, bench, kind, write};
use tackwright::record::frozen::PointKind;
use tackwright::record::moved::AsPrinted;
use tackwright::record::outdated::{SCRIBED, outdated};
use tackwright::record::people::Register;
use tackwright::record::replay::replay;
use tackwright::record::rules::Scene;
use tackwright::record::state::{self, State};
use tackwright::shape::Form;
use tackwright::shape::apart::farthest;
use tackwright::term::Paper;

use crate::patterns::{MM, drawn, near, paper};
use crate::support::bench::Bench;
use crate::support::pdf;

/// Inputs of every kind over its range: small and large, leaning both ways.
fn every_kind() -> Vec<(&'static str, Vec<String>)> {
    let mut all: Vec<(&'static str, Vec<String>)> = Vec::new();
    let mut add = |kind: &'static str, inputs: &[String]| all.push((kind, inputs.to_vec()));
    for od in [12.0, 25.0, 45.0, 82.55, 140.0, 220.0] {
        for (rotation, cut) in [(0.0, 8.0), (0.4, 20.0), (-6.0, 35.0), (11.3, 62.0), (44.0, 9.5)] {
            for (side, seam) in [("left", "0 deg"), ("right", "175 deg"), ("left", "-60 deg")] {
                let strip = [
                    format!("od={od} mm"),
                    format!("rotation={rotation} deg"),
                    format!("cut_line={cut} mm"),
                    format!("side={side}"),
                    format!("seam={seam}"),
                    format!("readings={}", if od < 30.0 { 4 } else { 16 }),
                ];
                add("wrap-strip", &strip);
            }
        }
        for angle in [20.0, 60.0, 90.0, 140.0] {
            let run = od * 1.4;
            add("cope", &[format!("od={od} mm"), format!("on={run} mm"), format!("angle={angle} deg")]);
            add("mitre", &[format!("od={od} mm"), format!("between={angle} deg")]);
        }
        for parts in [2, 7, 36] {
            add("equal-division", &[format!("od={od} mm"), format!("parts={parts}")]);
        }
        let plate = [
            format!("length={od} mm"),
            format!("width={od} mm"),
            format!("along={} mm", od * 0.6),
            format!("across={} mm", od * 0.6),
            format!("hole={} mm", od * 0.1),
            format!("centre_hole={} mm", od * 0.12),
        ];
        add("drill-pattern", &plate);
        add("gusset", &[format!("leg_a={od} mm"), format!("leg_b={} mm", od * 0.7)]);
        add("taper-shim", &["angle=4 deg".to_owned(), format!("length={od} mm")]);
        for bend in [15.0, 90.0, 150.0] {
            let bracket = [
                format!("leg_a={} mm", od + 60.0),
                format!("leg_b={} mm", od + 60.0),
                "thickness=5 mm".to_owned(),
                "radius=6 mm".to_owned(),
                format!("width={od} mm"),
                format!("bend={bend} deg"),
            ];
            add("bent-bracket", &bracket);
        }
    }
    for angle in [1.0, 8.0, 30.0, 89.0, 90.0, 135.0, 179.0] {
        add("angle-gauge", &[format!("angle={angle} deg"), "leg=120 mm".to_owned()]);
    }
    all
}

/// Words of a sheet never stand on each other, and every page says what it shows.
#[test]
fn words_stay_apart_on_every_kind_of_sheet() {
    let mut drawn_kinds = std::collections::BTreeSet::new();
    let mut refused = 0;
    for (name, inputs) in every_kind() {
        let Ok((_, Some(one))) = bench(kind(name).expect(name), &inputs) else {
            refused += 1;
            continue;
        };
        drawn_kinds.insert(name);
        let words: Vec<_> = one
            .sheet
            .shapes
            .iter()
            .filter_map(|s| match &s.form {
                Form::Text { text, .. } => Some((text.clone(), s.extent())),
                _ => None,
            })
            .collect();
        assert!(!words.is_empty(), "{name} {inputs:?}");
        for (i, (a, here)) in words.iter().enumerate() {
            for (b, there) in &words[i + 1..] {
                let across = here.low.x < there.high.x && there.low.x < here.high.x;
                let along = here.low.y < there.high.y && there.low.y < here.high.y;
                assert!(!(across && along), "\"{a}\" on \"{b}\": {name} {inputs:?}");
            }
        }
        for size in [Paper::Letter, Paper::A4] {
            let Some(laid) =
                tackwright::shape::pages::lay_out(std::slice::from_ref(&one.sheet), size, (1.0, 1.0))
            else {
                continue;
            };
            for page in &laid.pages {
                assert!(page.alt.contains("at full size"), "{}", page.alt);
                for label in &page.labels {
                    assert!(label.at[0] >= 0.0 && label.at[0] <= laid.width, "{} {name}", label.text);
                    assert!(label.at[1] >= 0.0 && label.at[1] <= laid.height, "{} {name}", label.text);
                }
            }
        }
    }
    assert_eq!(drawn_kinds.len(), 9, "{drawn_kinds:?}");
    assert!(refused < 12, "{refused} of the inputs were refused");
}

/// Free edge common printers need, in millimetres: 4.2 mm all round (ISO says nothing;
/// common practice), and a little for how the paper is fed.
const PRINTABLE: f64 = 6.0;

/// On either paper nothing a sheet draws or says lies where a printer can't print, and
/// on every page of it words stay apart, from each other and from the letters of the
/// joints; over the range of every kind.
#[test]
fn every_mark_lies_within_what_a_printer_prints_on_both_papers() {
    let mut joined = 0;
    for (name, inputs) in every_kind() {
        let Ok((_, Some(one))) = bench(kind(name).expect(name), &inputs) else { continue };
        for (size, factors) in
            [(Paper::Letter, (1.0, 1.0)), (Paper::A4, (1.0, 1.0)), (Paper::A4, (1.02, 0.985))]
        {
            let sheet = std::slice::from_ref(&one.sheet);
            let Some(laid) = tackwright::shape::pages::lay_out(sheet, size, factors) else { continue };
            joined += usize::from(laid.pages.len() > 1);
            let wanted: std::collections::BTreeSet<&str> = one
                .sheet
                .shapes
                .iter()
                .filter_map(|s| match &s.form {
                    Form::Text { text, .. } => Some(text.as_str()),
                    _ => None,
                })
                .collect();
            let said: std::collections::BTreeSet<&str> =
                laid.pages.iter().flat_map(|p| &p.labels).map(|l| l.text.as_str()).collect();
            assert!(wanted.is_subset(&said), "{name} {inputs:?}: words lost");
            for page in &laid.pages {
                let inside = |x: f64, y: f64| {
                    x >= PRINTABLE
                        && y >= PRINTABLE
                        && x <= laid.width - PRINTABLE
                        && y <= laid.height - PRINTABLE
                };
                for p in page.strokes.iter().flat_map(|s| &s.points) {
                    assert!(inside(p[0], p[1]), "{name} {inputs:?} {size:?}: a line at {p:?}");
                }
                let mut boxes: Vec<(&str, [f64; 4])> = Vec::new();
                for label in &page.labels {
                    let wide = 0.6 * label.size * label.text.chars().count() as f64;
                    let left = match label.anchor {
                        "start" => 0.0,
                        "middle" => -wide / 2.0,
                        _ => -wide,
                    };
                    let (sin, cos) = label.turn.to_radians().sin_cos();
                    let corners = [(left, 0.0), (left + wide, 0.0), (left, -0.75), (left + wide, -0.75)]
                        .map(|(x, y)| (x, y * label.size))
                        .map(|(x, y)| [label.at[0] + x * cos - y * sin, label.at[1] + x * sin + y * cos]);
                    let mut around = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
                    for [x, y] in corners {
                        assert!(inside(x, y), "{name} {inputs:?} {size:?}: \"{}\" at {x}, {y}", label.text);
                        around = [around[0].min(x), around[1].min(y), around[2].max(x), around[3].max(y)];
                    }
                    for (text, other) in &boxes {
                        let on = around[0] < other[2]
                            && other[0] < around[2]
                            && around[1] < other[3]
                            && other[1] < around[3];
                        assert!(!on, "\"{}\" on \"{text}\": {name} {inputs:?} {size:?}", label.text);
                    }
                    boxes.push((&label.text, around));
                }
            }
        }
    }
    assert!(joined > 100, "{joined} sheets of several pages");
}

/// Notes and sources end above the edge of the paper, on both papers, upright or lying.
#[test]
fn the_foot_of_a_sheet_ends_on_the_page() {
    let long = [
        ("wrap-strip", vec!["od=45 mm", "rotation=9 deg", "side=right", "seam=60 deg"]),
        ("wrap-strip", vec!["od=3.25 in", "rotation=-7.5 deg", "side=left", "seam=60 deg"]),
        ("cope", vec!["od=45 mm", "wall=3 mm", "on=60 mm", "angle=50 deg", "offset=4 mm"]),
        ("mitre", vec!["od=60 mm", "wall=3 mm", "between=90 deg"]),
        ("equal-division", vec!["od=200 mm", "parts=12"]),
        ("taper-shim", vec!["angle=4 deg", "length=150 mm"]),
        ("gusset", vec!["leg_a=180 mm", "leg_b=120 mm"]),
        ("drill-pattern", vec!["length=150 mm", "width=90 mm", "along=120 mm", "across=60 mm", "hole=14 mm"]),
    ];
    for (name, inputs) in long {
        let mut one = drawn(name, &inputs);
        // What a job and a corrected copy add.
        one.sheet.notes.insert(0, "Enter what the 100 mm bars measure: tackwright bars TW-2041 1a2b3c4d5 --across … --along … --by ID.".to_owned());
        for size in [Paper::Letter, Paper::A4] {
            for measured in [None, Some((99.0, 99.0))] {
                for page in pdf::pages(&paper(&one, size, measured)) {
                    let low = page.runs.iter().map(|r| r.baseline).fold(0.0, f64::max);
                    assert!(
                        low < page.height - PRINTABLE * MM,
                        "{name} {size:?}: words at {low} of {}",
                        page.height
                    );
                    let right = page.runs.iter().map(|r| r.right).fold(0.0, f64::max);
                    assert!(right < page.width - PRINTABLE * MM, "{name} {size:?}: words to {right}");
                }
            }
        }
    }
}

/// Words along a standing bar stand beside it, not where the page's width puts them.
#[test]
fn turned_words_stand_at_their_place() {
    for size in [Paper::Letter, Paper::A4] {
        let page =
            &pdf::pages(&paper(&drawn("angle-gauge", &["angle=22.5 deg", "leg=120 mm"]), size, None))[0];
        let bars: Vec<_> =
            page.paths.iter().filter(|r| near(r.height() / MM, 100.0) && r.width() < 0.1).collect();
        assert_eq!(bars.len(), 1);
        // Turned words come letter by letter.
        let beside: String = page
            .runs
            .iter()
            .filter(|r| r.left > bars[0].x0 - 5.0 * MM && r.left < bars[0].x0 + 1.0)
            .filter(|r| r.baseline > bars[0].y0 && r.baseline < bars[0].y1)
            .map(|r| pdf::squeeze(&r.text))
            .collect();
        assert!(beside.contains("100mm"), "\"{beside}\" beside the standing bar");
    }
}

/// Of SVG and DXF files only those are written over that the program wrote, of the
/// same sheet, and that nobody changed since.
#[test]
fn a_vector_copy_somebody_changed_is_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let order = |out: &Path| Order {
        out: out.to_owned(),
        paper: Some(Paper::A4),
        svg: true,
        dxf: true,
        measured: None,
    };
    let gauge = drawn("angle-gauge", &["angle=30 deg"]);
    write(&System, &gauge, &order(folder.path())).expect("written");
    write(&System, &gauge, &order(folder.path())).expect("its own copies are written over");
    for ending in ["svg", "dxf"] {
        let path = folder.path().join(format!("angle-gauge.{ending}"));
        let ours = std::fs::read_to_string(&path).expect("a file");
        let other = drawn("angle-gauge", &["angle=31 deg"]);
        let foreign = [
            ours.replacen("0", "1", 1),
            format!("{ours}\n"),
            ours.replace("Angle gauge", "Nested parts"),
            "<svg xmlns=\"http://www.w3.org/2000/svg\"><title>Angle gauge</title></svg>".to_owned(),
            "999\nmine\n  9\n$ACADVER\n  1\nAC1009\n".to_owned(),
            String::new(),
        ];
        for text in foreign {
            std::fs::write(&path, &text).expect("written");
            let kept = write(&System, &other, &order(folder.path()));
            assert!(kept.is_err(), "{ending}: {}", text.chars().take(80).collect::<String>());
            assert_eq!(std::fs::read_to_string(&path).expect("a file"), text, "kept as it was");
        }
        std::fs::remove_file(&path).expect("gone");
        std::fs::create_dir(&path).expect("a folder");
        assert!(write(&System, &gauge, &order(folder.path())).is_err(), "a folder is in the way");
        std::fs::remove_dir(&path).expect("gone");
        std::fs::write(&path, &ours).expect("written");
    }
}

/// Every wrong input is refused with a sentence that names it, and nothing is written.
#[test]
fn wrong_inputs_are_refused_and_write_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |more: &[&str]| {
        let mut command = assert_cmd::Command::cargo_bin("tackwright").expect("the program");
        command.arg("template").args(more).arg("--out").arg(folder.path().join("out"));
        command.output().expect("an end")
    };
    let wrong: [&[&str]; 22] = [
        &["cope", "od=1e9 km", "on=1e9 km"],
        &["cope", "od=2 in", "on=3 in", "angle=0 deg"],
        &["cope", "od=2 in", "on=3 in", "angle=180 deg"],
        &["cope", "od=-2 in", "on=3 in"],
        &["cope", "od=2 in", "on=3 in", "wall=1.1 in"],
        &["cope", "od=2 in", "on=3 in", "offset=9 in"],
        &["cope", "od=nan in", "on=3 in"],
        &["cope", "od=inf in", "on=3 in"],
        &["cope", "od=2", "on=3 in"],
        &["cope", "od=2 kg", "on=3 in"],
        &["cope", "od=2 in", "od=3 in", "on=4 in"],
        &["cope", "colour=red"],
        &["mitre", "od=2 in", "between=0 deg"],
        &["mitre", "od=0 in", "between=90 deg"],
        &["equal-division", "od=2 in", "parts=0"],
        &["equal-division", "od=2 in", "parts=2.5"],
        &["wrap-strip", "od=3 in", "cut_line=-5 mm"],
        &["wrap-strip", "od=3 in", "cut_line=80 mm"],
        &["gusset", "leg_a=60 mm", "leg_b=60 mm", "angle=180 deg"],
        &["bent-bracket", "leg_a=10 mm", "leg_b=40 mm", "thickness=6 mm", "radius=9 mm", "width=50 mm"],
        &["angle-gauge", "angle=0 deg"],
        &["fishmouth-of-nothing", "od=2 in"],
    ];
    for inputs in wrong {
        let out = run(inputs);
        let said = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(matches!(out.status.code(), Some(1 | 2)), "{inputs:?}: {said}");
        assert!(said.starts_with("error[") && !said.contains("panicked"), "{inputs:?}: {said}");
        assert!(!folder.path().join("out").exists(), "{inputs:?} wrote something");
    }
    // A right angle is no wrong one.
    assert_eq!(run(&["cope", "od=2 in", "on=3 in", "angle=90 deg"]).status.code(), Some(0));
    // The folder to write to is a file.
    std::fs::write(folder.path().join("taken"), "mine").expect("written");
    let mut command = assert_cmd::Command::cargo_bin("tackwright").expect("the program");
    let out = command
        .args(["template", "cope", "od=2 in", "on=3 in", "--out"])
        .arg(folder.path().join("taken"))
        .output()
        .expect("an end");
    assert!(!out.status.success());
    assert_eq!(std::fs::read_to_string(folder.path().join("taken")).expect("a file"), "mine");
}

/// A job is issued, its sheets are drawn, the bars are entered: record and status
/// say which print may be used, and work that marks by a sheet is told.
#[test]
fn the_bars_of_a_printed_sheet_are_entered_and_judged() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs/brush-truck.toml");
    let run = |args: &[&str]| {
        let mut command = assert_cmd::Command::cargo_bin("tackwright").expect("the program");
        let out = command.current_dir(folder.path()).args(args).output().expect("an end");
        let text = [out.stdout, out.stderr].map(|b| String::from_utf8_lossy(&b).into_owned()).concat();
        (out.status.code(), text)
    };
    std::fs::copy(&job, folder.path().join("job.toml")).expect("copied");
    let shop = job.with_file_name("shop.toml");
    if shop.exists() {
        std::fs::copy(&shop, folder.path().join("shop.toml")).expect("copied");
    }
    let (code, said) = run(&["issue", "job.toml"]);
    assert_eq!(code, Some(0), "{said}");
    let pages = pdf::pages(&std::fs::read(folder.path().join("TW-2041-A.pdf")).expect("the traveler"));
    let all: String = pages.iter().map(pdf::Page::text).collect();
    let (code, said) = run(&["template", "job.toml", "--out", "sheets"]);
    assert_eq!(code, Some(0), "{said}");
    let sheet = |side: &str| {
        let name = format!("sheets/tw-2041-a-front-{side}-wrap-strip.pdf");
        let bytes = std::fs::read(folder.path().join(name)).expect("a sheet");
        let text = pdf::pages(&bytes)[0].text();
        let at = text.find("Sheet").expect("its digits") + "Sheet".len();
        text[at..at + 9].to_owned()
    };
    let (left, right) = (sheet("left"), sheet("right"));
    assert_ne!(left, right);
    for (side, digits) in [("left", &left), ("right", &right)] {
        assert!(all.contains(&format!("sheetfront-{side}-wrap-strip{digits}")), "the marking names it");
    }
    let status = || run(&["status", "TW-2041"]).1;
    assert!(
        status().contains(&format!("bars never measured: sheet front-left-wrap-strip {left}")),
        "{}",
        status()
    );
    let bars_by = |by: &str, sheet: &str, across: &str, along: &str| {
        run(&["bars", "TW-2041", sheet, "--across", across, "--along", along, "--by", by])
    };
    let bars = |sheet: &str, across: &str, along: &str| bars_by("WO", sheet, across, along);
    // 0.5 mm in 100 mm is the limit, each way.
    assert_eq!(bars(&left, "99.5 mm", "100.5 mm").0, Some(0));
    let (code, said) = bars(&right, "99.4 mm", "100 mm");
    assert!(code == Some(1) && said.contains("VOID"), "{said}");
    assert!(status().contains(&format!("front-left-wrap-strip {left}: 100 mm bars measured")));
    assert!(status().contains("VOID"));
    // A new print, measured by another person; an inch bar taken for the other, a sheet of
    // nobody.
    assert_eq!(bars_by("LO", &right, "100.0 mm", "3.94 in").0, Some(0));
    assert!(!status().contains("VOID"), "{}", status());
    assert_eq!(bars(&right, "4 in", "four").0, Some(1));
    let (code, said) = bars("012345678", "100 mm", "100 mm");
    assert!(code == Some(1) && said.contains("front-left-wrap-strip"), "{said}");
    let (code, said) = run(&["status", "TW-2041", "--json"]);
    assert!(code == Some(0) && said.contains("\"sheets\""), "{said}");
}

/// A strip moved by less than a scribed line is the same one; what is drawn of other
/// lines is another.
#[test]
fn sheets_are_compared_by_their_lines() {
    let strip = |turn: &str| drawn("wrap-strip", &["od=82.55 mm", turn, "side=left"]).sheet;
    let (one, near, far) = (strip("rotation=9 deg"), strip("rotation=9.1 deg"), strip("rotation=10 deg"));
    let moved = |degrees: f64| 82.55 * std::f64::consts::PI * degrees / 360.0;
    assert_eq!(farthest(&one, &one), Some(0.0));
    assert!(farthest(&one, &near).is_some_and(|mm| mm < SCRIBED && (mm - moved(0.1)).abs() < 0.01));
    assert!(farthest(&one, &far).is_some_and(|mm| mm > SCRIBED && (mm - moved(1.0)).abs() < 0.01));
    assert_eq!(farthest(&one, &drawn("gusset", &["leg_a=80 mm", "leg_b=70 mm"]).sheet), None);
}

/// A reading moves the rotation after the strip was printed and proved: it is told at
/// the reading, by status and by `bars`; the hold before the cut stays shut until a new
/// print was measured; the replay says the same.
#[test]
fn a_sheet_that_a_reading_moved_is_told_out_of_date_and_shuts_the_cut() {
    let bench = Bench::issued();
    let place = bench.fill_before("pinion");
    let folder = bench.path("travelers/TW-2041");
    let left = || {
        let status = bench.json(&["status", "TW-2041", "--json"]);
        let all = status["travelers"][0]["sheets"].as_array().unwrap().clone();
        let all: Vec<String> = all.iter().map(|s| s.as_str().unwrap().to_owned()).collect();
        all.into_iter().find(|s| s.contains("front-left-wrap-strip")).unwrap()
    };
    let digits = |words: &str| words.rsplit("front-left-wrap-strip ").next().unwrap()[..9].to_owned();
    let bars = |sheet: &str| {
        ["bars", "TW-2041", sheet, "--across", "100 mm", "--along", "100 mm", "--by", "WO"]
            .map(str::to_owned)
            .to_vec()
    };
    let measure = |value: &str, more: &[&str]| {
        let args = ["measure", "TW-2041", &place, value, "--with", "AF-1", "--by", "WO"];
        bench.run(&[&args[..], more].concat())
    };
    let yes = |args: Vec<String>| bench.yes(&args.iter().map(String::as_str).collect::<Vec<_>>());
    // What was read so far may have moved it already: the print is of today.
    let issued = digits(&left());
    yes(bars(&issued));
    assert!(!left().contains("OUT OF DATE"), "{}", left());
    let said = measure("14.5 deg", &[]);
    assert!(said.code == 0 && said.err.contains("OUT OF DATE"), "{}{}", said.out, said.err);
    let told = left();
    assert!(told.contains("OUT OF DATE") && told.contains("may have been used"), "{told}");
    let now = digits(&told);
    assert_ne!(now, issued);
    let refused = bars(&issued);
    let args: Vec<&str> = refused.iter().map(String::as_str).collect();
    bench.no(&args, "OUT OF DATE");

    // The rules: the hold before the cut is shut by a print that was used, by no other.
    let chain = desk::look(&System, &folder).unwrap();
    let issue = state::issue(&chain.entries).unwrap();
    let content = stored::load(&System, &folder, issue).unwrap();
    let base = Base::of(&content.files, &content.plan).unwrap();
    let state = state::fold(&chain.entries);
    let cut = content.plan.operations.iter().find(|o| o.id == "cut-knuckles").unwrap();
    let hold = cut.before.iter().find(|p| p.kind == PointKind::Hold).unwrap();
    let shut = |state: &State| {
        let register = Register::default();
        let day = chrono::NaiveDate::from_ymd_opt(2026, 3, 3).unwrap();
        let (plan, entries) = (&content.plan, chain.entries.as_slice());
        let scene = Scene { plan, state, entries, register: &register, day, at: None };
        let old = outdated(plan, state, &base.redrawn(state).unwrap());
        scene.marks_hold(cut, hold, &old).err().map(|p| p.message)
    };
    assert!(shut(&state).is_some_and(|why| why.contains("wrap-strip") && why.contains("OUT OF DATE")));
    let mut unused = state.clone();
    unused.bars.clear();
    assert_eq!(shut(&unused), None, "it was not used");

    // Printed again with what was read, measured: the way is free, and the log holds.
    bench.yes(&["template", "TW-2041", "--out", "again"]);
    let sheet = bench.read("again/tw-2041-a-front-left-wrap-strip.pdf");
    let text: String = pdf::pages(&sheet).iter().map(pdf::Page::text).collect();
    assert!(text.contains(&format!("Sheet{now}")) && text.contains("Drawnwithwhatwasread"), "{text}");
    yes(bars(&now));
    assert!(!left().contains("OUT OF DATE"), "{}", left());
    let chain = desk::look(&System, &folder).unwrap();
    assert_eq!(shut(&state::fold(&chain.entries)), None);
    let reckoner = Reckoner::of(vec![Base::of(&content.files, &content.plan).unwrap()]);
    let again = replay(&[&content.plan], &chain.entries, &reckoner);
    assert!(again.against.is_empty() && again.otherwise.is_empty(), "{again:?}");
    let nobody = replay(&[&content.plan], &chain.entries, &AsPrinted);
    assert!(
        nobody.otherwise.iter().any(|(_, why)| why.contains("not drawn like that")),
        "a sheet of nobody: {nobody:?}"
    );

    // Read once more as it was planned: the second print is the one out of date now.
    assert_eq!(measure("12.5 deg", &["--again"]).code, 0);
    let told = left();
    assert!(told.contains(&format!("{now} is OUT OF DATE")) && digits(&told) == issued, "{told}");
}

/// A sheet the job orders is drawn with the others, or refused with its place.
#[test]
fn a_job_orders_sheets_of_its_own() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs/hoist-frame.toml");
    let text = std::fs::read_to_string(job).expect("a job");
    let run = |text: &str, args: &[&str]| {
        std::fs::write(folder.path().join("job.toml"), text).expect("written");
        let mut command = assert_cmd::Command::cargo_bin("tackwright").expect("the program");
        let out = command.current_dir(folder.path()).args(args).output().expect("an end");
        let text = [out.stdout, out.stderr].map(|b| String::from_utf8_lossy(&b).into_owned()).concat();
        (out.status.code(), text)
    };
    let more = "\n[[sheet]]\nid = \"stay\"\non = \"hoist-frame\"\nkind = \"cope\"\ninputs = [\"od = 2 in\", \"on = 4 in\", \"angle = 45 deg\"]\n";
    let (code, said) = run(&format!("{text}{more}"), &["template", "job.toml", "--out", "s"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(folder.path().join("s/tw-2055-a-stay-cope.pdf").exists(), "{said}");
    assert!(folder.path().join("s/tw-2055-a-brace-holes-drill-pattern.pdf").exists(), "{said}");
    let (code, said) = run(&format!("{text}{more}"), &["issue", "job.toml", "--draft", "--out", "d"]);
    assert_eq!(code, Some(0), "{said}");
    let wrong = [
        (more.replace("2 in", "5 in"), "larger than the run"),
        (more.replace("od = 2 in", "od : 2 in"), "name=value"),
        (more.replace("\"cope\"", "\"u-bolt-plate\""), "without being ordered"),
        (more.replace("\"cope\"", "\"copee\""), "is not one of the choices"),
        (more.replace("hoist-frame", "nothing"), "there is no component"),
        (more.replace("inputs = [\"od = 2 in\", \"on = 4 in\", \"angle = 45 deg\"]", ""), "no inputs"),
        (more.replace("stay", "brace-holes"), "two sheets are called"),
    ];
    for (more, why) in wrong {
        let (code, said) = run(&format!("{text}{more}"), &["check", "job.toml"]);
        assert!(code == Some(1) && said.contains(why), "{why} in {said}");
        assert!(said.contains("job.toml"), "it names its place: {said}");
    }
}
