//! The only door to files and the environment.

use std::io;
use std::path::{Path, PathBuf};

/// What the use cases need from the machine they run on.
pub trait Host: Sync {
    /// Reads a text file.
    ///
    /// # Errors
    /// If it can't be read or is not UTF-8.
    fn read(&self, path: &Path) -> io::Result<String>;

    /// Reads a file as it is.
    ///
    /// # Errors
    /// If it can't be read.
    fn bytes(&self, path: &Path) -> io::Result<Vec<u8>>;

    /// Writes a whole file, or nothing: a failure leaves no half file behind.
    ///
    /// # Errors
    /// If it can't be written.
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;

    /// Files of a folder with this ending, sorted.
    ///
    /// # Errors
    /// If the folder can't be read.
    fn files(&self, folder: &Path, ending: &str) -> io::Result<Vec<PathBuf>>;

    /// Whether a file is there.
    fn exists(&self, path: &Path) -> bool;

    /// Today, for lists of what runs out. Never printed on a document without
    /// being asked for.
    fn today(&self) -> chrono::NaiveDate;
}

/// The real machine.
#[derive(Debug, Clone, Copy, Default)]
pub struct System;

impl Host for System {
    fn read(&self, path: &Path) -> io::Result<String> {
        let bytes = std::fs::read(path)?;
        let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes).to_vec();
        String::from_utf8(text).map_err(|e| {
            let at = e.utf8_error().valid_up_to();
            io::Error::new(io::ErrorKind::InvalidData, format!("the file is not UTF-8 text at byte {at}"))
        })
    }

    fn bytes(&self, path: &Path) -> io::Result<Vec<u8>> {
        std::fs::read(path)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        use std::io::Write;
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
        if let Some(folder) = folder {
            std::fs::create_dir_all(folder)?;
        }
        let mut name = path.file_name().unwrap_or_default().to_os_string();
        name.push(format!(".{}.part", std::process::id()));
        let part = path.with_file_name(name);
        let written = (|| {
            let mut file = std::fs::File::create(&part)?;
            file.write_all(bytes)?;
            file.sync_all()?;
            std::fs::rename(&part, path)
        })();
        if written.is_err() {
            // The half file is of no use to anyone; the first error matters.
            let _ = std::fs::remove_file(&part);
        }
        written
    }

    fn files(&self, folder: &Path, ending: &str) -> io::Result<Vec<PathBuf>> {
        let mut found = Vec::new();
        for entry in std::fs::read_dir(folder)? {
            let path = entry?.path();
            if path.extension().is_some_and(|e| e == ending) {
                found.push(path);
            }
        }
        found.sort();
        Ok(found)
    }

    fn exists(&self, path: &Path) -> bool {
        path.exists()
    }

    fn today(&self) -> chrono::NaiveDate {
        chrono::Local::now().date_naive()
    }
}
