//! Shapes at full size: from inputs at the bench or from a job to PDF, SVG and
//! DXF files.

mod drawn;
pub mod job;

use std::path::{Path, PathBuf};

use serde_json::{Value as Json, json};

pub use drawn::Drawn;
use drawn::draw;

use super::host::Host;
use super::output::{self, Over};
use super::plan::Failure;
use super::reckon::{self, Reply, Unanswered};
use super::record::refused;
use super::record::whole::{self, Own};
use crate::diagnostic::{Diagnostic, Report};
use crate::form::BoxName;
use crate::pattern::{self, Kind};
use crate::quantity::{Dimensioned, Kind as QuantityKind, Length, Quantity, parse, unit};
use crate::render::{self, Attachment, Relationship};
use crate::shape::scale::{self, Judged};
use crate::shape::{Sheet, dxf, pages, svg};
use crate::term::{Paper, Units};
use crate::traveler::document::Meta;

/// Name of the attachment that says what a file of ours shows.
pub const DATA: &str = "template.json";
/// What stands on a sheet that belongs to no traveler.
pub const BENCH: &str = "Not of a traveler: drawn from inputs given at the bench.";
/// Least and greatest bar that is still a print of ours, in millimetres.
const BELIEVED: (f64, f64) = (70.0, 140.0);

/// How sheets are written.
#[derive(Debug, Clone)]
pub struct Order {
    /// Folder to write to.
    pub out: PathBuf,
    /// Paper, where it is not the job's.
    pub paper: Option<Paper>,
    /// Also as SVG.
    pub svg: bool,
    /// Also as DXF.
    pub dxf: bool,
    /// What the 100 mm bars of a print measured, across and along the page.
    pub measured: Option<(Length, Length)>,
}

/// What was written.
#[derive(Debug, Clone)]
pub struct Written {
    /// Paths: the PDF if the shape fits on paper, then SVG and DXF where they were
    /// ordered.
    pub files: Vec<PathBuf>,
    /// Pages of the PDF.
    pub pages: usize,
    /// Title of the sheet, as it is printed on each page.
    pub title: String,
}

/// Reads a measured bar.
///
/// # Errors
/// If it is no length, or no print of a 100 mm bar could measure that.
pub fn measured(name: &str, text: &str) -> Result<Length, Diagnostic> {
    let wrong = |why: String| {
        Diagnostic::error("T910", why)
            .key(name)
            .expected("what the printed 100 mm bar measures, with its unit")
            .example(format!("--{name} \"99.2 mm\""))
    };
    let read =
        parse::measured(QuantityKind::Length, text).map_err(|e| wrong(format!("{name}: {}", e.message)))?;
    let bar: Length = Quantity::typed(read.value).ok_or_else(|| wrong(format!("{name} is no length")))?;
    let mm = bar.to(unit::MM);
    if (BELIEVED.0..=BELIEVED.1).contains(&mm) {
        return Ok(bar);
    }
    Err(wrong(format!("{name}: a 100 mm bar of no print measures {text}"))
        .help("measure the bar marked 100 mm, not the one marked 4 in"))
}

/// What measured bars say.
#[must_use]
pub fn judge((across, along): (Length, Length)) -> Judged {
    scale::judge(across.to(unit::MM), along.to(unit::MM))
}

/// The kind of this name.
///
/// # Errors
/// With the names there are, if it is none.
pub fn kind(name: &str) -> Result<&'static Kind, Diagnostic> {
    reckon::names::find(name).and_then(pattern::of).ok_or_else(|| {
        let names: Vec<&str> = pattern::KINDS.iter().map(|k| k.family.name).collect();
        let mut problem = Diagnostic::error("T911", format!("there is no template called \"{name}\""))
            .expected(format!("a job file, the number of a traveler, or one of {}", names.join(", ")))
            .example("tackwright template cope od=\"1-3/4 in\" on=\"2 in\" wall=\"0.120 in\"");
        let all = pattern::KINDS.iter().flat_map(|k| {
            std::iter::once(k.family.name).chain(k.family.declared.other_names.iter().copied())
        });
        if let Some(near) = crate::diagnostic::nearest(name, all) {
            problem = problem.help(format!("did you mean \"{near}\"?"));
        }
        problem
    })
}

/// The kinds, with what they draw and an example of each.
#[must_use]
pub fn kinds() -> Vec<[&'static str; 3]> {
    pattern::KINDS.iter().map(|k| [k.family.name, k.family.title, k.family.example]).collect()
}

/// An answer at the bench: the figures for the terminal, and the sheet.
///
/// # Errors
/// If the question is none, or there is no such shape.
pub fn bench(kind: &'static Kind, inputs: &[String]) -> Result<(Reply, Option<Drawn>), Unanswered> {
    let reply = reckon::ask(kind.family.name, inputs)?;
    let Reply::Figures(family, given, figures) = &reply else { return Ok((reply, None)) };
    let mut drawn = draw(kind, family, given, figures, Units::Inch)
        .map_err(|problem| Unanswered::Refused(Report { problems: vec![problem] }))?;
    drawn.sheet.notes.extend(reckon::idle(given, figures));
    BENCH.clone_into(&mut drawn.sheet.origin);
    drawn.data["of"] = "bench".into();
    Ok((reply, Some(drawn)))
}

