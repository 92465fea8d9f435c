//! The two boxes of a completed record that take a digital signature: the
//! shop's when it closes, the customer's on acceptance.

use super::super::super::document::SignatureBox;

/// Field of the shop's signature.
pub const SHOP: &str = "shop";
/// Field of the customer's signature.
pub const CUSTOMER: &str = "customer";

/// Who signs for the shop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Signer<'a> {
    /// Name in the certificate.
    pub name: &'a str,
    /// SHA-256 of the root certificate, lower case hexadecimal.
    pub root: &'a str,
    /// Whether the certificate is a demonstration's.
    pub demonstration: bool,
}

/// A fingerprint in groups of four digits, to be compared by eye.
#[must_use]
pub fn grouped(fingerprint: &str) -> String {
    let digits: Vec<char> = fingerprint.chars().collect();
    digits.chunks(4).map(|four| four.iter().collect::<String>()).collect::<Vec<_>>().join(" ")
}

/// Both boxes. The shop's says what its signature will be; whether it holds is
/// for the reader's program to show.
pub(super) fn boxes(signer: Option<Signer<'_>>, closed: bool) -> Vec<SignatureBox> {
    let shop = match signer {
        Some(signer) => {
            let mut lines = vec![
                format!("Signed digitally as {}. Any PDF reader shows whether it holds.", signer.name),
                format!("Root certificate, SHA-256: {}", grouped(signer.root)),
                "Compare that with the head page of the traveler you were given.".to_owned(),
            ];
            if signer.demonstration {
                lines.insert(0, "DEMONSTRATION KEY: this signature proves nothing.".to_owned());
            }
            lines
        }
        None => vec!["The shop has no key to sign with: this record is not signed by it.".to_owned()],
    };
    let one = |field: &str, title: &str, spoken: &str, lines| SignatureBox {
        field: field.to_owned(),
        title: title.to_owned(),
        spoken: spoken.to_owned(),
        lines,
    };
    vec![
        one(SHOP, if closed { "Shop: closed as recorded" } else { "Shop: as it stands, not closed" }, "Digital signature of the shop over this record", shop),
        one(
            CUSTOMER,
            "Customer: accepted",
            "Digital signature of the customer, on acceptance",
            vec!["Empty until the customer signs here, with any program that signs PDF files. The shop's signature stays valid.".to_owned()],
        ),
    ]
}
