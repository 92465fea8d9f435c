//! The shop book: what a test qualifies and until when, and wrong books.

use chrono::NaiveDate;
use tackwright::diagnostic::Severity;
use tackwright::quantity::{Current, Dimensioned, Kind, Length, Quantity, Temperature, Voltage, parse, unit};
use tackwright::shop::expiry::expiring;
use tackwright::shop::model::{Book, Form, WeldKind};
use tackwright::shop::position::{self, Place, Position, Progression};
use tackwright::shop::process::{FillerGroup, f_number, fm_group};
use tackwright::shop::qualify::validity::validity;
use tackwright::shop::qualify::{Thickness, derive, tolerance};
use tackwright::shop::{self, Band, DEMO};

pub(super) fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

pub(super) fn length(text: &str) -> Length {
    parse::quantity(Kind::Length, text).ok().and_then(Quantity::typed).unwrap()
}

/// A book that must be free of errors.
pub(super) fn book(text: &str) -> Book {
    let (book, report) = shop::load("shop.toml", text);
    let errors: Vec<_> = report.problems.iter().filter(|p| p.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    book.unwrap()
}

/// The demonstration with one text replaced; it must be there.
pub(super) fn demo_with(from: &str, to: &str) -> String {
    assert!(DEMO.contains(from), "the demonstration has no {from}");
    DEMO.replacen(from, to, 1)
}

fn rows(file: &str) -> Vec<toml::Table> {
    let path = format!("{}/tests/cases/shop/{file}", env!("CARGO_MANIFEST_DIR"));
    let table: toml::Table = std::fs::read_to_string(path).unwrap().parse().unwrap();
    table["row"].as_array().unwrap().iter().map(|r| r.as_table().unwrap().clone()).collect()
}

fn place(text: &str) -> (Place, &str) {
    use Place::{Flat, Horizontal, Overhead, VerticalDown, VerticalUp};
    for one in [Flat, Horizontal, VerticalUp, VerticalDown, Overhead] {
        if let Some(rest) = text.strip_prefix(one.word()) {
            return (one, rest.trim());
        }
    }
    panic!("no place in {text}");
}

#[test]
fn ranges_follow_from_the_test_by_the_standard() {
    let all = rows("ranges.toml");
    assert!(all.len() > 20);
    for row in all {
        let source = row["source"].as_str().unwrap();
        let mut test = row["test"].as_table().unwrap().clone();
        for (key, value) in
            [("id", "Q"), ("person", "W"), ("date", "2025-01-01"), ("last_used", "2025-01-01")]
        {
            test.insert(key.to_owned(), value.into());
        }
        let mut file: toml::Table =
            "title = \"t\"\n[[person]]\nid = \"W\"\nname = \"W\"\nrole = [\"welder\"]".parse().unwrap();
        file.insert("qualification".to_owned(), toml::Value::Array(vec![test.into()]));
        let book = book(&toml::to_string(&file).unwrap());
        let derived = derive(&book.qualification[0]);
        assert!(!derived.sources.is_empty(), "{source}");
        let covers = |probe: &str| {
            let (kind, rest) = probe.split_once(' ').unwrap();
            let (form, rest) = rest.split_once(' ').unwrap();
            let (place, rest) = place(rest);
            let (thickness, od) = match rest.split_once(" od ") {
                Some((t, od)) => (length(t), Some(length(od))),
                None => (length(rest), None),
            };
            derived.ranges.iter().any(|r| {
                r.kind == WeldKind::of(kind).unwrap()
                    && r.form == Form::of(form).unwrap()
                    && r.places.contains(&place)
                    && r.thickness.contains(thickness)
                    && od.is_none_or(|d| r.diameter.contains(d))
            })
        };
        for (list, wanted) in [("yes", true), ("no", false)] {
            let probes = row[list].as_array().unwrap();
            assert!(!probes.is_empty());
            for probe in probes {
                let probe = probe.as_str().unwrap();
                assert_eq!(covers(probe), wanted, "{source}: {list} {probe}\n{:#?}", derived.ranges);
            }
        }
    }
}

#[test]
fn editions_cite_their_own_clauses() {
    for (edition, clause) in [("AWS D1.1:2015", "table 4.11"), ("AWS D1.1:2020", "table 6.11")] {
        let book = book(&demo_with("standard = \"AWS D1.1:2020\"", &format!("standard = \"{edition}\"")));
        let derived = derive(&book.qualification[0]);
        assert!(derived.sources.iter().any(|s| s.title == edition && s.place.contains(clause)));
        assert!(derived.sources.iter().all(|s| s.from_memory && s.to_string().contains("(from memory)")));
        let rule = validity(&book, &book.qualification[0], day("2026-03-02")).source;
        assert_eq!(rule.title, edition);
    }
    let plate = book(&demo_with("thickness = \"3/8 in\"", "thickness = \"1/4 in\""));
    assert!(derive(&plate.qualification[0]).ranges.is_empty(), "the table starts at 3/8 in");
}

#[test]
fn six_months_run_to_the_day() {
    // AWS D1.1:2015 4.1.3, ASME IX QW-322: over six months without the process.
    for (used, last) in
        [("2026-02-20", "2026-08-20"), ("2025-08-31", "2026-02-28"), ("2025-12-31", "2026-06-30")]
    {
        let text = DEMO.replace("last_used = 2026-02-20", &format!("last_used = {used}"));
        let book = book(&text);
        assert_eq!(validity(&book, &book.qualification[0], day("2026-03-02")).until(), day(last), "{used}");
    }
}

#[test]
fn continuity_is_by_process_under_the_us_codes_and_by_certificate_under_iso() {
    // The tube test was used later: the plate test with the same process lives on.
    let text = demo_with("last_used = 2026-02-20", "last_used = 2025-01-10");
    let book = book(&text);
    let until = |id: &str| {
        let test = book.qualification.iter().find(|q| q.id.0 == id).unwrap();
        validity(&book, test, day("2026-03-02"))
    };
    assert_eq!(until("Q-WO-PLATE").until(), day("2026-08-20"));
    // Stick keeps its own clock.
    assert_eq!(until("Q-WO-STICK").until(), day("2026-04-30"));
    // ISO 9606-1:2012, 9.3 b): two years; the confirmation runs out first.
    let iso = until("Q-WT-FILLET");
    assert_eq!((iso.continuity, iso.retest), (day("2026-06-15"), Some(day("2027-05-05"))));
}

#[test]
fn a_use_that_is_still_to_come_keeps_no_test_alive() {
    // A slip of the year in one test, read on a day before it.
    let slip = book(&DEMO.replacen("last_used = 2026-02-20", "last_used = 2027-11-19", 1));
    let tube = slip.qualification.iter().find(|q| q.id.0 == "Q-WO-TUBE").unwrap();
    assert_eq!(validity(&slip, tube, day("2026-03-02")).until(), day("2026-08-20"));
    assert_eq!(validity(&slip, tube, day("2027-12-01")).until(), day("2028-05-19"));
}

#[test]
fn iso_revalidation_has_three_ways() {
    for (way, last) in [("a", Some("2028-05-05")), ("b", Some("2027-05-05")), ("c", None)] {
        let book = book(&demo_with("revalidation = \"b\"", &format!("revalidation = \"{way}\"")));
        let test = book.qualification.iter().find(|q| q.id.0 == "Q-WT-FILLET").unwrap();
        assert_eq!(validity(&book, test, day("2026-03-02")).retest, last.map(day), "{way}");
    }
    let renewed = book(&demo_with("revalidation = \"b\"", "revalidation = \"b\"\nrevalidated = 2026-02-01"));
    let test = renewed.qualification.iter().find(|q| q.id.0 == "Q-WT-FILLET").unwrap();
    assert_eq!(validity(&renewed, test, day("2026-03-02")).retest, Some(day("2028-02-01")));
}

#[test]
fn what_runs_out_is_listed_with_its_edges() {
    let book = book(DEMO);
    let ids = |on: &str, within| {
        expiring(&book, day(on), within).into_iter().map(|e| (e.id, e.days)).collect::<Vec<_>>()
    };
    let found = ids("2026-03-02", 60);
    let wanted = [("TW-4", -152), ("UT-1", 30), ("TW-3", 44), ("Q-WO-STICK", 59)];
    assert_eq!(found, wanted.map(|(id, days)| (id.to_owned(), days)));
    assert!(ids("2026-03-02", 58).iter().all(|(id, _)| id != "Q-WO-STICK"));
    assert!(ids("2026-04-01", 0).contains(&("UT-1".to_owned(), 0)), "the last day is still listed");
    assert!(ids("2026-03-31", 0).iter().all(|(id, _)| id != "UT-1"));
}

#[test]
fn qualified_values_leave_the_code_limits() {
    // AWS D1.1:2015 table 4.5: 180 A gives 162 to 198 A, 22 V gives 20.46 to 23.54 V.
    let amps = tolerance::current("GMAW", Current::of(180.0, unit::A)).unwrap();
    let ends = |b: Band<Current>| (b.low.unwrap().to(unit::A), b.high.unwrap().to(unit::A));
    let (low, high) = ends(amps);
    assert!((low - 162.0).abs() < 1e-9 && (high - 198.0).abs() < 1e-9);
    let volts = tolerance::voltage("FCAW", Voltage::of(22.0, unit::V)).unwrap();
    assert!((volts.low.unwrap().to(unit::V) - 20.46).abs() < 1e-9);
    assert!((volts.high.unwrap().to(unit::V) - 23.54).abs() < 1e-9);
    let (low, high) = ends(tolerance::current("GTAW", Current::of(100.0, unit::A)).unwrap());
    assert!((low - 75.0).abs() < 1e-9 && (high - 125.0).abs() < 1e-9);
    assert!(tolerance::current("SMAW", Current::of(100.0, unit::A)).is_none(), "the maker's range counts");
    assert!(tolerance::voltage("SMAW", Voltage::of(22.0, unit::V)).is_none());
    // 25 °F lower, 100 °F for GTAW (from memory).
    for (process, last) in [("GMAW", 225.0), ("GTAW", 150.0)] {
        let least = tolerance::preheat(process, Temperature::of(250.0, unit::DEGF));
        assert!((least.to(unit::DEGF) - last).abs() < 1e-9);
    }
}

#[test]
fn filler_groups_cover_each_other_as_the_codes_say() {
    // AWS D1.1 table 4.13, ASME IX QW-432 and QW-433 (from memory).
    let fillers = [("E6010", 3), ("E6013", 2), ("E7018", 4), ("E7024", 1), ("ER70S-6", 6), ("E71T-1", 6)];
    for (name, number) in fillers {
        assert_eq!(f_number(name), Some(number), "{name}");
    }
    assert_eq!(f_number("XYZ"), None);
    assert_eq!(
        (fm_group("ER70S-6"), fm_group("ER110S-1"), fm_group("E8018-B2")),
        (Some(1), Some(2), Some(3))
    );
    let covers = |a: &str, b: &str| FillerGroup::of(a).unwrap().covers(FillerGroup::of(b).unwrap());
    assert!(covers("F4", "F-No. 1") && covers("F4", "F3") && !covers("F3", "F4") && !covers("F4", "F6"));
    assert!(covers("F6", "F6") && !covers("F6", "F4") && covers("FM2", "FM1") && !covers("FM1", "FM3"));
    assert!(!covers("F4", "FM1") && FillerGroup::of("F9").is_none());
}

#[test]
fn positions_are_read_as_written() {
    let (found, unknown) = position::parse("2F, 3F and sideways");
    assert_eq!((found, unknown), (vec![Position::F2, Position::F3], vec!["sideways".to_owned()]));
    let five = Position::G5.needs(Progression::Down);
    assert_eq!(five, [Place::Flat, Place::VerticalDown, Place::Overhead]);
}

#[test]
fn the_demonstration_is_a_sound_book() {
    let (book, report) = shop::load("shop.toml", DEMO);
    assert!(book.is_some());
    assert_eq!(report.problems, vec![]);
    // Ranges are never written down, only tests.
    let book = book.unwrap();
    for test in &book.qualification {
        assert!(!derive(test).ranges.is_empty());
        assert!(derive(test).ranges.iter().any(|r| matches!(r.of, Thickness::Base | Thickness::Deposit)));
    }
}

#[test]
fn wrong_books_say_where_and_what() {
    let all = rows("wrong.toml");
    assert!(all.len() > 35);
    for row in all {
        let get = |key: &str| row[key].as_str().unwrap();
        let text = demo_with(get("from"), get("to"));
        let (_, report) = shop::load("shop.toml", &text);
        let marks: Vec<_> = report
            .problems
            .iter()
            .filter(|p| p.severity == Severity::Error)
            .map(|p| (p.code, &text[p.span.as_ref().unwrap().range.clone()]))
            .collect();
        assert!(
            marks.iter().any(|(code, mark)| *code == get("code") && *mark == get("at")),
            "{} -> {}: {marks:?}",
            get("from"),
            get("to")
        );
        for problem in &report.problems {
            assert!(!problem.message.is_empty() && !problem.expected.is_empty(), "{problem:?}");
        }
    }
    // A test entered twice overlaps itself.
    let start = DEMO.find("[[qualification]]\nid = \"Q-WT-FILLET\"").unwrap();
    let end = start + 1 + DEMO[start + 1..].find("[[qualification]]").unwrap();
    let twice = DEMO[start..end].replace("Q-WT-FILLET", "Q-WT-AGAIN");
    let text = format!("{}{twice}{}", &DEMO[..end], &DEMO[end..]);
    let (_, report) = shop::load("shop.toml", &text);
    assert!(report.problems.iter().any(|p| p.code == "S030" && p.message.contains("overlap")));
}

#[test]
fn bands_meet_without_overlap() {
    let band = |a, b| Band::between(Length::of(a, unit::IN), Length::of(b, unit::IN));
    assert!(!band(0.125, 0.75).overlaps(&band(0.75, 1.5)));
    assert!(band(0.125, 0.76).overlaps(&band(0.75, 1.5)));
    assert!(Band::<Length>::any().overlaps(&band(0.1, 0.2)) && Band::<Length>::any().covers(&band(0.1, 0.2)));
    assert!(!band(0.1, 0.2).covers(&Band::from(Length::of(0.15, unit::IN))));
}
