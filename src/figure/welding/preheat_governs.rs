//! The preheat that governs when several methods speak.

use super::code_temperature::{CATEGORY, CONTROL, EITHER, style};
use super::column::{COLUMN, Column};
use super::parent_metal::{self, Metal, with_metal};
use super::preheat::MethodB;
use super::{
    carbon_equivalent, look_up, preheat, preheat_category, preheat_combined_thickness, preheat_guide,
    preheat_hydrogen_control,
};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::PREHEAT;
use crate::quantity::{Dimensioned, Hydrogen, Kind, MassFraction, Style, Temperature, unit};
use crate::source::Source;

const PROCEDURE: Source = Source::entered("minimum of the welding procedure");
const MAKER: Source = Source::entered("minimum the maker asks for");
/// Word where every method that spoke asks for none.
pub const NONE: &str = "none asks for preheat";
const HIGHEST: Source = Source::practice("the highest minimum of the methods that apply governs");

/// Governing preheat.
pub static PREHEAT_GOVERNS: Family = Family {
    name: "preheat-governs",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "minimum preheat by every method whose inputs are given, and which one governs",
    inputs: with_metal![
        Input::optional("cet", Kind::MassFraction, "CET, for method B"),
        Input::optional("ce", Kind::MassFraction, "CE (IIW), for method A").also(&["cev", "ce_iiw"]),
        Input::optional("pcm", Kind::MassFraction, "Pcm, for hydrogen control"),
        Input::optional("thickness", Kind::Length, "thickest part at the weld").also(&["d", "t"]),
        Input::optional("thickness_2", Kind::Length, "other part, for combined thickness").also(&["t2"]),
        Input::choice(
            "joint",
            preheat_combined_thickness::JOINTS,
            Need::Optional,
            "kind of joint, for combined thickness"
        ),
        Input::flag("twin", "two fillets made at the same time"),
        Input::optional("combined_thickness", Kind::Length, "combined thickness, for method A")
            .also(&["combined"]),
        Input::optional("hydrogen", Kind::Hydrogen, "diffusible hydrogen").also(&["hd", "h"]),
        Input::choice(
            "hydrogen_level",
            &["H1", "H2", "H3"],
            Need::Optional,
            "hydrogen level of the hydrogen-control method"
        )
        .also(&["level"]),
        Input::name("electrode", Need::Optional, "filler classification").also(&["filler", "classification"]),
        Input::name("process", Need::Optional, "process, for the category"),
        Input::flag("low_hydrogen", "the electrode is low-hydrogen, for the category"),
        Input::optional("heat_input", Kind::HeatInput, "heat input with k").also(&["q"]),
        Input::choice("category", &["A", "B", "C", "D"], Need::Optional, "category of AWS D1.1"),
        Input::choice(
            "restraint",
            &["low", "medium", "high"],
            Need::Optional,
            "restraint, for hydrogen control"
        ),
        Input::optional("procedure_minimum", Kind::Temperature, "minimum of the welding procedure")
            .also(&["wps", "wps_minimum"]),
        Input::optional(
            "maker_minimum",
            Kind::Temperature,
            "minimum the maker of the steel or filler asks for"
        )
        .also(&["manufacturer", "manufacturer_minimum"]),
        Input::optional("interpass_max", Kind::Temperature, "highest interpass temperature allowed")
            .also(&["interpass_maximum"]),
        Input::defaulted("ambient", Kind::Temperature, "20 degC", "temperature of the metal before welding")
            .also(&["metal_temperature"]),
        COLUMN,
    ],
    outputs: &[
        Output::new("method_b", "EN 1011-2 method B", Kind::Temperature, "see preheat", preheat::METHOD_B)
            .style(PREHEAT),
        Output::word(
            "method_a",
            "EN 1011-2 method A",
            "see preheat-combined-thickness",
            preheat_combined_thickness::TABLE,
        ),
        Output::new(
            "category_minimum",
            "AWS D1.1 category",
            Kind::Temperature,
            "see preheat-category",
            preheat_category::TABLE,
        )
        .style(style(CATEGORY, 5.0)),
        Output::new(
            "hydrogen_control",
            "AWS D1.1 hydrogen control",
            Kind::Temperature,
            "see preheat-hydrogen-control",
            preheat_hydrogen_control::TABLE,
        )
        .style(style(CONTROL, 5.0)),
        Output::new(
            "guide",
            "4130 tube guide",
            Kind::Temperature,
            "see preheat-guide",
            preheat_guide::TUBE_4130,
        )
        .style(PREHEAT),
        Output::words("methods", "every method", "its temperature, or why it gives none", HIGHEST),
        Output::new(
            "preheat",
            "governing minimum preheat and interpass temperature",
            Kind::Temperature,
            "the highest of the methods",
            HIGHEST,
        )
        .style(PREHEAT),
        Output::word("governs", "method that governs", "the highest of the methods", HIGHEST),
    ],
    example: "steel=A36 thickness=\"1 in\" hydrogen=\"8 ml/100g\" heat_input=\"1.3 kJ/mm\" process=GMAW restraint=medium",
    run,
};

