//! The one table of units. A factor is kept as numerator and denominator so
//! that a conversion rounds once; all come from exact definitions.
//!
//! Sources: the inch, pound and standard gravity are exact by definition (NIST
//! SP 811, appendix B); everything else here is a product of those.

use super::Kind;

/// One unit of one kind: SI value = (value + offset) * numerator / denominator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// Kind it measures.
    pub kind: Kind,
    /// Symbol printed on pages.
    pub symbol: &'static str,
    /// Other spellings accepted in files, without spaces, in lower case where
    /// case does not matter.
    pub aliases: &'static [&'static str],
    numerator: f64,
    denominator: f64,
    offset: f64,
}

impl Unit {
    /// Converts a value in this unit to SI base units.
    #[must_use]
    pub fn to_si(self, value: f64) -> f64 {
        (value + self.offset) * self.numerator / self.denominator
    }

    /// Converts a value in SI base units to this unit.
    #[must_use]
    pub fn from_si(self, si: f64) -> f64 {
        si * self.denominator / self.numerator - self.offset
    }

    /// Whether it is a metric unit of length, as against inches and feet: the
    /// US codes carry a column of dimensions for each.
    #[must_use]
    pub fn is_metric_length(self) -> bool {
        self.kind == Kind::Length && matches!(self.symbol, "mm" | "cm" | "m" | "um" | "km")
    }

    /// Converts a difference in SI units (an uncertainty) to this unit,
    /// leaving the offset of a scale aside.
    #[must_use]
    pub fn difference_from_si(self, si: f64) -> f64 {
        si * self.denominator / self.numerator
    }
}

/// Newtons per pound-force: 0.45359237 kg times 9.80665 m/s2, exact.
const LBF_N: f64 = 4.448_221_615_260_5;
/// Degrees per half turn.
const HALF_TURN: f64 = 180.0;
/// Square inch in square metres times 10^8: 254^2 * 10^... kept as a ratio.
const IN2: (f64, f64) = (64516.0, 1e8);
/// Acceleration of free fall, exact by definition.
const G_N: f64 = 9.806_65;

macro_rules! units {
    ($($name:ident = $kind:ident, $symbol:literal, [$($alias:literal),*], $num:expr, $den:expr $(, offset $off:expr)?;)*) => {
        $(
            #[doc = concat!("`", $symbol, "`")]
            pub const $name: Unit = Unit {
                kind: Kind::$kind, symbol: $symbol, aliases: &[$($alias),*],
                numerator: $num, denominator: $den, offset: 0.0 $(+ $off)?,
            };
        )*
        /// Every unit, in the order they are offered to a person.
        pub const UNITS: &[Unit] = &[$($name,)*];
    };
}

