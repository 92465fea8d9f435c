//! Equilibrium of a leaf spring between a fixed eye and a swinging shackle.
//!
//! Each half is an inextensible arc of constant curvature on a rigid clamp, with
//! the strain energy of a uniform-strength pack, E I a (K - K0)^2 / 4. The
//! shackle is a rigid link; no friction, no eye offset; the axle is free
//! fore-aft and in pitch. Unknowns are the two curvatures, the pitch of the
//! seat, the multiplier of the shackle length and the force at the seat.
//!
//! Method: Newton's method on the stationarity conditions with exact second
//! derivatives, following the equilibrium in steps that are halved whenever
//! Newton does not settle or an equilibrium is not a minimum. A fold, where the
//! shackle inverts, is therefore found as the place the steps die out, and is
//! reported; the solver can't jump across it.
//!
//! Frame: u runs from the fixed eye (the origin) toward the shackle, w up.

use super::leaf_arc::{self, Eye};
use crate::figure::prelude::*;

/// The spring, its free shape and its frame pin.
#[derive(Debug, Clone, Copy)]
pub struct Hung {
    /// Active half length on the side of the fixed eye.
    pub fixed_half: Length,
    /// Active half length on the side of the shackle.
    pub shackle_half: Length,
    /// Rigid half clamp.
    pub clamp_half: Length,
    /// Rate of the flat spring without shackle effect.
    pub rate: SpringRate,
    /// Free curvature of the fixed half; positive is arched, eyes above the seat.
    pub fixed_free: Curvature,
    /// Free curvature of the shackle half.
    pub shackle_free: Curvature,
    /// Frame pin: distance from the fixed eye toward the shackle.
    pub pin_run: Length,
    /// Frame pin: height above the fixed eye.
    pub pin_rise: Length,
    /// Shackle length, pin to pin.
    pub shackle: Length,
}

/// What the bench measures at ride height, to set a model up.
#[derive(Debug, Clone, Copy)]
pub struct Ride {
    /// Active half length on the side of the fixed eye.
    pub fixed_half: Length,
    /// Active half length on the side of the shackle.
    pub shackle_half: Length,
    /// Rigid half clamp.
    pub clamp_half: Length,
    /// Rate of the flat spring without shackle effect.
    pub rate: SpringRate,
    /// Height of the level eye line above the seat.
    pub arch: Length,
    /// Load on the seat.
    pub load: Force,
    /// Shackle length, pin to pin.
    pub shackle: Length,
    /// Shackle angle from vertical, positive with the lower eye away from the axle.
    pub lean: Angle,
}

/// One equilibrium.
#[derive(Debug, Clone, Copy)]
pub struct Pose {
    q: [f64; 5],
    /// Seat from the fixed eye toward the shackle.
    pub run: Length,
    /// Seat above the fixed eye; negative below.
    pub height: Length,
    /// Pitch of the seat, positive with the shackle side up.
    pub pitch: Angle,
    /// Upward force of the axle on the seat.
    pub force: Force,
    /// Shackle from vertical, positive with the lower eye away from the axle.
    pub lean: Angle,
    /// Angle between the shackle and the line of the eyes, square is 90 degrees;
    /// negative once the shackle has crossed that line.
    pub to_eye_line: Angle,
    /// Tangent rate at the seat.
    pub rate: SpringRate,
}

/// The condition that closes the equations.
#[derive(Debug, Clone, Copy)]
enum Hold {
    Force(f64),
    Height(f64),
}

type Matrix = [[f64; 6]; 5];

fn sine_cosine(angle: f64) -> (f64, f64) {
    let angle = Angle::from_si(angle);
    (math::sin(angle), math::cos(angle))
}

impl Hung {
    /// Root rigidity E I that gives the flat rate, 2 E I S^2 / (B^2 a^3 + A^2 b^3) = k.
    fn rigidity(&self) -> f64 {
        let (a, b, c) = (self.fixed_half.si(), self.shackle_half.si(), self.clamp_half.si());
        let (near, far) = (a + c, b + c);
        let span = near + far;
        self.rate.si() * (far * far * a * a * a + near * near * b * b * b) / (2.0 * span * span)
    }

    fn eyes(&self, q: &[f64; 5]) -> (Eye, Eye) {
        (leaf_arc::eye(self.fixed_half.si(), q[0]), leaf_arc::eye(self.shackle_half.si(), q[1]))
    }

