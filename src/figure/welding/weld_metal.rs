//! Weld metal of a joint, with filler, time, gas and cost; and the same per
//! mass deposited.

use super::deposition::{self, BALANCE, Bill, CUBIC_FEET, TIMES, WIRE};
use super::groove::{self, AREA, Read};
use super::look_up;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::{Dimensioned, Kind, Length, Mass, Money, MoneyPerMass, Number, Speed};
use crate::reference::process;
use crate::source::Source;

const COST: Source = Source::handbook("Welding Handbook", "cost of labour, filler and gas");

use deposition::INPUTS as D;
use groove::INPUTS as G;

/// Weld metal of a joint.
pub static WELD_METAL: Family = Family {
    name: "weld-metal",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "weld metal of a fillet or groove weld: mass, filler, gas, time and cost",
    inputs: &[
        G[0],
        G[1],
        G[2],
        G[3],
        G[4],
        G[5],
        G[6],
        G[7],
        G[8],
        G[9],
        G[10],
        G[11],
        G[12],
        Input::optional("length", Kind::Length, "length of weld").also(&["seam_length", "weld_length", "l"]),
        Input::optional("tube_od", Kind::Length, "diameter of a seam round a tube, instead of length")
            .also(&["od", "seam_diameter"]),
        Input::defaulted("welds", Kind::Number, "1", "number of equal welds")
            .also(&["count", "number", "quantity"]),
        D[0],
        D[1],
        D[2],
        D[3],
        D[4],
        D[5],
        D[6],
        D[7],
        D[8],
        D[9],
        D[10],
        D[11],
        D[12],
    ],
    outputs: &[
        Output::new("area_opening", "area of the root opening", Kind::Area, "root_opening x thickness", AREA),
        Output::new(
            "area_triangles",
            "area of the preparation, or of the flat fillet",
            Kind::Area,
            "V: (t-f)^2 tan(angle/2); bevel: (t-f)^2 tan(angle)/2; U, with h = t-f: (h-r)^2 tan(angle/2) + 2 r (h-r) + pi r^2/2; J: half of it, at its own angle; fillet: leg x leg_2 / 2; double: two of half the depth",
            AREA,
        ),
        Output::new(
            "area_cap",
            "area of the cap or reinforcement",
            Kind::Area,
            "2/3 width x cap_height; fillet: share of the flat area",
            AREA,
        ),
        Output::new(
            "groove_width",
            "width at the surface",
            Kind::Length,
            "V: R + 2 (t-f) tan(angle/2); bevel: R + (t-f) tan(angle); U: R + 2 r + 2 (t-f-r) tan(angle/2)",
            AREA,
        ),
        Output::new("area", "weld cross-section", Kind::Area, "sum of the parts", AREA),
        Output::new("mass_per_length", "weld metal per length", Kind::LinearDensity, "area x density", AREA),
        Output::new(
            "length",
            "length of weld",
            Kind::Length,
            "length x welds, or pi x tube_od x welds",
            AREA,
        ),
        Output::new("mass", "weld metal", Kind::Mass, "area x length x density", AREA),
        Output::new(
            "efficiency",
            "deposition efficiency",
            Kind::Percent,
            "by process",
            process::DEPOSITION_SOURCE,
        ),
        Output::new("filler", "filler to buy", Kind::Mass, "mass / efficiency", BALANCE).up(),
        Output::new("wire_mass", "wire mass per length", Kind::LinearDensity, "pi/4 D^2 x density", BALANCE)
            .style(WIRE),
        Output::new(
            "melt_off",
            "wire melted per time",
            Kind::MassRate,
            "pi/4 D^2 x wire_feed x density",
            BALANCE,
        ),
        Output::new("rate", "net deposition rate", Kind::MassRate, "melt_off x efficiency", BALANCE),
        Output::new("travel_speed", "travel speed of one run", Kind::Speed, "rate / mass_per_length", TIMES)
            .range("the whole cross-section in one run"),
        Output::new("arc_time", "arc time", Kind::Time, "mass / rate", TIMES).up(),
        Output::new("clock_time", "time by the clock", Kind::Time, "arc_time / operating_factor", TIMES).up(),
        Output::new("gas", "shielding gas", Kind::Volume, "gas_flow x arc_time", TIMES)
            .style(CUBIC_FEET)
            .up(),
        Output::new("labor_cost", "labour and overhead", Kind::Money, "labor_rate x clock_time", COST),
        Output::new("filler_cost", "filler", Kind::Money, "filler_price x filler", COST),
        Output::new("gas_cost", "gas", Kind::Money, "gas_price x gas", COST),
        Output::new("cost", "cost", Kind::Money, "sum of the parts priced", COST),
    ],
    example: "leg=\"3/16 in\" length=\"36 in\" process=GMAW wire_diameter=\"0.035 in\" wire_feed=\"300 in/min\" operating_factor=\"30 %\" gas_flow=\"35 ft3/h\"",
    run,
};