units! {
    ONE = Number, "", ["1"], 1.0, 1.0;
    HUNDREDTH = Number, "%", ["percent"], 1.0, 100.0;
    IN = Length, "in", ["\"", "inch", "inches", "″", "”"], 254.0, 10_000.0;
    MM = Length, "mm", ["millimeter", "millimetre", "millimeters", "millimetres"], 1.0, 1000.0;
    FT = Length, "ft", ["'", "foot", "feet", "′"], 3048.0, 10_000.0;
    CM = Length, "cm", ["centimeter", "centimetre", "centimeters", "centimetres"], 1.0, 100.0;
    M = Length, "m", ["meter", "metre", "meters", "metres"], 1.0, 1.0;
    UM = Length, "um", ["µm", "μm", "micron", "microns", "micrometer", "micrometre", "micrometers", "micrometres"], 1.0, 1e6;
    MILE = Length, "mi", ["mile", "miles"], 1_609.344, 1.0;
    KM = Length, "km", [], 1000.0, 1.0;
    MIL = Length, "mil", ["mils", "thou"], 254.0, 10_000_000.0;
    DEG = Angle, "deg", ["°", "degree", "degrees"], std::f64::consts::PI, HALF_TURN;
    RAD = Angle, "rad", ["radian"], 1.0, 1.0;
    MRAD = Angle, "mrad", [], 1.0, 1000.0;
    ARCMIN = Angle, "arcmin", ["′"], std::f64::consts::PI, HALF_TURN * 60.0;
    TURN = Angle, "turn", ["turns"], 2.0 * std::f64::consts::PI, 1.0;
    IN2_AREA = Area, "in2", ["in²", "in^2", "sqin"], IN2.0, IN2.1;
    MM2 = Area, "mm2", ["mm²", "mm^2", "sqmm"], 1.0, 1e6;
    CM2 = Area, "cm2", ["cm²", "cm^2"], 1.0, 1e4;
    FT2 = Area, "ft2", ["ft²", "ft^2", "sqft"], 9_290_304.0, 1e8;
    M2 = Area, "m2", ["m²", "m^2"], 1.0, 1.0;
    IN3 = Volume, "in3", ["in³", "in^3"], 16_387_064.0, 1e12;
    FT3 = Volume, "ft3", ["ft³", "ft^3", "cuft"], 28_316_846_592.0, 1e12;
    L = Volume, "l", ["litre", "liter"], 1.0, 1000.0;
    MM3 = Volume, "mm3", ["mm³", "mm^3"], 1.0, 1e9;
    M3 = Volume, "m3", ["m³", "m^3"], 1.0, 1.0;
    IN4 = SecondMoment, "in4", ["in⁴", "in^4"], 416_231_425_600.0, 1e18;
    MM4 = SecondMoment, "mm4", ["mm⁴", "mm^4"], 1.0, 1e12;
    CM4 = SecondMoment, "cm4", ["cm⁴", "cm^4"], 1.0, 1e8;
    M4 = SecondMoment, "m4", ["m^4"], 1.0, 1.0;
    LB = Mass, "lb", ["lbs", "lbm", "pound", "pounds"], 45_359_237.0, 1e8;
    KG = Mass, "kg", [], 1.0, 1.0;
    G = Mass, "g", ["gram"], 1.0, 1000.0;
    TONNE = Mass, "t", ["tonne", "tonnes"], 1000.0, 1.0;
    OZ = Mass, "oz", ["ounce"], 45_359_237.0, 16e8;
    LB_FT = LinearDensity, "lb/ft", ["lbs/ft"], 45_359_237.0 / 3048.0, 10_000.0;
    KG_M = LinearDensity, "kg/m", [], 1.0, 1.0;
    KG_M3 = Density, "kg/m3", ["kg/m³", "kg/m^3"], 1.0, 1.0;
    G_CM3 = Density, "g/cm3", ["g/cm³", "g/cm^3", "g/cc", "kg/dm3", "kg/dm³", "kg/l", "t/m3", "t/m³"], 1000.0, 1.0;
    LB_IN3 = Density, "lb/in3", ["lb/in³", "lb/in^3"], 45_359_237.0 * 1e4, 16_387_064.0;
    LB_FT3 = Density, "lb/ft3", ["lb/ft³", "lb/ft^3", "lbs/ft3", "pcf"], 45_359_237.0 * 1e4, 28_316_846_592.0;
    SECOND = Time, "s", ["sec", "second", "seconds"], 1.0, 1.0;
    MINUTE = Time, "min", ["mins", "minute", "minutes"], 60.0, 1.0;
    HOUR = Time, "h", ["hr", "hrs", "hour", "hours"], 3600.0, 1.0;
    DAY = Time, "d", ["day", "days"], 86_400.0, 1.0;
    DEGF = Temperature, "degF", ["°f", "f°", "f", "degf", "fahrenheit", "degreef", "degreesf", "degreesfahrenheit"], 5.0, 9.0, offset 459.67;
    DEGC = Temperature, "degC", ["°c", "c°", "c", "degc", "celsius", "degreec", "degreesc", "degreescelsius"], 1.0, 1.0, offset 273.15;
    KELVIN = Temperature, "K", ["k", "kelvin"], 1.0, 1.0;
    KELVIN_RISE = TemperatureRise, "K", ["k", "degc", "°c", "c"], 1.0, 1.0;
    DEGF_RISE = TemperatureRise, "degF", ["°f", "f"], 5.0, 9.0;
    LBF = Force, "lbf", ["lb", "lbs", "pound", "pounds"], LBF_N, 1.0;
    N = Force, "N", ["n", "newton", "newtons"], 1.0, 1.0;
    KN = Force, "kN", ["kn"], 1000.0, 1.0;
    KIP = Force, "kip", ["kips", "k"], LBF_N * 1000.0, 1.0;
    KGF = Force, "kgf", [], G_N, 1.0;
    DAN = Force, "daN", ["dan"], 10.0, 1.0;
    MN = Force, "MN", ["mn"], 1e6, 1.0;
    SHORT_TON = Force, "short-ton", ["ton", "tons", "shorttons", "tonf"], LBF_N * 2000.0, 1.0;
    KSI = Stress, "ksi", ["kpsi"], LBF_N * 1e11, 64_516.0;
    MPA = Stress, "MPa", ["mpa", "n/mm2", "n/mm²"], 1e6, 1.0;
    PSI = Stress, "psi", [], LBF_N * 1e8, 64_516.0;
    GPA = Stress, "GPa", ["gpa"], 1e9, 1.0;
    MPSI = Stress, "Mpsi", ["mpsi"], LBF_N * 1e14, 64_516.0;
    KPA = Stress, "kPa", ["kpa"], 1000.0, 1.0;
    BAR = Stress, "bar", ["bars"], 1e5, 1.0;
    PA = Stress, "Pa", ["pa"], 1.0, 1.0;
    KGF_MM2 = Stress, "kgf/mm2", ["kgf/mm²", "kg/mm2"], G_N * 1e6, 1.0;
    LBF_FT = Torque, "lbf-ft", ["lbf·ft", "lb-ft", "ft-lb", "ft-lbf", "lbft", "ftlb", "ft·lb", "lb·ft", "ft-lbs", "lb-fts", "lbs-ft", "lbfft", "lbf*ft", "foot-pound", "foot-pounds", "pound-feet", "ft·lbf"], LBF_N * 3048.0, 10_000.0;
    N_M = Torque, "N·m", ["nm", "n-m", "n*m", "n.m", "n·m", "n⋅m", "newton-metre", "newton-meter"], 1.0, 1.0;
    LBF_IN = Torque, "lbf-in", ["lbf·in", "lb-in", "in-lb", "in-lbf", "lbin", "inlb", "in·lb", "lb·in", "in-lbs", "lbs-in", "lbfin", "lbf*in", "inch-pound", "inch-pounds", "pound-inches", "in·lbf"], LBF_N * 254.0, 10_000.0;
    KN_M = Torque, "kN·m", ["knm", "kn-m", "kn*m", "kn.m", "kn·m"], 1000.0, 1.0;
    N_MM = Torque, "N·mm", ["nmm", "n-mm", "n*mm", "n·mm"], 1.0, 1000.0;
    KIP_IN = Torque, "kip-in", ["kip·in", "kipin", "in-kip", "kips-in", "in-kips", "k-in", "in-k", "kip-inch", "kip-inches"], LBF_N * 254_000.0, 10_000.0;
    KIP_FT = Torque, "kip-ft", ["kip·ft", "kipft", "ft-kip", "kips-ft", "ft-kips", "k-ft", "ft-k"], LBF_N * 3_048_000.0, 10_000.0;
    KGF_M = Torque, "kgf-m", ["kgf·m", "kgfm"], G_N, 1.0;
    DAN_M = Torque, "daN·m", ["danm", "dan-m", "dan*m", "dan.m"], 10.0, 1.0;
    OZF_IN = Torque, "ozf-in", ["oz-in", "in-oz", "ozf·in", "ozin"], LBF_N * 254.0, 160_000.0;
    MJ = Energy, "MJ", ["mj"], 1e6, 1.0;
    KJ = Energy, "kJ", ["kj"], 1000.0, 1.0;
    J = Energy, "J", ["j", "joule"], 1.0, 1.0;
    KW = Power, "kW", ["kw"], 1000.0, 1.0;
    W = Power, "W", ["w", "watt", "j/s"], 1.0, 1.0;
    KJ_IN = HeatInput, "kJ/in", ["kj/in", "kj/inch"], 1e7, 254.0;
    KJ_MM = HeatInput, "kJ/mm", ["kj/mm", "mj/m"], 1e6, 1.0;
    J_IN = HeatInput, "J/in", ["j/in"], 10_000.0, 254.0;
    J_MM = HeatInput, "J/mm", ["j/mm"], 1000.0, 1.0;
    KJ_CM = HeatInput, "kJ/cm", ["kj/cm"], 1e5, 1.0;
    KJ_M = HeatInput, "kJ/m", ["kj/m"], 1000.0, 1.0;
    LBF_PER_IN = LineForce, "lbf/in", ["lb/in", "lbs/in", "pli"], LBF_N * 10_000.0, 254.0;
    N_PER_MM = LineForce, "N/mm", ["n/mm"], 1000.0, 1.0;
    KIP_PER_IN = LineForce, "kip/in", ["kips/in", "k/in"], LBF_N * 1e7, 254.0;
    KN_PER_MM = LineForce, "kN/mm", ["kn/mm"], 1e6, 1.0;
    LBF_PER_FT = LineForce, "lbf/ft", ["lb/ft", "lbs/ft", "plf"], LBF_N * 10_000.0, 3048.0;
    KIP_PER_FT = LineForce, "kip/ft", ["kips/ft", "k/ft", "klf"], LBF_N * 1e7, 3048.0;
    KN_PER_M = LineForce, "kN/m", ["kn/m"], 1000.0, 1.0;
    RATE_LBF_IN = SpringRate, "lbf/in", ["lb/in", "lbs/in"], LBF_N * 10_000.0, 254.0;
    RATE_N_MM = SpringRate, "N/mm", ["n/mm"], 1000.0, 1.0;
    RATE_KN_MM = SpringRate, "kN/mm", ["kn/mm"], 1e6, 1.0;
    RATE_KN_M = SpringRate, "kN/m", ["kn/m"], 1000.0, 1.0;
    RATE_KIP_IN = SpringRate, "kip/in", ["kips/in"], LBF_N * 1e7, 254.0;
    RATE_MLBF_IN = SpringRate, "Mlbf/in", ["mlbf/in"], LBF_N * 1e10, 254.0;
    RATE_MN_M = SpringRate, "MN/m", ["mn/m", "n/um", "n/µm", "n/μm"], 1e6, 1.0;
    RATE_N_M = SpringRate, "N/m", ["n/m"], 1.0, 1.0;
    RATE_KGF_MM = SpringRate, "kgf/mm", ["kg/mm"], G_N * 1000.0, 1.0;
    N_M_RAD = AngularStiffness, "N·m/rad", ["nm/rad", "n-m/rad", "n*m/rad"], 1.0, 1.0;
    N_MM_RAD = AngularStiffness, "N·mm/rad", ["nmm/rad", "n-mm/rad", "n*mm/rad"], 1.0, 1000.0;
    KN_M_RAD = AngularStiffness, "kN·m/rad", ["knm/rad", "kn-m/rad", "kn*m/rad"], 1000.0, 1.0;
    N_M_DEG = AngularStiffness, "N·m/deg", ["nm/deg", "n-m/deg", "n*m/deg", "nm/°"], HALF_TURN, std::f64::consts::PI;
    LBF_IN_RAD = AngularStiffness, "lbf-in/rad", ["lb-in/rad", "in-lb/rad", "lbf·in/rad"], LBF_N * 254.0, 10_000.0;
    LBF_FT_RAD = AngularStiffness, "lbf-ft/rad", ["lb-ft/rad", "ft-lb/rad", "lbf·ft/rad"], LBF_N * 3048.0, 10_000.0;
    LBF_FT_DEG = AngularStiffness, "lbf-ft/deg", ["lb-ft/deg", "ft-lb/deg", "lbf·ft/deg"], LBF_N * 3048.0 * HALF_TURN, 10_000.0 * std::f64::consts::PI;
    IN_MIN = Speed, "in/min", ["ipm", "inch/min", "inches/min", "in/minute", "inch/minute", "inches/minute", "\"/min"], 254.0, 600_000.0;
    MM_MIN = Speed, "mm/min", ["mm/minute"], 1.0, 60_000.0;
    MM_S = Speed, "mm/s", ["mm/sec", "mm/second"], 1.0, 1000.0;
    CM_MIN = Speed, "cm/min", ["cpm", "cm/minute"], 1.0, 6000.0;
    IN_S = Speed, "in/s", ["in/sec", "ips"], 254.0, 10_000.0;
    FT_MIN = Speed, "ft/min", ["fpm"], 3048.0, 600_000.0;
    FT_S = Speed, "ft/s", ["ft/sec", "fps"], 3048.0, 10_000.0;
    M_MIN = Speed, "m/min", [], 1.0, 60.0;
    M_S = Speed, "m/s", [], 1.0, 1.0;
    MPH = Speed, "mph", ["mi/h"], 1_609.344, 3600.0;
    KM_H = Speed, "km/h", ["kph", "kmh"], 1000.0, 3600.0;
    RPM = RotationSpeed, "rpm", ["rev/min", "r/min", "min-1", "/min"], std::f64::consts::PI, 30.0;
    RAD_S = RotationSpeed, "rad/s", [], 1.0, 1.0;
    REV_S = RotationSpeed, "rev/s", ["r/s", "rps"], 2.0 * std::f64::consts::PI, 1.0;
    RAD_S2 = AngularAcceleration, "rad/s2", ["rad/s²", "rad/s^2"], 1.0, 1.0;
    GRAVITY = Acceleration, "g", ["gn"], G_N, 1.0;
    FT_S2 = Acceleration, "ft/s2", ["ft/s²", "ft/s^2"], 3048.0, 10_000.0;
    M_S2 = Acceleration, "m/s2", ["m/s²", "m/s^2"], 1.0, 1.0;
    A = Current, "A", ["a", "amp", "amps", "ampere", "amperes"], 1.0, 1.0;
    KA = Current, "kA", ["ka"], 1000.0, 1.0;
    V = Voltage, "V", ["v", "volt", "volts"], 1.0, 1.0;
    FT3_H = Flow, "ft3/h", ["cfh", "ft³/h", "scfh"], 28_316_846_592.0, 3.6e15;
    L_MIN = Flow, "l/min", ["lpm"], 1.0, 60_000.0;
    M3_S = Flow, "m3/s", [], 1.0, 1.0;
    LB_H = MassRate, "lb/h", ["lb/hr", "lbs/h", "lbs/hr", "pph"], 45_359_237.0, 3.6e11;
    KG_H = MassRate, "kg/h", ["kg/hr"], 1.0, 3600.0;
    G_MIN = MassRate, "g/min", [], 1.0, 60_000.0;
    KG_S = MassRate, "kg/s", [], 1.0, 1.0;
    ML_100G = Hydrogen, "ml/100g", ["ml/100 g", "ml", "cm3/100g", "cc/100g", "cm³/100g"], 1.0, 1.0;
    ML_100G_BARE = Hydrogen, "", [], 1.0, 1.0;
    PCT_MASS = MassFraction, "%", ["", "wt%", "mass%", "w%", "percent"], 1.0, 1.0;
    PPM_MASS = MassFraction, "ppm", [], 1.0, 1e4;
    PCT = Percent, "%", ["percent"], 1.0, 100.0;
    FRACTION = Percent, "", ["1"], 1.0, 1.0;
    MM_PER_N = Compliance, "mm/N", ["mm/n"], 1.0, 1000.0;
    IN_PER_LBF = Compliance, "in/lbf", ["in/lb"], 254.0, 10_000.0 * LBF_N;
    M_PER_N = Compliance, "m/N", ["m/n"], 1.0, 1.0;
    PER_MM = Curvature, "/mm", ["1/mm", "mm-1"], 1000.0, 1.0;
    PER_IN = Curvature, "/in", ["1/in", "in-1"], 10_000.0, 254.0;
    PER_M = Curvature, "/m", ["1/m", "m-1"], 1.0, 1.0;
    W_M_K = Conductivity, "W/(m·K)", ["w/mk", "w/(m*k)", "w/(m·k)", "w/m/k", "w/m-k", "w/mc", "w/m°c"], 1.0, 1.0;
    W_MM_K = Conductivity, "W/(mm·K)", ["w/mmk", "w/(mm*k)", "w/(mm·k)", "j/(mm·s·k)", "j/(mm*s*k)", "j/mm/s/k", "j/mm-s-c", "j/mms°c", "w/mm/k", "j/mm/s/c", "j/(mm·s·°c)"], 1000.0, 1.0;
    J_MM3_K = HeatCapacity, "J/(mm3·K)", ["j/(mm3*k)", "j/mm3k", "j/(mm³·k)", "j/(mm3·k)", "j/mm3/k", "j/mm3c", "j/mm3/c", "j/(mm3·°c)", "j/mm3°c"], 1e9, 1.0;
    J_M3_K = HeatCapacity, "J/(m3·K)", ["j/(m3*k)", "j/m3k", "j/(m³·k)", "j/(m3·k)", "j/m3/k", "j/m3/c"], 1.0, 1.0;
    J_PER_MM3 = MeltingHeat, "J/mm3", ["j/mm³", "j/mm^3"], 1e9, 1.0;
    J_PER_M3 = MeltingHeat, "J/m3", ["j/m³", "j/m^3"], 1.0, 1.0;
    K_S = CoolingRate, "K/s", ["k/s", "degc/s", "°c/s", "c/s"], 1.0, 1.0;
    DEGF_S = CoolingRate, "degF/s", ["°f/s", "f/s"], 5.0, 9.0;
    DEG_PER_MM = AnglePerLength, "deg/mm", ["°/mm"], std::f64::consts::PI * 1000.0, HALF_TURN;
    DEG_PER_IN = AnglePerLength, "deg/in", ["°/in"], std::f64::consts::PI * 10_000.0, HALF_TURN * 254.0;
    RAD_PER_M = AnglePerLength, "rad/m", [], 1.0, 1.0;
    MONEY = Money, "", ["1"], 1.0, 1.0;
    PER_HOUR = MoneyRate, "/h", ["/hr", "/hour"], 1.0, 3600.0;
    PER_LB = MoneyPerMass, "/lb", [], 1e8, 45_359_237.0;
    PER_KG = MoneyPerMass, "/kg", [], 1.0, 1.0;
    PER_FT3 = MoneyPerVolume, "/ft3", ["/ft³"], 1e12, 28_316_846_592.0;
    PER_L = MoneyPerVolume, "/l", [], 1000.0, 1.0;
    PER_M3 = MoneyPerVolume, "/m3", ["/m³"], 1.0, 1.0;
}