    /// Residuals and their derivatives at `q`: curvatures, pitch, shackle
    /// multiplier, seat force.
    fn system(&self, q: &[f64; 5], hold: Hold) -> Matrix {
        let (near, far) = self.eyes(q);
        let (sin, cos) = sine_cosine(q[2]);
        let turn = |x: f64, y: f64| (cos * x - sin * y, sin * x + cos * y);
        let turn_rate = |x: f64, y: f64| (-sin * x - cos * y, cos * x - sin * y);
        let (pu, pw) = (self.pin_run.si(), self.pin_rise.si());
        let on_pin = |(u, w): (f64, f64)| pu * u + pw * w;
        let c = self.clamp_half.si();

        // Chord from the fixed to the shackle eye in the frame of the seat.
        let d = (2.0 * c + near.along[0] + far.along[0], far.above[0] - near.above[0]);
        let d1 = (near.along[1], -near.above[1]);
        let d2 = (far.along[1], far.above[1]);
        let d11 = (near.along[2], -near.above[2]);
        let d22 = (far.along[2], far.above[2]);
        let dot = |a: (f64, f64), b: (f64, f64)| a.0 * b.0 + a.1 * b.1;

        let length = self.shackle.si();
        let g = 0.5 * (dot(d, d) + pu * pu + pw * pw - length * length) - on_pin(turn(d.0, d.1));
        let slope_g = [
            dot(d, d1) - on_pin(turn(d1.0, d1.1)),
            dot(d, d2) - on_pin(turn(d2.0, d2.1)),
            -on_pin(turn_rate(d.0, d.1)),
        ];
        let curve_g = [
            [
                dot(d1, d1) + dot(d, d11) - on_pin(turn(d11.0, d11.1)),
                dot(d1, d2),
                -on_pin(turn_rate(d1.0, d1.1)),
            ],
            [
                dot(d1, d2),
                dot(d2, d2) + dot(d, d22) - on_pin(turn(d22.0, d22.1)),
                -on_pin(turn_rate(d2.0, d2.1)),
            ],
            [-on_pin(turn_rate(d1.0, d1.1)), -on_pin(turn_rate(d2.0, d2.1)), on_pin(turn(d.0, d.1))],
        ];

        // Height of the seat: minus the fixed eye as the turned seat sees it.
        let e = (-(c + near.along[0]), near.above[0]);
        let e1 = (-near.along[1], near.above[1]);
        let e11 = (-near.along[2], near.above[2]);
        let h = -turn(e.0, e.1).1;
        let slope_h = [-turn(e1.0, e1.1).1, 0.0, -turn_rate(e.0, e.1).1];
        let curve_h = [
            [-turn(e11.0, e11.1).1, 0.0, -turn_rate(e1.0, e1.1).1],
            [0.0, 0.0, 0.0],
            [-turn_rate(e1.0, e1.1).1, 0.0, turn(e.0, e.1).1],
        ];

        let rigidity = self.rigidity();
        let stiff = [0.5 * rigidity * self.fixed_half.si(), 0.5 * rigidity * self.shackle_half.si(), 0.0];
        let free = [self.fixed_free.si(), self.shackle_free.si(), 0.0];
        let mut m: Matrix = [[0.0; 6]; 5];
        for i in 0..3 {
            for j in 0..3 {
                m[i][j] = -q[3] * curve_g[i][j] - q[4] * curve_h[i][j];
            }
            m[i][i] += stiff[i];
            m[i][3] = -slope_g[i];
            m[i][4] = -slope_h[i];
            m[i][5] = stiff[i] * (q[i] - free[i]) - q[3] * slope_g[i] - q[4] * slope_h[i];
            m[3][i] = slope_g[i];
            if matches!(hold, Hold::Height(_)) {
                m[4][i] = slope_h[i];
            }
        }
        m[3][5] = g;
        match hold {
            Hold::Force(force) => {
                m[4][4] = 1.0;
                m[4][5] = q[4] - force;
            }
            Hold::Height(height) => m[4][5] = h - height,
        }
        m
    }

    /// Newton's method from `start`; none if it does not settle on a minimum.
    fn settle(&self, start: [f64; 5], hold: Hold) -> Option<[f64; 5]> {
        let mut q = start;
        for _ in 0..40 {
            let step = solve(self.system(&q, hold))?;
            // Turns of the leaf ends and of the seat, the measure of a step.
            let turns = (step[0].abs() * self.fixed_half.si())
                .max(step[1].abs() * self.shackle_half.si())
                .max(step[2].abs());
            let short = if turns > 0.1 { 0.1 / turns } else { 1.0 };
            for (value, change) in q.iter_mut().zip(step) {
                *value -= short * change;
            }
            if !q.iter().all(|v| v.is_finite()) {
                return None;
            }
            if turns < 1e-12 {
                return self.is_minimum(&q).then_some(q);
            }
        }
        None
    }

