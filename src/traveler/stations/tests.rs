//! Runs of operations, their pieces and their rows.

use super::*;
use crate::plan::Words;

fn operation(number: u32, station: &str) -> Operation {
    Operation {
        number,
        verb: "cut".to_owned(),
        title: format!("work {number}"),
        station: station.to_owned(),
        role: Some("welder".to_owned()),
        minutes: 30,
        ..Operation::default()
    }
}

fn hold(number: &str) -> Point {
    Point {
        kind: PointKind::Hold,
        number: number.to_owned(),
        who: "shop lead".to_owned(),
        ..Point::default()
    }
}

fn long(mut operation: Operation) -> Operation {
    operation.steps = (1..=30)
        .map(|n| Step {
            number: n,
            level: Level::Practice,
            text: Words::plain("one line"),
            ..Step::default()
        })
        .collect();
    operation
}

fn reading(label: &str, mark: Option<&str>) -> Reading {
    Reading {
        id: label.replace(", ", "."),
        label: label.to_owned(),
        mark: mark.map(str::to_owned),
        target: Some("≤ 1/8 in".to_owned()),
        ..Reading::default()
    }
}

#[test]
fn a_station_ends_where_the_place_changes_and_behind_a_hold() {
    let mut held = operation(20, "weld bay");
    held.after.push(hold("H1"));
    let work = [operation(10, "weld bay"), held, long(operation(30, "weld bay")), operation(40, "road")];
    let stations = of(&work, &[], 0);
    let numbers: Vec<_> = stations.iter().map(|s| s.operations.clone()).collect();
    assert_eq!(numbers, [vec![10, 20], vec![30], vec![40]]);
    assert_eq!(stations[0].end.as_deref(), Some("hold H1"));
    assert_eq!(stations[0].time, "1 h");
    assert_eq!(stations.iter().map(|s| s.letter.as_str()).collect::<String>(), "ABC");
}

#[test]
fn a_hold_before_an_operation_closes_the_page_in_front_of_it() {
    let mut cut = operation(20, "weld bay");
    cut.before.push(hold("H6"));
    let stations = of(&[operation(10, "weld bay"), cut], &[], 0);
    assert_eq!(stations.len(), 2);
    let last = stations[0].blocks.last();
    assert!(matches!(last, Some(Block::Point(p)) if p.number == "H6"), "{last:?}");
    assert!(!stations[1].blocks.iter().any(|b| matches!(b, Block::Point(_))));
}

#[test]
fn a_hold_before_the_first_operation_of_all_is_not_lost() {
    let mut first = operation(10, "lift");
    first.before.push(hold("H1"));
    let stations = of(&[first], &[], 0);
    assert!(matches!(&stations[0].blocks[0], Block::Point(p) if p.number == "H1"));
}

#[test]
fn a_small_place_shares_a_page_with_the_next() {
    let stations = of(&[operation(10, "road"), operation(20, "lift")], &[], 3);
    assert_eq!(stations.len(), 1);
    assert_eq!(stations[0].place, "road, lift");
    assert_eq!(stations[0].letter, "D");
}

#[test]
fn letters_skip_what_reads_as_a_digit() {
    assert_eq!(letter(7), "H");
    assert_eq!(letter(8), "J");
    assert_eq!(letter(23), "Z");
    assert_eq!(letter(24), "AA");
}

#[test]
fn left_and_right_share_a_row_and_unlike_limits_are_told_apart() {
    let mut right = reading("caster, right", Some("right"));
    right.target = Some("≤ 1/4 in".to_owned());
    let list = [reading("caster, left", Some("left")), right, reading("toe", None)];
    let rows = rows::of(list.iter());
    assert_eq!(rows.len(), 2);
    assert_eq!(rows[0].what, "caster");
    assert_eq!(rows[0].limits, ["left: ≤ 1/8 in", "right: ≤ 1/4 in"]);
    assert_eq!(rows[1].limits, ["≤ 1/8 in"]);
}

