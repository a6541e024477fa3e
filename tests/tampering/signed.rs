//! The logbook once more, with a key for each of its people and every commit signed by git and ssh-keygen.
//!
//! It has no seal, so that what is found in it by signatures is found by nothing else.

use super::copy::{surrounded, text};
use ssh_key::private::{Ed25519Keypair, Ed25519PrivateKey};
use ssh_key::{LineEnding, PrivateKey};
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Command;
use std::sync::LazyLock;
use tempfile::TempDir;

/// Whose keys there are: everybody in the demo's `people.yaml`, and somebody who is not.
const OWNERS: [&str; 13] = [
    "a-brinkhoven",
    "b-wierzchalski",
    "h-arakashiro",
    "i-okwuanyi",
    "k-ostermarken",
    "l-montbrellas",
    "m-tewhareiti",
    "p-serradinho",
    "r-tamimov",
    "s-adjeiboah",
    "t-mbelwane",
    "z-dvornickova",
    "stranger",
];

/// Makes every commit of the current branch anew: `$1` is the seal, which is left out, `$2` the people with their keys.
const ANEW: &str = r#"
set -e
export GIT_INDEX_FILE=.git/anew
people=$(git hash-object -w "$2")
parent=
for commit in $(git rev-list --reverse HEAD); do
    git read-tree "$commit"
    git rm --quiet --cached --ignore-unmatch "$1"
    git update-index --cacheinfo "100644,$people,people.yaml"
    tree=$(git write-tree)
    [ -z "$parent" ] || [ "$tree" != "$(git rev-parse "$parent^{tree}")" ] || continue
    of() { git log -1 --format="%$1" "$commit"; }
    export GIT_AUTHOR_NAME="$(of an)" GIT_AUTHOR_EMAIL="$(of ae)" GIT_AUTHOR_DATE="$(of aI)"
    export GIT_COMMITTER_NAME="$(of cn)" GIT_COMMITTER_EMAIL="$(of ce)" GIT_COMMITTER_DATE="$(of cI)"
    key=$KEYS/$(echo "$GIT_COMMITTER_EMAIL" | sed 's/@.*//; s/\./-/')
    parent=$(of B | git -c gpg.format=ssh -c "user.signingkey=$key" \
        commit-tree "$tree" ${parent:+-p "$parent"} -S)
done
rm "$2" "$GIT_INDEX_FILE" .git/pinindex.lives
unset GIT_INDEX_FILE
git reset --quiet --hard "$parent"
git rev-parse HEAD > .git/pinindex.seen
git reflog expire --expire=now --all
git prune --expire=now
"#;

/// Returns the folder of the private keys, each under the id of its owner.
pub fn keys() -> &'static Path {
    static MADE: LazyLock<TempDir> = LazyLock::new(|| {
        let folder = tempfile::tempdir().unwrap();
        for (number, owner) in (1..).zip(OWNERS) {
            let place = folder.path().join(owner);
            fs::write(&place, key(number).to_openssh(LineEnding::LF).unwrap().as_bytes()).unwrap();
            fs::set_permissions(&place, fs::Permissions::from_mode(0o600)).unwrap();
            fs::write(place.with_extension("pub"), key(number).public_key().to_openssh().unwrap()).unwrap();
        }
        folder
    });
    MADE.path()
}

/// Signs everything in a logbook, with keys that were there from its first day on.
pub fn sign(root: &Path, seal: &str) {
    let people = fs::read_to_string(root.join("people.yaml")).unwrap();
    let mut with_keys = String::new();
    let mut owner = "";
    for line in people.lines() {
        if let Some(id) = line.strip_suffix(':').filter(|line| !line.starts_with([' ', '#'])) {
            owner = id;
        }
        with_keys.push_str(&format!("{line}\n"));
        if line.starts_with("  email:") {
            let public = fs::read_to_string(keys().join(owner).with_extension("pub")).unwrap();
            let public = public.trim();
            with_keys.push_str(&format!("  signing-keys: [{{key: \"{public}\", from: \"2026-10-01\"}}]\n"));
        }
    }
    assert_eq!(with_keys.matches("signing-keys").count(), OWNERS.len() - 1);
    fs::write(root.join("people-with-keys"), with_keys).unwrap();
    let mut shell = Command::new("sh");
    shell.args(["-c", ANEW, "sh", seal, "people-with-keys"]);
    let done = surrounded(&mut shell, root).output().unwrap();
    assert!(done.status.success(), "{}", text(&done));
}

fn key(number: u8) -> PrivateKey {
    PrivateKey::from(Ed25519Keypair::from(Ed25519PrivateKey::from_bytes(&[number; 32])))
}
