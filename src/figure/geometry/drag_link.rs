//! Bump steer of a drag link: how far an axle movement steers the wheels.

use crate::figure::prelude::*;

const LINK: Source = Source::derived(
    "a link of fixed length from the pitman joint to the steering arm joint",
    "root with the swinging arm",
);

const STEERING: Source = Source::practice("steering of road vehicles; outside it a unit or a digit is wrong");
/// Bump steer that nobody can drive with, degrees.
const WILD: f64 = 10.0;

/// Joints of a drag link in its plane at ride: along the vehicle for push-pull
/// steering, across it for cross steering; up.
#[derive(Debug, Clone, Copy)]
pub struct DragLink {
    /// Pitman joint along or across.
    pub pitman_x: Length,
    /// Pitman joint above the datum.
    pub pitman_z: Length,
    /// Steering arm joint along or across.
    pub arm_x: Length,
    /// Steering arm joint above the datum.
    pub arm_z: Length,
    /// Steering arm from the kingpin axis to the joint.
    pub arm: Length,
}

impl DragLink {
    /// From the pitman joint to the arm joint, at ride.
    #[must_use]
    pub fn length(&self) -> Length {
        Length::from_si(math::hypot((self.arm_x - self.pitman_x).si(), (self.arm_z - self.pitman_z).si()))
    }

    /// Slope of the link at ride, positive with the arm joint higher.
    #[must_use]
    pub fn slope(&self) -> Angle {
        math::atan2((self.arm_z - self.pitman_z).si(), (self.arm_x - self.pitman_x).si().abs())
    }

    /// How far the arm joint is pushed along its axis relative to the axle,
    /// when the axle moves by `along` and `up`.
    ///
    /// # Errors
    /// If the link is too short to follow.
    pub fn push(&self, along: Length, up: Length) -> Result<Length> {
        let length = self.length().si();
        let rise = (self.arm_z + up - self.pitman_z).si();
        let square = length * length - rise * rise;
        (square <= 0.0)
            .refuse("the link is too short to follow the axle", "check the joints and the travel")?;
        let side = (self.arm_x - self.pitman_x).si().signum();
        let end = self.pitman_x.si() + side * square.sqrt();
        Ok(Length::from_si(end) - self.arm_x - along)
    }

    /// Steer angle for a push of the arm joint.
    ///
    /// # Errors
    /// If the push is longer than the arm.
    pub fn steer(&self, push: Length) -> Result<Angle> {
        let sine = push.si() / self.arm.si();
        if sine.abs() < 1.0 {
            return Ok(math::asin(sine));
        }
        Err(Trouble::impossible(
            "the arm joint would move further than the arm is long",
            "check arm and the travel",
        ))
    }
}

words! {
    /// Link along the vehicle (side plane), or across it.
    pub Layout {
        PushPull = "push-pull" | "fore-aft" | "side-steer",
        Cross = "cross" | "crossover" | "cross-steer" | "cross-steering" | "y-link",
    }
}

family! {
    pub DRAG_LINK = "drag-link" in Geometry: "bump steer of a drag link, push-pull or cross steering";
    also "steering-link", "bump-steer", "drag-link-angle";
    reads BumpSteer {
        default layout: Layout = PushPull, "link along the vehicle (side plane), or across it", "type", "kind",
            "steering";
        required pitman_x: Length, "pitman joint along the plane: forward, or across", "pitman_y";
        required pitman_z: Length, "pitman joint height";
        required arm_x: Length, "steering arm joint along the plane, from the same datum", "arm_y";
        required arm_z: Length, "steering arm joint height";
        required arm: Length in within(1.0, 48.0, unit::IN, STEERING).usually(3.0, 14.0, unit::IN), "steering arm, kingpin axis to joint", "arm_length";
        required bump: Length in within(-1.0, 1.0, unit::M, STEERING).usually(-14.0, 14.0, unit::IN), "axle up; negative for droop", "move_vertical", "axle_move", "move_z", "travel";
        default axle_x: Length = "0", "axle forward meanwhile; none for cross steering", "move_horizontal",
            "fore_aft", "move_x", "bump_x";
    }
    gives DragLinkAnswer {
        length: Length, "link length, joint to joint", "hypot(dx, dz)", LINK => .style(GAUGE);
        slope: Angle, "slope of the link at ride, positive with the arm joint higher", "atan2(dz, |dx|)",
            LINK => .style(ANGLE);
        push: Length, "push of the arm joint, positive as its places count (forward, or across)", "pitman_x +- sqrt(L^2 - rise^2) - arm_x - axle_x",
            LINK => .range("arm square to the link in plan").style(GAUGE);
        steer: Angle, "bump steer, positive with that push", "asin(push / arm)", LINK => .style(FINE_ANGLE);
        slope_after: Angle, "slope of the link there", "asin(rise / length)", LINK => .style(ANGLE);
        steer_per_travel: AnglePerLength, "bump steer per travel at ride, size", "tan(slope) / arm",
            LINK => .range("vertical travel alone");
    }
    asked steer;
    example "pitman_x=\"1000 mm\" pitman_z=\"420 mm\" arm_x=\"150 mm\" arm_z=\"520 mm\" arm=\"180 mm\" bump=\"75 mm\" axle_x=\"-8 mm\"";
    by drag_link
}

fn drag_link(given: &BumpSteer, answer: &mut DragLinkAnswer) -> Result<()> {
    let link = DragLink {
        pitman_x: *given.pitman_x,
        pitman_z: *given.pitman_z,
        arm_x: *given.arm_x,
        arm_z: *given.arm_z,
        arm: *given.arm,
    };
    let bump = *given.bump;
    let along = *given.axle_x;
    (*given.layout == Layout::Cross && along.si() != 0.0).refuse(
        "axle_x is given for cross steering, where the axle does not move along the link",
        "leave axle_x out, or use layout=push-pull",
    )?;
    let length = positive("link length", link.length())?;
    let push = link.push(along, bump)?;
    answer.length.put(length);
    answer.slope.put(link.slope());
    answer.push.put(push);
    let steer = link.steer(push)?;
    answer.steer.put(steer);
    if steer.to(unit::DEG).abs() > WILD {
        answer.warn(format!(
            "A bump steer of {:.0} deg over this movement can't be driven: check arm and the joints, or change the steering before the vehicle moves.",
            steer.to(unit::DEG).abs()
        ));
    }
    answer.slope_after.put(math::asin((link.arm_z + bump - link.pitman_z).si() / length.si()));
    let gradient = math::tan(link.slope()).abs() / link.arm.si();
    answer.steer_per_travel.put(AnglePerLength::from_si(gradient));
    if link.slope().si().abs() > 10.0_f64.to_radians() {
        answer.warn("The drag link slopes more than 10 deg at ride, and bump steer grows with its slope; bring it level and parallel to the tie rod with a high arm or a dropped pitman arm made for it.");
    }
    Ok(())
}
