//! A person's seat at a terminal: what is on the screen, and the keys.

use expectrl::process::Healthcheck;
use expectrl::process::unix::Signal;
use expectrl::session::OsSession;
use std::io::Write;
use std::process::Command;
use std::time::{Duration, Instant};

/// Longer than any answer of the program takes on a busy machine.
const PATIENCE: Duration = Duration::from_secs(60);

/// A program at a terminal of 80 columns and 24 lines.
pub struct Seat {
    session: OsSession,
    screen: vt100::Parser,
    /// Everything shown since the last key, without the codes that move the cursor.
    fresh: String,
    /// Every key pressed, Enter included.
    pub keys: usize,
    /// Every byte shown.
    pub bytes: Vec<u8>,
}

impl Seat {
    /// Starts a program there.
    pub fn at(mut command: Command) -> Seat {
        if command.get_envs().all(|(name, _)| name != "TERM") {
            command.env("TERM", "xterm");
        }
        let mut session = OsSession::spawn(command).expect("a pseudo-terminal must be there");
        session.get_process_mut().set_window_size(80, 24).expect("a pseudo-terminal has a size");
        let screen = vt100::Parser::new(24.try_into().unwrap(), 80.try_into().unwrap(), 0);
        Seat { session, screen, fresh: String::new(), keys: 0, bytes: Vec::new() }
    }

    /// Waits until words are shown that were not there at the last key.
    pub fn sees(&mut self, words: &str) -> &mut Seat {
        let begun = Instant::now();
        while !spaced(&self.fresh).contains(&spaced(words)) {
            let gone = !self.take_in();
            let waited = begun.elapsed() > PATIENCE;
            let came = spaced(&self.fresh).contains(&spaced(words));
            assert!((!gone && !waited) || came, "`{words}` did not come:\n{}", self.shows());
        }
        self
    }

    /// Waits for a question, which must begin on the screen and be no wider than it.
    pub fn asks(&mut self, title: &str, prompt: &str) -> &mut Seat {
        self.sees(title).sees(prompt);
        let shown = self.shows();
        assert!(shown.contains(title), "`{title}` has left the screen:\n{shown}");
        let rows = (0..24).filter(|row| self.screen.screen().row_wrapped(*row)).count();
        assert_eq!(rows, 0, "a line is wider than the screen:\n{shown}");
        self
    }

    /// Holds a key down, so that the keyboard repeats it faster than questions come.
    pub fn holds_down(&mut self, key: &str, times: usize) -> &mut Seat {
        self.press(&key.repeat(times))
    }

    /// Presses keys, one after the other; `\r` is Enter.
    pub fn press(&mut self, keys: &str) -> &mut Seat {
        // Nobody lets a key go and presses it again faster than this.
        std::thread::sleep(Duration::from_millis(150));
        self.fresh.clear();
        self.keys += keys.chars().count();
        self.session.write_all(keys.as_bytes()).expect("the program reads its keys");
        self.session.flush().expect("the program reads its keys");
        self
    }

    /// Returns what is on the screen.
    pub fn shows(&self) -> String {
        self.screen.screen().contents()
    }

    /// Waits until the program has ended.
    pub fn ends(&mut self) -> &mut Seat {
        let begun = Instant::now();
        while self.take_in() {
            assert!(begun.elapsed() < PATIENCE, "the program does not end:\n{}", self.shows());
        }
        self
    }

    /// Ends the program as a power cut does.
    pub fn cut_power(mut self) {
        self.session.get_process_mut().signal(Signal::SIGKILL).expect("the program runs");
        let begun = Instant::now();
        while self.session.get_process().is_alive().unwrap_or(false) {
            assert!(begun.elapsed() < PATIENCE, "the program outlives its end");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Returns the id of the program's process.
    pub fn process(&self) -> i32 {
        self.session.get_process().pid().as_raw()
    }

    /// Reads what was shown; false when there is nobody any more who shows anything.
    fn take_in(&mut self) -> bool {
        let mut buffer = [0; 4096];
        match self.session.try_read(&mut buffer) {
            Ok(0) => false,
            Ok(read) => {
                let bytes = &buffer[..read];
                self.screen.process(bytes);
                self.bytes.extend_from_slice(bytes);
                self.fresh.push_str(&plain(&String::from_utf8_lossy(bytes)));
                if bytes.windows(4).any(|four| four == b"\x1b[6n") {
                    // A terminal tells where its cursor is when it is asked.
                    let (row, column) = self.screen.screen().cursor_position();
                    let _ = write!(self.session, "\x1b[{};{}R", row + 1, column + 1);
                }
                true
            }
            Err(error) if error.kind() == std::io::ErrorKind::WouldBlock => {
                std::thread::sleep(Duration::from_millis(5));
                true
            }
            Err(_) => false,
        }
    }
}

/// Returns a text with one blank between two words, wherever a line was broken.
fn spaced(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Returns a text without the codes that move the cursor, in which a new line is a blank.
fn plain(text: &str) -> String {
    let mut plain = String::new();
    let mut chars = text.chars();
    while let Some(c) = chars.next() {
        match c {
            '\u{1b}' => {
                if chars.next() == Some('[') {
                    let _ = chars.find(|c| c.is_ascii_alphabetic());
                }
            }
            '\r' | '\n' => plain.push(' '),
            c => plain.push(c),
        }
    }
    plain
}
