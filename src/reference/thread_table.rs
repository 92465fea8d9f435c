//! Sizes of Unified and ISO metric threads as the tables print them.
//!
//! Sources: ASME B1.1-2019 (UNC, UNF, 8-UN, UNS: diameter, threads per inch,
//! areas to the printed digits), ISO 261 and ISO 898-1:2013 (metric pitches and
//! stress areas), ASME B18.2.1, ASME B18.2.2 and ISO 272 (hexagons), ISO 4014
//! (washer face), ISO 273 medium (clearance holes). Seen through secondary tables;
//! the UNC minor diameters of the 8-UN sizes, fine metric areas and the washer
//! faces of M5 and M6 are from memory. Three areas are printed two ways
//! (5/16-18 .0524 or .0525, 7/8-14 .509 or .510, 3/4-10 .334 or .335).

use super::thread::Series;

/// One printed row. Inch sizes in inches, metric sizes in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Designation as printed, without the series.
    pub designation: &'static str,
    /// Series.
    pub series: Series,
    /// Major diameter.
    pub major: f64,
    /// Threads per inch, or pitch in millimetres.
    pub lead: f64,
    /// Printed minor-diameter area.
    pub root_area: Option<f64>,
    /// Printed tensile stress area.
    pub stress_area: Option<f64>,
    /// Width across flats of the hexagon bolt head.
    pub head: Option<f64>,
    /// Width across flats of the nut.
    pub nut: Option<f64>,
    /// Washer face diameter of the hexagon head.
    pub washer_face: Option<f64>,
    /// Medium clearance hole.
    pub clearance_hole: Option<f64>,
}

#[expect(clippy::too_many_arguments, reason = "columns of a printed table")]
const fn inch(
    designation: &'static str,
    series: Series,
    major: f64,
    tpi: f64,
    root_area: Option<f64>,
    stress_area: f64,
    head: f64,
    nut: f64,
) -> Row {
    Row {
        designation,
        series,
        major,
        lead: tpi,
        root_area,
        stress_area: Some(stress_area),
        head: Some(head),
        nut: Some(nut),
        washer_face: None,
        clearance_hole: None,
    }
}

#[expect(clippy::too_many_arguments, reason = "columns of a printed table")]
const fn metric(
    designation: &'static str,
    series: Series,
    major: f64,
    pitch: f64,
    stress_area: Option<f64>,
    flats: f64,
    washer_face: Option<f64>,
    clearance_hole: f64,
) -> Row {
    Row {
        designation,
        series,
        major,
        lead: pitch,
        root_area: None,
        stress_area,
        head: Some(flats),
        nut: Some(flats),
        washer_face,
        clearance_hole: Some(clearance_hole),
    }
}

/// A size known by diameter and pitch alone; from memory.
const fn bare(designation: &'static str, series: Series, major: f64, lead: f64) -> Row {
    Row {
        designation,
        series,
        major,
        lead,
        root_area: None,
        stress_area: None,
        head: None,
        nut: None,
        washer_face: None,
        clearance_hole: None,
    }
}

