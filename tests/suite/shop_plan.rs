//! The shop book in a plan: found, applied, checked at check time, printed.

use std::path::PathBuf;

use tackwright::app::load::load;
use tackwright::app::plan::{Failure, Loaded, Plan, Shelf, plan};
use tackwright::app::shelf::Shelves;
use tackwright::app::shop::{self, table_json, table_lines};
use tackwright::app::{System, issue};
use tackwright::diagnostic::Severity;
use tackwright::job::model::{Paper, Units};
use tackwright::procedure::file::PointKind;
use tackwright::procedure::selected::What;
use tackwright::routing::problem::PointKind as Kind;
use tackwright::shop::DEMO;
use tackwright::shop::fit::Task;
use tackwright::traveler::Document;
use tackwright::traveler::document::Block;

use crate::shop::{day, demo_with};

const JOB: &str = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/brush-truck.toml"));

/// A folder with a job, and a book if there is one.
struct Bench {
    folder: tempfile::TempDir,
    job: PathBuf,
}

impl Bench {
    fn new(job: &str, book: Option<&str>) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("job.toml");
        std::fs::write(&path, job).unwrap();
        if let Some(book) = book {
            std::fs::write(folder.path().join("shop.toml"), book).unwrap();
        }
        Self { folder, job: path }
    }

    fn with(&self, name: &str, bytes: &[u8]) -> &Self {
        let path = self.folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
        self
    }

    fn shelf(&self) -> Result<Shelf, Failure> {
        Shelves::gather(&System, None, None, std::slice::from_ref(&self.job)).of(&self.job).cloned()
    }

    fn planned<T>(&self, look: impl FnOnce(&Plan<'_>, &Shelf) -> T) -> Result<T, Failure> {
        let shelf = self.shelf()?;
        let loaded: Loaded = load(&System, &self.job, &shelf)?;
        plan(&loaded, &shelf).map(|p| look(&p, &shelf))
    }

    fn codes(&self) -> Vec<(String, String)> {
        let report = match self.planned(|p, _| p.report.clone()) {
            Ok(report) | Err(Failure::Refused(report, _)) => report,
            Err(Failure::System(why)) => panic!("{why}"),
        };
        let shop = report.problems.into_iter().filter(|p| p.code.starts_with('S'));
        shop.map(|p| (p.code.to_owned(), format!("{} {}", p.message, p.help.join(" ")))).collect()
    }
}

fn edit(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "no {from}");
    text.replacen(from, to, 1)
}

fn document(bench: &Bench) -> Document {
    bench.planned(|p, _| issue::compose(p)).unwrap()
}

#[test]
fn the_demonstration_job_is_covered_by_the_demonstration_book() {
    let bench = Bench::new(JOB, None);
    assert_eq!(bench.codes(), vec![]);
    let lines = bench
        .planned(|p, shelf| {
            assert!(shelf.shop.demo);
            assert!(
                p.resolved.table.joints.iter().all(|j| j.rows().iter().any(|r| r.may)),
                "{:#?}",
                p.resolved.table.joints
            );
            assert!(
                p.resolved.table.tools.iter().all(|t| !t.tools.is_empty()),
                "{:#?}",
                p.resolved.table.tools
            );
            let json = table_json(&p.resolved.table, p.shop);
            assert_eq!(json["rows"].as_array().unwrap().len(), 4 * 2 * 3);
            assert!(json["rules"].as_array().unwrap().iter().any(|r| r["from_memory"] == true));
            table_lines(&p.resolved.table, p.shop)
        })
        .unwrap();
    let text = lines.join("\n");
    assert!(text.contains("ON 2026-03-02") && text.contains("the demonstration that ships"), "{text}");
    assert!(text.contains("(from memory)") && text.contains("check it against your edition"));
    let row = lines.iter().find(|l| l.starts_with("  J2") && l.contains("WT  ") && l.contains("M2")).unwrap();
    assert!(row.contains("no"), "{row}");
}

