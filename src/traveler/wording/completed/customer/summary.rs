//! First page: asked, found, done, measured, signed; what changed; when to come back.

use super::super::super::super::document::{
    ComeBack, Document, Exception, Fact, FoundPhoto, Section, Shown, Summary,
};
use super::super::super::head::{ORDER, ORDER_CONTACT};
use super::super::{Facts, day};
use super::doubts::doubts;
use super::judged::departing;
use super::lines::{Line, lines, of_figure};
use super::rows::{asked as asked_for, written};
use super::{Taken, figure, owners, photo, sentence, taken};
use crate::figure::Figure;
use crate::plan::Words;
use crate::quantity::{Kind, Quantity};
use crate::record::as_left::{by_the_shop, shows_left};
use crate::record::entry::Photo;
use crate::record::frozen::Operation;
use crate::record::identified::by_pin;
use crate::record::rules::short;
use crate::record::state::Photographed;
use crate::term::customer::{Height, Section as Stands};
use crate::term::odometer::{self, Odometer};
use crate::term::{Shows, counted};

/// The first page; `exceptions` say what speaks against a plain yes.
pub(super) fn summary(document: &Document, facts: &Facts<'_>, exceptions: &Section<Exception>) -> Summary {
    let (doubts, against) = doubts(facts, exceptions);
    let clear = facts.state.closed.is_some() && !against;
    let status = match (&facts.state.closed, clear) {
        (None, _) => "NOT CLOSED: the work is not finished.".to_owned(),
        (Some((mark, _)), true) => format!("Closed {}. All conform.", day(&mark.at)),
        (Some((mark, _)), false) => format!("Closed {}, with exceptions.", day(&mark.at)),
    };
    Summary {
        facts: head(document, facts),
        status,
        doubtful: !clear,
        doubts,
        sentences: vec![asked(document), found(facts), done(document, facts), measured(facts), signed(facts)],
        changed: changed(document, facts),
        back: back(facts),
        pictures: pictures(facts),
    }
}

/// Label of the odometer as the unit came in.
const RECEIVED: &str = "meter as received";

fn head(document: &Document, facts: &Facts<'_>) -> Vec<Fact> {
    const KEPT: &[&str] = &["unit", "customer", "identification", ORDER, ORDER_CONTACT, RECEIVED];
    let mut list: Vec<Fact> = document
        .head
        .facts
        .iter()
        .filter(|f| KEPT.contains(&f.label.as_str()) && f.value.is_some())
        .cloned()
        .collect();
    // What was read as the unit came in, and not what its job had before.
    let read = odometer_at(facts, odometer::AS_FOUND);
    if let Some((fact, read)) = list.iter_mut().find(|f| f.label == RECEIVED).zip(read) {
        fact.value = Some(read.text);
    }
    if let Some(meter) = meter(facts) {
        list.push(Fact::new("meter as left", meter.text));
    }
    let first = facts.entries.first().map(|e| day(&e.at));
    let last = facts.state.closed.as_ref().map(|(mark, _)| day(&mark.at));
    if let Some(first) = first {
        list.push(Fact::new("work taken in", first));
    }
    list.push(Fact::new("closed", last.unwrap_or_else(|| "not closed".to_owned())));
    list
}

fn asked(document: &Document) -> Words {
    let mut words = Words::default().strong("Asked. ");
    let mut scope = document.head.scope.iter();
    if let Some(title) = scope.next() {
        words = words.then(format!("{}. ", title.text().trim_end_matches('.')));
    }
    // What the customer said, without the plan's own sentences.
    if let Some(asked) = scope.next().filter(|w| w.0.iter().all(|run| !run.strong)) {
        words = words.then(asked.text());
    }
    words
}

fn found(facts: &Facts<'_>) -> Words {
    let words = Words::default().strong("Found. ");
    let all: Vec<String> = facts
        .state
        .founds
        .iter()
        .map(|f| {
            let decided = f.disposition.as_ref().map_or("NOT DECIDED", |(what, ..)| what.word());
            format!("{} ({}: {decided})", f.text, f.number)
        })
        .collect();
    if all.is_empty() {
        return words.then("Nothing the plan did not foresee.");
    }
    words.then(format!("{}.", sentence(&all.join("; "))))
}

