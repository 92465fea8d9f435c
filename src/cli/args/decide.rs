//! What a lead decides with: `dispose` and `waive`.

use super::record::Who;

/// Arguments of `dispose`.
#[derive(Debug, clap::Args)]
pub struct Dispose {
    /// Number or folder of the traveler.
    pub number: String,
    /// Number of the found condition.
    #[arg(value_name = "F1")]
    pub found: String,
    /// Use as is, rework, repair or reject.
    pub disposition: String,
    /// Why.
    #[arg(long, value_name = "TEXT")]
    pub reason: String,
    /// The words chosen there before stand all the same: they need not be read again.
    #[arg(long)]
    pub words_stand: bool,
    /// Entry of the disposition this one replaces.
    #[arg(long, value_name = "ENTRY")]
    pub corrects: Option<String>,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
}

/// Arguments of `waive`.
#[derive(Debug, clap::Args)]
pub struct Waive {
    /// Number or folder of the traveler.
    pub number: String,
    /// Reading of the test, or the name of its box.
    #[arg(value_name = "OP.READING|BOX")]
    pub what: String,
    /// Id of who tests.
    #[arg(long, value_name = "ID")]
    pub tester: String,
    /// Why.
    #[arg(long, value_name = "TEXT")]
    pub reason: String,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
}
