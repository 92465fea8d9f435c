//! Wire melted, metal deposited, filler bought, time, gas and money.

use super::look_up;
use crate::figure::{Answer, Given, Input, Need, Trouble, given};
use crate::quantity::show::{Form, Style};
use crate::quantity::{
    Density, Dimensioned, Flow, Kind, Length, LinearDensity, Mass, MassRate, Money, MoneyPerMass,
    MoneyPerVolume, MoneyRate, Percent, Speed, Time, Volume, unit,
};
use crate::reference::process;
use crate::source::Source;

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

/// Volume of gas and money to the hundredth.
pub(super) const CUBIC_FEET: Style = Style::pair(Form::decimal(unit::FT3, 0.01), Form::decimal(unit::L, 0.1));
/// Wire mass per length, which is small.
pub(super) const WIRE: Style =
    Style::pair(Form::decimal(unit::LB_FT, 0.00001), Form::decimal(unit::KG_M, 0.00001));

/// The inputs that describe the filler and the work.
pub(super) const INPUTS: [Input; 15] = [
    Input::name("process", Need::Optional, "process; gives a deposition efficiency"),
    Input::optional("deposition_efficiency", Kind::Percent, "metal deposited over filler bought, instead of a process; with a stub that of the electrode without it")
        .also(&["efficiency", "ee"]),
    Input::optional("electrode_length", Kind::Length, "length of a stick electrode, with stub"),
    Input::optional("stub", Kind::Length, "stub thrown away").also(&["stub_loss", "stub_length"]),
    Input::optional("wire_diameter", Kind::Length, "wire diameter").also(&["wire", "diameter"]),
    Input::optional("wire_feed", Kind::Speed, "wire feed speed").also(&["wfs", "wire_feed_speed"]),
    Input::optional("deposition_rate", Kind::MassRate, "net deposition rate, instead of wire and feed").also(&["rate"]),
    Input::optional("operating_factor", Kind::Percent, "arc time over clock time; manual 5 to 30 %, semi-automatic 10 to 60 %")
        .also(&["of", "duty"]),
    Input::optional("gas_flow", Kind::Flow, "shielding gas flow").also(&["gas"]),
    Input::optional("filler_price", Kind::MoneyPerMass, "price of filler").also(&["wire_price", "electrode_price"]),
    Input::optional("gas_price", Kind::MoneyPerVolume, "price of gas"),
    Input::optional("labor_rate", Kind::MoneyRate, "labour and overhead per hour").also(&["labour", "labor", "labour_rate", "hourly_rate"]),
    Input::defaulted("density", Kind::Density, "7850 kg/m3", "density of the metal"),
    Input::optional("break_even_price", Kind::Money, "price of equipment to be earned back").also(&["equipment_price"]),
    Input::optional("compared_cost", Kind::MoneyPerMass, "cost per mass of the process it replaces"),
];

/// Mass per length of a wire.
#[must_use]
pub fn wire_mass(diameter: Length, density: Density) -> LinearDensity {
    diameter * diameter * density * (std::f64::consts::PI / 4.0)
}

/// Wire melted per time.
#[must_use]
pub fn melt_off(diameter: Length, feed: Speed, density: Density) -> MassRate {
    wire_mass(diameter, density) * feed
}

/// Efficiency of a stick electrode with the stub counted.
///
/// # Errors
/// If the stub is not shorter than the electrode.
pub fn with_stub(efficiency: Percent, electrode: Length, stub: Length) -> Result<Percent, Trouble> {
    if stub.si() < 0.0 || stub >= electrode {
        return Err(Trouble::impossible(
            "the stub is not between zero and the electrode length",
            "check stub and electrode_length",
        ));
    }
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
    /// Density.
    pub(super) density: Density,
}

/// Density as given, or that of steel.
pub(super) fn density(given: &Given) -> Result<Density, Trouble> {
    given::positive("density", given.or("density", Density::of(7850.0, unit::KG_M3))?)
}

/// Reads filler and work.
///
/// # Errors
/// If a share is not between zero and one, or one of a pair is missing.
pub(super) fn read(given: &Given) -> Result<Work, Trouble> {
    let density = density(given)?;
    let entered: Option<Percent> = given.maybe("deposition_efficiency")?;
    let mut efficiency = match entered {
        Some(share) => Some(share_of("deposition_efficiency", share)?),
        None => look_up::process(given)?.and_then(process::Process::deposition_efficiency),
    };
    if given.has("electrode_length") || given.has("stub") {
        // The process value already holds a stub; taking both counts it twice.
        given.require(&["electrode_length", "stub", "deposition_efficiency"])?;
        let length = given::positive("electrode_length", given.need("electrode_length")?)?;
        efficiency = efficiency.map(|e| with_stub(e, length, given.need("stub")?)).transpose()?;
    }
    let melt = if given.has("wire_diameter") || given.has("wire_feed") {
        given.require(&["wire_diameter", "wire_feed"])?;
        let diameter = given::positive("wire_diameter", given.need("wire_diameter")?)?;
        let feed = given::positive("wire_feed", given.need("wire_feed")?)?;
        Some((melt_off(diameter, feed, density), wire_mass(diameter, density)))
    } else {
        None
    };
    let rate = match (given.maybe::<MassRate>("deposition_rate")?, melt, efficiency) {
        (Some(rate), ..) => Some(given::positive("deposition_rate", rate)?),
        (None, Some((melted, _)), Some(share)) => Some(melted * share.si()),
        _ => None,
    };
    let operating_factor = given
        .maybe::<Percent>("operating_factor")?
        .map(|share| share_of("operating_factor", share))
        .transpose()?;
    Ok(Work { efficiency, melt, rate, operating_factor, density })
}