#[test]
fn four_places_of_one_wall_share_a_row() {
    let list: Vec<Reading> = ["top", "front", "bottom", "rear"]
        .iter()
        .map(|p| reading(&format!("wall, {p}, left"), None))
        .collect();
    let rows = rows::of(list.iter());
    assert_eq!(rows.len(), 1);
    assert_eq!(rows[0].what, "wall, left");
    let marks: Vec<_> = rows[0].boxes.iter().filter_map(|b| b.mark.as_deref()).collect();
    assert_eq!(marks, ["top", "front", "bottom", "rear"]);
}

#[test]
fn a_caution_of_an_operation_stands_behind_what_comes_before_it() {
    let caution = Caution {
        signal: crate::term::Signal::Warning,
        hazard: "Arc.".to_owned(),
        consequence: "Burns.".to_owned(),
        avoid: "Helmet.".to_owned(),
    };
    let mut before = operation(10, "weld bay");
    before.steps = vec![Step { number: 1, text: Words::plain("Level it."), ..Step::default() }];
    let mut hot = operation(20, "weld bay");
    hot.cautions = vec![caution];
    hot.steps =
        vec![Step { number: 1, level: Level::Safety, text: Words::plain("Watch."), ..Step::default() }];
    let stations = of(&[before, hot], &[], 0);
    let kinds: Vec<&str> = stations[0]
        .blocks
        .iter()
        .map(|b| match b {
            Block::Work(_) => "work",
            Block::Caution(_) => "caution",
            Block::Safety(_) => "safety",
            Block::Initials(_) => "initials",
            _ => "other",
        })
        .collect();
    assert_eq!(kinds, ["work", "caution", "safety", "initials"]);
}

#[test]
fn a_column_is_as_high_as_its_text_and_its_values() {
    let mut one = operation(10, "weld bay");
    one.steps = (1..=3)
        .map(|number| Step {
            number,
            text: Words::plain("Read what stands in the box, twice, and write the mean of both."),
            readings: vec![
                reading(&format!("value {number}"), None),
                reading(&format!("other {number}"), None),
            ],
            ..Step::default()
        })
        .collect();
    let stations = of(&[one], &[], 0);
    // Six boxes under one column of three would be twice as high as a table over the width.
    let rows: Vec<usize> = stations[0].blocks.iter().map(|b| b.rows().len()).collect();
    assert_eq!(rows.iter().sum::<usize>(), 6);
    assert!(
        !stations[0]
            .blocks
            .iter()
            .any(|b| matches!(b, Block::Work(s) if s.iter().flatten().any(|w| w.rows.len() == 6)))
    );
}

#[test]
fn nothing_written_is_lost_on_the_way_to_the_page() {
    let mut one = operation(10, "weld bay");
    one.steps = vec![
        Step {
            number: 1,
            readings: vec![reading("toe", None)],
            text: Words::plain("Read it."),
            ..Step::default()
        },
        Step { number: 2, level: Level::Safety, text: Words::plain("Stands under it."), ..Step::default() },
        Step {
            number: 3,
            level: Level::Safety,
            readings: vec![reading("depth, left", Some("left")), reading("depth, right", Some("right"))],
            ..Step::default()
        },
    ];
    one.after.push(hold("H1"));
    let count = entries(&of(&[one], &[], 0));
    assert_eq!(count, Entries { readings: 3, initials: 2, signatures: 1 });
}

#[test]
fn the_two_columns_hold_every_step_once_in_order() {
    let one = long(operation(10, "weld bay"));
    let stations = of(&[one], &[], 0);
    let Block::Work(sides) = &stations[0].blocks[0] else { panic!("text comes first") };
    let numbers: Vec<u32> = sides.iter().flatten().flat_map(|w| w.steps.iter().map(|s| s.number)).collect();
    assert_eq!(numbers, (1..=30).collect::<Vec<_>>());
    let tall: Vec<usize> = sides.iter().map(|s| s.iter().map(|w| w.steps.len()).sum()).collect();
    assert!(tall[0].abs_diff(tall[1]) <= 4, "{tall:?}");
}
