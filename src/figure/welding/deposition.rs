//! Wire melted, metal deposited, filler bought, time, gas and money.

use super::look_up::Process;
use crate::figure::prelude::*;
use crate::figure::usual::{DENSITY, FEED, WIRE_SIZE};

/// Melt-off and filler bought.
pub(super) const BALANCE: Source = Source::handbook(
    "Filler Metal Data Handbook",
    "mass balance: melt-off = wire area x feed x density; bought = deposited / efficiency",
);
/// Arc time and labour time.
pub(super) const TIMES: Source =
    Source::handbook("Welding Handbook", "arc time = mass / net deposition rate; operating factor");
const STUB: Source =
    Source::derived("a stub is bought and not melted: efficiency x (length - stub) / length", "mass balance");
const SHARE: Range = within(0.0, 100.0, unit::PCT, BALANCE).above_zero();

/// Volume of gas and money to the hundredth.
pub(super) const CUBIC_FEET: Style = Style::pair(Form::decimal(unit::FT3, 0.01), Form::decimal(unit::L, 0.1));
/// Wire mass per length, which is small.
pub(super) const WIRE: Style =
    Style::pair(Form::decimal(unit::LB_FT, 0.00001), Form::decimal(unit::KG_M, 0.00001));

family! {
    /// Filler and work.
    reads Filling {
        optional process: Process, "process; gives a deposition efficiency";
        optional deposition_efficiency: Percent in SHARE,
            "metal deposited over filler bought, instead of a process; with a stub that of the electrode without it",
            "efficiency", "ee";
        optional electrode_length: Length in ABOVE_ZERO, "length of a stick electrode, with stub";
        optional stub: Length, "stub thrown away", "stub_loss", "stub_length";
        optional wire_diameter: Length in WIRE_SIZE, "wire diameter", "wire", "diameter";
        optional wire_feed: Speed in FEED, "wire feed speed", "wfs", "wire_feed_speed";
        optional deposition_rate: MassRate in ABOVE_ZERO, "net deposition rate, instead of wire and feed", "rate";
        optional operating_factor: Percent in SHARE,
            "arc time over clock time; manual 5 to 30 %, semi-automatic 10 to 60 %", "of", "duty";
        optional gas_flow: Flow in ABOVE_ZERO, "shielding gas flow", "gas";
        optional filler_price: MoneyPerMass in NOT_NEGATIVE, "price of filler", "wire_price", "electrode_price";
        optional gas_price: MoneyPerVolume in NOT_NEGATIVE, "price of gas";
        optional labor_rate: MoneyRate in NOT_NEGATIVE, "labour and overhead per hour", "labour", "labor", "labour_rate", "hourly_rate";
        default density: Density = "7850 kg/m3" in DENSITY, "density of the metal";
    }
    rules { together(wire_diameter, wire_feed); }
}

/// Mass per length of a wire.
pub(super) fn wire_mass(diameter: Length, density: Density) -> LinearDensity {
    diameter * diameter * density * (PI / 4.0)
}

/// Wire melted per time.
#[must_use]
pub fn melt_off(diameter: Length, feed: Speed, density: Density) -> MassRate {
    wire_mass(diameter, density) * feed
}

/// Efficiency of a stick electrode with the stub counted.
fn with_stub(efficiency: Percent, electrode: Length, stub: Length) -> Result<Percent> {
    (stub.si() < 0.0 || stub >= electrode)
        .refuse("the stub is not between zero and the electrode length", "check stub and electrode_length")?;
    Ok(efficiency * ((electrode - stub) / electrode).value)
}

/// What was read about filler and work.
#[derive(Debug, Clone, Copy)]
pub(super) struct Work {
    /// Deposition efficiency with the stub counted.
    pub(super) efficiency: Option<Percent>,
    /// Wire melted per time, and wire mass per length.
    pub(super) melt: Option<(MassRate, LinearDensity)>,
    /// Net deposition rate.
    pub(super) rate: Option<MassRate>,
    /// Arc time over clock time.
    pub(super) operating_factor: Option<Percent>,
    pub(super) density: Density,
}

impl Filling {
    /// Reads filler and work.
    pub(super) fn read(&self) -> Result<Work> {
        let density = *self.density;
        let mut efficiency = match *self.deposition_efficiency {
            Some(share) => Some(share),
            None => self.process.as_ref().and_then(|p| p.deposition_efficiency()),
        };
        if self.electrode_length.given() || self.stub.given() {
            // The process value already holds a stub; taking both counts it twice.
            require(&[&self.electrode_length, &self.stub, &self.deposition_efficiency])?;
            let (length, stub) = (self.electrode_length.need()?, self.stub.need()?);
            efficiency = efficiency.map(|e| with_stub(e, length, stub)).transpose()?;
        }
        let melt = self
            .wire_diameter
            .zip(*self.wire_feed)
            .map(|(wire, feed)| (melt_off(wire, feed, density), wire_mass(wire, density)));
        let own = || melt.zip(efficiency).map(|((melted, _), share)| melted * share.si());
        if let (Some((melted, _)), Some(net)) = (melt, *self.deposition_rate)
            && net.si() > melted.si() * 1.02
        {
            return Err(Trouble::impossible(
                format!(
                    "deposition_rate is {} and the wire that is fed melts {}: no more is laid than is melted",
                    show(net),
                    show(melted)
                ),
                "check deposition_rate, wire_diameter and wire_feed, or leave one of them out",
            ));
        }
        let rate = self.deposition_rate.or_else(own);
        Ok(Work { efficiency, melt, rate, operating_factor: *self.operating_factor, density })
    }

