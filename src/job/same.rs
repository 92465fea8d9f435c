//! Whether two texts of a job are the same work.

use toml::Table;

/// Keys of `[job]` that say when and under which letter, not what.
const LETTER: &[&str] = &["revision", "date"];

/// Whether two texts of a job differ in nothing but comments, spacing, the letter and
/// date of the revision, and their rows of `[[change]]`.
#[must_use]
pub fn same_work(one: &str, other: &str) -> bool {
    let work = |text: &str| -> Option<Table> {
        let mut table: Table = text.parse().ok()?;
        table.remove("change");
        if let Some(job) = table.get_mut("job").and_then(toml::Value::as_table_mut) {
            LETTER.iter().for_each(|key| drop(job.remove(*key)));
        }
        Some(table)
    };
    match (work(one), work(other)) {
        (Some(one), Some(other)) => one == other,
        _ => one == other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_of_change_is_no_change() {
        let job = "[job]\nnumber = \"T\"\nrevision = \"A\"\n";
        let row = "[[change]]\nrevision = \"B\"\nwhat = \"longer pads\"\n";
        assert!(same_work(job, &format!("# seen\n{}{row}", job.replace("\"A\"", "\"B\""))));
        assert!(!same_work(job, &format!("{job}title = \"other\"\n{row}")));
        assert!(!same_work("no toml", job));
    }
}
