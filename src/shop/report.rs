//! The table and the book for people and machines.

use chrono::NaiveDate;
use serde_json::{Value as Json, json};

use crate::shop::Book;
use crate::shop::expiry::expiring;
use crate::shop::fit::{Finding, Procedure, Table, Task};
use crate::shop::model::Qualification;
use crate::shop::qualify::derive;
use crate::shop::qualify::validity::validity;

/// A book and where it comes from.
#[derive(Debug, Clone, Copy)]
pub struct Origin<'a> {
    /// What it says.
    pub book: &'a Book,
    /// Name of its file.
    pub name: &'a str,
    /// Whether it is the demonstration that ships with the program.
    pub demo: bool,
    /// Whether there is no book.
    pub absent: bool,
}

/// The table in lines of text: joints with yes and no, then tools, then rules.
#[must_use]
pub fn table_lines<'a>(table: &Table, shop: impl Into<Origin<'a>>) -> Vec<String> {
    let shop = shop.into();
    // A job whose date is still blank has no day to look at.
    if table.on == chrono::NaiveDate::MIN {
        return vec![
            "People, procedures and tools are compared with the shop book once the job has its date."
                .to_owned(),
        ];
    }
    let day = format!("ON {}", table.on);
    let rows: Vec<_> = table.joints.iter().flat_map(|j| j.rows()).collect();
    let mut lines = Vec::new();
    if !rows.is_empty() {
        lines.push(format!("WHO MAY WELD WHAT, {day} (shop book {})", name(shop)));
    }
    let width = |f: fn(&crate::shop::fit::Row) -> &str, head: &str| {
        rows.iter().map(|r| f(r).chars().count()).chain([head.len()]).max().unwrap_or(0)
    };
    let (a, b) = (width(|r| &r.joint, "joint"), width(|r| &r.procedure, "WPS"));
    let (c, d) = (width(|r| &r.welder, "welder"), width(|r| &r.machine, "machine"));
    if !rows.is_empty() {
        lines.push(format!("  {:a$}  {:b$}  {:c$}  {:d$}  may", "joint", "WPS", "welder", "machine"));
    }
    for row in &rows {
        let may = if row.may { "yes" } else { "no" };
        let head =
            format!("  {:a$}  {:b$}  {:c$}  {:d$}  ", row.joint, row.procedure, row.welder, row.machine);
        let indent = " ".repeat(head.chars().count() + 5);
        let mut why = row.why.iter();
        lines.push(match why.next() {
            Some(first) => format!("{head}{may:3}  {first}"),
            None => format!("{head}{may}"),
        });
        lines.extend(why.map(|reason| format!("{indent}{reason}")));
    }
    remarks(table, &mut lines);
    tools(table, &mut lines);
    if !table.sources.is_empty() {
        lines.push(String::new());
        lines.push("RULES USED".to_owned());
        lines.extend(table.sources.iter().map(|s| format!("  {s}")));
        if table.sources.iter().any(|s| s.from_memory) {
            lines.push(
                "  A rule marked \"from memory\" was not read in a copy: check it against your edition."
                    .to_owned(),
            );
        }
    }
    lines
}

fn name(shop: Origin<'_>) -> String {
    if shop.demo { format!("{}, the demonstration that ships", shop.name) } else { shop.name.to_owned() }
}

fn remarks(table: &Table, lines: &mut Vec<String>) {
    let mut found: Vec<String> = Vec::new();
    for joint in &table.joints {
        let procedure = match &joint.procedure {
            Procedure::Named(id) => id.as_str(),
            _ => "",
        };
        for finding in joint.findings.iter().filter(|f| !f.refuses) {
            found.push(format!("  {} {procedure}: {}", joint.id, finding.text));
        }
        if !joint.candidates.is_empty() {
            found.push(format!("  {}: {} would cover it", joint.id, joint.candidates.join(", ")));
        }
        found.extend(joint.traceability.iter().map(|f| format!("  {}: {}", joint.id, f.text)));
        for welder in joint.able() {
            let until = welder.until.map_or_else(String::new, |u| format!(", until {u}"));
            if !welder.tests.is_empty() {
                found.push(format!("  {} {}: by {}{until}", joint.id, welder.id, welder.tests.join(", ")));
            }
        }
        for machine in joint.usable() {
            for finding in machine.findings.iter().filter(|f| !f.refuses) {
                found.push(format!("  {} {}: {}", joint.id, machine.id, finding.text));
            }
        }
    }
    if !found.is_empty() {
        lines.push(String::new());
        lines.push("REMARKS".to_owned());
        lines.extend(found);
    }
}

fn task(task: &Task) -> String {
    match task {
        Task::Torque(id) => format!("torque {id}"),
        Task::Readings(instrument) => instrument.clone(),
    }
}

fn tools(table: &Table, lines: &mut Vec<String>) {
    if table.tools.is_empty() {
        return;
    }
    if !lines.is_empty() {
        lines.push(String::new());
    }
    lines.push("TOOLS (tolerance over uncertainty; common practice asks for 4)".to_owned());
    for tool in &table.tools {
        let ratio = tool.ratio.as_ref().map_or(String::new(), |r| format!(", ratio {r}"));
        let who = if tool.tools.is_empty() { "none".to_owned() } else { tool.tools.join(", ") };
        lines.push(format!("  {}: {who}{ratio}; {}", task(&tool.task), tool.wanted));
        for finding in &tool.findings {
            lines.push(format!("      {} {}", if finding.refuses { "no " } else { "but" }, finding.text));
        }
    }
}

