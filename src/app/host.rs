//! The only door to files and the environment.

use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

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

    /// Reads a file that lies in a record: a plain one, no link, device or pipe.
    ///
    /// # Errors
    /// If it is something else, is larger than any file of a record, or can't
    /// be read.
    fn plain(&self, path: &Path) -> io::Result<Vec<u8>>;

    /// As [`Host::plain`], piece by piece: a long file is never held as a whole.
    ///
    /// # Errors
    /// As [`Host::plain`]; pieces before a fault were handed on.
    fn pieces(&self, path: &Path, take: &mut dyn FnMut(&[u8])) -> io::Result<()> {
        take(&self.plain(path)?);
        Ok(())
    }

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

    /// What is at a path; links are followed.
    fn there(&self, path: &Path) -> There;

    /// The path from the root of the file system, links followed as far as they go.
    fn real(&self, path: &Path) -> PathBuf {
        path.to_owned()
    }

    /// Today, for lists of what runs out. Never printed on a document without
    /// being asked for.
    fn today(&self) -> chrono::NaiveDate;
}

/// Largest file of a record, in bytes.
const LARGEST: u64 = 512 << 20;
/// Bytes of a file that are handed on at once.
const PIECE: usize = 1 << 20;

/// What is at a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum There {
    /// No file of this name, or one that can't be looked at.
    Nothing,
    /// A plain file.
    File,
    /// A folder, or a link to one.
    Folder,
    /// A device, a pipe, a socket.
    Other,
}

/// The real machine.
#[derive(Debug, Clone, Copy, Default)]
pub struct System;

impl Host for System {
    fn read(&self, path: &Path) -> io::Result<String> {
        let bytes = self.bytes(path)?;
        let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes).to_vec();
        String::from_utf8(text).map_err(|e| {
            let at = e.utf8_error().valid_up_to();
            io::Error::new(io::ErrorKind::InvalidData, format!("the file is not UTF-8 text at byte {at}"))
        })
    }

    fn bytes(&self, path: &Path) -> io::Result<Vec<u8>> {
        ends(path)?;
        std::fs::read(path)
    }

    fn plain(&self, path: &Path) -> io::Result<Vec<u8>> {
        plain(path)?;
        std::fs::read(path)
    }

    fn pieces(&self, path: &Path, take: &mut dyn FnMut(&[u8])) -> io::Result<()> {
        plain(path)?;
        let mut file = std::fs::File::open(path)?;
        let mut piece = vec![0; PIECE];
        loop {
            match file.read(&mut piece) {
                Ok(0) => return Ok(()),
                Ok(n) => take(piece.get(..n).unwrap_or_default()),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        write_whole(&mut RealDisk, path, bytes)
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

    fn there(&self, path: &Path) -> There {
        match std::fs::metadata(path) {
            Err(_) => There::Nothing,
            Ok(found) if found.is_file() => There::File,
            Ok(found) if found.is_dir() => There::Folder,
            Ok(_) => There::Other,
        }
    }

    fn real(&self, path: &Path) -> PathBuf {
        let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        let found = whole.ancestors().find_map(|above| Some((above, above.canonicalize().ok()?)));
        let Some((above, mut real)) = found else { return whole };
        // What is not there yet has no links; a step up in it is taken as it is written.
        for part in whole.strip_prefix(above).unwrap_or(Path::new("")).components() {
            match part {
                std::path::Component::ParentDir => {
                    real.pop();
                }
                part => real.push(part),
            }
        }
        real
    }

    fn today(&self) -> chrono::NaiveDate {
        chrono::Local::now().date_naive()
    }
}

/// Refuses what is no plain file, or larger than any file of a record.
fn plain(path: &Path) -> io::Result<()> {
    let found = std::fs::symlink_metadata(path)?;
    let no = |why: String| Err(io::Error::new(io::ErrorKind::InvalidInput, why));
    if found.is_symlink() {
        return no("this is a link; a record is made of plain files".to_owned());
    }
    if !found.is_file() {
        return no("this is no plain file".to_owned());
    }
    if found.len() > LARGEST {
        return no(format!("{} bytes are more than a file of a record has", found.len()));
    }
    Ok(())
}

/// Whether a file has an end: a device that gives bytes for ever is none to read. What is
/// piped in has one.
fn ends(path: &Path) -> io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        let found = std::fs::metadata(path)?.file_type();
        if (found.is_char_device() || found.is_block_device()) && path != Path::new("/dev/stdin") {
            let why = "this is a device, and no file to read";
            return Err(io::Error::new(io::ErrorKind::InvalidInput, why));
        }
    }
    Ok(())
}

/// The steps a whole file is written in.
trait Disk {
    /// Makes a folder and those above it.
    fn make_folder(&mut self, folder: &Path) -> io::Result<()>;
    /// Writes a new file and waits until the disk has its bytes.
    fn write_and_sync(&mut self, path: &Path, bytes: &[u8]) -> io::Result<()>;
    /// Gives a file another name; what had that name is gone.
    fn rename(&mut self, from: &Path, to: &Path) -> io::Result<()>;
    /// Waits until the disk has the names in a folder.
    fn sync_folder(&mut self, folder: &Path) -> io::Result<()>;
    /// Removes a file.
    fn remove(&mut self, path: &Path) -> io::Result<()>;
}

