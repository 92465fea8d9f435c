//! Methods a weld is tested by, as joints ask for them and certificates name them.

terms! {
    /// A method that counts only when who tests is certified for it (ISO 9712, ASNT
    /// SNT-TC-1A).
    pub enum Method {
        /// Cracks at and near the surface of steel that a magnet holds.
        Magnetic = "magnetic particle" as "magnetic particle",
        /// Cracks open to the surface.
        Penetrant = "penetrant" as "penetrant",
        /// Flaws inside.
        Ultrasonic = "ultrasonic" as "ultrasonic",
        /// Flaws inside, on film or a detector.
        Radiographic = "radiographic" as "radiographic",
    }
}

impl Method {
    /// Every method.
    pub const ALL: [Self; 4] = [Self::Magnetic, Self::Penetrant, Self::Ultrasonic, Self::Radiographic];

    /// The method of testing, as a certificate names it.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Magnetic => "magnetic particle testing",
            Self::Penetrant => "penetrant testing",
            Self::Ultrasonic => "ultrasonic testing",
            Self::Radiographic => "radiographic testing",
        }
    }

    /// What it is done with.
    #[must_use]
    pub const fn tool(self) -> &'static str {
        match self {
            Self::Magnetic => "magnetic particle yoke",
            Self::Penetrant => "penetrant set",
            Self::Ultrasonic => "ultrasonic flaw detector",
            Self::Radiographic => "radiographic set",
        }
    }

    /// Whether it finds what is open to the surface: cracks at a weld's toes.
    #[must_use]
    pub const fn of_the_surface(self) -> bool {
        matches!(self, Self::Magnetic | Self::Penetrant)
    }

    /// Its letters on a certificate (ISO 9712).
    #[must_use]
    pub const fn letters(self) -> &'static str {
        match self {
            Self::Magnetic => "MT",
            Self::Penetrant => "PT",
            Self::Ultrasonic => "UT",
            Self::Radiographic => "RT",
        }
    }

    /// What it is told by within a word, and its letters (ISO 9712, and common practice).
    const fn told_by(self) -> (&'static [&'static str], &'static [&'static str]) {
        match self {
            Self::Magnetic => (&["magnetic"], &["mt", "mpi", "mpt"]),
            Self::Penetrant => (&["penetrant"], &["pt", "dye", "dpi", "lpi"]),
            Self::Ultrasonic => (&["ultrason"], &["ut"]),
            Self::Radiographic => (&["radiogra"], &["rt", "x-ray"]),
        }
    }

    /// Methods a text names, each once: an inspection that is asked, a certificate.
    #[must_use]
    pub fn named_in(text: &str) -> Vec<Self> {
        let text = text.to_lowercase();
        let words: Vec<&str> = text.split(|c: char| !(c.is_alphanumeric() || c == '-')).collect();
        let named = |method: &Self| {
            let (stems, letters) = method.told_by();
            words.iter().any(|w| letters.contains(w) || stems.iter().any(|stem| w.contains(stem)))
        };
        Self::ALL.into_iter().filter(named).collect()
    }

    /// Hours after the weld at which a text asks for its test, `magnetic particle after 48 h`:
    /// the longest it names; none where it names none.
    #[must_use]
    pub fn hours_after(text: &str) -> Option<f64> {
        let text = text.to_lowercase();
        let words: Vec<&str> = text.split(|c: char| !(c.is_alphanumeric() || c == '.')).collect();
        let parts = words.iter().map(|w| w.split_at(w.find(|c: char| c.is_alphabetic()).unwrap_or(w.len())));
        let parts: Vec<&str> =
            parts.flat_map(|(number, unit)| [number, unit]).filter(|p| !p.is_empty()).collect();
        let hours = parts.iter().zip(parts.iter().skip(1)).filter_map(|(number, unit)| {
            let one = match unit.trim_end_matches(['s', '.']) {
                "h" | "hr" | "hour" => 1.0,
                "d" | "day" => 24.0,
                _ => return None,
            };
            Some(number.trim_end_matches('.').parse::<f64>().ok()? * one)
        });
        hours.max_by(f64::total_cmp)
    }

    /// Words of several, joined.
    #[must_use]
    pub fn list(methods: &[Self]) -> String {
        methods.iter().map(|m| m.word()).collect::<Vec<_>>().join(" and ")
    }
}

#[cfg(test)]
mod tests {
    use super::Method::{self, Magnetic, Penetrant, Radiographic, Ultrasonic};

    /// Letters as in ISO 9712:2021, table 1 (from memory).
    #[test]
    fn methods_are_told_by_words_and_letters() {
        for (text, methods) in [
            ("visual", vec![]),
            ("", vec![]),
            ("visual, dye penetrant at the ends", vec![Penetrant]),
            ("VT, PT", vec![Penetrant]),
            ("visual, magnetic particle after 48 h", vec![Magnetic]),
            ("MT and UT", vec![Magnetic, Ultrasonic]),
            ("radiography of the butt", vec![Radiographic]),
            ("visual and penetrant testing, level 2", vec![Penetrant]),
            ("mounting, output, part", vec![]),
        ] {
            assert_eq!(Method::named_in(text), methods, "{text}");
        }
    }
}