/// Unified threads, ASME B1.1-2019: major diameter in, threads per inch, minor
/// area in2, stress area in2, head and nut across flats in.
#[rustfmt::skip]
pub const UNIFIED: &[Row] = &[
    inch("1/4-20", Series::Unc, 0.25, 20.0, Some(0.0269), 0.0318, 0.4375, 0.4375),
    inch("5/16-18", Series::Unc, 0.3125, 18.0, Some(0.0454), 0.0524, 0.5, 0.5),
    inch("3/8-16", Series::Unc, 0.375, 16.0, Some(0.0678), 0.0775, 0.5625, 0.5625),
    inch("7/16-14", Series::Unc, 0.4375, 14.0, Some(0.0933), 0.1063, 0.625, 0.6875),
    inch("1/2-13", Series::Unc, 0.5, 13.0, Some(0.1257), 0.1419, 0.75, 0.75),
    inch("9/16-12", Series::Unc, 0.5625, 12.0, Some(0.162), 0.182, 0.8125, 0.875),
    inch("5/8-11", Series::Unc, 0.625, 11.0, Some(0.202), 0.226, 0.9375, 0.9375),
    inch("3/4-10", Series::Unc, 0.75, 10.0, Some(0.302), 0.334, 1.125, 1.125),
    inch("7/8-9", Series::Unc, 0.875, 9.0, Some(0.419), 0.462, 1.3125, 1.3125),
    inch("1-8", Series::Unc, 1.0, 8.0, Some(0.551), 0.606, 1.5, 1.5),
    inch("1-1/8-7", Series::Unc, 1.125, 7.0, Some(0.693), 0.763, 1.6875, 1.6875),
    inch("1-1/4-7", Series::Unc, 1.25, 7.0, Some(0.89), 0.969, 1.875, 1.875),
    inch("1-3/8-6", Series::Unc, 1.375, 6.0, Some(1.054), 1.155, 2.0625, 2.0625),
    inch("1-1/2-6", Series::Unc, 1.5, 6.0, Some(1.294), 1.405, 2.25, 2.25),
    inch("1/4-28", Series::Unf, 0.25, 28.0, Some(0.0326), 0.0364, 0.4375, 0.4375),
    inch("5/16-24", Series::Unf, 0.3125, 24.0, Some(0.0524), 0.058, 0.5, 0.5),
    inch("3/8-24", Series::Unf, 0.375, 24.0, Some(0.0809), 0.0878, 0.5625, 0.5625),
    inch("7/16-20", Series::Unf, 0.4375, 20.0, Some(0.109), 0.1187, 0.625, 0.6875),
    inch("1/2-20", Series::Unf, 0.5, 20.0, Some(0.1486), 0.1599, 0.75, 0.75),
    inch("9/16-18", Series::Unf, 0.5625, 18.0, Some(0.189), 0.203, 0.8125, 0.875),
    inch("5/8-18", Series::Unf, 0.625, 18.0, Some(0.24), 0.256, 0.9375, 0.9375),
    inch("3/4-16", Series::Unf, 0.75, 16.0, Some(0.351), 0.373, 1.125, 1.125),
    inch("7/8-14", Series::Unf, 0.875, 14.0, Some(0.48), 0.509, 1.3125, 1.3125),
    inch("1-12", Series::Unf, 1.0, 12.0, Some(0.625), 0.663, 1.5, 1.5),
    inch("1-1/8-12", Series::Unf, 1.125, 12.0, Some(0.812), 0.856, 1.6875, 1.6875),
    inch("1-1/4-12", Series::Unf, 1.25, 12.0, Some(1.024), 1.073, 1.875, 1.875),
    inch("1-3/8-12", Series::Unf, 1.375, 12.0, Some(1.26), 1.315, 2.0625, 2.0625),
    inch("1-1/2-12", Series::Unf, 1.5, 12.0, Some(1.521), 1.581, 2.25, 2.25),
    inch("1-14", Series::Uns, 1.0, 14.0, None, 0.68, 1.5, 1.5),
    inch("1-8", Series::Un8, 1.0, 8.0, Some(0.551), 0.606, 1.5, 1.5),
    inch("1-1/8-8", Series::Un8, 1.125, 8.0, Some(0.728), 0.79, 1.6875, 1.6875),
    inch("1-1/4-8", Series::Un8, 1.25, 8.0, Some(0.929), 1.0, 1.875, 1.875),
    inch("1-3/8-8", Series::Un8, 1.375, 8.0, Some(1.155), 1.233, 2.0625, 2.0625),
    inch("1-1/2-8", Series::Un8, 1.5, 8.0, Some(1.405), 1.492, 2.25, 2.25),
    bare("4-40", Series::Unc, 0.112, 40.0),
    bare("6-32", Series::Unc, 0.138, 32.0),
    bare("8-32", Series::Unc, 0.164, 32.0),
    bare("10-24", Series::Unc, 0.19, 24.0),
    bare("10-32", Series::Unf, 0.19, 32.0),
    bare("12-24", Series::Unc, 0.216, 24.0),
];

