//! Sheets at full size on every paper: words that stay apart, wrong inputs, files
//! that are kept, bars that are entered, sheets a job orders.

use std::path::Path;

use tackwright::app::System;
use tackwright::app::template::{Order, bench, kind, write};
use tackwright::shape::Form;
use tackwright::term::Paper;

use crate::patterns::{MM, drawn, near, paper};
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
    let order =
        |out: &Path| Order { out: out.to_owned(), paper: Paper::A4, svg: true, dxf: true, measured: None };
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
    let bars = |sheet: &str, across: &str, along: &str| bars_by("W1", sheet, across, along);
    // 0.5 mm in 100 mm is the limit, each way.
    assert_eq!(bars(&left, "99.5 mm", "100.5 mm").0, Some(0));
    let (code, said) = bars(&right, "99.4 mm", "100 mm");
    assert!(code == Some(1) && said.contains("VOID"), "{said}");
    assert!(status().contains(&format!("front-left-wrap-strip {left}: 100 mm bars measured")));
    assert!(status().contains("VOID"));
    // A new print, measured by another person; an inch bar taken for the other, a sheet of
    // nobody.
    assert_eq!(bars_by("L1", &right, "100.0 mm", "3.94 in").0, Some(0));
    assert!(!status().contains("VOID"), "{}", status());
    assert_eq!(bars(&right, "4 in", "four").0, Some(1));
    let (code, said) = bars("012345678", "100 mm", "100 mm");
    assert!(code == Some(1) && said.contains("front-left-wrap-strip"), "{said}");
    let (code, said) = run(&["status", "TW-2041", "--json"]);
    assert!(code == Some(0) && said.contains("\"sheets\""), "{said}");
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
