//! `family!`: a family of figures, declared once.
//!
//! A row is type, range, default, listing, help and string door at once; the
//! body is mathematics over typed fields.
//!
//! ```text
//! family! {
//!     /// More than its name and title say.             (doc comment; optional)
//!     pub TOE = "toe" in Geometry: "toe as a length and as an angle";
//!     also "toe-in", "toe-angle";                       (other names; optional)
//!     reads Toe {
//!         required diameter: Length in ABOVE_ZERO, "diameter it is measured at", "d", "tyre";
//!         optional total_length: Length, "total toe as a length; toe-in positive", "toe";
//!         optional wheel_length: Length, "toe of one wheel as a length";
//!     }
//!     rules { one_of(total_length, wheel_length); }     (optional)
//!     gives ToeAnswer {
//!         wheel_angle: Angle, "toe per wheel", "asin(t / D)", CHORD => .style(FINE_ANGLE);
//!         wheel_length: Length, "toe per wheel as a length", "D sin(angle)", CHORD;
//!     }
//!     asked wheel_angle;                                (what a person asks for, if not the first)
//!     example "diameter=\"31 in\" total_length=\"1/16 in\"";
//!     by toe
//! }
//!
//! fn toe(given: &Toe, answer: &mut ToeAnswer) -> Result<()> {
//!     let length = given.wheel_length.or(given.total_length.map(|t| t / 2.0)) ...;
//!     answer.wheel_angle.put(math::asin(length.si() / given.diameter.si()));
//! }
//! ```
//!
//! Row of `reads`: `MODE name: Type [= default] [in RANGE], "help" [, "other name"]*;`
//! - `required` T; `optional` `Option<T>`; `default` T, with the default stated
//!   once: `= "0.2 deg"`, or `= Over` for an enum; `fallback` `Option<T>`, the
//!   default described in words and worked out by the body: `= "as thick as t1"`;
//!   `flag` with type `bool`, absent is no; `list` `Vec<T>`, at least one; `many`
//!   `Vec<T>`, may be empty (`= "..."` describes what stands in).
//! - T: a quantity, `bool`, `String` (a designation), an enum made with `words!`.
//! - RANGE: [`ABOVE_ZERO`](super::range::ABOVE_ZERO), `NOT_NEGATIVE`,
//!   `within(0.0, 12.0, unit::IN, SOURCE)`, `count(1, 4, SOURCE)`; `.above_zero()`,
//!   `.whole()`, and `.usually(1.0, 6.0, unit::IN)` for what is told and not refused. Checked for whatever is given before the body runs, each item of
//!   a list too: the body has no `positive` and no `within` of its own, but for
//!   what it works out.
//! - `..size: Size;` first in the block takes in a group of inputs several families
//!   share, declared alone by `family! { /// .. reads Size { .. } rules { .. } }`;
//!   the body sees `given.size.thread`.
//!
//! What can't be is refused in place: `(id >= od).refuse("the tube has no wall", "check
//! od and id")?;` (why, and what to look at), or by a [`Trouble`](super::Trouble) where
//! the sentence has numbers in it.
//!
//! `given.x.need()?` is for a branch that can't do without an optional input, and
//! [`require`](super::read::require) names several at once.
//!
//! `*given.x` looks at an input and notes that it was used (methods need no `*`);
//! `given.x.given()` only asks whether it was stated; `.uncertainty()` tells
//! what came with it. An input no run looks at is told as
//! unused, so look at it in the branch that uses it, not before.
//!
//! Rules: `one_of`, `some_of`, `at_most_one`, `together`, `needs(a, b, c)` (a needs
//! the others), `ordered(low, high)` (the ends of a range, told before anything is missing). What may be given twice if it fits: [`agree`](super::rule::agree).
//!
//! Row of `gives`: `name: Type, "title", "formula", SOURCE [=> .style(..).down()..];`
//! with a quantity, `bool`, `String`, an enum of `words!`, `Vec<Length>`,
//! `Vec<String>`. The body gives it with `put`, `put_some`, `put_uncertain`; says
//! what differs this time with `.formula(..)`, `.source(..)`, `.style(..)`; warns
//! with `answer.warn`, `.note`; and says `answer.said.uncertainty_is_in()`
//! where it has carried the uncertainty itself. A setting that was decided
//! (rounded to a mark, chosen from a table) goes through `decide`, and the body
//! goes on with what that returns: `let set = answer.torque_set.decide(nearest);`.
//! A verdict keeps a guard band: on one margin by `judge(margin, yes, no, open)`,
//! on several conditions by `answer.factor.expanded()`, the expanded uncertainty of
//! an output, zero until it is known: the body runs once more when it is.
//! Results stand in declared order.
//!
//! From Rust: `Ask::<Toe>::new().with(Toe::diameter, d).some(Toe::total_length, t)
//! .answer()?.wheel_angle.get()`. `Toe::diameter` is the typed name, `.id()` its text.
//!
//! The same question for several kinds: `reads Decision<T> { .. }` and `gives
//! Decided<T> { .. }` alone, then `family! { reads Decision<T> gives Decided<T> in
//! Metrology by decide; pub X<Length> = "x": "title"; example "..."; .. }`.

