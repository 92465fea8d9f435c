//! Fill-in copies of a traveler: numbered, kept as they were given out, so that what
//! comes back is compared with what went.

use std::path::PathBuf;

use super::desk::Desk;
use super::files::RecordHost;
use super::{folder, stored, system};
use crate::app::plan::Failure;
use crate::form::Form;
use crate::render::{self, Marks};
use crate::traveler::{Document, papers};

/// A fill-in copy that was given out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// Its number.
    pub copy: u32,
    /// Where it is kept.
    pub kept: PathBuf,
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// Fields in it.
    pub fields: usize,
    /// Name to give it.
    pub name: String,
}

/// What a copy says of itself, one after the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct About {
    /// Number of the traveler.
    pub number: String,
    /// Revision letter.
    pub revision: String,
    /// Digest of the revision's list of files.
    pub manifest: String,
    /// Number of the copy.
    pub copy: u32,
}

impl About {
    /// As it stands in the copy.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { number, revision, manifest, copy } = self;
        format!("{number} rev {revision} copy {copy} of {manifest}")
    }

    /// What the words say; none if they are none of a copy.
    #[must_use]
    pub fn read(words: &str) -> Option<Self> {
        let (number, rest) = words.split_once(" rev ")?;
        let (revision, rest) = rest.split_once(" copy ")?;
        let (copy, manifest) = rest.split_once(" of ")?;
        Some(Self {
            number: number.to_owned(),
            revision: revision.to_owned(),
            manifest: manifest.to_owned(),
            copy: copy.parse().ok()?,
        })
    }
}

/// Writes the next fill-in copy of the revision in force, and keeps it.
///
/// # Errors
/// If the revision was issued before boxes had names, or can't be read or typeset.
pub fn give(host: &dyn RecordHost, desk: &Desk) -> Result<Given, Failure> {
    let content = stored::load(host, &desk.folder, &desk.issue)?;
    let form: Form = stored::form(&content.files)?;
    let document: Document = serde_json::from_slice(stored::need(&content.files, "document.json")?)
        .map_err(|e| Failure::System(format!("the stored document: {e}")))?;
    let revision = &content.plan.revision;
    let kept = |copy: u32| folder::copy(&desk.folder, &content.plan.number, revision, copy);
    let mut copy = 1;
    while host.exists(&kept(copy)?) {
        copy += 1;
    }
    let about = About {
        number: content.plan.number.clone(),
        revision: revision.clone(),
        manifest: content.digest(),
        copy,
    };
    let bytes = make(document, &content.plan, &form, &about)?;
    let path = kept(copy)?;
    host.write(&path, &bytes).map_err(|e| system(&path, e))?;
    let fields = form.boxes.iter().filter(|b| b.kind != crate::form::BoxKind::Signature).count();
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    Ok(Given { copy, kept: path, bytes, fields, name })
}

/// The bytes of a copy; the same every time.
fn make(
    document: Document,
    plan: &crate::record::Frozen,
    form: &Form,
    about: &About,
) -> Result<Vec<u8>, Failure> {
    let (mut bench, _) = papers::split(document);
    let copy = about.copy;
    bench.meta.kind = "Fill-in copy".to_owned();
    bench.meta.title = bench.meta.title.replacen("Job traveler", &format!("Fill-in copy {copy} of"), 1);
    bench.meta.ident = format!("{} copy {copy}", bench.meta.ident);
    bench.running.stamp = Some(format!("COPY {copy}"));
    bench.running.validity = format!(
        "Copy {copy}, to be filled in at a screen. What is written counts once a person has looked at it and entered it; signatures are given at the desk."
    );
    let marks = Marks::new(&plan.number, &plan.revision, &plan.digest);
    let made =
        render::copy(&bench, form, &marks, &about.words()).map_err(|e| Failure::System(e.to_string()))?;
    Ok(made.bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_copy_says_of_itself_reads_back() {
        let about =
            About { number: "TW-2041".into(), revision: "A".into(), manifest: "ab12".into(), copy: 3 };
        assert_eq!(About::read(&about.words()), Some(about));
        assert_eq!(About::read("TW-2041 rev A"), None);
    }
}
