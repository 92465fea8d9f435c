//! What may be typed about keys.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

/// Arguments of `key`.
#[derive(Debug, Args)]
pub struct Key {
    /// What to do.
    #[command(subcommand)]
    pub what: KeyCommand,
}

/// Where a passphrase comes from.
#[derive(Debug, Clone, Copy, Default, Args)]
pub struct PassphraseFrom {
    /// Read the passphrase of the shop's key from this file descriptor, one
    /// line; without it, it is asked for and typed unseen.
    #[arg(long, value_name = "N")]
    pub passphrase_fd: Option<u32>,
}

/// Kinds of keys that are made.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, ValueEnum)]
pub enum Curve {
    /// ECDSA on P-256.
    #[default]
    #[value(name = "p-256")]
    P256,
    /// ECDSA on P-384.
    #[value(name = "p-384")]
    P384,
}

/// What can be done about keys.
#[derive(Debug, Subcommand)]
pub enum KeyCommand {
    /// Make the shop's root and the key that signs completed records: both
    /// encrypted beside the shop book, the root's fingerprint in it.
    New {
        /// Shop book; without it shop.toml here, or jobs/shop.toml.
        #[arg(long, value_name = "FILE")]
        shop: Option<PathBuf>,
        /// The shop's name in the certificates; without it from the book's title.
        #[arg(long, value_name = "NAME")]
        name: Option<String>,
        /// Kind of key.
        #[arg(long, value_enum, default_value_t = Curve::P256)]
        curve: Curve,
        /// For show only: the certificates say so, and so does verify.
        #[arg(long)]
        demonstration: bool,
        /// Passphrase.
        #[command(flatten)]
        passphrase: PassphraseFrom,
    },
    /// Make another key under the shop's root, or another root that the present
    /// one vouches for.
    Renew {
        /// Shop book; without it shop.toml here, or jobs/shop.toml.
        #[arg(long, value_name = "FILE")]
        shop: Option<PathBuf>,
        /// Make another root, too.
        #[arg(long)]
        root: bool,
        /// Where the root's key is, if not beside the book.
        #[arg(long, value_name = "FILE")]
        root_key: Option<PathBuf>,
        /// The shop's name, if it is another now.
        #[arg(long, value_name = "NAME")]
        name: Option<String>,
        /// Kind of key.
        #[arg(long, value_enum, default_value_t = Curve::P256)]
        curve: Curve,
        /// Passphrase.
        #[command(flatten)]
        passphrase: PassphraseFrom,
    },
    /// Bring in a key and certificate the shop already has: RSA from 2048 bits,
    /// P-256 or P-384; PKCS #12, or PEM with --certificates.
    Import {
        /// The key.
        #[arg(value_name = "FILE")]
        key: PathBuf,
        /// Its certificate and those above it, PEM; not needed with PKCS #12.
        #[arg(long, value_name = "FILE")]
        certificates: Option<PathBuf>,
        /// Shop book; without it shop.toml here, or jobs/shop.toml.
        #[arg(long, value_name = "FILE")]
        shop: Option<PathBuf>,
        /// Passphrase.
        #[command(flatten)]
        passphrase: PassphraseFrom,
    },
    /// Show the shop's certificates and the root's fingerprint.
    Show {
        /// Shop book; without it shop.toml here, or jobs/shop.toml.
        #[arg(long, value_name = "FILE")]
        shop: Option<PathBuf>,
        /// Print JSON.
        #[arg(long)]
        json: bool,
    },
    /// Change the passphrase of the shop's keys. From a file descriptor two
    /// lines are read: the present one, then the new one.
    Passphrase {
        /// Shop book; without it shop.toml here, or jobs/shop.toml.
        #[arg(long, value_name = "FILE")]
        shop: Option<PathBuf>,
        /// Passphrase.
        #[command(flatten)]
        passphrase: PassphraseFrom,
    },
    /// Set the PIN a person signs with; it is asked for, and its hash goes into
    /// the shop book. The first one of a book is a lead's.
    Pin {
        /// Id of the person.
        id: String,
        /// Shop book; without it shop.toml here, or jobs/shop.toml.
        #[arg(long, value_name = "FILE")]
        shop: Option<PathBuf>,
        /// Lead who allows it; without it the old PIN does.
        #[arg(long, value_name = "ID")]
        by: Option<String>,
        /// Read PINs from standard input, one a line: first the one that allows it
        /// (the old one, or the lead's), then the new one.
        #[arg(long)]
        pin_stdin: bool,
    },
    /// Set the PIN of a lead whom wrong tries locked out and no other lead can let in again, by
    /// the passphrase of the shop's root key. Every entry signed by it says so.
    Reset {
        /// Id of the lead.
        id: String,
        /// Shop book; without it shop.toml here, or jobs/shop.toml.
        #[arg(long, value_name = "FILE")]
        shop: Option<PathBuf>,
        /// Where the root's key is, if not beside the book.
        #[arg(long, value_name = "FILE")]
        root_key: Option<PathBuf>,
        /// Read the new PIN from standard input.
        #[arg(long)]
        pin_stdin: bool,
        /// Passphrase of the root's key.
        #[command(flatten)]
        passphrase: PassphraseFrom,
    },
}

/// Arguments of `timestamp`.
#[derive(Debug, Args)]
pub struct Timestamp {
    /// Completed record, signed by the shop; or the journal of the travelers.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Reply of the service (.tsr): keep its token with the file. Without it the
    /// query is written (.tsq).
    #[arg(long, value_name = "FILE.tsr")]
    pub reply: Option<PathBuf>,
}
