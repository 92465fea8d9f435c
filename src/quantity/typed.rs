//! The typed quantities. `uom` types where a dimension has one meaning here,
//! newtypes where it has several.

use super::{Kind, Unit};

pub use uom::si::f64::{
    Acceleration, Angle, AngularAcceleration, AngularVelocity as RotationSpeed, Area, Curvature,
    ElectricCurrent as Current, ElectricPotential as Voltage, Energy, Force, Length,
    LinearMassDensity as LinearDensity, Mass, MassDensity as Density, MassRate, Power, Pressure as Stress,
    TemperatureInterval as TemperatureRise, ThermodynamicTemperature as Temperature, Time, Velocity as Speed,
    Volume, VolumeRate as Flow,
};

/// A type that stands for exactly one [`Kind`].
pub trait Dimensioned: Copy {
    /// The one kind, as it is called at run time.
    const KIND: Kind;

    /// From a value in SI base units.
    fn from_si(si: f64) -> Self;

    /// Value in SI base units.
    fn si(self) -> f64;

    /// `value` of `unit`.
    ///
    /// # Panics
    /// In debug builds, if the unit is of another kind: a programming error.
    #[must_use]
    fn of(value: f64, unit: Unit) -> Self {
        debug_assert_eq!(unit.kind, Self::KIND, "unit {} is of another kind", unit.symbol);
        Self::from_si(unit.to_si(value))
    }

    /// Value in `unit`, for use inside a formula body.
    ///
    /// # Panics
    /// In debug builds, if the unit is of another kind: a programming error.
    fn to(self, unit: Unit) -> f64 {
        debug_assert_eq!(unit.kind, Self::KIND, "unit {} is of another kind", unit.symbol);
        unit.from_si(self.si())
    }
}

macro_rules! uom_types {
    ($($type:ident, $kind:ident;)*) => {$(
        impl Dimensioned for $type {
            const KIND: Kind = Kind::$kind;
            fn from_si(si: f64) -> Self {
                Self { dimension: std::marker::PhantomData, units: std::marker::PhantomData, value: si }
            }
            fn si(self) -> f64 {
                self.value
            }
        }
    )*};
}

uom_types! {
    Length, Length; Angle, Angle; Area, Area; Volume, Volume; Mass, Mass;
    LinearDensity, LinearDensity; Density, Density; Time, Time;
    Temperature, Temperature; TemperatureRise, TemperatureRise; Force, Force;
    Stress, Stress; Energy, Energy; Power, Power; Speed, Speed;
    RotationSpeed, RotationSpeed; AngularAcceleration, AngularAcceleration;
    Acceleration, Acceleration; Current, Current; Voltage, Voltage; Flow, Flow;
    MassRate, MassRate; Curvature, Curvature;
}

macro_rules! newtypes {
    ($($(#[$doc:meta])* $type:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $type(f64);

        impl Dimensioned for $type {
            const KIND: Kind = Kind::$type;
            fn from_si(si: f64) -> Self {
                Self(si)
            }
            fn si(self) -> f64 {
                self.0
            }
        }

        impl std::ops::Add for $type {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl std::ops::Sub for $type {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl std::ops::Neg for $type {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl std::ops::Mul<f64> for $type {
            type Output = Self;
            fn mul(self, by: f64) -> Self {
                Self(self.0 * by)
            }
        }

        impl std::ops::Div<f64> for $type {
            type Output = Self;
            fn div(self, by: f64) -> Self {
                Self(self.0 / by)
            }
        }

        impl std::ops::Div for $type {
            type Output = f64;
            fn div(self, by: Self) -> f64 {
                self.0 / by.0
            }
        }
    )*};
}

newtypes! {
    /// Pure number.
    Number;
    /// Second moment of area.
    SecondMoment;
    /// Torque or moment; not an energy.
    Torque;
    /// Arc energy or heat input per length of weld; not a force.
    HeatInput;
    /// Force per length of weld.
    LineForce;
    /// Force a spring takes per length it gives way.
    SpringRate;
    /// Torque a spring takes per angle it turns.
    AngularStiffness;
    /// Diffusible hydrogen, ml per 100 g deposited.
    Hydrogen;
    /// Mass share or carbon equivalent, in per cent.
    MassFraction;
    /// Share of a whole, held as a fraction of one.
    Percent;
    /// Length a part gives way per force; one over a spring rate.
    Compliance;
    /// Thermal conductivity.
    Conductivity;
    /// Volumetric heat capacity.
    HeatCapacity;
    /// Energy to bring a volume of metal from cold to molten.
    MeltingHeat;
    /// Kelvin per second, positive while it cools.
    CoolingRate;
    /// Angle per length of travel.
    AnglePerLength;
    /// Money, in whatever currency the shop counts.
    Money;
    /// Money per time.
    MoneyRate;
    /// Price of filler by the mass bought.
    MoneyPerMass;
    /// Price of gas by volume.
    MoneyPerVolume;
}
