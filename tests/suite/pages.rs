//! The pages: what is printed, where, and what the file claims.

use tackwright::render;
use tackwright::traveler::Document;

use crate::support::sample;

#[test]
fn samples_typeset_cleanly() {
    for (name, document) in [("blank", sample::traveler()), ("completed", sample::completed()), ("empty", Document::default())] {
        let rendered = render::pdf(&document, &[]).unwrap();
        assert_eq!(rendered.warnings, Vec::<String>::new(), "{name}");
        if let Ok(folder) = std::env::var("TACKWRIGHT_PAGES") {
            std::fs::write(format!("{folder}/{name}.pdf"), &rendered.bytes).unwrap();
        }
    }
}