/// What was done in words, on which days, and what was settled before it.
fn done(document: &Document, facts: &Facts<'_>) -> Words {
    let work: Vec<&Operation> = facts.plan.operations.iter().filter(|o| !o.deferred).collect();
    let finished = work.iter().filter(|o| facts.state.lacking(o).is_empty()).count();
    let mut days: Vec<String> = facts.entries.iter().map(|e| day(&e.at)).collect();
    days.sort();
    days.dedup();
    let span = match (days.first(), days.last()) {
        (Some(first), Some(last)) if first != last => {
            format!(" on {} from {first} to {last}", counted(days.len(), "day", "days"))
        }
        (Some(first), _) => format!(" on {first}"),
        _ => String::new(),
    };
    let revision = match facts.state.revisions.len() {
        0 | 1 => String::new(),
        n => format!(
            "; the plan was changed {}, as section 8 says",
            if n == 2 { "once".to_owned() } else { format!("{} times", n - 1) }
        ),
    };
    let told = document.head.done.join("; ");
    let told = match (told.is_empty(), finished == work.len()) {
        (true, _) => String::new(),
        (false, true) => format!("{}. ", sentence(&told)),
        (false, false) => format!("Not all of this is done: {told}. "),
    };
    let settled: Vec<String> = written(facts, Stands::Settled)
        .iter()
        .map(|(taken, row)| format!("{}: {}", row.row, taken.measured.text))
        .collect();
    let settled = match settled.as_slice() {
        [] => String::new(),
        list => format!("Settled before the work: {}. ", list.join("; ")),
    };
    Words::default().strong("Done. ").then(format!(
        "{told}{settled}{finished} of {} operations up to hand-over{span}{revision}{}.",
        work.len(),
        later(facts)
    ))
}

/// What follows after hand-over.
fn later(facts: &Facts<'_>) -> String {
    let open =
        facts.plan.operations.iter().filter(|o| o.deferred && !facts.state.lacking(o).is_empty()).count();
    match open {
        0 => String::new(),
        1 => "; 1 follows after it, as written below".to_owned(),
        n => format!("; {n} follow after it, as written below"),
    }
}

fn measured(facts: &Facts<'_>) -> Words {
    let judged: Vec<Taken<'_>> = taken(facts).filter(|t| t.measured.verdict.decided()).collect();
    let words = Words::default().strong("Measured. ");
    if judged.is_empty() {
        return words.then("No value has been judged against a limit.");
    }
    let departing: Vec<String> = judged.iter().filter_map(|one| departing(facts, one)).collect();
    let rest = if departing.is_empty() {
        "all as they have to be".to_owned()
    } else {
        format!("not as they have to be: {}", short(&departing))
    };
    words.then(format!(
        "{} judged, {rest}. Sections 2, 3, 5 and 6 show what you asked for; section 2 counts the others.",
        counted(judged.len(), "value or word was", "values and words were")
    ))
}

fn signed(facts: &Facts<'_>) -> Words {
    let all = || facts.state.points.values().flatten();
    let signed = all().filter(|s| !s.waived).count();
    let waived = all().filter(|s| s.waived).count();
    let by_id = all().filter(|s| !s.waived && !by_pin(&s.how)).count();
    let mut text = format!(
        "{} given at hold, witness and review points",
        counted(signed, "signature was", "signatures were")
    );
    if by_id > 0 {
        text.push_str(&format!(", {by_id} of them without a PIN"));
    }
    if waived > 0 {
        text.push_str(&format!(
            "; to {} nobody came after notice",
            counted(waived, "witness point", "witness points")
        ));
    }
    Words::default().strong("Signed. ").then(format!("{text}."))
}

/// What is different for whoever drives or uses it: from computed figures and from
/// what was read.
fn changed(document: &Document, facts: &Facts<'_>) -> Vec<Words> {
    if document.geometry.is_none() && !asked_for(facts, Stands::Law) {
        return vec![Words::default().strong("This part was made or changed as written here. ").then(
            "Use it only for what it was made for and within the load it was made for. Have its welds looked at after the first use and then as the rules for such parts ask. Keep this record with it.",
        )];
    }
    let mut list = vec![Words::default().strong("This unit was changed. ").then(
        "It sits, steers, brakes and leans differently than it left its maker. Drive it gently for the first days. Tell every driver, the insurer and the next workshop; keep this record with it.",
    )];
    list.extend(of_each(facts, "stability_before", stability));
    list.extend(of_each(facts, "bump_steer_after", steering));
    list.extend(stance(facts));
    list.extend(of_each(facts, "wind_up_change", braking));
    list.extend(of_each(facts, "joint_case_before", joints));
    if facts.figures.is_none() {
        list.push(Words::plain("The figures could not be computed again with what was measured: what else changed is not said here."));
    }
    list
}

fn number(facts: &Facts<'_>, name: &str, of: &str) -> Option<f64> {
    Some(figure(facts, name, Some(of), None)?.value.quantity()?.si())
}

