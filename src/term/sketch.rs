//! Sketches of what is measured and set: where a finder stands, where a ruler
//! touches, which way a sign counts. One number each, the same on every paper.

terms! {
    /// One thing measured or set, drawn the same way wherever it is asked for.
    pub enum Sketch {
        /// Caster from the left side.
        Caster = "caster" as "caster",
        /// Camber and kingpin inclination from the front.
        Camber = "camber" as "camber",
        /// Toe from above.
        Toe = "toe" as "toe",
        /// Pinion angle and slope of the output.
        Pinion = "pinion" as "pinion",
        /// Where pinion and case joints are from the axle.
        Case = "case" as "case",
        /// Lean of a shackle.
        Shackle = "shackle" as "shackle",
        /// Spring seat, pack and the locating hole.
        Seat = "seat" as "seat",
        /// Steering link.
        DragLink = "drag-link" as "drag-link",
        /// Depth stop at the groove.
        Groove = "groove" as "groove",
        /// Angle finder on the inclined kingpin.
        Finder = "finder" as "finder",
        /// The knuckle turned on its tube.
        Knuckle = "knuckle" as "knuckle",
        /// Points of the frame that decide clearance.
        Frame = "frame" as "frame",
        /// Shock absorber and bump stop.
        Shock = "shock" as "shock",
        /// The tyre's scribe line, read in front and behind.
        Scribe = "scribe" as "scribe",
        /// Heights of the frame rail at its marks.
        Rail = "rail" as "rail",
        /// A tacked hanger under load: punch mark, tacks, finder on the shackle.
        Hanger = "hanger" as "hanger",
        /// Nuts of a U-bolt plate, how they are counted and in which order tightened.
        UBolts = "u-bolts" as "u-bolts",
    }
}

impl Sketch {
    /// Every sketch, in the order of its number.
    pub const ALL: [Sketch; 17] = [
        Sketch::Caster,
        Sketch::Camber,
        Sketch::Toe,
        Sketch::Pinion,
        Sketch::Case,
        Sketch::Shackle,
        Sketch::Seat,
        Sketch::DragLink,
        Sketch::Groove,
        Sketch::Finder,
        Sketch::Knuckle,
        Sketch::Frame,
        Sketch::Shock,
        Sketch::Scribe,
        Sketch::Rail,
        Sketch::Hanger,
        Sketch::UBolts,
    ];

    /// Its number, from 1.
    #[must_use]
    pub fn number(self) -> usize {
        1 + Self::ALL.iter().position(|s| *s == self).unwrap_or(0)
    }

    /// The keys of a job file it explains: table and key, without sides.
    #[must_use]
    pub const fn keys(self) -> &'static [&'static str] {
        match self {
            Sketch::Caster => &["knuckle.caster", "knuckle.caster_with_pinion_set", "target.caster"],
            Sketch::Camber => &["knuckle.camber", "knuckle.inclination"],
            Sketch::Toe => &["knuckle.toe", "target.toe"],
            Sketch::Pinion => &["pinion.angle", "pinion.output_slope", "pinion.allowance", "pinion.wanted"],
            Sketch::Case => {
                &["pinion.reach", "pinion.offset", "pinion.case_forward", "pinion.case_up", "pinion.sideways"]
            }
            Sketch::Shackle => {
                &["spring.shackle_lean", "spring.shackle_old", "spring.shackle_new", "spring.hanger_shift"]
            }
            Sketch::Seat => &["spring.seat_old", "spring.seat_new", "spring.pack", "pad.hole_offset"],
            Sketch::DragLink => &["drag_link.along", "drag_link.rise", "target.link_slope"],
            Sketch::Groove => &["cut.bevel", "cut.groove_offset", "joint.groove_depth", "joint.groove_angle"],
            Sketch::Finder | Sketch::Knuckle | Sketch::Scribe | Sketch::Hanger | Sketch::UBolts => &[],
            Sketch::Rail => &["frame.rail_front", "frame.rail_rear"],
            Sketch::Frame => &[
                "frame.approach_ahead",
                "frame.approach_height",
                "frame.departure_behind",
                "frame.departure_height",
                "frame.belly_behind",
                "frame.belly_height",
            ],
            Sketch::Shock => &["shock.offset", "shock.height", "shock.bump_gap"],
        }
    }

    /// The sketch of a key as it stands in a job file, such as
    /// `axle.knuckle.left.caster` or `axle[1].pinion.angle`.
    #[must_use]
    pub fn of_key(path: &str) -> Option<Self> {
        let plain: Vec<&str> = path
            .split('.')
            .map(|part| part.split('[').next().unwrap_or(part))
            .filter(|part| !matches!(*part, "left" | "right"))
            .collect();
        let from = plain.len().checked_sub(2)?;
        let key = plain[from..].join(".");
        Self::ALL.into_iter().find(|s| s.keys().contains(&key.as_str()))
    }
}
