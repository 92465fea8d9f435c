//! Finding and loading a shop book; what it changes in a plan.

use std::path::{Path, PathBuf};

use crate::app::failure::{Failure, SourceText};
use crate::app::host::Host;
use crate::app::source;
use crate::diagnostic::{Diagnostic, Report};
use crate::job::{self, JobFile};
use crate::procedure::Library;
use crate::routing::rules::RULES;
use crate::routing::rules::data::{DataRule, Wanted};
use crate::shop::model::{RuleWant, ShopRule};
use crate::shop::{self, Book, Origin};
use crate::traveler::document::Logo;

/// A book with the file it came from.
#[derive(Debug, Clone)]
pub struct ShopBook {
    /// What it says.
    pub book: Book,
    /// Its file, for showing problems.
    pub source: SourceText,
    /// Whether it is the demonstration that ships with the program.
    pub demo: bool,
    /// Whether there is no book: nothing of anybody's is printed or checked.
    pub absent: bool,
    /// Folder its own paths start from; none for the demonstration.
    pub folder: Option<PathBuf>,
    /// Warnings of the book, no errors.
    pub report: Report,
    /// The logo, read.
    pub logo: Option<Logo>,
    /// Whether it is what was kept of a book with a traveler.
    pub kept: bool,
}

/// Where the book of a job is: the one named, else `shop.toml` next to the job,
/// else none.
#[must_use]
pub fn find(host: &dyn Host, named: Option<&Path>, job: Option<&Path>) -> Option<PathBuf> {
    if let Some(named) = named {
        return Some(named.to_owned());
    }
    let beside = job.map_or_else(|| PathBuf::from("shop.toml"), |j| j.with_file_name("shop.toml"));
    host.exists(&beside).then_some(beside)
}

/// Which book speaks for a job.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Which {
    /// The book at this path: named, or found beside the job.
    File(PathBuf),
    /// The demonstration that ships; for jobs marked as invented alone.
    Demo,
    /// None: only the job's own people are known.
    None,
}

impl Which {
    /// The book of a job: the file that is found, else the demonstration if the
    /// job says that it is invented, else none.
    #[must_use]
    pub fn of(host: &dyn Host, named: Option<&Path>, path: &Path) -> Self {
        if let Some(found) = find(host, named, Some(path)) {
            return Which::File(found);
        }
        let text = host.read(path).unwrap_or_default();
        let invented = job::load("job", &text).0.is_some_and(|j| j.job.invented);
        if invented { Which::Demo } else { Which::None }
    }
}

/// Loads the book that speaks for a job.
///
/// # Errors
/// As [`book`].
pub fn book_of(host: &dyn Host, which: &Which) -> Result<ShopBook, Failure> {
    match which {
        Which::File(path) => book(host, Some(path)),
        Which::Demo => book(host, None),
        Which::None => of_text(shop::EMPTY_NAME.to_owned(), shop::EMPTY.to_owned()),
    }
}

/// Loads a book, or the demonstration if there is none.
///
/// # Errors
/// If it can't be read or has errors.
pub fn book(host: &dyn Host, path: Option<&Path>) -> Result<ShopBook, Failure> {
    let (name, text) = match path {
        Some(path) => {
            let source = source::read(host, path, source::Wanted::Shop)?;
            (source.name, source.text)
        }
        None => (shop::DEMO_NAME.to_owned(), shop::DEMO.to_owned()),
    };
    let mut read = of_text(name, text)?;
    read.demo = path.is_none();
    read.folder = path.map(|p| p.parent().unwrap_or(Path::new("")).to_owned());
    read.logo = logo(host, &read.book, read.folder.as_deref())?;
    Ok(read)
}

/// A book from its text alone: without the folder it stood in and without its logo.
///
/// # Errors
/// If it has errors.
pub fn of_text(name: String, text: String) -> Result<ShopBook, Failure> {
    read_by(name, text, |_| true)
}

/// As [`of_text`], of the rows a frozen revision keeps: what was issued was sound by the
/// rules of its day, which let rows stand that only look alike.
///
/// # Errors
/// If it has errors.
pub fn of_frozen(name: String, text: String) -> Result<ShopBook, Failure> {
    read_by(name, text, |problem| problem.code != "S003")
}

fn read_by(name: String, text: String, counts: impl Fn(&Diagnostic) -> bool) -> Result<ShopBook, Failure> {
    let (book, mut report) = shop::load(&name, &text);
    report.problems.retain(|problem| counts(problem));
    let absent = shop::is_empty(&text);
    let source = SourceText { name, text };
    if let Some(book) = &book {
        report.extend(rules_report(book));
    }
    match book {
        Some(book) if !report.has_errors() => {
            Ok(ShopBook { book, source, demo: false, absent, folder: None, report, logo: None, kept: false })
        }
        _ => Err(Failure::Refused(report, vec![source])),
    }
}

fn logo(host: &dyn Host, book: &Book, folder: Option<&Path>) -> Result<Option<Logo>, Failure> {
    let Some(name) = book.preference.as_ref().and_then(|p| p.logo.as_ref()) else { return Ok(None) };
    let Some(folder) = folder else { return Ok(None) };
    let path = name.value.from(folder);
    let bytes = host.bytes(&path).map_err(|e| Failure::at(&path, &e))?;
    let format = if name.value.to_lowercase().ends_with(".png") { "png" } else { "svg" };
    Ok(Some(Logo { bytes, format: format.to_owned() }))
}

