//! Copies of one logbook of the demo, and programs run in them: nobody's configuration, a fixed time, a known colleague.

use super::signed;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;
use tempfile::TempDir;

/// The moment at which everything is asked.
const NOW: &str = "2026-11-25T13:00:00+01:00";

/// The file in which the program remembers what it found in the history.
pub const MEMORY: &str = ".git/pinindex.lives";

/// The seal that the logbook has, of the month in which `$RECORD` lies.
const SEAL: &str = "seals/2026-10.yaml";

/// What the lines of an attack can use: a `$RECORD` that is sealed, one that came `$LATER`, the `$LAST` one, the private
/// `$KEYS`; `change` another reading, be a `stranger` or a `person`, who `keeps` changes and signs where there are keys;
/// `rewrite` all commits with their times; `made` is a check as if somebody else had done it on another day, `anew` a commit
/// that is built once more, with its author and times.
const PRELUDE: &str = r#"
set -e
LAST=$(git ls-files records | tail -n 1)
RECORD=$(git grep -l 'spare-oxygen-cylinder' HEAD -- 'records/2026/10/*.check.yaml' | sed -n '5s/^HEAD://p')
LATER=$(git grep -l 'spare-oxygen-cylinder' HEAD -- 'records/2026/11/*.check.yaml' | sed -n '3s/^HEAD://p')
change() {
    cp "$1" .git/before
    sed -i '/spare-oxygen-cylinder/,$ s/reading: [0-9]* psi/reading: 1850 psi/' "$1"
    ! cmp -s "$1" .git/before
    rm .git/before
}
colleague() {
    export GIT_AUTHOR_NAME='Hanako Arakashiro' GIT_AUTHOR_EMAIL=h.arakashiro@sankt-orlan.example
    export GIT_COMMITTER_NAME='Hanako Arakashiro' GIT_COMMITTER_EMAIL=h.arakashiro@sankt-orlan.example
}
stranger() {
    export GIT_AUTHOR_NAME='Somebody Else' GIT_AUTHOR_EMAIL=somebody@elsewhere.example
    export GIT_COMMITTER_NAME='Somebody Else' GIT_COMMITTER_EMAIL=somebody@elsewhere.example
}
person() {
    export GIT_AUTHOR_NAME="$(sed -n "/^$1:/,/^  name:/ s/^  name: //p" people.yaml)"
    export GIT_AUTHOR_EMAIL="$(sed -n "/^$1:/,/^  email:/ s/^  email: //p" people.yaml)"
    export GIT_COMMITTER_NAME="$GIT_AUTHOR_NAME" GIT_COMMITTER_EMAIL="$GIT_AUTHOR_EMAIL"
}
has_keys() { git grep --quiet signing-keys HEAD -- people.yaml; }
signed() {
    key=$KEYS/$1
    shift
    if has_keys; then
        git -c gpg.format=ssh -c user.signingkey="$key" -c commit.gpgsign=true "$@"
    else
        git "$@"
    fi
}
keeps() {
    git add --all
    (person "$1" && signed "$1" commit --quiet --message "$2")
}
made() {
    made=records/$(echo "$2" | tr - /)/$(basename "$3")
    mkdir -p "$(dirname "$made")"
    git show "main:$3" | sed -e "s/2026-[0-9]*-[0-9]*T/$2T/" -e '/^by:/,/^[a-z]/ { /^- /d }' -e "s/^by:/by:\n- $1/" > "$made"
}
anew() {
    (
        export GIT_COMMITTER_DATE="$(git log -1 --format=%cI "$1")"
        if ! has_keys; then
            export GIT_COMMITTER_NAME="$(git log -1 --format=%cn "$1")"
            export GIT_COMMITTER_EMAIL="$(git log -1 --format=%ce "$1")"
        fi
        signed h-arakashiro cherry-pick "$1" > /dev/null
        [ $# -eq 1 ] || git log -1 --format=%B | sed "$2" | signed h-arakashiro commit --quiet --amend --file -
    )
}
rewrite() {
    case " $* " in *' -- '*) ;; *) set -- "$@" -- --all ;; esac
    FILTER_BRANCH_SQUELCH_WARNING=1 git filter-branch --prune-empty "$@" > .git/filter-said 2>&1
}
put_folder() {
    tree=$2
    path=$1
    while [ "$path" != . ]; do
        name=$(basename "$path")
        path=$(dirname "$path")
        at=HEAD:$path
        [ "$path" != . ] || at=HEAD:
        tree=$(git ls-tree "$at" | sed "s/tree [0-9a-f]*\t$name\$/tree $tree\t$name/" | git mktree)
    done
    git update-ref refs/heads/main "$(git commit-tree "$tree" -p HEAD -m 'tidy up')"
}
colleague
"#;