fn shown(facts: &Facts<'_>, name: &str, of: &str) -> Option<String> {
    figure(facts, name, Some(of), None).map(Figure::show)
}

/// Of which part a sentence is, where several have the figure it rests on.
fn part(facts: &Facts<'_>, name: &str, of: &str) -> String {
    if owners(facts, name).len() > 1 { format!("{}: ", sentence(of)) } else { String::new() }
}

/// A sentence for each part that has a figure.
fn of_each<'a>(facts: &Facts<'a>, name: &str, say: impl Fn(&Facts<'a>, &str) -> Option<Words>) -> Vec<Words> {
    owners(facts, name).into_iter().filter_map(|of| say(facts, of)).collect()
}

fn stability(facts: &Facts<'_>, of: &str) -> Option<Words> {
    let number = |name: &str| number(facts, name, of);
    let (before, after) = (number("stability_before")?, number("stability_after")?);
    let (was, is) = (shown(facts, "stability_before", of)?, shown(facts, "stability_after", of)?);
    let share = format!("{:.0} %", ((after - before) / before).abs() * 100.0);
    if after < before * 0.995 {
        return Some(Words::default().strong("It rolls over sooner. ").then(format!(
            "Side stability factor {was} before, {is} now, {share} less (half the track over the height of the centre of gravity, computed): slower in bends, no sudden steering, care on side slopes."
        )));
    }
    Some(Words::plain(format!("Side stability factor {was} before, {is} now (computed).")))
}

/// Steering by itself in bumps: what was read counts; what was computed stands beside.
fn steering(facts: &Facts<'_>, of: &str) -> Option<Words> {
    const BEFORE: &str = "bump_steer_before";
    let lines = lines(facts);
    let read = line_of(&lines, BEFORE, of).and_then(|l| l.left.as_ref());
    let was = shown(facts, BEFORE, of).map_or(String::new(), |text| format!("; {text} computed before"));
    let (value, text, how) = match read {
        Some(left) => {
            let limit = left.target.as_ref().map_or(String::new(), |t| format!(", limit {t}"));
            (left.value?, left.text.clone(), format!("read{limit}"))
        }
        None => {
            let value = number(facts, "bump_steer_after", of)?;
            (value, shown(facts, "bump_steer_after", of)?, "computed, NOT MEASURED".to_owned())
        }
    };
    let part = part(facts, BEFORE, of);
    let turn =
        format!("{part}The wheels turn {text} by themselves over the travel of the springs ({how}{was})");
    // A change to the better is said, and is no warning.
    let better = number(facts, BEFORE, of).is_some_and(|before| value.abs() < before.abs());
    match (value.abs() > 0.0, better) {
        (false, _) => None,
        (true, true) => {
            Some(Words::plain(format!("{turn}: less than before; still hold the wheel on rough ground.")))
        }
        (true, false) => Some(
            Words::default()
                .strong("It steers in bumps. ")
                .then(format!("{turn}: hold the wheel on rough ground.")),
        ),
    }
}

/// The line of a figure for this part; that of all parts where none is of it alone.
fn line_of<'l, 'a>(lines: &'l [Line<'a>], name: &'static str, of: &str) -> Option<&'l Line<'a>> {
    let own = of_figure(lines, name).find(|l| l.row.component.as_deref() == Some(of));
    own.or_else(|| of_figure(lines, name).find(|l| l.row.component.is_none()))
}

