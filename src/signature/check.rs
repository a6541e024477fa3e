//! Whether a signature was made over exactly these bytes, and with which key.

use super::NAMESPACE;
use super::key::Fingerprint;
use ssh_key::{Algorithm, LineEnding, SshSig};

/// What a signature comes to. Whether the key is that of the right person at the right time is another question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Check {
    /// Made with this key over exactly these bytes.
    Good(Fingerprint),
    /// It names this key, but is not over these bytes or not for a commit.
    Bad(Fingerprint, &'static str),
    /// Of a kind that cannot be judged here, and why.
    Unknown(String),
}

/// Judges a signature as it stands in a commit.
pub fn check(payload: &[u8], armored: &str) -> Check {
    let unknown = |why: &str| Check::Unknown(why.to_owned());
    if armored.contains("-----BEGIN PGP ") {
        return unknown("it is an OpenPGP signature");
    }
    if armored.contains("-----BEGIN SIGNED MESSAGE-----") {
        return unknown("it is an X.509 signature");
    }
    if armored.matches("-----BEGIN SSH SIGNATURE-----").count() > 1 {
        return unknown("there is more than one signature");
    }
    let Some(signature) = read(armored) else {
        return unknown("it is damaged, or of a kind that is not known here");
    };
    let key = ssh_key::PublicKey::from(signature.public_key().clone());
    if key.algorithm() != Algorithm::Ed25519 {
        return Check::Unknown(format!(
            "its key is of the kind {}, and only ssh-ed25519 is known here",
            key.algorithm()
        ));
    }
    let by = Fingerprint::of(key.key_data());
    if signature.namespace() != NAMESPACE {
        return Check::Bad(by, "it was made for something else than a commit");
    }
    match key.verify(NAMESPACE, payload, &signature) {
        Ok(()) => Check::Good(by),
        Err(_) => Check::Bad(by, "it is not of this commit as it stands here"),
    }
}

/// Reads a signature that is written in the one way in which it can be written, as ssh-keygen does.
fn read(armored: &str) -> Option<SshSig> {
    let signature = SshSig::from_pem(armored).ok().filter(|signature| signature.version() == SshSig::VERSION)?;
    let written = signature.to_pem(LineEnding::LF).ok()?;
    written.split_whitespace().eq(armored.split_whitespace()).then_some(signature)
}
