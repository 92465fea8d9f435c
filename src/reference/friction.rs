//! Nut factors K by finish, as published, conflicts included.
//!
//! T = K d F. K is one number for pitch, thread friction and bearing friction;
//! it is not a friction coefficient and holds only for the finish, lubricant and
//! bearing face it was found with.

use crate::source::Source;

/// Surface of thread and bearing face at tightening.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finish {
    /// Nothing is known.
    Unknown,
    /// Bare steel, as received, no plating.
    Dry,
    /// Black, unplated.
    Black,
    /// Any oil.
    Oiled,
    /// Zinc plated, dry.
    Zinc,
    /// Zinc plated and waxed or oiled.
    ZincWaxed,
    /// Cadmium plated.
    Cadmium,
    /// Anti-seize compound.
    AntiSeize,
    /// Hot-dip galvanized, dry.
    Galvanized,
    /// Stainless on stainless, dry.
    Stainless,
    /// PTFE coated.
    Ptfe,
    /// Nut with a locking compound that lubricates while wet.
    LockingCompound,
}

/// Words a finish is written with, the first one preferred.
pub const FINISH_WORDS: &[(&str, Finish)] = &[
    ("dry", Finish::Dry),
    ("plain", Finish::Dry),
    ("bare", Finish::Dry),
    ("as-received", Finish::Dry),
    ("plain-dry", Finish::Dry),
    ("unplated", Finish::Dry),
    ("uncoated", Finish::Dry),
    ("black", Finish::Black),
    ("black-oxide", Finish::Black),
    ("oiled", Finish::Oiled),
    ("oil", Finish::Oiled),
    ("lubricated", Finish::Oiled),
    ("lubed", Finish::Oiled),
    ("lubricant", Finish::Oiled),
    ("greased", Finish::Oiled),
    ("grease", Finish::Oiled),
    ("lightly-oiled", Finish::Oiled),
    ("waxed", Finish::ZincWaxed),
    ("zinc", Finish::Zinc),
    ("zinc-plated", Finish::Zinc),
    ("zinc-plated-dry", Finish::Zinc),
    ("plated", Finish::ZincWaxed),
    ("zinc-plate", Finish::Zinc),
    ("electro-zinc", Finish::Zinc),
    ("zinc-dry", Finish::Zinc),
    ("zinc-waxed", Finish::ZincWaxed),
    ("zinc-oiled", Finish::ZincWaxed),
    ("cadmium", Finish::Cadmium),
    ("cad", Finish::Cadmium),
    ("cadmium-plated", Finish::Cadmium),
    ("cad-plated", Finish::Cadmium),
    ("galvanized", Finish::Galvanized),
    ("galvanised", Finish::Galvanized),
    ("hdg", Finish::Galvanized),
    ("hot-dip-galvanized", Finish::Galvanized),
    ("galvanized-waxed", Finish::ZincWaxed),
    ("stainless", Finish::Stainless),
    ("stainless-dry", Finish::Stainless),
    ("ptfe", Finish::Ptfe),
    ("anti-seize", Finish::AntiSeize),
    ("antiseize", Finish::AntiSeize),
    ("moly", Finish::AntiSeize),
    ("molybdenum-disulfide", Finish::AntiSeize),
    ("mos2", Finish::AntiSeize),
    ("locking-compound", Finish::LockingCompound),
    ("threadlocker", Finish::LockingCompound),
    ("thread-locker", Finish::LockingCompound),
    ("phosphate-oiled", Finish::Oiled),
    ("phosphate-and-oil", Finish::Oiled),
    ("unknown", Finish::Unknown),
    ("not-stated", Finish::Unknown),
];

/// The finish a word means, without regard to case, spaces or dashes.
#[must_use]
pub fn finish(word: &str) -> Option<Finish> {
    let plain = |t: &str| t.to_lowercase().replace([' ', '-', '_', ','], "");
    FINISH_WORDS.iter().find(|(w, _)| plain(w) == plain(word)).map(|(_, f)| *f)
}

/// Where a K was published.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Table {
    /// Machine-design textbook, table 8-15.
    Textbook,
    /// Handbook of bolted joints, chapter 2.
    JointHandbook,
    /// Charts of the fastener trade.
    Trade,
    /// Shop handbook rule.
    ShopRule,
}

impl Table {
    /// Every word, in the order of the tables.
    pub const WORDS: &'static [&'static str] = &["textbook", "joint-handbook", "trade", "shop-rule"];

    /// None for a word that is not in [`Self::WORDS`].
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        [Table::Textbook, Table::JointHandbook, Table::Trade, Table::ShopRule]
            .into_iter()
            .find(|table| table.word() == word)
    }

    /// The word it is chosen by.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Table::Textbook => "textbook",
            Table::JointHandbook => "joint-handbook",
            Table::Trade => "trade",
            Table::ShopRule => "shop-rule",
        }
    }
}

