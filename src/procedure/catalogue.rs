//! The names by which procedure texts reach a job's figures.

use std::marker::PhantomData;

use crate::quantity::{
    Angle, Current, Dimensioned, Force, HeatInput, Kind, Length, Mass, Number, RotationSpeed, Speed,
    SpringRate, Temperature, Time, Torque, Voltage, Volume,
};

/// What a job figure belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scope {
    /// A component: `f.name`.
    Component,
    /// One side of a component: `fs.name`.
    Side,
    /// A weld joint: `j.f.name`.
    Joint,
    /// A group of fasteners: `b.f.name`.
    Fastener,
}

/// One name.
#[derive(Debug, Clone, Copy)]
pub struct Name {
    /// What it belongs to.
    pub scope: Scope,
    /// As a procedure writes it behind the scope: `pinion_target`.
    pub name: &'static str,
    /// What a person calls it.
    pub title: &'static str,
    /// Kind, if it is a quantity.
    pub kind: Option<Kind>,
}

/// What a name may hold: a quantity, or words.
pub trait Entry {
    /// Its kind, if it is a quantity.
    const KIND: Option<Kind>;
}

impl<T: Dimensioned> Entry for T {
    const KIND: Option<Kind> = Some(T::KIND);
}

impl Entry for String {
    const KIND: Option<Kind> = None;
}

/// A name with its type, for code: one that is misspelt does not compile.
#[derive(Debug)]
pub struct Called<T> {
    scope: Scope,
    name: &'static str,
    of: PhantomData<fn() -> T>,
}

impl<T> Clone for Called<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Called<T> {}

impl<T> Called<T> {
    /// What it belongs to.
    #[must_use]
    pub const fn scope(self) -> Scope {
        self.scope
    }

    /// The name as texts write it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.name
    }
}

