//! What a job does not tell is not known: a figure that rests on it is open, and none is computed
//! as if it were nothing. Values are those of the demonstrations, invented.

use tackwright::job;
use tackwright::procedure::figures::{self, JobFigures, Owner};
use tackwright::shop;

/// Tables whose absence changes what is done, and not only what is known of it.
const WORK: &[&str] = &["[[work]]"];

fn demonstrations() -> Vec<(&'static str, String)> {
    ["brush-truck", "crew-cab", "forest-carrier", "hoist-frame", "pump-trailer"]
        .into_iter()
        .map(|name| {
            let path = format!("{}/jobs/{name}.toml", env!("CARGO_MANIFEST_DIR"));
            (name, std::fs::read_to_string(path).expect("a demonstration"))
        })
        .collect()
}

/// Figures of a job; none where it is refused.
fn computed(text: &str) -> Option<JobFigures> {
    let (job, report) = job::load("job.toml", text);
    let (book, _) = shop::load("shop.toml", shop::DEMO);
    Some(figures::compute(&job.filter(|_| !report.has_errors())?, book.as_ref()))
}

/// A job without one of its tables, by the line of its head.
fn without(text: &str, head: usize) -> String {
    let lines: Vec<&str> = text.lines().collect();
    let end = (head + 1..lines.len()).find(|n| lines[*n].starts_with('[')).unwrap_or(lines.len());
    [&lines[..head], &lines[end..]].concat().join("\n")
}

/// Named figures that have another value than in `before`, in words.
fn changed(before: &JobFigures, after: &JobFigures) -> Vec<String> {
    let named = before.rows.iter().filter(|row| !row.name.is_empty());
    named
        .filter_map(|row| {
            let (was, is) = (row.figure.value.show(), after.named(&row.owner, row.name)?.value.show());
            (was != is).then(|| format!("{} {}: {was}, now {is}", row.owner.words(), row.name))
        })
        .collect()
}

fn needs(sheet: &JobFigures) -> String {
    sheet.missing.iter().map(|m| m.why.as_str()).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_table_that_is_not_there_leaves_figures_open_and_changes_none() {
    let (mut taken_out, mut opened) = (0, 0);
    for (name, text) in demonstrations() {
        let whole = computed(&text).expect("a sound job");
        let heads = text.lines().enumerate().filter(|(_, line)| line.starts_with('['));
        for (head, line) in heads.filter(|(_, line)| !WORK.contains(line)) {
            // A job without it that is refused says what is wrong.
            let Some(sheet) = computed(&without(&text, head)) else { continue };
            let changed = changed(&whole, &sheet);
            assert!(changed.is_empty(), "{name} without {line} (line {}): {changed:#?}", head + 1);
            taken_out += 1;
            opened += usize::from(sheet.missing.len() > whole.missing.len());
        }
    }
    assert!(taken_out > 60 && opened > 12, "{taken_out} {opened}");
}

#[test]
fn what_is_open_names_the_table_and_the_key_that_would_tell_it() {
    let demonstrations = demonstrations();
    let truck = &demonstrations[0].1;
    let front = Owner::Component("front".to_owned());
    for (table, figure, key) in [
        ("[axle.spring]", "lift", "axle.spring.seat_old"),
        ("[axle.spring]", "pinion_target", "the lift"),
        ("[axle.pad]", "pinion_target", "axle.pad.hole_offset"),
        ("[axle.pad]", "wheelbase_left", "axle.pad.hole_offset"),
        ("[axle.tube]", "approach_after", "the lift at both axles"),
    ] {
        let head = truck.lines().position(|line| line == table).expect("its head");
        let sheet = computed(&without(truck, head)).expect("it is no refusal");
        assert!(sheet.named(&front, figure).is_none(), "{figure} without {table}");
        let open = sheet.missing.iter().find(|m| m.owner == front && m.names.contains(&figure));
        let open = open.unwrap_or_else(|| panic!("{figure} without {table}: {}", needs(&sheet)));
        assert!(open.why.contains(key), "{figure} without {table}: {}", open.why);
        // What the job does state is not asked again.
        assert!(!open.why.contains("other_axle_lift"), "{figure} without {table}: {}", open.why);
    }
}

#[test]
fn an_angle_or_offset_nobody_read_is_not_taken_as_nothing() {
    let demonstrations = demonstrations();
    let truck = &demonstrations[0].1;
    let (front, left) =
        (Owner::Component("front".to_owned()), Owner::Side("front".to_owned(), figures::Side::Left));
    for (line, owner, open, stays) in [
        ("offset = \"-1.5 in\"\n", &front, &["pinion_target", "housing_turn"][..], "lift"),
        ("layout = ", &front, &["pinion_target", "housing_turn"][..], "lift"),
        ("inclination = ", &left, &["kpi_after", "camber_after", "toe_after"][..], "knuckle_rotation"),
        ("camber = ", &left, &["camber_after", "toe_after"][..], "kpi_after"),
        ("toe = ", &left, &["toe_after"][..], "camber_after"),
    ] {
        let start = truck.find(line).expect("the line");
        let end = start + truck[start..].find('\n').expect("its end") + 1;
        let sheet = computed(&format!("{}{}", &truck[..start], &truck[end..])).expect("no refusal");
        for name in open {
            assert!(sheet.named(owner, name).is_none(), "{name} without {line}");
            assert!(sheet.missing.iter().any(|m| m.owner == *owner && m.names.contains(name)), "{name}");
        }
        assert!(sheet.named(owner, stays).is_some(), "{stays} without {line}");
    }
}

#[test]
fn an_axle_that_is_not_worked_on_needs_no_table_to_stay_as_it_is() {
    // The work leaves the springs: the frame rises by nothing there, and that is known.
    let demonstrations = demonstrations();
    let truck = &demonstrations[0].1;
    let head = truck.lines().position(|line| line == "[axle.spring]").expect("its head");
    let sprung = without(truck, head);
    // Only the knuckles are turned now.
    let mut knuckles = String::new();
    for part in sprung.split_inclusive("\n\n") {
        if !part.contains("[[work]]") || part.contains("knuckle-reindex") {
            knuckles.push_str(part);
        }
    }
    let sheet = computed(&knuckles).unwrap_or_else(|| panic!("refused:\n{knuckles}"));
    let front = Owner::Component("front".to_owned());
    let pitch = sheet.named(&front, "ride_pitch").unwrap_or_else(|| panic!("{}", needs(&sheet)));
    // The rear of the demonstration is raised by 6 in over its wheelbase of 118 in: nose down,
    // atan(6 / 118) = 2.911 deg (by hand).
    let degrees = pitch.value.quantity().expect("an angle").si().to_degrees();
    assert!((degrees + 2.911).abs() < 0.01, "{degrees}");
}
