//! The smallest logbook that can be recorded into: one machine, one step, two people; an inbox; and git as the judge.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::OnceLock;
use std::time::{Duration, Instant};
use tempfile::TempDir;
use walkdir::WalkDir;

/// After everything that is written down here.
pub const NOW: &str = "2026-11-25T12:00:00+00:00";

/// What takes longer hangs, also on a busy computer.
const LONGEST: Duration = Duration::from_secs(60);

const FILES: [(&str, &str); 4] = [
    ("site.yaml", "name: Ward Hospital\ntime-zone: Etc/UTC\nlate-after: 12 h\n"),
    (
        "people.yaml",
        "a-nurse: {name: Ana Nurse, role: provider, email: a@hospital.example}\n\
         b-tech: {name: Ben Tech, role: technician, email: b@hospital.example}\n",
    ),
    (
        "machines/theatre-1.yaml",
        "name: Theatre 1
asset: \"1\"
serial: EX-1
location: Theatre 1
in-use: {from: 2026-01-01}
gases: [oxygen]
vaporizers: []
scavenging: active
",
    ),
    (
        "procedures/before-use/1.yaml",
        "procedure: before-use
revision: 1
title: Check before use
when: first-case
in-force-from: 2026-01-01
sources: [common practice]
items:
  - id: suction
    title: Patient suction
    do: Turn suction on and block the tube.
    answer: confirm
    by: {any-of: [provider, technician]}
    fails: withhold
",
    ),
];

/// Returns a check that ended at a time of the day, such as 06:45.
pub fn check(ended: &str) -> String {
    format!(
        "record: check
machine: theatre-1
procedure: before-use
revision: 1
started: \"2026-11-25T05:00:00+00:00\"
finished: \"2026-11-25T{ended}:00+00:00\"
recorded: \"2026-11-25T{ended}:30+00:00\"
by: [a-nurse]
results:
  suction: pass
"
    )
}

/// Returns where the check that ended at a time of the day is filed.
pub fn filed(ended: &str) -> String {
    format!("records/2026/11/25/{}00-theatre-1.check.yaml", ended.replace(':', ""))
}

/// What came of a command.
#[derive(Debug)]
pub struct Done {
    /// Nothing when a signal ended it.
    pub status: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Done {
    pub fn of(output: &Output) -> Done {
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        Done { status: output.status.code(), out: text(&output.stdout), err: text(&output.stderr) }
    }

    #[track_caller]
    pub fn is(self, status: i32) -> Done {
        assert!(!self.err.contains("panicked"), "{self:#?}");
        assert_eq!(self.status, Some(status), "{self:#?}");
        self
    }

    #[track_caller]
    pub fn says(self, words: &str) -> Done {
        assert!(self.out.contains(words), "`{words}` is not in {self:#?}");
        self
    }

    /// The work was not done, and why, in our words, with what to do.
    #[track_caller]
    pub fn fails(self, words: &str) -> Done {
        let done = self.is(2);
        done.speaks_plainly();
        assert!(done.err.contains(words), "`{words}` is not in {done:#?}");
        done
    }

    /// A failure has one headline and one next step.
    #[track_caller]
    pub fn speaks_plainly(&self) -> &Done {
        let headlines = self.err.lines().filter(|line| line.starts_with("pinindex: ")).count();
        let steps = self.err.lines().filter(|line| line.starts_with("  next step: ")).count();
        assert_eq!((headlines, steps), (1, 1), "{self:#?}");
        self
    }
}

/// A logbook with its history, and an inbox beside it; gone after the test.
pub struct Ward {
    folder: PathBuf,
    _gone_after: Option<TempDir>,
}

impl Ward {
    /// Returns a logbook without records.
    pub fn new() -> Ward {
        Ward::copied(first().path())
    }

    /// Returns a logbook that holds the check of 06:00.
    pub fn with_a_record() -> Ward {
        static RECORDED: OnceLock<Ward> = OnceLock::new();
        let recorded = RECORDED.get_or_init(|| {
            let ward = Ward::new();
            ward.hand_in("06:00");
            ward.run(&["record", "../inbox"]).is(0);
            ward
        });
        Ward::copied(recorded.folder())
    }