/// ISO metric threads: major diameter mm, pitch mm, stress area mm2, across
/// flats mm, washer face mm, medium hole mm.
#[rustfmt::skip]
pub const METRIC: &[Row] = &[
    metric("M5", Series::Coarse, 5.0, 0.8, Some(14.2), 8.0, Some(6.88), 5.5),
    metric("M6", Series::Coarse, 6.0, 1.0, Some(20.1), 10.0, Some(8.88), 6.6),
    metric("M7", Series::Coarse, 7.0, 1.0, Some(28.9), 11.0, None, 7.6),
    metric("M8", Series::Coarse, 8.0, 1.25, Some(36.6), 13.0, Some(11.63), 9.0),
    metric("M10", Series::Coarse, 10.0, 1.5, Some(58.0), 16.0, Some(14.63), 11.0),
    metric("M12", Series::Coarse, 12.0, 1.75, Some(84.3), 18.0, Some(16.63), 13.5),
    metric("M14", Series::Coarse, 14.0, 2.0, Some(115.0), 21.0, Some(19.64), 15.5),
    metric("M16", Series::Coarse, 16.0, 2.0, Some(157.0), 24.0, Some(22.49), 17.5),
    metric("M18", Series::Coarse, 18.0, 2.5, Some(192.0), 27.0, Some(25.34), 20.0),
    metric("M20", Series::Coarse, 20.0, 2.5, Some(245.0), 30.0, Some(28.19), 22.0),
    metric("M22", Series::Coarse, 22.0, 2.5, Some(303.0), 34.0, Some(31.71), 24.0),
    metric("M24", Series::Coarse, 24.0, 3.0, Some(353.0), 36.0, Some(33.61), 26.0),
    metric("M27", Series::Coarse, 27.0, 3.0, Some(459.0), 41.0, None, 30.0),
    metric("M30", Series::Coarse, 30.0, 3.5, Some(561.0), 46.0, None, 33.0),
    metric("M33", Series::Coarse, 33.0, 3.5, Some(694.0), 50.0, None, 36.0),
    metric("M36", Series::Coarse, 36.0, 4.0, Some(817.0), 55.0, None, 39.0),
    metric("M8x1", Series::Fine, 8.0, 1.0, Some(39.2), 13.0, Some(11.63), 9.0),
    metric("M10x1.25", Series::Fine, 10.0, 1.25, Some(61.2), 16.0, Some(14.63), 11.0),
    metric("M10x1", Series::Fine, 10.0, 1.0, Some(64.5), 16.0, Some(14.63), 11.0),
    metric("M12x1.5", Series::Fine, 12.0, 1.5, Some(88.1), 18.0, Some(16.63), 13.5),
    metric("M12x1.25", Series::Fine, 12.0, 1.25, Some(92.1), 18.0, Some(16.63), 13.5),
    metric("M14x1.5", Series::Fine, 14.0, 1.5, Some(125.0), 21.0, Some(19.64), 15.5),
    metric("M16x1.5", Series::Fine, 16.0, 1.5, Some(167.0), 24.0, Some(22.49), 17.5),
    metric("M18x1.5", Series::Fine, 18.0, 1.5, Some(216.0), 27.0, Some(25.34), 20.0),
    metric("M18x2", Series::Fine, 18.0, 2.0, None, 27.0, Some(25.34), 20.0),
    metric("M20x1.5", Series::Fine, 20.0, 1.5, Some(272.0), 30.0, Some(28.19), 22.0),
    metric("M20x2", Series::Fine, 20.0, 2.0, None, 30.0, Some(28.19), 22.0),
    metric("M22x1.5", Series::Fine, 22.0, 1.5, Some(333.0), 34.0, Some(31.71), 24.0),
    metric("M24x2", Series::Fine, 24.0, 2.0, Some(384.0), 36.0, Some(33.61), 26.0),
    metric("M27x2", Series::Fine, 27.0, 2.0, Some(496.0), 41.0, None, 30.0),
    metric("M30x2", Series::Fine, 30.0, 2.0, Some(621.0), 46.0, None, 33.0),
    metric("M33x2", Series::Fine, 33.0, 2.0, Some(761.0), 50.0, None, 36.0),
    metric("M36x3", Series::Fine, 36.0, 3.0, Some(865.0), 55.0, None, 39.0),
    bare("M3", Series::Coarse, 3.0, 0.5),
    bare("M4", Series::Coarse, 4.0, 0.7),
    bare("M39", Series::Coarse, 39.0, 4.0),
    bare("M42", Series::Coarse, 42.0, 4.5),
    bare("M45", Series::Coarse, 45.0, 4.5),
    bare("M48", Series::Coarse, 48.0, 5.0),
];
