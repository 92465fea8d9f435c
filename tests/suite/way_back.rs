//! Names of boxes where something is typed, the shape of `status NUMBER --json`,
//! and entry sheets as spreadsheets give them back.

use serde_json::Value as Json;
use tackwright::record::entry::{Action, Entry};
use tackwright::record::frozen::Frozen;
use tackwright::record::moved::AsPrinted;
use tackwright::record::replay::replay;

use crate::support::bench::Bench;

fn status(bench: &Bench, more: &[&str]) -> Json {
    bench.json(&[&["status", "TW-2041", "--json"], more].concat())["travelers"][0].clone()
}

fn boxed<'a>(status: &'a Json, name: &str) -> &'a Json {
    let all = status["boxes"].as_array().unwrap();
    all.iter().find(|b| b["box"] == name).unwrap_or_else(|| panic!("no box {name}"))
}

fn entries(bench: &Bench) -> usize {
    bench.text("travelers/TW-2041/log.jsonl").lines().count()
}

/// The name of the paper as a sheet carries it.
fn paper(bench: &Bench) -> String {
    status(bench, &[])["paper"].as_str().unwrap().to_owned()
}

/// A sheet of these cells, with the columns a person may not leave out.
fn sheet(paper: &str, rows: &[(&str, &str)]) -> String {
    let mut text = "box,value,traveler\n".to_owned();
    for (name, value) in rows {
        text.push_str(&format!("{name},{value},{paper}\n"));
    }
    text
}

fn take(bench: &Bench, text: &str, enter: bool) -> Json {
    bench.write("in.csv", text);
    let mut args = vec!["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--json"];
    args.extend(enter.then_some("--enter"));
    bench.json(&args)
}

