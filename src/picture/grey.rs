//! Grey pictures, and how bright the paper is at each place of them.

use super::geometry::Point;

/// A grey picture: 0 black, 255 white, row by row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grey {
    /// Points in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// A byte for each point, the top row first.
    pub levels: Vec<u8>,
}

/// A number that is known to be small and not negative, as a place in a row.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "`as` saturates")]
pub(super) fn place(value: f64) -> usize {
    value as usize
}

/// A brightness as a level of grey.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "`as` saturates")]
#[must_use]
pub fn level(value: f64) -> u8 {
    (value + 0.5) as u8
}

/// A count as a number; counts of points are far below 2^53.
#[expect(clippy::cast_precision_loss, reason = "counts of points are far below 2^53")]
pub(super) fn real(count: usize) -> f64 {
    count as f64
}

impl Grey {
    /// A picture all of one level.
    #[must_use]
    pub fn plain(width: usize, height: usize, with: u8) -> Self {
        Self { width, height, levels: vec![with; width * height] }
    }

    /// The longer side, in points.
    #[must_use]
    pub fn long_side(&self) -> usize {
        self.width.max(self.height)
    }

    /// The brightness between four points; none outside the picture.
    #[inline]
    #[must_use]
    pub fn sample(&self, p: Point) -> Option<f64> {
        if !(p.x >= 0.0 && p.y >= 0.0) {
            return None;
        }
        let (x, y) = (place(p.x), place(p.y));
        if x + 1 >= self.width || y + 1 >= self.height {
            return None;
        }
        let (u, v) = (p.x - real(x), p.y - real(y));
        let at = y * self.width + x;
        let above = self.levels.get(at..at + 2)?;
        let below = self.levels.get(at + self.width..at + self.width + 2)?;
        let top = f64::from(above[0]) * (1.0 - u) + f64::from(above[1]) * u;
        let bottom = f64::from(below[0]) * (1.0 - u) + f64::from(below[1]) * u;
        Some(top * (1.0 - v) + bottom * v)
    }

    /// The picture with each square of `by` points made one.
    #[must_use]
    pub fn shrunk(&self, by: usize) -> Self {
        let by = by.max(1);
        let (width, height) = (self.width / by, self.height / by);
        let mut levels = Vec::with_capacity(width * height);
        let mut sums = vec![0_u32; width];
        let count = u32::try_from(by * by).unwrap_or(u32::MAX);
        for row in 0..height {
            sums.fill(0);
            for line in self.levels.chunks_exact(self.width).skip(row * by).take(by) {
                for (sum, cell) in sums.iter_mut().zip(line.chunks_exact(by)) {
                    *sum += cell.iter().map(|v| u32::from(*v)).sum::<u32>();
                }
            }
            levels.extend(sums.iter().map(|s| u8::try_from(s / count).unwrap_or(u8::MAX)));
        }
        Self { width, height, levels }
    }

    /// The picture at twice the size.
    #[must_use]
    pub fn doubled(&self) -> Self {
        let (width, height) = (self.width * 2, self.height * 2);
        let mut levels = Vec::with_capacity(width * height);
        for y in 0..height {
            for x in 0..width {
                let p = Point::new(real(x) / 2.0, real(y) / 2.0);
                let edge = || self.levels.get((y / 2) * self.width + x / 2).copied().unwrap_or(255);
                levels.push(self.sample(p).map_or_else(edge, level));
            }
        }
        Self { width, height, levels }
    }
}

/// How bright the paper is, by blocks.
#[derive(Debug, Clone)]
pub struct Light {
    block: f64,
    columns: usize,
    rows: usize,
    bright: Vec<f64>,
}

/// Blocks on the long side of a picture.
const BLOCKS: usize = 90;

impl Light {
    /// The light of a picture: of each block a level that four of five points stay
    /// below, dark spots of up to two blocks filled from around them.
    #[must_use]
    pub fn of(grey: &Grey) -> Self {
        let block = (grey.long_side() / BLOCKS).max(4);
        let (columns, rows) = (grey.width.div_ceil(block), grey.height.div_ceil(block));
        // No more than about 200 points of a block are counted.
        let step = (block / 14).max(1);
        let mut bright = Vec::with_capacity(columns * rows);
        for row in 0..rows {
            let mut counts = vec![[0_u32; 64]; columns];
            for line in grey.levels.chunks_exact(grey.width).skip(row * block).take(block).step_by(step) {
                for (count, cell) in counts.iter_mut().zip(line.chunks(block)) {
                    for value in cell.iter().step_by(step) {
                        count[usize::from(value >> 2)] += 1;
                    }
                }
            }
            bright.extend(counts.iter().map(brightness));
        }
        let light = Self { block: real(block), columns, rows, bright };
        light.spread(f64::max).spread(f64::min)
    }

