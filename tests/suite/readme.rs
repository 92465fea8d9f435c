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
