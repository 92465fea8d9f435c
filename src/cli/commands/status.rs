//! `status`: where each traveler stands.

use std::path::PathBuf;

use serde_json::json;

use crate::app::plan::Failure;
use crate::app::record::RecordHost;
use crate::app::record::status::{self, Standing};
use crate::app::record::{desk, headed, next_hand, short};
use crate::cli::args::record::Status;
use crate::cli::{Ending, terminal};
use crate::term::clock::told_text;
use crate::term::counted;

pub(super) fn run(host: &dyn RecordHost, args: &Status) -> Result<Ending, Failure> {
    let day = args.on.unwrap_or_else(|| host.now().date_naive());
    let (folder, all) = match &args.number {
        Some(number) => {
            let folder = desk::find(host, number, args.travelers.as_deref())?;
            let one = status::of(host, &folder, day)?;
            (Some(folder), vec![one])
        }
        None => {
            let place = args.travelers.clone().unwrap_or_else(|| {
                let usual = PathBuf::from(desk::TRAVELERS);
                if host.exists(&usual) { usual } else { PathBuf::from("jobs").join(desk::TRAVELERS) }
            });
            (None, status::all(host, &place, day))
        }
    };
    // A damaged log is not "done".
    let ending = if all.iter().any(|s| s.damaged) { Ending::Refused } else { Ending::Done };
    if args.json {
        let mut all: Vec<_> = all.iter().map(status::json).collect();
        if let (Some(folder), Some(one)) = (&folder, all.first_mut().and_then(|o| o.as_object_mut())) {
            one.extend(super::boxes::json(host, folder, args)?);
        }
        terminal::json(&json!({ "travelers": all }));
        return Ok(ending);
    }
    if all.is_empty() {
        terminal::note("No traveler was issued here; --travelers names another folder.");
    }
    if args.shop {
        super::shop_table::print(&all);
        return Ok(ending);
    }
    if args.number.is_none() {
        table(&all);
        return Ok(ending);
    }
    let brief = args.boxes || args.operations || args.entries || args.only.any();
    for one in &all {
        let hand = match &folder {
            Some(folder) if !one.damaged => next_hand::next_hand(host, folder, host.now())?,
            _ => None,
        };
        details(one, hand.as_deref(), brief);
    }
    if let Some(folder) = &folder {
        super::boxes::text(host, folder, args)?;
    }
    Ok(ending)
}

fn table(all: &[Standing]) {
    let width = all.iter().map(|s| s.number.chars().count()).max().unwrap_or(0);
    for s in all {
        let state = match &s.closed {
            Some(at) => match due(s).as_slice() {
                [] => format!("closed {}{}", at.get(..10).unwrap_or(at), let_be(s)),
                due => format!("closed{}, follow-up: {}", let_be(s), due.join("; ")),
            },
            None if s.revision.is_empty() => "can't be read".to_owned(),
            None if s.next.is_none() && s.damaged => "does not stand".to_owned(),
            None => s.next.clone().unwrap_or_else(|| "ready to close".to_owned()),
        };
        let mut marks = String::new();
        if !s.conditions.is_empty() {
            marks.push_str(&format!("  found and open: {}", s.conditions.len()));
        }
        if !s.no_longer.is_empty() {
            marks.push_str(&format!("  NO LONGER HOLDS: {}", s.no_longer.len()));
        }
        if !s.overdue.is_empty() {
            marks.push_str(&format!("  OVERDUE: {}", s.overdue.join(", ")));
        }
        if s.closed.is_some() && !s.for_lead.is_empty() {
            marks.push_str(&format!("  WAITS FOR A LEAD: {}", s.for_lead.len()));
        }
        if !s.trouble.is_empty() {
            marks.push_str(&format!("  LOG: {}", s.trouble.join(", ")));
        }
        terminal::out(format!(
            "{:width$}  {:>2}  {:>3}/{:<3} {state}{marks}",
            s.number, s.revision, s.done.0, s.done.1
        ));
    }
}

/// How much of a closed traveler stands by a decision or on somebody's word alone.
fn let_be(s: &Standing) -> String {
    if s.let_be.is_empty() { String::new() } else { format!(", with {}", headed(s.let_be.len())) }
}

/// Follow-ups that are not late: those that are stand there already.
fn due(s: &Standing) -> Vec<String> {
    s.follow_ups.iter().filter(|one| !s.overdue.contains(one)).cloned().collect()
}

/// Lines that say the same of several things, `bars never measured: sheet A`, as one.
fn said_once(lines: &[String]) -> Vec<String> {
    let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
    for (what, of) in lines.iter().map(|line| line.split_once(": ").unwrap_or((line, ""))) {
        match all.iter_mut().find(|(known, _)| *known == what) {
            Some((_, several)) => several.push(of),
            None => all.push((what, vec![of])),
        }
    }
    let whole = |(what, of): &(&str, Vec<&str>)| match of.as_slice() {
        [""] => (*what).to_owned(),
        several => format!("{what}: {}", several.join(", ")),
    };
    all.iter().map(whole).collect()
}

/// Times that can hardly be true which are named one by one.
const TIMES: usize = 8;

/// `brief` where boxes, operations or entries follow: they say the rest.
fn details(s: &Standing, hand: Option<&str>, brief: bool) {
    terminal::out(format!("{} rev {}  {}", s.number, s.revision, s.unit));
    let entries = counted(usize::try_from(s.entries).unwrap_or(usize::MAX), "entry", "entries");
    terminal::out(format!("{} of {} operations done, {entries}", s.done.0, s.done.1));
    if let Some(at) = &s.closed {
        terminal::out(format!("closed {}{}", told_text(at), let_be(s)));
    }
    let line = |label: &str, list: &[String]| {
        for one in list {
            terminal::out(format!("  {label}: {}", terminal::one_line(one)));
        }
    };
    // What is wrong, what waits for somebody, what can be done now, what comes then.
    line("LOG", &s.trouble);
    line("OVERDUE", &s.overdue);
    line("let be", &s.let_be);
    line("signed before it was known", &s.received);
    line("waits for a lead", &s.for_lead);
    line("NO LONGER HOLDS", &s.fallen);
    line("now", hand.map(str::to_owned).as_slice());
    line("next", s.next.as_slice());
    if !brief && !s.waits_for.is_empty() {
        line("open there", &[short(&s.waits_for)]);
    }
    // Where the next operation waits for that very signature it was said.
    let said = |sign: &String| {
        let point = sign.split(' ').nth(2).unwrap_or_default();
        s.waits_for.iter().any(|one| one.split(' ').next() == Some(point))
    };
    if let Some(sign) = s.must_sign.as_ref().filter(|sign| !brief && !said(sign)) {
        line("then", std::slice::from_ref(sign));
    }
    line("IS THE TIME RIGHT", s.times.get(..TIMES).unwrap_or(&s.times));
    if let Some(more) = s.times.len().checked_sub(TIMES).filter(|more| *more > 0) {
        terminal::out(format!(
            "  and {} (status --json lists all)",
            counted(more, "more such time", "more such times")
        ));
    }
    if brief {
        return;
    }
    line("computed", &s.derived);
    line("full size", &said_once(&s.sheets));
    line("follow-up", &due(s));
    terminal::out(format!("  head: {} (entry {})", s.head.get(..16).unwrap_or(&s.head), s.entries));
}
