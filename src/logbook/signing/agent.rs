//! Asking an ssh-agent: which keys it holds, and for a signature.
//!
//! Two messages of the agent protocol (draft-miller-ssh-agent, sections 3.5 and 3.6): a length, a number that tells the
//! kind, and fields, each with its length before it. A crate for it would bring every other kind of key with it.

use std::io::{Error, ErrorKind, Result};
use std::path::Path;
use std::time::Duration;

const REQUEST_IDENTITIES: u8 = 11;
const IDENTITIES_ANSWER: u8 = 12;
const SIGN_REQUEST: u8 = 13;
const SIGN_RESPONSE: u8 = 14;

/// An answer that is longer is none: OpenSSH's agent keeps to the same bound.
const LONGEST: u32 = 256 * 1024;

/// A list comes at once; a signature may wait for a person who confirms it.
const LIST_PATIENCE: Duration = Duration::from_secs(5);
const SIGN_PATIENCE: Duration = Duration::from_secs(30);

/// Returns the public keys that an agent holds.
pub(super) fn keys(socket: &Path) -> Result<Vec<Vec<u8>>> {
    let answer = ask(socket, &[REQUEST_IDENTITIES], LIST_PATIENCE)?;
    let mut fields = Fields(expect(&answer, IDENTITIES_ANSWER)?);
    let count = fields.number()?;
    let mut keys = Vec::new();
    for _ in 0..count {
        keys.push(fields.field()?.to_vec());
        let _comment = fields.field()?;
    }
    Ok(keys)
}

/// Asks for a signature of some data with one of its keys.
pub(super) fn sign(socket: &Path, key: &[u8], data: &[u8]) -> Result<Vec<u8>> {
    let mut request = vec![SIGN_REQUEST];
    for field in [key, data] {
        request.extend(length(field)?.to_be_bytes());
        request.extend(field);
    }
    // No flags: they choose between the hashes of RSA keys.
    request.extend(0_u32.to_be_bytes());
    let answer = ask(socket, &request, SIGN_PATIENCE)?;
    Ok(Fields(expect(&answer, SIGN_RESPONSE)?).field()?.to_vec())
}

#[cfg(unix)]
fn ask(socket: &Path, message: &[u8], patience: Duration) -> Result<Vec<u8>> {
    use std::io::{Read, Write};
    let mut agent = std::os::unix::net::UnixStream::connect(socket)?;
    agent.set_read_timeout(Some(patience))?;
    agent.set_write_timeout(Some(patience))?;
    agent.write_all(&length(message)?.to_be_bytes())?;
    agent.write_all(message)?;
    let mut size = [0; 4];
    agent.read_exact(&mut size)?;
    let size = u32::from_be_bytes(size);
    if size > LONGEST {
        return Err(nonsense());
    }
    let mut answer = Vec::new();
    agent.take(u64::from(size)).read_to_end(&mut answer)?;
    Ok(answer)
}

#[cfg(not(unix))]
fn ask(_: &Path, _: &[u8], _: Duration) -> Result<Vec<u8>> {
    Err(ErrorKind::Unsupported.into())
}

fn expect(answer: &[u8], kind: u8) -> Result<&[u8]> {
    answer.split_first().filter(|(first, _)| **first == kind).map(|(_, rest)| rest).ok_or_else(nonsense)
}

fn length(field: &[u8]) -> Result<u32> {
    u32::try_from(field.len()).map_err(|_| nonsense())
}

fn nonsense() -> Error {
    ErrorKind::InvalidData.into()
}

/// What is left to read of an answer.
struct Fields<'a>(&'a [u8]);

impl<'a> Fields<'a> {
    fn number(&mut self) -> Result<u32> {
        let (number, rest) = self.0.split_first_chunk::<4>().ok_or_else(nonsense)?;
        self.0 = rest;
        Ok(u32::from_be_bytes(*number))
    }

    fn field(&mut self) -> Result<&'a [u8]> {
        let size = usize::try_from(self.number()?).map_err(|_| nonsense())?;
        let (field, rest) = self.0.split_at_checked(size).ok_or_else(nonsense)?;
        self.0 = rest;
        Ok(field)
    }
}
