//! An entry sheet of what pictures of paper show: ticks filled in, values left to be
//! typed from the crops that are written beside it. Nothing of it counts before a
//! person has compared each page with its lines and said so.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::boxes::{Row, Sight, rows};
use super::files::RecordHost;
use super::paper_kept::said;
use super::paper_seen::{Seen, SheetSeen, words};
use super::recompute::Memo;
use super::sheet::{self, Beside, Separator, SheetLine};
use super::{boxes, paper_review, system};
use crate::app::output::{self, Over};
use crate::app::plan::Failure;
use crate::form::{BoxName, Proposed};
use crate::picture::PageSeen;

/// A sheet that was written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Prefilled {
    /// Lines of boxes.
    pub lines: usize,
    /// Lines with a value.
    pub filled: usize,
    /// Lines a person types.
    pub to_type: usize,
    /// Boxes that show something and are entered already.
    pub entered: usize,
    /// Folder of the crops, if there are any.
    pub crops: Option<PathBuf>,
}

/// A line of a box before the sheet is written.
struct Told {
    row: usize,
    beside: Beside,
}

/// Writes the sheet, and the crops into a folder beside it.
///
/// # Errors
/// If the traveler or its revision can't be read, or a file can't be written.
pub fn write(
    host: &dyn RecordHost,
    sight: &Sight,
    seen: &Seen,
    path: &Path,
    separator: Separator,
) -> Result<Prefilled, Failure> {
    // Before the crops are laid beside it.
    output::may_write(host, path, Over::Sheet(&sight.plan.number))?;
    let scene = sight.scene();
    let keys = sight.plan.operations.iter().map(|o| o.key.clone()).collect();
    let now = boxes::in_force(host, &seen.traveler, &sight.issue, &scene, &mut Memo::default())?;
    let all = rows(&scene, now.as_deref(), &keys);
    let mut done = Prefilled::default();
    let stem = path.file_stem().map_or_else(|| "sheet".into(), |s| s.to_string_lossy().into_owned());
    let folder = path.with_file_name(format!("{stem}-crops"));
    let mut pages: Vec<(&SheetSeen, &PageSeen, Vec<Told>)> = Vec::new();
    for sheet in &seen.sheets {
        if let Ok(page) = &sheet.page {
            pages.push((sheet, page, Vec::new()));
        }
    }
    pages.sort_by_key(|(_, page, _)| page.code.page);
    let mut told: BTreeMap<BoxName, (usize, usize)> = BTreeMap::new();
    for at in 0..pages.len() {
        let (sheet, page, _) = pages[at];
        for (name, group, value) in said(page) {
            if value == Proposed::Empty || !page.boxes[group[0]].kind.entered() {
                continue;
            }
            let answers = seen.form.answers_for(name);
            let crop = crops(host, &folder, sheet, page, &group, &all, name)?;
            for one in &answers {
                let of = |r: &Row| r.name == *one || same_initials(r, one);
                let Some(row) = all.iter().position(of) else { continue };
                if all[row].done.is_some() {
                    done.entered += 1;
                    continue;
                }
                let printed = (answers.len() > 1).then_some(name);
                let beside = Beside {
                    value: proposed(&value),
                    seen: words(page.boxes[group[0]].kind, &value),
                    crop: crop.clone(),
                    picture: sheet::picture(&sheet.sha256, page.code.page, printed),
                };
                // Two pictures of one page that differ propose nothing.
                if let Some((other, line)) = told.get(one).copied() {
                    let before = &mut pages[other].2[line].beside;
                    if before.value == beside.value {
                        continue;
                    }
                    let both = format!("look: one picture shows {}, another {}", before.seen, beside.seen);
                    before.value = String::new();
                    before.seen.clone_from(&both);
                    continue;
                }
                told.insert(one.clone(), (at, pages[at].2.len()));
                pages[at].2.push(Told { row, beside });
            }
        }
    }
    let mut lines: Vec<SheetLine<'_>> = Vec::new();
    for (sheet, page, told) in pages.iter().filter(|(.., told)| !told.is_empty()) {
        let picture = sheet::picture(&sheet.sha256, page.code.page, None);
        lines.push(SheetLine::Page(page.code.page, paper_review::title(sheet), picture));
        for one in told {
            done.lines += 1;
            if one.beside.value.is_empty() {
                done.to_type += 1;
            } else {
                done.filled += 1;
            }
            if !one.beside.crop.is_empty() {
                done.crops = Some(folder.clone());
            }
            lines.push(SheetLine::Box(&all[one.row], one.beside.clone()));
        }
    }
    let bytes = sheet::prefilled(&sheet::paper(&sight.plan), &lines, separator)?;
    output::put(host, path, Over::Sheet(&sight.plan.number), &bytes)?;
    Ok(done)
}

/// The role of initials is taken as it is printed or as the plan names it.
fn same_initials(row: &Row, name: &BoxName) -> bool {
    use crate::form::Part::Initials;
    row.name.operation == name.operation && matches!((&row.name.part, &name.part), (Initials(_), Initials(_)))
}

fn proposed(value: &Proposed) -> String {
    match value {
        Proposed::Ticked => "x".to_owned(),
        Proposed::Text(text) => text.clone(),
        Proposed::Empty | Proposed::Written | Proposed::Look(_) => String::new(),
    }
}

/// Writes the crops of a box, and gives their names for its line.
fn crops(
    host: &dyn RecordHost,
    folder: &Path,
    sheet: &SheetSeen,
    page: &PageSeen,
    group: &[usize],
    all: &[Row],
    name: &BoxName,
) -> Result<String, Failure> {
    let typed = all.iter().find(|r| r.name == *name || same_initials(r, name));
    let typed = typed.map_or_else(|| name.to_string(), |r| r.typed.clone());
    let plain: String =
        typed.chars().map(|c| if c.is_alphanumeric() || c == '.' { c } else { '-' }).collect();
    let mut names = Vec::new();
    for (at, png, _) in sheet.crops.iter().filter(|(at, ..)| group.contains(at)) {
        let word = match (group.len(), &page.boxes[*at].word) {
            (1, _) | (_, None) => String::new(),
            _ => format!("-{}", 1 + group.iter().position(|k| k == at).unwrap_or_default()),
        };
        let file =
            format!("p{}-{plain}{word}-{}.png", page.code.page, sheet.sha256.get(..6).unwrap_or_default());
        let path = folder.join(&file);
        host.write(&path, png).map_err(|e| system(&path, e))?;
        names.push(file);
    }
    Ok(names.join(" "))
}
