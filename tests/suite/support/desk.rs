//! A host without a disk: files lie in memory.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use tackwright::app::Host;

#[derive(Default)]
pub(crate) struct Desk {
    files: Mutex<BTreeMap<PathBuf, Vec<u8>>>,
}

impl Desk {
    pub(crate) fn with(files: &[(&str, &str)]) -> Self {
        let desk = Self::default();
        for (path, text) in files {
            desk.write(Path::new(path), text.as_bytes()).unwrap();
        }
        desk
    }
}

impl Host for Desk {
    fn read(&self, path: &Path) -> io::Result<String> {
        let files = self.files.lock().unwrap();
        let bytes = files.get(path).ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))?;
        String::from_utf8(bytes.clone()).map_err(io::Error::other)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        self.files.lock().unwrap().insert(path.to_owned(), bytes.to_vec());
        Ok(())
    }

    fn files(&self, folder: &Path, ending: &str) -> io::Result<Vec<PathBuf>> {
        let files = self.files.lock().unwrap();
        let inside = |p: &&PathBuf| p.parent() == Some(folder) && p.extension().is_some_and(|e| e == ending);
        Ok(files.keys().filter(inside).cloned().collect())
    }

    fn exists(&self, path: &Path) -> bool {
        self.files.lock().unwrap().contains_key(path)
    }
}