/// One published value or range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NutFactor {
    /// Finish of bolt and nut the value was found for.
    pub finish: Finish,
    /// Condition in the table's words.
    pub condition: &'static str,
    /// Lowest value printed.
    pub low: f64,
    /// Highest value printed.
    pub high: f64,
    /// Published table it stands in.
    pub table: Table,
    /// Book and page of that table.
    pub source: Source,
}

const SHIGLEY: Source = Source::handbook("Shigley, Mechanical Engineering Design, 9th ed.", "table 8-15");
const BICKFORD: Source =
    Source::handbook("Bickford and Nassar, Handbook of Bolts and Bolted Joints", "ch. 2 table 1")
        .from_memory();
const TRADE: Source = Source::practice("fastener-trade torque charts, 75 % of proof load");
const RULE: Source = Source::practice("shop rule: 0.20 dry, 0.15 with any lubricant");

const fn row(finish: Finish, condition: &'static str, low: f64, high: f64, table: Table) -> NutFactor {
    let source = match table {
        Table::Textbook => SHIGLEY,
        Table::JointHandbook => BICKFORD,
        Table::Trade => TRADE,
        Table::ShopRule => RULE,
    };
    NutFactor { finish, condition, low, high, table, source }
}

/// Every published value.
#[rustfmt::skip]
pub const NUT_FACTORS: &[NutFactor] = &[
    row(Finish::Black, "nonplated, black finish", 0.30, 0.30, Table::Textbook),
    row(Finish::Zinc, "zinc-plated", 0.20, 0.20, Table::Textbook),
    row(Finish::Oiled, "lubricated", 0.18, 0.18, Table::Textbook),
    row(Finish::Cadmium, "cadmium-plated", 0.16, 0.16, Table::Textbook),
    row(Finish::AntiSeize, "anti-seize compound", 0.12, 0.12, Table::Textbook),
    row(Finish::LockingCompound, "nut with locking compound", 0.09, 0.09, Table::Textbook),
    row(Finish::Unknown, "condition not stated", 0.20, 0.20, Table::Textbook),
    row(Finish::Dry, "bare steel, as received", 0.20, 0.20, Table::JointHandbook),
    row(Finish::Cadmium, "cadmium plate, dry", 0.20, 0.20, Table::JointHandbook),
    row(Finish::Zinc, "zinc plate, dry", 0.295, 0.295, Table::JointHandbook),
    row(Finish::Dry, "plain, dry", 0.20, 0.20, Table::Trade),
    row(Finish::Zinc, "zinc plated, dry", 0.17, 0.18, Table::Trade),
    row(Finish::Oiled, "lubricated", 0.15, 0.15, Table::Trade),
    row(Finish::ZincWaxed, "plated and waxed", 0.15, 0.15, Table::Trade),
    row(Finish::Galvanized, "hot-dip galvanized, dry", 0.25, 0.25, Table::Trade),
    row(Finish::Stainless, "stainless on stainless, dry", 0.20, 0.30, Table::Trade),
    row(Finish::Ptfe, "PTFE coated", 0.10, 0.14, Table::Trade),
    row(Finish::Dry, "dry, cleaned", 0.20, 0.20, Table::ShopRule),
    row(Finish::Oiled, "any lubricant present, even cutting-fluid residue", 0.15, 0.15, Table::ShopRule),
    // An unplated black bolt is also bare steel, as received.
    row(Finish::Black, "bare steel, as received", 0.20, 0.20, Table::JointHandbook),
];

/// What the tables say about a finish.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// The row chosen.
    pub row: NutFactor,
    /// K used: the lowest printed, since a K assumed too high overloads the bolt.
    pub factor: f64,
    /// Lowest K printed for the finish anywhere.
    pub lowest: f64,
    /// Highest K printed for the finish anywhere.
    pub highest: f64,
}

/// The nut factor for a finish: the lowest printed, or the named table's.
#[must_use]
pub fn nut_factor(finish: Finish, table: Option<Table>) -> Option<Choice> {
    let rows = || NUT_FACTORS.iter().filter(move |r| r.finish == finish);
    let lowest = rows().map(|r| r.low).fold(f64::INFINITY, f64::min);
    let highest = rows().map(|r| r.high).fold(0.0, f64::max);
    let row =
        *rows().filter(|r| table.is_none_or(|t| r.table == t)).min_by(|a, b| a.low.total_cmp(&b.low))?;
    Some(Choice { row, factor: row.low, lowest, highest })
}
