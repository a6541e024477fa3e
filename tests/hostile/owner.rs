//! A logbook that belongs to somebody else, as on a shared drive or a stick: reading it is harmless, because no program
//! of it is ever run, and so is writing to it where the system allows that. Where it does not, nothing is half done.

use super::ground::{CHECK, Ground, LOOKED_AT};
use std::fs;
use std::os::unix::fs::{MetadataExt, chown};
use std::process::Command;

/// Nobody, by the number that every system gives them.
const NOBODY: u32 = 65_534;

/// Makes every file of a folder somebody else's; needs the right to do so, as root or by sudo without a password.
fn give_away(ground: &Ground) {
    let nobody = format!("{NOBODY}:{NOBODY}");
    if chown(ground.folder.path(), Some(NOBODY), Some(NOBODY)).is_err() {
        let given = Command::new("sudo").args(["-n", "chown", "-R", &nobody]).arg(ground.root()).status();
        assert!(given.is_ok_and(|status| status.success()), "giving files away needs root, or sudo without a password");
        return;
    }
    let given = Command::new("chown").args(["-R", &nobody]).arg(ground.root()).status();
    assert!(given.is_ok_and(|status| status.success()));
}

#[test]
fn a_logbook_of_somebody_else_is_read_as_ones_own() {
    let ground = Ground::new();
    let before: Vec<(i32, String)> = LOOKED_AT[..5].iter().map(|a| ground.run(a)).map(|d| (d.status, d.out)).collect();
    give_away(&ground);
    assert_eq!(fs::metadata(ground.root().join(CHECK)).unwrap().uid(), NOBODY);
    let after: Vec<(i32, String)> = LOOKED_AT[..5].iter().map(|a| ground.run(a)).map(|d| (d.status, d.out)).collect();
    assert_eq!(before, after);
}

#[test]
fn where_nothing_may_be_written_nothing_is_half_done() {
    let ground = Ground::new();
    let text = fs::read_to_string(ground.root().join(CHECK)).unwrap();
    fs::write(ground.inbox().join("x.yaml"), text.replace("2026-11-23", "2026-11-25")).unwrap();
    let machine = fs::read_to_string(ground.root().join("machines/theatre-2.yaml")).unwrap() + "\n";
    ground.put("machines/theatre-2.yaml", machine);
    let before = ground.git(&["rev-parse", "HEAD"]);
    // Somebody who is neither the owner nor root.
    let readable = Command::new("chmod").args(["-R", "a+rX,go-w"]).arg(ground.folder.path()).status();
    assert!(readable.is_ok_and(|status| status.success()));
    let as_other = |arguments: &[&str]| {
        let mut command = Command::new(super::ground::program("setpriv"));
        // Root becomes nobody; anybody else stays who they are and has given the logbook away.
        if fs::metadata("/proc/self").unwrap().uid() == 0 {
            let user = NOBODY.to_string();
            command.args(["--reuid", &user, "--regid", &user, "--clear-groups"]);
        } else {
            give_away(&ground);
        }
        let program = ground.folder.path().join("pinindex");
        fs::copy(env!("CARGO_BIN_EXE_pinindex"), &program).unwrap();
        command.arg("--").arg(program).args(["--now", super::ground::NOW]).args(arguments).current_dir(ground.root());
        super::run::run(command.env_clear().env("PATH", "/nonexistent"), "")
    };
    for arguments in
        [&["record", "../inbox/x.yaml"][..], &["keep", "--by", "m-okafor"], &["report", "2026-11"], &["board"]]
    {
        let output = as_other(arguments);
        let said = String::from_utf8_lossy(&output.stderr).into_owned() + &String::from_utf8_lossy(&output.stdout);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(!said.contains("panicked"), "{said}");
    }
    assert_eq!(ground.git(&["rev-parse", "HEAD"]), before);
    assert_eq!(ground.git(&["status", "--porcelain", "--untracked-files=all"]), " M machines/theatre-2.yaml");
    assert!(ground.inbox().join("x.yaml").exists());
}