    /// Returns a logbook that holds a check of September and one of October.
    ///
    /// It is a copy, of which git has looked at no file yet: how many it opens does not depend on when they were written.
    pub fn with_two_months() -> Ward {
        static RECORDED: OnceLock<Ward> = OnceLock::new();
        let recorded = RECORDED.get_or_init(|| {
            let ward = Ward::new();
            for month in ["09", "10"] {
                let text = check("06:45").replace("2026-11-25", &format!("2026-{month}-20"));
                fs::write(ward.inbox().join(format!("{month}.yaml")), text).unwrap();
            }
            ward.run(&["record", "../inbox"]).is(0);
            ward
        });
        Ward::copied(recorded.folder())
    }

    /// Returns the ward that lies in a folder.
    pub fn at(folder: PathBuf) -> Ward {
        Ward { folder, _gone_after: None }
    }

    fn copied(from: &Path) -> Ward {
        let folder = tempfile::tempdir().unwrap();
        copy(from, folder.path());
        Ward { folder: folder.path().to_path_buf(), _gone_after: Some(folder) }
    }

    pub fn folder(&self) -> &Path {
        &self.folder
    }

    pub fn root(&self) -> PathBuf {
        self.folder.join("logbook")
    }

    pub fn inbox(&self) -> PathBuf {
        self.folder.join("inbox")
    }

    /// Puts the check that ended at a time of the day into the inbox.
    pub fn hand_in(&self, ended: &str) {
        fs::write(self.inbox().join(format!("{}.yaml", ended.replace(':', ""))), check(ended)).unwrap();
    }

    /// Returns the program in the logbook's folder, with nothing else on PATH and no settings.
    pub fn program(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_pinindex"));
        self.surround(&mut command);
        command.args(["--now", NOW]).args(arguments);
        command
    }

    /// Gives any program the surroundings that ours has.
    pub fn surround(&self, command: &mut Command) {
        command.current_dir(self.root()).env_clear().env("PATH", "/nonexistent").stdin(Stdio::null());
    }

    /// Runs a command, which must end by itself.
    pub fn run(&self, arguments: &[&str]) -> Done {
        let mut command = self.program(arguments);
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        let begun = Instant::now();
        while child.try_wait().unwrap().is_none() {
            if begun.elapsed() > LONGEST {
                child.kill().unwrap();
                panic!("{arguments:?} does not end");
            }
            std::thread::sleep(Duration::from_millis(2));
        }
        Done::of(&child.wait_with_output().unwrap())
    }

    /// Runs the git program, which must be content.
    #[track_caller]
    pub fn git(&self, arguments: &[&str]) -> String {
        let done = self.try_git(arguments);
        assert!(done.status == Some(0) && done.err.is_empty(), "git {arguments:?}: {done:#?}");
        done.out
    }

    pub fn try_git(&self, arguments: &[&str]) -> Done {
        Done::of(&git(&self.root()).args(arguments).output().expect("the git program must be installed"))
    }

    /// Returns whether the last commit holds this text under `records/`.
    pub fn holds(&self, text: &str) -> bool {
        self.recorded().iter().any(|one| one == text)
    }

    /// Returns the texts of all records in the last commit.
    pub fn recorded(&self) -> Vec<String> {
        let listed = self.git(&["ls-tree", "-r", "--name-only", "HEAD", "records"]);
        listed.lines().map(|path| self.git(&["show", &format!("HEAD:{path}")])).collect()
    }

    /// Fails unless git and the program find everything in order, and the history is one line that holds these records
    /// and no others, each once.
    #[track_caller]
    pub fn in_order(&self, records: &[String]) {
        self.sound();
        // Git has just found that the folder is as the last commit.
        let files = WalkDir::new(self.root().join("records")).into_iter().filter_map(Result::ok);
        let files = files.filter(|entry| entry.file_type().is_file());
        let mut found: Vec<String> = files.map(|entry| fs::read_to_string(entry.path()).unwrap()).collect();
        let mut wanted = records.to_vec();
        found.sort();
        wanted.sort();
        assert_eq!(found, wanted);
        self.run(&["validate"]).is(0).says("no problems");
    }

