//! Pictures of filled paper: read against the revision in force, kept by their
//! digest, and turned into proposals. Nothing is entered here; a person confirms.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use image::{ExtendedColorType, ImageEncoder};

use super::files::RecordHost;
use super::paper_kept::Kept;
use super::{desk, folder, paper_kept, pdf, refused, stored, system, wrong_file};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::form::{BoxKind, Evidence, Form, FormBox, Proposal, Proposed, Way};
use crate::picture::grey::Grey;
use crate::picture::{self, BoxSeen, PageSeen, Pictures};
use crate::record::sha256;
use crate::record::state;

/// What was read from all pictures of one call.
#[derive(Debug)]
pub struct Seen {
    /// Folder of the traveler.
    pub traveler: PathBuf,
    /// The boxes of the revision in force.
    pub form: Form,
    /// Page by page, in the order they came.
    pub sheets: Vec<SheetSeen>,
}

/// One picture.
#[derive(Debug)]
pub struct SheetSeen {
    /// Name of what it was read from, a picture or a PDF.
    pub file: String,
    /// SHA-256 of that file.
    pub sha256: String,
    /// Place in the file: `page 3`; empty where it holds one picture.
    pub place: String,
    /// What was read, or why nothing was.
    pub page: Result<PageSeen, String>,
    /// Page the code names, where one was read.
    pub number: Option<u32>,
    /// The page laid straight, 4 points to the mm.
    pub straight: Option<Grey>,
    /// What is new on it.
    pub proposals: Vec<Proposal>,
    /// Boxes that were decided the same on an earlier picture.
    pub known: usize,
    /// Crops of boxes a person looks at: place in `boxes`, PNG, SHA-256.
    pub crops: Vec<(usize, Vec<u8>, String)>,
    /// Boxes whose mark an earlier picture showed and this one does not.
    pub gone: Vec<usize>,
}

/// Name and version of the rules pictures are read by.
pub const RULES: &str = picture::RULE;
/// Points to the mm of a page in the review.
pub(super) const REVIEW: f64 = 4.0;

/// Reads pictures of pages of a traveler, and keeps them. `progress` is told which is
/// read next: many take minutes.
///
/// # Errors
/// If the traveler has no pages a picture can be read by, a file can't be read at
/// all, or the system fails. A picture that can't be read is said on its sheet.
pub fn see(
    host: &dyn RecordHost,
    traveler: &Path,
    files: &[PathBuf],
    progress: &mut dyn FnMut(&str),
) -> Result<Seen, Failure> {
    let entries = desk::look(host, traveler)?.entries;
    let issue = state::issue(&entries).ok_or_else(|| desk::never_issued(host, traveler))?;
    let form: Form = stored::file(host, traveler, issue, stored::FORM)
        .ok()
        .and_then(|bytes| serde_json::from_slice(&bytes).ok())
        .ok_or_else(|| unmarked(&issue.number, &issue.revision))?;
    if form.pages.iter().all(|p| p.code.is_none()) {
        return Err(unmarked(&issue.number, &issue.revision));
    }
    let paper = stored::file(host, traveler, issue, stored::PAPER)?;
    let printed = Pictures::open(&paper).map_err(|e| Failure::System(format!("{}: {e}", stored::PAPER)))?;
    let blank = Blanks { printed, last: RefCell::new(None) };
    let before = earlier(host, traveler, &form);
    let sheets = Reading { host, traveler: Some(traveler), form: &form, blank: &blank }
        .files(files, before, progress)?;
    Ok(Seen { traveler: traveler.to_owned(), form, sheets })
}

/// Reads pictures of the pages of an issued PDF, with nothing but that file: it has
/// the names and places of its boxes attached. Nothing is kept.
///
/// # Errors
/// If the PDF has no list of its boxes, a file can't be read at all, or the system
/// fails.
pub fn see_alone(
    host: &dyn RecordHost,
    paper: &Path,
    files: &[PathBuf],
    progress: &mut dyn FnMut(&str),
) -> Result<Seen, Failure> {
    let bytes = host.bytes(paper).map_err(|e| system(paper, e))?;
    let attached = pdf::attachments(&bytes).unwrap_or_default();
    let form: Option<Form> = attached.get(stored::FORM).and_then(|f| serde_json::from_slice(f).ok());
    let form = form.filter(|f| f.pages.iter().any(|p| p.code.is_some())).ok_or_else(|| {
        refused(
            Diagnostic::error("L407", format!("{} has no list of its boxes attached", paper.display()))
                .expected("the PDF of a traveler as it was issued, or the number of one whose folder is here")
                .help("a draft has none; one issued by an earlier version is looked at by its number"),
        )
    })?;
    let printed = Pictures::open(&bytes).map_err(|e| Failure::at(paper, &e))?;
    let blank = Blanks { printed, last: RefCell::new(None) };
    let sheets =
        Reading { host, traveler: None, form: &form, blank: &blank }.files(files, Vec::new(), progress)?;
    Ok(Seen { traveler: PathBuf::new(), form, sheets })
}

