//! A group of threaded fasteners to tighten.

use crate::file::{Id, Located, Reading, Text};
use crate::quantity::{Length, Number, Percent, Stress, Torque};
use crate::{choice, record};

choice! {
    /// Where the fasteners stand to each other.
    pub enum Pattern {
        /// Round a circle.
        Circle = "circle",
        Rectangle = "rectangle",
        /// Legs of U-bolts over one plate.
        UBolt = "u-bolt",
        /// One by one.
        Single = "single",
    }
}

record! {
    /// A group of threaded fasteners to tighten.
    pub struct Fastener {
        /// Id printed on the torque sheet.
        required id: Located<Id> => "\"B1\"";
        /// What is held.
        required title: Text => "\"U-bolts, front axle, left\"";
        /// Component it is on.
        required on: Located<Id> => "\"front\"";
        /// What it is for; operations pick their fasteners by this word.
        required usage as "use": Located<Id> => "\"u-bolt\"";
        /// Thread.
        optional thread: Located<Text> => "\"9/16-18 UNF\"";
        /// Grade of bolt or stud.
        optional grade: Located<Text> => "\"SAE J429 8\"";
        /// Grade of nut.
        optional nut: Located<Text> => "\"SAE J995 8\"";
        /// Surface and lubrication as tightened.
        optional finish: Located<Text> => "\"oiled\"";
        /// Proof stress of a grade of your own.
        optional proof: Located<Reading<Stress>> => "\"85 ksi\"";
        /// Nut factor of a finish of your own.
        optional nut_factor: Located<Reading<Number>> => "0.16";
        /// Where values of your own stand: proof, nut_factor.
        optional values_from: Text => "\"maker's data sheet\"";
        /// How many nuts or bolts.
        optional count: u32 => "4";
        /// Where they stand to each other.
        default pattern: Pattern = Pattern::Single => "\"u-bolt\"";
        /// Torque the manufacturer states; wins over a computed one.
        optional torque: Located<Reading<Torque>> => "\"100 lbf-ft\"";
        /// Where the manufacturer's torque stands.
        optional torque_from: Text => "\"axle manual, page 41\"";
        /// Preload as a share of proof load.
        optional preload: Located<Reading<Percent>> => "\"75 %\"";
        /// Smallest mark of the wrench.
        optional increment: Located<Reading<Torque>> => "\"5 lbf-ft\"";
        /// Torque wrench to use.
        optional wrench: Text => "\"TW-3, 40 to 200 lbf-ft\"";
        /// Inside width of a U-bolt.
        optional inside_width: Located<Reading<Length>> => "\"3-5/16 in\"";
        /// When it is tightened again.
        optional retorque: Text => "\"after 100 mi\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}
