//! The preheat that governs when several methods speak.

use super::code_temperature::{CATEGORY, CONTROL, style};
use super::column::Column;
use super::look_up::{Filler, Process, thickest};
use super::parent_metal::{self, Metal, Parent};
use super::preheat::MethodB;
use super::preheat_category::{Category, Told, past_composition, rests_on, warmed};
use super::preheat_combined_thickness::Joint;
use super::preheat_hydrogen_control::{Level, Restraint};
use super::{
    carbon_equivalent, preheat, preheat_category, preheat_combined_thickness, preheat_guide,
    preheat_hydrogen_control as control,
};
use crate::figure::prelude::*;
use crate::figure::usual::{EQUIVALENT, HEAT_INPUT, HYDROGEN, PLATE, TOGETHER};
use crate::quantity::show::PREHEAT;

const PROCEDURE: Source = Source::entered("minimum of the welding procedure");
const MAKER: Source = Source::entered("minimum the maker asks for");
/// Word where every method that spoke asks for none.
pub const NONE: &str = "none asks for preheat";
/// Word where the methods that speak are for milder steel, and those that go by the
/// composition end before this one.
pub const NOT_PROVEN: &str = "not proven";
const COLD: Source =
    Source::standard("AWS D1.1:2020", "table 5.8: metal below 32 degF is warmed to 70 degF and held")
        .from_memory();
const HIGHEST: Source = Source::practice("the highest minimum of the methods that apply governs");

family! {
    pub PREHEAT_GOVERNS = "preheat-governs" in Welding:
        "minimum preheat by every method whose inputs are given, and which one governs";
    also "governing-preheat", "preheat-all", "preheat-compare";
    reads PreheatGoverns {
        ..metal: Parent;
        optional cet: MassFraction in EQUIVALENT, "CET, for method B";
        optional ce: MassFraction in EQUIVALENT, "CE (IIW), for method A", "cev", "ce_iiw";
        optional pcm: MassFraction in EQUIVALENT, "Pcm, for hydrogen control";
        optional thickness: Length in PLATE, "thickest part at the weld", "d", "t";
        optional thickness_2: Length in PLATE, "other part, for combined thickness", "t2";
        optional joint: Joint, "kind of joint, for combined thickness";
        flag twin: bool, "two fillets made at the same time";
        optional combined_thickness: Length in TOGETHER, "combined thickness, for method A", "combined";
        optional hydrogen: Hydrogen in HYDROGEN, "diffusible hydrogen", "hd", "h";
        optional hydrogen_level: Level, "hydrogen level of the hydrogen-control method", "level";
        optional electrode: Filler, "filler classification", "filler", "classification";
        optional process: Process, "process, for the category";
        optional low_hydrogen: bool, "the electrode is low-hydrogen, for the category";
        optional heat_input: HeatInput in HEAT_INPUT, "heat input with k", "q";
        optional category: Category, "category of AWS D1.1";
        optional restraint: Restraint, "restraint, for hydrogen control";
        optional procedure_minimum: Temperature, "minimum of the welding procedure", "wps", "wps_minimum";
        optional maker_minimum: Temperature, "minimum the maker of the steel or filler asks for", "manufacturer",
            "manufacturer_minimum";
        optional interpass_max: Temperature, "highest interpass temperature allowed", "interpass_maximum";
        default ambient: Temperature = "20 degC", "temperature of the metal before welding", "metal_temperature";
        default table: Column = Inch,
            "column of the code's table; at the bench that of the units the thickness is written in", "units",
            "column";
    }
    gives PreheatGovernsAnswer {
        method_b: Temperature, "EN 1011-2 method B", "see preheat", preheat::METHOD_B => .style(PREHEAT);
        method_a: String, "EN 1011-2 method A", "see preheat-combined-thickness",
            preheat_combined_thickness::TABLE
            => .claims(&["no preheat"]);
        category_minimum: Temperature, "AWS D1.1 category", "see preheat-category", preheat_category::TABLE =>
            .style(style(CATEGORY, 5.0));
        hydrogen_control: Temperature, "AWS D1.1 hydrogen control", "see preheat-hydrogen-control",
            control::TABLE => .style(style(CONTROL, 5.0));
        guide: Temperature, "4130 tube guide", "see preheat-guide", preheat_guide::TUBE_4130 => .style(PREHEAT);
        methods: Vec<String>, "every method", "its temperature, or why it gives none", HIGHEST;
        preheat: Temperature, "governing minimum preheat and interpass temperature",
            "the highest of the methods", HIGHEST => .style(PREHEAT);
        governs: String, "method that governs", "the highest of the methods", HIGHEST
            => .claims(&[NONE]);
    }
    asked preheat, governs;
    example "steel=A36 thickness=\"1 in\" hydrogen=\"8 ml/100g\" heat_input=\"1.3 kJ/mm\" process=GMAW restraint=medium";
    by run
}

