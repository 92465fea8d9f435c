//! The shop on the paper and the shop in the certificates are one: who reads a record checks the
//! one by the other.

use std::path::Path;

use super::files::RecordHost;
use super::shop_key::CERTIFICATES;
use crate::app::load::Loaded;
use crate::app::plan::Failure;
use crate::app::shop::ShopBook;
use crate::diagnostic::{Diagnostic, Report};
use crate::seal::certificate::{self, describe};

/// A name as it is compared: words in lower case, without what stands in brackets.
fn plain(name: &str) -> Vec<String> {
    let mut depth = 0_usize;
    let outside = name.chars().map(|c| {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ => {}
        }
        if depth == 0 && c.is_alphanumeric() { c } else { ' ' }
    });
    let text: String = outside.flat_map(char::to_lowercase).collect();
    text.split_whitespace().map(str::to_owned).collect()
}

/// Whether two names are of one shop: the same words, or those of one within the other's, as a
/// certificate has the form of the firm behind them.
fn same(one: &str, other: &str) -> bool {
    let (one, other) = (plain(one), plain(other));
    let (few, many) = if one.len() < other.len() { (one, other) } else { (other, one) };
    !few.is_empty() && many.windows(few.len()).any(|words| words == few)
}

/// Whether the certificates beside the book of a job name the shop the job names. Where there is
/// no key, or the job names no shop, nothing is compared.
///
/// # Errors
/// If they name another one.
pub(super) fn agrees(host: &dyn RecordHost, book: &ShopBook, loaded: &Loaded) -> Result<(), Failure> {
    let Some(shop) = loaded.job.shop.as_ref().filter(|_| book.book.seal.is_some()) else { return Ok(()) };
    let path = Path::new(&book.source.name).with_file_name(CERTIFICATES);
    // What can't be read is said where it signs.
    let read = host.bytes(&path).ok().and_then(|bytes| certificate::read(&bytes).ok());
    let Some(leaf) = read.as_ref().and_then(|all| all.first()).map(describe) else { return Ok(()) };
    let signs = leaf.organization.as_deref().unwrap_or(&leaf.name);
    let name = &shop.name;
    if same(&name.value, signs) {
        return Ok(());
    }
    let mut report = Report::new();
    report.push(
        Diagnostic::error(
            "J310",
            format!(
                "the paper would name the shop \"{}\", and the key of its book signs as \"{signs}\"",
                name.value
            ),
        )
        .at(Some(name.span.clone()))
        .key(name.key.clone())
        .rule("who made a record is one shop, on its pages and in its signature")
        .expected("one name in both")
        .example(format!("name = \"{signs}\""))
        .help(format!(
            "or make a key under the shop's name: tackwright key renew --shop {} --name \"{}\"",
            book.source.name, name.value
        )),
    );
    Err(Failure::Refused(report, vec![loaded.source.clone()]))
}

#[cfg(test)]
mod tests {
    use super::same;

    #[test]
    fn one_shop_may_be_written_in_two_ways() {
        let yes = [
            ("Ridge Road Fabrication (invented)", "Ridge Road Fabrication"),
            ("Ridge Road Fabrication", "RIDGE ROAD  FABRICATION, Ltd."),
            ("Ridge-Road Fabrication", "Ridge Road Fabrication"),
        ];
        let no = [
            ("Ridge Road Fabrication", "Shop book of Ridge Road"),
            ("Ridge Road Fabrication", "Quarry Lane Fabrication"),
            ("Ridge Road Fabrication", "(invented)"),
            ("Road", "Broadroad"),
        ];
        assert!(yes.iter().all(|(one, other)| same(one, other) && same(other, one)));
        assert!(no.iter().all(|(one, other)| !same(one, other) && !same(other, one)));
    }
}
