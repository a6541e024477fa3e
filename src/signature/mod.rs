//! What a signature is: a key, the bytes it was made over, and whether the two belong together.
//!
//! Signatures have the form that git makes and reads with SSH keys (the SSHSIG format of OpenSSH, namespace `git`), so that
//! plain git can judge them. Only Ed25519 keys are used. Whose key it is, and from when until when, is said by `register`;
//! where a private key lies, and what is signed with it, by `logbook`. Nothing here touches a disk or an agent.

mod check;
mod key;
mod made;

pub use check::{Check, check};
pub use key::{Fingerprint, PublicKey, Unreadable};
pub use made::{from_answer, is_key_of, sign, to_be_signed};

/// What a signature of git is for: one made for anything else is not one of a commit.
const NAMESPACE: &str = "git";

/// What a logbook without signing keys cannot show.
pub const WITHOUT_KEYS: &str = "A name in a file is not a signature: without signing keys the history shows who was \
    named, not who it was.";