fn unmarked(number: &str, revision: &str) -> Failure {
    refused(
        Diagnostic::error("L404", format!("{number} rev {revision} has no pages a picture can be read by"))
            .expected("a revision issued with a code, discs and named boxes on its pages")
            .help("issue the next revision, and print it: tackwright revise JOB"),
    )
}

/// So many pages without a code at the start make a file that is none of ours;
/// reading on takes seconds for each page.
const BLIND: usize = 4;

/// The printed pages, drawn when they are needed.
struct Blanks<'a> {
    printed: Pictures<'a>,
    last: RefCell<Option<(u32, Grey)>>,
}

impl Blanks<'_> {
    fn page(&self, number: u32) -> Option<Grey> {
        let mut last = self.last.borrow_mut();
        if last.as_ref().is_none_or(|(page, _)| *page != number) {
            let index = usize::try_from(number).ok()?.checked_sub(1)?;
            *last = Some((number, self.printed.get(index).ok()?));
        }
        last.as_ref().map(|(_, grey)| grey.clone())
    }
}

/// What earlier pictures of this revision showed.
fn earlier(host: &dyn RecordHost, traveler: &Path, form: &Form) -> Vec<Kept> {
    let of_this = |p: &PageSeen| {
        p.code.revision.eq_ignore_ascii_case(&form.revision)
            && form.digest.get(..12).is_some_and(|d| d.eq_ignore_ascii_case(&p.code.digest))
    };
    let mut all = paper_kept::all(host, traveler);
    all.iter_mut().for_each(|kept| kept.pages.retain(of_this));
    all
}

/// What pictures are read against.
struct Reading<'a> {
    host: &'a dyn RecordHost,
    /// Where they are kept, if they are.
    traveler: Option<&'a Path>,
    form: &'a Form,
    blank: &'a Blanks<'a>,
}

impl Reading<'_> {
    fn files(
        &self,
        files: &[PathBuf],
        mut before: Vec<Kept>,
        progress: &mut dyn FnMut(&str),
    ) -> Result<Vec<SheetSeen>, Failure> {
        let mut sheets = Vec::new();
        for file in files {
            let bytes = self.host.bytes(file).map_err(|e| system(file, e))?;
            sheets.extend(self.file(file, &bytes, &mut before, progress)?);
        }
        Ok(sheets)
    }

    fn file(
        &self,
        file: &Path,
        bytes: &[u8],
        before: &mut Vec<Kept>,
        progress: &mut dyn FnMut(&str),
    ) -> Result<Vec<SheetSeen>, Failure> {
        let Self { host, traveler, form, blank } = *self;
        let name = file.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        let digest = sha256(bytes);
        let unread = |why: String| Ok(vec![SheetSeen::unread(&name, &digest, String::new(), why, None)]);
        // A copy shows what was typed, and says it in its fields.
        if let Some(other) = wrong_file::hint(bytes, &form.number).filter(|_| !wrong_file::is_picture(bytes))
        {
            return unread(other);
        }
        let pictures = match Pictures::open(bytes) {
            Ok(pictures) => pictures,
            Err(why) => return unread(why.to_string()),
        };
        let several = pictures.count() > 1;
        let mut sheets: Vec<SheetSeen> = Vec::new();
        let mut kept = Kept {
            file: name.clone(),
            sha256: digest.clone(),
            at: host.now().to_rfc3339(),
            rule: picture::RULE.to_owned(),
            pages: Vec::new(),
            places: Vec::new(),
            crops: BTreeMap::new(),
        };
        for index in 0..pictures.count() {
            let place = if several { format!("page {}", index + 1) } else { String::new() };
            let of =
                if several { format!(", page {} of {}", index + 1, pictures.count()) } else { String::new() };
            progress(&format!("reading {name}{of}"));
            let grey = match pictures.get(index) {
                Ok(grey) => grey,
                Err(why) => {
                    sheets.push(SheetSeen::unread(&name, &digest, place, why.to_string(), None));
                    continue;
                }
            };
            let page = match picture::read(&grey, form, &|page| blank.page(page)) {
                Ok(page) => page,
                Err(why) => {
                    let number = why.code().map(|c| c.page);
                    sheets.push(SheetSeen::unread(&name, &digest, place, why.to_string(), number));
                    let (seen, all) = (index + 1, pictures.count());
                    if seen == BLIND
                        && all > seen
                        && sheets.iter().all(|s| s.page.is_err() && s.number.is_none())
                    {
                        let why = format!(
                            "not looked at: the first {BLIND} pages carry no code of a traveler; is this the right file? Leave such pages out if it is"
                        );
                        let place = format!("pages {} to {all}", seen + 1);
                        sheets.push(SheetSeen::unread(&name, &digest, place, why, None));
                        break;
                    }
                    continue;
                }
            };
            let others = before.iter().filter(|k| k.sha256 != digest).flat_map(|k| &k.pages);
            let number = page.code.page;
            let pages = others.chain(&kept.pages).filter(|p| p.code.page == number);
            let mut sheet = SheetSeen::new(&name, &digest, place, &grey, form, page, pages)?;
            if let Ok(page) = &mut sheet.page {
                for (i, png, digest) in &sheet.crops {
                    if let Some(traveler) = traveler {
                        let path = folder::picture(traveler, digest, "png")?;
                        folder::write(host, traveler, &path, png)?;
                    }
                    kept.crops.insert(page.boxes[*i].label(), digest.clone());
                }
                kept.pages.push(page.clone());
                kept.places.push(sheet.place.clone());
            }
            sheets.push(sheet);
        }
        if let Some(traveler) = traveler.filter(|_| !kept.pages.is_empty()) {
            let ending = ending(bytes);
            let path = folder::picture(traveler, &digest, ending)?;
            folder::write(host, traveler, &path, bytes)?;
            let path = folder::picture(traveler, &digest, "json")?;
            let text = serde_json::to_vec_pretty(&kept).map_err(|e| Failure::System(e.to_string()))?;
            folder::write(host, traveler, &path, &text)?;
            before.retain(|k| k.sha256 != digest);
            before.push(kept);
        }
        Ok(sheets)
    }
}

