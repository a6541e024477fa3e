//! The way out of what goes wrong: what the program says next is done as it says, and git and `validate` judge the end.

#![cfg(all(test, unix))]
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test runs programs, reads what they wrote, and stops"
)]

#[path = "terminal/hospital.rs"]
#[expect(dead_code, reason = "other tests use the rest")]
mod hospital;

use hospital::{CHECK, Hospital};
use std::process::Command;

const PATH: &str = "records/2026/11/27/063500-theatre-1.check.yaml";

#[track_caller]
fn says(hospital: &Hospital, arguments: &[&str], status: i32, words: &[&str]) -> String {
    let (ended, said) = hospital.run(arguments);
    assert_eq!(ended, status, "{said}");
    for word in words {
        assert!(said.contains(word), "`{word}` is not in\n{said}");
    }
    said
}

/// Runs lines as they were shown, with the commits of a colleague; some of them end with another status than 0.
fn shell(hospital: &Hospital, lines: &str) -> String {
    let mut command = Command::new("sh");
    command.current_dir(hospital.root()).args(["-c", lines]);
    command.envs([("GIT_CONFIG_GLOBAL", "/dev/null"), ("GIT_CONFIG_NOSYSTEM", "1"), ("LC_ALL", "C")]);
    for who in ["AUTHOR", "COMMITTER"] {
        command
            .env(format!("GIT_{who}_NAME"), "Maryam Okafor")
            .env(format!("GIT_{who}_EMAIL"), "m.okafor@hospital.example");
        command.env(format!("GIT_{who}_DATE"), "2026-11-27T06:41:00+01:00");
    }
    let output = command.output().unwrap();
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// Returns the lines to paste that stand under a help, without their indentation.
fn pasted(said: &str) -> String {
    let (_, after) = said.split_once("= help: ").unwrap_or_else(|| panic!("no help in\n{said}"));
    let lines = after.lines().skip(1).take_while(|line| line.starts_with("      "));
    lines.map(|line| format!("{}\n", line.trim())).collect()
}

fn with_a_check() -> Hospital {
    let hospital = Hospital::small();
    hospital.put("inbox/check.yaml", CHECK);
    says(&hospital, &["record", "inbox/check.yaml"], 0, &["recorded"]);
    hospital
}

#[test]
fn an_altered_record_comes_back_by_the_lines_that_are_shown() {
    for deed in ["sed -i 's/1530/1230/' FILE", "rm FILE"] {
        let hospital = with_a_check();
        shell(&hospital, &format!("{}; git commit --quiet --all --message tidy", deed.replace("FILE", PATH)));
        let said = says(&hospital, &["validate"], 1, &["record-altered"]);
        let lines = pasted(&said);
        let (restore, keep) = lines.trim().split_once('\n').unwrap_or_else(|| panic!("not two lines in\n{said}"));
        shell(&hospital, restore);
        assert_eq!(hospital.text(PATH), CHECK);
        // Halfway nothing says to go back to the altered text.
        let said = says(&hospital, &["validate"], 1, &["its first text lies in the folder again", "1 problem"]);
        assert!(!said.contains("git checkout"), "{said}");
        if deed.starts_with("sed") {
            says(&hospital, &["ready"], 1, &["has its first text again in the folder; `pinindex keep --by ID`"]);
            says(
                &hospital,
                &["record", PATH],
                2,
                &["it has its first text again in the folder; `pinindex keep --by ID`"],
            );
        }
        let keep = keep.replace("ID", "m-okafor");
        let arguments: Vec<&str> = keep.split(' ').skip(1).collect();
        let said = says(&hospital, &arguments, 0, &[&format!("brought back {PATH} (its first text, commit ")]);
        assert!(!said.contains("Nothing to keep"), "{said}");
        says(&hospital, &["validate"], 0, &["no problems"]);
        assert_eq!(hospital.recorded(), [PATH]);
        assert_eq!(
            hospital.git(&["log", "-1", "--format=%an %s"]),
            "Maryam Okafor Bring back what was first committed\n"
        );
        says(&hospital, &arguments, 0, &["Nothing to keep"]);
    }
}

#[test]
fn only_the_first_text_of_a_record_goes_in_again() {
    let hospital = with_a_check();
    shell(&hospital, &format!("sed -i 's/1530/1230/' {PATH}; git commit --quiet --all --message tidy"));
    hospital.put(PATH, &CHECK.replace("1530", "1531"));
    says(
        &hospital,
        &["keep", "--by", "m-okafor"],
        0,
        &["not taken", "was changed in the folder after it was committed"],
    );
    says(&hospital, &["keep", "--by", "m-okafor", PATH], 2, &["not for this command, which keeps no records"]);
    assert_eq!(hospital.git(&["log", "-1", "--format=%s"]), "tidy\n");
}

/// Two computers record a check of the same minute, one that passes and one that fails, and the second is merged.
fn merging() -> Hospital {
    let hospital = Hospital::small();
    hospital.put("inbox/check.yaml", &CHECK.replace("suction: pass", "suction: fail"));
    shell(&hospital, "git checkout --quiet -b other");
    says(&hospital, &["record", "inbox/check.yaml"], 0, &["recorded"]);
    shell(&hospital, "git checkout --quiet main");
    hospital.put("inbox/check.yaml", CHECK);
    says(&hospital, &["record", "inbox/check.yaml"], 0, &["recorded"]);
    let said = shell(&hospital, "git merge other");
    assert!(said.contains("CONFLICT"), "{said}");
    hospital
}

#[test]
fn two_records_of_one_name_are_both_kept_by_the_lines_that_are_shown() {
    let hospital = merging();
    let said = says(&hospital, &["validate"], 1, &["two-versions", "two versions are in this file"]);
    // Whoever brings the text of one side back loses the other.
    assert!(!said.contains("git checkout") && !said.contains("record-altered"), "{said}");
    says(&hospital, &["ready"], 0, &["holds two versions since a merge; `pinindex validate"]);
    shell(&hospital, &pasted(&said));
    let second = PATH.replace("theatre-1.", "theatre-1.2.");
    assert_eq!(hospital.recorded(), [second.as_str(), PATH]);
    let texts = [hospital.text(PATH), hospital.text(&second)];
    assert_eq!(texts, [CHECK.to_owned(), CHECK.replace("suction: pass", "suction: fail")]);
    let said = says(&hospital, &["validate"], 0, &["no problems"]);
    assert!(!said.contains("lost"), "{said}");
}

#[test]
fn two_versions_of_another_file_are_named_too() {
    let hospital = Hospital::small();
    let people = hospital.text("people.yaml");
    hospital.put("people.yaml", &format!("<<<<<<< HEAD\n{people}=======\n{people}>>>>>>> other\n"));
    let said = says(
        &hospital,
        &["validate", "people.yaml"],
        1,
        &["problem[two-versions]", "write into it what is true of both"],
    );
    assert!(!said.contains("not YAML"), "{said}");
}

#[test]
fn a_check_that_comes_in_as_a_file_says_what_it_came_to_and_what_is_next() {
    let hospital = Hospital::small();
    hospital.put("inbox/check.yaml", CHECK);
    let passed =
        ["The daily check of Theatre 1, finished 2026-11-27 06:35, passed.", "The records call Theatre 1 ready."];
    says(&hospital, &["record", "inbox/"], 0, &passed);
    let later = CHECK.replace("T06:25", "T06:37").replace("T06:35", "T06:40").replace("T06:36", "T06:41");
    hospital.put("inbox/check.yaml", &later.replace("suction: pass", "suction: fail"));
    let words = [
        "finished 2026-11-27 06:40, failed: Patient suction. It is to be withheld from use.",
        "Call: Rosa Castellanos",
        "`pinindex fault theatre-1` writes it down",
        "The records do not call Theatre 1 ready.",
    ];
    says(&hospital, &["record", "inbox/"], 0, &words);
}

#[test]
fn a_copy_of_a_record_is_called_one_and_is_not_put_over_it() {
    let hospital = with_a_check();
    for copy in
        ["records/2026/11/27/063500-theatre-1.check (copy).yaml", "records/2026/11/27/063600-theatre-1.check.yaml"]
    {
        hospital.put(copy, CHECK);
        let said = says(&hospital, &["validate", copy], 1, &[&format!("file is a copy of {PATH}"), "delete it"]);
        assert!(!said.contains("give"), "{said}");
        std::fs::remove_file(hospital.root().join(copy)).unwrap();
    }
    // Another record of that second gets a number.
    let other = "records/2026/11/27/063600-theatre-1.check.yaml";
    hospital.put(other, &CHECK.replace("1530", "1540"));
    says(&hospital, &["validate", other], 1, &["records/2026/11/27/063500-theatre-1.2.check.yaml"]);
    std::fs::remove_file(hospital.root().join(other)).unwrap();
    hospital.put("inbox/again.yaml", CHECK);
    says(&hospital, &["record", "inbox/again.yaml"], 0, &["inbox/again.yaml holds nothing else and can be deleted"]);
}

#[test]
fn what_does_not_fit_the_schema_hides_no_other_fault() {
    let hospital = Hospital::small();
    let broken = CHECK.replace("suction: pass", "suction: PASS").replace("absorbent:", "absorbant:");
    hospital.put(
        "inbox/check.yaml",
        &broken.replace("m-okafor", "m-okafoor").replace("  low-pressure-leak: {held: 12 s}\n", ""),
    );
    let words = ["`PASS`", "absorbant", "m-okafoor", "low-pressure-leak"];
    let said = says(&hospital, &["record", "inbox/check.yaml"], 1, &words);
    assert!(said.contains("1 file refused"), "{said}");
    hospital.put("inbox/check.yaml", &CHECK.replace("{choice: fresh}", "freshly"));
    says(&hospital, &["record", "inbox/check.yaml"], 1, &["absorbent"]);
}

#[test]
fn a_tab_is_shown_where_it_stands() {
    let hospital = Hospital::small();
    hospital.put("inbox/check.yaml", &CHECK.replace("  suction", "\tsuction"));
    let said = says(&hospital, &["record", "inbox/check.yaml"], 1, &["a tab stands here", "write spaces in its place"]);
    assert!(said.contains("inbox/check.yaml:10:1"), "{said}");
}

#[test]
fn a_fault_takes_the_options_of_a_check_and_a_release_lists_all_that_is_missing() {
    let hospital = Hospital::small();
    let found = [
        "fault",
        "theatre-1",
        "--found-during",
        "in-use",
        "--found",
        "0600",
        "--by",
        "m-okafor",
        "--what",
        "bellows stick",
    ];
    says(
        &hospital,
        &[&found[..], &["--withhold"]].concat(),
        0,
        &["recorded records/2026/11/27/060000-theatre-1.fault.yaml"],
    );
    let restricted =
        ["--found", "0601", "--restrict", "not for children", "--until", "2026-12-01", "--owner", "r-castellanos"];
    let other = [&found[..4], &found[6..], &restricted[..]].concat();
    says(&hospital, &other, 0, &["recorded records/2026/11/27/060100-theatre-1.fault.yaml"]);
    assert!(hospital.text("records/2026/11/27/060100-theatre-1.fault.yaml").contains("not for children"));
    let voided =
        ["void", "records/2026/11/27/060100-theatre-1.fault.yaml", "--because", "the same", "--by", "m-okafor"];
    says(&hospital, &voided, 0, &[]);
    let work = [
        "repair",
        "theatre-1",
        "--started",
        "0605",
        "--finished",
        "0620",
        "--cause",
        "wear-or-age",
        "--work",
        "replaced",
    ];
    says(&hospital, &[&work[..], &["--by", "r-castellanos"]].concat(), 0, &["recorded"]);
    hospital.put("inbox/check.yaml", CHECK);
    says(&hospital, &["record", "inbox/check.yaml"], 0, &["withheld from use until it is released"]);
    let release = ["release", "theatre-1", "--by", "r-castellanos,m-okafor"];
    says(&hospital, &release, 2, &["--fault is missing", "--proved-by is missing", PATH]);
    let named = ["--fault", "records/2026/11/27/060000-theatre-1.fault.yaml", "--proved-by", PATH];
    says(&hospital, &[&release[..], &named].concat(), 0, &["recorded"]);
    says(&hospital, &["history", "theatre-1"], 0, &["42 min after the fault was found, 2026-11-27 06:00"]);
}

#[test]
fn the_history_says_what_does_not_count_and_whether_a_check_was_expected() {
    let hospital = with_a_check();
    let voided = ["void", PATH, "--because", "done on the wrong machine", "--by", "m-okafor"];
    says(&hospital, &voided, 0, &["recorded"]);
    let of = |from: &str, until: &str| {
        let arguments = ["history", "theatre-1", "--from", from, "--until", until];
        let output = hospital.program_at("2026-12-02T12:00:00+01:00", &arguments).output().unwrap();
        assert_eq!(output.status.code(), Some(0));
        String::from_utf8(output.stdout).unwrap()
    };
    // By the calendar of this hospital theatre 1 is used on Mondays, Wednesdays and Fridays.
    let friday = of("2026-11-27", "2026-11-27");
    assert!(friday.contains("2026-11-27 06:35  daily check passed (does not count)\n"), "{friday}");
    assert!(friday.starts_with("2026-11-27        no check counts; one was expected\n"), "{friday}");
    assert_eq!(
        of("2026-11-28", "2026-11-28"),
        "2026-11-28        no check counts; none was expected by the calendar\n"
    );
    assert_eq!(of("2026-12-02", "2026-12-02"), "2026-12-02        no check counts yet; one is expected\n");
    assert_eq!(of("2026-12-03", "2026-12-03"), "2026-12-03        this day has not come yet\n");
    assert_eq!(of("2026-11-28", "2026-12-01"), "2026-11-30        no check counts; one was expected\n");
}
