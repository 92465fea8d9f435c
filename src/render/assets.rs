//! Templates and fonts, embedded in the program.

/// The template that is typeset.
pub(super) const MAIN: &str = "traveler.typ";
/// The template of shapes at full size.
pub(super) const PATTERNS: &str = "patterns.typ";

/// The template of a review of pictures.
pub(super) const REVIEW: &str = "review.typ";

/// The template of the letters alone.
pub(super) const SPECIMEN: &str = "specimen.typ";

/// Templates by path, as they import each other.
pub(super) const TEMPLATES: &[(&str, &str)] = &[
    (MAIN, include_str!("../../templates/traveler.typ")),
    (PATTERNS, include_str!("../../templates/patterns.typ")),
    ("lib/base.typ", include_str!("../../templates/lib/base.typ")),
    ("lib/boxes.typ", include_str!("../../templates/lib/boxes.typ")),
    ("lib/caution.typ", include_str!("../../templates/lib/caution.typ")),
    ("lib/customer.typ", include_str!("../../templates/lib/customer.typ")),
    ("lib/drawing.typ", include_str!("../../templates/lib/drawing.typ")),
    ("lib/geometry.typ", include_str!("../../templates/lib/geometry.typ")),
    ("lib/head.typ", include_str!("../../templates/lib/head.typ")),
    ("lib/station.typ", include_str!("../../templates/lib/station.typ")),
    ("lib/page.typ", include_str!("../../templates/lib/page.typ")),
    ("lib/point.typ", include_str!("../../templates/lib/point.typ")),
    ("lib/route.typ", include_str!("../../templates/lib/route.typ")),
    ("lib/sheets.typ", include_str!("../../templates/lib/sheets.typ")),
    (SPECIMEN, include_str!("../../templates/specimen.typ")),
    (REVIEW, include_str!("../../templates/review.typ")),
    ("lib/worksheet.typ", include_str!("../../templates/lib/worksheet.typ")),
];

/// Inter, under the SIL Open Font License (`fonts/OFL.txt`).
pub(super) const FONTS: [&[u8]; 3] = [
    include_bytes!("../../fonts/Inter-Regular.otf"),
    include_bytes!("../../fonts/Inter-SemiBold.otf"),
    include_bytes!("../../fonts/Inter-Bold.otf"),
];
