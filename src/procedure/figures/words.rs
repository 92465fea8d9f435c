//! Words of a job where a family of figures has its own.

use super::inputs::Fits;
use crate::figure::Value;
use crate::figure::geometry::lift::Direction;
use crate::figure::geometry::pinion_aim::Joints;
use crate::figure::geometry::{End as FigureEnd, Side as FigureSide};
use crate::figure::welding::preheat_combined_thickness::Joint as Meeting;
use crate::figure::welding::preheat_hydrogen_control::Restraint as Held;
use crate::figure::welding::visual_findings::Standard;
use crate::job::model::{Acceptance, End, JointForm, Layout, Restraint, SpringSide};
use crate::term::Side;

/// One word of the job for each word of the family.
macro_rules! fits {
    ($($job:ident as $figure:ident { $($from:ident => $to:ident),+ })+) => {
        $(impl Fits<$figure> for $job {
            fn value(self) -> Value {
                Fits::<$figure>::value(match self { $($job::$from => $figure::$to,)+ })
            }
        })+
    };
}

fits! {
    SpringSide as Direction { Under => Under, Over => Over }
    End as FigureEnd { Front => Front, Rear => Rear }
    Side as FigureSide { Left => Left, Right => Right }
    Layout as Joints { Pointed => Pointed, Parallel => Parallel, BrokenBack => BrokenBack }
    JointForm as Meeting { Butt => Butt, Tee => Tee, Lap => Lap, Corner => Corner }
    Restraint as Held { Low => Low, Medium => Medium, High => High }
    Acceptance as Standard {
        D11Cyclic => AwsCyclic, D11Static => AwsStatic, Iso5817B => IsoB, Iso5817C => IsoC, Iso5817D => IsoD
    }
}