/// What one method says.
enum Says {
    /// A minimum temperature.
    Minimum(Temperature),
    /// No preheat.
    Nothing,
    /// It has to be looked at further.
    Assess,
}

type Asked = Result<Says>;

type Given = PreheatGoverns;

fn method_b(given: &Given, metal: Option<&Metal>, said: &mut Said) -> Asked {
    let cet = parent_metal::index(&given.cet, metal, carbon_equivalent::cet, said)?;
    if let (Some(metal), false) = (metal, given.cet.given()) {
        carbon_equivalent::warn_outside(said, "CET", &carbon_equivalent::outside_cet(&metal.composition));
    }
    require(&[&given.thickness, &given.heat_input])?;
    let hydrogen = preheat::hydrogen(&given.hydrogen, &given.electrode, said)?;
    let (thickness, heat_input) = (given.thickness.need()?, given.heat_input.need()?);
    let computed = MethodB { cet, thickness, hydrogen, heat_input }.shares()?.temperature();
    Ok(if computed > *given.ambient { Says::Minimum(computed) } else { Says::Nothing })
}

fn method_a(given: &Given, metal: Option<&Metal>, said: &mut Said) -> Asked {
    let ce = parent_metal::index(&given.ce, metal, carbon_equivalent::ce, said)?;
    let sizes = [&given.thickness, &given.thickness_2];
    let thickness = preheat_combined_thickness::combined_thickness(
        &given.combined_thickness,
        &given.joint,
        sizes,
        &given.twin,
    )?;
    let hydrogen = preheat::hydrogen(&given.hydrogen, &given.electrode, &mut Said::default())?;
    let reading = preheat_combined_thickness::table_c1(ce, hydrogen, given.heat_input.need()?)?;
    let needed = preheat_combined_thickness::needs_preheat(thickness, &reading);
    Ok(if needed { Says::Assess } else { Says::Nothing })
}

fn category(given: &Given, metal: Option<&Metal>) -> Asked {
    let category = Told {
        category: &given.category,
        process: &given.process,
        electrode: &given.electrode,
        low_hydrogen: &given.low_hydrogen,
    }
    .category(metal)?;
    if let Some(hydrogen) = *given.hydrogen {
        rests_on(category, hydrogen)?;
    }
    let thickest = thickest(&given.thickness, given.thickness.need()?);
    preheat_category::minimum(category, thickest, *given.table).map(Says::Minimum)
}

/// 4130 tube is outside the code tables and mostly thinner than method B takes.
fn guide(given: &Given, metal: Option<&Metal>) -> Asked {
    let tube = metal.and_then(|m| m.steel).is_some_and(|s| s.name.starts_with("4130"));
    (!tube).refuse("there is no guide for this metal", "")?;
    let range = preheat_guide::tube_4130(thickest(&given.thickness, given.thickness.need()?));
    Ok(range.map_or(Says::Nothing, |(low, _)| Says::Minimum(low)))
}

