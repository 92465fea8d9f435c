//! `shop`: what runs out in the shop book.

use chrono::NaiveDate;

use crate::app::Host;
use crate::app::shop::{self, ShopBook};
use crate::cli::args::Shop;
use crate::cli::{Ending, terminal};
use crate::shop::expiry::expiring;
use crate::shop::qualify::derive;
use crate::shop::qualify::validity::validity;

pub(super) fn run(host: &dyn Host, args: &Shop) -> Ending {
    let path = shop::find(host, args.file.as_deref(), None);
    let book = match shop::book(host, path.as_deref()) {
        Ok(book) => book,
        Err(failure) if args.json => return terminal::failure_json(&failure),
        Err(failure) => return terminal::failure(&failure),
    };
    let on = args.on.unwrap_or_else(|| host.today());
    if args.json {
        terminal::json(&shop::book_json(&book, on, args.within));
        return Ending::Done;
    }
    print(&book, on, args);
    terminal::report(&book.report, std::slice::from_ref(&book.source));
    Ending::Done
}

fn print(shop: &ShopBook, on: NaiveDate, args: &Shop) {
    let today = if args.on.is_none() { " (today)" } else { "" };
    let demo = if shop.demo { ", the demonstration that ships" } else { "" };
    terminal::out(format!("{} ({}{demo})", &*shop.book.title, shop.source.name));
    terminal::out("");
    terminal::out(format!("RUNS OUT WITHIN {} DAYS OF {on}{today}", args.within));
    let found = expiring(&shop.book, on, args.within);
    let width = found.iter().map(|e| e.id.chars().count()).max().unwrap_or(0);
    for one in &found {
        let left = match one.days {
            days if days < 0 => format!("ran out {} days ago", -days),
            0 => "last day".to_owned(),
            1 => "1 day left".to_owned(),
            days => format!("{days} days left"),
        };
        let rule = if one.rule.is_empty() { String::new() } else { format!("  [{}]", one.rule) };
        terminal::out(format!(
            "  {}  {left:19}  {:13}  {:width$}  {}{rule}",
            one.last_day, one.kind, one.id, one.what
        ));
    }
    if found.is_empty() {
        terminal::out("  nothing");
    }
    if args.ranges {
        ranges(shop);
    }
}

fn ranges(shop: &ShopBook) {
    terminal::out("");
    terminal::out("RANGES, DERIVED FROM EACH TEST");
    for test in &shop.book.qualification {
        let who = shop.book.person(&test.person.value).map_or("?", |p| &p.name);
        let holds = validity(&shop.book, test);
        let derived = derive(test);
        terminal::out(format!(
            "  {}  {who}: {}, {}; until {}",
            test.id.value,
            test.title(),
            test.standard.value.title(),
            holds.until()
        ));
        for range in &derived.ranges {
            terminal::out(format!("      {}", range.words()));
        }
        for flaw in &derived.flaws {
            terminal::out(format!("      ! {flaw}"));
        }
        for source in derived.sources.iter().chain([&holds.source]) {
            terminal::out(format!("      {source}"));
        }
    }
}