/// Deposition and cost per mass, without a joint.
pub static DEPOSITION: Family = Family {
    name: "deposition",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "melt-off and deposition rate of a wire, and cost per mass deposited",
    inputs: &[
        D[0],
        D[1],
        D[2],
        D[3],
        D[4],
        D[5],
        D[6],
        D[7],
        D[8],
        D[9],
        D[10],
        D[11],
        D[12],
        D[13],
        D[14],
        Input::optional("mass", Kind::Mass, "weld metal to deposit").also(&["weld_metal"]),
    ],
    outputs: &[
        Output::new(
            "efficiency",
            "deposition efficiency",
            Kind::Percent,
            "by process",
            process::DEPOSITION_SOURCE,
        ),
        Output::new("wire_mass", "wire mass per length", Kind::LinearDensity, "pi/4 D^2 x density", BALANCE)
            .style(WIRE),
        Output::new(
            "melt_off",
            "wire melted per time",
            Kind::MassRate,
            "pi/4 D^2 x wire_feed x density",
            BALANCE,
        ),
        Output::new("rate", "net deposition rate", Kind::MassRate, "melt_off x efficiency", BALANCE),
        Output::new("filler", "filler to buy", Kind::Mass, "mass / efficiency", BALANCE).up(),
        Output::new("arc_time", "arc time", Kind::Time, "mass / rate", TIMES).up(),
        Output::new("clock_time", "time by the clock", Kind::Time, "arc_time / operating_factor", TIMES).up(),
        Output::new("gas", "shielding gas", Kind::Volume, "gas_flow x arc_time", TIMES)
            .style(CUBIC_FEET)
            .up(),
        Output::new(
            "labor_per_mass",
            "labour per mass deposited",
            Kind::MoneyPerMass,
            "labor_rate / (rate x operating_factor)",
            COST,
        ),
        Output::new(
            "filler_per_mass",
            "filler per mass deposited",
            Kind::MoneyPerMass,
            "filler_price / efficiency",
            COST,
        ),
        Output::new(
            "gas_per_mass",
            "gas per mass deposited",
            Kind::MoneyPerMass,
            "gas_price x gas_flow / rate",
            COST,
        ),
        Output::new(
            "cost_per_mass",
            "cost per mass deposited",
            Kind::MoneyPerMass,
            "sum of the parts priced",
            COST,
        ),
        Output::new(
            "break_even_mass",
            "weld metal that earns the equipment back",
            Kind::Mass,
            "break_even_price / (compared_cost - cost_per_mass)",
            COST,
        ),
        Output::new(
            "break_even_time",
            "time by the clock until then",
            Kind::Time,
            "break_even_mass / (rate x operating_factor)",
            COST,
        ),
    ],
    example: "process=GMAW wire_diameter=\"0.035 in\" wire_feed=\"300 in/min\" operating_factor=\"30 %\" labor_rate=\"45 /h\" filler_price=\"1.78 /lb\"",
    run: per_mass,
};

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let read = groove::read(given)?;
    let work = deposition::read(given)?;
    match &read {
        Read::Area(_) => {}
        Read::Fillet(section) => {
            answer.put("area_triangles", section.triangles);
            if section.cap.si() > 0.0 {
                answer.put("area_cap", section.cap);
            }
        }
        Read::Groove(section) => {
            answer.put("area_opening", section.opening);
            answer.put("area_triangles", section.triangles);
            answer.put("area_cap", section.cap);
            answer.put("groove_width", section.width);
        }
    }
    let area = read.total();
    let per_length = area * work.density;
    answer.put("area", area);
    answer.put("mass_per_length", per_length);
    let length = match (given.maybe::<Length>("length")?, given.maybe::<Length>("tube_od")?) {
        (Some(length), round) => {
            if let Some(od) = round
                && look_up::apart(length, od * std::f64::consts::PI)
            {
                answer.warn("Both length and tube_od were given: the length was used, not pi x tube_od.");
            }
            Some(given::positive("length", length)?)
        }
        (None, Some(od)) => Some(given::positive("tube_od", od)? * std::f64::consts::PI),
        (None, None) => None,
    };
    let count: Number = given::positive("welds", given.or("welds", Number::from_si(1.0))?)?;
    let Some(length) = length.map(|l| l * count.si()) else {
        deposition::put_rates(given, &work, answer)?;
        answer.warn("No length was given: mass, time and cost are left out.");
        return Ok(());
    };
    let deposit = deposition::deposit(given, &work, per_length * length)?;
    answer.put("length", length);
    answer.put("mass", deposit.mass);
    if let Some(filler) = deposit.filler {
        answer.put("filler", filler);
    }
    deposition::put_rates(given, &work, answer)?;
    if let Some(rate) = work.rate {
        answer.put("travel_speed", Speed::from_si(rate.si() / per_length.si()));
    }
    if let Some(time) = deposit.arc_time {
        answer.put("arc_time", time);
    }
    if let Some(time) = deposit.clock_time {
        answer.put("clock_time", time);
    }
    if let Some(gas) = deposit.gas {
        answer.put("gas", gas);
    }
    let bill = Bill::of(given, &deposit)?;
    for (id, money) in [("labor_cost", bill.labor), ("filler_cost", bill.filler), ("gas_cost", bill.gas)] {
        if let Some(money) = money {
            answer.put(id, money);
        }
    }
    if let Some(total) = bill.total() {
        answer.put("cost", total);
    }
    unpriced(given, &bill, answer);
    Ok(())
}

