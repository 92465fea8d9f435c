//! What the README tells people to type, typed.

use crate::support::bench::{Bench, START};

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

/// The lines of all blocks of a document that are typed, in order; a line that goes on
/// is one.
fn typed_lines(text: &str) -> Vec<String> {
    let blocks = text.split("```").skip(1).step_by(2).filter(|block| !block.starts_with("toml"));
    let joined = |block: &str| block.replace("\\\n", " ");
    blocks
        .flat_map(|block| joined(block).lines().map(str::to_owned).collect::<Vec<_>>())
        .map(|line| line.trim_start_matches("$ ").to_owned())
        .filter(|l| ["tackwright ", "cargo run -- ", "cd ", "export "].iter().any(|word| l.starts_with(word)))
        .collect()
}

/// A clone with nothing in it but what ships: every line is typed where the one before
/// left off.
#[test]
fn every_line_of_the_readme_runs_in_a_fresh_clone_in_the_order_it_is_printed() {
    let clone = tempfile::tempdir().unwrap();
    let jobs = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs");
    std::fs::create_dir(clone.path().join("jobs")).unwrap();
    for job in std::fs::read_dir(&jobs).unwrap().map(|e| e.unwrap().path()) {
        if job.extension().is_some_and(|e| e == "toml") {
            std::fs::copy(&job, clone.path().join("jobs").join(job.file_name().unwrap())).unwrap();
        }
    }
    let (mut place, mut at) = (clone.path().to_owned(), String::new());
    let (mut run, mut left) = (0, Vec::new());
    for line in typed_lines(include_str!("../../README.md")) {
        if let Some(folder) = line.strip_prefix("cd ") {
            place = place.join(folder).canonicalize().unwrap_or_else(|e| panic!("{line}: {e}"));
            continue;
        }
        if let Some(time) = line.strip_prefix("export AT=") {
            time.clone_into(&mut at);
            continue;
        }
        // A scan of somebody's paper is in no clone; `paper_pictures` takes scans in.
        if line.contains("scan.pdf") {
            left.push(line);
            continue;
        }
        let words = split(&line.replace("$AT", &at).replace("cargo run -- ", "tackwright "));
        if words.iter().any(|w| w == "seat.jpg") {
            std::fs::write(place.join("seat.jpg"), crate::support::picture::gusset()).unwrap();
        }
        let args: Vec<&str> = words.iter().skip(1).map(String::as_str).collect();
        // Some days after the demonstration was issued.
        let said = crate::support::program::call(&place, START + 5 * 86_400, &args, "");
        assert_eq!(said.code, 0, "{line}\n{}{}", said.out, said.err);
        run += 1;
    }
    assert_eq!(left.len(), 3, "{left:#?}");
    assert!(run >= 30, "{run} lines were run");
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
            "/bars:front-left-wrap-strip" => digits.to_owned(),
            _ => w.clone(),
        };
        let words: Vec<String> = command.iter().map(typed).collect();
        bench.yes(&words.iter().map(String::as_str).collect::<Vec<_>>());
    }
    assert!(bench.path("templates/tw-2041-a-stay-cope.pdf").exists());
    let status = bench.yes(&["status", "TW-2041"]).out;
    assert!(status.contains(&format!("sheet stay-cope {digits}: 100 mm bars measured 99.8 mm")), "{status}");
}
