//! Keys that an agent holds: a real ssh-agent, with the key, without it, unwilling, and gone.

use crate::bench::{Bench, Done, fingerprint, run};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// An agent that ends with the test.
struct Agent {
    process: Child,
    socket: PathBuf,
}

impl Agent {
    fn start(bench: &Bench) -> Agent {
        let socket = bench.home.path().join("agent");
        let mut command = Command::new("ssh-agent");
        // Nobody is asked whether a key may be used, so that one that must be asked for is refused.
        command.env_remove("DISPLAY").env("SSH_ASKPASS", "false").env("SSH_ASKPASS_REQUIRE", "force");
        command.arg("-D").arg("-a").arg(&socket).stdout(Stdio::null()).stderr(Stdio::null());
        let process = command.spawn().expect("ssh-agent must be installed");
        let begun = Instant::now();
        while !socket.exists() {
            assert!(begun.elapsed() < Duration::from_secs(60), "the agent does not start");
            std::thread::sleep(Duration::from_millis(10));
        }
        Agent { process, socket }
    }

    /// Gives a key to the agent, and takes its file away.
    fn take(&self, key: PathBuf, options: &[&str]) {
        run(Command::new("ssh-add").env("SSH_AUTH_SOCK", &self.socket).args(["-q"]).args(options).arg(&key)).is(0);
        std::fs::remove_file(key).unwrap();
    }

