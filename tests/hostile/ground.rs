//! A small logbook with a history, and the program run on it within bounds of memory and time.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

pub const NOW: &str = "2026-11-25T12:00:00+01:00";
/// A record's place that no file of the small logbook has.
pub const RECORD: &str = "records/2026/11/25/064210-theatre-1.check.yaml";
/// The check that the small logbook has of theatre 1.
pub const CHECK: &str = "records/2026/11/23/065200-theatre-1.check.yaml";

/// What a person does with a logbook that was handed to them: everything but recording.
pub const LOOKED_AT: [&[&str]; 12] = [
    &["validate"],
    &["validate", "--format", "json"],
    &["ready"],
    &["history", "theatre-1", "--readings"],
    &["history", "theatre-2", "--format", "json"],
    &["report", "2026-11", "--format", "html,md,csv,json"],
    &["questions", "2026-11", "--format", "html,md,csv,json"],
    &["board"],
    &["page", "theatre-1"],
    &["paper", "theatre-1", "--format", "html"],
    &["audit"],
    &["audit", "--seal", "a372 3fe9 b504 391c"],
];

/// What came of a command.
pub struct Done {
    pub arguments: String,
    pub status: i32,
    pub out: String,
    pub err: String,
}

impl Done {
    /// Asserts the exit status.
    #[track_caller]
    pub fn is(self, status: i32) -> Done {
        assert_eq!(self.status, status, "{}\n{}\n{}", self.arguments, self.out, self.err);
        self
    }

    #[track_caller]
    pub fn says(self, words: &str) -> Done {
        let said = self.out.contains(words) || self.err.contains(words);
        assert!(said, "{}: `{words}` is not in\n{}\n{}", self.arguments, self.out, self.err);
        self
    }
}

/// A logbook in a folder of its own, with an inbox beside it and a file outside that must stay as it is.
pub struct Ground {
    pub folder: TempDir,
}

const SECRET: &str = "a file outside the logbook\n";

impl Ground {
    /// Returns the small logbook of the rule pages, committed.
    pub fn new() -> Ground {
        let ground = Ground { folder: tempfile::tempdir().unwrap() };
        let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages-base");
        for entry in walkdir::WalkDir::new(&base) {
            let entry = entry.unwrap();
            let target = ground.root().join(entry.path().strip_prefix(&base).unwrap());
            match entry.file_type().is_dir() {
                true => fs::create_dir_all(target).unwrap(),
                false => drop(fs::copy(entry.path(), target).unwrap()),
            }
        }
        fs::create_dir(ground.inbox()).unwrap();
        fs::write(ground.secret(), SECRET).unwrap();
        ground.git(&["init", "--quiet", "--initial-branch", "main"]);
        ground.commit_all();
        ground
    }

    pub fn root(&self) -> PathBuf {
        self.folder.path().join("logbook")
    }

    pub fn inbox(&self) -> PathBuf {
        self.folder.path().join("inbox")
    }

    /// A file beside the logbook, which nobody may read into it or write over.
    pub fn secret(&self) -> PathBuf {
        self.folder.path().join("secret.yaml")
    }

    /// Puts a file into the logbook's folder.
    pub fn put(&self, path: &str, bytes: impl AsRef<[u8]>) {
        let place = self.root().join(path);
        fs::create_dir_all(place.parent().unwrap()).unwrap();
        fs::write(place, bytes).unwrap();
    }

    pub fn git(&self, arguments: &[&str]) -> String {
        self.git_with(arguments, b"")
    }