use super::{Input, Rule};

/// Puts lists of rows together when the program is compiled.
#[must_use]
pub const fn join<T: Copy, const N: usize>(parts: &[&[T]], blank: T) -> [T; N] {
    let mut all = [blank; N];
    let (mut at, mut part) = (0, 0);
    while part < parts.len() {
        let mut row = 0;
        while row < parts[part].len() {
            all[at] = parts[part][row];
            at += 1;
            row += 1;
        }
        part += 1;
    }
    all
}

/// A row that stands for none yet.
pub const NO_INPUT: Input = Input::flag("", "");
/// A rule that asks for nothing.
pub const NO_RULE: Rule = Rule::AtMostOne(&[]);

/// Declares a family; see [`declare`](crate::figure::declare).
#[macro_export]
macro_rules! family {
    // One family with its structs.
    (
        $(#[doc = $about:literal])*
        pub $id:ident = $name:literal in $group:ident: $title:literal;
        $(also $($other:literal),+;)?
        reads $in:ident { $($reads:tt)* }
        $(rules { $($rules:tt)* })?
        gives $out:ident { $($gives:tt)* }
        $(asked $($asked:ident),+;)?
        example $example:literal;
        by $body:expr
    ) => {
        $crate::family!(@reads [concat!("Inputs of `", $name, "`.")] $in [] { $($reads)* } [$($($rules)*)?]);
        $crate::family!(@gives [concat!("Outputs of `", $name, "`.")] $out [] { $($gives)* });
        $crate::family!(@family [$(#[doc = $about])*] $id $name $group $title [$($($other),+)?]
            [$in] [$out] [$($(<$out>::$asked.id()),+)?] $example $body);

        impl $crate::figure::Asks for $in {
            const FAMILY: &'static $crate::figure::Family = &$id;
            type Answer = $out;
        }
    };

    // One question for several kinds of quantity, of structs that stand elsewhere.
    (
        reads $in:ident<T> gives $out:ident<T> in $group:ident by $body:path;
        $(
            pub $id:ident<$kind:ident> = $name:literal: $title:literal;
            $(also $($other:literal),+;)?
            $(asked $($asked:ident),+;)?
            example $example:literal;
        )+
    ) => {
        $(
            $crate::family!(@family [] $id $name $group $title [$($($other),+)?]
                [$in<$kind>] [$out<$kind>] [$($(<$out<$kind>>::$asked.id()),+)?] $example $body);

            impl $crate::figure::Asks for $in<$kind> {
                const FAMILY: &'static $crate::figure::Family = &$id;
                type Answer = $out<$kind>;
            }
        )+
    };

    // Inputs alone: a group, or the inputs of a question for several kinds.
    ($(#[doc = $about:literal])+ reads $in:ident $(<$t:ident>)? { $($reads:tt)* } $(rules { $($rules:tt)* })?) => {
        $crate::family!(@reads [concat!($($about,)+)] $in [$($t)?] { $($reads)* } [$($($rules)*)?]);
    };

    // Outputs alone.
    ($(#[doc = $about:literal])+ gives $out:ident $(<$t:ident>)? { $($gives:tt)* }) => {
        $crate::family!(@gives [concat!($($about,)+)] $out [$($t)?] { $($gives)* });
    };

    (@family [$($about:tt)*] $id:ident $name:literal $group:ident $title:literal [$($other:literal),*]
        [$in:ty] [$out:ty] [$($asked:expr),*] $example:literal $body:expr) => {
        #[doc = concat!("Figures of `", $name, "`: ", $title, ".")]
        $($about)*
        pub static $id: $crate::figure::Family = $crate::figure::Family {
            name: $name,
            declared: $crate::figure::Declared {
                rules: <$in as $crate::figure::Reads>::RULES,
                other_names: &[$($other),*],
                asked: &[$($asked),*],
            },
            group: $crate::figure::Group::$group,
            title: $title,
            inputs: <$in as $crate::figure::Reads>::INPUTS,
            outputs: <$out as $crate::figure::Gives>::OUTPUTS,
            example: $example,
            run: |given, answer| $crate::figure::gives::run::<$in, $out>(given, answer, $body),
        };
    };

    (@reads [$about:expr] $in:ident [$($t:ident)?] {
        $(..$group:ident: $of:ident;)*
        $($mode:ident $field:ident: $type:ident $(= $usual:tt)? $(in $range:expr)?, $help:literal $(, $alias:literal)*;)*
    } [$($rule:ident($($who:ident),+);)*]) => {
        #[doc = $about]
        #[derive(Debug, Clone)]
        pub struct $in$(<$t>)? {
            $(
                #[doc = concat!("Inputs of the group `", stringify!($of), "`.")]
                pub $group: $of,
            )*
            $(
                #[doc = $help]
                pub $field: $crate::figure::Read<$crate::figure::read::held::$mode<$type>>,
            )*
        }

        #[allow(non_upper_case_globals, reason = "a name is written as its field is")]
        impl$(<$t: $crate::quantity::Dimensioned>)? $in$(<$t>)? {
            $(
                #[doc = $help]
                pub const $field: $crate::figure::Name<Self, $crate::figure::read::named::$mode<$type>> =
                    $crate::figure::Name::new(stringify!($field));
            )*
        }

        impl$(<$t>)? $crate::figure::Holds<Self> for $in$(<$t>)? {}
        $(impl $crate::figure::Holds<$of> for $in {})*

        impl$(<$t: $crate::quantity::Dimensioned>)? $crate::figure::Reads for $in$(<$t>)? {
            const OWN: &'static [$crate::figure::Input] = &[$($crate::figure::Input {
                name: stringify!($field),
                aliases: &[$($alias),*],
                kind: $crate::family!(@kind $mode $type),
                need: $crate::family!(@need $mode $type $($usual)?),
                range: $crate::family!(@range $($range)?),
                twins: <$type as $crate::figure::Field>::TWINS,
                help: $help,
            }),*];
            const INPUTS: &'static [$crate::figure::Input] = $crate::family!(@all $in INPUTS OWN
                $crate::figure::Input, $crate::figure::declare::NO_INPUT, [$($of)*]);
            const OWN_RULES: &'static [$crate::figure::Rule] =
                &[$($crate::family!(@rule $rule)(&[$(Self::$who.id()),+])),*];
            const RULES: &'static [$crate::figure::Rule] = $crate::family!(@all $in RULES OWN_RULES
                $crate::figure::Rule, $crate::figure::declare::NO_RULE, [$($of)*]);

            fn read(given: &$crate::figure::Given) -> Result<Self, $crate::figure::Trouble> {
                #[allow(unused_mut, unused_variables, reason = "a family may read groups alone")]
                let mut rows = Self::OWN.iter();
                Ok(Self {
                    $($group: <$of as $crate::figure::Reads>::read(given)?,)*
                    $($field: $crate::figure::read::take::$mode(given, rows.next())?,)*
                })
            }

            fn mark(&self, given: &$crate::figure::Given) {
                $($crate::figure::Reads::mark(&self.$group, given);)*
                $(self.$field.mark(given);)*
            }
        }
    };

    (@gives [$about:expr] $out:ident [$($t:ident)?] {
        $($field:ident: $type:ty, $title:literal, $formula:literal, $source:expr $(=> $(.$build:ident($($arg:tt)*))+)?;)*
    }) => {
        #[doc = $about]
        #[derive(Debug, Clone)]
        pub struct $out$(<$t>)? {
            $(
                #[doc = concat!($title, ": ", $formula)]
                pub $field: $crate::figure::Out<$type>,
            )*
            /// Warnings and notes.
            pub said: $crate::figure::Said,
        }

        #[allow(non_upper_case_globals, reason = "a name is written as its field is")]
        impl$(<$t: $crate::quantity::Dimensioned>)? $out$(<$t>)? {
            $(
                #[doc = $title]
                pub const $field: $crate::figure::Name<Self, $type> =
                    $crate::figure::Name::new(stringify!($field));
            )*
        }

        impl$(<$t: $crate::quantity::Dimensioned>)? $crate::figure::Gives for $out$(<$t>)? {
            const OUTPUTS: &'static [$crate::figure::Output] = &[$($crate::figure::Output::of(
                <$type as $crate::figure::Shown>::KIND,
                stringify!($field),
                $title,
                $formula,
                $source,
            )$($(.$build($($arg)*))+)?),*];

            fn holding(answer: &$crate::figure::Answer) -> Self {
                Self {
                    $($field: $crate::figure::Out::holding(answer, stringify!($field)),)*
                    said: $crate::figure::Said::default(),
                }
            }

            fn of(answer: &$crate::figure::Answer) -> Self {
                Self {
                    $($field: $crate::figure::Out::of(answer, stringify!($field)),)*
                    said: $crate::figure::Said::default(),
                }
            }

            fn file(self, answer: &mut $crate::figure::Answer) {
                $(self.$field.file(answer, stringify!($field));)*
                answer.said = self.said;
            }

            fn said(&mut self) -> &mut $crate::figure::Said {
                &mut self.said
            }
        }
    };

    (@kind list $type:ident) => { $crate::figure::InputKind::List(<$type as $crate::quantity::Dimensioned>::KIND) };
    (@kind many $type:ident) => { $crate::figure::InputKind::List(<$type as $crate::quantity::Dimensioned>::KIND) };
    (@kind $mode:ident $type:ident) => { <$type as $crate::figure::Field>::KIND };

    (@need required $type:ident) => { $crate::figure::Need::Required };
    (@need list $type:ident) => { $crate::figure::Need::Required };
    (@need optional $type:ident) => { $crate::figure::Need::Optional };
    (@need flag $type:ident) => { $crate::figure::Need::Optional };
    (@need many $type:ident) => { $crate::figure::Need::Optional };
    (@need many $type:ident $usual:literal) => { $crate::figure::Need::Default($usual) };
    (@need fallback $type:ident $usual:literal) => { $crate::figure::Need::Default($usual) };
    (@need default $type:ident $usual:literal) => { $crate::figure::Need::Default($usual) };
    (@need default $type:ident $usual:ident) => { $crate::figure::Need::Default($type::$usual.word()) };

    (@rule one_of) => { $crate::figure::Rule::OneOf };
    (@rule some_of) => { $crate::figure::Rule::SomeOf };
    (@rule at_most_one) => { $crate::figure::Rule::AtMostOne };
    (@rule together) => { $crate::figure::Rule::Together };
    (@rule needs) => { $crate::figure::Rule::Needs };
    (@rule ordered) => { $crate::figure::Rule::Ordered };

    (@range) => { $crate::figure::range::ANY };
    (@range $range:expr) => { $range };

    (@all $in:ident $all:ident $own:ident $row:ty, $blank:expr, []) => { Self::$own };
    (@all $in:ident $all:ident $own:ident $row:ty, $blank:expr, [$($of:ident)+]) => {{
        const N: usize = <$in as $crate::figure::Reads>::$own.len()
            $(+ <$of as $crate::figure::Reads>::$all.len())+;
        const ROWS: [$row; N] = $crate::figure::declare::join(
            &[$(<$of as $crate::figure::Reads>::$all,)+ <$in as $crate::figure::Reads>::$own],
            $blank,
        );
        &ROWS
    }};
}

