//! Weld metal of a joint, with filler, time, gas and cost; and the same per
//! mass deposited.

use super::deposition::{BALANCE, CUBIC_FEET, Filling, Rates, TIMES, WIRE};
use super::groove::{AREA, Read, Shape, Weld};
use super::look_up::apart;
use crate::figure::prelude::*;
use crate::reference::process;

/// Parts of a cost, a digit finer than their sum, so that what is shown adds up.
const PART: Style = Style::single(Form::decimal(unit::MONEY, 0.001));
/// The same by mass.
const PART_PER_MASS: Style = Style::single(Form::decimal(unit::PER_LB, 0.001));
const COST: Source = Source::handbook("Welding Handbook", "cost of labour, filler and gas");

family! {
    pub WELD_METAL = "weld-metal" in Welding:
        "weld metal of a fillet or groove weld: mass, filler, gas, time and cost";
    also "weld-volume", "filler", "filler-metal", "consumables";
    reads WeldMetal {
        ..shape: Shape;
        ..filling: Filling;
        optional length: Length in ABOVE_ZERO, "length of weld", "seam_length", "weld_length", "l";
        optional tube_od: Length in ABOVE_ZERO, "diameter of a seam round a tube, instead of length", "od",
            "seam_diameter";
        default welds: Number = "1" in ABOVE_ZERO.whole(), "number of equal welds", "count", "number", "quantity";
        fallback joint: Weld = "fillet if a leg or throat is given", "kind of weld", "type", "kind",
            "joint_type", "weld_type", "weld";
    }
    gives WeldMetalAnswer {
        area_opening: Area, "area of the root opening", "root_opening x thickness", AREA;
        area_triangles: Area, "area of the preparation, or of the flat fillet",
            "V: (t-f)^2 tan(angle/2); bevel: (t-f)^2 tan(angle)/2; U, with h = t-f: (h-r)^2 tan(angle/2) + 2 r (h-r) + pi r^2/2; J: half of it, at its own angle; fillet: leg x leg_2 / 2; double: two of half the depth",
            AREA;
        area_cap: Area, "area of the cap or reinforcement",
            "2/3 width x cap_height; fillet: share of the flat area", AREA;
        groove_width: Length, "width at the surface",
            "V: R + 2 (t-f) tan(angle/2); bevel: R + (t-f) tan(angle); U: R + 2 r + 2 (t-f-r) tan(angle/2)",
            AREA;
        area: Area, "weld cross-section", "sum of the parts", AREA;
        mass_per_length: LinearDensity, "weld metal per length", "area x density", AREA;
        length: Length, "length of weld", "length x welds, or pi x tube_od x welds", AREA;
        mass: Mass, "weld metal", "area x length x density", AREA;
        efficiency: Percent, "deposition efficiency", "by process", process::DEPOSITION_SOURCE;
        filler: Mass, "filler to buy", "mass / efficiency", BALANCE => .up();
        wire_mass: LinearDensity, "wire mass per length", "pi/4 D^2 x density", BALANCE => .style(WIRE);
        melt_off: MassRate, "wire melted per time", "pi/4 D^2 x wire_feed x density", BALANCE;
        rate: MassRate, "net deposition rate", "melt_off x efficiency", BALANCE;
        travel_speed: Speed, "travel speed of one run", "rate / mass_per_length", TIMES => .range(
            "the whole cross-section in one run");
        arc_time: Time, "arc time", "mass / rate", TIMES => .up();
        clock_time: Time, "time by the clock", "arc_time / operating_factor", TIMES => .up();
        gas: Volume, "shielding gas", "gas_flow x arc_time", TIMES => .style(CUBIC_FEET).up();
        labor_cost: Money, "labour and overhead", "labor_rate x clock_time", COST => .style(PART);
        filler_cost: Money, "filler", "filler_price x filler", COST => .style(PART);
        gas_cost: Money, "gas", "gas_price x gas", COST => .style(PART);
        cost: Money, "cost", "sum of the parts priced", COST;
    }
    asked mass, mass_per_length;
    example "leg=\"3/16 in\" length=\"36 in\" process=GMAW wire_diameter=\"0.035 in\" wire_feed=\"300 in/min\" operating_factor=\"30 %\" gas_flow=\"35 ft3/h\"";
    by run
}

family! {
    pub DEPOSITION = "deposition" in Welding:
        "melt-off and deposition rate of a wire, and cost per mass deposited";
    also "deposition-rate", "melt-off", "electrode-efficiency", "welding-cost";
    reads Deposition {
        ..filling: Filling;
        optional mass: Mass in ABOVE_ZERO, "weld metal to deposit", "weld_metal";
        optional break_even_price: Money in ABOVE_ZERO, "price of equipment to be earned back",
            "equipment_price";
        optional compared_cost: MoneyPerMass, "cost per mass of the process it replaces";
    }
    rules { together(break_even_price, compared_cost); }
    gives DepositionAnswer {
        efficiency: Percent, "deposition efficiency", "by process", process::DEPOSITION_SOURCE;
        wire_mass: LinearDensity, "wire mass per length", "pi/4 D^2 x density", BALANCE => .style(WIRE);
        melt_off: MassRate, "wire melted per time", "pi/4 D^2 x wire_feed x density", BALANCE;
        rate: MassRate, "net deposition rate", "melt_off x efficiency", BALANCE;
        filler: Mass, "filler to buy", "mass / efficiency", BALANCE => .up();
        arc_time: Time, "arc time", "mass / rate", TIMES => .up();
        clock_time: Time, "time by the clock", "arc_time / operating_factor", TIMES => .up();
        gas: Volume, "shielding gas", "gas_flow x arc_time", TIMES => .style(CUBIC_FEET).up();
        labor_per_mass: MoneyPerMass, "labour per mass deposited", "labor_rate / (rate x operating_factor)",
            COST => .style(PART_PER_MASS);
        filler_per_mass: MoneyPerMass, "filler per mass deposited", "filler_price / efficiency", COST => .style(PART_PER_MASS);
        gas_per_mass: MoneyPerMass, "gas per mass deposited", "gas_price x gas_flow / rate", COST => .style(PART_PER_MASS);
        cost_per_mass: MoneyPerMass, "cost per mass deposited", "sum of the parts priced", COST;
        break_even_mass: Mass, "weld metal that earns the equipment back",
            "break_even_price / (compared_cost - cost_per_mass)", COST;
        break_even_time: Time, "time by the clock until then", "break_even_mass / (rate x operating_factor)",
            COST;
    }
    asked rate, efficiency;
    example "process=GMAW wire_diameter=\"0.035 in\" wire_feed=\"300 in/min\" operating_factor=\"30 %\" labor_rate=\"45 /h\" filler_price=\"1.78 /lb\"";
    by per_mass
}