    /// Each block with its neighbours, the largest or the smallest of them.
    fn spread(&self, of: fn(f64, f64) -> f64) -> Self {
        let mut bright = Vec::with_capacity(self.bright.len());
        for y in 0..self.rows {
            for x in 0..self.columns {
                let mut value = self.bright[y * self.columns + x];
                for v in y.saturating_sub(1)..(y + 2).min(self.rows) {
                    for u in x.saturating_sub(1)..(x + 2).min(self.columns) {
                        value = of(value, self.bright[v * self.columns + u]);
                    }
                }
                bright.push(value);
            }
        }
        Self { bright, ..*self }
    }

    /// The brightness of paper at a place.
    #[inline]
    #[must_use]
    pub fn at(&self, p: Point) -> f64 {
        let x = (p.x / self.block - 0.5).clamp(0.0, real(self.columns - 1));
        let y = (p.y / self.block - 0.5).clamp(0.0, real(self.rows - 1));
        let (i, j) = (place(x).min(self.columns - 1), place(y).min(self.rows - 1));
        let (u, v) = (x - real(i), y - real(j));
        let (k, l) = ((i + 1).min(self.columns - 1), (j + 1).min(self.rows - 1));
        let value = |x: usize, y: usize| self.bright[y * self.columns + x];
        (value(i, j) * (1.0 - u) + value(k, j) * u) * (1.0 - v)
            + (value(i, l) * (1.0 - u) + value(k, l) * u) * v
    }
}

/// The level four of five points of a block stay below.
fn brightness(counts: &[u32; 64]) -> f64 {
    let all: u32 = counts.iter().sum();
    let mut above = 0;
    for (i, count) in counts.iter().enumerate().rev() {
        above += count;
        if above * 5 >= all {
            return (real(i) * 4.0 + 2.0).max(24.0);
        }
    }
    24.0
}

/// A picture in even light.
#[derive(Debug, Clone)]
pub struct Evened<'a> {
    /// The picture as it came, its light not taken off.
    pub grey: &'a Grey,
    /// How bright its paper is from place to place; grey is compared with that.
    pub light: Light,
}

impl<'a> Evened<'a> {
    /// Evens a picture out.
    #[must_use]
    pub fn of(grey: &'a Grey) -> Self {
        Self { grey, light: Light::of(grey) }
    }

    /// How dark a place is beside the paper around it: 0 paper, 1 black. None
    /// outside the picture.
    #[inline]
    #[must_use]
    pub fn darkness(&self, p: Point) -> Option<f64> {
        let value = self.grey.sample(p)?;
        Some((1.0 - value / self.light.at(p)).clamp(0.0, 1.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_as_dark_in_the_shade_as_in_the_light() {
        // Light falling off to a third from left to right, lines of half of it.
        let (width, height) = (900, 300);
        let mut levels = Vec::new();
        for y in 0..height {
            for x in 0..width {
                let paper = 240.0 - 160.0 * real(x) / real(width);
                levels.push(level(if y % 50 < 4 { paper / 2.0 } else { paper }));
            }
        }
        let grey = Grey { width, height, levels };
        let even = Evened::of(&grey);
        for x in [40.0, 300.0, 600.0, 860.0] {
            let line = even.darkness(Point::new(x, 101.0)).unwrap();
            let paper = even.darkness(Point::new(x, 125.0)).unwrap();
            assert!((line - 0.5).abs() < 0.06 && paper < 0.06, "{x}: {line} {paper}");
        }
        assert_eq!(even.darkness(Point::new(-1.0, 3.0)), None);
        assert_eq!(even.darkness(Point::new(f64::NAN, 3.0)), None);
        assert_eq!(even.darkness(Point::new(899.5, 3.0)), None);
    }

    #[test]
    fn smaller_and_larger_keep_the_mean() {
        let grey = Grey { width: 4, height: 2, levels: vec![0, 100, 40, 60, 100, 200, 20, 80] };
        assert_eq!(grey.shrunk(2).levels, vec![100, 50]);
        let twice = grey.doubled();
        assert_eq!((twice.width, twice.height), (8, 4));
        assert_eq!(twice.levels[0], 0);
        assert_eq!(twice.levels[1], 50);
    }
}
