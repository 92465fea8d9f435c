//! Whether the completed record of a closed traveler is there, and of the log as it stands.

use std::path::Path;

use super::files::RecordHost;
use super::{folder, pdf};
use crate::record::log::{self, Chain};
use crate::term::counted;

/// How far the record is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// Whether the file is there: of a folder full of travelers.
    There,
    /// Whether the log in it is that of the traveler, too.
    Inside,
}

/// What a lead has to do about the completed record of a closed traveler, in words; none if
/// it is there and says what the log says.
#[must_use]
pub fn lacks(host: &dyn RecordHost, place: &Path, number: &str, chain: &Chain, look: Look) -> Option<String> {
    let path = folder::completed(place, number).ok()?;
    let again = format!("a lead writes it (tackwright complete {number} --by LEAD)");
    if !host.exists(&path) {
        return Some(format!(
            "it is closed, and its completed record {} is not there: {again}",
            path.display()
        ));
    }
    if look == Look::There {
        return None;
    }
    let inside = host.plain(&path).map_err(|e| e.to_string());
    let log = inside.and_then(|bytes| pdf::attachments(&bytes)).map(|mut files| files.remove(folder::LOG));
    let why = match log.map(|log| log.map(|bytes| log::check(&bytes).hashes)) {
        Ok(Some(hashes)) if hashes == chain.hashes => return None,
        Ok(Some(hashes)) if chain.hashes.starts_with(&hashes) => format!(
            "has {} of {}",
            hashes.len(),
            counted(chain.hashes.len(), "entry of the log", "entries of the log")
        ),
        Ok(Some(_)) => "has another log than the traveler".to_owned(),
        Ok(None) => "has no log in it".to_owned(),
        Err(why) => format!("can't be read: {why}"),
    };
    Some(format!("the completed record {} {why}: {again}", path.display()))
}