fn run(given: &WeldMetal, answer: &mut WeldMetalAnswer) -> Result<()> {
    let read = given.shape.read(*given.joint)?;
    let work = given.filling.read()?;
    match &read {
        Read::Area(_) => {}
        Read::Fillet(section) => {
            answer.area_triangles.put(section.triangles);
            if section.cap.si() > 0.0 {
                answer.area_cap.put(section.cap);
            }
        }
        Read::Groove(section) => {
            answer.area_opening.put(section.opening);
            answer.area_triangles.put(section.triangles);
            answer.area_cap.put(section.cap);
            answer.groove_width.put(section.width);
        }
    }
    let area = read.total();
    let per_length = area * work.density;
    answer.area.put(area);
    answer.mass_per_length.put(per_length);
    let round = given.tube_od.map(|od| od * PI);
    if let (Some(length), Some(round)) = (*given.length, round)
        && apart(length, round)
    {
        answer.warn("Both length and tube_od were given: the length was used, not pi x tube_od.");
    }
    given.filling.put_rates(
        &work,
        Rates {
            efficiency: &mut answer.efficiency,
            wire_mass: &mut answer.wire_mass,
            melt_off: &mut answer.melt_off,
            rate: &mut answer.rate,
            said: &mut answer.said,
        },
    );
    let Some(length) = given.length.or(round).map(|length| length * given.welds.si()) else {
        answer.warn("No length was given: mass, time and cost are left out.");
        return Ok(());
    };
    let deposit = given.filling.deposit(&work, per_length * length);
    answer.length.put(length);
    answer.mass.put(deposit.mass);
    answer.filler.put_some(deposit.filler);
    answer.travel_speed.put_some(work.rate.map(|rate| Speed::from_si(rate.si() / per_length.si())));
    answer.arc_time.put_some(deposit.arc_time);
    answer.clock_time.put_some(deposit.clock_time);
    answer.gas.put_some(deposit.gas);
    let bill = given.filling.bill(&deposit);
    answer.labor_cost.put_some(bill.labor);
    answer.filler_cost.put_some(bill.filler);
    answer.gas_cost.put_some(bill.gas);
    answer.cost.put_some(bill.total());
    given.filling.unpriced(&bill, &mut answer.said);
    Ok(())
}

fn per_mass(given: &Deposition, answer: &mut DepositionAnswer) -> Result<()> {
    let work = given.filling.read()?;
    if work.rate.is_none() && work.melt.is_none() && work.efficiency.is_none() {
        return Err(Trouble::Missing(vec!["wire_diameter", "wire_feed", "process"]));
    }
    given.filling.put_rates(
        &work,
        Rates {
            efficiency: &mut answer.efficiency,
            wire_mass: &mut answer.wire_mass,
            melt_off: &mut answer.melt_off,
            rate: &mut answer.rate,
            said: &mut answer.said,
        },
    );
    if let Some(mass) = *given.mass {
        let deposit = given.filling.deposit(&work, mass);
        answer.filler.put_some(deposit.filler);
        answer.arc_time.put_some(deposit.arc_time);
        answer.clock_time.put_some(deposit.clock_time);
        answer.gas.put_some(deposit.gas);
    }
    let one = Mass::from_si(1.0);
    let deposit = given.filling.deposit(&work, one);
    let bill = given.filling.bill(&deposit);
    let price = |money: Money| MoneyPerMass::from_si(money.si());
    answer.labor_per_mass.put_some(bill.labor.map(price));
    answer.filler_per_mass.put_some(bill.filler.map(price));
    answer.gas_per_mass.put_some(bill.gas.map(price));
    given.filling.unpriced(&bill, &mut answer.said);
    let Some(total) = bill.total() else { return Ok(()) };
    answer.cost_per_mass.put(price(total));
    if let (Some(investment), Some(compared)) = (*given.break_even_price, *given.compared_cost) {
        let saving = compared - price(total);
        (saving.si() <= 0.0).refuse(
            "this process costs no less than the one it replaces, so it never earns the equipment back",
            "check compared_cost and the prices",
        )?;
        let mass = Mass::from_si(investment.si() / saving.si());
        answer.break_even_mass.put(mass);
        answer.break_even_time.put_some(deposit.clock_time.map(|clock| clock * (mass / one).value));
    }
    Ok(())
}
