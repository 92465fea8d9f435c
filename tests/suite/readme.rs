//! What the README tells people to type, typed.

use crate::support::bench::Bench;

/// The commands of the README after a word, up to the end of their block, each as
/// its arguments; `$AT` is the time it sets.
fn commands(after: &str) -> Vec<Vec<String>> {
    let text = include_str!("../../README.md");
    let from = text.find(after).unwrap_or_else(|| panic!("the README has no {after:?}"));
    let block = text[from..].split("```").nth(1).unwrap();
    let at = block.lines().find_map(|l| l.strip_prefix("export AT=")).unwrap_or_default();
    block
        .lines()
        .map(|l| l.trim_start_matches("$ "))
        .filter(|l| l.starts_with("tackwright "))
        .map(|l| split(&l.replace("$AT", at)).split_off(1))
        .collect()
}

/// The words of a line as a shell parts them.
fn split(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            '#' if !quoted && words.last().is_some_and(String::is_empty) => break,
            ' ' if !quoted => words.push(String::new()),
            c => words.last_mut().unwrap().push(c),
        }
    }
    words.retain(|w| !w.is_empty());
    words
}

#[test]
fn the_record_of_the_readme_is_kept_as_it_says() {
    let mut bench = Bench::new();
    bench.yes(&["issue", "job.toml", "--at", "2026-03-02T08:00:00-06:00"]);
    bench.now += 5 * 86_400;
    let all = commands("**6. Keep the record");
    assert!(all.len() >= 8, "{all:?}");
    for command in all {
        let words: Vec<&str> = command.iter().map(String::as_str).collect();
        bench.yes(&words);
    }
}

/// The job with the sheet and the part the README shows is issued; its sheets are drawn
/// and the bars entered as the README says.
#[test]
fn the_shapes_of_the_readme_are_drawn_and_their_bars_entered() {
    let text = include_str!("../../README.md");
    let shown = text.split("```toml\n").find(|t| t.starts_with("[[sheet]]")).expect("a sheet in the README");
    let more = shown.split("```").next().unwrap();
    assert!(more.contains("[[weldment.part]]"), "{more}");
    let bench = Bench::small();
    let job = bench.text("job.toml");
    bench.write("job.toml", format!("{job}\n{more}"));
    bench.yes(&["issue", "job.toml"]);
    let status = bench.yes(&["status", "TW-2041"]).out;
    let named = status.split("sheet stay-cope ").nth(1).unwrap_or_else(|| panic!("{status}"));
    let digits = &named[..9];
    let all = commands("Shapes at full size, to wrap");
    assert!(all.iter().any(|c| c[0] == "bars") && all.len() == 4, "{all:?}");
    for command in all {
        let typed = |w: &String| match w.as_str() {
            "jobs/brush-truck.toml" => "job.toml".to_owned(),
            "1a2b3c4d5" => digits.to_owned(),
            _ => w.clone(),
        };
        let words: Vec<String> = command.iter().map(typed).collect();
        bench.yes(&words.iter().map(String::as_str).collect::<Vec<_>>());
    }
    assert!(bench.path("templates/tw-2041-a-stay-cope.pdf").exists());
    let status = bench.yes(&["status", "TW-2041"]).out;
    assert!(status.contains(&format!("sheet stay-cope {digits}: 100 mm bars measured 99.8 mm")), "{status}");
}

#[test]
fn the_figures_of_the_readme_are_answered() {
    let bench = Bench::new();
    let all = commands("**At the bench**");
    assert!(all.len() >= 3, "{all:?}");
    for command in all {
        let words: Vec<&str> = command.iter().map(String::as_str).collect();
        bench.yes(&words);
    }
}
