//! What is printed at full size for a job.

terms! {
    /// A kind of sheet at full size.
    pub enum FullSize {
        /// A strip wrapped round a tube, with its cut line and the turn.
        WrapStrip = "wrap-strip" as "wrap-strip",
        /// An angle to cut out.
        AngleGauge = "angle-gauge" as "angle-gauge",
        /// Outline of a spring pad and its hole.
        SpringPad = "spring-pad" as "spring-pad",
        /// The plate under the nuts of U-bolts.
        UBoltPlate = "u-bolt-plate" as "u-bolt-plate",
        /// A tube cut to fit another.
        Cope = "cope" as "cope",
        /// A tube cut to meet another of its size.
        Mitre = "mitre" as "mitre",
        /// A tube divided into equal parts.
        Division = "equal-division" as "equal-division",
        /// A plate with its holes.
        Drill = "drill-pattern" as "drill-pattern",
        /// Outline of a plate between two parts that meet at an angle.
        Gusset = "gusset" as "gusset",
        /// A bracket, flat, before it is bent.
        Bracket = "bent-bracket" as "bent-bracket",
        /// A shim under a spring.
        Shim = "taper-shim" as "taper-shim",
    }
}
