//! How a quantity is written on paper: the shop's unit first, SI beside it,
//! each rounded once, from the exact value, in the safe direction.

use super::{Kind, Quantity, Toward, Unit, round, unit};

/// One way of writing a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// A decimal in `unit`, a multiple of `step`.
    Decimal {
        /// Unit shown.
        unit: Unit,
        /// Smallest step shown; fixes the number of decimals.
        step: f64,
    },
    /// A decimal in `unit` with this many significant digits, zeros at its end
    /// left out; whole units are never rounded away.
    Digits {
        /// Unit shown.
        unit: Unit,
        /// Significant digits.
        digits: i32,
    },
    /// A temperature a code prints in both scales, rounded by its own hand:
    /// shown as printed there; any other value as a decimal.
    Coded {
        /// Unit shown.
        unit: Unit,
        /// Smallest step of a value that is not among them.
        step: f64,
        /// The code's values in degrees Fahrenheit and Celsius.
        pairs: &'static [(f64, f64)],
    },
    /// Inches as a fraction with this largest denominator.
    Fraction {
        /// Largest denominator: 16, 32 or 64.
        denominator: u32,
    },
}

/// Whether two numbers differ by no more than their arithmetic.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-11 * b.abs().max(0.01)
}

impl Form {
    /// Rounded to multiples of `step` in `unit`.
    #[must_use]
    pub const fn decimal(unit: Unit, step: f64) -> Self {
        Self::Decimal { unit, step }
    }

    /// Four significant digits.
    #[must_use]
    pub const fn digits(unit: Unit) -> Self {
        Self::Digits { unit, digits: 4 }
    }

    /// The same, or finer until `value` is written without a loss a person
    /// would see: half a thousandth of an inch in a fraction, half a
    /// thousandth of the value in a decimal.
    fn fine_enough(self, value: Quantity) -> Self {
        let (unit, mut step) = match self {
            Form::Fraction { denominator } => {
                let inches = value.to(unit::IN);
                let shown = round::to_step(inches, 1.0 / f64::from(denominator), Toward::Nearest);
                if (shown - inches).abs() <= 0.0005 {
                    return self;
                }
                (unit::IN, 0.001)
            }
            Form::Digits { .. } => return self,
            Form::Decimal { unit, step } | Form::Coded { unit, step, .. } => (unit, step),
        };
        let exact = value.to(unit);
        // Three further digits are more than any input on a shop's paper has.
        for _ in 0..3 {
            let shown = round::to_step(exact, step, Toward::Nearest);
            if (shown - exact).abs() <= 0.0005 * exact.abs() {
                break;
            }
            step /= 10.0;
        }
        Form::Decimal { unit, step }
    }

    /// Share of the value that is lost where it is written so, rounded down.
    fn loses(self, value: Quantity) -> f64 {
        let (unit, step) = match self {
            Form::Fraction { denominator } => (unit::IN, 1.0 / f64::from(denominator)),
            Form::Digits { .. } => return 0.0,
            Form::Decimal { unit, step } | Form::Coded { unit, step, .. } => (unit, step),
        };
        let exact = value.to(unit);
        (exact - round::to_step(exact, step, Toward::Down)).abs() / exact.abs()
    }

    /// Whether nothing of the value is lost where it is written so.
    fn is_exact(self, value: Quantity) -> bool {
        let (unit, step) = match self {
            Form::Fraction { denominator } => (unit::IN, 1.0 / f64::from(denominator)),
            // So many digits are what its kind is known to.
            Form::Digits { .. } => return true,
            Form::Decimal { unit, step } | Form::Coded { unit, step, .. } => (unit, step),
        };
        let exact = value.to(unit);
        same(round::to_step(exact, step, Toward::Nearest), exact)
    }

    /// The decimal form that loses nothing, if six decimals are enough for it.
    fn to_the_last_digit(self, value: Quantity) -> Option<Self> {
        let unit = match self {
            Form::Fraction { .. } => unit::IN,
            Form::Decimal { unit, .. } => unit,
            Form::Digits { .. } | Form::Coded { .. } => return None,
        };
        let exact = value.to(unit);
        [0.1, 0.01, 0.001, 1e-4, 1e-5, 1e-6]
            .into_iter()
            .find(|step| same(round::to_step(exact, *step, Toward::Nearest), exact))
            .map(|step| Form::Decimal { unit, step })
    }

