//! Bump steer of a drag link: how far an axle movement steers the wheels.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{ANGLE, FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, AnglePerLength, Dimensioned, Kind, Length, math};
use crate::source::Source;

const LINK: Source = Source::derived(
    "a link of fixed length from the pitman joint to the steering arm joint",
    "root with the swinging arm",
);

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
    /// Length of the link.
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
    pub fn push(&self, along: Length, up: Length) -> Result<Length, Trouble> {
        let length = self.length().si();
        let rise = (self.arm_z + up - self.pitman_z).si();
        let square = length * length - rise * rise;
        if square <= 0.0 {
            return Err(Trouble::impossible(
                "the link is too short to follow the axle",
                "check the joints and the travel",
            ));
        }
        let side = (self.arm_x - self.pitman_x).si().signum();
        let end = self.pitman_x.si() + side * square.sqrt();
        Ok(Length::from_si(end) - self.arm_x - along)
    }

    /// Steer angle for a push of the arm joint.
    ///
    /// # Errors
    /// If the push is longer than the arm.
    pub fn steer(&self, push: Length) -> Result<Angle, Trouble> {
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

/// Bump steer.
pub static DRAG_LINK: Family = Family {
    name: "drag-link",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "bump steer of a drag link, push-pull or cross steering",
    inputs: &[
        Input::choice(
            "layout",
            &["push-pull", "cross"],
            Need::Default("push-pull"),
            "link along the vehicle (side plane), or across it",
        )
        .also(&["type", "kind", "steering"]),
        Input::required("pitman_x", Kind::Length, "pitman joint along the plane: forward, or across")
            .also(&["pitman_y"]),
        Input::required("pitman_z", Kind::Length, "pitman joint height"),
        Input::required("arm_x", Kind::Length, "steering arm joint along the plane, from the same datum")
            .also(&["arm_y"]),
        Input::required("arm_z", Kind::Length, "steering arm joint height"),
        Input::required("arm", Kind::Length, "steering arm, kingpin axis to joint").also(&["arm_length"]),
        Input::required("bump", Kind::Length, "axle up; negative for droop").also(&[
            "move_vertical",
            "axle_move",
            "move_z",
            "travel",
        ]),
        Input::defaulted("axle_x", Kind::Length, "0", "axle forward meanwhile; none for cross steering")
            .also(&["move_horizontal", "fore_aft", "move_x", "bump_x"]),
    ],
    outputs: &[
        Output::new("length", "link length, joint to joint", Kind::Length, "hypot(dx, dz)", LINK)
            .style(GAUGE),
        Output::new(
            "slope",
            "slope of the link at ride, positive with the arm joint higher",
            Kind::Angle,
            "atan2(dz, |dx|)",
            LINK,
        )
        .style(ANGLE),
        Output::new(
            "push",
            "arm joint pushed relative to the axle",
            Kind::Length,
            "pitman_x +- sqrt(L^2 - rise^2) - arm_x - axle_x",
            LINK,
        )
        .range("arm square to the link in plan")
        .style(GAUGE),
        Output::new("steer", "bump steer", Kind::Angle, "asin(push / arm)", LINK).style(FINE_ANGLE),
        Output::new("slope_after", "slope of the link there", Kind::Angle, "asin(rise / length)", LINK)
            .style(ANGLE),
        Output::new(
            "steer_per_travel",
            "bump steer per travel at ride, size",
            Kind::AnglePerLength,
            "tan(slope) / arm",
            LINK,
        )
        .range("vertical travel alone"),
    ],
    example: "pitman_x=\"1000 mm\" pitman_z=\"420 mm\" arm_x=\"150 mm\" arm_z=\"520 mm\" arm=\"180 mm\" bump=\"75 mm\" axle_x=\"-8 mm\"",
    run: drag_link,
};

fn drag_link(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let link = DragLink {
        pitman_x: given.need("pitman_x")?,
        pitman_z: given.need("pitman_z")?,
        arm_x: given.need("arm_x")?,
        arm_z: given.need("arm_z")?,
        arm: given::positive("arm", given.need("arm")?)?,
    };
    let bump: Length = given.need("bump")?;
    let along: Length = given.or("axle_x", Length::from_si(0.0))?;
    if given.maybe_word("layout")? == Some("cross") && along.si() != 0.0 {
        return Err(Trouble::impossible(
            "axle_x is given for cross steering, where the axle does not move along the link",
            "leave axle_x out, or use layout=push-pull",
        ));
    }
    let length = given::positive("link length", link.length())?;
    let push = link.push(along, bump)?;
    answer.put("length", length);
    answer.put("slope", link.slope());
    answer.put("push", push);
    answer.put("steer", link.steer(push)?);
    answer.put("slope_after", math::asin((link.arm_z + bump - link.pitman_z).si() / length.si()));
    let gradient = math::tan(link.slope()).abs() / link.arm.si();
    answer.put("steer_per_travel", AnglePerLength::from_si(gradient));
    if link.slope().si().abs() > 10.0_f64.to_radians() {
        answer.warn("The drag link slopes more than 10 deg at ride, and bump steer grows with its slope; bring it level and parallel to the tie rod with a high arm or a dropped pitman arm made for it.");
    }
    Ok(())
}
