//! Lines that are no TOML: each is shown with the writer's own line mended.

use tackwright::diagnostic::Diagnostic;
use tackwright::file::{Looks, looks};
use tackwright::job;

/// What is said first of a file that can't be parsed.
fn slip(text: &str) -> Diagnostic {
    let (_, report) = job::load("job.toml", text);
    let found = report.problems.iter().find(|p| p.code == "J002");
    found.unwrap_or_else(|| panic!("{text}: parses")).clone()
}

#[test]
fn a_broken_line_is_mended_and_never_another_one() {
    // Own examples: what programs and hands make of a line.
    for (line, write) in [
        ("od = “3.25 in”", "od = \"3.25 in\""),
        ("od = “3.25 in\"", "od = \"3.25 in\""),
        ("od = „3.25 in“", "od = \"3.25 in\""),
        ("od = \"3/16\"\"", "od = \"3/16\\\"\""),
        ("od = 3.25 in", "od = \"3.25 in\""),
        ("od = 1/2\"", "od = \"1/2\\\"\""),
        ("od = 3.25 in\"", "od = \"3.25 in\""),
        ("od = \"3.25 in", "od = \"3.25 in\""),
        ("od \"3.25 in\"", "od = \"3.25 in\""),
        ("od: \"3.25 in\"", "od = \"3.25 in\""),
        ("od: 3.25 in", "od = \"3.25 in\""),
        ("od =", "od = \"\""),
        ("od = \"3\\16 in\"", "od = \"3/16 in\""),
        ("outside diameter = \"3.25 in\"", "outside_diameter = \"3.25 in\""),
        ("od = \"3.25 in\";", "od = \"3.25 in\""),
        ("od = \"3.25 in\" measured", "od = \"3.25 in\" # measured"),
        ("od = \"3.25 in\" \"3 in\"", "od = \"3.25 in\" or od = \"3 in\""),
        ("od = 1-3/4", "od = \"1-3/4\""),
        ("// the tube", "# the tube"),
        ("role = [\"welder\" \"fitter\"]", "role = [\"welder\", \"fitter\"]"),
        ("role = [“welder”, “fitter”]", "role = [\"welder\", \"fitter\"]"),
        ("role = [welder, fitter]", "role = [\"welder\", \"fitter\"]"),
        ("role = [\"welder\", \"fitter\"\nstamp = \"1\"", "role = [\"welder\", \"fitter\"]"),
        ("side = under", "side = \"under\""),
        ("od = '3.25 in\"", "od = \"3.25 in\""),
        ("driven = True", "driven = true"),
        ("driven = yes", "driven = true"),
        ("od\u{a0}= \"3.25 in\"", "od = \"3.25 in\""),
        ("od = ½ in", "od = \"½ in\""),
        ("grip = .5", "grip = 0.5"),
        ("od = 3,25", "od = \"3.25\""),
        ("mass = 1,250", "mass = \"1,250\""),
        ("od == \"3.25 in\"", "od = \"3.25 in\""),
        ("date = March 2, 2026", "date = 2026-03-02"),
        ("date = 2 Mar 2026", "date = 2026-03-02"),
        ("thread = 5/16-18 UNC", "thread = \"5/16-18 UNC\""),
        ("role = \"welder\", \"fitter\"", "role = [\"welder\", \"fitter\"]"),
        ("od = \"3 in\" wall = \"1/4 in\"", "od = \"3 in\" # and wall = \"1/4 in\" in a line of its own"),
        ("title = \"front\naxle\"", "title = \"front axle\""),
        ("[axle,tube]", "[axle.tube]"),
        ("[axle/tube]", "[axle.tube]"),
        ("[shop] name = \"x\"", "[shop] # and name = \"x\" in a line of its own"),
        ("date = 31.03.2026", "date = 2026-03-31"),
        ("date = 3/31/2026", "date = 2026-03-31"),
        ("date = 3/4/2026", "date = 2026-04-03 or date = 2026-03-04"),
        ("[axle.tube", "[axle.tube]"),
        ("[axle tube]", "[axle.tube]"),
        ("[axle.tube]]", "[axle.tube]"),
        ("[[axle]", "[[axle]]"),
        ("a = 1\na = 2", "a = 1 or a = 2, one of the two"),
    ] {
        assert_eq!(slip(line).example, write, "{line}");
    }
    assert!(slip("[a]\nb = 1\n\n[a]\nc = 2").message.contains("in line 1"));
    assert!(slip("x = 1\n[a]\nb = 1\nb = 1").message.contains("in line 3"));
}

