//! The shop's key: a root that vouches, and a leaf that signs completed records.
//! Both private halves are kept encrypted beside the shop book; the book holds
//! nothing but the root's fingerprint.

use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};

use super::files::RecordHost;
use super::{refused, register, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::seal::certificate::{self, Certificate, Described, Holder, Issuer, describe};
use crate::seal::identity::{self, Identity};
use crate::seal::key::Kind;
use crate::seal::key::PrivateKey;
use crate::seal::{Fault, import};
use crate::shop::edit;

/// The leaf's key, encrypted.
pub const KEY: &str = "seal.key";
/// Certificates: the leaf's, the root's, bonds of older roots.
pub const CERTIFICATES: &str = "seal.pem";
/// The root's key, encrypted.
pub const ROOT_KEY: &str = "seal-root.key";

/// Asks for a passphrase; none if there is nobody to ask.
pub type Ask<'a> = &'a dyn Fn() -> Option<String>;

/// What a command did to the shop's key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// Files that were written.
    pub written: Vec<PathBuf>,
    /// Certificates in force, the leaf's first.
    pub certificates: Vec<Described>,
    /// SHA-256 of the root.
    pub root: String,
    /// What a person should do next, a sentence each.
    pub advice: Vec<String>,
}

/// A problem with a key file.
fn problem(path: &Path, fault: &Fault) -> Failure {
    match fault {
        Fault::Passphrase => refused(
            Diagnostic::error("L187", format!("that is not the passphrase of {}", path.display())).help(
                "try again; a lost passphrase can't be recovered: tackwright key renew makes another key",
            ),
        ),
        Fault::Words(words) => refused(Diagnostic::error("L184", format!("{}: {words}", path.display()))),
    }
}

fn passphrase(ask: Ask<'_>, path: &Path) -> Result<String, Failure> {
    ask().filter(|p| !p.is_empty()).ok_or_else(|| {
        refused(
            Diagnostic::error("L186", format!("the passphrase of {} is needed", path.display()))
                .rule("a key signs for who knows its passphrase")
                .help("type it when asked, or give it from a file descriptor: --passphrase-fd 3 3< FILE"),
        )
    })
}

/// The files of a shop book.
struct Files {
    book: PathBuf,
    key: PathBuf,
    certificates: PathBuf,
    root_key: PathBuf,
}

impl Files {
    fn of(book: &Path) -> Self {
        Self {
            book: book.to_owned(),
            key: book.with_file_name(KEY),
            certificates: book.with_file_name(CERTIFICATES),
            root_key: book.with_file_name(ROOT_KEY),
        }
    }

    /// As [`Files::of`], where the root's key is kept elsewhere.
    fn with_root(book: &Path, root_key: Option<&Path>) -> Self {
        let mut files = Self::of(book);
        if let Some(place) = root_key {
            place.clone_into(&mut files.root_key);
        }
        files
    }

    /// The root's key, by its passphrase; it is that of the root certificate.
    fn open_root(&self, host: &dyn RecordHost, ask: Ask<'_>) -> Result<OpenRoot, Failure> {
        let chain = self.chain(host)?;
        let print = identity::root(&chain).unwrap_or_default();
        let place = chain.iter().position(|c| certificate::certificate_fingerprint(c) == print);
        let Some((place, root)) = place.and_then(|i| Some((i, chain.get(i)?.clone()))) else {
            return Err(refused(Diagnostic::error(
                "L199",
                format!(
                    "{} has no root: a key that was brought in is renewed by who issued it",
                    self.certificates.display()
                ),
            )));
        };
        let words = passphrase(ask, &self.root_key)?;
        let key = Files::open(host, &self.root_key, &words)?;
        let public = key.public().map_err(|e| problem(&self.key, &e))?;
        if public != root.tbs_certificate.subject_public_key_info {
            let why = Fault::new("this is not the key of the root certificate");
            return Err(problem(&self.root_key, &why));
        }
        Ok(OpenRoot { chain, place, certificate: root, key, words })
    }

    /// Certificates in force.
    fn chain(&self, host: &dyn RecordHost) -> Result<Vec<Certificate>, Failure> {
        let bytes = host.bytes(&self.certificates).map_err(|e| system(&self.certificates, e))?;
        certificate::read(&bytes).map_err(|e| problem(&self.certificates, &e))
    }