fn share_of(input: &'static str, share: Percent) -> Result<Percent, Trouble> {
    given::positive(input, share)?;
    given::within(input, share, unit::PCT, 0.0..=100.0, BALANCE)?;
    Ok(share)
}

/// A range of shares in words; where both ends round to one figure, that one.
fn band(low: Percent, high: Percent) -> String {
    let (low, high) = (format!("{:.0}", 100.0 * low.si()), format!("{:.0}", 100.0 * high.si()));
    if low == high { format!("about {low} %") } else { format!("{low} to {high} %") }
}

/// Warns where the efficiency entered is none the process named with it has.
fn outside_published(given: &Given, entered: Percent, answer: &mut Answer) -> Result<(), Trouble> {
    let Some(process) = look_up::process(given)? else { return Ok(()) };
    let Some((low, high)) = process.deposition_range() else { return Ok(()) };
    // Half a per cent of room: the tables print whole ones.
    if entered.si() < low.si() - 0.005 || entered.si() > high.si() + 0.005 {
        answer.warn(format!(
            "The deposition efficiency entered is used; {} has {} in published tables.",
            process.title,
            band(low, high)
        ));
    }
    Ok(())
}

/// Gives efficiency, melt-off and deposition rate.
pub(super) fn put_rates(given: &Given, work: &Work, answer: &mut Answer) -> Result<(), Trouble> {
    if let Some(share) = work.efficiency {
        answer.put("efficiency", share);
        if given.has("stub") {
            answer.formula(
                "efficiency",
                "deposition_efficiency x (electrode_length - stub) / electrode_length",
            );
            answer.source("efficiency", STUB);
        } else if let Some(entered) = given.maybe::<Percent>("deposition_efficiency")? {
            answer.source("efficiency", Source::entered("deposition efficiency"));
            outside_published(given, entered, answer)?;
        } else if let Some(process) = look_up::process(given)?
            && let Some((low, high)) = process.deposition_range()
        {
            answer.note(format!(
                "Published deposition efficiency of {} is {}; {:.0} % is used: replace it with the shop's own.",
                process.title,
                band(low, high),
                100.0 * share.si()
            ));
        }
    }
    if let Some((melted, wire)) = work.melt {
        answer.put("wire_mass", wire);
        answer.put("melt_off", melted);
    }
    if let Some(rate) = work.rate {
        answer.put("rate", rate);
        if given.has("deposition_rate") {
            answer.source("rate", Source::entered("net deposition rate"));
        }
    }
    Ok(())
}

/// What depositing a mass takes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Deposit {
    /// Metal deposited.
    pub(super) mass: Mass,
    /// Filler bought.
    pub(super) filler: Option<Mass>,
    /// Arc-on time.
    pub(super) arc_time: Option<Time>,
    /// Time by the clock.
    pub(super) clock_time: Option<Time>,
    /// Shielding gas.
    pub(super) gas: Option<Volume>,
}

/// Filler, time and gas of a mass.
pub(super) fn deposit(given: &Given, work: &Work, mass: Mass) -> Result<Deposit, Trouble> {
    let arc_time = work.rate.map(|rate| mass / rate);
    let flow = given.maybe::<Flow>("gas_flow")?.map(|f| given::positive("gas_flow", f)).transpose()?;
    Ok(Deposit {
        mass,
        filler: work.efficiency.map(|share| mass / share.si()),
        arc_time,
        clock_time: arc_time.zip(work.operating_factor).map(|(time, share)| time / share.si()),
        gas: arc_time.zip(flow).map(|(time, flow)| flow * time),
    })
}

/// Money for a deposit: labour, filler, gas, where the prices and quantities
/// are there.
pub(super) struct Bill {
    /// Labour and overhead.
    pub(super) labor: Option<Money>,
    /// Filler.
    pub(super) filler: Option<Money>,
    /// Gas.
    pub(super) gas: Option<Money>,
}

impl Bill {
    /// The bill of a deposit.
    pub(super) fn of(given: &Given, deposit: &Deposit) -> Result<Self, Trouble> {
        let labor: Option<MoneyRate> = given.maybe("labor_rate")?;
        let filler: Option<MoneyPerMass> = given.maybe("filler_price")?;
        let gas: Option<MoneyPerVolume> = given.maybe("gas_price")?;
        Ok(Self {
            labor: labor.zip(deposit.clock_time).map(|(p, t)| Money::from_si(p.si() * t.si())),
            filler: filler.zip(deposit.filler).map(|(p, m)| Money::from_si(p.si() * m.si())),
            gas: gas.zip(deposit.gas).map(|(p, v)| Money::from_si(p.si() * v.si())),
        })
    }

    /// The sum, if there is anything to add.
    pub(super) fn total(&self) -> Option<Money> {
        let parts = [self.labor, self.filler, self.gas];
        if parts.iter().all(Option::is_none) {
            return None;
        }
        Some(Money::from_si(parts.iter().flatten().map(|m| m.si()).sum()))
    }
}
