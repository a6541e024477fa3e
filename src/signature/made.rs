//! Making a signature: with a private key, or from what an agent answered.
//!
//! Every signature is judged before it is given on: an agent may answer anything.

use super::NAMESPACE;
use super::check::{Check, check};
use super::key::PublicKey;
use ssh_key::{HashAlg, LineEnding, PrivateKey, Signature, SshSig};

/// The hash that git's own signatures use.
const HASH: HashAlg = HashAlg::Sha512;

/// Returns whether a private key, locked or not, belongs to a public one.
pub fn is_key_of(private: &PrivateKey, public: &PublicKey) -> bool {
    *private.public_key().key_data() == public.0
}

/// Signs bytes with a private key; nothing when it is locked.
pub fn sign(private: &PrivateKey, payload: &[u8]) -> Option<String> {
    let public = PublicKey(private.public_key().key_data().clone());
    let signature = private.sign(NAMESPACE, HASH, payload).ok()?;
    armored(&public, &signature, payload)
}

/// Returns what an agent must sign so that the answer becomes a signature of these bytes.
pub fn to_be_signed(payload: &[u8]) -> Option<Vec<u8>> {
    SshSig::signed_data(NAMESPACE, HASH, payload).ok()
}

/// Returns the signature that an agent's answer makes; nothing when it is none of this key over these bytes.
pub fn from_answer(public: &PublicKey, answer: &[u8], payload: &[u8]) -> Option<String> {
    let raw = Signature::try_from(answer).ok()?;
    armored(public, &SshSig::new(public.0.clone(), NAMESPACE, HASH, raw).ok()?, payload)
}

fn armored(public: &PublicKey, signature: &SshSig, payload: &[u8]) -> Option<String> {
    let text = signature.to_pem(LineEnding::LF).ok()?;
    // As ssh-keygen writes it: the last line ends too.
    let text = format!("{}\n", text.trim_end());
    (check(payload, &text) == Check::Good(public.fingerprint())).then_some(text)
}
