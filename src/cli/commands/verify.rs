//! `verify`: a completed record checked with nothing but its PDF.

use crate::app::batch;
use crate::app::plan::Failure;
use crate::app::record::verify::{self, Trust};
use crate::app::record::{RecordHost, evidence, journal, key, refused, stamps};
use crate::cli::args::record::Verify;
use crate::cli::{Ending, terminal};

pub(super) fn run(host: &dyn RecordHost, args: &Verify) -> Result<Ending, Failure> {
    let bytes = host.bytes(&args.file).map_err(|e| Failure::at(&args.file, &e))?;
    let journal = match &args.journal {
        Some(path) if host.exists(path) => Some(journal::given(host, path)?),
        Some(path) => return Err(Failure::System(format!("{}: there is no such file", path.display()))),
        None => None,
    };
    let named = key::trusted(host, &args.trust)?;
    let stamps = match (&args.journal, &journal) {
        (Some(path), Some(journal)) => stamps::beside(host, path, journal)?,
        _ => Vec::new(),
    };
    if let Some(folder) = args.kept.as_deref().filter(|f| host.folders(f).is_err()) {
        return Err(Failure::System(format!("{}: there is no such folder", folder.display())));
    }
    let folder = args.kept.as_deref().or_else(|| evidence::beside(host, &args.file));
    let kept = folder.map(|folder| evidence::kept(host, folder));
    let heads = args.head.iter().map(|text| verify::head(text).map_err(refused)).collect::<Result<_, _>>()?;
    let trust = Trust { named, unsealed: args.unsealed, journal, stamps, kept, heads };
    batch::only_one();
    let verdict = verify::verify(&bytes, &trust);
    let ending = if verdict.accepted() { Ending::Done } else { Ending::Refused };
    if args.json {
        terminal::json(&verdict.json());
        return Ok(ending);
    }
    terminal::out(verdict.sentence());
    if let Some(words) = verdict.behind() {
        terminal::out(words);
    }
    if !verdict.name.is_empty() {
        terminal::out(format!("Completed record {}", terminal::one_line(&verdict.name)));
    }
    for looked in &verdict.looked {
        let mark = match looked.outcome {
            verify::Outcome::Good => "good",
            verify::Outcome::Bad | verify::Outcome::Contradicted | verify::Outcome::Behind => "BAD ",
            verify::Outcome::NotShown => "?   ",
            verify::Outcome::Demonstration => "demo",
        };
        terminal::out(format!("  {mark}  {}", terminal::one_line(&looked.words)));
    }
    for remark in &verdict.remarks {
        terminal::out(format!("  note  {}", terminal::one_line(remark)));
    }
    if !verdict.limits.is_empty() {
        terminal::out("What this can't prove:");
        verdict.limits.iter().for_each(|l| terminal::out(format!("  {}", terminal::one_line(l))));
    }
    Ok(ending)
}
