//! A cut that can't be undone stays shut while what was read speaks against it,
//! through the program as a shop uses it.

use crate::support::story::Shop;

#[test]
fn walls_that_read_through_the_sleeve_keep_the_cut_shut() {
    let mut shop = Shop::new();
    // The knuckles alone: 22 operations to the cut.
    let mut job = std::fs::read_to_string(shop.path("job.toml")).unwrap();
    for other in ["spring-over", "shackle-move", "linkage"] {
        job = job.replace(&format!("[[work]]\nprocedure = \"{other}\"\non = [\"front\"]\n"), "");
    }
    // What those worked on stands in the job all the same, for a job of its own.
    for part in ["pad", "hanger", "u-bolt", "shackle", "flange"].map(|kind| format!("use = \"{kind}\"")) {
        job = job.replace(&part, &format!("{part}\nsure = \"done on a job of its own\""));
    }
    job = job.replace("[axle.spring]\n", "[axle.spring]\nsure = \"moved on a job of its own\"\n");
    // So does the shaft: the joints of this job's angles are not the ones it will run on.
    let shaft = "id = \"front\"\nsure = \"the shaft is made on a job of its own\"\n";
    job = job.replacen("id = \"front\"\n", shaft, 1);
    // The housing was turned there too: the caster is found as that left it.
    for (before, turned) in [("4.0", "-5.3"), ("3.8", "-5.5")] {
        let caster = |value: &str| format!("caster = \"{value} deg ± 0.2 deg\"");
        let sure = format!("{}\nsure = \"the housing was turned on a job of its own\"", caster(turned));
        job = job.replace(&caster(before), &sure);
    }
    std::fs::write(shop.path("job.toml"), job).unwrap();
    shop.act(&["issue", "job.toml"], "");
    let plan = shop.plan("A");
    let cut = plan.iter().position(|o| o["id"] == "cut-knuckles").unwrap();
    for operation in &plan[..cut] {
        shop.operation(operation);
    }
    let hold = plan[cut]["before"][0]["number"].as_str().unwrap().to_owned();
    let walls = plan[..cut].iter().find(|o| o["id"] == "read-walls").unwrap();
    // Nominal wall 0.281 in: twice that is tube and spigot, read as one.
    let place = format!("{}.top.left", walls["number"]);
    let by = plan_role(walls);
    let read = ["measure", "TW-2041", &place, "0.560 in", "--by", &by, "--with", "UT-1", "--again"];
    shop.act(&read, "");
    let sign = ["sign", "TW-2041", &hold, "--by", "LO", "--as", "lead"];
    let said = shop.run(&sign, "");
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
    assert!(said.err.contains("L119") && said.err.contains("forbids the cut"), "{}", said.err);
    assert!(said.err.contains("above the nominal wall"), "{}", said.err);
    assert!(said.err.contains("read again"), "{}", said.err);
    // Read again through the tube alone, the hold opens.
    let right = ["measure", "TW-2041", &place, "0.279 in", "--by", &by, "--with", "UT-1", "--again"];
    shop.act(&right, "");
    let said = shop.run(&sign, "");
    assert!(!said.err.contains("L119"), "{}{}", said.out, said.err);
}

/// Who does the work of an operation.
fn plan_role(operation: &serde_json::Value) -> String {
    crate::support::story::person(operation["role"].as_str().unwrap()).to_owned()
}