/// Writes a whole file, or nothing. When this returns, bytes and name outlive a
/// power cut: a new name in a folder is on the disk only when the folder is.
fn write_whole(disk: &mut impl Disk, path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    if let Some(folder) = folder {
        disk.make_folder(folder)?;
    }
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    // Two threads may write one file at a time: each has a part of its own.
    static PART: AtomicU64 = AtomicU64::new(0);
    name.push(format!(".{}-{}.part", std::process::id(), PART.fetch_add(1, Ordering::Relaxed)));
    let part = path.with_file_name(name);
    let written = match disk.write_and_sync(&part, bytes) {
        Ok(()) => disk.rename(&part, path),
        failed => failed,
    };
    if written.is_err() {
        // The half file is of no use to anyone; the first error matters.
        let _ = disk.remove(&part);
        return written;
    }
    disk.sync_folder(folder.unwrap_or(Path::new(".")))
}

/// Waits until the disk has the name of a file that was just made.
///
/// # Errors
/// If the system says no.
pub(super) fn settle(path: &Path) -> io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    RealDisk.sync_folder(folder.unwrap_or(Path::new(".")))
}

struct RealDisk;

impl Disk for RealDisk {
    fn make_folder(&mut self, folder: &Path) -> io::Result<()> {
        if folder.is_dir() {
            return Ok(());
        }
        // Each folder on the way is a new name in the one above.
        let above = folder.parent().filter(|p| !p.as_os_str().is_empty());
        if let Some(above) = above {
            self.make_folder(above)?;
        }
        match std::fs::create_dir(folder) {
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists || !folder.is_dir() => Err(error),
            _ => self.sync_folder(above.unwrap_or(Path::new("."))),
        }
    }

    fn write_and_sync(&mut self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        use std::io::Write;
        let mut file = std::fs::File::create(path)?;
        file.write_all(bytes)?;
        file.sync_all()
    }

    #[expect(clippy::disallowed_methods, reason = "the one place; its caller syncs the folder")]
    fn rename(&mut self, from: &Path, to: &Path) -> io::Result<()> {
        std::fs::rename(from, to)
    }

    fn sync_folder(&mut self, folder: &Path) -> io::Result<()> {
        // Not every system opens folders, and not every file system syncs them;
        // then there is nothing to do.
        let Ok(folder) = std::fs::File::open(folder) else { return Ok(()) };
        match folder.sync_all() {
            Err(error)
                if matches!(error.kind(), io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded) =>
            {
                Err(error)
            }
            _ => Ok(()),
        }
    }

    fn remove(&mut self, path: &Path) -> io::Result<()> {
        std::fs::remove_file(path)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Writes down every step; fails at one of them.
    #[derive(Default)]
    struct Noted {
        steps: Vec<String>,
        fails: Option<&'static str>,
    }

    impl Noted {
        fn step(&mut self, what: &str, path: &Path) -> io::Result<()> {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let name = if name.ends_with(".part") { "part".into() } else { name };
            self.steps.push(format!("{what} {name}"));
            if self.fails == Some(what) { Err(io::Error::other("no")) } else { Ok(()) }
        }
    }

    impl Disk for Noted {
        fn make_folder(&mut self, folder: &Path) -> io::Result<()> {
            self.step("make", folder)
        }
        fn write_and_sync(&mut self, path: &Path, _bytes: &[u8]) -> io::Result<()> {
            self.step("write", path)
        }
        fn rename(&mut self, _from: &Path, to: &Path) -> io::Result<()> {
            self.step("rename", to)
        }
        fn sync_folder(&mut self, folder: &Path) -> io::Result<()> {
            self.step("sync", folder)
        }
        fn remove(&mut self, path: &Path) -> io::Result<()> {
            self.step("remove", path)
        }
    }

    #[test]
    fn a_rename_is_followed_by_a_sync_of_its_folder() {
        let mut disk = Noted::default();
        write_whole(&mut disk, Path::new("A/x.json"), b"{}").unwrap();
        assert_eq!(disk.steps, ["make A", "write part", "rename x.json", "sync A"]);
        let mut here = Noted::default();
        write_whole(&mut here, Path::new("x.json"), b"{}").unwrap();
        assert_eq!(here.steps.last().unwrap(), "sync ", "a name without a folder stands in this one");
    }

    #[test]
    fn a_failure_leaves_no_half_file_and_is_told() {
        for fails in ["make", "write", "rename", "sync"] {
            let mut disk = Noted { fails: Some(fails), ..Noted::default() };
            assert!(write_whole(&mut disk, Path::new("A/x.json"), b"{}").is_err(), "{fails}");
            let half = disk.steps.iter().any(|s| s == "write part") && !matches!(fails, "sync");
            assert_eq!(disk.steps.contains(&"remove part".to_owned()), half, "{fails}: {:?}", disk.steps);
        }
    }

    #[test]
    fn threads_that_write_one_file_leave_it_whole() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("x.txt");
        let writer = |letter: u8| {
            let path = &path;
            move || (0..40).try_for_each(|_| System.write(path, &[letter; 5000]))
        };
        let ran: Vec<io::Result<()>> = std::thread::scope(|scope| {
            let threads: Vec<_> = (b'a'..b'e').map(|letter| scope.spawn(writer(letter))).collect();
            threads.into_iter().map(|t| t.join().unwrap()).collect()
        });
        assert!(ran.iter().all(Result::is_ok), "{ran:?}");
        let bytes = System.bytes(&path).unwrap();
        assert!(bytes.len() == 5000 && bytes.windows(2).all(|w| w[0] == w[1]), "written through each other");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "a part was left");
    }

    #[test]
    fn every_folder_on_the_way_is_made() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a/b/c/x.txt");
        System.write(&path, b"one").unwrap();
        System.write(&path, b"two").unwrap();
        assert_eq!(System.read(&path).unwrap(), "two");
        assert_eq!(std::fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
        assert_eq!(System.there(folder.path()), There::Folder);
        assert_eq!(System.there(&path), There::File);
        assert_eq!(System.there(Path::new("/dev/null")), There::Other);
        assert_eq!(System.there(&folder.path().join("none")), There::Nothing);
    }
}