#[test]
fn days_keep_their_digits() {
    for (written, meant) in [
        ("\"31.03.2026\"", "2026-03-31"),
        ("\"3/31/2026\"", "2026-03-31"),
        ("\"03/04/2026\"", "2026-04-03 or 2026-03-04"),
        ("\"5/5/2026\"", "2026-05-05"),
        ("\"31 March 2026\"", "2026-03-31"),
        ("\"Mar 31st, 2026\"", "2026-03-31"),
        ("\"2026/3/31\"", "2026-03-31"),
        ("\"2026-31-03\"", "2026-03-31"),
        ("\"2026-02-30\"", "2026-02-…"),
        ("\"31-3-26\"", "2026-03-31"),
    ] {
        let (_, report) = job::load("job.toml", &format!("[job]\ndate = {written}\n"));
        let found = report
            .problems
            .iter()
            .find(|p| matches!(p.code, "J014" | "J018"))
            .unwrap_or_else(|| panic!("{written}"));
        assert_eq!(found.example, format!("date = {meant}"), "{written}");
    }
}

#[test]
fn a_line_that_went_wrong_says_it_once() {
    let (_, report) = job::load("job.toml", "[job]\ntitle: \"x y\"\n// asked\n");
    let lines: Vec<usize> = report
        .problems
        .iter()
        .filter(|p| p.code == "J002")
        .map(|p| p.span.as_ref().unwrap().range.start)
        .collect();
    assert_eq!(lines.len(), 2, "{report:#?}");
}

#[test]
fn two_bytes_for_each_letter_are_known_with_and_without_their_mark() {
    let wide = |text: &str| text.encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<u8>>();
    let swapped = |text: &str| text.encode_utf16().flat_map(u16::to_be_bytes).collect::<Vec<u8>>();
    let text = "[job]\nnumber = \"TW-1\"\n";
    for bytes in [wide(text), swapped(text), wide(&format!("\u{feff}{text}"))] {
        assert_eq!(looks(&bytes), Looks::Utf16);
    }
    assert!(matches!(looks(format!("\u{feff}{text}").as_bytes()), Looks::Text { .. }));
}

/// How often there is a table of the name, the reader of the file knows.
#[test]
fn a_heading_is_mended_to_one_the_file_may_have() {
    let rest = "id = \"LO\"\nname = \"Lead One\"\nrole = [\"lead\"]\n";
    let after = format!("\n[[person]]\n{}", rest.replace("LO", "WO"));
    for wrong in [
        "[person]]",
        "[[person]",
        "[ person",
        "[person",
        "[[person",
        "[ [person]]",
        "[[person ]",
        "(person)",
        "person]]",
        "{person}",
        "<person>",
        "[\"person\"",
    ] {
        for behind in ["", &after] {
            let text = format!("[job]\nnumber = \"TW-1\"\n\n{wrong}\n{rest}{behind}");
            let (_, report) = job::load("job.toml", &text);
            let slips: Vec<&Diagnostic> = report.problems.iter().filter(|p| p.code == "J002").collect();
            assert_eq!(slips.len(), 1, "{wrong}: {slips:#?}");
            let at = slips[0].span.as_ref().unwrap().range.start;
            assert_eq!(text[..at].matches('\n').count(), 3, "{wrong}: the wrong line");
            assert_eq!(slips[0].example, "[[person]]", "{wrong}");
        }
    }
    // A single one stays single.
    for wrong in ["[shop]]", "[ shop", "[shop", "shop]"] {
        let text = format!("[job]\nnumber = \"TW-1\"\n\n{wrong}\nname = \"x\"\n");
        let (_, report) = job::load("job.toml", &text);
        let slip = report.problems.iter().find(|p| p.code == "J002").unwrap();
        assert_eq!(slip.example, "[shop]", "{wrong}");
    }
}
