//! The route by station: each station a lane, each operation a block in its
//! lane, hold points as bars across all of them.

use serde::{Deserialize, Serialize};

use crate::quantity::{Dimensioned, Time, unit};

/// An operation or a hold point, in the order of the route.
#[derive(Debug, Clone, PartialEq)]
pub enum Stop {
    /// Work at one station.
    Operation {
        /// As on paper: 10, 20, 30 …
        number: u32,
        /// Verb and title.
        title: String,
        /// Word of the station; each word gets a lane.
        station: String,
        /// Estimated labour.
        time: Time,
    },
    /// A point where work stops.
    Hold {
        /// Number: `H4`.
        number: String,
        /// What must be true, and who signs.
        text: String,
    },
}

/// The route page.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Lanes {
    /// Lanes, in the order the job first reaches them.
    pub stations: Vec<Lane>,
    /// Rows from top to bottom.
    pub rows: Vec<LaneRow>,
    /// Total labour: `14 h 30 min`.
    pub total: String,
    /// How often the job moves to another station: `6 moves`.
    pub moves: String,
}

/// A column of the route: one station.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Lane {
    /// Word of the station, over its lane.
    pub name: String,
    /// Labour at this station.
    pub total: String,
}

/// What stands across the lanes at one height, from the top of the route down.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum LaneRow {
    /// Work in one lane.
    Operation {
        /// As on paper: 10, 20, 30 …
        number: u32,
        /// Verb and title.
        title: String,
        /// One cell per lane.
        cells: Vec<LaneCell>,
        /// Labour: `90 min`.
        time: String,
        /// Labour up to and with this operation: `3 h 10 min`.
        elapsed: String,
    },
    /// A hold point.
    Hold {
        /// As on paper: `H4`.
        number: String,
        /// What must be true, and who signs.
        text: String,
    },
}

/// A cell: one lane in one row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LaneCell {
    /// The operation is done here.
    Here,
    /// The job passes this lane on its way from the operation above.
    Pass,
    /// Nothing.
    Empty,
}

/// Lays out the route.
#[must_use]
pub fn lanes(stops: &[Stop]) -> Lanes {
    let mut stations: Vec<(&str, Time)> = Vec::new();
    for stop in stops {
        if let Stop::Operation { station, time, .. } = stop {
            match stations.iter_mut().find(|(name, _)| name == station) {
                Some((_, total)) => *total += *time,
                None => stations.push((station, *time)),
            }
        }
    }
    let mut rows = Vec::new();
    let mut elapsed = Time::from_si(0.0);
    let mut last: Option<usize> = None;
    let mut moves = 0_usize;
    for stop in stops {
        match stop {
            Stop::Hold { number, text } => {
                rows.push(LaneRow::Hold { number: number.clone(), text: text.clone() });
            }
            Stop::Operation { number, title, station, time } => {
                let here = stations.iter().position(|(name, _)| name == station).unwrap_or(0);
                let from = last.unwrap_or(here);
                moves += usize::from(from != here);
                let passed = from.min(here)..=from.max(here);
                elapsed += *time;
                rows.push(LaneRow::Operation {
                    number: *number,
                    title: title.clone(),
                    cells: (0..stations.len())
                        .map(|lane| match lane {
                            _ if lane == here => LaneCell::Here,
                            _ if passed.contains(&lane) => LaneCell::Pass,
                            _ => LaneCell::Empty,
                        })
                        .collect(),
                    time: minutes(*time),
                    elapsed: hours(elapsed),
                });
                last = Some(here);
            }
        }
    }
    Lanes {
        stations: stations
            .iter()
            .map(|(name, total)| Lane { name: (*name).to_owned(), total: hours(*total) })
            .collect(),
        rows,
        total: hours(elapsed),
        moves: if moves == 1 { "1 move".to_owned() } else { format!("{moves} moves") },
    }
}

/// Whole minutes, rounded to the nearest.
fn whole(time: Time) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "saturates, and no job takes longer")]
    let minutes = time.to(unit::MINUTE).round() as i64;
    minutes
}

/// Labour as it is printed beside an operation: `90 min`.
#[must_use]
pub fn minutes(time: Time) -> String {
    format!("{} min", whole(time))
}

/// Labour as hours and minutes: `3 h 10 min`, `45 min`, `2 h`.
#[must_use]
pub fn hours(time: Time) -> String {
    let minutes = whole(time);
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}