    /// The form beside `first`. A temperature that is round in one scale is not round in
    /// the other: there it is written to the degree, 70 degF as 22 degC, not as 25.
    fn beside(self, first: Self, value: Quantity) -> Self {
        match self {
            Form::Decimal { unit, step }
                if step > 1.0 && value.kind() == Kind::Temperature && first.is_exact(value) =>
            {
                Form::Decimal { unit, step: 1.0 }
            }
            form => form,
        }
    }

    fn three_digits(self) -> Self {
        match self {
            Form::Fraction { .. } => self,
            Form::Decimal { unit, .. } | Form::Digits { unit, .. } | Form::Coded { unit, .. } => {
                Form::Digits { unit, digits: 3 }
            }
        }
    }

    /// Writes the value, rounded `toward`.
    #[must_use]
    pub fn write(self, value: Quantity, toward: Toward) -> String {
        if !value.si().is_finite() {
            return "not finite".to_owned();
        }
        match self {
            Form::Decimal { unit, step } => {
                let rounded = round::to_step(value.to(unit), step, toward);
                with_unit(&decimal(rounded, decimals(step)), unit.symbol)
            }
            Form::Digits { unit, digits } => {
                with_unit(&significant(value.to(unit), digits, toward), unit.symbol)
            }
            Form::Coded { unit, step, pairs } => match coded(value, pairs) {
                Some((fahrenheit, _)) if unit == unit::DEGF => {
                    with_unit(&decimal(fahrenheit, 0), unit.symbol)
                }
                Some((_, celsius)) => with_unit(&decimal(celsius, 0), unit.symbol),
                None => Form::Decimal { unit, step }.write(value, toward),
            },
            Form::Fraction { denominator } => {
                format!("{} in", fraction(value.to(unit::IN), denominator, toward))
            }
        }
    }
}

/// How a kind of figure is shown: shop unit first, SI second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Style {
    /// Written first.
    pub shop: Form,
    /// Written second, in brackets, unless it is the same.
    pub si: Option<Form>,
    /// Safe direction.
    pub toward: Toward,
}

impl Style {
    /// A style with two forms, rounded to the nearest.
    #[must_use]
    pub const fn pair(shop: Form, si: Form) -> Self {
        Self { shop, si: Some(si), toward: Toward::Nearest }
    }

    /// A style with one form.
    #[must_use]
    pub const fn single(form: Form) -> Self {
        Self { shop: form, si: None, toward: Toward::Nearest }
    }

    /// The same, never shown above the exact value.
    #[must_use]
    pub const fn down(mut self) -> Self {
        self.toward = Toward::Down;
        self
    }

    /// The same, never shown below the exact value.
    #[must_use]
    pub const fn up(mut self) -> Self {
        self.toward = Toward::Up;
        self
    }

    /// The same with fractions no finer than this denominator; the safe direction
    /// stays.
    #[must_use]
    pub fn no_finer(mut self, denominator: u32) -> Self {
        for form in [Some(&mut self.shop), self.si.as_mut()].into_iter().flatten() {
            if let Form::Fraction { denominator: fine } = form {
                *fine = (*fine).min(denominator);
            }
        }
        self
    }

    /// The shop form alone.
    #[must_use]
    pub fn shop(self, value: Quantity) -> String {
        self.shop.write(value, self.toward)
    }

    /// The SI form alone, or the shop form if there is only one.
    #[must_use]
    pub fn si(self, value: Quantity) -> String {
        self.si.unwrap_or(self.shop).write(value, self.toward)
    }

    /// Both: `9/32 in (7.1 mm)`.
    #[must_use]
    pub fn both(self, value: Quantity) -> String {
        let shop = self.shop(value);
        match self.si {
            Some(si) => format!("{shop} ({})", si.beside(self.shop, value).write(value, self.toward)),
            None => shop,
        }
    }

    /// The same, or finer, so that `value` is shown as it was given. For inputs
    /// only: a result keeps the step that suits it.
    #[must_use]
    pub fn fine_enough(self, value: Quantity) -> Self {
        Self {
            shop: self.shop.fine_enough(value),
            si: self.si.map(|form| form.fine_enough(value)),
            toward: self.toward,
        }
    }

    /// The same, finer only in a form that would lose more than a tenth of `value`: for a
    /// tolerance, which is converted no finer than the box it belongs to.
    #[must_use]
    pub fn near_enough(self, value: Quantity) -> Self {
        let form = |form: Form| if form.loses(value) > 0.1 { form.fine_enough(value) } else { form };
        Self { shop: form(self.shop), si: self.si.map(form), toward: self.toward }
    }