fn ending(bytes: &[u8]) -> &'static str {
    match image::guess_format(bytes) {
        Ok(image::ImageFormat::Png) => "png",
        Ok(image::ImageFormat::Jpeg) => "jpg",
        Ok(image::ImageFormat::Tiff) => "tif",
        _ => "pdf",
    }
}

impl SheetSeen {
    fn unread(file: &str, sha256: &str, place: String, why: String, number: Option<u32>) -> Self {
        Self {
            file: file.to_owned(),
            sha256: sha256.to_owned(),
            place,
            page: Err(why),
            number,
            straight: None,
            proposals: Vec::new(),
            known: 0,
            crops: Vec::new(),
            gone: Vec::new(),
        }
    }

    fn new<'a>(
        file: &str,
        sha256: &str,
        place: String,
        grey: &Grey,
        form: &Form,
        mut page: PageSeen,
        earlier: impl Iterator<Item = &'a PageSeen>,
    ) -> Result<Self, Failure> {
        let mut shown: BTreeMap<(String, Option<String>), &Proposed> = BTreeMap::new();
        for one in earlier.flat_map(|p| &p.boxes) {
            // A doubt says nothing about what was there.
            if !matches!(one.value, Proposed::Look(_)) {
                shown.insert((one.name.to_string(), one.word.clone()), &one.value);
            }
        }
        let mut gone = Vec::new();
        let mut same = vec![false; page.boxes.len()];
        for (i, one) in page.boxes.iter_mut().enumerate() {
            let was = shown.get(&(one.name.to_string(), one.word.clone()));
            let marked = matches!(was, Some(Proposed::Ticked | Proposed::Written));
            if marked && one.value == Proposed::Empty {
                one.value = Proposed::Look("an earlier picture shows a mark here, and it is gone".to_owned());
                gone.push(i);
            }
            same[i] = was.is_some_and(|was| **was == one.value);
        }
        let mut crops = Vec::new();
        for (i, one) in page.boxes.iter().enumerate() {
            if matches!(one.value, Proposed::Look(_) | Proposed::Written) {
                let png = png(&picture::crop(grey, &page, one))?;
                let digest = crate::record::sha256(&png);
                crops.push((i, png, digest));
            }
        }
        let whole = form.pages.get(usize::try_from(page.code.page).unwrap_or(0).saturating_sub(1));
        let straight = whole.map(|p| {
            let rect = crate::form::Rect { x: 0.0, y: 0.0, width: p.width, height: p.height };
            picture::straight(grey, &page.map, rect, REVIEW)
        });
        let from = |rect| Evidence {
            way: Way::Picture,
            file: file.to_owned(),
            sha256: sha256.to_owned(),
            place: paper_kept::place(file, &place, page.code.page),
            rule: picture::RULE.to_owned(),
            rect: Some(rect),
            picture: None,
        };
        let (proposals, known) = proposals(form, &page, &same, from);
        Ok(Self {
            file: file.to_owned(),
            sha256: sha256.to_owned(),
            number: Some(page.code.page),
            place,
            page: Ok(page),
            straight,
            proposals,
            known,
            crops,
            gone,
        })
    }
}