/// Declares an enum that is typed and shown as one of a few words, for inputs
/// and outputs of figures. Words of the trade that mean the same stand behind
/// the word: `Over = "over" | "spring-over"`.
#[macro_export]
macro_rules! words {
    ($(#[doc = $about:literal])+ $vis:vis $name:ident {
        $($(#[doc = $doc:literal])* $variant:ident = $word:literal $(| $twin:literal)*,)+
    }) => {
        $(#[doc = $about])+
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        $vis enum $name { $($(#[doc = $doc])* #[doc = concat!("`", $word, "`.")] $variant,)+ }

        $crate::worded!($name { $($variant = $word,)+ });
        $crate::words!(@traits $name, $name::WORDS, $name::of, $name::word,
            &[$($(($twin, $word),)*)+]);
    };

    // The traits for an enum that has its words already.
    (@traits $name:ident, $words:expr, $of:expr, $word:expr, $twins:expr) => {
        impl $crate::figure::Held for $name {
            fn value(&self) -> $crate::figure::Value {
                $crate::figure::Value::word($word(*self))
            }

            fn back(value: &$crate::figure::Value) -> Option<Self> {
                match value {
                    $crate::figure::Value::Word(word) => $of(word.as_str()),
                    _ => None,
                }
            }
        }

        impl $crate::figure::Field for $name {
            const KIND: $crate::figure::InputKind = $crate::figure::InputKind::Choice($words);
            const TWINS: &'static [(&'static str, &'static str)] = $twins;
        }

        impl $crate::figure::Shown for $name {
            const KIND: $crate::figure::OutputKind = $crate::figure::OutputKind::Word;
        }
    };
}
