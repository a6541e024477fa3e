//! A repository whose configuration, hooks and attributes name programs, and surroundings that would lead git elsewhere:
//! no program is started but typst, no file but those of the named logbook is read or written.

use super::ground::{CHECK, Ground, LOOKED_AT};
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Writes a program that leaves a mark when it is started.
fn trap(place: &Path, mark: &Path) {
    fs::create_dir_all(place.parent().unwrap()).unwrap();
    fs::write(place, format!("#!/bin/sh\n: > '{}'\necho 'typst 0.15.1'\n", mark.display())).unwrap();
    fs::set_permissions(place, fs::Permissions::from_mode(0o755)).unwrap();
}

/// Everything by which a repository can name a program or another place.
const SETTINGS: [&str; 22] = [
    "core.fsmonitor",
    "core.editor",
    "core.pager",
    "core.sshCommand",
    "core.gitProxy",
    "core.askPass",
    "core.alternateRefsCommand",
    "sequence.editor",
    "diff.external",
    "diff.trap.command",
    "diff.trap.textconv",
    "merge.trap.driver",
    "filter.trap.clean",
    "filter.trap.smudge",
    "filter.trap.process",
    "gpg.program",
    "gpg.ssh.program",
    "credential.helper",
    "alias.status",
    "uploadpack.packObjectsHook",
    "trailer.sign.command",
    "interactive.diffFilter",
];

const HOOKS: [&str; 12] = [
    "pre-commit",
    "prepare-commit-msg",
    "commit-msg",
    "post-commit",
    "post-checkout",
    "post-index-change",
    "pre-auto-gc",
    "reference-transaction",
    "fsmonitor-watchman",
    "post-merge",
    "post-rewrite",
    "pre-push",
];

/// Puts traps wherever a repository can hold one; returns the mark that each of them leaves.
fn set_traps(ground: &Ground) -> PathBuf {
    let mark = ground.folder.path().join("mark");
    let program = ground.folder.path().join("trap");
    trap(&program, &mark);
    for name in SETTINGS {
        ground.git(&["config", name, program.to_str().unwrap()]);
    }
    let hooks = ground.folder.path().join("hooks");
    for hook in HOOKS {
        trap(&hooks.join(hook), &mark);
        trap(&ground.root().join(".git/hooks").join(hook), &mark);
    }
    ground.git(&["config", "core.hooksPath", hooks.to_str().unwrap()]);
    let included = ground.folder.path().join("included");
    fs::write(&included, format!("[core]\n\tfsmonitor = {0}\n\tworktree = /tmp\n", program.display())).unwrap();
    for (name, value) in [
        ("include.path", included.to_str().unwrap()),
        ("includeIf.gitdir:/.path", included.to_str().unwrap()),
        ("extensions.worktreeConfig", "true"),
        ("commit.gpgSign", "true"),
        ("gpg.format", "ssh"),
        ("tag.gpgSign", "true"),
        ("filter.trap.required", "true"),
        ("url./nonexistent/.insteadOf", "/"),
        ("remote.origin.url", "ext::sh -c false"),
        ("remote.origin.promisor", "true"),
        ("extensions.partialClone", "origin"),
        ("core.attributesFile", "/dev/zero"),
        ("core.excludesFile", "/dev/zero"),
    ] {
        ground.git(&["config", name, value]);
    }
    fs::write(ground.root().join(".git/config.worktree"), format!("[core]\n\tfsmonitor = {}\n", program.display()))
        .unwrap();
    let attributes =
        "* filter=trap diff=trap merge=trap text eol=crlf ident export-subst working-tree-encoding=UTF-16\n";
    fs::write(ground.root().join(".gitattributes"), attributes).unwrap();
    fs::create_dir_all(ground.root().join(".git/info")).unwrap();
    fs::write(ground.root().join(".git/info/attributes"), attributes).unwrap();
    for place in ["typst", "git", "sh", "reports/typst", "drafts/typst"] {
        trap(&ground.root().join(place), &mark);
    }
    assert!(!mark.exists(), "setting a trap sprang it");
    mark
}

/// A check as it is handed in, of a machine and a morning.
fn hand_in(ground: &Ground) {
    let text = fs::read_to_string(ground.root().join(CHECK)).unwrap();
    fs::write(ground.inbox().join("x.yaml"), text.replace("2026-11-23", "2026-11-25")).unwrap();
}

/// Every command, with what it needs; those that write come last.
fn every_command() -> Vec<Vec<&'static str>> {
    let mut all: Vec<Vec<&str>> = LOOKED_AT.iter().map(|arguments| arguments.to_vec()).collect();
    all.extend([
        vec!["report", "2026-11"],
        vec!["paper", "theatre-1", "--week"],
        vec!["validate", "--commit", "HEAD"],
        vec!["explain"],
        vec!["completions", "bash"],
        vec!["man", "../man"],
        vec!["init", "../new"],
        vec!["check", "theatre-1", "--set", "suction=pass"],
        vec!["record", "../inbox/x.yaml"],
        vec!["keep", "--by", "m-okafor"],
        vec!["service", "theatre-1"],
        vec!["void", CHECK],
    ]);
    all
}