fn hydrogen_control(given: &Given, metal: Option<&Metal>, said: &mut Said) -> Asked {
    require(&[&given.restraint, &given.thickness])?;
    let pcm = parent_metal::index(&given.pcm, metal, carbon_equivalent::pcm, said)?;
    let hydrogen =
        control::hydrogen(&given.hydrogen, &given.hydrogen_level, &given.electrode, &mut Said::default())?;
    // Past method B and past the letter table the index alone asks for less than
    // method B does at its end.
    let cet = given.cet.or(metal.map(|m| carbon_equivalent::cet(&m.composition)));
    if cet.is_some_and(|cet| cet.to(unit::PCT_MASS) > 0.50 + 1e-9) {
        within(0.0, 0.38, unit::PCT_MASS, control::TABLE).check("pcm", pcm.into())?;
    }
    let (by_formula, by_table) = control::groups((pcm, &given.pcm), (hydrogen, &given.hydrogen))?;
    let group = control::higher(by_formula, by_table);
    let minimum = control::minimum(
        given.restraint.need()?,
        thickest(&given.thickness, given.thickness.need()?),
        group,
        *given.table,
    )?;
    Ok(minimum.map_or(Says::Nothing, Says::Minimum))
}

fn entered(minimum: &Read<Option<Temperature>>) -> Asked {
    minimum.need().map(Says::Minimum)
}

/// What every method says, each at its place.
type Methods = [Method; 7];

fn run(given: &Given, answer: &mut PreheatGovernsAnswer) -> Result<()> {
    let metal = given.metal.read(true, &mut answer.said)?;
    let metal = metal.as_ref();
    let mut asked = ask_all(given, metal, &mut answer.said);
    answer.method_b.put_some(asked.first().and_then(Method::minimum));
    // The rows of a table are read at the worst of what was stated; a formula is
    // raised by its expanded uncertainty.
    if let Some(Method { says: Ok(Says::Minimum(by_formula)), .. }) = asked.first_mut() {
        *by_formula = Temperature::from_si(by_formula.si() + answer.method_b.expanded().si());
    }
    indices_for_nothing(given, &asked, answer);
    let beyond = beyond(given, metal);
    let highest = highest(&asked);
    let mild = highest.is_none_or(|(method, _)| method.source == preheat_category::TABLE);
    let unproven = beyond.clone().filter(|_| mild).or_else(|| wet(given).filter(|_| highest.is_none()));
    each_by_itself(&asked, unproven.is_none(), answer);
    if let Some(why) = unproven {
        return not_proven(&asked, &why, answer);
    }
    if asked.iter().all(|m| m.says.is_err()) {
        return Err(telling(asked));
    }
    in_words(&asked, answer);
    match highest {
        Some((method, temperature)) => {
            let alone = beyond.filter(|_| [PROCEDURE, MAKER].contains(&method.source));
            governed(given, (method, temperature), alone, answer);
        }
        None => no_minimum(given, &asked, answer),
    }
    Ok(())
}

/// Every method, with the inputs that are given.
fn ask_all(given: &Given, metal: Option<&Metal>, said: &mut Said) -> Methods {
    let method = |name, source, says| Method { name, source, says };
    [
        method("EN 1011-2 method B", preheat::METHOD_B, method_b(given, metal, said)),
        method("EN 1011-2 method A", preheat_combined_thickness::TABLE, method_a(given, metal, said)),
        method("AWS D1.1 category", preheat_category::TABLE, category(given, metal)),
        method("AWS D1.1 hydrogen control", control::TABLE, hydrogen_control(given, metal, said)),
        method("4130 tube guide", preheat_guide::TUBE_4130, guide(given, metal)),
        method("welding procedure", PROCEDURE, entered(&given.procedure_minimum)),
        method("maker", MAKER, entered(&given.maker_minimum)),
    ]
}

