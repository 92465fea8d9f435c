//! Characters of a text that nobody sees on paper or on a screen. The one list:
//! what a file may hold, what a page shows in their place and what reaches a
//! terminal are decided by it.

/// Whether a character acts on a text, or hides in it, without being seen:
/// controls (line break and tab among them), private ones whose meaning nobody
/// knows, and what Unicode wants drawn as nothing: direction marks, joiners,
/// fillers, variation selectors, tags.
///
/// Source: Unicode 16.0, `DerivedCoreProperties`, `Default_Ignorable_Code_Point`;
/// the interlinear marks and noncharacters up to U+FFFF with them. Line and
/// paragraph separators are left out: they are seen, as line breaks.
#[must_use]
pub fn is_unseen(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{00AD}' | '\u{034F}' | '\u{061C}' | '\u{115F}'..='\u{1160}' | '\u{17B4}'..='\u{17B5}'
            | '\u{180B}'..='\u{180F}' | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}'
            | '\u{2060}'..='\u{206F}' | '\u{3164}' | '\u{E000}'..='\u{F8FF}' | '\u{FE00}'..='\u{FE0F}'
            | '\u{FEFF}' | '\u{FFA0}' | '\u{FFF0}'..='\u{FFFB}' | '\u{FFFE}'..='\u{FFFF}'
            | '\u{1BCA0}'..='\u{1BCA3}' | '\u{1D173}'..='\u{1D17A}' | '\u{E0000}'..='\u{10FFFF}')
}

/// The first character of a text that hides in it. A line break and a tab do not, nor
/// what chooses how the sign before it looks (keyboards add it to their pictures).
#[must_use]
pub fn hidden(text: &str) -> Option<char> {
    let harmless = |c: char| matches!(c, '\n' | '\t' | '\u{FE00}'..='\u{FE0F}');
    text.chars().find(|c| is_unseen(*c) && !harmless(*c))
}

/// Whether a character ends a line: what is said in one sentence would begin another one, in
/// whosever words.
///
/// Source: Unicode 16.0, section 5.8, the mandatory breaks.
#[must_use]
pub const fn breaks_line(c: char) -> bool {
    matches!(c, '\n' | '\r' | '\u{000B}' | '\u{000C}' | '\u{0085}' | '\u{2028}' | '\u{2029}')
}

/// The text as it may reach a terminal or a name: what is unseen shows as a
/// replacement, but for line breaks.
#[must_use]
pub fn shown(text: &str) -> String {
    text.chars().map(|c| if is_unseen(c) && c != '\n' { '\u{FFFD}' } else { c }).collect()
}