/// Warns where a price has no quantity to go with it.
fn unpriced(given: &Given, bill: &Bill, answer: &mut Answer) {
    for (price, part, needs) in [
        ("labor_rate", bill.labor, "a deposition rate and operating_factor"),
        ("filler_price", bill.filler, "process or deposition_efficiency"),
        ("gas_price", bill.gas, "gas_flow and a deposition rate"),
    ] {
        if given.has(price) && part.is_none() {
            answer.warn(format!("{price} is not in the cost: it needs {needs}."));
        }
    }
}

fn per_mass(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let work = deposition::read(given)?;
    if work.rate.is_none() && work.melt.is_none() && work.efficiency.is_none() {
        return Err(Trouble::Missing(vec!["wire_diameter", "wire_feed", "process"]));
    }
    deposition::put_rates(given, &work, answer)?;
    if let Some(mass) = given.maybe::<Mass>("mass")? {
        let deposit = deposition::deposit(given, &work, given::positive("mass", mass)?)?;
        if let Some(filler) = deposit.filler {
            answer.put("filler", filler);
        }
        if let Some(time) = deposit.arc_time {
            answer.put("arc_time", time);
        }
        if let Some(time) = deposit.clock_time {
            answer.put("clock_time", time);
        }
        if let Some(gas) = deposit.gas {
            answer.put("gas", gas);
        }
    }
    let one = Mass::from_si(1.0);
    let deposit = deposition::deposit(given, &work, one)?;
    let bill = Bill::of(given, &deposit)?;
    let price = |money: Money| MoneyPerMass::from_si(money.si());
    for (id, money) in
        [("labor_per_mass", bill.labor), ("filler_per_mass", bill.filler), ("gas_per_mass", bill.gas)]
    {
        if let Some(money) = money {
            answer.put(id, price(money));
        }
    }
    unpriced(given, &bill, answer);
    let Some(total) = bill.total() else { return Ok(()) };
    answer.put("cost_per_mass", price(total));
    if given.has("break_even_price") || given.has("compared_cost") {
        given.require(&["break_even_price", "compared_cost"])?;
        let compared: MoneyPerMass = given.need("compared_cost")?;
        let saving = compared - price(total);
        if saving.si() <= 0.0 {
            return Err(Trouble::impossible(
                "this process costs no less than the one it replaces, so it never earns the equipment back",
                "check compared_cost and the prices",
            ));
        }
        let investment: Money = given::positive("break_even_price", given.need("break_even_price")?)?;
        let mass = Mass::from_si(investment.si() / saving.si());
        answer.put("break_even_mass", mass);
        if let Some(clock) = deposit.clock_time {
            answer.put("break_even_time", clock * (mass / one).value);
        }
    }
    Ok(())
}