/// What one method says.
enum Says {
    /// A minimum temperature.
    Minimum(Temperature),
    /// No preheat.
    Nothing,
    /// It has to be looked at further.
    Assess,
}

type Asked = Result<Says, Trouble>;

fn method_b(given: &Given, metal: Option<&Metal>, answer: &mut Answer) -> Asked {
    let cet = parent_metal::index(given, "cet", metal, carbon_equivalent::cet, answer)?;
    if let (Some(metal), false) = (metal, given.has("cet")) {
        let outside = carbon_equivalent::outside_cet(&metal.composition);
        carbon_equivalent::warn_outside(answer, "CET", &outside);
    }
    given.require(&["thickness", "heat_input"])?;
    let method = MethodB {
        cet,
        thickness: given.need("thickness")?,
        hydrogen: preheat::hydrogen(given, answer)?,
        heat_input: given.need("heat_input")?,
    };
    let computed = method.shares()?.temperature();
    Ok(if computed > preheat::ambient(given)? { Says::Minimum(computed) } else { Says::Nothing })
}

fn method_a(given: &Given, metal: Option<&Metal>, answer: &mut Answer) -> Asked {
    let ce = parent_metal::index(given, "ce", metal, carbon_equivalent::ce, answer)?;
    let thickness = preheat_combined_thickness::combined_thickness(given)?;
    let hydrogen = preheat::hydrogen(given, &mut Answer::default())?;
    let reading = preheat_combined_thickness::table_c1(ce, hydrogen, given.need("heat_input")?)?;
    let needed = preheat_combined_thickness::needs_preheat(thickness, &reading);
    Ok(if needed { Says::Assess } else { Says::Nothing })
}

fn category(given: &Given, metal: Option<&Metal>) -> Asked {
    let category = preheat_category::category(given, metal)?;
    if let ("D", Some(hydrogen)) = (category, given.maybe::<Hydrogen>("hydrogen")?) {
        given::within("hydrogen", hydrogen, unit::ML_100G, 0.0..=8.0, preheat_category::TABLE)?;
    }
    let column = Column::read(given, "thickness")?;
    preheat_category::minimum(category, given.need("thickness")?, column).map(Says::Minimum)
}

/// 4130 tube is outside the code tables and mostly thinner than method B takes.
fn guide(given: &Given, metal: Option<&Metal>) -> Asked {
    let tube = metal.and_then(|m| m.steel).is_some_and(|s| s.name.starts_with("4130"));
    if !tube {
        return Err(Trouble::impossible("there is no guide for this metal", ""));
    }
    let range = preheat_guide::tube_4130(given.need("thickness")?);
    Ok(range.map_or(Says::Nothing, |(low, _)| Says::Minimum(low)))
}