    /// Whether the equilibrium at this height is a minimum of energy: the
    /// energy curves upward along the one motion the two constraints leave.
    fn is_minimum(&self, q: &[f64; 5]) -> bool {
        let m = self.system(q, Hold::Height(0.0));
        let (g, h) = (m[3], m[4]);
        let t = [g[1] * h[2] - g[2] * h[1], g[2] * h[0] - g[0] * h[2], g[0] * h[1] - g[1] * h[0]];
        let curve: f64 =
            (0..3).flat_map(|i| (0..3).map(move |j| (i, j))).map(|(i, j)| t[i] * m[i][j] * t[j]).sum();
        curve > 0.0
    }

    fn pose(&self, q: [f64; 5]) -> Pose {
        let (near, far) = self.eyes(&q);
        let (sin, cos) = sine_cosine(q[2]);
        let c = self.clamp_half.si();
        let turn = |x: f64, y: f64| (cos * x - sin * y, sin * x + cos * y);
        let fixed = turn(-(c + near.along[0]), near.above[0]);
        let chord = turn(2.0 * c + near.along[0] + far.along[0], far.above[0] - near.above[0]);
        let link = (self.pin_run.si() - chord.0, self.pin_rise.si() - chord.1);
        // Signed from the line back to the fixed eye round to the shackle.
        let cross = -(-chord.0 * link.1 + chord.1 * link.0);
        let dot = -chord.0 * link.0 - chord.1 * link.1;
        // Seat force per height: the answer of the linear system to a unit of height.
        let mut m = self.system(&q, Hold::Height(0.0));
        for (i, row) in m.iter_mut().enumerate() {
            row[5] = if i == 4 { 1.0 } else { 0.0 };
        }
        let rate = solve(m).map_or(f64::NAN, |x| x[4]);
        Pose {
            q,
            run: Length::from_si(-fixed.0),
            height: Length::from_si(-fixed.1),
            pitch: Angle::from_si(q[2]),
            force: Force::from_si(q[4]),
            lean: math::atan2(-link.0, link.1),
            to_eye_line: math::atan2(cross, dot),
            rate: SpringRate::from_si(rate),
        }
    }

    /// Sets a model up from what is measured at ride height with a level eye
    /// line; the free curvatures follow from the balance there.
    ///
    /// # Errors
    /// If a half can't bend to the arch, or the shackle lies along the eye line.
    pub fn at_ride(ride: &Ride) -> Result<(Self, Pose)> {
        let near = leaf_arc::curvature_at_height(ride.fixed_half, ride.arch)?;
        let far = leaf_arc::curvature_at_height(ride.shackle_half, ride.arch)?;
        let chord = ride.clamp_half.si() * 2.0
            + leaf_arc::eye(ride.fixed_half.si(), near.si()).along[0]
            + leaf_arc::eye(ride.shackle_half.si(), far.si()).along[0];
        let hung = Self {
            fixed_half: ride.fixed_half,
            shackle_half: ride.shackle_half,
            clamp_half: ride.clamp_half,
            rate: ride.rate,
            fixed_free: near,
            shackle_free: far,
            pin_run: Length::from_si(chord - ride.shackle.si() * math::sin(ride.lean)),
            pin_rise: Length::from_si(ride.shackle.si() * math::cos(ride.lean)),
            shackle: ride.shackle,
        };
        hung.balanced_at([near.si(), far.si(), 0.0, 0.0, 0.0], ride.load.si())
    }

    /// The same spring with the free curvatures that make `q` an equilibrium
    /// under `load`.
    fn balanced_at(mut self, mut q: [f64; 5], load: f64) -> Result<(Self, Pose)> {
        q[4] = load;
        let m = self.system(&q, Hold::Force(load));
        let (slope_g, slope_h) = ([-m[0][3], -m[1][3], -m[2][3]], [-m[0][4], -m[1][4], -m[2][4]]);
        (slope_g[2].abs() <= 1e-9 * self.shackle.si() * self.pin_run.si()).refuse(
            "the shackle lies along the line of the eyes, where it can carry no load",
            "check the shackle angle and the frame pin",
        )?;
        q[3] = -load * slope_h[2] / slope_g[2];
        let rigidity = self.rigidity();
        let free = |i: usize, half: Length| {
            Curvature::from_si(q[i] - (q[3] * slope_g[i] + load * slope_h[i]) * 2.0 / (rigidity * half.si()))
        };
        (self.fixed_free, self.shackle_free) = (free(0, self.fixed_half), free(1, self.shackle_half));
        let pose = self.pose(q);
        Ok((self, pose))
    }