    /// The same, and with every digit `value` was written with, in the unit in which
    /// it has few: 48.1235 in and 48.12345 in are two lengths.
    #[must_use]
    pub fn as_given(self, value: Quantity) -> Self {
        let fine = self.fine_enough(value);
        if fine.shop.is_exact(value) || fine.si.is_some_and(|form| form.is_exact(value)) {
            return fine;
        }
        if let Some(form) = fine.shop.to_the_last_digit(value) {
            return Self { shop: form, ..fine };
        }
        match fine.si.and_then(|form| form.to_the_last_digit(value)) {
            Some(form) => Self { si: Some(form), ..fine },
            None => fine,
        }
    }

    /// The same with three digits, whole units kept: for an example, which nobody
    /// measured.
    #[must_use]
    pub fn as_example(self) -> Self {
        Self { shop: self.shop.three_digits(), si: self.si.map(Form::three_digits), ..self }
    }

    /// Whether a change by `by` is worth a word beside `value`: more than a
    /// hundredth of the last digit shown.
    #[must_use]
    pub fn shows_change(&self, value: Quantity, by: Quantity) -> bool {
        let step = match self.shop {
            Form::Decimal { unit, step } | Form::Coded { unit, step, .. } => {
                step / unit.difference_from_si(1.0)
            }
            Form::Fraction { denominator } => 1.0 / f64::from(denominator) / unit::IN.difference_from_si(1.0),
            Form::Digits { digits, .. } => value.si().abs() * libm::pow(10.0, f64::from(-digits)),
        };
        by.si().abs() > 0.01 * step
    }

    /// Whether it shows two units.
    #[must_use]
    pub const fn is_pair(&self) -> bool {
        self.si.is_some()
    }

    /// With SI first, for a shop that works metric.
    #[must_use]
    pub const fn metric_first(self) -> Self {
        match self.si {
            Some(si) => Self { shop: si, si: Some(self.shop), toward: self.toward },
            None => self,
        }
    }

