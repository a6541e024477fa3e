//! What makes git show another history than the one that is there, without any commit of a record.

use super::ground::Ground;

#[test]
fn other_names_in_the_folder_in_a_commit_and_by_settings_are_told() {
    let other = "Rosa Castellanos <r.castellanos@hospital.example> <test@hospital.example>\n";
    let told = "git shows other names in place of those in the history";
    let ground = Ground::new();
    ground.put(".mailmap", "# nobody\n\n");
    assert!(!ground.run(&["audit"]).out.contains("history-shown-otherwise"));
    ground.put(".mailmap", other);
    ground.run(&["audit"]).is(1).says("problem[history-shown-otherwise]").says(told).says("--> .mailmap");
    // Git itself is fooled, and is not by the line that is shown.
    assert_eq!(ground.git(&["log", "-1", "--format=%aN"]), "Rosa Castellanos");
    assert!(ground.git(&["log", "-1", "--no-mailmap", "--format=fuller"]).contains("Author:     Test"));
    // This program does not bring it into the history; whoever does is told, and so is every copy.
    ground.run(&["keep", "--by", "m-okafor"]).says("not taken: .mailmap");
    ground.commit_all();
    std::fs::remove_file(ground.root().join(".mailmap")).unwrap();
    ground.run(&["audit", "--list"]).is(1).says(told).says(".mailmap\n    ");
    ground.run(&["keep", "--by", "m-okafor"]).is(0);
    assert!(!ground.run(&["audit"]).out.contains(told));
    for setting in ["mailmap.file", "mailmap.blob"] {
        let ground = Ground::new();
        ground.git(&["config", setting, "elsewhere"]);
        ground.run(&["audit"]).is(1).says(told).says(".git/config");
    }
}

#[test]
fn programs_that_change_what_is_shown_are_told() {
    for setting in ["diff.y.textconv", "diff.y.command", "diff.external"] {
        let ground = Ground::new();
        ground.put(".git/info/attributes", "*.yaml diff=y\n");
        ground.git(&["config", setting, "sed s/withheld/passed/"]);
        let told = format!("git shows what a program makes of the files, by the setting `{setting}`");
        ground.run(&["audit"]).is(1).says("problem[history-shown-otherwise]").says(&told);
    }
}

#[test]
fn what_hides_new_records_from_git_is_told() {
    let ground = Ground::new();
    ground.put("records/2026/11/.gitignore", "*\n");
    ground.put("machines/.gitkeep", "");
    ground.run(&["validate"]).is(1).says("problem[stray-file]").says("--> records/2026/11/.gitignore");
    ground.git(&["add", "--all", "--force", "."]);
    ground.git(&["commit", "--quiet", "-m", "Hide"]);
    ground.run(&["validate", "--commit", "HEAD"]).is(1).says("--> records/2026/11/.gitignore");
    ground.run(&["audit", "--list"]).says("records/2026/11/.gitignore\n    ");
    // Taking it away is no fault.
    ground.git(&["rm", "--quiet", "records/2026/11/.gitignore"]);
    ground.git(&["commit", "--quiet", "-m", "Show"]);
    ground.run(&["validate"]).is(0);
    assert!(!ground.run(&["audit"]).out.contains("record-altered"));
    // What keeps a folder in git is empty.
    ground.put("records/.gitkeep", "x\n");
    let kept = ground.run(&["validate"]).is(1).says("problem[stray-file]").says("--> records/.gitkeep");
    assert!(!kept.out.contains("machines/.gitkeep"), "{}", kept.out);
    ground.commit_all();
    ground.run(&["validate", "--commit", "HEAD"]).is(1).says("--> records/.gitkeep");
}

/// The digits that somebody wrote down are those of a commit, whatever a tag is called.
#[test]
fn a_tag_is_not_taken_for_the_commit_whose_digits_it_has() {
    let ground = Ground::new();
    ground.put("README.md", "One more commit.\n");
    ground.commit_all();
    let (first, last) = (ground.git(&["rev-parse", "HEAD~1"]), ground.git(&["rev-parse", "HEAD"]));
    for digits in [&last[..7], &last[..10], &last] {
        ground.git(&["update-ref", &format!("refs/tags/{digits}"), &first]);
        ground
            .run(&["validate", "--commit", digits])
            .is(0)
            .says(&format!("commit {} of 2026-11-25 12:00", &last[..10]));
    }
    ground.git(&["tag", "2026-11"]);
    ground.run(&["validate", "--commit", "2026-11"]).is(0).says(&format!("commit {}", &last[..10]));
    ground.run(&["validate", "--commit", "HEAD~1"]).is(0).says(&format!("commit {}", &first[..10]));
    assert!(!ground.run(&["validate"]).is(0).out.contains("commit "));
}
