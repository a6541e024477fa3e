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
