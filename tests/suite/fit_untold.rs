//! What a joint does not state fits nothing in the shop book: nobody and no machine gets a yes
//! by a line that was left out. Jobs are the demonstration, invented.

use std::process::Command;

const JOB: &str = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/brush-truck.toml"));

/// The job without the first line that begins so behind the head of joint J4, whose WPS-03 and
/// tests of the welders it fits as shipped.
fn without(line: &str) -> String {
    let joint = JOB.find("id = \"J4\"").expect("the joint");
    let start = joint + JOB[joint..].find(&format!("\n{line} = ")).expect("the line") + 1;
    let end = start + JOB[start..].find('\n').expect("its end") + 1;
    format!("{}{}", &JOB[..start], &JOB[end..])
}

/// What `check` prints of a job, and whether it says yes.
fn checked(text: &str) -> (String, bool) {
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("job.toml");
    std::fs::write(&job, text).expect("a file");
    let output =
        Command::new(env!("CARGO_BIN_EXE_tackwright")).arg("check").arg(&job).output().expect("it runs");
    let said = String::from_utf8(output.stdout).expect("text");
    let ready = output.status.success() && said.trim_end().ends_with("\nready");
    (said, ready)
}

#[test]
fn a_line_that_is_left_out_makes_no_yes() {
    let may = |text: &str| {
        let rows = text.lines().map(|l| l.split_whitespace().collect::<Vec<_>>());
        rows.filter(|row| row.first() == Some(&"J4") && row.get(4) == Some(&"yes")).count()
    };
    let (whole, ready) = checked(JOB);
    assert!(ready && may(&whole) > 0, "{whole}");
    for (key, says) in [
        ("process", "the joint states no process"),
        ("position", "the joint states no position"),
        ("filler", "filler is not stated in the joint"),
    ] {
        let (said, ready) = checked(&without(key));
        assert_eq!(may(&said), 0, "without {key}:\n{said}");
        assert!(said.contains(says), "without {key}:\n{said}");
        assert!(!ready, "without {key}:\n{said}");
    }
}
