//! `look`: scans and pictures of filled pages, read and shown; nothing is entered.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use serde_json::{Value as Json, json};

use crate::app::host::There;
use crate::app::output::{self, Over};
use crate::app::plan::Failure;
use crate::app::record::boxes::Sight;
use crate::app::record::paper_seen::{Seen, SheetSeen, see, see_alone, words};
use crate::app::record::paper_sheet::{self, Prefilled};
use crate::app::record::{RecordHost, desk, paper_review, refused};
use crate::cli::args::record::Look;
use crate::cli::{Ending, terminal};
use crate::diagnostic::Diagnostic;

pub(super) fn run(host: &dyn RecordHost, args: &Look) -> Result<Ending, Failure> {
    let paper = Path::new(&args.number);
    if host.there(paper) == There::File {
        return alone(host, args, paper);
    }
    let folder = desk::find(host, &args.number, args.travelers.as_deref())?;
    // Reading takes minutes: what can't be written is said before.
    if let Some(out) = &args.out {
        output::may_write(host, out, Over::Review(None))?;
    }
    let sight = match &args.sheet {
        Some(sheet) => {
            let sight = Sight::of(host, &folder, args.shop.as_deref(), host.now())?;
            output::may_write(host, sheet, Over::Sheet(&sight.plan.number))?;
            Some(sight)
        }
        None => None,
    };
    let seen = see(host, &folder, &args.files, &mut progress)?;
    let review = review(host, args, &seen)?;
    let sheet = match (&args.sheet, &sight) {
        (Some(path), Some(sight)) => {
            Some(paper_sheet::write(host, sight, &seen, path, super::sheet::separator(args.between))?)
        }
        _ => None,
    };
    shown(args, &seen, &review, sheet.as_ref());
    Ok(if seen.unread() > 0 { Ending::Refused } else { Ending::Done })
}

/// With the issued PDF and nothing else: a review, and nothing is kept.
fn alone(host: &dyn RecordHost, args: &Look, paper: &Path) -> Result<Ending, Failure> {
    if args.sheet.is_some() {
        return Err(refused(
            Diagnostic::error("L406", "an entry sheet asks what is open, and only the record knows")
                .expected("the number of a traveler whose folder is here")
                .help("without --sheet the PDF alone is enough for the review"),
        ));
    }
    let seen = see_alone(host, paper, &args.files, &mut progress)?;
    let review = review(host, args, &seen)?;
    shown(args, &seen, &review, None);
    Ok(if seen.unread() > 0 { Ending::Refused } else { Ending::Done })
}

/// Writes the review; gives where.
fn review(host: &dyn RecordHost, args: &Look, seen: &Seen) -> Result<PathBuf, Failure> {
    let review = args.out.clone().unwrap_or_else(|| {
        let first = args.files.first().cloned().unwrap_or_default();
        first.with_file_name(format!("{}-review.pdf", seen.form.number))
    });
    let pdf = paper_review::write(seen)?;
    output::put(host, &review, Over::Review(Some(&seen.form.number)), &pdf)?;
    Ok(review)
}

fn shown(args: &Look, seen: &Seen, review: &Path, sheet: Option<&Prefilled>) {
    if args.json {
        terminal::json(&json!({
            "traveler": seen.form.number, "revision": seen.form.revision,
            "rules": crate::app::record::paper_seen::RULES,
            "pages": seen.sheets.iter().map(|s| sheet_json(seen, s)).collect::<Vec<_>>(),
            "proposals": seen.proposals().collect::<Vec<_>>(),
            "review": review, "sheet": sheet.and(args.sheet.as_ref()),
            "crops": sheet.map(|s| &s.crops),
        }));
    } else {
        seen.sheets.iter().for_each(|s| sheet_text(seen, s));
        terminal::out(format!("Review -> {}", review.display()));
        terminal::out("Nothing is entered: a named person looks at every page first.");
        if let (Some(sheet), Some(path)) = (sheet, &args.sheet) {
            told(&args.number, sheet, path);
        }
    }
}

/// Says on a terminal what is read; a file or a pipe gets the results only.
pub(super) fn progress(what: &str) {
    if std::io::stderr().is_terminal() {
        terminal::note(format!("… {what}"));
    }
}

fn told(number: &str, sheet: &Prefilled, path: &std::path::Path) {
    let path = path.display();
    terminal::out(format!(
        "Sheet -> {path}: {} lines, {} filled in, {} to type; {} were entered before.",
        sheet.lines, sheet.filled, sheet.to_type, sheet.entered
    ));
    if let Some(folder) = &sheet.crops {
        terminal::out(format!("Boxes to read -> {}", folder.display()));
    }
    terminal::out("Compare each page with its lines, write x beside \"page N\", type what is missing, then:");
    terminal::out(format!("  tackwright sheet {number} --take {path} --by ID"));
}

fn sheet_text(seen: &Seen, sheet: &SheetSeen) {
    terminal::out(paper_review::title(sheet));
    let page = match &sheet.page {
        Ok(page) => page,
        Err(why) => {
            terminal::out(format!("  NOT READ: {why}"));
            return;
        }
    };
    terminal::out(format!("  {}", paper_review::summary(sheet, page)));
    for one in page.boxes.iter().filter(|b| b.says_something()) {
        let asks = seen.box_of(one).map_or_else(String::new, |b| b.asks.clone());
        let word = one.word.as_ref().map_or_else(String::new, |w| format!(" [{w}]"));
        terminal::out(format!("  {}{word}  {asks}: {}", one.name, words(one.kind, &one.value)));
    }
}

fn sheet_json(seen: &Seen, sheet: &SheetSeen) -> Json {
    let source = json!({ "file": sheet.file, "sha256": sheet.sha256, "place": sheet.place });
    let page = match &sheet.page {
        Ok(page) => page,
        Err(why) => return json!({ "from": source, "page": sheet.number, "not_read": why }),
    };
    let boxes: Vec<Json> = page
        .boxes
        .iter()
        .enumerate()
        .map(|(i, one)| {
            let crop = sheet.crops.iter().find(|(at, ..)| *at == i).map(|(_, _, digest)| digest);
            json!({
                "name": one.name, "word": one.word, "kind": one.kind, "value": one.value,
                "asks": seen.box_of(one).map(|b| &b.asks), "rect": one.rect,
                "features": one.features, "crop": crop, "gone": sheet.gone.contains(&i),
            })
        })
        .collect();
    json!({
        "from": source, "page": page.code.page, "code": page.code.to_string(), "transform": page.map,
        "registered": page.registered, "two_tone": page.two_tone, "known": sheet.known, "boxes": boxes,
    })
}