    /// Equilibrium under `load`. A shape that fits the shackle is found first;
    /// then the free curvatures are led from those that balance it to the real
    /// ones.
    ///
    /// # Errors
    /// If no shape fits the shackle, or no stable equilibrium is reached.
    pub fn rest(&self, load: Force) -> Result<Pose> {
        let (a, b, c) = (self.fixed_half.si(), self.shackle_half.si(), self.clamp_half.si());
        let span = a + b + 2.0 * c;
        let bend = |half: f64, arm: f64| load.si() * arm / span * half / self.rigidity();
        let mut q = [
            self.fixed_free.si() - bend(a, b + c),
            self.shackle_free.si() - bend(b, a + c),
            0.0,
            0.0,
            load.si(),
        ];
        q[2] = self.pitch_that_fits(&q)?;
        let (start, pose) = self.balanced_at(q, load.si())?;
        let blend = |share: f64| Self {
            fixed_free: start.fixed_free + (self.fixed_free - start.fixed_free) * share,
            shackle_free: start.shackle_free + (self.shackle_free - start.shackle_free) * share,
            ..*self
        };
        let (end, reached) =
            follow(pose.q, |q, share| blend(share).settle(q, Hold::Force(load.si())), |_| {});
        (reached < 1.0).refuse(
            "the spring finds no stable rest on this shackle under the load",
            "check the frame pin, the shackle length, the free arch and the load",
        )?;
        Ok(self.pose(end))
    }

    /// Pitch at which the shackle eye, at the chord's distance from the fixed
    /// eye, is a shackle length below the pin: two circles.
    fn pitch_that_fits(&self, q: &[f64; 5]) -> Result<f64> {
        let (near, far) = self.eyes(q);
        let d = (2.0 * self.clamp_half.si() + near.along[0] + far.along[0], far.above[0] - near.above[0]);
        let chord = math::hypot(d.0, d.1);
        let pin = math::hypot(self.pin_run.si(), self.pin_rise.si());
        let l = self.shackle.si();
        let cosine = (pin * pin + chord * chord - l * l) / (2.0 * pin * chord);
        (cosine.is_nan() || cosine.abs() >= 1.0).refuse(
            "the shackle does not reach from the frame pin to the spring eye",
            "check the frame pin, the shackle length and the free arch",
        )?;
        let below = math::atan2(self.pin_rise.si(), self.pin_run.si()).si() - math::acos(cosine).si();
        Ok(below - math::atan2(d.1, d.0).si())
    }

    /// The equilibrium with the seat moved up by `travel` from `rest`, every
    /// equilibrium on the way being shown to `seen`.
    ///
    /// # Errors
    /// If the shackle inverts on the way; the message says where.
    pub fn moved(&self, rest: &Pose, travel: Length, mut seen: impl FnMut(&Pose)) -> Result<Pose> {
        let height = rest.height.si();
        let (end, reached) = follow(
            rest.q,
            |q, share| self.settle(q, Hold::Height(height + share * travel.si())),
            |q| seen(&self.pose(*q)),
        );
        if reached < 1.0 {
            let stop = travel.si().abs() * reached * 1000.0;
            return Err(Trouble::impossible(
                format!(
                    "the shackle inverts after about {stop:.0} mm of the travel; no stable equilibrium lies beyond"
                ),
                "use a longer shackle, a pin further out, or less arch, and limit the travel before that point",
            ));
        }
        Ok(self.pose(end))
    }
}

/// Follows a solution from share 0 to 1, in steps of a sixteenth that are
/// halved on failure; gives the last solution and the share reached.
fn follow(
    start: [f64; 5],
    mut settle: impl FnMut([f64; 5], f64) -> Option<[f64; 5]>,
    mut seen: impl FnMut(&[f64; 5]),
) -> ([f64; 5], f64) {
    let (mut q, mut share, mut step) = (start, 0.0_f64, 1.0 / 16.0);
    while share < 1.0 {
        let next = (share + step).min(1.0);
        if let Some(found) = settle(q, next) {
            (q, share) = (found, next);
            seen(&q);
            step = (step * 2.0_f64).min(1.0 / 16.0);
        } else {
            step *= 0.5;
            if step < 1e-5 {
                break;
            }
        }
    }
    (q, share)
}

/// Solves m x = its last column by elimination with row exchange; none if singular.
fn solve(mut m: Matrix) -> Option<[f64; 5]> {
    for column in 0..5 {
        let pivot = (column..5).max_by(|a, b| m[*a][column].abs().total_cmp(&m[*b][column].abs()))?;
        m.swap(column, pivot);
        let top = m[column];
        if top[column].is_nan() || top[column].abs() <= 1e-300 {
            return None;
        }
        for row in m.iter_mut().skip(column + 1) {
            let factor = row[column] / top[column];
            for (value, above) in row.iter_mut().zip(top) {
                *value -= factor * above;
            }
        }
    }
    let mut x = [0.0; 5];
    for row in (0..5).rev() {
        let known: f64 = (row + 1..5).map(|j| m[row][j] * x[j]).sum();
        x[row] = (m[row][5] - known) / m[row][row];
    }
    Some(x)
}