/// Writes a sheet; with measured bars, a copy corrected by them.
///
/// # Errors
/// If something else is in the way, the sheet is too large for paper, or a file
/// can't be written.
pub fn write(host: &dyn Host, drawn: &Drawn, order: &Order) -> Result<Written, Failure> {
    let mut sheet = drawn.sheet.clone();
    let mut name = sheet.name.clone();
    let mut factors = (1.0, 1.0);
    if let Some(measured) = order.measured {
        let judged = judge(measured);
        factors = (judged.across, judged.along);
        name.push_str("-corrected");
        let (x, y) = (measured.0.to(unit::MM), measured.1.to(unit::MM));
        sheet.notes.insert(0, format!(
            "CORRECTED COPY for the printer whose 100 mm bars measured {x:.2} mm across and {y:.2} mm along this page: print it as the first copy was printed, the same way round. Its bars must now measure 100 mm."
        ));
    }
    let laid = pages::lay_out(std::slice::from_ref(&sheet), order.paper.unwrap_or(drawn.paper), factors)
        .ok_or_else(|| {
            refused(
                Diagnostic::error("T912", format!("{}: too large to be joined from pages", sheet.title))
                    .expected("a shape of 36 pages at most")
                    .help("write it with --svg or --dxf for a plotter: those have no pages"),
            )
        });
    let mut files: Vec<(PathBuf, Vec<u8>)> = Vec::new();
    let mut count = 0;
    let vector = order.svg || order.dxf;
    match laid {
        Ok(laid) => {
            let rendered = typeset(drawn, &sheet, &laid)?;
            count = rendered.pages;
            files.push((order.out.join(format!("{name}.pdf")), rendered.bytes));
        }
        // A plotter has no pages.
        Err(failure) if !vector || order.measured.is_some() => return Err(failure),
        Err(_) => {}
    }
    if order.svg {
        files.push((
            order.out.join(format!("{}.svg", sheet.name)),
            output::owned(&svg::write(&drawn.sheet)).into_bytes(),
        ));
    }
    if order.dxf {
        files.push((
            order.out.join(format!("{}.dxf", sheet.name)),
            output::owned(&dxf::write(&drawn.sheet)).into_bytes(),
        ));
    }
    for (path, _) in &files {
        output::may_write(host, path, Over::Shape(&drawn.sheet.title))?;
    }
    for (path, bytes) in &files {
        output::put(host, path, Over::Shape(&drawn.sheet.title), bytes)?;
    }
    let files = files.into_iter().map(|(path, _)| path).collect();
    Ok(Written { files, pages: count, title: sheet.title })
}

fn typeset(drawn: &Drawn, sheet: &Sheet, laid: &pages::Pages) -> Result<render::Rendered, Failure> {
    let mut data = drawn.data.clone();
    data["sheet"] = sheet.title.clone().into();
    // Every box of the print by its name, as a traveler's list of boxes has them.
    let of = drawn.of.as_ref().map_or(&sheet.name, |listed| &listed.name);
    let boxes = laid.pages.iter().zip(1..).flat_map(|(page, number)| {
        page.boxes.iter().map(move |bar| {
            let [x, y, width, height] = bar.rect;
            let name = format!("{}/{}", BoxName::bars(of), bar.name);
            json!({ "name": name, "page": number, "rect": { "x": x, "y": y, "width": width, "height": height } })
        })
    });
    data["boxes"] = boxes.collect();
    let bytes = serde_json::to_vec_pretty(&data)
        .map_err(|e| Failure::System(format!("the figures can't be written: {e}")))?;
    let salt = whole::salt([(DATA, bytes.as_slice())]);
    let meta = Meta {
        keywords: Own::Issued.keywords(&salt),
        kind: "Template".to_owned(),
        title: sheet.title.clone(),
        author: drawn.author.clone(),
        ident: format!("{} {} {}", sheet.name, sheet.origin, crate::record::sha256(&bytes)),
        issued: drawn.dated,
        ..Meta::default()
    };
    let attached = Attachment {
        name: DATA.to_owned(),
        bytes: bytes.into(),
        mime: "application/json".to_owned(),
        relationship: Relationship::Data,
        description: "inputs and figures this sheet was drawn from".to_owned(),
    };
    let mut made = render::patterns(laid, &meta, &[attached]).map_err(|e| Failure::System(e.to_string()))?;
    made.bytes = whole::finish(made.bytes, &salt);
    Ok(made)
}

/// For machines.
#[must_use]
pub fn json_of(written: &Written) -> Json {
    json!({ "title": written.title, "pages": written.pages, "files": written.files })
}

/// Where sheets go when nothing is said: this folder.
#[must_use]
pub fn here() -> PathBuf {
    Path::new(".").to_owned()
}