/// One proposal for each box of the plan; none for what an earlier picture said
/// already. The second is the count of those.
fn proposals(
    form: &Form,
    page: &PageSeen,
    same: &[bool],
    from: impl Fn(crate::form::Rect) -> Evidence,
) -> (Vec<Proposal>, usize) {
    let mut made: Vec<Proposal> = Vec::new();
    let mut known = 0;
    for (name, group, value) in paper_kept::said(page) {
        // What only the paper keeps is shown, and proposes nothing.
        if page.boxes[group[0]].kind == BoxKind::Note {
            continue;
        }
        if group.iter().all(|k| same[*k]) {
            known += group.len();
            continue;
        }
        for name in form.answers_for(name) {
            made.push(Proposal {
                name,
                value: value.clone(),
                by: None,
                at: None,
                tool: None,
                from: from(page.boxes[group[0]].rect),
            });
        }
    }
    (made, known)
}

/// A grey picture as a PNG file.
pub(super) fn png(grey: &Grey) -> Result<Vec<u8>, Failure> {
    let mut bytes = Cursor::new(Vec::new());
    let side = |v: usize| u32::try_from(v).unwrap_or(u32::MAX);
    image::codecs::png::PngEncoder::new(&mut bytes)
        .write_image(&grey.levels, side(grey.width), side(grey.height), ExtendedColorType::L8)
        .map_err(|e| Failure::System(format!("a crop could not be written: {e}")))?;
    Ok(bytes.into_inner())
}

/// Where the crop of a box lies: kept when the picture was read, or cut from the page
/// laid straight and kept now, where it was plain.
///
/// # Errors
/// If it can't be written.
pub(super) fn crop_kept(
    host: &dyn RecordHost,
    traveler: &Path,
    sheet: &SheetSeen,
    index: usize,
) -> Result<Option<PathBuf>, Failure> {
    if let Some((.., digest)) = sheet.crops.iter().find(|(at, ..)| *at == index) {
        return folder::picture(traveler, digest, "png").map(Some);
    }
    let (Some(straight), Ok(page)) = (&sheet.straight, &sheet.page) else { return Ok(None) };
    let cut = picture::cut(straight, page.boxes[index].rect, REVIEW);
    let png = png(&cut)?;
    let path = folder::picture(traveler, &sha256(&png), "png")?;
    folder::write(host, traveler, &path, &png)?;
    Ok(Some(path))
}

impl Seen {
    /// What a box asks for, and its place among the boxes of the form.
    #[must_use]
    pub fn box_of(&self, seen: &BoxSeen) -> Option<&FormBox> {
        self.form.boxes.iter().find(|b| b.name == seen.name && b.word == seen.word)
    }

    /// Everything that is proposed, in order.
    pub fn proposals(&self) -> impl Iterator<Item = &Proposal> {
        self.sheets.iter().flat_map(|s| &s.proposals)
    }

    /// Whether something can't be read or has to be looked at.
    #[must_use]
    pub fn unread(&self) -> usize {
        self.sheets.iter().filter(|s| s.page.is_err()).count()
    }
}

/// What a box is said to hold, in a word or two.
#[must_use]
pub fn words(kind: BoxKind, value: &Proposed) -> String {
    match (value, kind) {
        (Proposed::Ticked, _) => "ticked".to_owned(),
        (Proposed::Empty, BoxKind::Tick) => "not ticked".to_owned(),
        (Proposed::Empty, _) => "empty".to_owned(),
        (Proposed::Written, BoxKind::Signature) => {
            "something is written here; a picture signs nothing".to_owned()
        }
        (Proposed::Written, BoxKind::Initials) => {
            "initials seen on paper: x if they are there; whose they are says who enters them".to_owned()
        }
        (Proposed::Written, BoxKind::Note) => {
            "seen on paper, which keeps it; nothing is entered from it".to_owned()
        }
        (Proposed::Written, _) => "written: type it from the crop".to_owned(),
        (Proposed::Text(text), _) => format!("\"{text}\""),
        (Proposed::Look(why), _) => format!("look: {why}"),
    }
}
