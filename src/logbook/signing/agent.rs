//! Asking an ssh-agent: which keys it holds, and for a signature.
//!
//! Two messages of the agent protocol (draft-miller-ssh-agent, sections 3.5 and 3.6): a length, a number that tells the
//! kind, and fields, each with its length before it. A crate for it would bring every other kind of key with it.

use std::io::{Error, ErrorKind, Result};
use std::path::Path;
use std::time::Duration;
#[cfg(unix)]
use std::{sync::mpsc, time::Instant};

const REQUEST_IDENTITIES: u8 = 11;
const IDENTITIES_ANSWER: u8 = 12;
const SIGN_REQUEST: u8 = 13;
const SIGN_RESPONSE: u8 = 14;

/// An answer that is longer is none: OpenSSH's agent keeps to the same bound.
const LONGEST: u32 = 256 * 1024;

/// A list comes at once.
const LIST_PATIENCE: Duration = Duration::from_secs(5);

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

/// Asks for a signature of some data with one of its keys, and waits no longer than `patience`.
pub(super) fn sign(socket: &Path, key: &[u8], data: &[u8], patience: Duration) -> Result<Vec<u8>> {
    let mut request = vec![SIGN_REQUEST];
    for field in [key, data] {
        request.extend(length(field)?.to_be_bytes());
        request.extend(field);
    }
    // No flags: they choose between the hashes of RSA keys.
    request.extend(0_u32.to_be_bytes());
    let answer = ask(socket, &request, patience)?;
    Ok(Fields(expect(&answer, SIGN_RESPONSE)?).field()?.to_vec())
}

/// Sends a message and returns the answer; all of it within the time given.
#[cfg(unix)]
fn ask(socket: &Path, message: &[u8], patience: Duration) -> Result<Vec<u8>> {
    let until = Instant::now() + patience;
    let (socket, mut framed) = (socket.to_path_buf(), length(message)?.to_be_bytes().to_vec());
    framed.extend(message);
    let (answer, answered) = mpsc::channel();
    // A socket at which many wait keeps whoever connects, and knows no limit: a thread of its own waits there.
    std::thread::spawn(move || {
        // Nobody listens any more when it was too late.
        let _ = answer.send(talk(&socket, &framed, until));
    });
    answered.recv_timeout(patience).unwrap_or_else(|_| Err(ErrorKind::TimedOut.into()))
}

#[cfg(unix)]
fn talk(socket: &Path, framed: &[u8], until: Instant) -> Result<Vec<u8>> {
    use std::io::{Read, Write};
    let left = || until.checked_duration_since(Instant::now()).filter(|left| !left.is_zero());
    let left = || left().ok_or_else(|| Error::from(ErrorKind::TimedOut));
    let mut agent = std::os::unix::net::UnixStream::connect(socket)?;
    agent.set_write_timeout(Some(left()?))?;
    agent.write_all(framed)?;
    let mut answer = Vec::new();
    let mut part = [0; 4096];
    loop {
        if let Some((size, rest)) = answer.split_first_chunk::<4>() {
            let size = u32::from_be_bytes(*size);
            if size > LONGEST {
                return Err(nonsense());
            }
            if let Some(whole) = rest.get(..usize::try_from(size).map_err(|_| nonsense())?) {
                return Ok(whole.to_vec());
            }
        }
        agent.set_read_timeout(Some(left()?))?;
        match agent.read(&mut part)? {
            0 => return Err(ErrorKind::UnexpectedEof.into()),
            read => answer.extend(part.iter().take(read)),
        }
    }
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

#[cfg(test)]
#[cfg(unix)]
mod tests {
    use super::*;
    use std::io::{Read, Write};
    use std::os::unix::net::UnixListener;

    /// Returns how long an agent is waited for that says a byte now and then, and what it said.
    fn waited(patience: Duration, pause: Duration, answer: Vec<u8>) -> (Duration, Result<Vec<u8>>) {
        let folder = tempfile::tempdir().unwrap();
        let socket = folder.path().join("agent");
        let listener = UnixListener::bind(&socket).unwrap();
        let slow = std::thread::spawn(move || {
            let (mut stream, _) = listener.accept().unwrap();
            let mut request = [0; 5];
            stream.read_exact(&mut request).unwrap();
            for byte in answer {
                if stream.write_all(&[byte]).is_err() {
                    break;
                }
                std::thread::sleep(pause);
            }
        });
        let begun = Instant::now();
        let answer = ask(&socket, &[REQUEST_IDENTITIES], patience);
        let waited = begun.elapsed();
        slow.join().unwrap();
        (waited, answer)
    }

    #[test]
    fn the_whole_answer_must_come_in_time() {
        let mut long = vec![0, 0, 4, 0];
        long.resize(1028, 12);
        let patience = Duration::from_millis(400);
        let (waited, answer) = waited(patience, Duration::from_millis(100), long);
        assert!(answer.is_err());
        // The whole answer would take a hundred seconds.
        assert!(patience / 2 <= waited && waited < Duration::from_secs(60), "{waited:?}");
    }

    #[test]
    fn an_answer_in_pieces_is_put_together() {
        let patience = Duration::from_secs(60);
        let (_, answer) = waited(patience, Duration::from_millis(1), vec![0, 0, 0, 3, 12, 5, 7]);
        assert_eq!(answer.unwrap(), [12, 5, 7]);
    }
}
