//! Reads the paths a Rust source names (`crate::file`, `std::fs::read`),
//! with the groups of its `use` items spread out. Enough of the language for
//! the sources of this project; comments and texts do not count.

/// A path as it stands in a source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct UsedPath {
    /// Its parts.
    pub(crate) parts: Vec<String>,
    /// Line, from one.
    pub(crate) line: usize,
    /// Whether it is a macro call.
    pub(crate) called: bool,
    /// How many inline modules it stands in.
    pub(crate) nested: usize,
}

/// The source with comments and the insides of texts blanked, lines kept.
pub(crate) fn without_text(source: &str) -> String {
    let chars: Vec<char> = source.chars().collect();
    let mut out = String::with_capacity(source.len());
    let mut i = 0;
    let at = |i: usize| chars.get(i).copied().unwrap_or('\0');
    let blank = |c: char| if c == '\n' { '\n' } else { ' ' };
    while i < chars.len() {
        let c = at(i);
        if c == '/' && at(i + 1) == '/' {
            while i < chars.len() && at(i) != '\n' {
                out.push(' ');
                i += 1;
            }
        } else if c == '/' && at(i + 1) == '*' {
            while i < chars.len() && !(at(i) == '*' && at(i + 1) == '/') {
                out.push(blank(at(i)));
                i += 1;
            }
            i += 2;
        } else if c == 'r'
            && (at(i + 1) == '"' || (at(i + 1) == '#' && (at(i + 2) == '"' || at(i + 2) == '#')))
        {
            let hashes = chars[i + 1..].iter().take_while(|c| **c == '#').count();
            i += 2 + hashes;
            while i < chars.len()
                && !(at(i) == '"'
                    && chars[i + 1..].iter().take(hashes).filter(|c| **c == '#').count() == hashes)
            {
                out.push(blank(at(i)));
                i += 1;
            }
            i += 1 + hashes;
        } else if c == '"' {
            i += 1;
            while i < chars.len() && at(i) != '"' {
                if at(i) == '\\' {
                    out.push(' ');
                    i += 1;
                }
                out.push(blank(at(i)));
                i += 1;
            }
            i += 1;
        } else if c == '\'' && (at(i + 2) == '\'' || at(i + 1) == '\\') {
            // A character, not a lifetime.
            i += 2;
            while i < chars.len() && at(i) != '\'' {
                i += 1;
            }
            i += 1;
            out.push(' ');
        } else {
            out.push(c);
            i += 1;
        }
    }
    out
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Token {
    Word(String),
    Path,
    Open,
    Close,
    Other(char),
}

fn tokens(text: &str) -> Vec<(Token, usize)> {
    let mut found = Vec::new();
    let mut line = 1;
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '\n' => line += 1,
            ':' if chars.peek() == Some(&':') => {
                chars.next();
                found.push((Token::Path, line));
            }
            '{' => found.push((Token::Open, line)),
            '}' => found.push((Token::Close, line)),
            c if c.is_alphanumeric() || c == '_' => {
                let mut word = c.to_string();
                while let Some(next) = chars.next_if(|n| n.is_alphanumeric() || *n == '_') {
                    word.push(next);
                }
                found.push((Token::Word(word), line));
            }
            c if c.is_whitespace() => {}
            c => found.push((Token::Other(c), line)),
        }
    }
    found
}

/// Every path of two parts or more, and the single names in `use` groups.
pub(crate) fn used_paths(source: &str) -> Vec<UsedPath> {
    let tokens = tokens(&without_text(source));
    let mut found = Vec::new();
    let mut depth = 0_usize;
    let mut modules: Vec<usize> = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        match &tokens[i].0 {
            Token::Open => {
                let opens_module = i >= 2
                    && matches!(&tokens[i - 2].0, Token::Word(w) if w == "mod")
                    && matches!(&tokens[i - 1].0, Token::Word(_));
                depth += 1;
                if opens_module {
                    modules.push(depth);
                }
                i += 1;
            }
            Token::Close => {
                if modules.last() == Some(&depth) {
                    modules.pop();
                }
                depth = depth.saturating_sub(1);
                i += 1;
            }
            Token::Word(_) => i = path(&tokens, i, &[], modules.len(), &mut found),
            _ => i += 1,
        }
    }
    found
}

/// Reads one path from `i`, with what stood before a group; gives where it ends.
fn path(
    tokens: &[(Token, usize)],
    mut i: usize,
    before: &[String],
    nested: usize,
    found: &mut Vec<UsedPath>,
) -> usize {
    let mut parts = before.to_vec();
    let line = tokens[i].1;
    loop {
        match tokens.get(i).map(|t| &t.0) {
            Some(Token::Word(word)) => {
                parts.push(word.clone());
                i += 1;
            }
            Some(Token::Other('*')) if !parts.is_empty() => i += 1,
            Some(Token::Open)
                if !parts.is_empty() && tokens.get(i - 1).map(|t| &t.0) == Some(&Token::Path) =>
            {
                i += 1;
                while i < tokens.len() && tokens[i].0 != Token::Close {
                    i = match tokens[i].0 {
                        Token::Word(_) => path(tokens, i, &parts, nested, found),
                        _ => i + 1,
                    };
                }
                return i + 1;
            }
            _ => break,
        }
        if tokens.get(i).map(|t| &t.0) == Some(&Token::Path) {
            i += 1;
        } else {
            break;
        }
    }
    if matches!(tokens.get(i).map(|t| &t.0), Some(Token::Word(word)) if word == "as") {
        i += 2;
    }
    let called = tokens.get(i).map(|t| &t.0) == Some(&Token::Other('!'));
    if parts.len() > 1 {
        found.push(UsedPath { parts, line, called, nested });
    }
    i.max(1)
}

#[test]
fn paths_are_read_as_the_language_means_them() {
    let source = r#"
        //! crate::nothing
        use crate::quantity::{Angle, show::{TAPE, GAUGE}, unit};
        use std::{fs, io::Write as _};
        mod tests { use super::super::job; }
        fn f<'a>(c: char) -> bool { c == '"' || "crate::text" == "x" || crate::record!(1) }
        fn g() { super::h(); std::env::var("HOME"); }
    "#;
    let found: Vec<String> = used_paths(source)
        .iter()
        .map(|p| format!("{}{}{}", p.parts.join("::"), if p.called { "!" } else { "" }, "'".repeat(p.nested)))
        .collect();
    assert_eq!(
        found,
        [
            "crate::quantity::Angle",
            "crate::quantity::show::TAPE",
            "crate::quantity::show::GAUGE",
            "crate::quantity::unit",
            "std::fs",
            "std::io::Write",
            "super::super::job'",
            "crate::record!",
            "super::h",
            "std::env::var",
        ]
    );
}