/// Warns of an index that was given and that no minimum rests on.
fn indices_for_nothing(given: &Given, asked: &Methods, answer: &mut PreheatGovernsAnswer) {
    let [b, a, _, by_hydrogen, ..] = asked;
    for (name, stated, method) in
        [("cet", given.cet.given(), b), ("ce", given.ce.given(), a), ("pcm", given.pcm.given(), by_hydrogen)]
    {
        if let (true, Err(Trouble::Missing(lacks))) = (stated, &method.says) {
            answer.said.warn(format!(
                "{name} was given and no minimum rests on it: {} still needs {}.",
                method.name,
                lacks.join(", ")
            ));
        }
    }
}

/// What each method says by itself; a category for milder steel is none.
fn each_by_itself(asked: &Methods, proven: bool, answer: &mut PreheatGovernsAnswer) {
    let [_, a, by_category, by_hydrogen, guide, ..] = asked;
    if proven {
        answer.category_minimum.put_some(by_category.minimum());
        answer.category_minimum.fixed();
    }
    answer.hydrogen_control.put_some(by_hydrogen.minimum());
    answer.hydrogen_control.fixed();
    answer.guide.put_some(guide.minimum());
    answer.guide.fixed();
    match a.says {
        Ok(Says::Assess) => {
            answer.method_a.put("assess preheat".to_owned());
            answer.warn(
                "Table C.1 of method A does not allow this joint without preheat and gives no number: read its curves \
                 or rely on method B.",
            );
        }
        Ok(_) => answer.method_a.put("no preheat".to_owned()),
        Err(_) => {}
    }
}

/// The refusal that tells most: one that is not a mere lack of inputs.
fn telling(asked: Methods) -> Trouble {
    let troubles = asked.into_iter().filter_map(|m| m.says.err());
    let most = troubles.min_by_key(|t| match t {
        Trouble::OutOfRange { .. } | Trouble::Unknown { .. } => 0,
        Trouble::Missing(_) => 1,
        _ => 2,
    });
    most.unwrap_or(Trouble::Missing(vec!["steel", "thickness"]))
}

/// Every method in words, and beside another that does, those that can't speak.
fn in_words(asked: &Methods, answer: &mut PreheatGovernsAnswer) {
    answer.methods.put(asked.iter().map(|m| format!("{}: {}", m.name, m.in_words())).collect::<Vec<_>>());
    for method in asked {
        if let Err(trouble @ Trouble::OutOfRange { .. }) = &method.says {
            answer.note(format!("{} does not speak here: {trouble}.", method.name));
        }
    }
}

/// Metal below freezing is warmed, whatever the methods say.
fn warm_the_cold(answer: &mut PreheatGovernsAnswer) {
    answer.preheat.source(COLD);
    answer.preheat.style(style(CATEGORY, 5.0));
    answer.governs.put("cold metal: warmed and held".to_owned());
    answer.warn("The metal is below 32 °F (0 °C): warm it to at least 70 °F (20 °C) and hold it there during welding.");
}

/// The methods that spoke ask for none, or gave no number.
fn no_minimum(given: &Given, asked: &Methods, answer: &mut PreheatGovernsAnswer) {
    let assess = asked.iter().any(|m| matches!(m.says, Ok(Says::Assess)));
    let cold = *given.ambient < Temperature::of(32.0, unit::DEGF);
    if assess {
        answer.governs.put("to be assessed".to_owned());
    } else if cold {
        answer.preheat.put(Temperature::of(70.0, unit::DEGF));
        warm_the_cold(answer);
    } else {
        answer.governs.put(NONE.to_owned());
        answer.note("No method asks for a preheat: dry the joint, and warm the part if it is cold or damp.");
    }
}

