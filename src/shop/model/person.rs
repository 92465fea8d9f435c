//! People: who may work, and who may sign in which role.

use crate::file::{Date, Id, Located, Text};
use crate::record;
use crate::term::Role;

record! {
    /// A person who may work and sign.
    pub struct Person {
        /// Short id used in signatures.
        required id: Located<Id> => "\"WO\"";
        /// Printed name.
        required name: Text => "\"Welder One\"";
        /// What the person may do and sign.
        many role: Role => "[\"welder\"]";
        /// Stamp or badge number; nobody else's.
        optional stamp: Located<Text> => "\"11\"";
        /// Initials; nobody else's.
        optional initials: Located<Text> => "\"WO\"";
        /// Certificate the person holds besides welding tests.
        optional certificate: Text => "\"visual and penetrant testing, level 2\"";
        /// Last day of that certificate.
        optional certificate_until: Located<Date> => "2027-01-31";
        /// PIN as an Argon2 hash in PHC form, never the PIN itself.
        optional pin: Located<Text> => "\"$argon2id$v=19$m=19456,t=2,p=1$…\"";
        /// Public key for signatures.
        optional public_key: Located<Text> => "\"…\"";
        /// Last day with the shop, for people who have left.
        optional until: Located<Date> => "2026-12-31";
    }
}
