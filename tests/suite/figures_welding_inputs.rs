//! Welding figures against wild input, and the reference tables they read.

use tackwright::figure::{Given, Group, InputKind, Value, registry};
use tackwright::quantity::{Dimensioned, Quantity, unit};
use tackwright::reference::{electrode, metal, process};

/// A small generator of repeatable numbers.
struct Lot(u64);

impl Lot {
    fn step(&mut self) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0
    }

    /// Between zero and one.
    fn next(&mut self) -> f64 {
        self.step() as f64 / 2_147_483_647.0
    }

    fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[usize::try_from(self.step()).unwrap() % of.len()]
    }
}

/// Whatever is entered, a family answers with finite figures or a refusal that
/// says something; it never panics.
#[test]
fn nothing_entered_makes_a_welding_figure_panic() {
    let mut lot = Lot(20_011);
    let names = ["A36", "4130", "1040", "GMAW", "111", "E7018-H4", "E6010", "nonsense", ""];
    let mut answered = std::collections::BTreeMap::new();
    for family in registry::families().filter(|f| f.group == Group::Welding) {
        let example: Vec<_> = family.example.split('"').collect();
        assert!(example.len() % 2 == 1, "{}: an open quotation mark", family.name);
        for _ in 0..3000 {
            let mut given = Given::new();
            for input in family.inputs {
                if lot.next() < 0.35 {
                    continue;
                }
                match input.kind {
                    InputKind::Quantity(kind) | InputKind::List(kind) => {
                        // The size of a unit a shop would use, times a wild factor.
                        let units: Vec<_> = kind.units().collect();
                        let size = lot.pick(&[0.0, -1.0, 0.01, 0.3, 1.0, 5.0, 20.0, 300.0, 1e9])
                            * (0.5 + lot.next());
                        given.set(input.name, Value::exact(Quantity::of(size, lot.pick(&units))));
                    }
                    InputKind::Choice(words) => {
                        given.set_word(input.name, lot.pick(words));
                    }
                    InputKind::Name => {
                        given.set_word(input.name, lot.pick(&names));
                    }
                    InputKind::Flag => {
                        given.set(input.name, Value::Flag(lot.next() < 0.5));
                    }
                }
            }
            match family.reckon(&given) {
                Ok(figures) => {
                    *answered.entry(family.name).or_insert(0) += 1;
                    for figure in &figures {
                        assert!(!figure.show().contains("not finite"), "{}.{}", family.name, figure.id);
                    }
                }
                Err(trouble) => assert!(trouble.to_string().len() > 10, "{}: {trouble}", family.name),
            }
        }
    }
    assert!(answered.len() > 12, "most families answer some of it: {answered:?}");
}

#[test]
fn reference_tables_are_found_by_every_name_and_only_once() {
    let mut names = std::collections::BTreeSet::new();
    for steel in metal::STEELS {
        for name in std::iter::once(&steel.name).chain(steel.aliases) {
            assert_eq!(metal::find(name).map(|s| s.name), Some(steel.name), "{name}");
        }
        assert!(names.insert(metal::squeezed(steel.name)));
        if let (Some(y), Some(u)) = (steel.yield_strength(), steel.tensile_strength()) {
            assert!(y < u, "{}", steel.name);
        }
    }
    let mut words = std::collections::BTreeSet::new();
    for process in process::PROCESSES {
        for name in process.names {
            assert!(words.insert(*name), "{name} names two processes");
            assert_eq!(process::find(name).map(|p| p.title), Some(process.title));
        }
        let k = process.k().si();
        assert!(k > 0.0 && k <= 1.0);
        if let (Some(planned), Some((low, high))) =
            (process.deposition_efficiency(), process.deposition_range())
        {
            assert!(low <= planned && planned <= high, "{}", process.title);
        }
    }
    for row in electrode::ELECTRODES {
        let found = electrode::find(row.name).expect("its own name");
        assert_eq!(found.electrode.name, row.name);
        assert!(process::find(row.process).is_some(), "{} is used with {}", row.name, row.process);
        let digits: String = row.name.chars().skip_while(|c| !c.is_ascii_digit()).collect();
        // The strength stands in the classification: E70.., ER80.., E71T, F7A2, E110...
        let fexx = row.fexx().to(unit::KSI);
        let stated: f64 = if digits.starts_with('1') {
            digits[..3].parse().unwrap_or(0.0)
        } else {
            f64::from(digits.as_bytes()[0] - b'0') * 10.0
        };
        assert!((fexx - stated).abs() < 1e-9, "{}: {fexx} against {stated}", row.name);
    }
    assert_eq!(electrode::find("e7018-h4r").map(|f| (f.hydrogen.si(), f.assumed)), Some((4.0, false)));
    assert_eq!(electrode::find("E71T-1M-H8").map(|f| (f.hydrogen.si(), f.assumed)), Some((8.0, false)));
    assert!(electrode::find("E9999").is_none());
}
