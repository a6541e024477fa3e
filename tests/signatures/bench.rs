//! The example hospital with a home folder for keys, and the programs that judge its signatures.

use crate::hospital::Hospital;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// The moment of every command, unless another is named: a Friday before the first case.
pub const NOW: &str = "2026-11-27T06:42:10+01:00";

/// A daily check by Maryam Okafor that passes.
const CHECK: &str = "record: check
machine: theatre-1
procedure: daily
revision: 3
started: \"2026-11-27T06:MM:00+01:00\"
finished: \"2026-11-27T06:MM:50+01:00\"
recorded: \"2026-11-27T06:MM:55+01:00\"
by: [m-okafor]
results:
  suction: pass
  spare-oxygen-cylinder: {reading: 1530 psi}
  low-pressure-leak: {held: 12 s}
  absorbent: {choice: fresh}
  circuit-leak: {from: 30 cmH2O, to: 30 cmH2O, in: 10 s}
";

/// What came of a program.
pub struct Done {
    pub status: i32,
    pub said: String,
}

impl Done {
    pub fn of(output: Output) -> Done {
        let said = format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
        assert!(!said.contains("panicked"), "{said}");
        Done { status: output.status.code().expect("a program ends by itself"), said }
    }

    #[track_caller]
    pub fn is(self, status: i32) -> Done {
        assert_eq!(self.status, status, "{}", self.said);
        self
    }

    #[track_caller]
    pub fn says(self, words: &str) -> Done {
        assert!(self.said.contains(words), "`{words}` is not in\n{}", self.said);
        self
    }

    #[track_caller]
    pub fn keeps_silent_about(self, words: &str) -> Done {
        assert!(!self.said.contains(words), "`{words}` is in\n{}", self.said);
        self
    }
}

/// Runs a program that must be there.
pub fn run(command: &mut Command) -> Done {
    let name = command.get_program().to_string_lossy().into_owned();
    Done::of(command.stdin(Stdio::null()).output().unwrap_or_else(|error| panic!("{name} must be installed: {error}")))
}

/// A hospital, and a home folder without keys.
pub struct Bench {
    pub hospital: Hospital,
    pub home: tempfile::TempDir,
}

impl Bench {
    pub fn new() -> Bench {
        let home = tempfile::tempdir().unwrap();
        std::fs::create_dir(home.path().join(".ssh")).unwrap();
        Bench { hospital: Hospital::small(), home }
    }

    /// Returns a bench where Maryam Okafor has a key in her home folder and in the history.
    pub fn with_key() -> Bench {
        let bench = Bench::new();
        let line = bench.make_key(".ssh/id_ed25519", "");
        bench.give_key("m-okafor", &line, "from: 2026-11-01");
        bench.program(&["keep", "--by", "m-okafor"]).is(0).says("signed with the key");
        bench
    }

    /// Makes a key pair in the home folder and returns the public line.
    pub fn make_key(&self, name: &str, passphrase: &str) -> String {
        let path = self.home.path().join(name);
        run(Command::new("ssh-keygen")
            .args(["-q", "-t", "ed25519", "-C", "made for a test", "-N", passphrase, "-f"])
            .arg(&path))
        .is(0);
        std::fs::read_to_string(path.with_extension("pub")).unwrap().trim().to_owned()
    }

    /// Writes a key into the people's file in the folder, after those that are there.
    pub fn give_key(&self, person: &str, line: &str, days: &str) {
        let people = self.hospital.text("people.yaml");
        let (before, after) = people.split_once(&format!("{person}: {{")).expect("a person on one line");
        let (own, rest) = after.split_once("}\n").unwrap();
        let fields: String = own.split(", ").map(|field| format!("  {field}\n")).collect();
        let entry = format!("  signing-keys:\n    - {{key: {line}, {days}}}\n");
        self.hospital.put("people.yaml", &format!("{before}{person}:\n{fields}{entry}{rest}"));
    }

    /// Returns the program in the logbook's folder, with the home folder and without an agent.
    pub fn command(&self, arguments: &[&str]) -> Command {
        self.command_at(NOW, arguments)
    }

    pub fn command_at(&self, now: &str, arguments: &[&str]) -> Command {
        let mut command = self.hospital.program_at(now, arguments);
        command.env("HOME", self.home.path()).env_remove("SSH_AUTH_SOCK").env_remove("PININDEX_SIGNING_KEY");
        command
    }

    pub fn program(&self, arguments: &[&str]) -> Done {
        run(&mut self.command(arguments))
    }

    /// Puts a check of minute `minute` into the inbox and returns its file.
    pub fn check(&self, minute: u32) -> String {
        let name = format!("inbox/{minute}.yaml");
        self.hospital.put(&name, &CHECK.replace("MM", &format!("{minute:02}")));
        name
    }

    /// Returns git in the logbook's folder, with the file of signers that lies there.
    pub fn git(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new("git");
        command.current_dir(self.root()).env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_NOSYSTEM", "1");
        command.env("LC_ALL", "C").args(["-c", "gpg.ssh.allowedSignersFile=allowed-signers"]).args(arguments);
        command
    }

    /// Returns what git says of the signature of a commit.
    pub fn verify(&self, commit: &str) -> Done {
        run(&mut self.git(&["verify-commit", commit]))
    }

    /// Returns a commit's name in full.
    pub fn id(&self, rev: &str) -> String {
        self.hospital.git(&["rev-parse", rev]).trim().to_owned()
    }

    /// Returns a commit as git stores it.
    pub fn raw(&self, rev: &str) -> String {
        self.hospital.git(&["cat-file", "commit", rev])
    }

    pub fn root(&self) -> PathBuf {
        self.hospital.root()
    }

    pub fn ssh(&self, name: &str) -> PathBuf {
        self.home.path().join(".ssh").join(name)
    }
}

/// Returns the fingerprint of a public key file, as ssh-keygen prints it.
pub fn fingerprint(path: &Path) -> String {
    let done = run(Command::new("ssh-keygen").arg("-lf").arg(path)).is(0);
    done.said.split_whitespace().nth(1).unwrap().to_owned()
}