    /// The usual style of a kind; a figure may set a finer or coarser one.
    #[must_use]
    pub const fn of(kind: Kind) -> Self {
        use Form as F;
        match kind {
            Kind::Number => Self::single(F::decimal(unit::ONE, 0.001)),
            Kind::Length => LENGTH,
            Kind::Angle => Self::single(F::decimal(unit::DEG, 0.1)),
            Kind::Area => Self::pair(F::decimal(unit::IN2_AREA, 0.0001), F::decimal(unit::MM2, 0.1)),
            Kind::Volume => Self::pair(F::decimal(unit::FT3, 0.1), F::decimal(unit::L, 1.0)),
            Kind::SecondMoment => Self::pair(F::decimal(unit::IN4, 0.001), F::decimal(unit::MM4, 1.0)),
            Kind::Mass => Self::pair(F::decimal(unit::LB, 0.01), F::decimal(unit::KG, 0.01)),
            Kind::LinearDensity => Self::pair(F::decimal(unit::LB_FT, 0.001), F::decimal(unit::KG_M, 0.001)),
            Kind::Density => Self::single(F::decimal(unit::KG_M3, 1.0)),
            Kind::Time => Self::single(F::decimal(unit::MINUTE, 0.1)),
            Kind::Temperature => Self::pair(F::decimal(unit::DEGF, 1.0), F::decimal(unit::DEGC, 1.0)),
            Kind::TemperatureRise => {
                Self::pair(F::decimal(unit::DEGF_RISE, 1.0), F::decimal(unit::KELVIN_RISE, 1.0))
            }
            Kind::Force => Self::pair(F::decimal(unit::LBF, 10.0), F::decimal(unit::KN, 0.01)),
            Kind::Stress => Self::pair(F::digits(unit::KSI), F::digits(unit::MPA)),
            Kind::Torque => Self::pair(F::decimal(unit::LBF_FT, 1.0), F::decimal(unit::N_M, 1.0)),
            Kind::Energy => Self::single(F::decimal(unit::KJ, 0.1)),
            Kind::Power => Self::single(F::decimal(unit::KW, 0.01)),
            Kind::HeatInput => Self::pair(F::decimal(unit::KJ_IN, 0.1), F::decimal(unit::KJ_MM, 0.01)),
            Kind::LineForce => {
                Self::pair(F::decimal(unit::LBF_PER_IN, 10.0), F::decimal(unit::N_PER_MM, 1.0))
            }
            Kind::SpringRate => {
                Self::pair(F::decimal(unit::RATE_LBF_IN, 1.0), F::decimal(unit::RATE_N_MM, 0.1))
            }
            Kind::AngularStiffness => {
                Self::pair(F::decimal(unit::LBF_FT_DEG, 1.0), F::decimal(unit::N_M_RAD, 10.0))
            }
            Kind::Speed => Self::pair(F::decimal(unit::IN_MIN, 0.1), F::decimal(unit::MM_MIN, 1.0)),
            Kind::RotationSpeed => Self::single(F::decimal(unit::RPM, 1.0)),
            Kind::AngularAcceleration => Self::single(F::decimal(unit::RAD_S2, 1.0)),
            Kind::Acceleration => Self::single(F::decimal(unit::GRAVITY, 0.01)),
            Kind::Current => Self::single(F::decimal(unit::A, 1.0)),
            Kind::Voltage => Self::single(F::decimal(unit::V, 0.1)),
            Kind::Flow => Self::pair(F::decimal(unit::FT3_H, 1.0), F::decimal(unit::L_MIN, 0.1)),
            Kind::MassRate => Self::pair(F::decimal(unit::LB_H, 0.01), F::decimal(unit::KG_H, 0.01)),
            Kind::Hydrogen => Self::single(F::decimal(unit::ML_100G, 0.1)),
            Kind::MassFraction => Self::single(F::decimal(unit::PCT_MASS, 0.001)),
            Kind::Percent => Self::single(F::decimal(unit::PCT, 0.1)),
            Kind::Compliance => Self::single(F::decimal(unit::MM_PER_N, 1e-9)),
            Kind::Curvature => Self::single(F::decimal(unit::PER_MM, 1e-9)),
            Kind::Conductivity => Self::single(F::decimal(unit::W_M_K, 0.1)),
            Kind::HeatCapacity => Self::single(F::decimal(unit::J_MM3_K, 1e-5)),
            Kind::MeltingHeat => Self::single(F::decimal(unit::J_PER_MM3, 0.1)),
            Kind::CoolingRate => Self::single(F::decimal(unit::K_S, 0.1)),
            Kind::AnglePerLength => {
                Self::pair(F::decimal(unit::DEG_PER_IN, 0.001), F::decimal(unit::DEG_PER_MM, 0.0001))
            }
            Kind::Money => Self::single(F::decimal(unit::MONEY, 0.01)),
            Kind::MoneyRate => Self::single(F::decimal(unit::PER_HOUR, 0.01)),
            Kind::MoneyPerMass => Self::single(F::decimal(unit::PER_LB, 0.01)),
            Kind::MoneyPerVolume => Self::single(F::decimal(unit::PER_FT3, 0.001)),
        }
    }
}

/// A length laid off with a tape: nearest 1/32 in; in millimetres to 0.1, so that it
/// reads as the same length.
pub const TAPE: Style = Style::pair(Form::Fraction { denominator: 32 }, Form::decimal(unit::MM, 0.1));
/// A length laid off with a rule: nearest 1/64 in and 0.1 mm.
pub const LENGTH: Style = Style::pair(Form::Fraction { denominator: 64 }, Form::decimal(unit::MM, 0.1));
/// A length measured with a gauge: 0.001 in and 0.01 mm.
pub const GAUGE: Style = Style::pair(Form::decimal(unit::IN, 0.001), Form::decimal(unit::MM, 0.01));
/// A length laid off with a steel rule: its marks, 1/64 in and half a millimetre.
pub const RULE: Style = Style::pair(Form::Fraction { denominator: 64 }, Form::decimal(unit::MM, 0.5));
/// An angle to the resolution of a digital angle finder.
pub const ANGLE: Style = Style::single(Form::decimal(unit::DEG, 0.1));
/// An angle to a hundredth, for small differences.
pub const FINE_ANGLE: Style = Style::single(Form::decimal(unit::DEG, 0.01));
/// How a limit that stands as `text` is written: in thousandths it is read with a
/// gauge, not a tape. `metric` says that millimetres come first: from three up a metric
/// tape is read in whole ones, 3 mm and not 3.1 mm for 1/8 in (common practice).
#[must_use]
pub fn limit(value: Quantity, text: &str, metric: bool) -> Style {
    if value.kind() == Kind::Length && text.contains('.') { GAUGE } else { on_tape(value, metric) }
}

/// How a limit somebody reads on a tape is written; of another kind as usual.
#[must_use]
pub fn on_tape(value: Quantity, metric: bool) -> Style {
    let usual = Style::of(value.kind());
    if metric && value.kind() == Kind::Length && value.si().abs() >= unit::MM.to_si(3.0) {
        return Style { si: Some(Form::decimal(unit::MM, 1.0)), ..usual };
    }
    usual
}

