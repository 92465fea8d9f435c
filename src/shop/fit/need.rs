//! What one joint needs, in terms a shop book can answer.

use crate::quantity::{Current, HeatInput, Length, Number, Percent, Speed, Temperature, Voltage};
use crate::shop::Band;
use crate::shop::model::{Form, WeldKind};
use crate::shop::position::Position;
use crate::term::Units;

/// What one joint needs. Absent values are not known yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// Id of the joint.
    pub id: String,
    /// What is joined.
    pub title: String,
    /// Units that stand first where its values are told.
    pub units: Units,
    /// Groove, fillet or plug.
    pub kind: WeldKind,
    /// How the parts meet: butt, tee, lap, corner.
    pub joint: String,
    /// Outside diameter, if the weld runs round a tube.
    pub diameter: Option<Length>,
    /// Thicknesses of the parts, those that are known.
    pub parts: Vec<Length>,
    /// Weld metal to deposit: depth of a groove.
    pub deposit: Option<Length>,
    /// Every position some of it is welded in.
    pub positions: Vec<Position>,
    /// Words of its position that name none.
    pub unknown_positions: Vec<String>,
    /// Welding process the job asks for.
    pub process: Option<String>,
    /// Filler classification.
    pub filler: Option<String>,
    /// Shielding gas.
    pub gas: Option<String>,
    /// Steels, each with the group words it answers to.
    pub steels: Vec<(String, Vec<String>)>,
    /// Welding current to be set.
    pub amps: Option<Current>,
    /// Arc voltage to be set.
    pub volts: Option<Voltage>,
    /// Speed of the arc along the seam.
    pub travel: Option<Speed>,
    /// Speed the wire is fed at.
    pub wire_feed: Option<Speed>,
    /// Wire diameter.
    pub wire: Option<Length>,
    /// Preheat the joint states.
    pub preheat_stated: Option<Temperature>,
    /// Preheat that governs, computed.
    pub preheat_needed: Option<Temperature>,
    /// Interpass limit of the joint.
    pub interpass_max: Option<Temperature>,
    /// Heat input, U I / travel without an efficiency, computed.
    pub heat_input: Option<HeatInput>,
    /// Heat input with the thermal efficiency, computed.
    pub heat_effective: Option<HeatInput>,
    /// Heat input with the thermal efficiency that the cooling limits allow, computed.
    pub heat_window: Option<Band<HeatInput>>,
    /// Fillet leg.
    pub leg: Option<Length>,
    /// Leg one bead lays at these settings, computed.
    pub bead_leg: Option<Length>,
    /// Passes at these settings, computed.
    pub passes: Option<Number>,
    /// Largest leg the code lets one prequalified pass have, in the position.
    pub single_pass_max: Option<Length>,
    /// Share of ten minutes the arc burns, computed.
    pub duty: Option<Percent>,
    /// Whether heat and lot numbers must be on record.
    pub traceable: bool,
    /// Whether it is a steering weld: its filler has a lot of the book, where the book has lots.
    pub steering: bool,
}

impl Need {
    /// A joint of which nothing is known but its kind.
    #[must_use]
    pub fn new(id: &str, kind: WeldKind) -> Self {
        Self {
            id: id.to_owned(),
            title: id.to_owned(),
            units: Units::Inch,
            kind,
            joint: String::new(),
            diameter: None,
            parts: Vec::new(),
            deposit: None,
            positions: Vec::new(),
            unknown_positions: Vec::new(),
            process: None,
            filler: None,
            gas: None,
            steels: Vec::new(),
            amps: None,
            volts: None,
            travel: None,
            wire_feed: None,
            wire: None,
            preheat_stated: None,
            preheat_needed: None,
            interpass_max: None,
            heat_input: None,
            heat_effective: None,
            heat_window: None,
            leg: None,
            bead_leg: None,
            passes: None,
            single_pass_max: None,
            duty: None,
            traceable: false,
            steering: false,
        }
    }

    /// Product form.
    #[must_use]
    pub const fn form(&self) -> Form {
        if self.diameter.is_some() { Form::Pipe } else { Form::Plate }
    }

    /// The thickest part.
    #[must_use]
    pub fn thickest(&self) -> Option<Length> {
        self.parts.iter().copied().reduce(|a, b| if a > b { a } else { b })
    }

    /// The thinnest part.
    #[must_use]
    pub fn thinnest(&self) -> Option<Length> {
        self.parts.iter().copied().reduce(|a, b| if a < b { a } else { b })
    }
}