#[test]
fn the_book_next_to_the_job_is_used_and_its_faults_refuse() {
    let bench = Bench::new(JOB, Some(&demo_with("shop book (invented)", "book of the bench")));
    let title = bench.planned(|p, shelf| (p.shop.book.title.0.clone(), shelf.shop.demo)).unwrap();
    assert_eq!(title, ("Quarry Lane Fabrication, book of the bench".to_owned(), false));
    let wrong = Bench::new(JOB, Some(&demo_with("stamp = \"12\"", "stamp = \"11\"")));
    let Err(Failure::Refused(report, sources)) = wrong.shelf() else { panic!("a wrong book was taken") };
    let problem = report.problems.iter().find(|p| p.code == "S003").unwrap();
    let span = problem.span.clone().unwrap();
    assert_eq!(&sources.iter().find(|s| s.name == span.file).unwrap().text[span.range], "\"11\"");
}

#[test]
fn problems_stand_at_the_joint_and_say_why() {
    let rows = [
        // job from, job to, code, part of the message
        ("wps = \"WPS-03\"\n", "", "S202", "procedure to be qualified"),
        ("wps = \"WPS-03\"", "wps = \"WPS-33\"", "S201", "WPS-33 is not in the shop book"),
        ("amps = \"190 A\"", "amps = \"210 A\"", "S203", "amps 210 A"),
        ("position = \"2F\"", "position = \"4F\"", "S203", "position 4F"),
        (
            "visual, dye penetrant at the ends",
            "visual, magnetic particle",
            "S217",
            "magnetic particle testing",
        ),
        ("gas = \"75Ar/25CO2\"", "gas = \"CO2\"", "S203", "gas CO2"),
        (
            "id = \"WO\"\nname = \"Welder One\"",
            "id = \"WT\"\nname = \"Welder Two\"",
            "S205",
            "no welder named",
        ),
        ("due = 2026-03-20", "due = 2026-09-20", "S208", "before the job is due"),
        (
            "name = \"Lead One\"\nrole = [\"lead\"]\nstamp = \"01\"",
            "name = \"Lead One\"\nrole = [\"lead\"]\nstamp = \"02\"",
            "S213",
            "stamp of LO",
        ),
        ("id = \"IO\"", "id = \"I9\"", "S209", "I9 is not in the shop book"),
        (
            "date = 2026-03-02\ndue = 2026-03-20",
            "date = 2026-08-21\ndue = 2026-08-22",
            "S204",
            "nobody in the shop book",
        ),
        (
            "wrench = \"TW-3, 40 to 250 lbf-ft\"",
            "wrench = \"TW-9\"",
            "S212",
            "TW-9, which is not in the shop book",
        ),
        ("wrench = \"TW-3, 40 to 250 lbf-ft\"", "wrench = \"TW-4\"", "S212", "TW-4, which will not do"),
        ("other_steel = \"1020 DOM\"\nsize", "other_steel = \"1026\"\nsize", "S210", "no metal lot"),
    ];
    for (from, to, code, text) in rows {
        let bench = Bench::new(&edit(JOB, from, to), Some(DEMO));
        let codes = bench.codes();
        assert!(codes.iter().any(|(c, t)| c == code && t.contains(text)), "{code} {text}: {codes:#?}");
    }
    // An unknown procedure refuses with the shop's own book, and is a warning with the demonstration.
    let unknown = edit(JOB, "wps = \"WPS-03\"", "wps = \"WPS-33\"");
    assert!(matches!(Bench::new(&unknown, Some(DEMO)).planned(|_, _| ()), Err(Failure::Refused(..))));
    assert!(Bench::new(&unknown, None).planned(|_, _| ()).is_ok());
}