    /// Refuses one of an earlier version, and says what to do.
    fn open(host: &dyn RecordHost, path: &Path, passphrase: &str) -> Result<PrivateKey, Failure> {
        let text = host.read(path).map_err(|e| system(path, e))?;
        if text.trim().len() == 64 && text.trim().bytes().all(|b| b.is_ascii_hexdigit()) {
            return Err(refused(
                Diagnostic::error(
                    "L185",
                    format!("{} is a key of an earlier version (Ed25519)", path.display()),
                )
                .help("no reader of PDF files knows it: move it away, then: tackwright key new")
                .help("records sealed with it go on being checked by tackwright verify"),
            ));
        }
        PrivateKey::open(&text, passphrase).map_err(|e| problem(path, &e))
    }

    fn write_certificates(&self, host: &dyn RecordHost, chain: &[Certificate]) -> Result<(), Failure> {
        let text = certificate::write(chain).map_err(|e| problem(&self.certificates, &e))?;
        host.write(&self.certificates, text.as_bytes()).map_err(|e| system(&self.certificates, e))
    }

    /// The book with the root's fingerprint in it; not written yet.
    fn book_with(&self, host: &dyn RecordHost, root: &str) -> Result<String, Failure> {
        let text = host.read(&self.book).map_err(|e| system(&self.book, e))?;
        edit::set_seal(&self.book.display().to_string(), &text, root).map_err(refused)
    }

    fn must_be_free(&self, host: &dyn RecordHost) -> Result<(), Failure> {
        for path in [&self.key, &self.certificates, &self.root_key] {
            if host.exists(path) {
                return Err(refused(
                    Diagnostic::error("L160", format!("{} is there already", path.display()))
                        .help("a new root would not fit the travelers already printed; tackwright key renew makes a key that does")
                        .help("if the root's key or its passphrase is lost, move the three files seal* away and make a new root; papers printed before keep the old fingerprint"),
                ));
            }
        }
        Ok(())
    }
}

/// A root whose key was opened.
struct OpenRoot {
    /// All certificates that are kept.
    chain: Vec<Certificate>,
    /// Place of the root among them.
    place: usize,
    certificate: Certificate,
    key: PrivateKey,
    /// The passphrase.
    words: String,
}

/// Proves that somebody holds the key of the root a shop book names, by its passphrase; gives
/// the root's SHA-256. `root_key` is where the key is, if not beside the book.
///
/// # Errors
/// If the book names no root or another one, the key is not there, or the passphrase is not
/// its own.
pub fn holds_root(
    host: &dyn RecordHost,
    book: &Path,
    root_key: Option<&Path>,
    ask: Ask<'_>,
) -> Result<String, Failure> {
    let files = Files::with_root(book, root_key);
    let root = root_of(host, book)?.ok_or_else(|| {
        refused(
            Diagnostic::error("L329", format!("{} names no root of a key of the shop", book.display())).help(
                "without one nobody but a lead sets a PIN: tackwright key new makes one, before it is needed",
            ),
        )
    })?;
    let open = files.open_root(host, ask)?;
    let found = certificate::certificate_fingerprint(&open.certificate);
    if found != root.to_lowercase() {
        return Err(another_root(&files, book, &root));
    }
    Ok(found)
}

/// The root a shop book names.
fn root_of(host: &dyn RecordHost, book: &Path) -> Result<Option<String>, Failure> {
    let text = host.read(book).map_err(|e| system(book, e))?;
    let (read, _) = crate::shop::load(&book.display().to_string(), &text);
    Ok(read.and_then(|b| b.seal).map(|s| s.value.0))
}

fn another_root(files: &Files, book: &Path, root: &str) -> Failure {
    let (certificates, book) = (files.certificates.display(), book.display());
    refused(
        Diagnostic::error("L164", format!("{certificates} is not under the root that {book} names"))
            .expected(format!("a root with the fingerprint {root}"))
            .help("put the right files back; a record signed under another root would not fit the paper"),
    )
}

fn done(chain: &[Certificate], written: Vec<PathBuf>, advice: Vec<String>) -> Done {
    Done {
        written,
        certificates: chain.iter().map(describe).collect(),
        root: identity::root(chain).unwrap_or_default(),
        advice,
    }
}

/// Bytes of chance from the host.
fn chance(host: &dyn RecordHost) -> impl Fn(&mut [u8]) -> Result<(), Fault> + '_ {
    |bytes| host.random(bytes).map_err(|e| Fault::new(e.to_string()))
}