/// The minimum that governs. `alone` says why no method proves it, where it is that of the
/// procedure or the maker only.
fn governed(
    given: &Given,
    (method, temperature): (&Method, Temperature),
    alone: Option<String>,
    answer: &mut PreheatGovernsAnswer,
) {
    let warm = warmed(temperature, Some(*given.ambient));
    answer.preheat.put(warm);
    answer.preheat.fixed();
    if let Some(why) = alone {
        answer.warn(format!(
            "The minimum is that of the {} alone, and no method proves it for this steel: {why}. See that it was qualified on this steel.",
            method.name
        ));
    }
    if warm > temperature {
        warm_the_cold(answer);
    } else {
        answer.preheat.source(method.source);
        answer.preheat.style(method.style());
        answer.governs.put(method.name.to_owned());
    }
    if method.source.from_memory {
        answer.warn("The governing value is recalled: check it against the code before relying on it.");
    }
    match *given.interpass_max {
        Some(highest) if highest <= temperature => answer.warn(
            "The governing preheat is not below the highest interpass temperature: this joint can't be welded under \
             both; ask the welding engineer.",
        ),
        Some(_) => {}
        None => answer.warn(
            "No highest interpass temperature was given: a sheet with only a minimum is incomplete, most of all for \
             quenched and tempered steel.",
        ),
    }
}

/// The highest minimum there is, with its method; of equal ones the first.
fn highest(asked: &[Method]) -> Option<(&Method, Temperature)> {
    let known = asked.iter().filter_map(|method| Some((method, method.minimum()?)));
    known.reduce(|a, b| if b.1 > a.1 { b } else { a })
}

/// Says that no method covers the steel, and what would prove a minimum: no value
/// for milder steel stands in for it.
fn not_proven(asked: &[Method], why: &str, answer: &mut PreheatGovernsAnswer) -> Result<()> {
    let in_words = |m: &Method| match &m.says {
        Ok(_) => format!("{}: for milder steel, does not count", m.name),
        Err(_) => format!("{}: {}", m.name, m.in_words()),
    };
    answer.methods.put(asked.iter().map(in_words).collect::<Vec<_>>());
    answer.governs.put(NOT_PROVEN.to_owned());
    answer.governs.formula("no method that covers this steel gives a minimum");
    answer.warn(format!(
        "The minimum preheat is not proven: {why}. What would prove it: procedure_minimum of a procedure qualified \
         on this steel, maker_minimum of its maker, or hydrogen control (composition or pcm, hydrogen, restraint, \
         thickness). A category or table for milder steel does not."
    ));
    Ok(())
}

/// What puts the steel past the methods that go by its composition, whatever
/// else they lack. A steel milder than their range is none.
fn beyond(given: &Given, metal: Option<&Metal>) -> Option<String> {
    let cet = given.cet.or(metal.map(|m| carbon_equivalent::cet(&m.composition)));
    let ce = given.ce.or(metal.map(|m| carbon_equivalent::ce(&m.composition)));
    past_composition(cet, ce)
}

/// What puts the filler past method B: the categories that ask for less rest on
/// low-hydrogen filler.
fn wet(given: &Given) -> Option<String> {
    let hydrogen =
        given.hydrogen.map(|hydrogen| hydrogen.to(unit::ML_100G)).filter(|hd| *hd > 16.0 + 1e-9)?;
    Some(format!(
        "{hydrogen} ml/100g of diffusible hydrogen is past what low-hydrogen categories rest on, H16"
    ))
}

/// A method, where it comes from and what it says.
struct Method {
    name: &'static str,
    source: Source,
    says: Asked,
}

impl Method {
    /// Its minimum, if it has one.
    fn minimum(&self) -> Option<Temperature> {
        match self.says {
            Ok(Says::Minimum(t)) => Some(t),
            _ => None,
        }
    }

    /// How its values are shown: those of a code as its own table prints them.
    fn style(&self) -> Style {
        if self.source == preheat_category::TABLE {
            style(CATEGORY, 5.0)
        } else if self.source == control::TABLE {
            style(CONTROL, 5.0)
        } else {
            PREHEAT
        }
    }

    fn in_words(&self) -> String {
        match &self.says {
            Ok(Says::Minimum(t)) => self.style().both((*t).into()),
            Ok(Says::Nothing) => "no preheat".to_owned(),
            Ok(Says::Assess) => "preheat must be assessed".to_owned(),
            Err(trouble) => format!("not used: {trouble}"),
        }
    }
}
