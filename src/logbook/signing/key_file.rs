//! Private keys in files, as ssh keeps them.

use std::fs;
use std::path::{Path, PathBuf};

use ssh_key::PrivateKey;
use zeroize::Zeroizing;

use crate::signature::{self, PublicKey};

/// The size in bytes above which a file is no key.
const LARGEST: u64 = 64 * 1024;

/// Reads a private key, which may be locked; nothing when there is none that can be read.
pub(super) fn read(path: &Path) -> Option<PrivateKey> {
    PrivateKey::from_openssh(text(path)?.as_bytes()).ok()
}

/// Returns one of some keys whose public part lies in a folder as `NAME.pub`, with the private one beside it as `NAME`.
pub(super) fn beside_public(folder: &Path, keys: &[PublicKey]) -> Option<(PublicKey, PathBuf, PrivateKey)> {
    let entries = fs::read_dir(folder).ok()?;
    let mut paths: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    paths.retain(|path| path.extension().is_some_and(|end| end == "pub"));
    paths.sort();
    paths.into_iter().find_map(|public| {
        let key = PublicKey::read(&text(&public)?).ok().filter(|key| keys.contains(key))?;
        let path = public.with_extension("");
        // A private key under the wrong name is another one.
        let private = read(&path).filter(|private| signature::is_key_of(private, &key))?;
        Some((key, path, private))
    })
}

fn text(path: &Path) -> Option<Zeroizing<String>> {
    let about = fs::metadata(path).ok()?;
    (about.is_file() && about.len() <= LARGEST).then(|| fs::read_to_string(path).ok().map(Zeroizing::new))?
}