#[test]
fn no_capable_tool_is_said_before_the_cut() {
    let rows = [
        ("due = 2026-04-15", "due = 2026-03-01", "calibration was due on 2026-03-01"),
        ("capacity = \"250 lbf-ft\"", "capacity = \"120 lbf-ft\"", "outside its"),
        (
            "capacity = \"250 lbf-ft\"\nincrement = \"0.5 lbf-ft\"\nuncertainty = \"1 %\"",
            "capacity = \"250 lbf-ft\"\nincrement = \"0.5 lbf-ft\"\nuncertainty = \"5 %\"",
            "takes up the whole tolerance",
        ),
        (
            "capacity = \"250 lbf-ft\"",
            "out_of_service = \"dropped\"\ncapacity = \"250 lbf-ft\"",
            "out of service: dropped",
        ),
        (
            "uncertainty = \"0.1 deg\"\ncalibrated = 2025-09-15\ndue = 2026-09-15\n\n[[instrument]]\nid = \"CG-1\"",
            "uncertainty = \"0.4 deg\"\ncalibrated = 2025-09-15\ndue = 2026-09-15\n\n[[instrument]]\nid = \"CG-1\"",
            "takes up the whole tolerance",
        ),
        ("kind = \"angle finder\"", "kind = \"sextant\"", "no angle finder for angle"),
        ("most = \"25 ft\"", "most = \"12 in\"", "is outside its"),
    ];
    for (from, to, text) in rows {
        let codes = Bench::new(JOB, Some(&demo_with(from, to))).codes();
        assert!(codes.iter().any(|(c, t)| c == "S207" && t.contains(text)), "{text}: {codes:#?}");
    }
    // A certificate that starts lower, or higher, goes before the 20 % rule.
    let tools = |book: &str| {
        Bench::new(JOB, Some(book))
            .planned(|p, _| {
                let b3 =
                    p.resolved.table.tools.iter().find(|t| t.task == Task::Torque("B3".to_owned())).unwrap();
                b3.tools.clone()
            })
            .unwrap()
    };
    assert_eq!(tools(DEMO), ["TW-3"]);
    let higher = demo_with("capacity = \"250 lbf-ft\"", "capacity = \"250 lbf-ft\"\nleast = \"90 lbf-ft\"");
    assert!(tools(&higher).is_empty());
    let wide = demo_with("capacity = \"250 lbf-ft\"", "capacity = \"450 lbf-ft\"");
    assert!(tools(&wide).is_empty(), "85 lbf-ft is under 20 % of 450");
    let certified =
        demo_with("capacity = \"250 lbf-ft\"", "capacity = \"450 lbf-ft\"\nleast = \"40 lbf-ft\"");
    assert_eq!(tools(&certified), ["TW-3"]);
}

#[test]
fn a_hold_stands_before_a_weld_without_a_procedure() {
    let reviews = |job: &str| {
        let bench = Bench::new(job, None);
        let routed = bench
            .planned(|p, _| {
                let all = p.problem.operations().iter().flat_map(|o| &o.points);
                all.filter(|p| p.kind == Kind::Hold && p.what.contains("qualified for J1")).count()
            })
            .unwrap();
        let printed = document(&bench);
        let points = printed.operations.iter().flat_map(|o| o.before.iter());
        let printed = points.filter(|p| p.what.text().contains("Procedure to be qualified for J1")).count();
        (routed, printed)
    };
    assert_eq!(reviews(JOB), (0, 0));
    assert_eq!(reviews(&edit(JOB, "wps = \"WPS-03\"\n", "")), (1, 1));
    assert_eq!(reviews(&edit(JOB, "amps = \"190 A\"", "amps = \"210 A\"")), (1, 1), "one that does not fit");
}

#[test]
fn the_head_page_lists_people_and_tools() {
    let page = document(&Bench::new(JOB, None));
    let person = |name: &str| page.head.people.iter().find(|p| p.name.as_deref() == Some(name)).unwrap();
    let welder = &person("Welder One").qualification;
    assert!(welder.contains("GMAW 6G pipe, AWS D1.1:2020: until 2026-08-20"), "{welder}");
    assert!(welder.contains("may weld J1, J2, J3, J4"), "{welder}");
    assert!(person("Inspector One").qualification.contains("level 2: until 2027-05-31"));
    let ids: Vec<_> = page.head.tools.iter().map(|t| t.id.as_str()).collect();
    assert!(ids.contains(&"TW-3") && ids.contains(&"AF-1") && ids.contains(&"M1"), "{ids:?}");
    assert!(!ids.contains(&"TW-4") && !ids.contains(&"M2"), "out of calibration, too weak: {ids:?}");
    let wrench = page.head.tools.iter().find(|t| t.id == "TW-3").unwrap();
    assert_eq!((wrench.until.as_str(), wrench.purpose.as_str()), ("2026-04-15", "B1, B2, B3, B4, B5, B8"));
    let card = &page.welds[0];
    let fact = |label: &str| card.facts.iter().find(|f| f.label == label).and_then(|f| f.value.clone());
    assert_eq!(fact("procedure").as_deref(), Some("WPS-03 rev 1, pqr PQR-03"));
    assert_eq!(fact("may weld it").as_deref(), Some("WO Welder One"), "Welder Two is not of this job");
    // Without people in the job, those of the book whose role is needed.
    let start = JOB.find("[[person]]").unwrap();
    let end = JOB.find("# ── What is wanted").unwrap();
    let page = document(&Bench::new(&format!("{}{}", &JOB[..start], &JOB[end..]), None));
    assert!(page.head.people.iter().any(|p| p.name.as_deref() == Some("Welder Two")));
}