/// The shop's name: the one given, else what stands before the first comma of
/// the book's title.
fn shop_name(host: &dyn RecordHost, book: &Path, given: Option<&str>) -> Result<String, Failure> {
    if let Some(given) = given {
        return Ok(given.to_owned());
    }
    let text = host.read(book).map_err(|e| system(book, e))?;
    let (read, _) = crate::shop::load(&book.display().to_string(), &text);
    let title = read.map(|b| b.title.value.0).unwrap_or_default();
    Ok(title.split(',').next().unwrap_or_default().trim().to_owned())
}

/// Curve of a new key (FIPS 186-5).
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Curve {
    /// P-256: the usual one.
    #[default]
    P256,
    /// P-384.
    P384,
}

impl Curve {
    const fn kind(self) -> Kind {
        match self {
            Curve::P256 => Kind::P256,
            Curve::P384 => Kind::P384,
        }
    }
}

/// What a new key is to be.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wanted<'a> {
    /// The shop's name; from the book if absent.
    pub name: Option<&'a str>,
    /// What the keys made now are on, root and leaf alike.
    pub curve: Curve,
    /// For show only; the certificates say so.
    pub demonstration: bool,
}

/// Makes the shop's root and the leaf that signs.
///
/// # Errors
/// If there is a key already, there is no passphrase, or the system fails.
pub fn create(host: &dyn RecordHost, book: &Path, wanted: Wanted<'_>, ask: Ask<'_>) -> Result<Done, Failure> {
    let files = Files::of(book);
    files.must_be_free(host)?;
    let holder = Holder { shop: shop_name(host, book, wanted.name)?, demonstration: wanted.demonstration };
    let words = passphrase(ask, &files.key)?;
    let at = host.now().to_utc();
    let chance = chance(host);
    let failed = |e: Fault| problem(&files.key, &e);
    let root_key = PrivateKey::make(wanted.curve.kind(), &chance).map_err(failed)?;
    let root = certificate::root(&holder, &root_key, at, &chance).map_err(failed)?;
    let leaf_key = PrivateKey::make(wanted.curve.kind(), &chance).map_err(failed)?;
    let issuer = Issuer { certificate: &root, key: &root_key };
    let leaf = certificate::leaf(&holder, &leaf_key, issuer, at, &chance).map_err(failed)?;
    let chain = vec![leaf, root];
    // Everything that can be refused is made before anything is written.
    let text = files.book_with(host, &identity::root(&chain).unwrap_or_default())?;
    let locked_root = root_key.locked(&words, &chance).map_err(failed)?;
    let locked_leaf = leaf_key.locked(&words, &chance).map_err(failed)?;
    host.write_secret(&files.root_key, locked_root.as_bytes()).map_err(|e| system(&files.root_key, e))?;
    host.write_secret(&files.key, locked_leaf.as_bytes()).map_err(|e| system(&files.key, e))?;
    files.write_certificates(host, &chain)?;
    host.write(&files.book, text.as_bytes()).map_err(|e| system(&files.book, e))?;
    let advice = vec![
        format!(
            "The certificates name the shop \"{}\": so does a job it signs ([shop] name), else the job is not issued.",
            holder.shop.trim()
        ),
        format!(
            "{} vouches for every later key of the shop: keep a copy in a safe, and take it off this machine.",
            files.root_key.display()
        ),
        "Print the root's fingerprint where customers see it; every traveler from now on carries it."
            .to_owned(),
    ];
    Ok(done(&chain, vec![files.root_key, files.key, files.certificates, files.book], advice))
}

