//! What a procedure may say of where a customer reads a value.

use super::procedures::wrong;

/// A row holds what it is for, and readings of one kind.
#[test]
fn a_row_of_the_record_fits_its_reading_when_the_procedure_loads() {
    let one = |rest: &str| wrong(&format!("reading = {{ id = \"one\", label = \"one\", {rest} }}"));
    let long = "kind = \"length\", most = \"1 mm\"";
    let free = "kind = \"text\", kept = \"a law of the land\"";
    for good in [
        format!("{long}, shows = {{ row = \"gap of the trial\" }}"),
        format!("{long}, shows = {{ row = \"gap of the trial\", height = \"front\", side = \"left\" }}"),
        format!("{long}, shows = {{ row = \"gap of the trial\", planned = \"lift\" }}"),
        format!("{free}, shows = {{ row = \"number\", section = \"parts\" }}"),
    ] {
        assert_eq!(one(&good), Vec::<String>::new(), "{good}");
    }
    for (code, bad) in [
        ("J301", format!("{free}, shows = {{ row = \"words of one's own\" }}")),
        ("J301", format!("{long}, shows = {{ row = \"no joints\", section = \"welds\" }}")),
        ("J301", format!("{long}, shows = {{ row = \"no part\", section = \"parts\" }}")),
        ("J301", format!("{free}, shows = {{ row = \"came\", section = \"papers\", came = true }}")),
        ("J301", format!("{long}, each = \"side\", shows = {{ row = \"two sides\", side = \"left\" }}")),
        ("J301", "kind = \"angle\", least = \"-1 deg\", most = \"1 deg\", shows = { row = \"an angle\", height = \"rear\" }".to_owned()),
        ("J302", format!("{long}, shows = {{ row = \"pinion angle\" }}")),
        ("P021", format!("{long}, shows = {{ row = \"another kind\", planned = \"caster_target\" }}")),
    ] {
        let said = one(&bad);
        assert!(said.len() == 1 && said[0].starts_with(code), "{bad}: {said:?}");
    }
    // What is read at each joint is never one row of the table.
    let said = wrong(&format!(
        "each = \"joint\"\nreading = {{ id = \"one\", label = \"one\", {long}, shows = {{ row = \"each\" }} }}"
    ));
    assert!(said.iter().any(|p| p.starts_with("J301")), "{said:?}");
}