/// A wire machine is set by feed, polarity and gas, not by a current alone.
#[test]
fn a_card_says_what_is_set_at_the_machine() {
    let page = document(&Bench::new(JOB, None));
    let fact = |joint: &str, label: &str| {
        let card = page.welds.iter().find(|c| c.id == joint).unwrap();
        card.facts.iter().find(|f| f.label == label).and_then(|f| f.value.clone()).unwrap_or_default()
    };
    assert_eq!(fact("J2", "filler"), "ER70S-6, 0.035 in");
    assert_eq!(fact("J2", "gas"), "75Ar/25CO2, 30 to 40 ft3/h");
    assert_eq!(fact("J2", "polarity, transfer"), "DCEP, short-circuit");
    assert_eq!(fact("J2", "position"), "5G; vertical runs upward");
    assert_eq!(fact("J1", "position"), "2F", "nothing vertical in it");
    // AWS D1.1:2015, table 4.5 (from memory): wire feed may vary by 10 %; 310 +/- 31.
    assert_eq!(fact("J2", "wire feed"), "310.0; 279.0 to 341.0 in/min");
    let notes: String =
        page.welds.iter().find(|c| c.id == "J2").unwrap().notes.iter().map(|n| n.text()).collect();
    assert!(
        notes.contains("0° at the top, clockwise seen from the wheel: segment 1: from 90° up to 0°"),
        "{notes}"
    );
    // What turns under the torch is laid on top all along.
    let turned = document(&Bench::new(&JOB.replace("position = \"5G\"", "position = \"1G\""), None));
    let card = turned.welds.iter().find(|c| c.id == "J2").unwrap();
    assert!(card.notes.iter().all(|n| !n.text().contains("up to")), "rolled");
}

/// Q = k U I / v with k = 0.8 for gas metal arc (EN 1011-1:2009, table 1): the
/// window a card prints follows from the ranges printed beside it.
#[test]
fn the_heat_window_follows_from_the_ranges_beside_it() {
    let page = document(&Bench::new(JOB, None));
    let numbers = |text: &str| -> Vec<f64> {
        text.split(|c: char| !c.is_ascii_digit() && c != '.').filter_map(|n| n.parse().ok()).collect()
    };
    let mut seen = 0;
    for card in &page.welds {
        let fact = |label: &str| {
            let value = card.facts.iter().find(|f| f.label == label).and_then(|f| f.value.clone());
            numbers(value.as_deref().unwrap_or_default().rsplit(';').next().unwrap_or_default())
        };
        let (amps, volts, travel, window) =
            (fact("amps"), fact("volts"), fact("travel"), fact("heat input window"));
        let ([i0, i1], [u0, u1], [v0, v1], [q0, q1]) = (&amps[..], &volts[..], &travel[..], &window[..])
        else {
            panic!("{}: {amps:?} {volts:?} {travel:?} {window:?}", card.id)
        };
        // 60 s in a minute, 1000 J in a kJ; the last shown place of each number.
        // AWS D1.1 counts the arc's energy whole, without a thermal efficiency.
        let heat = |u: f64, i: f64, v: f64| u * i * 60.0 / v / 1000.0;
        assert!((heat(*u0, *i0, *v1) - q0).abs() < 0.012 * q0, "{}: cold {q0}", card.id);
        assert!((heat(*u1, *i1, *v0) - q1).abs() < 0.012 * q1, "{}: hot {q1}", card.id);
        seen += 1;
    }
    assert_eq!(seen, 4);
}

#[test]
fn traceable_joints_get_a_box_for_heat_numbers() {
    // J1 of the demonstration is traceable, the others are not.
    let page = document(&Bench::new(JOB, None));
    // The box stands on the card of the joint, on the station page where it is welded.
    let asked = |joint: &str| {
        let cards: Vec<_> = page
            .stations
            .iter()
            .flat_map(|s| &s.blocks)
            .filter_map(|b| if let Block::Card(card) = b { Some(card) } else { None })
            .filter(|c| c.ids.iter().any(|id| id == joint))
            .collect();
        assert!(!cards.is_empty(), "no card of {joint}");
        cards.iter().flat_map(|c| &c.rows).any(|r| r.what == "heat numbers")
    };
    assert!(asked(&page.welds[0].id));
    assert!(!asked(&page.welds[1].id));
}

