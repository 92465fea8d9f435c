//! Job files nobody would write on purpose: very large, very long, full of
//! markup, control characters and marks that turn the reading direction.

use proptest::prelude::*;
use tackwright::job;

use super::support::desk::{check, folder, issue, shipped};
use super::support::pdf;

fn hoist() -> String {
    folder("jobs", "toml").into_iter().find(|(n, _)| n == "hoist-frame").unwrap().1
}

/// The codes a text is refused with.
fn codes(text: &str) -> Vec<String> {
    let (_, problems) = check("job.toml", text, &shipped());
    let errors = problems.iter().filter(|p| p["severity"] == "error");
    errors.map(|p| p["code"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn a_file_above_the_limit_is_refused_and_one_below_is_read() {
    let comment = "# padding\n".repeat(5 * 1024 * 1024 / 10);
    let large = format!("{}{comment}", hoist());
    assert!(large.len() > 5 * 1024 * 1024);
    assert_eq!(codes(&large), ["J001"]);
    let fits = format!("{}{}", hoist(), &comment[..comment.len() - 20_000]);
    assert!(codes(&fits).is_empty());
}

#[test]
fn characters_that_are_not_seen_are_refused() {
    let text = hoist();
    let with = |mark: &str| text.replace("Hose hoist, station 1", &format!("Hose{mark} hoist"));
    for mark in [
        "\\u0000",
        "\\u0007",
        "\\u001B[31m",
        "\u{202E}",
        "\u{200F}",
        "\u{2066}",
        "\u{200B}",
        "\u{FEFF}",
        "\\u009F",
        // Unicode, DerivedCoreProperties, Default_Ignorable_Code_Point: soft hyphen,
        // joiner, filler, tag; and a private letter.
        "\u{AD}",
        "\u{34F}",
        "\u{3164}",
        "\u{E0041}",
        "\u{E000}",
    ] {
        assert_eq!(codes(&with(mark)), ["J012"], "{mark:?}");
    }
    // Raw control characters are not TOML at all.
    for mark in ["\0", "\u{1}", "\u{7F}"] {
        assert!(codes(&with(mark)).contains(&"J002".to_owned()), "{mark:?}");
    }
}

#[test]
fn long_lines_are_refused_where_they_stand_and_cut_in_messages() {
    let text = hoist();
    let long = "y".repeat(100_000);
    let (_, problems) = check("job.toml", &text.replace("Hose hoist, station 1", &long), &shipped());
    assert_eq!(problems[0]["code"], "J011");
    assert_eq!(problems[0]["place"]["column"], 8);
    let (_, problems) = check("job.toml", &format!("{text}\n[{long}]\n"), &shipped());
    assert_eq!(problems[0]["code"], "J003");
    assert!(problems[0]["message"].as_str().unwrap().chars().count() < 200);
    let (_, problems) = check("job.toml", &text.replace("\"72 in\"", &format!("\"{long}\"")), &shipped());
    assert_eq!(problems[0]["code"], "Q001");
    assert!(problems[0]["message"].as_str().unwrap().chars().count() < 400, "{}", problems[0]);
    // A comment may be as long as it likes.
    assert!(codes(&format!("# {long}\n{text}")).is_empty());
}

#[test]
fn markup_is_printed_as_it_was_typed() {
    const MARKUP: &str = r##"#set page(width: 1pt) $x^2$ *b* _i_ [l](x) \ <label> @ref // c /* d */ {{ 7*7 }} {% if %} </b>&amp;"##;
    let text = hoist();
    let toml = format!("'{MARKUP}'");
    let mut changed =
        text.replace("\"posts to foot plates, all round\"", &toml).replace("\"Lead One\"", &toml);
    changed = changed.replace("\"A frame for the hose hoist that stands on the old anchor bolts.\"", &toml);
    changed.push_str(&format!(
        "\n[[operation]]\nid = \"own\"\nverb = \"inspect\"\ntitle = {toml}\nstep = [{toml}]\nhold = {toml}\ncaution = {toml}\n"
    ));
    let (issued, bytes) = issue(&changed, &shipped()).unwrap();
    let pages = pdf::pages(&bytes);
    assert_eq!(pages.len(), issued.pages);
    let all: String = pages.iter().map(|p| p.text()).collect::<Vec<_>>().join("\n");
    let bare =
        |text: &str| text.chars().filter(|c| !c.is_whitespace() && *c != '\u{200B}').collect::<String>();
    let wanted = bare(MARKUP);
    assert!(bare(&all).matches(&wanted).count() >= 4, "{}", bare(&all).matches(&wanted).count());
}

#[test]
fn letters_of_every_script_and_endless_words_give_a_document() {
    let text = hoist();
    let odd = "\u{1F527}\u{1F6E0}\u{FE0F} 漢字 مرحبا עברית a\u{301}\u{301}\u{301}\u{301} Ω≈ç";
    let word = "WM".repeat(2000);
    let changed = text
        .replace("Hose hoist, station 1", odd)
        .replace("Welder Two", &word)
        .replace("Hoist frame welded to drawing HF-12", &word)
        .replace("beam to posts, all round", odd);
    let (issued, bytes) = issue(&changed, &shipped()).unwrap();
    let (plain, _) = issue(&text, &shipped()).unwrap();
    assert_eq!(pdf::pages(&bytes).len(), issued.pages);
    assert!(issued.pages < plain.pages + 10, "{} pages for {}", issued.pages, plain.pages);
}

/// Own operations, each after the one before it.
fn many(count: usize) -> String {
    let mut text = hoist();
    for n in 0..count {
        let after = if n > 0 { format!("after = [\"own-{}\"]\n", n - 1) } else { String::new() };
        text.push_str(&format!(
            "\n[[operation]]\nid = \"own-{n}\"\nverb = \"inspect\"\ntitle = \"Look at place {n}\"\n{after}"
        ));
    }
    text
}

#[test]
fn ten_thousand_operations_are_planned_and_refused_as_a_document() {
    let text = many(10_000);
    let shelf = shipped();
    let (sound, problems) = check("job.toml", &text, &shelf);
    assert!(sound, "{:?}", problems.first());
    let problems = super::support::desk::refused(issue(&text, &shelf).unwrap_err());
    assert_eq!(problems.len(), 1, "{problems:?}");
    assert_eq!(problems[0]["code"], "J208");
    assert!(problems[0]["message"].as_str().unwrap().contains("10015 operations"), "{}", problems[0]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// A job file with pieces cut out, doubled or replaced gives problems or a
    /// job, never a panic, and every problem has a place in the file.
    #[test]
    fn damaged_files_never_stop_the_reader(
        at in 0.0..1.0_f64,
        length in 0_usize..60,
        put in "[ -~\u{202E}é\n\"\\[\\]=]{0,40}",
    ) {
        let text = hoist();
        let floor = |i: usize| (0..=i).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place in the text")]
        let start = floor((at * text.len() as f64) as usize);
        let end = floor((start + length).min(text.len()));
        let damaged = format!("{}{put}{}", &text[..start], &text[end..]);
        let (job, report) = job::load("job.toml", &damaged);
        prop_assert!(job.is_some() || report.has_errors());
        for problem in &report.problems {
            let span = problem.span.as_ref().expect("a problem of a file has a place");
            prop_assert!(span.range.start <= damaged.len());
        }
    }
}