fn outcomes(said: &Json) -> Vec<String> {
    said["lines"].as_array().unwrap().iter().map(|l| l["outcome"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn every_box_says_the_same_in_the_same_shape() {
    let bench = Bench::issued();
    let said = status(&bench, &["--operations", "--entries"]);
    let mut keys: Vec<&str> = said["boxes"][0].as_object().unwrap().keys().map(String::as_str).collect();
    keys.sort_unstable();
    let documented = [
        "accepted",
        "after_hand_over",
        "apart",
        "box",
        "choices",
        "command",
        "done",
        "instrument",
        "key",
        "kind",
        "label",
        "limits",
        "near",
        "operation",
        "papers",
        "people",
        "printed",
        "roles",
        "side",
        "station",
        "target",
        "title",
        "tool_needed",
        "tools",
        "tools_named",
        "typed",
        "unit",
        "usual",
        "waits_for",
    ];
    assert_eq!(keys, documented, "DEVELOPERS.md lists them");
    let guide = include_str!("../../DEVELOPERS.md");
    assert!(documented.iter().all(|key| guide.contains(&format!("`{key}`"))), "DEVELOPERS.md lists them");
    for one in said["boxes"].as_array().unwrap() {
        assert_eq!(one.as_object().unwrap().len(), documented.len(), "{one:#}");
    }
    for list in ["boxes", "by_operation", "log"] {
        assert!(!said[list].as_array().unwrap().is_empty(), "{list}");
    }
    let reading = boxed(&said, "front/pinion-as-found:pinion");
    assert_eq!(
        (&reading["kind"], &reading["unit"], &reading["typed"]),
        (&"value".into(), &"°".into(), &"70.pinion".into())
    );
    assert!(reading["limits"]["lower"]["si"].is_f64() && reading["waits_for"].is_string());
    assert_eq!(boxed(&said, "front/caster-as-found:caster.left")["side"], "left");
    assert_eq!(boxed(&said, "front/cut-knuckles:!before.1/2/mark")["roles"][0], "inspector");
    // Every tool that is named is taken, every one that is not is not needed.
    let lead = boxed(&said, "receive:@lead");
    assert_eq!(
        (&lead["kind"], &lead["waits_for"], &lead["done"]),
        (&"initials".into(), &Json::Null, &Json::Null)
    );
    // A station by its letter on the paper, a place, an operation.
    let count = |more: &[&str]| status(&bench, more)["boxes"].as_array().unwrap().len();
    assert!(count(&["--station", "A"]) > 5);
    assert!(count(&["--station", "weld bay"]) > count(&["--station", "A"]));
    assert_eq!(count(&["--operation", "10"]), 4);
    bench.no(&["status", "TW-2041", "--boxes", "--station", "weld bye"], "did you mean \"weld bay\"?");
    let text = bench.yes(&["status", "TW-2041", "--boxes"]).out;
    let long: Vec<&str> = text.lines().filter(|l| l.chars().count() > 80).collect();
    assert!(long.is_empty(), "{long:#?}");
}

#[test]
fn a_box_is_named_wherever_its_place_is_typed() {
    let bench = Bench::issued();
    bench.yes(&["measure", "TW-2041", "receive:identity", "UV-7-114 84 210 mi", "--by", "LO"]);
    bench.yes(&["measure", "TW-2041", "receive:faults-in", "none known, none seen", "--by", "LO"]);
    bench.yes(&["tick", "TW-2041", "receive:@lead", "--by", "LO"]);
    bench.yes(&["sign", "TW-2041", "receive:!after.1/1/mark", "--as", "lead", "--by", "LO"]);
    let done = status(&bench, &["--operation", "10"]);
    assert!(done["boxes"].as_array().unwrap().iter().all(|b| b["done"]["by"] == "LO"), "{done:#}");
    assert_eq!(boxed(&done, "receive:identity")["done"]["value"], "UV-7-114 84 210 mi");
    bench.no(
        &["correct", "TW-2041", "receive:identity", "--by", "LO", "--reason", "wrong unit"],
        "R1 was signed",
    );
    bench.yes(&["correct", "TW-2041", "receive:!after.1/1/mark", "--by", "LO", "--reason", "too soon"]);
    bench.yes(&["correct", "TW-2041", "receive:identity", "--by", "LO", "--reason", "wrong unit"]);
    assert_eq!(boxed(&status(&bench, &[]), "receive:identity")["done"], Json::Null);
    bench.no(&["correct", "TW-2041", "receive:identity", "--by", "LO", "--reason", "again"], "is empty");
    bench.no(&["tick", "TW-2041", "receive:#9", "--by", "LO"], "L144");
}

#[test]
fn a_sheet_is_judged_before_anything_is_entered() {
    let bench = Bench::issued();
    let text = sheet(
        &paper(&bench),
        &[
            ("receive:identity", "UV-7-114 84 210 mi"),
            ("receive:faults-in", "1"),
            ("receive:@lead", "x"),
            ("receive:!after.1/1/mark", "signed at the desk"),
            ("inspect-old-work:frame", "sound"),
            ("recieve:identity", "UV-7-114 84 210 mi"),
            ("inspect-old-work:axle", ""),
        ],
    );
    let before = bench.everything();
    let said = take(&bench, &text, false);
    // A line behind a hold and one that is no box are told; the others are good.
    assert_eq!(outcomes(&said), ["good", "good", "good", "refused", "refused"], "{said:#}");
    let words = |n: usize| said["lines"][n]["words"].as_str().unwrap().to_owned();
    assert!(
        words(3).contains("R1") && said.to_string().contains("did you mean \\\"receive:identity\\\"?"),
        "{said:#}"
    );
    assert_eq!(bench.everything().len(), before.len() + 1, "only the sheet itself is new");
    assert_eq!(entries(&bench), 1);
    let said = take(&bench, &text, true);
    assert_eq!(outcomes(&said)[..3], ["entered", "entered", "entered"]);
    assert_eq!(entries(&bench), 4);
    // The same file once more enters nothing and says so.
    let said = take(&bench, &text, true);
    assert_eq!(outcomes(&said)[..3], ["same", "same", "same"]);
    assert!(
        said["notes"].to_string().contains("This very file was taken in by LO (entries 2 to 4)"),
        "{said:#}"
    );
    assert_eq!(entries(&bench), 4);
    // Another value is a correction, which a sheet does not make.
    let other = sheet(&paper(&bench), &[("receive:identity", "UV-7-114 84 215 mi")]);
    let said = take(&bench, &other, true);
    assert_eq!(outcomes(&said), ["refused"]);
    assert!(said.to_string().contains("--corrects 2"), "{said:#}");
}

#[test]
fn a_sheet_comes_back_as_spreadsheets_save_it() {
    let paper = paper(&Bench::issued());
    let rows = [
        format!(
            "box;value;traveler\r\nreceive:identity;UV-7-114 84 210 mi;{paper}\r\nreceive:faults-in;1;{paper}\r\n"
        ),
        format!(
            "box\tvalue\ttraveler\nreceive:identity\tUV-7-114 84 210 mi\t{paper}\nreceive:faults-in\t1\t{paper}\n"
        ),
        format!(
            "\u{FEFF}\r\n\r\n\"traveler\",\"Value\",\"BOX\",\"mine\"\r\n\"{paper}\",\"UV-7-114 84 210 mi\",\"receive:identity\",\"\"\r\n,,,\r\n\"{paper}\",\"1\",\"'receive:faults-in\",\"\"\r\n"
        ),
    ];
    for text in rows {
        let bench = Bench::issued();
        let said = take(&bench, &text, true);
        assert_eq!(outcomes(&said), ["entered", "entered"], "{text}\n{said:#}");
    }
    // UTF-16, as "Unicode text" is saved.
    let bench = Bench::issued();
    let text = format!("box\tvalue\ttraveler\nreceive:identity\tUV-7-114 84 210 mi °\t{paper}\n");
    let mut bytes = vec![0xFF, 0xFE];
    bytes.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
    bench.write("in.csv", bytes);
    bench.yes(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--enter"]);
    assert!(bench.text("travelers/TW-2041/log.jsonl").contains("UV-7-114 84 210 mi °"));
    // Who, when and with what, line by line.
    let text = format!(
        "box,value,by,when,tool,traveler\nreceive:identity,UV-7-114 84 210 mi,lead one,13:58,,{paper}\nreceive:faults-in,1,lo,2026-03-02 13:59,,{paper}\n"
    );
    let bench = Bench::issued();
    let said = take(&bench, &text, true);
    assert_eq!(outcomes(&said), ["entered", "entered"], "{said:#}");
    assert!(bench.text("travelers/TW-2041/log.jsonl").contains("\"at\":\"2026-03-02T13:58:00"));
}

#[test]
fn what_is_no_sheet_of_this_paper_is_told() {
    let bench = Bench::issued();
    let paper = paper(&bench);
    let told = |text: &str, part: &str| {
        bench.write("in.csv", text);
        let said = bench.run(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--enter"]);
        assert!(said.code == 1 && said.err.contains(part), "{text}: {}{}", said.out, said.err);
        assert_eq!(entries(&bench), 1, "{text}");
    };
    told(
        &sheet("TW-9999 A 0123456789AB", &[("receive:identity", "UV-7-114 84 210 mi")]),
        "of traveler TW-9999, not of TW-2041",
    );
    told(
        &sheet("TW-2041 A 0123456789AB", &[("receive:identity", "UV-7-114 84 210 mi")]),
        "no revision A with the digits",
    );
    told(&sheet("", &[("receive:identity", "UV-7-114 84 210 mi")]), "does not say whose sheet it is");
    told("box,val,traveler\nreceive:identity,UV-7-114 84 210 mi,x\n", "is \"val\" meant?");
    told("PK\u{3}\u{4}rest of a workbook", "another kind of file, not a CSV file");
    told(&sheet(&paper, &[("receive:!after.1/1/mark", "LO")]), "never by a sheet, a copy or a picture");
    told(&sheet(&paper, &[("receive:@lead", "perhaps")]), "is no tick");
    told(
        &format!("box,value,when,traveler\nreceive:identity,UV-7-114 84 210 mi,3/2/2026 13:00,{paper}\n"),
        "column when",
    );
    told(
        &format!("box,value,by,traveler\nreceive:identity,UV-7-114 84 210 mi,X9,{paper}\n"),
        "nobody has the id",
    );
    let twice = sheet(
        &paper,
        &[("receive:identity", "UV-7-114 84 210 mi"), ("receive:identity", "UV-7-114 84 215 mi")],
    );
    bench.write("in.csv", twice);
    let said = bench.run(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO"]);
    assert!(said.code == 1 && said.err.contains("stands on line 2 as well"), "{}", said.err);
    // A remark is no entry, and is not lost in silence.
    let text = format!("box,value,remark,traveler\nreceive:identity,,rust at the rail,{paper}\n");
    bench.write("in.csv", text);
    let said = bench.run(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO"]);
    assert!(said.err.contains("the remark \"rust at the rail\" is not entered"), "{}", said.err);
}

#[test]
fn a_sheet_of_an_older_revision_gives_what_was_left_as_it_was() {
    let bench = Bench::issued();
    let old = paper(&bench);
    let job = bench.text("job.toml");
    let added = "\n[[operation]]\nid = \"wash-again\"\nverb = \"inspect\"\ntitle = \"Wash again\"\non = \"front\"\nminutes = 10\nafter = [\"inspect-bare\"]\nstep = [\"Wash.\"]\nhold = \"Clean.\"\nhold_role = \"lead\"\n";
    bench.write("job.toml", format!("{job}{added}"));
    bench.yes(&["revise", "job.toml", "--by", "LO", "--reason", "wash again"]);
    let said = take(&bench, &sheet(&old, &[("receive:identity", "UV-7-114 84 210 mi")]), true);
    assert_eq!(outcomes(&said), ["entered"], "{said:#}");
    // What a further revision changes is read for the new paper.
    let second = paper(&bench);
    let all = status(&bench, &[])["boxes"].as_array().unwrap().clone();
    let washed = all.iter().find(|b| b["key"].as_str().unwrap().ends_with("wash-again")).unwrap();
    let name = washed["box"].as_str().unwrap();
    bench.edit("job.toml", "step = [\"Wash.\"]", "step = [\"Wash twice.\"]");
    bench.yes(&["revise", "job.toml", "--by", "LO", "--reason", "wash twice"]);
    let before = entries(&bench);
    bench.write("in.csv", sheet(&second, &[(name, "x")]));
    let said = bench.run(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--enter"]);
    assert!(said.code == 1 && said.err.contains("the sheet is of rev B, and rev C changed"), "{}", said.err);
    assert_eq!(entries(&bench), before);
}

#[test]
fn no_cell_of_a_sheet_is_a_formula() {
    let bench = Bench::new();
    let job = bench.text("job.toml");
    let added = "\n[[operation]]\nid = \"look\"\nverb = \"inspect\"\ntitle = \"=HYPERLINK(\\\"x\\\")\"\non = \"front\"\nminutes = 10\nafter = [\"inspect-bare\"]\nstep = [\"@SUM(A1) and look.\"]\nhold = \"-1+1 is clean.\"\nhold_role = \"lead\"\n";
    bench.write("job.toml", format!("{job}{added}"));
    bench.yes(&["issue", "job.toml"]);
    for between in ["comma", "semicolon", "tab"] {
        bench.yes(&["sheet", "TW-2041", "--out", "s.csv", "--between", between]);
        let bytes = bench.read("s.csv");
        assert!(bytes.starts_with(b"\xEF\xBB\xBFbox"), "spreadsheets know UTF-8 by its mark");
        let text = String::from_utf8(bytes).unwrap();
        let delimiter = match between {
            "comma" => b',',
            "semicolon" => b';',
            _ => b'\t',
        };
        let mut csv = csv::ReaderBuilder::new().delimiter(delimiter).from_reader(text.as_bytes());
        let mut cells = 0;
        for record in csv.records() {
            let record = record.unwrap();
            assert_eq!(record.len(), 12);
            for cell in &record {
                cells += 1;
                assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
            }
        }
        assert!(cells > 3000 && text.contains("\r\n"), "{cells}");
    }
}

#[test]
fn a_signature_on_paper_is_attested_by_a_lead_and_named_so() {
    let bench = Bench::issued();
    bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114 84 210 mi", "--by", "LO"]);
    bench.yes(&["measure", "TW-2041", "10.faults-in", "none known, none seen", "--by", "LO"]);
    bench.yes(&["tick", "TW-2041", "10", "--by", "LO"]);
    let sign = ["sign", "TW-2041", "R1", "--as", "lead", "--seen-on-paper", "page 3"];
    bench.no(&[&sign[..], &["--signer", "LO", "--by", "LO"]].concat(), "signs nothing there");
    bench.no(&[&sign[..], &["--signer", "LO", "--by", "WO"]].concat(), "rule: role");
    // A second lead, who signs nothing there.
    bench.edit(
        "shop.toml",
        "[[person]]\nid = \"WO\"",
        "[[person]]\nid = \"LT\"\nname = \"Lead Two\"\nrole = [\"lead\"]\n\n[[person]]\nid = \"WO\"",
    );
    bench.no(&[&sign[..], &["--signer", "WO", "--by", "LT"]].concat(), "rule: role");
    // Whoever issued the plan is not its second reader, on paper either.
    bench.no(&[&sign[..], &["--signer", "LO", "--by", "LT"]].concat(), "L306");
    let said = bench.yes(&[&sign[..], &["--signer", "LT", "--by", "LO"]].concat());
    assert!(said.out.contains("signed on paper, page 3, by Lead Two (LT)"), "{}", said.out);
    let log = bench.text("travelers/TW-2041/log.jsonl");
    assert!(log.contains("\"act\":\"seen-on-paper\""), "{log}");
    let row = status(&bench, &["--operation", "10"]);
    let signed = boxed(&row, "receive:!after.1/1/mark");
    assert_eq!(signed["done"]["by"], "LT");
    assert!(signed["done"]["value"].as_str().unwrap().contains("seen there by Lead One (LO)"), "{signed:#}");
    // It stands for the signature: work goes on.
    bench.yes(&["measure", "TW-2041", "20.frame", "1", "--by", "LO"]);
    // `verify` goes through it by the same rules, and tells one a lead gave himself.
    let plan: Frozen = serde_json::from_slice(&bench.read("travelers/TW-2041/A/plan.json")).unwrap();
    let log = bench.text("travelers/TW-2041/log.jsonl");
    let mut entries: Vec<Entry> = log.lines().map(|l| Entry::read(l.as_bytes()).unwrap().0).collect();
    assert_eq!(replay(&[&plan], &entries, &AsPrinted).against, []);
    for entry in &mut entries {
        if let Action::SeenOnPaper { signer, .. } = &mut entry.what {
            signer.id.clone_from(&entry.by.id);
        }
    }
    let against = replay(&[&plan], &entries, &AsPrinted).against;
    assert!(against.len() == 1 && against[0].1.contains("can't attest"), "{against:?}");
}

/// What the bars of a printed sheet measure has a name like every box: asked for in the
/// entry sheet, in the copy and at the desk, judged by the one rule (0.5 mm in 100 mm).
#[test]
fn the_bars_of_a_sheet_come_back_on_every_way() {
    let bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    let boxes = || -> Vec<Json> {
        let said = bench.json(&["status", "TW-2041", "--json"]);
        let all = said["travelers"][0]["boxes"].as_array().unwrap().clone();
        all.into_iter().filter(|b| b["box"].as_str().unwrap().starts_with("/bars:")).collect()
    };
    let of = |name: &str| boxes().into_iter().find(|b| b["box"] == name).unwrap();
    let names: Vec<String> = boxes().iter().map(|b| b["box"].as_str().unwrap().to_owned()).collect();
    // Both wrap strips are asked for where they are used; no operation is done by a gauge,
    // and its bars are entered by name.
    assert_eq!(names, ["/bars:front-left-wrap-strip", "/bars:front-right-wrap-strip"]);
    let gauge = "/bars:front-pinion-angle-gauge";
    for one in boxes() {
        assert_eq!((&one["unit"], &one["done"]), (&"mm".into(), &Json::Null), "{one:#}");
        assert!(one["command"].as_str().unwrap().starts_with("tackwright bars TW-2041 "), "{one:#}");
    }
    // The sheet: a bare number is in mm, a decimal comma is one, 0.5 mm is the limit.
    let lines = [
        (&*names[0], "99.5 / 100.5"),
        (&*names[1], "\"99,4 / 100\""),
        (gauge, "100"),
        ("/bars:front-caster-angle-gauge", "62 / 100"),
    ];
    let written = bench.run(&["sheet", "TW-2041"]).out;
    assert!(names.iter().all(|n| written.contains(n.as_str())), "{written}");
    let said = take(&bench, &sheet(&paper(&bench), &lines), true);
    let came: Vec<&str> =
        said["lines"].as_array().unwrap().iter().map(|l| l["outcome"].as_str().unwrap()).collect();
    assert_eq!(came.iter().filter(|c| **c == "entered").count(), 2, "{said:#}");
    assert_eq!(came.iter().filter(|c| **c == "refused").count(), 2, "{said:#}");
    assert_eq!(of(&names[0])["done"]["verdict"], "conform");
    // A void print leaves its box open.
    assert_eq!(of(&names[1])["done"], Json::Null);
    let log = || bench.text("travelers/TW-2041/log.jsonl");
    assert!(log().contains("\"way\":\"sheet\"") && log().contains("99.4 mm across, 100 mm along"));

    // The desk asks it where it is used first; void, it stays open.
    let number = of(&names[1])["operation"].to_string();
    let sit = |who: &str, answer: &str| {
        bench.typed(&["desk", "TW-2041", "--operation", &number, "--by", who], &format!("{answer}\nq\n")).out
    };
    let said = sit("WO", "99.9 / 103");
    assert!(said.contains("100 mm bars of the print") && said.contains("VOID"), "{said}");
    assert_eq!(of(&names[1])["done"], Json::Null);
    // Whoever found it void does not find it good: a new print is measured by another.
    let said = sit("WO", "99.9/100");
    assert!(said.contains("another person") && !said.contains("may be used"), "{said}");
    assert_eq!(of(&names[1])["done"], Json::Null);
    let said = sit("WT", "99.9/100");
    assert!(said.contains("the print may be used"), "{said}");
    assert_eq!(of(&names[1])["done"]["by"], "WT");

    // The copy: its last page has a box for each sheet.
    bench.yes(&["copy", "TW-2041", "-o", "copy.pdf"]);
    let mut file = lopdf::Document::load_mem(&bench.read("copy.pdf")).unwrap();
    let named = |o: &lopdf::Object| {
        let name = o.as_dict().ok().and_then(|d| d.get(b"T").ok()).and_then(|t| t.as_str().ok());
        name.is_some_and(|t| t == gauge.as_bytes())
    };
    let field = *file.objects.iter().find(|(_, o)| named(o)).unwrap().0;
    file.get_dictionary_mut(field).unwrap().set("V", lopdf::Object::string_literal("100.1 / 99.9"));
    file.save(bench.path("back.pdf")).unwrap();
    bench.yes(&["returned", "TW-2041", "back.pdf", "--by", "WO", "--enter"]);
    assert!(log().contains("\"way\":\"copy\"") && log().contains("100.1 mm across, 99.9 mm along"));

    // The print itself names the same boxes.
    bench.yes(&["template", "job.toml", "--out", "templates"]);
    let file = std::fs::read_dir(bench.path("templates"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .find(|p| {
            p.to_string_lossy().contains("front-left-wrap-strip") && p.extension().is_some_and(|e| e == "pdf")
        })
        .unwrap();
    let pdf = std::fs::read(file).unwrap();
    let data = tackwright::app::record::pdf::attachments(&pdf).unwrap();
    let data: Json = serde_json::from_slice(&data["template.json"]).unwrap();
    let printed: Vec<&str> =
        data["boxes"].as_array().unwrap().iter().map(|b| b["name"].as_str().unwrap()).collect();
    for part in ["across", "along", "across-4in", "along-4in"] {
        assert!(printed.contains(&&*format!("{}/{part}", names[0])), "{printed:?}");
    }
}

/// A sheet written on a day when the calibrations are over names no tool, and says why.
#[test]
fn a_sheet_says_why_it_names_no_tool() {
    let mut bench = Bench::issued();
    bench.now += 3 * 366 * 86_400;
    let said = bench.yes(&["sheet", "TW-2041", "--out", "late.csv"]);
    let all = format!("{}{}", said.out, said.err);
    assert!(all.contains("no tool that will be taken on 2029-") && all.contains("--at DAY"), "{all}");
    let late = bench.text("late.csv");
    assert!(late.contains("out of calibration on 2029-"), "{late}");
    // Written for the day of the work, it names them.
    let said = bench.yes(&["sheet", "TW-2041", "--out", "day.csv", "--at", "2026-03-03 10:00"]);
    assert!(!said.err.contains("no tool"), "{}", said.err);
    assert!(!bench.text("day.csv").contains("out of calibration"));
}