fn hydrogen_control(given: &Given, metal: Option<&Metal>, answer: &mut Answer) -> Asked {
    given.require(&["restraint", "thickness"])?;
    let pcm = parent_metal::index(given, "pcm", metal, carbon_equivalent::pcm, answer)?;
    let hydrogen = preheat_hydrogen_control::hydrogen(given, &mut Answer::default())?;
    let by_formula =
        preheat_hydrogen_control::group_of(preheat_hydrogen_control::susceptibility_index(pcm, hydrogen))?;
    let group =
        preheat_hydrogen_control::higher(by_formula, preheat_hydrogen_control::table_group(pcm, hydrogen));
    let column = Column::read(given, "thickness")?;
    let minimum =
        preheat_hydrogen_control::minimum(given.word("restraint")?, given.need("thickness")?, group, column)?;
    Ok(minimum.map_or(Says::Nothing, Says::Minimum))
}

fn entered(given: &Given, name: &'static str) -> Asked {
    given.maybe(name)?.map(Says::Minimum).ok_or(Trouble::Missing(vec![name]))
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let metal = parent_metal::read(given, "", answer)?;
    let metal = metal.as_ref();
    // A name nobody knows is refused, and not left to the methods to be silent.
    look_up::filler(given)?;
    look_up::process(given)?;
    let b = method_b(given, metal, answer);
    let a = method_a(given, metal, answer);
    let by_category = category(given, metal);
    let by_hydrogen = hydrogen_control(given, metal, answer);
    if let Ok(Says::Minimum(t)) = &b {
        answer.put("method_b", *t);
    }
    match &a {
        Ok(Says::Assess) => {
            answer.put_word("method_a", "assess preheat");
            answer.warn(
                "Table C.1 of method A does not allow this joint without preheat and gives no number: read its curves \
                 or rely on method B.",
            );
        }
        Ok(_) => answer.put_word("method_a", "no preheat"),
        Err(_) => {}
    }
    if let Ok(Says::Minimum(t)) = &by_category {
        answer.put("category_minimum", *t);
    }
    if let Ok(Says::Minimum(t)) = &by_hydrogen {
        answer.put("hydrogen_control", *t);
    }
    let guide = guide(given, metal);
    if let Ok(Says::Minimum(t)) = &guide {
        answer.put("guide", *t);
    }
    let asked = [
        Method { name: "EN 1011-2 method B", source: preheat::METHOD_B, says: b },
        Method { name: "EN 1011-2 method A", source: preheat_combined_thickness::TABLE, says: a },
        Method { name: "AWS D1.1 category", source: preheat_category::TABLE, says: by_category },
        Method {
            name: "AWS D1.1 hydrogen control",
            source: preheat_hydrogen_control::TABLE,
            says: by_hydrogen,
        },
        Method { name: "4130 tube guide", source: preheat_guide::TUBE_4130, says: guide },
        Method { name: "welding procedure", source: PROCEDURE, says: entered(given, "procedure_minimum") },
        Method { name: "maker", source: MAKER, says: entered(given, "maker_minimum") },
    ];
    if asked.iter().all(|m| m.says.is_err()) {
        // A refusal that is not a mere lack of inputs tells most.
        let mut troubles: Vec<Trouble> = asked.into_iter().filter_map(|m| m.says.err()).collect();
        troubles.sort_by_key(|t| match t {
            Trouble::OutOfRange { .. } | Trouble::Unknown { .. } => 0,
            Trouble::Missing(_) => 1,
            _ => 2,
        });
        return Err(troubles.into_iter().next().unwrap_or(Trouble::Missing(vec!["steel", "thickness"])));
    }
    answer.put_words("methods", asked.iter().map(|m| format!("{}: {}", m.name, m.in_words())));
    for method in &asked {
        if let Err(trouble @ Trouble::OutOfRange { .. }) = &method.says {
            // Another method does: those that can't are named beside it.
            answer.note(format!("{} does not speak here: {trouble}.", method.name));
        }
    }
    let beyond = beyond(given, metal)?;
    let mut governing: Option<(&Method, Temperature)> = None;
    for method in &asked {
        if let Ok(Says::Minimum(t)) = method.says
            && governing.is_none_or(|(_, highest)| t > highest)
        {
            governing = Some((method, t));
        }
    }
    if let Some(why) = beyond
        && governing.is_none_or(|(method, _)| method.source == preheat_category::TABLE)
    {
        let says = match governing {
            Some((method, _)) => format!("{} is for milder steel", method.name),
            None => "no method that asks for none covers it".to_owned(),
        };
        return Err(Trouble::impossible(
            format!("the minimum preheat is not proven: {why}, and {says}"),
            "give procedure_minimum of a procedure qualified on this steel, or what hydrogen control needs",
        ));
    }
    let Some((method, temperature)) = governing else {
        if asked.iter().any(|m| matches!(m.says, Ok(Says::Assess))) {
            answer.put_word("governs", "to be assessed");
            return Ok(());
        }
        answer.put_word("governs", NONE);
        answer.note("No method asks for a preheat: dry the joint, and warm the part if it is cold or damp.");
        return Ok(());
    };
    answer.put("preheat", temperature);
    answer.source("preheat", method.source);
    if method.prints_pairs() {
        answer.style("preheat", style(EITHER, 5.0));
    }
    answer.put_word("governs", method.name);
    if method.source.from_memory {
        answer.warn("The governing value is recalled: check it against the code before relying on it.");
    }
    interpass(given, temperature, answer)
}

