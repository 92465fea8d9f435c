//! What a page's code says.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// What a page's code says: `NUMBER/REVISION/PAGE/DIGEST`, in upper case. It
/// catches mix-ups; it is no protection against forgery.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PageCode {
    /// Number of the traveler.
    pub number: String,
    /// Revision letter.
    pub revision: String,
    /// Page, from 1.
    pub page: u32,
    /// Beginning of the digest of the revision's list of files: upper case hexadecimal.
    pub digest: String,
}

/// A text that is no page's code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoPageCode;

impl fmt::Display for NoPageCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("not NUMBER/REVISION/PAGE/DIGEST")
    }
}

impl std::error::Error for NoPageCode {}

impl fmt::Display for PageCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = format!("{}/{}/{}/{}", self.number, self.revision, self.page, self.digest);
        f.write_str(&text.to_uppercase())
    }
}

impl FromStr for PageCode {
    type Err = NoPageCode;

    fn from_str(text: &str) -> Result<Self, NoPageCode> {
        let mut parts = text.rsplitn(4, '/');
        let mut part = || parts.next().filter(|p| !p.is_empty()).ok_or(NoPageCode);
        let (digest, page, revision, number) = (part()?, part()?, part()?, part()?);
        let page = page.parse().ok().filter(|p| *p > 0).ok_or(NoPageCode)?;
        let hex = |c: char| c.is_ascii_digit() || ('A'..='F').contains(&c);
        if digest.len() != 12 || !digest.chars().all(hex) {
            return Err(NoPageCode);
        }
        Ok(Self { number: number.to_owned(), revision: revision.to_owned(), page, digest: digest.to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_reads_back_and_nothing_else_is_one() {
        let text = "TW-2041/A/7/8595F7B01A2C";
        let code: PageCode = text.parse().unwrap();
        assert_eq!((code.page, code.to_string().as_str()), (7, text));
        for bad in
            ["", "TW-2041/A/0/8595F7B01A2C", "TW-2041/A/7/8595F7B01A2", "A/7/8595F7B01A2C", "https://x/y/1/z"]
        {
            assert!(bad.parse::<PageCode>().is_err(), "{bad}");
        }
    }
}
