//! Line-source heat flow with textbook constants: cooling rate at the weld, and
//! the wait between passes.
//!
//! Far behind the arc the moving source is an instantaneous line source. In a
//! thick plate the heat q per length spreads as half a cylinder's worth in two
//! directions plus depth: T - T0 = q / (2 pi k t). In a thin plate it spreads
//! sideways only: T - T0 = q / (d sqrt(4 pi k rho c t)).

use crate::figure::prelude::*;
use crate::figure::root::boundary;

family! {
    /// Thermal constants of the metal; those of carbon steel over the cooling range.
    reads Thermal {
        default conductivity: Conductivity = "0.028 W/(mm·K)" in ABOVE_ZERO, "thermal conductivity", "k", "lambda";
        default heat_capacity: HeatCapacity = "0.0044 J/(mm3·K)" in ABOVE_ZERO, "density times specific heat",
            "rho_c", "rhoc";
    }
}

impl Thermal {
    /// A source in this metal.
    pub(super) fn source(&self, heat_input: HeatInput, preheat: Temperature) -> LineSource {
        LineSource {
            heat_input,
            preheat,
            conductivity: *self.conductivity,
            heat_capacity: *self.heat_capacity,
        }
    }
}

/// A plate with the thermal constants of its metal.
#[derive(Debug, Clone, Copy)]
pub struct LineSource {
    /// Net heat per length of weld.
    pub heat_input: HeatInput,
    /// Temperature of the plate before the pass.
    pub preheat: Temperature,
    /// Thermal conductivity.
    pub conductivity: Conductivity,
    /// Density times specific heat.
    pub heat_capacity: HeatCapacity,
}

impl LineSource {
    fn rise(&self, at: Temperature) -> f64 {
        at.si() - self.preheat.si()
    }

    /// Cooling rate of thick plate when the weld passes `at`.
    #[must_use]
    pub fn rate_thick(&self, at: Temperature) -> CoolingRate {
        let rise = self.rise(at);
        let two_pi = 2.0 * PI;
        CoolingRate::from_si(two_pi * self.conductivity.si() * rise * rise / self.heat_input.si())
    }

    /// Cooling rate of thin plate when the weld passes `at`.
    #[must_use]
    pub fn rate_thin(&self, at: Temperature, thickness: Length) -> CoolingRate {
        let rise = self.rise(at);
        let share = thickness.si() / self.heat_input.si();
        let two_pi = 2.0 * PI;
        CoolingRate::from_si(
            two_pi * self.conductivity.si() * self.heat_capacity.si() * share * share * rise * rise * rise,
        )
    }

    /// Relative plate thickness: thick above 0.9, thin below 0.6, divided at
    /// 0.75.
    #[must_use]
    pub fn relative_thickness(&self, at: Temperature, thickness: Length) -> Number {
        let ratio = self.heat_capacity.si() * self.rise(at) / self.heat_input.si();
        Number::from_si(thickness.si() * ratio.sqrt())
    }

    /// Time from the pass until thick plate has cooled to `at`.
    #[must_use]
    pub fn time_thick(&self, at: Temperature) -> Time {
        let two_pi = 2.0 * PI;
        Time::from_si(self.heat_input.si() / (two_pi * self.conductivity.si() * self.rise(at)))
    }

    /// Time from the pass until thin plate has cooled to `at`.
    #[must_use]
    pub fn time_thin(&self, at: Temperature, thickness: Length) -> Time {
        let root = self.heat_input.si() / (thickness.si() * self.rise(at));
        let four_pi = 4.0 * PI;
        Time::from_si(root * root / (four_pi * self.conductivity.si() * self.heat_capacity.si()))
    }

    /// Rise over the plate's temperature in thin plate, `time` after the pass,
    /// with heat lost to the air at the rate of `loss` (none: no loss).
    fn rise_thin(&self, time: Time, thickness: Length, loss: Option<Time>) -> TemperatureRise {
        let four_pi = 4.0 * PI;
        let spread = (four_pi * self.conductivity.si() * self.heat_capacity.si() * time.si()).sqrt();
        let kept = loss.map_or(1.0, |tau| math::exp(-time.si() / tau.si()));
        TemperatureRise::from_si(self.heat_input.si() * kept / (thickness.si() * spread))
    }

    /// Time from the pass until thin plate that also loses heat to the air has
    /// cooled to `at`. Found by halving: the rise falls without end.
    #[must_use]
    pub fn time_thin_with_loss(&self, at: Temperature, thickness: Length, loss: Time) -> Time {
        let wanted = self.rise(at);
        let cooled = |time: f64| self.rise_thin(Time::from_si(time), thickness, Some(loss)).si() <= wanted;
        let (early, late) = boundary(cooled, 0.0, self.time_thin(at, thickness).si());
        Time::from_si(0.5 * (early + late))
    }
}
