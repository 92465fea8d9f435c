//! Files of a record on the real machine: bytes, folders, the clock, the log.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, Datelike, FixedOffset, Local, LocalResult, NaiveDateTime, Utc};

use crate::app::host::settle;
use crate::app::{Host, System};
use crate::diagnostic::Diagnostic;
use crate::record::Store;

/// What the record's use cases need besides plain text files.
pub trait RecordHost: Host {
    /// The time now. `SOURCE_DATE_EPOCH` (seconds) stands in for the clock
    /// where it is set; no record but a demonstration's is kept by it.
    fn now(&self) -> DateTime<FixedOffset>;

    /// Whether `SOURCE_DATE_EPOCH` stands in for the clock.
    fn clock_is_set(&self) -> bool;

    /// What the clock on the wall showed here as a time: two where an hour came twice,
    /// none where it was left out. The zone is the machine's (`TZ`, or what the system is
    /// set to), and UTC where `SOURCE_DATE_EPOCH` stands in for the clock.
    fn here(&self, wall: NaiveDateTime) -> LocalResult<DateTime<FixedOffset>>;

    /// Folders in a folder, sorted by name.
    ///
    /// # Errors
    /// If it can't be read.
    fn folders(&self, path: &Path) -> io::Result<Vec<PathBuf>>;

    /// Opens a log for appending, alone: waits until nobody else has it.
    ///
    /// # Errors
    /// If it can't be opened or locked.
    fn log(&self, path: &Path) -> io::Result<LogFile>;

    /// Writes a file only its owner may read.
    ///
    /// # Errors
    /// If it can't be written, or is there already.
    fn write_secret(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;

    /// The path from the root of the file system.
    fn absolute(&self, path: &Path) -> PathBuf;

    /// Fills a buffer with random bytes fit for keys.
    ///
    /// # Errors
    /// If the system has none.
    fn random(&self, bytes: &mut [u8]) -> io::Result<()>;
}

/// The time that stands in for the clock, if one is set.
fn fixed() -> Option<DateTime<Utc>> {
    read(&std::env::var("SOURCE_DATE_EPOCH").ok()?)
}

/// Seconds since 1970, up to the end of the year 9999: a log has years of four digits.
fn read(seconds: &str) -> Option<DateTime<Utc>> {
    DateTime::<Utc>::from_timestamp(seconds.trim().parse().ok()?, 0)
        .filter(|at| (1970..=9999).contains(&at.year()))
}

/// What is set in place of the clock and is no time, so that the clock is not taken instead
/// without a word; none if all is well.
#[must_use]
pub fn no_clock() -> Option<Diagnostic> {
    let set = std::env::var("SOURCE_DATE_EPOCH").ok().filter(|set| read(set).is_none())?;
    Some(
        Diagnostic::error("L309", format!("SOURCE_DATE_EPOCH is \"{set}\", and that is no time"))
            .expected("seconds since 1970-01-01, of a day before the year 10000")
            .help("unset SOURCE_DATE_EPOCH: the machine's own clock counts then"),
    )
}

impl RecordHost for System {
    fn now(&self) -> DateTime<FixedOffset> {
        match fixed() {
            Some(fixed) => fixed.fixed_offset(),
            None => Local::now().fixed_offset(),
        }
    }

    fn clock_is_set(&self) -> bool {
        fixed().is_some()
    }

    fn here(&self, wall: NaiveDateTime) -> LocalResult<DateTime<FixedOffset>> {
        match fixed() {
            Some(_) => wall.and_local_timezone(Utc).map(|at| at.fixed_offset()),
            None => wall.and_local_timezone(Local).map(|at| at.fixed_offset()),
        }
    }

    fn folders(&self, path: &Path) -> io::Result<Vec<PathBuf>> {
        let mut found = Vec::new();
        for entry in std::fs::read_dir(path)? {
            let path = entry?.path();
            if path.is_dir() {
                found.push(path);
            }
        }
        found.sort();
        Ok(found)
    }

    fn log(&self, path: &Path) -> io::Result<LogFile> {
        LogFile::open(path)
    }

    fn write_secret(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        if let Some(folder) = path.parent().filter(|p| !p.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder)?;
        }
        let mut file = options.open(path)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        settle(path)
    }

    fn absolute(&self, path: &Path) -> PathBuf {
        std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
    }

    fn random(&self, bytes: &mut [u8]) -> io::Result<()> {
        getrandom::fill(bytes).map_err(|e| io::Error::other(e.to_string()))
    }
}

/// Said of a place where the system lets nobody make a folder.
pub(super) const NO_FOLDER: &str = "no folder can be made there, so nothing was written; name another place";

/// A log file, locked against every other process while it is open.
#[derive(Debug)]
pub struct LogFile {
    file: File,
    path: PathBuf,
}

impl LogFile {
    /// Opens and locks; makes the file and its folder if they are not there.
    ///
    /// # Errors
    /// If the system says no.
    pub fn open(path: &Path) -> io::Result<Self> {
        if let Some(folder) = path.parent().filter(|p| !p.as_os_str().is_empty()) {
            // Nothing was ever there: no backup has it.
            std::fs::create_dir_all(folder).map_err(|error| match error.kind() {
                io::ErrorKind::NotFound => io::Error::new(error.kind(), NO_FOLDER),
                _ => error,
            })?;
        }
        let made = match std::fs::symlink_metadata(path) {
            Ok(found) if found.is_file() => false,
            Ok(_) => {
                let why = "this is a link or no plain file; a record is made of plain files";
                return Err(io::Error::new(io::ErrorKind::InvalidInput, why));
            }
            Err(_) => true,
        };
        let file = OpenOptions::new().read(true).append(true).create(true).open(path)?;
        file.lock()?;
        if made {
            settle(path)?;
        }
        Ok(Self { file, path: path.to_owned() })
    }
}

impl Store for LogFile {
    fn size(&mut self) -> io::Result<u64> {
        Ok(self.file.metadata()?.len())
    }

    fn read(&mut self, from: u64, length: u64) -> io::Result<Vec<u8>> {
        let length = usize::try_from(length).map_err(io::Error::other)?;
        let mut bytes = vec![0; length];
        self.file.seek(SeekFrom::Start(from))?;
        self.file.read_exact(&mut bytes)?;
        Ok(bytes)
    }

    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.file.write_all(bytes)?;
        self.file.sync_data()
    }

    fn cut(&mut self, size: u64) -> io::Result<()> {
        self.file.set_len(size)?;
        self.file.sync_data()
    }

    fn set_aside(&mut self, bytes: &[u8]) -> io::Result<String> {
        let at = self.size()?;
        let mut name = self.path.file_name().unwrap_or_default().to_os_string();
        name.push(format!(".torn-at-{at}"));
        let path = self.path.with_file_name(&name);
        let mut file = File::create(&path)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        settle(&path)?;
        Ok(name.to_string_lossy().into_owned())
    }
}