#[test]
fn no_program_that_a_repository_names_is_started() {
    let ground = Ground::new();
    let mark = set_traps(&ground);
    ground.put("people.yaml", fs::read_to_string(ground.root().join("people.yaml")).unwrap() + "\n");
    hand_in(&ground);
    // The logbook's folder, in words that mean it from inside, is on PATH, and nothing else is.
    for path in [".:./reports:reports::drafts", ""] {
        for arguments in every_command() {
            let words: Vec<&str> = arguments.clone();
            ground.run_by(&words, |command| {
                command.env("PATH", path);
            });
            assert!(!mark.exists(), "{arguments:?} started a program that the logbook names");
        }
    }
    let log = ground.git(&["-c", "core.fsmonitor=false", "log", "--format=%an %s"]);
    assert!(log.contains("Maryam Okafor theatre-1: daily check passed"), "{log}");
    assert!(log.contains("Maryam Okafor Keep 2 changed files"), "{log}");
    // The traps are good: git itself steps into one.
    let git = Command::new("git").arg("-C").arg(ground.root()).args(["-c", "safe.directory=*", "status"]).output();
    assert!(git.is_ok() && mark.exists(), "the traps catch nobody");
}

#[test]
fn of_all_commands_only_typst_is_started_and_only_by_its_whole_name() {
    let ground = Ground::new();
    set_traps(&ground);
    ground.put("people.yaml", fs::read_to_string(ground.root().join("people.yaml")).unwrap() + "\n");
    hand_in(&ground);
    let programs = ground.folder.path().join("programs");
    trap(&programs.join("typst"), &ground.folder.path().join("typeset"));
    let trace = ground.folder.path().join("trace");
    let mut started: Vec<String> = Vec::new();
    for arguments in every_command() {
        let mut command = Command::new(super::ground::program("strace"));
        command.args(["-f", "-qq", "-s", "4096", "-e", "trace=execve,execveat", "-e", "signal=none", "-o"]);
        command.arg(&trace).arg(env!("CARGO_BIN_EXE_pinindex")).args(["--now", super::ground::NOW]).args(&arguments);
        command.env_clear().env("PATH", format!(".:{}", programs.display())).current_dir(ground.root());
        super::run::run(&mut command, "");
        let lines = fs::read_to_string(&trace).unwrap();
        let of = |line: &str| line.split('"').nth(1).unwrap_or_default().to_owned();
        started.extend(lines.lines().filter(|line| line.contains("exec")).map(of));
    }
    let commands = every_command().len();
    let own = started.iter().filter(|program| *program == env!("CARGO_BIN_EXE_pinindex")).count();
    assert_eq!(own, commands, "strace saw {started:?}");
    let typst = programs.join("typst").display().to_string();
    started.retain(|program| program != env!("CARGO_BIN_EXE_pinindex") && *program != typst);
    assert_eq!(started, [""; 0]);
    assert!(ground.folder.path().join("typeset").exists(), "typst by its whole name was not asked");
}

#[test]
fn variables_of_git_change_nothing() {
    let (ground, other) = (Ground::new(), Ground::new());
    other.put(CHECK, "x: 1\n");
    other.commit_all();
    let mark = ground.folder.path().join("mark");
    let program = ground.folder.path().join("trap");
    trap(&program, &mark);
    let elsewhere = |command: &mut Command| {
        let git = other.root().join(".git");
        for name in ["GIT_DIR", "GIT_COMMON_DIR"] {
            command.env(name, &git);
        }
        command.env("GIT_WORK_TREE", other.root()).env("GIT_INDEX_FILE", git.join("index"));
        command
            .env("GIT_OBJECT_DIRECTORY", git.join("objects"))
            .env("GIT_ALTERNATE_OBJECT_DIRECTORIES", "/nonexistent");
        command
            .env("GIT_NAMESPACE", "x")
            .env("GIT_CEILING_DIRECTORIES", "/")
            .env("GIT_REPLACE_REF_BASE", "refs/heads/");
        command
            .env("GIT_CONFIG_COUNT", "1")
            .env("GIT_CONFIG_KEY_0", "core.fsmonitor")
            .env("GIT_CONFIG_VALUE_0", &program);
        command
            .env("GIT_CONFIG_GLOBAL", &program)
            .env("GIT_CONFIG_SYSTEM", &program)
            .env("GIT_CONFIG_PARAMETERS", "'x'");
        command.env("GIT_AUTHOR_NAME", "Nobody").env("GIT_COMMITTER_DATE", "1 +0000").env("GIT_SSH_COMMAND", &program);
        command.env("GIT_EXTERNAL_DIFF", &program).env("GIT_EDITOR", &program).env("GIT_TEMPLATE_DIR", other.root());
        command.env("EMAIL", "nobody@hospital.example").env("HOME", other.root()).env("XDG_CONFIG_HOME", other.root());
    };
    let before = other.git(&["rev-parse", "HEAD"]);
    for arguments in LOOKED_AT {
        let (plain, led) = (ground.run(arguments), ground.run_by(arguments, elsewhere));
        assert_eq!((plain.status, plain.out, plain.err), (led.status, led.out, led.err), "{arguments:?}");
    }
    hand_in(&ground);
    ground.run_by(&["record", "../inbox/x.yaml"], elsewhere).is(0);
    assert_eq!(
        ground.git(&["log", "-1", "--format=%an %cn %cI"]),
        format!("Maryam Okafor Maryam Okafor {}", super::ground::NOW)
    );
    assert_eq!(other.git(&["rev-parse", "HEAD"]), before);
    assert!(!mark.exists());
    ground.git(&["fsck", "--strict"]);
}

#[test]
fn a_repository_whose_files_are_elsewhere_is_refused() {
    let (ground, other) = (Ground::new(), Ground::new());
    ground.git(&["config", "core.worktree", other.root().to_str().unwrap()]);
    for arguments in LOOKED_AT {
        ground.run(arguments).is(2).says("are in another folder");
    }
    ground.git(&["config", "--unset", "core.worktree"]);
    ground.git(&["config", "core.bare", "true"]);
    for arguments in LOOKED_AT {
        ground.run(arguments).is(2).says("next step");
    }
}