/// Makes a new key under the present root, or a new root that the present one
/// vouches for and a new key under it.
///
/// # Errors
/// If the root's key is not there or does not open, or the system fails.
pub fn renew(
    host: &dyn RecordHost,
    book: &Path,
    wanted: Wanted<'_>,
    new_root: bool,
    root_key: Option<&Path>,
    ask: Ask<'_>,
) -> Result<Done, Failure> {
    let files = Files::with_root(book, root_key);
    let OpenRoot { chain: old, place: at_root, certificate: old_root, key: old_key, words } =
        files.open_root(host, ask)?;
    let failed = |e: Fault| problem(&files.key, &e);
    let at: DateTime<Utc> = host.now().to_utc();
    let chance = chance(host);
    let demonstration = certificate::demonstration(&old_root);
    let shop = match wanted.name {
        Some(name) => name.to_owned(),
        None => describe(&old_root).organization.unwrap_or_default(),
    };
    let holder = Holder { shop, demonstration };
    let leaf_key = PrivateKey::make(wanted.curve.kind(), &chance).map_err(failed)?;
    let old_issuer = Issuer { certificate: &old_root, key: &old_key };
    // Bonds and older roots stay, so that paper of any age leads to the new key.
    let further: Vec<Certificate> =
        old.iter().enumerate().filter(|(i, _)| *i > 0 && *i != at_root).map(|(_, c)| c.clone()).collect();
    let mut chain;
    let mut secret = None;
    if new_root {
        let key = PrivateKey::make(wanted.curve.kind(), &chance).map_err(failed)?;
        let root = certificate::root(&holder, &key, at, &chance).map_err(failed)?;
        let bond = certificate::bond(&root, old_issuer, at, &chance).map_err(failed)?;
        let issuer = Issuer { certificate: &root, key: &key };
        let leaf = certificate::leaf(&holder, &leaf_key, issuer, at, &chance).map_err(failed)?;
        chain = vec![leaf, root, bond, old_root];
        secret = Some(key.locked(&words, &chance).map_err(failed)?);
    } else {
        let leaf = certificate::leaf(&holder, &leaf_key, old_issuer, at, &chance).map_err(failed)?;
        chain = vec![leaf, old_root];
    }
    chain.extend(further);
    let text = files.book_with(host, &identity::root(&chain).unwrap_or_default())?;
    let locked = leaf_key.locked(&words, &chance).map_err(failed)?;
    let mut written = Vec::new();
    let mut swap = |path: &Path, content: &str| -> Result<(), Failure> {
        if host.exists(path) {
            let aside = aside(host, path);
            let before = host.bytes(path).map_err(|e| system(path, e))?;
            host.write_secret(&aside, &before).map_err(|e| system(&aside, e))?;
            host.write(path, content.as_bytes()).map_err(|e| system(path, e))?;
            written.push(aside);
        } else {
            host.write_secret(path, content.as_bytes()).map_err(|e| system(path, e))?;
        }
        written.push(path.to_owned());
        Ok(())
    };
    if let Some(secret) = &secret {
        swap(&files.root_key, secret)?;
    }
    swap(&files.key, &locked)?;
    files.write_certificates(host, &chain)?;
    host.write(&files.book, text.as_bytes()).map_err(|e| system(&files.book, e))?;
    written.extend([files.certificates.clone(), files.book.clone()]);
    let advice = if new_root {
        vec!["Travelers already printed carry the old root's fingerprint: it vouches for the new one, so tackwright verify --trust OLD still says yes.".to_owned()]
    } else {
        vec!["The root is the same: paper that is out keeps its fingerprint.".to_owned()]
    };
    Ok(done(&chain, written, advice))
}

/// A free name for a file that is replaced.
fn aside(host: &dyn RecordHost, path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let mut n = 1;
    loop {
        let candidate = path.with_file_name(format!("{name}.old{n}"));
        if !host.exists(&candidate) {
            return candidate;
        }
        n += 1;
    }
}

/// Where a key that is brought in comes from.
#[derive(Debug, Clone, Copy)]
pub enum Bring<'a> {
    /// A PKCS #12 file.
    Pkcs12(&'a Path),
    /// A key and its certificates in PEM or DER form.
    Pem(&'a Path, &'a Path),
}

/// Brings in a key and certificates the shop already has. The key is kept under
/// the passphrase it came with, or under the one asked for if it lay open.
///
/// # Errors
/// If there is a key already, it can't be read, its kind is not accepted, or
/// the system fails.
pub fn bring(host: &dyn RecordHost, book: &Path, from: Bring<'_>, ask: Ask<'_>) -> Result<Done, Failure> {
    let files = Files::of(book);
    files.must_be_free(host)?;
    let (Bring::Pkcs12(source) | Bring::Pem(source, _)) = from;
    let words = passphrase(ask, source)?;
    let found = match from {
        Bring::Pkcs12(path) => {
            let bytes = host.bytes(path).map_err(|e| system(path, e))?;
            import::pkcs12(&bytes, &words)
        }
        Bring::Pem(path, certificates) => {
            let text = host.read(path).map_err(|e| system(path, e))?;
            let chain = host.bytes(certificates).map_err(|e| system(certificates, e))?;
            import::pem(&text, Some(&words), &chain)
        }
    };
    let identity = found.map_err(|e| problem(source, &e))?;
    let at = host.now().to_utc();
    let trusted = std::collections::BTreeSet::new();
    let leaf = identity.leaf().map_err(|e| problem(source, &e))?;
    let chain = crate::seal::chain::follow(
        leaf,
        &identity.certificates,
        at,
        &trusted,
        crate::seal::chain::Purpose::Document,
    )
    .map_err(|e| problem(source, &e))?;
    let chance = chance(host);
    let locked = identity.key.locked(&words, &chance).map_err(|e| problem(source, &e))?;
    // The chain that was followed stands first, so that its root is found first.
    let mut list = chain.certificates.clone();
    list.extend(identity.certificates.iter().filter(|c| !chain.certificates.contains(c)).cloned());
    let text = files.book_with(host, &identity::root(&list).unwrap_or_default())?;
    host.write_secret(&files.key, locked.as_bytes()).map_err(|e| system(&files.key, e))?;
    files.write_certificates(host, &list)?;
    host.write(&files.book, text.as_bytes()).map_err(|e| system(&files.book, e))?;
    let mut advice = vec![format!("Take {} off this machine.", source.display())];
    if list.len() == 1 {
        advice.push("The certificate is its own root: some readers never trust such a one; tackwright key new makes a root and a leaf.".to_owned());
    }
    Ok(done(&list, vec![files.key, files.certificates, files.book], advice))
}

