//! Says once what an operation says several times: steps that are alike but for
//! what they begin with, `W2: …` and `W3: …`, `Left: …` and `Right: …`.

use crate::plan::Words;
use crate::traveler::document::{Operation, Step};

/// The operation with like steps that follow each other put together.
pub(super) fn operation(operation: &Operation) -> Operation {
    let mut steps: Vec<Step> = Vec::new();
    let marked: Vec<Step> = operation.steps.iter().map(marked).collect();
    for step in &marked {
        let text =
            steps.last().filter(|last| alike(last, step)).and_then(|last| both(&last.text, &step.text));
        match (steps.last_mut(), text) {
            (Some(last), Some(text)) => {
                last.text = text;
                last.last = Some(step.number);
                last.readings.extend(step.readings.iter().cloned());
            }
            _ => steps.push(step.clone()),
        }
    }
    Operation { steps, ..operation.clone() }
}

/// Lines of joints or fasteners that are alike but for their sign and what ends their
/// name, said as one: `B1, B2  U-bolts, front axle, left, right · 9/16-18 UNF`.
pub(super) fn lines(list: Vec<Words>) -> Vec<Words> {
    let mut said: Vec<Words> = Vec::new();
    for line in list {
        match said.last_mut().and_then(|last| Some((both_named(last, &line)?, last))) {
            Some((both, last)) => *last = both,
            None => said.push(line),
        }
    }
    said
}

/// One line for both.
fn both_named(one: &Words, other: &Words) -> Option<Words> {
    let [sign, name, rest @ ..] = one.0.as_slice() else { return None };
    let [next, called, others @ ..] = other.0.as_slice() else { return None };
    let (title, data) = name.text.split_once(" · ")?;
    let (theirs, their_data) = called.text.split_once(" · ")?;
    if data != their_data || rest != others || !(sign.strong && next.strong) {
        return None;
    }
    let mut both = one.clone();
    both.0[1].text = format!("{} · {data}", names(title, theirs)?);
    both.0[0].text = format!("{}, {}", sign.text, next.text);
    Some(both)
}

/// Two names that begin alike up to a comma, as one: `U-bolts, front axle, left, right`.
pub(super) fn names(one: &str, other: &str) -> Option<String> {
    let (stem, end) = other.rsplit_once(", ")?;
    one.strip_prefix(stem)?.starts_with(", ").then(|| format!("{one}, {end}"))
}

/// The step, its boxes marked with what they are read at: `B1`, `left`.
fn marked(step: &Step) -> Step {
    let mut step = step.clone();
    for reading in step.readings.iter_mut().filter(|r| r.mark.is_none()) {
        let end = reading.label.rsplit_once(", ").map(|(_, end)| end.to_owned());
        reading.mark =
            end.filter(|end| [".", "-"].iter().any(|dash| reading.id.ends_with(&format!("{dash}{end}"))));
    }
    step
}

/// Whether two steps may be printed as one: nothing but their text and their
/// boxes differs.
fn alike(one: &Step, other: &Step) -> bool {
    let value = |s: &Step| s.done.as_ref().map(|d| (d.value.clone(), d.by.clone(), d.remark.clone()));
    one.level == other.level
        && one.who == other.who
        && one.cautions.is_empty()
        && other.cautions.is_empty()
        && one.table.is_none()
        && other.table.is_none()
        && value(one) == value(other)
}

/// One text for both, if they differ in what stands before the first colon only.
fn both(one: &Words, other: &Words) -> Option<Words> {
    let (head, _) = one.0.first()?.text.split_once(": ")?;
    let (theirs, rest) = other.0.first()?.text.split_once(": ")?;
    let same = one.0[0].text.get(head.len() + 2..)? == rest
        && one.0[0].strong == other.0[0].strong
        && one.0[1..] == other.0[1..];
    if !same || head.is_empty() || theirs.is_empty() {
        return None;
    }
    let between = if theirs.contains(' ') { "; " } else { ", " };
    let theirs = if theirs == "Right" { "right" } else { theirs };
    let mut text = other.clone();
    text.0[0].text = format!("{head}{between}{theirs}: {rest}");
    Some(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::traveler::document::Reading;

    fn step(number: u32, text: &str) -> Step {
        let readings = vec![Reading { id: format!("r.{number}"), ..Reading::default() }];
        Step { number, text: Words::plain(text), readings, ..Step::default() }
    }

    #[test]
    fn lines_alike_but_for_sign_and_end_are_one() {
        let line = |sign: &str, text: &str| Words::default().strong(sign).then(text).strong("130 lbf-ft");
        let told = |list: Vec<Words>| lines(list).iter().map(Words::text).collect::<Vec<_>>();
        let (left, right) = ("  U-bolts, left · 9/16-18 · ", "  U-bolts, right · 9/16-18 · ");
        assert_eq!(
            told(vec![line("B1", left), line("B2", right)]),
            ["B1, B2  U-bolts, left, right · 9/16-18 · 130 lbf-ft"]
        );
        // Another thread, another name or another torque: two lines.
        assert_eq!(told(vec![line("B1", left), line("B2", "  U-bolts, right · 1/2-20 · ")]).len(), 2);
        assert_eq!(told(vec![line("B1", left), line("B2", "  pins, right · 9/16-18 · ")]).len(), 2);
        let mut other = line("B2", right);
        other.0[2].text = "85 lbf-ft".to_owned();
        assert_eq!(told(vec![line("B1", left), other]).len(), 2);
        assert_eq!(names("shackle bolts", "shackle bolts"), None);
    }

    #[test]
    fn like_steps_are_one_and_no_box_is_lost() {
        let steps = vec![
            step(1, "Left: groove."),
            step(2, "Right: groove."),
            step(3, "Right: look."),
            step(4, "W2: weld: slowly."),
            step(5, "W3: weld: slowly."),
            step(6, "W4: weld: slowly."),
        ];
        let merged = operation(&Operation { steps, ..Operation::default() }).steps;
        let told: Vec<_> = merged.iter().map(|s| (s.number, s.last, s.text.text())).collect();
        assert_eq!(
            told,
            [
                (1, Some(2), "Left, right: groove.".to_owned()),
                (3, None, "Right: look.".to_owned()),
                (4, Some(6), "W2, W3, W4: weld: slowly.".to_owned()),
            ]
        );
        assert_eq!(merged.iter().map(|s| s.readings.len()).sum::<usize>(), 6);
        let mut apart = vec![step(1, "Left: groove."), step(2, "Right: groove.")];
        apart[1].who = Some("inspector".to_owned());
        assert_eq!(operation(&Operation { steps: apart, ..Operation::default() }).steps.len(), 2);
    }
}
