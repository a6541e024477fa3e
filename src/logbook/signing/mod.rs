//! Signing commits: where the private key of a person is found, and making the signature of a commit with it.
//!
//! A key is looked for in three places, in this order: a file that was named, the agent, and the folder in which ssh keeps
//! its keys. Only a key that belongs to one of the public keys asked for is ever used. No program is started.

mod agent;
mod key_file;

use std::cell::Cell;
use std::fmt;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use ssh_key::PrivateKey;

use super::commit::Author;
use crate::signature::{self, PublicKey};

/// How long an agent may take for a signature, and for all of a turn: it may ask a person before each, and others wait for the
/// turn, twice as long as this.
const EACH_SIGNATURE: Duration = Duration::from_secs(30);
const ALL_SIGNATURES: Duration = Duration::from_secs(60);

/// Where keys may be found.
#[derive(Debug, Clone, Default)]
pub struct KeyPlaces {
    /// A private key file that was named.
    pub file: Option<PathBuf>,
    /// The socket of an agent.
    pub agent: Option<PathBuf>,
    /// The folder of ssh's keys, where `NAME.pub` stands beside `NAME`.
    pub folder: Option<PathBuf>,
}

/// What was found of a key.
pub enum Found {
    /// It can sign.
    Ready(Signer),
    /// It lies in a file and is locked with a passphrase.
    Locked(Box<LockedKey>),
    /// The file that was named holds no private key that can be read, and there is no other.
    Unreadable(PathBuf),
    /// It is not on this computer.
    Nowhere,
}

/// Looks for the private key of any of some public keys, the first place first.
pub fn find(places: &KeyPlaces, keys: &[PublicKey]) -> Found {
    let mut unreadable = None;
    if let Some(path) = &places.file {
        match key_file::read(path) {
            None => unreadable = Some(path.clone()),
            Some(private) => {
                if let Some(key) = keys.iter().find(|key| signature::is_key_of(&private, key)) {
                    return in_file(key, private, path);
                }
            }
        }
    }
    if let Some(socket) = &places.agent {
        let held = agent::keys(socket).unwrap_or_default();
        if let Some(key) = keys.iter().find(|key| held.contains(&key.bytes())) {
            let secret = Secret::Agent { socket: socket.clone(), patience: Cell::new(ALL_SIGNATURES) };
            return Found::Ready(Signer { key: key.clone(), secret });
        }
    }
    let beside = places.folder.as_deref().and_then(|folder| key_file::beside_public(folder, keys));
    match (beside, unreadable) {
        (Some((key, path, private)), _) => in_file(&key, private, &path),
        (None, Some(path)) => Found::Unreadable(path),
        (None, None) => Found::Nowhere,
    }
}

fn in_file(key: &PublicKey, private: PrivateKey, path: &Path) -> Found {
    if private.is_encrypted() {
        return Found::Locked(Box::new(LockedKey { key: key.clone(), private, path: path.to_path_buf() }));
    }
    Found::Ready(Signer { key: key.clone(), secret: Secret::Key(Box::new(private)) })
}

/// A private key that is locked with a passphrase.
pub struct LockedKey {
    key: PublicKey,
    private: PrivateKey,
    path: PathBuf,
}

impl LockedKey {
    /// Returns the file in which it lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Unlocks the key; nothing when the passphrase is another one.
    pub fn unlock(&self, passphrase: &str) -> Option<Signer> {
        let private = self.private.decrypt(passphrase).ok()?;
        Some(Signer { key: self.key.clone(), secret: Secret::Key(Box::new(private)) })
    }
}

/// A key that can sign.
pub struct Signer {
    key: PublicKey,
    secret: Secret,
}

enum Secret {
    Key(Box<PrivateKey>),
    /// An agent that does not sign is not asked again: others wait for the turn.
    Agent {
        socket: PathBuf,
        /// The time that is left.
        patience: Cell<Duration>,
    },
}

impl Signer {
    /// Returns the public key.
    pub fn key(&self) -> &PublicKey {
        &self.key
    }

    /// Signs bytes; nothing when the agent is gone or does not sign.
    pub(super) fn sign(&self, payload: &[u8]) -> Option<String> {
        match &self.secret {
            Secret::Key(private) => signature::sign(private, payload),
            Secret::Agent { patience, .. } if patience.get().is_zero() => None,
            Secret::Agent { socket, patience } => {
                let data = signature::to_be_signed(payload)?;
                let begun = Instant::now();
                let answer = agent::sign(socket, &self.key.bytes(), &data, patience.get().min(EACH_SIGNATURE)).ok();
                let signed = answer.and_then(|answer| signature::from_answer(&self.key, &answer, payload));
                let left = patience.get().saturating_sub(begun.elapsed());
                patience.set(if signed.is_some() { left } else { Duration::ZERO });
                signed
            }
        }
    }
}

impl fmt::Debug for Signer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Signer({})", self.key.fingerprint())
    }
}

/// The keys at hand in a turn, by the name and address of whoever commits.
#[derive(Debug, Default)]
pub(super) struct Signers(Vec<(String, String, std::rc::Rc<Signer>)>);

impl Signers {
    pub(super) fn add(&mut self, name: &str, email: &str, signer: std::rc::Rc<Signer>) {
        self.0.push((name.to_owned(), email.to_owned(), signer));
    }

    /// Returns the key of a committer.
    pub(super) fn of(&self, committer: &Author) -> Option<&Signer> {
        let theirs = |(name, email, _): &&(String, String, _)| *name == committer.name && *email == committer.email;
        self.0.iter().find(theirs).map(|(_, _, signer)| &**signer)
    }
}
