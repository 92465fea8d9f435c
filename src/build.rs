//! Runs before the program is compiled: what shapes plans and pages gets one digest, which every
//! file of ours names among its makers. A build whose sources differ may make other pages of the
//! same record, and then says that another version made it, and accuses nobody.

use std::path::{Path, PathBuf};
use std::{env, fs, io};

use sha2::{Digest, Sha256};

/// What has a hand in plans and pages: sources, procedures, the crates with their versions.
/// Templates and fonts are digested where they are embedded (`render::makers`).
const SHAPES: [&str; 3] = ["src", "templates/procedures", "Cargo.lock"];
/// What only shows on a terminal, or counts these.
const NOT: [&str; 3] = ["src/cli", "src/main.rs", "src/build.rs"];
/// Hexadecimal digits of the digest: one in 10^14 that two builds share it.
const DIGITS: usize = 12;

fn main() -> io::Result<()> {
    let root = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default());
    let mut files = Vec::new();
    for name in SHAPES {
        println!("cargo::rerun-if-changed={name}");
        gather(&root, name, &mut files)?;
    }
    // A folder is listed in any order.
    files.sort();
    let mut hash = Sha256::new();
    for name in &files {
        let bytes = fs::read(root.join(name))?;
        // A checkout may end its lines otherwise, and is the same program.
        let text: Vec<u8> = bytes.into_iter().filter(|b| *b != b'\r').collect();
        hash.update(name.as_bytes());
        hash.update((text.len() as u64).to_le_bytes());
        hash.update(&text);
    }
    let digest: String = hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
    println!("cargo::rustc-env=TACKWRIGHT_SOURCES={}", digest.get(..DIGITS).unwrap_or(&digest));
    Ok(())
}

/// Every file at or below a name, by its name from the root with `/` between folders.
fn gather(root: &Path, name: &str, files: &mut Vec<String>) -> io::Result<()> {
    if NOT.contains(&name) {
        return Ok(());
    }
    let path = root.join(name);
    if !path.is_dir() {
        files.push(name.to_owned());
        return Ok(());
    }
    for entry in fs::read_dir(path)? {
        gather(root, &format!("{name}/{}", entry?.file_name().to_string_lossy()), files)?;
    }
    Ok(())
}