    /// Fails unless git finds everything in order, and nothing lies about that a command left behind.
    #[track_caller]
    pub fn sound(&self) {
        assert_eq!(self.git(&["status", "--porcelain"]), "");
        assert_eq!(self.git(&["fsck", "--full", "--strict", "--no-progress", "--no-dangling"]), "");
        assert_eq!(self.git(&["rev-list", "--min-parents=2", "HEAD"]), "", "the history is one line");
        let left = self.left_behind();
        assert!(left.is_empty(), "left behind: {left:?}");
    }

    /// Returns the lock files, notes and half-written files that lie about.
    pub fn left_behind(&self) -> Vec<String> {
        let is_left = |name: &str| {
            let lock = name.ends_with(".lock") && name != "pinindex.lock";
            lock || name.ends_with(".tmp") || name == "pinindex.pending"
        };
        let names = self.everything().into_keys();
        names.filter(|path| is_left(path.rsplit('/').next().unwrap_or_default())).collect()
    }

    /// Returns every file and folder of the logbook, `.git` included, with what it holds.
    pub fn everything(&self) -> BTreeMap<String, String> {
        let root = self.root();
        let entries = WalkDir::new(&root).min_depth(1).into_iter().map(Result::unwrap);
        let held = |place: &Path, kind: fs::FileType| {
            if kind.is_dir() {
                "a folder".to_owned()
            } else if kind.is_symlink() {
                format!("a link to {}", fs::read_link(place).unwrap().display())
            } else {
                String::from_utf8_lossy(&fs::read(place).unwrap()).into_owned()
            }
        };
        let relative = |place: &Path| place.strip_prefix(&root).unwrap().display().to_string();
        entries.map(|entry| (relative(entry.path()), held(entry.path(), entry.file_type()))).collect()
    }
}

/// Returns the git program in a folder, deaf to the settings of whoever runs the tests. It writes nothing when only asked.
pub fn git(folder: &Path) -> Command {
    let mut command = Command::new("git");
    for (name, _) in std::env::vars_os().filter(|(name, _)| name.to_string_lossy().starts_with("GIT_")) {
        command.env_remove(name);
    }
    command.current_dir(folder).stdin(Stdio::null());
    command.envs([
        ("GIT_CONFIG_GLOBAL", "/dev/null"),
        ("GIT_CONFIG_NOSYSTEM", "1"),
        ("GIT_OPTIONAL_LOCKS", "0"),
        ("LC_ALL", "C"),
        ("GIT_AUTHOR_NAME", "Somebody"),
        ("GIT_AUTHOR_EMAIL", "somebody@hospital.example"),
        ("GIT_COMMITTER_NAME", "Somebody"),
        ("GIT_COMMITTER_EMAIL", "somebody@hospital.example"),
        ("GIT_AUTHOR_DATE", NOW),
        ("GIT_COMMITTER_DATE", NOW),
    ]);
    command
}

/// The logbook that the others are copied from.
fn first() -> &'static TempDir {
    static FIRST: OnceLock<TempDir> = OnceLock::new();
    FIRST.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().join("logbook");
        for (path, text) in FILES {
            let place = root.join(path);
            fs::create_dir_all(place.parent().unwrap()).unwrap();
            fs::write(place, text).unwrap();
        }
        fs::create_dir(folder.path().join("inbox")).unwrap();
        for arguments in [
            &["init", "--quiet", "--initial-branch=main", "--template="][..],
            &["add", "."],
            &["commit", "--quiet", "-m", "start"],
        ] {
            let done = Done::of(&git(&root).args(arguments).output().expect("the git program must be installed"));
            assert_eq!(done.status, Some(0), "{done:#?}");
        }
        folder
    })
}

fn copy(from: &Path, to: &Path) {
    for entry in WalkDir::new(from).min_depth(1).into_iter().map(Result::unwrap) {
        let place = to.join(entry.path().strip_prefix(from).unwrap());
        if entry.file_type().is_dir() {
            fs::create_dir_all(place).unwrap();
        } else {
            fs::copy(entry.path(), place).unwrap();
        }
    }
}