/// The mean change of a height: as left less as found, in metres; none where one of its
/// sides was not read both times.
fn rise(lines: &[Line<'_>], height: Height) -> Option<f64> {
    let own: Vec<&Line<'_>> = lines.iter().filter(|l| l.row.height == Some(height)).collect();
    let change = |line: &&Line<'_>| Some(line.left.as_ref()?.value? - line.found_value?);
    let all: Vec<f64> = own.iter().map(change).collect::<Option<_>>()?;
    let count = u32::try_from(all.len()).ok().filter(|n| *n > 0)?;
    Some(all.iter().sum::<f64>() / f64::from(count))
}

/// Which end came up: by the heights read, else by the figures.
fn stance(facts: &Facts<'_>) -> Option<Words> {
    let lines = lines(facts);
    let style = facts.plan.style(Kind::Length).no_finer(16);
    let show = |v: f64| signed_length(v, style.shop(Quantity::from_si(Kind::Length, v.abs())));
    // Under a quarter inch nobody sees it (common practice).
    let same = |v: f64| v.abs() < 0.006_35;
    let way = |v: f64| if v > 0.0 { "up" } else { "down" };
    let said = |head: &str, text: String| Words::default().strong(head.to_owned()).then(text);
    match (rise(&lines, Height::Front), rise(&lines, Height::Rear), rise(&lines, Height::Whole)) {
        (Some(front), Some(rear), _) => {
            let head = match (same(front), same(rear)) {
                (true, true) => return None,
                (false, true) => format!("Only the front came {}. ", way(front)),
                (true, false) => format!("Only the rear came {}. ", way(rear)),
                (false, false) => "Both ends changed. ".to_owned(),
            };
            Some(said(
                &head,
                format!(
                    "Front {}, rear {} against as found (read at the wheels): lamps, load and towing sit otherwise.",
                    show(front),
                    show(rear)
                ),
            ))
        }
        (.., Some(whole)) if same(whole) => None,
        (.., Some(whole)) => Some(said(
            if whole > 0.0 { "It stands higher. " } else { "It stands lower. " },
            format!(
                "Its frame came {} against as found (read at the wheels): load and towing sit otherwise.",
                show(whole)
            ),
        )),
        _ => {
            let lifts = figure(facts, "lifts", None, None)?.show();
            let text = format!("Lift: {lifts} (computed; heights were NOT READ before and after).");
            Some(said("It stands higher. ", text))
        }
    }
}

fn signed_length(value: f64, size: String) -> String {
    if value.abs() < 0.000_8 {
        "unchanged".to_owned()
    } else if value > 0.0 {
        format!("up {size}")
    } else {
        format!("down {size}")
    }
}

fn braking(facts: &Facts<'_>, of: &str) -> Option<Words> {
    let change = number(facts, "wind_up_change", of)?;
    let (was, is) = (shown(facts, "wind_up_before", of)?, shown(facts, "wind_up_after", of)?);
    (change > 1.0).then(|| {
        Words::default().strong("Hard braking twists the springs more. ").then(format!(
            "{}{is} on each spring seat, {was} before (computed).",
            part(facts, "wind_up_change", of)
        ))
    })
}

fn joints(facts: &Facts<'_>, of: &str) -> Option<Words> {
    const BEFORE: &str = "joint_case_before";
    let (before, after) = (number(facts, BEFORE, of)?, number(facts, "joint_case_after", of)?);
    let lines = lines(facts);
    let read = line_of(&lines, BEFORE, of).and_then(|l| l.left.as_ref());
    let (was, computed) = (shown(facts, BEFORE, of)?, shown(facts, "joint_case_after", of)?);
    let is = read.map_or(format!("{computed} computed"), |left| format!("{} read", left.text));
    (after > before).then(|| {
        Words::default().strong("The driveshaft bends more. ").then(format!(
            "{}{is} at the transfer case, {was} computed before: grease and look at its joints at every service.",
            part(facts, BEFORE, of)
        ))
    })
}

/// What the odometer showed at hand-over.
fn meter(facts: &Facts<'_>) -> Option<Odometer> {
    odometer_at(facts, odometer::AS_LEFT)
}

/// What an odometer showed in a box of this name, before hand-over.
fn odometer_at(facts: &Facts<'_>, stem: &str) -> Option<Odometer> {
    let read = taken(facts).filter(|t| !t.operation.deferred && t.stem() == stem).last()?;
    odometer::read(&read.measured.text)
}

/// Every distance a follow-up names, in the order it names them.
fn distances(operation: &Operation) -> Vec<Odometer> {
    let mut found: Vec<Odometer> = Vec::new();
    for step in &operation.steps {
        for part in step.text.split([',', ';', '(', ')', '.', ':']) {
            if let Some(one) = odometer::read(part).filter(|d| !found.iter().any(|f| f.text == d.text)) {
                found.push(one);
            }
        }
    }
    found
}

/// What stands between the distances of a follow-up: a range to do it in, or each of them.
fn between(operation: &Operation) -> &'static str {
    let range = operation.steps.iter().any(|s| s.text.contains("at the latest"));
    if range { ", at the latest " } else { " and " }
}