/// A load as a scale shows it, in whole pounds or kilograms.
pub const SCALE: Style = Style::pair(Form::decimal(unit::LB, 1.0), Form::decimal(unit::KG, 1.0));
/// Short times.
pub const SECONDS: Style = Style::single(Form::decimal(unit::SECOND, 0.1));
/// A preheat: up to the next 5 degrees.
pub const PREHEAT: Style = Style::pair(Form::decimal(unit::DEGF, 5.0), Form::decimal(unit::DEGC, 5.0)).up();

/// Decimals needed to write multiples of `step`.
fn decimals(step: f64) -> usize {
    (0..12)
        .find(|n| {
            let scaled = step * libm::pow(10.0, f64::from(*n));
            (scaled - scaled.round()).abs() < 1e-9 * scaled.max(1.0) && scaled >= 0.999_999
        })
        .map_or(12, |n| usize::try_from(n).unwrap_or(0))
}

/// A decimal of so many significant digits, without zeros at its end.
fn significant(value: f64, digits: i32, toward: Toward) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let place = libm::floor(libm::log10(value.abs())) - f64::from(digits) + 1.0;
    let step = libm::pow(10.0, place.clamp(-9.0, 0.0));
    let text = decimal(round::to_step(value, step, toward), decimals(step));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// The pair a temperature is exactly one of.
fn coded(value: Quantity, pairs: &[(f64, f64)]) -> Option<(f64, f64)> {
    if value.kind() != Kind::Temperature {
        return None;
    }
    let (fahrenheit, celsius) = (value.to(unit::DEGF), value.to(unit::DEGC));
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    pairs
        .iter()
        .find(|(f, _)| near(*f, fahrenheit))
        .or_else(|| pairs.iter().find(|(_, c)| near(*c, celsius)))
        .copied()
}

/// A decimal with a real minus sign.
#[must_use]
pub fn decimal(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().any(|b| (b'1'..=b'9').contains(&b)) => format!("−{rest}"),
        Some(rest) => rest.to_owned(),
        None => text,
    }
}

/// Number and unit, with the space the unit wants.
fn with_unit(number: &str, symbol: &str) -> String {
    match symbol {
        "" => number.to_owned(),
        "deg" => format!("{number}°"),
        "%" => format!("{number} %"),
        "degF" => format!("{number} °F"),
        "degC" => format!("{number} °C"),
        _ if symbol.starts_with('/') => format!("{number}{symbol}"),
        _ => format!("{number} {symbol}"),
    }
}

/// Inches as a reduced fraction: `2-5/16`, `9/32`, `3`, `0`.
#[must_use]
pub fn fraction(inches: f64, denominator: u32, toward: Toward) -> String {
    let rounded = round::to_step(inches, 1.0 / f64::from(denominator), toward);
    let sign = if rounded < 0.0 { "−" } else { "" };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number of 64ths of a shop length, not negative"
    )]
    let parts = (rounded.abs() * f64::from(denominator)).round() as u64;
    let denominator = u64::from(denominator);
    let (whole, mut top, mut bottom) = (parts / denominator, parts % denominator, denominator);
    while top != 0 && top % 2 == 0 {
        top /= 2;
        bottom /= 2;
    }
    match (whole, top) {
        (whole, 0) => format!("{sign}{whole}"),
        (0, top) => format!("{sign}{top}/{bottom}"),
        (whole, top) => format!("{sign}{whole}-{top}/{bottom}"),
    }
}

/// An expanded uncertainty in the shop unit of `style`, rounded up to two
/// significant figures.
#[must_use]
pub fn uncertainty(expanded: Quantity, style: Option<Style>) -> String {
    let style = style.unwrap_or_else(|| Style::of(expanded.kind()));
    let unit = match style.shop {
        Form::Decimal { unit, .. } | Form::Digits { unit, .. } | Form::Coded { unit, .. } => unit,
        Form::Fraction { .. } => unit::IN,
    };
    let value = unit.difference_from_si(expanded.si());
    if value <= 0.0 || !value.is_finite() {
        return with_unit("0", unit.symbol);
    }
    let step = libm::pow(10.0, libm::floor(libm::log10(value)) - 1.0);
    let rounded = round::to_step(value, step, Toward::Up);
    with_unit(&decimal(rounded, decimals(step)), unit.symbol)
}