static MADE: LazyLock<TempDir> = LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    let mut demo = pinindex(folder.path());
    let done = demo.args(["demo", "logbook", "--machines", "1", "--months", "1"]).output().unwrap();
    assert!(done.status.success(), "{}", text(&done));
    // What is remembered before an attack must not hide it afterwards.
    let mut ready = pinindex(&folder.path().join("logbook"));
    let said = ready.arg("ready").output().unwrap();
    assert!(said.status.code().is_some_and(|code| code < 2), "{}", text(&said));
    assert!(folder.path().join("logbook").join(MEMORY).exists());
    folder
});

/// The number of the seal as it was printed before any attack, worked out by the program of every Linux.
pub static PRINTED: LazyLock<String> = LazyLock::new(|| {
    let mut sum = Command::new("sha256sum");
    let done = surrounded(sum.arg(SEAL), &MADE.path().join("logbook")).output().unwrap();
    assert!(done.status.success(), "{}", text(&done));
    text(&done).split_whitespace().next().unwrap().to_owned()
});

/// A copy of the logbook that everything is done to.
pub struct Copy {
    folder: TempDir,
}

impl Copy {
    /// Copies the logbook of the demo, in which one month is sealed and nothing is signed.
    pub fn new() -> Copy {
        Copy::of(&MADE)
    }

    /// Copies the same logbook with a key for everybody, every commit signed, and no seal.
    pub fn signed() -> Copy {
        static SIGNED: LazyLock<TempDir> = LazyLock::new(|| {
            let copy = Copy::new();
            signed::sign(&copy.root(), SEAL);
            copy.folder
        });
        Copy::of(&SIGNED)
    }

    fn of(made: &TempDir) -> Copy {
        let folder = tempfile::tempdir().unwrap();
        let from = made.path().join("logbook");
        assert!(Command::new("cp").arg("-a").arg(from).arg(folder.path()).status().unwrap().success());
        Copy { folder }
    }

    pub fn root(&self) -> PathBuf {
        self.folder.path().join("logbook")
    }

    /// Runs the lines of an attack.
    pub fn attack(&self, title: &str, lines: &str) {
        let mut shell = Command::new("sh");
        shell.arg("-c").arg(format!("{PRELUDE}{lines}"));
        let done = surrounded(&mut shell, &self.root()).output().unwrap();
        assert!(done.status.success(), "{title}: {}", text(&done));
        assert!(fs::symlink_metadata(self.root().join("said")).is_err(), "{title} left its own files");
    }

    /// Clones the logbook as another person would; nothing when git cannot.
    pub fn fresh_clone(&self) -> Option<PathBuf> {
        let to = self.folder.path().join("clone");
        let mut git = Command::new("git");
        git.args(["clone", "--quiet", "--no-local"]).arg(self.root()).arg(&to);
        let done = surrounded(&mut git, self.folder.path()).output().unwrap();
        done.status.success().then_some(to)
    }

    pub fn git(&self, arguments: &[&str]) -> Output {
        surrounded(Command::new("git").args(arguments), &self.root()).output().unwrap()
    }

    /// Returns where reports are written.
    pub fn reports(&self) -> PathBuf {
        self.folder.path().join("reports")
    }
}

/// Returns the program, to be run in a folder.
pub fn pinindex(root: &Path) -> Command {
    let mut pinindex = Command::new(env!("CARGO_BIN_EXE_pinindex"));
    surrounded(&mut pinindex, root).args(["--now", NOW]);
    pinindex
}

/// Returns all that a program said.
pub fn text(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// Gives a program its surroundings: the folder, the time, and nobody's configuration.
pub fn surrounded<'a>(program: &'a mut Command, root: &Path) -> &'a mut Command {
    let own = Path::new(env!("CARGO_BIN_EXE_pinindex")).parent().unwrap();
    let path = format!("{}:{}", own.display(), std::env::var("PATH").unwrap());
    program
        .current_dir(root)
        .env("PATH", path)
        .env("HOME", root)
        .env("KEYS", signed::keys())
        .env("LC_ALL", "C")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_EDITOR", "true")
        .env("GIT_AUTHOR_DATE", "2026-11-25T12:30:00+01:00")
        .env("GIT_COMMITTER_DATE", "2026-11-25T12:30:00+01:00")
        .env("NO_COLOR", "1")
}