    /// Runs git in the logbook with an input; its answer without the last line end.
    pub fn git_with(&self, arguments: &[&str], input: &[u8]) -> String {
        let input_file = self.folder.path().join("input");
        fs::write(&input_file, input).unwrap();
        let mut git = Command::new("git");
        for (name, _) in std::env::vars_os().filter(|(name, _)| name.to_string_lossy().starts_with("GIT_")) {
            git.env_remove(name);
        }
        git.arg("-C").arg(self.root()).args(["-c", "user.name=Test", "-c", "user.email=test@hospital.example"]);
        git.args(["-c", "core.safecrlf=false", "-c", "core.hooksPath=/dev/null", "-c", "safe.directory=*"]);
        git.args(arguments).stdin(File::open(&input_file).unwrap());
        git.envs([("GIT_CONFIG_GLOBAL", "/dev/null"), ("GIT_CONFIG_NOSYSTEM", "1"), ("LC_ALL", "C")]);
        git.envs([("GIT_AUTHOR_DATE", NOW), ("GIT_COMMITTER_DATE", NOW)]);
        let output = git.output().expect("the git program must be installed");
        let complaint = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "git {arguments:?}: {complaint}");
        String::from_utf8(output.stdout).unwrap().trim_end().to_owned()
    }

    pub fn commit_all(&self) {
        self.git(&["add", "--all", "."]);
        self.git(&["commit", "--quiet", "--allow-empty", "-m", "As it was handed over"]);
    }

    /// Makes the last commit one with this tree, and leaves the folder as it is.
    pub fn commit_tree(&self, tree: &str) {
        let commit = self.git(&["commit-tree", tree, "-p", "HEAD", "-m", "A tree made by hand"]);
        self.git(&["update-ref", "HEAD", &commit]);
    }

    /// Runs the program in the logbook's folder.
    #[track_caller]
    pub fn run(&self, arguments: &[&str]) -> Done {
        self.run_by(arguments, |_| {})
    }

    /// Runs the program as [`Ground::run`] does, with its surroundings changed.
    #[track_caller]
    pub fn run_by(&self, arguments: &[&str], surroundings: impl Fn(&mut Command)) -> Done {
        let done = within_bounds(&self.root(), self.folder.path(), arguments, surroundings);
        assert_eq!(fs::read_to_string(self.secret()).unwrap(), SECRET, "{arguments:?} wrote outside");
        for text in [&done.out, &done.err] {
            assert!(!text.contains("a file outside the logbook"), "{arguments:?} read outside: {text}");
        }
        done
    }

    /// Runs everything that is done with a logbook that was handed over; each must do its work, with faults told or
    /// without, or say what has to be done first.
    #[track_caller]
    pub fn look_at_all(&self) -> Vec<Done> {
        let all: Vec<Done> = LOOKED_AT.iter().map(|arguments| self.run(arguments)).collect();
        for done in &all {
            let told = done.status < 2 || done.err.contains("\n  next step: ");
            assert!(told, "{}: {}{}", done.arguments, done.out, done.err);
        }
        all
    }
}

/// Returns where a program lies that is not ours, which must be installed.
pub fn program(name: &str) -> PathBuf {
    let path = std::env::var_os("PATH").unwrap();
    let found = std::env::split_paths(&path).map(|folder| folder.join(name)).find(|place| place.is_file());
    found.unwrap_or_else(|| panic!("`{name}` is missing; run tests/run, which installs what the tests need"))
}

/// A gibibyte of address space, in the unit of `ulimit`.
const MEMORY: &str = "1048576";
/// Only a program that hangs takes so long.
const PATIENCE: Duration = Duration::from_secs(600);

/// Runs the program; it must end by itself with a status of its own, and write no sign that a terminal would obey.
#[track_caller]
pub fn within_bounds(folder: &Path, scratch: &Path, arguments: &[&str], surroundings: impl Fn(&mut Command)) -> Done {
    let (out, err) = (scratch.join("out"), scratch.join("err"));
    let mut command = Command::new("/bin/sh");
    command.args(["-c", &format!("ulimit -v {MEMORY} && exec \"$0\" \"$@\""), env!("CARGO_BIN_EXE_pinindex")]);
    command.args(["--now", NOW]).args(arguments).current_dir(folder);
    command.env_clear().env("PATH", "/nonexistent").stdin(Stdio::null());
    command.stdout(File::create(&out).unwrap()).stderr(File::create(&err).unwrap());
    surroundings(&mut command);
    let mut child = command.spawn().expect("a shell must be there");
    let begun = Instant::now();
    let status = loop {
        match child.try_wait().unwrap() {
            Some(status) => break status,
            None if begun.elapsed() < PATIENCE => std::thread::sleep(Duration::from_millis(5)),
            None => {
                child.kill().unwrap();
                child.wait().unwrap();
                panic!("{arguments:?} did not end");
            }
        }
    };
    let read = |file: &Path| String::from_utf8(fs::read(file).unwrap()).expect("the program writes UTF-8");
    let done =
        Done { arguments: arguments.join(" "), status: status.code().unwrap_or(-1), out: read(&out), err: read(&err) };
    let told = format!("{arguments:?}\n{}\n{}", done.out, done.err);
    assert!((0..=2).contains(&done.status), "ended by {status}: {told}");
    for text in [&done.out, &done.err] {
        assert!(!text.contains("panicked"), "{told}");
        let sign = text.chars().find(|c| pinindex::diagnostic::hidden::is_hidden(*c) && *c != '\u{feff}');
        assert_eq!(sign, None, "a terminal would obey: {text:?}");
    }
    done
}