/// The unit of `kind` written as `symbol`, exact symbol first, then aliases
/// without regard to case.
#[must_use]
pub fn find(kind: Kind, symbol: &str) -> Option<Unit> {
    let bare: String = symbol.chars().filter(|c| !c.is_whitespace()).collect();
    if let Some(unit) = kind.units().find(|u| u.symbol == bare) {
        return Some(unit);
    }
    let lower = bare.to_lowercase();
    kind.units().find(|u| u.symbol.to_lowercase() == lower || u.aliases.contains(&lower.as_str())).or_else(
        || {
            // Signs between and around the letters are written in many ways.
            let plain = plain(&lower);
            kind.units().find(|u| {
                !plain.is_empty()
                    && std::iter::once(&u.symbol)
                        .chain(u.aliases)
                        .any(|s| self::plain(&s.to_lowercase()) == plain)
            })
        },
    )
}

/// A unit in lower case without multiplication signs and brackets, powers as
/// plain digits.
fn plain(lower: &str) -> String {
    lower
        .chars()
        .filter(|c| !matches!(c, '·' | '⋅' | '*' | '.' | '-' | '(' | ')' | '^'))
        .map(|c| match c {
            '²' => '2',
            '³' => '3',
            '⁴' => '4',
            other => other,
        })
        .collect()
}

/// The kinds a unit symbol could belong to, for an error message that says
/// "that is a torque, a length was expected".
#[must_use]
pub fn kinds_of(symbol: &str) -> Vec<Kind> {
    Kind::ALL.iter().copied().filter(|k| find(*k, symbol).is_some()).collect()
}