/// Rules that can't be used, at their place.
fn rules_report(book: &Book) -> Report {
    let mut report = Report::new();
    for rule in &book.rule {
        let taken = RULES.iter().any(|r| r.id == rule.id.0);
        let flaw = data_rule(rule).flaw().or_else(|| taken.then(|| "a built-in rule has this id".to_owned()));
        if let Some(flaw) = flaw {
            report.push(
                Diagnostic::error("S070", format!("rule {} can't be used: {flaw}", rule.id.value))
                    .at(Some(rule.id.span.clone()))
                    .key(rule.id.key.clone())
                    .expected("acts it looks at, and what it forbids or requires")
                    .example("when_acts = [\"grind\"]\nforbid_states = [\"unit.painted\"]"),
            );
        }
    }
    report
}

/// A rule of the book as the router checks it.
fn data_rule(rule: &ShopRule) -> DataRule {
    let words =
        |list: &[crate::file::Located<crate::file::Id>]| list.iter().map(|w| w.0.clone()).collect::<Vec<_>>();
    let wants = |list: &[RuleWant]| {
        list.iter()
            .map(|w| Wanted {
                act: w.act.as_ref().map(|a| a.0.clone()),
                hold: w.hold.as_ref().map(|h| h.0.clone()),
                own: false,
            })
            .collect()
    };
    DataRule {
        id: rule.id.0.clone(),
        title: rule.title.0.clone(),
        reason: rule.reason.0.clone(),
        satisfy: rule.satisfy.0.clone(),
        source: rule.source.as_ref().map_or_else(|| "the shop's own rule".to_owned(), |s| s.0.clone()),
        when_acts: words(&rule.when_acts),
        at: words(&rule.at),
        near: Vec::new(),
        forbid_states: words(&rule.forbid_states),
        require_before: wants(&rule.require_before),
        require_after: wants(&rule.require_after),
        forbid_before: words(&rule.forbid_before),
        forbid_after: words(&rule.forbid_after),
    }
}

impl<'a> From<&'a ShopBook> for Origin<'a> {
    fn from(shop: &'a ShopBook) -> Self {
        Self { book: &shop.book, name: &shop.source.name, demo: shop.demo, absent: shop.absent }
    }
}

impl ShopBook {
    /// The shop's own safety rules.
    #[must_use]
    pub fn rules(&self) -> Vec<DataRule> {
        self.book.rule.iter().map(data_rule).collect()
    }

    /// Folder with the shop's own procedures.
    #[must_use]
    pub fn procedures(&self) -> Option<PathBuf> {
        let folder = self.book.preference.as_ref()?.procedures.as_ref()?;
        Some(folder.value.from(self.folder.as_ref()?))
    }

    /// Sets the levels the book wants on the points of a library. A tag no
    /// point has is reported.
    pub fn set_levels(&self, library: &mut Library) -> Report {
        let mut report = Report::new();
        for level in &self.book.level {
            let mut met = false;
            for (id, operation) in &mut library.operations {
                if level.operation.as_ref().is_some_and(|o| o.0 != *id) {
                    continue;
                }
                for point in &mut operation.row.point {
                    if point.rule.as_ref().is_some_and(|r| r.value == level.point.value) {
                        met = true;
                        point.kind = level.level;
                    }
                }
            }
            if !met {
                report.push(
                    Diagnostic::error("S071", format!("no point is tagged \"{}\"", level.point.value))
                        .at(Some(level.point.span.clone()))
                        .key(level.point.key.clone())
                        .expected("a tag of the procedures: fit-up, acceptance, cut-hold")
                        .example("point = \"fit-up\""),
                );
            }
        }
        report
    }

    /// Gives a job the preferences it does not state itself. `text` is its file.
    pub fn settle(&self, job: &mut JobFile, text: &str) {
        let Some(preference) = &self.book.preference else { return };
        let says = |key| crate::job::stated(text, "job", key);
        if let (Some(units), false) = (preference.units, says("units")) {
            job.job.units = units;
        }
        if let (Some(paper), false) = (preference.paper, says("paper")) {
            job.job.paper = paper;
        }
    }

    /// The finest fraction of an inch the shop reads, as its denominator.
    #[must_use]
    pub fn finest(&self) -> Option<u32> {
        Some(self.book.preference.as_ref()?.fraction?.denominator())
    }
}

/// A safety rule, as a person reads it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleWords {
    /// Id, as a waiver names it.
    pub id: String,
    /// One line.
    pub title: String,
    /// Why it exists.
    pub reason: String,
    /// How to satisfy it.
    pub satisfy: String,
    /// Where it comes from.
    pub source: String,
    /// Whether the shop book added it.
    pub own: bool,
}

/// Every rule, the shop's own last.
///
/// # Errors
/// If the book can't be read or has errors.
pub fn rules(host: &dyn Host, path: Option<&Path>) -> Result<Vec<RuleWords>, Failure> {
    let which = path.map_or(Which::None, |p| Which::File(p.to_owned()));
    let shop = book_of(host, &which)?;
    let built_in = RULES.iter().map(|r| RuleWords {
        id: r.id.to_owned(),
        title: r.title.to_owned(),
        reason: r.reason.to_owned(),
        satisfy: r.satisfy.to_owned(),
        source: r.source.to_string(),
        own: false,
    });
    let own = shop.rules().into_iter().map(|r| RuleWords {
        id: r.id,
        title: r.title,
        reason: r.reason,
        satisfy: r.satisfy,
        source: r.source,
        own: true,
    });
    Ok(built_in.chain(own).collect())
}