/// When to come back: the follow-ups with their dates and distances.
fn back(facts: &Facts<'_>) -> Section<ComeBack> {
    let meter = meter(facts);
    let due = |key: &str| {
        let follow_ups = facts.state.closed.as_ref().map(|(_, list)| list.as_slice()).unwrap_or_default();
        follow_ups.iter().find(|f| f.operation.key == key).map(|f| f.due.clone())
    };
    let deferred = || facts.plan.operations.iter().filter(|o| o.deferred);
    let first = deferred().flat_map(distances).min_by(|a, b| a.value.total_cmp(&b.value));
    let rows: Vec<ComeBack> = deferred()
        .map(|operation| {
            let mut all = distances(operation);
            // What names no distance is done on the first visit.
            if all.is_empty() {
                all.extend(first.clone());
            }
            let at = |d: &Odometer| {
                let meter = meter.as_ref()?;
                Some(format!("{} {}", thousands(meter.value + d.in_unit(meter.unit)), meter.unit))
            };
            if let Some(done) = done_later(facts, operation) {
                return ComeBack { task: operation.title.clone(), ..done };
            }
            ComeBack {
                task: operation.title.clone(),
                date: due(&operation.key).unwrap_or_else(|| "no date set".to_owned()),
                distance: match all.as_slice() {
                    [] => "with the next of these".to_owned(),
                    list => list.iter().map(|d| d.text.as_str()).collect::<Vec<_>>().join(between(operation)),
                },
                meter: match all.as_slice() {
                    [] => String::new(),
                    list => list
                        .iter()
                        .map(at)
                        .collect::<Option<Vec<_>>>()
                        .map_or_else(|| "not read".to_owned(), |all| all.join(" to ")),
                },
            }
        })
        .collect();
    let planned = facts
        .plan
        .operations
        .iter()
        .flat_map(Operation::readings)
        .any(|r| super::stem(&r.id) == odometer::AS_LEFT);
    let open = deferred().any(|operation| done_later(facts, operation).is_none());
    let notes = match (&meter, rows.is_empty()) {
        (_, true) if asked_for(facts, Stands::Law) => {
            vec![Words::plain("The plan of this job has no work after hand-over.")]
        }
        (_, true) => vec![Words::plain(
            "The plan of this job has no work after hand-over. When such a part is looked at, its design and the rules for such parts say.",
        )],
        _ if !open => vec![Words::plain("All of it is done: nothing is left to come back for.")],
        (Some(meter), _) => vec![Words::plain(format!(
            "Whichever comes first. Counted from {} on the odometer as it was left.",
            meter.text
        ))],
        (None, _) if !planned => vec![Words::plain(
            "Whichever comes first. This job reads no odometer: count from the day you got it back.",
        )],
        (None, _) => vec![Words::plain(
            "Whichever comes first. The odometer was NOT READ at hand-over: count from the day you got it back.",
        )],
    };
    Section { notes, rows }
}

/// That work after hand-over is done: when, by whom, and who released it; none while
/// anything of it is open.
fn done_later(facts: &Facts<'_>, operation: &Operation) -> Option<ComeBack> {
    if !facts.state.lacking(operation).is_empty() {
        return None;
    }
    let marks = operation.steps.iter().filter_map(|step| facts.state.done(operation, step));
    let last = marks.chain(facts.state.initials(operation)).max_by_key(|mark| mark.n)?;
    let released = operation.points().map(|point| {
        let signed = facts.state.standing(operation, point);
        let by =
            signed.last().map_or_else(|| "NOT SIGNED".to_owned(), |s| format!("signed by {}", s.mark.by.id));
        format!("{} {by}", point.number)
    });
    Some(ComeBack {
        date: format!("done {}", day(&last.at)),
        distance: format!("by {}", last.by.id),
        meter: released.collect::<Vec<_>>().join(", "),
        ..ComeBack::default()
    })
}

/// A whole number with its thousands apart.
fn thousands(value: f64) -> String {
    let digits = format!("{:.0}", value.abs());
    let from = digits.len();
    let mut text = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (from - i) % 3 == 0 {
            text.push(' ');
        }
        text.push(digit);
    }
    text
}

/// The shop's first picture as found, and its last one as left after the last work on what it
/// shows.
fn pictures(facts: &Facts<'_>) -> Vec<Shown> {
    let own = facts.state.photographed.iter().filter(|p| by_the_shop(p));
    let of = |shows: Shows| own.clone().filter(move |p| p.shows == shows);
    let left = of(Shows::AsLeft).filter(|p| shows_left(facts.plan, facts.state, p));
    let shown = |taken: &Photographed, one: &Photo| -> FoundPhoto {
        photo(
            one,
            format!(
                "{}, {}, {} ({})",
                sentence(taken.shows.word()),
                day(&taken.mark.at),
                taken.mark.by.name,
                taken.mark.by.id
            ),
        )
    };
    let before = of(Shows::AsFound).find_map(|p| p.photos.first().map(|one| shown(p, one)));
    let after = left.filter_map(|p| p.photos.last().map(|one| shown(p, one))).next_back();
    let lacking = |what: &str| format!("No picture {what} is in this record.");
    vec![
        Shown { title: "Before".to_owned(), photo: before, lacking: lacking("as found") },
        Shown { title: "After".to_owned(), photo: after, lacking: lacking("as left") },
    ]
}
