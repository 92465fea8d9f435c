//! The kinds of quantity the program knows. Two kinds may share a dimension
//! and still never mix: a torque is not an energy, a heat input is not a force.

use serde::{Deserialize, Serialize};

use super::unit::{UNITS, Unit};

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident, $word:literal, $si:literal, $example:literal;)*) => {
        /// Kind of a quantity.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum Kind {
            $(
                $(#[$doc])*
                #[doc = concat!("\nCalled \"", $word, "\", held in ", $si, "; such as ", $example, ".")]
                $name,
            )*
        }

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Kind] = &[$(Kind::$name,)*];

            /// What a person calls it.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Kind::$name => $word,)* }
            }

            /// The word with "a" or "an" before it.
            #[must_use]
            pub fn with_article(self) -> String {
                let word = self.word();
                let vowel = word.starts_with(['a', 'e', 'i', 'o', 'u']);
                format!("{} {word}", if vowel { "an" } else { "a" })
            }

            /// Symbol of the SI unit its value is held in.
            #[must_use]
            pub const fn si_symbol(self) -> &'static str {
                match self { $(Kind::$name => $si,)* }
            }

            /// A right value, for error messages.
            #[must_use]
            pub const fn example(self) -> &'static str {
                match self { $(Kind::$name => $example,)* }
            }
        }
    };
}

kinds! {
    /// Pure number: friction, nut factor, ratio, efficiency.
    Number, "number", "1", "0.15";
    Length, "length", "m", "3-1/4 in";
    /// Plane angle; held in radians.
    Angle, "angle", "rad", "2.5 deg";
    Area, "area", "m2", "0.142 in2";
    Volume, "volume", "m3", "1.4 ft3";
    SecondMoment, "second moment of area", "m4", "0.52 in4";
    Mass, "mass", "kg", "4200 lb";
    /// Mass per length, of weld metal.
    LinearDensity, "mass per length", "kg/m", "0.106 lb/ft";
    Density, "density", "kg/m3", "7850 kg/m3";
    Time, "time", "s", "90 min";
    /// Temperature on a scale; held in kelvin.
    Temperature, "temperature", "K", "150 degF";
    /// Difference of two temperatures.
    TemperatureRise, "temperature difference", "K", "20 K";
    Force, "force", "N", "1800 lbf";
    /// Stress, pressure or modulus.
    Stress, "stress", "Pa", "36 ksi";
    /// Torque or moment.
    Torque, "torque", "N·m", "90 lbf-ft";
    Energy, "energy", "J", "86 kJ";
    Power, "power", "W", "3.1 kW";
    /// Energy per length of weld: arc energy or heat input.
    HeatInput, "heat input", "J/m", "1.2 kJ/mm";
    /// Force per length of weld.
    LineForce, "force per length", "N/m", "2800 lbf/in";
    SpringRate, "spring rate", "N/m", "280 lbf/in";
    AngularStiffness, "angular stiffness", "N·m/rad", "14400 N·m/rad";
    /// Travel speed, wire feed speed, road speed.
    Speed, "speed", "m/s", "12 in/min";
    RotationSpeed, "rotation speed", "rad/s", "3000 rpm";
    AngularAcceleration, "angular acceleration", "rad/s2", "400 rad/s2";
    Acceleration, "acceleration", "m/s2", "0.7 g";
    /// Electric current.
    Current, "current", "A", "180 A";
    Voltage, "voltage", "V", "24 V";
    /// Volume flow of gas.
    Flow, "gas flow", "m3/s", "35 ft3/h";
    /// Mass per time: deposition.
    MassRate, "deposition rate", "kg/s", "5 lb/h";
    /// Diffusible hydrogen in weld metal.
    Hydrogen, "diffusible hydrogen", "ml/100g", "5 ml/100g";
    /// Mass share of an element, or a carbon equivalent.
    MassFraction, "composition", "%", "0.18 %";
    /// Share of a whole: efficiency, duty cycle; held as a fraction of one.
    Percent, "percentage", "1", "30 %";
    /// Compliance of a joint.
    Compliance, "compliance", "m/N", "3.2e-6 mm/N";
    Curvature, "curvature", "/m", "1.06e-3 /mm";
    Conductivity, "thermal conductivity", "W/(m·K)", "28 W/(m·K)";
    HeatCapacity, "volumetric heat capacity", "J/(m3·K)", "0.0044 J/(mm3·K)";
    /// Energy to bring a volume of metal from cold to molten.
    MeltingHeat, "melting heat", "J/m3", "10 J/mm3";
    CoolingRate, "cooling rate", "K/s", "7 K/s";
    /// Angle per length of travel.
    AnglePerLength, "angle per travel", "rad/m", "0.0327 deg/mm";
    /// Money, in whatever currency the shop uses.
    Money, "money", "1", "45";
    /// Money per time.
    MoneyRate, "hourly rate", "1/s", "45 /h";
    MoneyPerMass, "price by mass", "1/kg", "1.78 /lb";
    MoneyPerVolume, "price by volume", "1/m3", "0.02 /ft3";
}

impl Kind {
    /// Whether a kind is read on a scale that begins at nothing.
    #[must_use]
    pub const fn has_a_size(self) -> bool {
        matches!(
            self,
            Kind::Length
                | Kind::Angle
                | Kind::Torque
                | Kind::Current
                | Kind::Voltage
                | Kind::Mass
                | Kind::Stress
                | Kind::Force
                | Kind::Speed
        )
    }

    /// Units this kind may be written in, the most usual first.
    pub fn units(self) -> impl Iterator<Item = Unit> {
        UNITS.iter().copied().filter(move |u| u.kind == self)
    }

    /// The accepted unit symbols as a list for messages.
    #[must_use]
    pub fn unit_list(self) -> String {
        let list: Vec<_> = self.units().map(|u| u.symbol).filter(|s| !s.is_empty()).collect();
        if list.is_empty() { "a bare number".to_owned() } else { list.join(", ") }
    }
}