#[test]
fn preferences_stand_behind_what_the_job_states() {
    let metric = demo_with(
        "units = \"inch\"\nfraction = \"1/64\"\npaper = \"letter\"",
        "units = \"metric\"\nfraction = \"1/16\"\npaper = \"a4\"\ndisclaimer = \"Our own words.\"",
    );
    let read = |job: &str| {
        Bench::new(job, Some(&metric))
            .planned(|p, _| {
                let head = &p.loaded.job.job;
                (head.units, head.paper)
            })
            .unwrap()
    };
    assert_eq!(read(JOB), (Units::Inch, Paper::Letter), "the job states both");
    let silent = JOB.replace("units = \"inch\"\n", "").replace("paper = \"letter\"\n", "");
    assert_eq!(read(&silent), (Units::Metric, Paper::A4));
    let page = document(&Bench::new(JOB, Some(&metric)));
    assert_eq!(page.head.disclaimer[0].text(), "Our own words.");
    let fractions = |book: Option<&str>| {
        Bench::new(JOB, book)
            .planned(|p, _| {
                p.loaded.figures.rows.iter().map(|r| r.figure.show()).collect::<Vec<_>>().join("\n")
            })
            .unwrap()
    };
    let (fine, coarse) = (fractions(None), fractions(Some(&metric)));
    assert!(fine.contains("/64 in") || fine.contains("/32 in"), "{fine}");
    assert!(
        !coarse.contains("/64 in") && !coarse.contains("/32 in") && coarse.contains("/16 in"),
        "{coarse}"
    );
}

#[test]
fn the_shop_adds_rules_levels_and_procedures() {
    let rule = "\n[[rule]]\nid = \"no-grinding\"\ntitle = \"No grinding at all\"\nreason = \"Grit gets into bearings.\"\nsatisfy = \"Cut instead.\"\nwhen_acts = [\"arc\"]\nforbid_after = [\"torque\"]\n";
    let bench = Bench::new(JOB, Some(&format!("{DEMO}{rule}")));
    let Err(Failure::Refused(report, _)) = bench.planned(|_, _| ()) else {
        panic!("the rule was not looked at")
    };
    let broken = report.problems.iter().find(|p| p.code == "R150").unwrap();
    assert!(broken.message.contains("no-grinding"), "{broken:?}");
    // A rule that can't be used is located in the book.
    let idle = rule.replace("forbid_after = [\"torque\"]\n", "");
    let Err(Failure::Refused(report, _)) = Bench::new(JOB, Some(&format!("{DEMO}{idle}"))).shelf() else {
        panic!("an idle rule was taken")
    };
    assert!(report.problems.iter().any(|p| p.code == "S070" && p.span.is_some()));
    // Levels: a witness where the safety rules want a hold is refused by them.
    let lower = format!("{DEMO}\n[[level]]\npoint = \"fit-up\"\nlevel = \"witness\"\n");
    let shelf = Bench::new(JOB, Some(&lower)).shelf().unwrap();
    let points: Vec<_> = shelf.library.operations.values().flat_map(|o| &o.row.point).collect();
    let tagged: Vec<_> =
        points.iter().filter(|p| p.rule.as_ref().is_some_and(|r| &*r.0 == "fit-up")).collect();
    assert!(!tagged.is_empty() && tagged.iter().all(|p| p.kind == PointKind::Witness));
    assert!(matches!(Bench::new(JOB, Some(&lower)).planned(|_, _| ()), Err(Failure::Refused(..))));
    let unknown = format!("{DEMO}\n[[level]]\npoint = \"fitup\"\nlevel = \"hold\"\n");
    let Err(Failure::Refused(report, _)) = Bench::new(JOB, Some(&unknown)).shelf() else {
        panic!("unknown tag")
    };
    assert!(report.problems.iter().any(|p| p.code == "S071"));
    // A folder of procedures of the shop's own.
    let own = demo_with("paper = \"letter\"", "paper = \"letter\"\nprocedures = \"own\"");
    let bench = Bench::new(JOB, Some(&own));
    let file = "id = \"wash\"\ntitle = \"Wash the unit\"\napplies_to = [\"unit\"]\n\n[[operation]]\nid = \"wash-unit\"\nverb = \"protect\"\ntitle = \"Wash\"\nstation = \"bench\"\nminutes = 10\n[[operation.step]]\ntext = \"Wash it.\"\n";
    bench.with("own/wash.toml", file.as_bytes());
    assert!(bench.shelf().unwrap().library.procedures.contains_key("wash"));
    assert!(matches!(Bench::new(JOB, Some(&own)).shelf(), Err(Failure::System(_))), "the folder is missing");
}