fn findings(list: &[Finding]) -> Json {
    Json::Array(
        list.iter()
            .map(|f| {
                json!({
                    "text": f.text, "refuses": f.refuses, "source": f.source.map(|s| s.to_string()),
                    "from_memory": f.source.is_some_and(|s| s.from_memory),
                })
            })
            .collect(),
    )
}

/// The table for machines.
#[must_use]
pub fn table_json<'a>(table: &Table, shop: impl Into<Origin<'a>>) -> Json {
    let shop = shop.into();
    json!({
        "book": shop.name,
        "demonstration": shop.demo,
        "on": table.on.to_string(),
        "rows": table.joints.iter().flat_map(|j| j.rows()).map(|r| json!({
            "joint": r.joint, "wps": r.procedure, "welder": r.welder, "machine": r.machine,
            "may": r.may, "why": r.why,
        })).collect::<Vec<_>>(),
        "joints": table.joints.iter().map(|j| json!({
            "joint": j.id,
            "procedure": match &j.procedure {
                Procedure::ToBeQualified => "to be qualified",
                Procedure::Unknown(_) => "unknown",
                Procedure::Named(_) if j.covered() => "covers the joint",
                Procedure::Named(_) => "does not cover the joint",
            },
            "wps": j.label,
            "findings": findings(&j.findings),
            "candidates": j.candidates,
            "traceability": findings(&j.traceability),
            "welders": j.welders.iter().map(|w| json!({
                "id": w.id, "name": w.name, "tests": w.tests, "until": w.until.map(|u| u.to_string()),
                "findings": findings(&w.findings),
            })).collect::<Vec<_>>(),
            "machines": j.machines.iter().map(|m| json!({ "id": m.id, "findings": findings(&m.findings) })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "tools": table.tools.iter().map(|t| json!({
            "for": task(&t.task), "wanted": t.wanted, "tools": t.tools, "ratio": t.ratio,
            "findings": findings(&t.findings),
        })).collect::<Vec<_>>(),
        "rules": table.sources.iter().map(|s| json!({ "rule": s.to_string(), "from_memory": s.from_memory })).collect::<Vec<_>>(),
    })
}

/// The book for machines: what runs out, and every range derived from a test.
#[must_use]
pub fn book_json<'a>(shop: impl Into<Origin<'a>>, on: NaiveDate, within: u32) -> Json {
    let shop = shop.into();
    json!({
        "book": shop.name,
        "demonstration": shop.demo,
        "on": on.to_string(),
        "within_days": within,
        "expiring": expiring(shop.book, on, within).iter().map(|e| json!({
            "last_day": e.last_day.to_string(), "days": e.days, "kind": e.kind, "id": e.id,
            "what": e.what, "rule": e.rule,
        })).collect::<Vec<_>>(),
        "qualifications": shop.book.qualification.iter().map(|q| {
            let derived = derive(q);
            let holds = validity(shop.book, q, on);
            json!({
                "id": q.id.0, "person": q.person.0, "standard": q.standard.value.title(),
                "test": q.title(), "continuity_until": holds.continuity.to_string(),
                "retest_until": holds.retest.map(|r| r.to_string()), "until": holds.until().to_string(),
                "ranges": derived.ranges.iter().map(crate::shop::qualify::Range::words).collect::<Vec<_>>(),
                "flaws": derived.flaws,
                "rules": derived.sources.iter().chain([&holds.source]).map(|s| s.to_string()).collect::<Vec<_>>(),
            })
        }).collect::<Vec<_>>(),
    })
}

/// What runs out, in lines of text; with `ranges` also what each test covers.
#[must_use]
pub fn book_lines<'a>(shop: impl Into<Origin<'a>>, on: NaiveDate, within: u32, ranges: bool) -> Vec<String> {
    let shop = shop.into();
    let mut lines = vec![
        format!("{} ({})", &**shop.book.title, name(shop)),
        String::new(),
        format!("RUNS OUT WITHIN {within} DAYS OF {on}"),
    ];
    let found = expiring(shop.book, on, within);
    let width = found.iter().map(|e| e.id.chars().count()).max().unwrap_or(0);
    for one in &found {
        let left = match one.days {
            days if days < 0 => format!("ran out {} days ago", -days),
            0 => "last day".to_owned(),
            1 => "1 day left".to_owned(),
            days => format!("{days} days left"),
        };
        let rule = if one.rule.is_empty() { String::new() } else { format!("  [{}]", one.rule) };
        lines.push(format!(
            "  {}  {left:21}  {:13}  {:width$}  {}{rule}",
            one.last_day, one.kind, one.id, one.what
        ));
    }
    if found.is_empty() {
        lines.push("  nothing".to_owned());
    }
    if ranges {
        lines.push(String::new());
        lines.push("RANGES, DERIVED FROM EACH TEST".to_owned());
        for test in &shop.book.qualification {
            range_lines(shop, test, on, &mut lines);
        }
    }
    lines
}

fn range_lines(shop: Origin<'_>, test: &Qualification, on: NaiveDate, lines: &mut Vec<String>) {
    let who = shop.book.person(&test.person.value).map_or("?", |p| &p.name);
    let holds = validity(shop.book, test, on);
    let derived = derive(test);
    lines.push(format!(
        "  {}  {who}: {}, {}; until {}",
        test.id.value,
        test.title(),
        test.standard.value.title(),
        holds.until()
    ));
    lines.extend(derived.ranges.iter().map(|r| format!("      {}", r.words())));
    lines.extend(derived.flaws.iter().map(|f| format!("      ! {f}")));
    lines.extend(derived.sources.iter().chain([&holds.source]).map(|s| format!("      {s}")));
}
