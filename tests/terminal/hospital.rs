//! The example hospital with a fresh git history, and a smaller procedure where a test is about something else.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The items of the small procedure: one of each kind of answer.
const SMALL: [&str; 5] = ["suction", "spare-oxygen-cylinder", "low-pressure-leak", "absorbent", "circuit-leak"];

/// A check of the small procedure that passes, done and written down before the moment of the commands here.
pub const CHECK: &str = "record: check
machine: theatre-1
procedure: daily
revision: 3
started: \"2026-11-27T06:25:00+01:00\"
finished: \"2026-11-27T06:35:00+01:00\"
recorded: \"2026-11-27T06:36:00+01:00\"
by: [m-okafor, j-lindqvist]
results:
  suction: pass
  spare-oxygen-cylinder: {reading: 1530 psi}
  low-pressure-leak: {held: 12 s}
  absorbent: {choice: fresh}
  circuit-leak: {from: 30 cmH2O, to: 30 cmH2O, in: 10 s}
";

/// A logbook in a folder that is gone after the test.
pub struct Hospital {
    folder: tempfile::TempDir,
}

impl Hospital {
    /// Returns the example's site, people, machines and procedures, without records.
    pub fn whole() -> Hospital {
        let hospital = Hospital { folder: tempfile::tempdir().unwrap() };
        let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
        for path in ["site.yaml", "people.yaml", "machines/theatre-1.yaml", "calendar/2026.yaml"] {
            hospital.put(path, &std::fs::read_to_string(example.join(path)).unwrap());
        }
        for path in ["daily/1", "daily/2", "each-patient/1", "complete/1"] {
            let path = format!("procedures/{path}.yaml");
            hospital.put(&path, &std::fs::read_to_string(example.join(&path)).unwrap());
        }
        hospital.put("calendar/2026.yaml", "year: 2026\nweekly: {theatre-1: [mon, wed, fri]}\n");
        hospital.commit();
        hospital
    }

    /// Returns the same with five steps a day, one of each kind.
    pub fn small() -> Hospital {
        let hospital = Hospital::whole();
        let daily = hospital.text("procedures/daily/2.yaml");
        let (head, items) = daily.split_once("items:\n").unwrap();
        let kept = items.split("\n\n").filter(|item| SMALL.iter().any(|id| item.contains(&format!("- id: {id}\n"))));
        let kept: Vec<&str> = kept.collect();
        assert_eq!(kept.len(), SMALL.len());
        let head = head.replace("revision: 2", "revision: 3").replace("2026-11-02", "2026-11-20");
        hospital.put("procedures/daily/3.yaml", &format!("{head}items:\n{}\n", kept.join("\n\n")));
        hospital.commit();
        hospital
    }

    pub fn root(&self) -> PathBuf {
        self.folder.path().to_path_buf()
    }

    pub fn put(&self, path: &str, text: &str) {
        let path = self.root().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    pub fn text(&self, path: &str) -> String {
        std::fs::read_to_string(self.root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
    }

    /// Returns the program in the logbook's folder, on a Friday before the first case.
    pub fn program(&self, arguments: &[&str]) -> Command {
        self.program_at("2026-11-27T06:42:10+01:00", arguments)
    }

    /// Returns the program at another moment.
    pub fn program_at(&self, now: &str, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_pinindex"));
        command.current_dir(self.root()).env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_NOSYSTEM", "1");
        command.env_remove("NO_COLOR").args(["--now", now]).args(arguments);
        command
    }

    /// Runs the program without a terminal, and returns its exit status and everything it said.
    pub fn run(&self, arguments: &[&str]) -> (i32, String) {
        let output = self.program(arguments).stdin(std::process::Stdio::null()).output().unwrap();
        let said = String::from_utf8([output.stdout, output.stderr].concat()).unwrap();
        (output.status.code().unwrap(), said)
    }

    /// Returns what the git program says of the logbook.
    pub fn git(&self, arguments: &[&str]) -> String {
        let mut command = Command::new("git");
        command.current_dir(self.root()).env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_NOSYSTEM", "1");
        let output = command.args(arguments).output().expect("the git program must be installed");
        assert!(output.status.success(), "git {arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    /// Returns the paths that the last commits added, the oldest first, after making sure that nothing else changed.
    pub fn recorded(&self) -> Vec<String> {
        assert_eq!(self.git(&["status", "--porcelain"]), "", "git must find nothing uncommitted");
        self.git(&["fsck", "--strict", "--no-progress"]);
        self.git(&["ls-files", "records"]).lines().map(str::to_owned).collect()
    }

    /// Returns the names of the drafts that are left.
    pub fn drafts(&self) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(self.root().join("drafts")) else { return Vec::new() };
        let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let mut names: Vec<String> = names.filter(|name| !name.starts_with('.')).collect();
        names.sort();
        names
    }

    fn commit(&self) {
        if !self.root().join(".git").exists() {
            self.git(&["init", "--quiet", "--initial-branch", "main"]);
        }
        self.git(&["add", "--all"]);
        let who = ["-c", "user.name=Test", "-c", "user.email=test@hollerbruck.example"];
        self.git(&[&who[..], &["commit", "--quiet", "--message", "the logbook"]].concat());
    }
}