/// Declares the names of each scope: typed for code, listed for texts.
macro_rules! catalogue {
    ($($(#[$about:meta])* $module:ident of $scope:ident { $($name:ident: $type:ident, $title:literal;)+ })+) => {
        $(
            $(#[$about])*
            #[allow(non_upper_case_globals, reason = "a name is written as texts write it")]
            pub mod $module {
                use super::*;
                $(
                    #[doc = $title]
                    pub const $name: Called<$type> =
                        Called { scope: Scope::$scope, name: stringify!($name), of: PhantomData };
                )+
            }
        )+

        /// Every name, by scope and then in the order a person meets them.
        pub const NAMES: &[Name] = &[$($(Name {
            scope: Scope::$scope,
            name: stringify!($name),
            title: $title,
            kind: <$type as Entry>::KIND,
        },)+)+];
    };
}

catalogue! {
    /// Figures of a component.
    component of Component {
        lift: Length, "lift of the frame at the axle";
        lift_low: Length, "least rise of the ride height as left";
        lift_high: Length, "greatest rise of the ride height as left";
        stack: Length, "lift from the stack alone";
        ride_pitch: Angle, "pitch of the unit when the work is done, nose up";
        case_rise: Length, "rise of the case flange";
        output_slope_after: Angle, "output angle when the work is done";
        lifts: String, "lift at each axle";
        front_rise_least: Length, "front, as left less as found, at least";
        front_rise_most: Length, "front, as left less as found, at most";
        rear_rise_least: Length, "rear, as left less as found, at least";
        rear_rise_most: Length, "rear, as left less as found, at most";
        seat_tilt: Angle, "seat tilt from the shackle";
        pinion_now: Angle, "pinion angle as found";
        pinion_target: Angle, "pinion angle wanted";
        housing_turn: Angle, "turn of the housing";
        housing_turn_on_pads: Angle, "turn of the housing against its pads";
        pinion_tolerance: Angle, "pinion tolerance";
        housing_arc: Length, "turn of the housing as an arc on the tube";
        shaft_length_before: Length, "shaft length before";
        shaft_length: Length, "shaft length at ride";
        joint_pinion_before: Angle, "joint angle at the pinion, before";
        joint_pinion_after: Angle, "joint angle at the pinion, after";
        joint_case_before: Angle, "joint angle at the case, before";
        joint_case_after: Angle, "joint angle at the case, after";
        wind_up_before: Torque, "braking moment per seat, before";
        wind_up_after: Torque, "braking moment per seat, after";
        wind_up_change: Number, "wind-up moment, after over before";
        caster_target: Angle, "caster wanted";
        caster_tolerance: Angle, "caster tolerance";
        caster_spread: Angle, "left and right caster may differ by";
        rotation_uncertainty: Angle, "expanded uncertainty of the knuckle rotation";
        mark_accuracy: Angle, "the marks on the tube are good to";
        finder_verdict: String, "is the angle finder good enough";
        knuckle_construction: String, "how knuckle and tube are joined";
        cut_line: String, "where the cut runs";
        groove_offset: Length, "groove inboard of the seam weld";
        depth_stop: Length, "depth stop, least of both sides";
        depth_never: Length, "depth never to be passed";
        ligament: Length, "wall left at the thickest reading";
        wall_least: Length, "least wall reading";
        wall_sound: Length, "least wall of a sound tube";
        pad_spread: Length, "between the pads' centres";
        pad_thickness: Length, "pad thickness";
        pad_length: Length, "pad length";
        hanger_shift: Length, "hangers moved forward";
        pad_shift: Length, "pad hole ahead of the tube centre";
        axle_shift: Length, "axle moved forward";
        wheelbase_left: Length, "wheelbase wanted, left";
        wheelbase_right: Length, "wheelbase wanted, right";
        approach_before: Angle, "approach angle before";
        approach_after: Angle, "approach angle after";
        departure_before: Angle, "departure angle before";
        departure_after: Angle, "departure angle after";
        breakover_before: Angle, "breakover angle before";
        breakover_after: Angle, "breakover angle after";
        stability_before: Number, "static stability factor before";
        stability_after: Number, "static stability factor after";
        tongue_least: Mass, "tongue weight, at least";
        tongue_most: Mass, "tongue weight, at most";
        rail_rake: Angle, "rake of the frame rail, nose up";
        shock_change: Length, "longer shock absorber by";
        bump_gap: Length, "gap to the bump stop";
        hose_extra: Length, "longer brake hose by";
        drag_link_before: Angle, "drag link slope before";
        drag_link_after: Angle, "drag link slope after";
        link_slope_limit: Angle, "drag link slope, at most";
        link_slope_low: Angle, "drag link slope, at least";
        link_slope_high: Angle, "drag link slope, at most";
        bump_steer_before: Angle, "bump steer before";
        bump_steer_after: Angle, "bump steer after";
        shackle_target: Angle, "shackle lean at ride";
        bump_steer_limit: Angle, "bump steer, at most";
        bump_steer_low: Angle, "bump steer, at least";
        bump_steer_high: Angle, "bump steer, at most";
        length_wanted: Length, "length over all";
        width_wanted: Length, "width over all";
        height_wanted: Length, "height over all";
        size_tolerance: Length, "sizes may be off by";
        drawing: String, "drawing";
        pieces: String, "pieces to cut";
        squareness_limit: Length, "diagonals may differ by";
        spring_rate_before: SpringRate, "spring rate before";
        spring_rate_after: SpringRate, "spring rate after";
        toe_target: Angle, "total toe wanted";
        toe_linear: Length, "total toe at the tyre";
        shaft_change: Length, "shaft longer at ride by";
        shaft_out_of_plane: Angle, "angle of the shaft in plan view";
        engagement_droop: Length, "spline engaged at full droop";
        bump_room_after: Length, "room left in the slip at full bump";
        joint_rating: Angle, "joint angle the maker allows";
        shaft_compressed: Length, "shaft length at full bump";
        shaft_extended: Length, "shaft length at full droop";
        slip_stroke: Length, "slip stroke needed";
        slip_engagement: Length, "spline engagement at full droop, at least";
        highest_speed: RotationSpeed, "highest speed to run the shaft at, below its critical one";
        joint_residual: Angle, "residual joint angle of the shaft";
        runout_limit: Length, "shaft runout, at most";
        phase_limit: Angle, "yokes in phase within";
    }

    /// Figures of one side of a component.
    side of Side {
        caster_now: Angle, "caster as found";
        caster_after_turn: Angle, "caster after the housing is turned";
        caster_target: Angle, "caster wanted";
        caster_low: Angle, "least caster accepted";
        caster_high: Angle, "most caster accepted";
        knuckle_rotation: Angle, "knuckle rotation to give back";
        mark_arc: Length, "rotation as an arc on the tube";
        mark_chord: Length, "rotation as a chord";
        mark_accuracy: Angle, "the marks on this tube are good to";
        kpi_after: Angle, "steering axis inclination after";
        depth_stop: Length, "depth stop of this side";
        depth_never: Length, "depth never to be passed on this side";
        wall_least: Length, "least wall reading of this side";
        ligament: Length, "wall left at the thickest reading of this side";
        camber_after: Angle, "camber after";
        toe_after: Angle, "toe after, before it is set";
    }

    /// Figures of a weld joint.
    joint of Joint {
        size: Length, "weld size";
        size_from: String, "weld size set by";
        size_min: Length, "least fillet leg allowed";
        size_max: Length, "largest fillet leg allowed";
        leg_most: Length, "leg on the thinner part, at most";
        throat: Length, "effective throat";
        preheat: Temperature, "preheat, at least";
        preheat_method: String, "preheat governed by";
        interpass_from: String, "interpass limit set by";
        settings_from: String, "range of the settings set by";
        amps_low: Current, "welding current, at least";
        amps_high: Current, "welding current, at most";
        volts_low: Voltage, "arc voltage, at least";
        volts_high: Voltage, "arc voltage, at most";
        travel_low: Speed, "travel speed, at least";
        travel_high: Speed, "travel speed, at most";
        interpass_max: Temperature, "interpass temperature, at most";
        heat_input: HeatInput, "heat input with k";
        heat_input_low: HeatInput, "heat input with k, at least";
        heat_input_high: HeatInput, "heat input with k, at most";
        heat_by_code: HeatInput, "heat input as its code counts it";
        heat_by_code_low: HeatInput, "heat input as its code counts it, at least";
        heat_by_code_high: HeatInput, "heat input as its code counts it, at most";
        heat_counted: String, "how the heat input is counted";
        amps: Current, "welding current";
        volts: Voltage, "arc voltage";
        travel: Speed, "travel speed";
        wire: Length, "wire diameter";
        wire_feed: Speed, "wire feed speed";
        wire_feed_low: Speed, "wire feed speed, at least";
        wire_feed_high: Speed, "wire feed speed, at most";
        passes: Number, "passes";
        cooling_time: Time, "cooling time t8/5";
        weld_metal: Mass, "weld metal";
        filler: Mass, "filler to buy";
        gas: Volume, "shielding gas";
        arc_time: Time, "arc time";
        clock_time: Time, "clock time";
        tack_count: Number, "tacks";
        tack_length: Length, "length of a tack, at least";
        sequence: String, "sequence";
        undercut_limit: Length, "undercut, at most";
        undersize_limit: Length, "undersize, at most";
        utilisation: Number, "utilisation of the weld";
        wait: Time, "wait between passes, about";
    }

    /// Figures of a group of fasteners.
    fastener of Fastener {
        torque: Torque, "torque";
        inside_width: Length, "U-bolt, inside width";
        torque_low: Torque, "torque, at least";
        torque_high: Torque, "torque, at most";
        stage_1: Torque, "first stage";
        stage_2: Torque, "second stage";
        stage_3: Torque, "last stage";
        pattern: String, "order of tightening";
        preload: Force, "preload";
        preload_low: Force, "preload, low end of the scatter";
        preload_high: Force, "preload, high end of the scatter";
        retorque: String, "tighten again";
        condition: String, "condition of the thread";
        wrench: String, "torque wrench";
        source: String, "where the torque comes from";
    }
}

/// The name of this spelling in a scope.
#[must_use]
pub fn find(scope: Scope, name: &str) -> Option<&'static Name> {
    NAMES.iter().find(|n| n.scope == scope && n.name == name)
}

/// In the order of the catalogue.
pub fn names(scope: Scope) -> impl Iterator<Item = &'static str> {
    NAMES.iter().filter(move |n| n.scope == scope).map(|n| n.name)
}