/// What puts the steel past the methods that go by its composition, whatever
/// else they lack. A steel milder than their range is none.
fn beyond(given: &Given, metal: Option<&Metal>) -> Result<Option<String>, Trouble> {
    let index = |name: &'static str, formula: fn(&_) -> MassFraction| -> Result<Option<f64>, Trouble> {
        let entered: Option<MassFraction> = given.maybe(name)?;
        Ok(entered.or(metal.map(|m| formula(&m.composition))).map(Dimensioned::si))
    };
    let methods = [
        ("CET", index("cet", carbon_equivalent::cet)?, 0.50, "EN 1011-2 method B"),
        ("CE", index("ce", carbon_equivalent::ce)?, 0.49, "table C.1 of EN 1011-2 method A"),
    ];
    Ok(methods.into_iter().find_map(|(symbol, value, top, method)| {
        let value = value.filter(|value| *value > top + 1e-9)?;
        Some(format!("{symbol} of {value:.2} % is past {method}, which ends at {top:.2} %"))
    }))
}

/// A method, where it comes from and what it says.
struct Method {
    name: &'static str,
    source: Source,
    says: Asked,
}

/// Holds the minimum against the highest interpass temperature.
fn interpass(given: &Given, minimum: Temperature, answer: &mut Answer) -> Result<(), Trouble> {
    match given.maybe::<Temperature>("interpass_max")? {
        Some(highest) if highest <= minimum => answer.warn(
            "The governing preheat is not below the highest interpass temperature: this joint can't be welded under \
             both; ask the welding engineer.",
        ),
        Some(_) => {}
        None => answer.warn(
            "No highest interpass temperature was given: a sheet with only a minimum is incomplete, most of all for \
             quenched and tempered steel.",
        ),
    }
    Ok(())
}

impl Method {
    /// Whether its values are those the code prints in both scales.
    fn prints_pairs(&self) -> bool {
        self.source == preheat_category::TABLE || self.source == preheat_hydrogen_control::TABLE
    }

    fn in_words(&self) -> String {
        match &self.says {
            Ok(Says::Minimum(t)) if self.prints_pairs() => style(EITHER, 1.0).both((*t).into()),
            Ok(Says::Minimum(t)) => Style::of(Kind::Temperature).up().both((*t).into()),
            Ok(Says::Nothing) => "no preheat".to_owned(),
            Ok(Says::Assess) => "preheat must be assessed".to_owned(),
            Err(trouble) => format!("not used: {trouble}"),
        }
    }
}