    fn end(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

impl Drop for Agent {
    fn drop(&mut self) {
        self.end();
    }
}

fn record(bench: &Bench, agent: &Agent, minute: u32) -> Done {
    let file = bench.check(minute);
    run(bench.command(&["record", &file]).env("SSH_AUTH_SOCK", &agent.socket)).is(0).says("recorded records/")
}

const ELSEWHERE: &str =
    "not signed: the key of Maryam Okafor is not on this computer; `pinindex audit` will ask about it\n";

#[test]
fn an_agent_that_holds_the_key_signs_and_one_that_does_not_is_left_alone() {
    let bench = Bench::with_key();
    let print = fingerprint(&bench.ssh("id_ed25519.pub"));
    let mut agent = Agent::start(&bench);
    bench.make_key("other", "");
    agent.take(bench.home.path().join("other"), &[]);
    std::fs::rename(bench.ssh("id_ed25519"), bench.home.path().join("mine")).unwrap();
    record(&bench, &agent, 10).says(ELSEWHERE);

    agent.take(bench.home.path().join("mine"), &[]);
    record(&bench, &agent, 12).says(&format!("signed with the key {print} of Maryam Okafor\n"));
    bench.verify("HEAD").is(0).says("Good \"git\" signature for m.okafor@hollerbruck.example");
    assert_ne!(bench.verify("HEAD~1").status, 0);

    agent.end();
    record(&bench, &agent, 14).says(ELSEWHERE);
    assert_eq!(bench.hospital.recorded().len(), 3);
}

#[test]
fn an_agent_that_refuses_holds_no_record_up() {
    let bench = Bench::with_key();
    let agent = Agent::start(&bench);
    agent.take(bench.ssh("id_ed25519"), &["-c"]);
    bench.check(10);
    bench.check(12);
    let done = run(bench.command(&["record", "inbox"]).env("SSH_AUTH_SOCK", &agent.socket)).is(0);
    done.says("not signed: the key of Maryam Okafor was there and did not sign; `pinindex audit` will ask about it\n");
    assert_eq!(bench.hospital.recorded().len(), 2);
}

#[test]
fn what_answers_nonsense_is_no_agent() {
    use std::io::{Read, Write};
    let answers: [&[u8]; 6] = [
        b"",
        &[0, 0, 0, 1, 5],
        &[0, 0, 0, 5, 12, 0xff, 0xff, 0xff, 0xff],
        &[0xff, 0xff, 0xff, 0xff, 12],
        &[0, 0, 0, 9, 12, 0, 0, 0, 1, 0xff, 0xff, 0xff, 0xff],
        &[0, 0, 0, 200, 12, 0, 0],
    ];
    let bench = Bench::with_key();
    std::fs::remove_file(bench.ssh("id_ed25519")).unwrap();
    let socket = bench.home.path().join("nonsense");
    let listener = std::os::unix::net::UnixListener::bind(&socket).unwrap();
    let answering = std::thread::spawn(move || {
        for answer in answers {
            let (mut stream, _) = listener.accept().unwrap();
            let mut request = [0; 5];
            stream.read_exact(&mut request).unwrap();
            assert_eq!(request, [0, 0, 0, 1, 11]);
            stream.write_all(answer).unwrap();
        }
    });
    for minute in 10..16 {
        let file = bench.check(minute);
        let done = run(bench.command(&["record", &file]).env("SSH_AUTH_SOCK", &socket));
        done.is(0).says("recorded records/").says(ELSEWHERE);
    }
    answering.join().unwrap();
}

/// Returns a message of the agent protocol: its length, its kind, and what it holds.
fn message(kind: u8, holds: &[u8]) -> Vec<u8> {
    let mut whole = u32::try_from(holds.len() + 1).unwrap().to_be_bytes().to_vec();
    whole.push(kind);
    whole.extend(holds);
    whole
}

/// Reads one message from a program and returns its kind.
fn asked(stream: &mut std::os::unix::net::UnixStream) -> u8 {
    use std::io::Read;
    let mut size = [0; 4];
    stream.read_exact(&mut size).unwrap();
    let mut request = vec![0; usize::try_from(u32::from_be_bytes(size)).unwrap()];
    stream.read_exact(&mut request).unwrap();
    request[0]
}

#[test]
fn an_agent_that_says_a_byte_now_and_then_is_given_up() {
    use std::io::Write;
    let bench = Bench::with_key();
    std::fs::remove_file(bench.ssh("id_ed25519")).unwrap();
    let socket = bench.home.path().join("slow");
    let listener = std::os::unix::net::UnixListener::bind(&socket).unwrap();
    std::thread::spawn(move || {
        let (mut stream, _) = listener.accept().unwrap();
        for byte in message(12, &[0; 1000]) {
            if stream.write_all(&[byte]).is_err() {
                return;
            }
            std::thread::sleep(Duration::from_millis(500));
        }
    });
    let (file, begun) = (bench.check(10), Instant::now());
    run(bench.command(&["record", &file]).env("SSH_AUTH_SOCK", &socket)).is(0).says(ELSEWHERE);
    // The whole answer would take more than eight minutes.
    assert!(begun.elapsed() < Duration::from_secs(120), "{:?}", begun.elapsed());
}

#[test]
fn git_is_not_kept_out_while_an_agent_asks_its_person() {
    use base64::Engine;
    use std::io::Write;
    let bench = Bench::with_key();
    std::fs::remove_file(bench.ssh("id_ed25519")).unwrap();
    let line = std::fs::read_to_string(bench.ssh("id_ed25519.pub")).unwrap();
    let key = base64::engine::general_purpose::STANDARD.decode(line.split_whitespace().nth(1).unwrap()).unwrap();
    let mut held = vec![0, 0, 0, 1];
    held.extend(u32::try_from(key.len()).unwrap().to_be_bytes());
    held.extend(key);
    held.extend([0, 0, 0, 0]);
    let socket = bench.home.path().join("asking");
    let listener = std::os::unix::net::UnixListener::bind(&socket).unwrap();
    let file = bench.check(10);
    let mut record = bench.command(&["record", &file]);
    let record = record.env("SSH_AUTH_SOCK", &socket).stdout(Stdio::piped()).spawn().unwrap();
    let (mut list, _) = listener.accept().unwrap();
    assert_eq!(asked(&mut list), 11);
    list.write_all(&message(12, &held)).unwrap();
    let (mut sign, _) = listener.accept().unwrap();
    assert_eq!(asked(&mut sign), 13);
    // The person is thinking.
    assert!(!bench.root().join(".git/index.lock").exists());
    assert!(!bench.root().join("records").exists());
    run(&mut bench.git(&["update-index", "--refresh"])).is(0);
    drop(sign);
    let done = Done::of(record.wait_with_output().unwrap()).is(0).says("recorded records/");
    done.says("not signed: the key of Maryam Okafor was there and did not sign");
    assert_eq!(bench.hospital.recorded().len(), 1);
}
