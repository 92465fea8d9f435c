//! `shop`: what runs out in the shop book.

use crate::app::Host;
use crate::app::shop;
use crate::cli::args::Shop;
use crate::cli::{Ending, terminal};

pub(super) fn run(host: &dyn Host, args: &Shop) -> Ending {
    let path = shop::find(host, args.book.as_deref().or(args.file.as_deref()), None);
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
    if args.on.is_none() {
        terminal::note(format!("counted from today, {on}; --on names another day"));
    }
    shop::book_lines(&book, on, args.within, args.ranges).iter().for_each(terminal::out);
    shop::ahead(&book, on).iter().for_each(|line| terminal::out(format!("! {line}")));
    terminal::report(&book.report, std::slice::from_ref(&book.source));
    Ending::Done
}