    /// Filler, time and gas of a mass.
    pub(super) fn deposit(&self, work: &Work, mass: Mass) -> Deposit {
        let arc_time = work.rate.map(|rate| mass / rate);
        Deposit {
            mass,
            filler: work.efficiency.map(|share| mass / share.si()),
            arc_time,
            clock_time: arc_time.zip(work.operating_factor).map(|(time, share)| time / share.si()),
            gas: arc_time.zip(*self.gas_flow).map(|(time, flow)| flow * time),
        }
    }

    /// The bill of a deposit.
    pub(super) fn bill(&self, deposit: &Deposit) -> Bill {
        let labor = self.labor_rate.zip(deposit.clock_time);
        let filler = self.filler_price.zip(deposit.filler);
        let gas = self.gas_price.zip(deposit.gas);
        Bill {
            labor: labor.map(|(p, t)| Money::from_si(p.si() * t.si())),
            filler: filler.map(|(p, m)| Money::from_si(p.si() * m.si())),
            gas: gas.map(|(p, v)| Money::from_si(p.si() * v.si())),
        }
    }

    /// Warns where a price has no quantity to go with it.
    pub(super) fn unpriced(&self, bill: &Bill, said: &mut Said) {
        for (price, lacks, needs) in [
            (
                "labor_rate",
                self.labor_rate.given() && bill.labor.is_none(),
                "a deposition rate and operating_factor",
            ),
            (
                "filler_price",
                self.filler_price.given() && bill.filler.is_none(),
                "process or deposition_efficiency",
            ),
            ("gas_price", self.gas_price.given() && bill.gas.is_none(), "gas_flow and a deposition rate"),
        ] {
            if lacks {
                said.warn(format!("{price} is not in the cost: it needs {needs}."));
            }
        }
    }

    /// Gives efficiency, melt-off and deposition rate.
    pub(super) fn put_rates(&self, work: &Work, rates: Rates<'_>) {
        if let Some(share) = work.efficiency {
            rates.efficiency.put(share);
            self.efficiency_from(share, rates.efficiency, rates.said);
        }
        if let Some((melted, wire)) = work.melt {
            rates.wire_mass.put(wire);
            rates.melt_off.put(melted);
        }
        rates.rate.put_some(work.rate);
        if self.deposition_rate.given() {
            rates.rate.source(Source::entered("net deposition rate"));
        }
    }

    /// Where the efficiency comes from, and what is published.
    fn efficiency_from(&self, share: Percent, efficiency: &mut Out<Percent>, said: &mut Said) {
        if self.stub.given() {
            efficiency.formula("deposition_efficiency x (electrode_length - stub) / electrode_length");
            efficiency.source(STUB);
            return;
        }
        let entered = *self.deposition_efficiency;
        if entered.is_some() {
            efficiency.source(Source::entered("deposition efficiency"));
        }
        let Some(process) = self.process.as_ref() else { return };
        let Some((low, high)) = process.deposition_range() else { return };
        match entered {
            // Half a per cent of room: the tables print whole ones.
            Some(own) if own.si() < low.si() - 0.005 || own.si() > high.si() + 0.005 => said.warn(format!(
                "The deposition efficiency entered is used; {} has {} in published tables.",
                process.title,
                band(low, high)
            )),
            Some(_) => {}
            None => said.note(format!(
                "Published deposition efficiency of {} is {}; {:.0} % is used: replace it with the shop's own.",
                process.title,
                band(low, high),
                100.0 * share.si()
            )),
        }
    }
}

/// The outputs both families of deposition have.
pub(super) struct Rates<'a> {
    pub(super) efficiency: &'a mut Out<Percent>,
    pub(super) wire_mass: &'a mut Out<LinearDensity>,
    pub(super) melt_off: &'a mut Out<MassRate>,
    pub(super) rate: &'a mut Out<MassRate>,
    pub(super) said: &'a mut Said,
}

/// A range of shares in words; where both ends round to one figure, that one.
fn band(low: Percent, high: Percent) -> String {
    let (low, high) = (format!("{:.0}", 100.0 * low.si()), format!("{:.0}", 100.0 * high.si()));
    if low == high { format!("about {low} %") } else { format!("{low} to {high} %") }
}

/// What depositing a mass takes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Deposit {
    /// Metal deposited.
    pub(super) mass: Mass,
    /// Filler bought.
    pub(super) filler: Option<Mass>,
    pub(super) arc_time: Option<Time>,
    /// Arc-on time over the operating factor.
    pub(super) clock_time: Option<Time>,
    /// Shielding gas.
    pub(super) gas: Option<Volume>,
}

/// Money for a deposit: labour, filler, gas, where the prices and quantities
/// are there.
pub(super) struct Bill {
    /// Labour and overhead.
    pub(super) labor: Option<Money>,
    pub(super) filler: Option<Money>,
    pub(super) gas: Option<Money>,
}

impl Bill {
    /// The sum, if there is anything to add.
    pub(super) fn total(&self) -> Option<Money> {
        let parts = [self.labor, self.filler, self.gas];
        if parts.iter().all(Option::is_none) {
            return None;
        }
        Some(Money::from_si(parts.iter().flatten().map(|m| m.si()).sum()))
    }
}