#[test]
fn a_logo_is_printed_and_a_missing_one_is_said() {
    let own = demo_with("paper = \"letter\"", "paper = \"letter\"\nlogo = \"logo.svg\"");
    let bench = Bench::new(JOB, Some(&own));
    assert!(matches!(bench.shelf(), Err(Failure::System(_))));
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"40\" height=\"20\"><rect width=\"40\" height=\"20\" fill=\"#222\"/></svg>";
    bench.with("logo.svg", svg.as_bytes());
    let plain = Bench::new(JOB, None).planned(|p, _| issue::typeset(p).unwrap().1).unwrap();
    let marked = bench.planned(|p, _| issue::typeset(p).unwrap().1).unwrap();
    assert_eq!(marked.warnings, Vec::<String>::new());
    assert_ne!(plain.bytes.len(), marked.bytes.len());
}

#[test]
fn the_list_of_what_runs_out_names_rule_and_day() {
    let book = shop::book(&System, None).unwrap();
    let text = shop::book_lines(&book, day("2026-03-02"), 60, true).join("\n");
    for part in [
        "60 DAYS OF 2026-03-02",
        "ran out 152 days ago",
        "59 days left",
        "QW-322",
        "TW-3",
        "groove on pipe",
        "(from memory)",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let json = shop::book_json(&book, day("2026-03-02"), 60);
    assert_eq!(json["expiring"].as_array().unwrap().len(), 4);
    assert_eq!(json["qualifications"][3]["until"], "2026-06-15");
    let nothing = shop::book_lines(&book, day("2020-01-01"), 0, false);
    assert!(nothing.contains(&"  nothing".to_owned()));
    assert!(book.report.count(Severity::Error) == 0);
}

#[test]
fn what_must_be_settled_stands_before_the_first_metal_goes() {
    // Own rule: the text says "before anything is cut", and grinding a pad off is
    // a cut that cannot be taken back either.
    let crew = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/crew-cab.toml"));
    let no_shaft = edit(crew, "[[work]]\nprocedure = \"driveshaft\"\non = [\"rear-shaft\"]\n", "");
    for (job, first) in [(JOB, "review-lift"), (&*no_shaft, "pinion-as-found")] {
        let held = Bench::new(job, Some(DEMO))
            .planned(|plan, _| {
                let operations = &plan.selection.operations;
                let mut held = Vec::new();
                for (at, place) in plan.route.order.iter().enumerate() {
                    let here = &operations[*place];
                    if here.concerns.is_empty() {
                        continue;
                    }
                    let What::Library(here_row) = here.what else { panic!("of the library") };
                    held.push(here_row.row.id.0.clone());
                    for before in &plan.route.order[..at] {
                        let What::Library(o) = operations[*before].what else { continue };
                        let lasting =
                            o.row.acts.iter().any(|a| {
                                matches!(&*a.0, "loosen" | "cut-permanent" | "arc" | "tack" | "grind")
                            });
                        let same = operations[*before].component() == here.component();
                        assert!(!(lasting && same), "{} before {:?}", o.row.id.value, here.concerns);
                    }
                }
                held
            })
            .unwrap();
        assert!(held.iter().any(|id| id == first), "{held:?}");
    }
}

/// The sign of a move says which way; the tape reads how far.
#[test]
fn a_move_back_is_in_the_range_of_a_tape() {
    let job = std::fs::read_to_string("jobs/forest-carrier.toml").unwrap();
    let book = std::fs::read_to_string("jobs/shop.toml").unwrap();
    let codes = Bench::new(&job, Some(&book)).codes();
    assert!(codes.iter().all(|(code, _)| code != "S207"), "{codes:#?}");
    // What is longer than the tape is told as before, whichever way it goes.
    let short = book.replace("most = \"25 ft\"", "most = \"0.25 in\"");
    assert_ne!(short, book);
    let codes = Bench::new(&job, Some(&short)).codes();
    assert!(codes.iter().any(|(code, text)| code == "S207" && text.contains("is outside its")), "{codes:#?}");
}