/// Another passphrase for the keys that are there.
///
/// # Errors
/// If the present one does not open them, the new one is too short, or the
/// system fails.
pub fn change_passphrase(
    host: &dyn RecordHost,
    book: &Path,
    ask_old: Ask<'_>,
    ask_new: Ask<'_>,
) -> Result<Vec<PathBuf>, Failure> {
    let files = Files::of(book);
    let old = passphrase(ask_old, &files.key)?;
    let mut open = Vec::new();
    for path in [files.key, files.root_key] {
        if host.exists(&path) {
            open.push((Files::open(host, &path, &old)?, path));
        }
    }
    let new = passphrase(ask_new, book)?;
    let chance = chance(host);
    let mut written = Vec::new();
    let mut locked = Vec::new();
    for (key, path) in &open {
        locked.push((path, key.locked(&new, &chance).map_err(|e| problem(path, &e))?));
    }
    for (path, text) in locked {
        host.write(path, text.as_bytes()).map_err(|e| system(path, e))?;
        written.push(path.clone());
    }
    Ok(written)
}

/// The certificates in force.
///
/// # Errors
/// If there are none or they can't be read.
pub fn show(host: &dyn RecordHost, book: &Path) -> Result<Done, Failure> {
    let files = Files::of(book);
    if !host.exists(&files.certificates) {
        return Err(refused(
            Diagnostic::error("L188", format!("there is no {}", files.certificates.display()))
                .help("tackwright key new makes a root and a key; tackwright key import brings in one"),
        ));
    }
    let chain = files.chain(host)?;
    Ok(done(&chain, Vec::new(), Vec::new()))
}

/// What there is to sign with.
#[derive(Debug)]
pub enum Seal {
    /// The book names no root.
    None,
    /// The key under the root the book names.
    Key(Box<Identity>),
    /// The book names a root whose leaf's key is not there; where it was looked for.
    Missing(PathBuf),
}

/// The key of the shop book of a traveler.
///
/// # Errors
/// If the key can't be read, its passphrase is not given, or it is not under
/// the root the book names.
pub fn seal(
    host: &dyn RecordHost,
    traveler: &Path,
    named: Option<&Path>,
    ask: Ask<'_>,
) -> Result<Seal, Failure> {
    let Some(book) = register::place(host, traveler, named) else { return Ok(Seal::None) };
    let Some(root) = root_of(host, &book)? else { return Ok(Seal::None) };
    let files = Files::of(&book);
    if !host.exists(&files.key) {
        return Ok(Seal::Missing(files.key));
    }
    // An old key is named as what it is, whatever certificates lie beside it.
    if !host.exists(&files.certificates) {
        Files::open(host, &files.key, "")?;
    }
    let chain = files.chain(host)?;
    let found = identity::root(&chain).unwrap_or_default();
    if found != root.to_lowercase() {
        return Err(another_root(&files, &book, &root));
    }
    let leaf = chain.first().map(describe);
    if let Some(leaf) = leaf.filter(|l| l.until < host.now()) {
        return Err(refused(
            Diagnostic::error(
                "L189",
                format!("the certificate of {} ran out on {}", leaf.name, leaf.until.format("%Y-%m-%d")),
            )
            .help("tackwright key renew makes another key under the same root"),
        ));
    }
    let words = passphrase(ask, &files.key)?;
    let key = Files::open(host, &files.key, &words)?;
    let identity = Identity::new(key, chain).map_err(|e| problem(&files.certificates, &e))?;
    Ok(Seal::Key(Box::new(identity)))
}
