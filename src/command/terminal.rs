//! The terminal as a person sits before it: lines, single keys, typed lines, a countdown.
//!
//! It works like a paper roll, line under line, so that it can be read over a slow connection, by a screen reader, and
//! afterwards. Nothing is told by colour. Between two questions the terminal is as the shell left it, so that nothing has to
//! be put back after a crash.

use super::Context;
use super::signing::stopped;
use crate::bedside::console::{Console, Entered, Held, Key};
use crate::diagnostic::visible;
use crate::record::Moment;
use crossterm::event::{self, Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use crossterm::terminal::{disable_raw_mode, enable_raw_mode, size};
use inquire::ui::{RenderConfig, Styled};
use inquire::{InquireError, Password, Text};
use std::io::{IsTerminal, Write};
use std::time::{Duration, Instant};
use zeroize::Zeroizing;

/// A line is broken here even where the terminal is wider: long lines are hard to read.
const WIDEST: usize = 79;

/// A key that comes again sooner than this is being held down; keyboards repeat one every 20 to 90 ms (common practice).
const HELD_DOWN: Duration = Duration::from_millis(120);

/// The terminal of this program.
pub struct Terminal<'a> {
    context: &'a Context,
    /// The last single key, and when it came.
    last: Option<(char, Instant)>,
}

impl<'a> Terminal<'a> {
    /// Returns the terminal; nothing when input or output is a file or a pipe, where nobody can be asked.
    pub fn of(context: &'a Context) -> Option<Terminal<'a>> {
        let both = std::io::stdin().is_terminal() && std::io::stdout().is_terminal() && std::io::stderr().is_terminal();
        both.then_some(Terminal { context, last: None })
    }

    /// Asks for a passphrase, which is not shown; nothing when the person would rather not.
    ///
    /// # Errors
    /// The person stops.
    pub fn secret(&mut self, prompt: &str) -> anyhow::Result<Option<Zeroizing<String>>> {
        match Password::new(prompt).without_confirmation().with_render_config(prompts()).prompt() {
            Ok(typed) => Ok(Some(Zeroizing::new(typed))),
            Err(InquireError::OperationCanceled) => Ok(None),
            Err(InquireError::OperationInterrupted) => Err(stopped().into()),
            Err(error) => Err(error.into()),
        }
    }

    /// Passes over every key that came before a question was shown: nobody answers what is not there yet. Returns whether
    /// the person wants to stop.
    fn pass_over(&mut self) -> anyhow::Result<bool> {
        let _raw = Raw::on()?;
        while event::poll(Duration::ZERO)? {
            match pressed(event::read()?) {
                Some(Pressed::Stop) => return Ok(true),
                Some(Pressed::Char(c)) => self.last = Some((c, Instant::now())),
                _ => {}
            }
        }
        Ok(false)
    }

    /// Returns whether a key is only held down: no answer may come from that alone.
    fn is_held_down(&mut self, c: char) -> bool {
        let now = Instant::now();
        let last = self.last.replace((c, now));
        last.is_some_and(|(before, at)| before == c && now.duration_since(at) < HELD_DOWN)
    }
}

impl Console for Terminal<'_> {
    fn say(&mut self, line: &str) -> anyhow::Result<()> {
        let mut out = std::io::stdout().lock();
        for part in broken(&visible(line), width()) {
            writeln!(out, "{part}")?;
        }
        Ok(out.flush()?)
    }

    fn new_part(&mut self) -> anyhow::Result<()> {
        let mut out = std::io::stdout().lock();
        writeln!(out, "\n{}", "-".repeat(width().min(WIDEST)))?;
        Ok(out.flush()?)
    }

    fn key(&mut self, prompt: &str, offered: &[char]) -> anyhow::Result<Key> {
        if self.pass_over()? {
            return Ok(Key::Stop);
        }
        self.say(prompt)?;
        let raw = Raw::on()?;
        let key = loop {
            let Some(code) = pressed(event::read()?) else { continue };
            match code {
                Pressed::Char(c) if self.is_held_down(c) => continue,
                Pressed::Char(c) => match offered.iter().find(|offered| offered.eq_ignore_ascii_case(&c)) {
                    Some(c) => break Key::Char(*c),
                    None => {
                        // The bell: the key was heard, and means nothing here.
                        write!(std::io::stdout().lock(), "\u{7}")?;
                        std::io::stdout().lock().flush()?;
                    }
                },
                Pressed::Enter => break Key::Enter,
                Pressed::Escape => break Key::Escape,
                Pressed::Stop => break Key::Stop,
            }
        };
        drop(raw);
        Ok(key)
    }

    fn line(
        &mut self,
        prompt: &str,
        suggestion: &str,
        check: &dyn Fn(&str) -> Result<(), String>,
    ) -> anyhow::Result<Entered> {
        loop {
            let question = Text::new(prompt).with_render_config(prompts());
            // What is typed takes the place of one word or number; a sentence is edited where it stands.
            let question = match suggestion {
                "" => question,
                word if !word.contains(' ') => question.with_default(word),
                sentence => question.with_initial_value(sentence),
            };
            let asked = question.prompt();
            let text = match asked {
                Ok(text) => text,
                Err(InquireError::OperationCanceled) => return Ok(Entered::Escape),
                Err(InquireError::OperationInterrupted) => return Ok(Entered::Stop),
                Err(error) => return Err(error.into()),
            };
            match check(text.trim()) {
                Ok(()) => return Ok(Entered::Text(text.trim().to_owned())),
                Err(why) => self.say(&format!("  {why}"))?,
            }
        }
    }

    fn hold(&mut self, seconds: u64) -> anyhow::Result<Held> {
        let begun = Instant::now();
        let whole = Duration::from_secs(seconds);
        let raw = Raw::on()?;
        let mut shown = None;
        let held = loop {
            let gone = begun.elapsed();
            if gone >= whole {
                break Held::ToTheEnd;
            }
            let left = seconds.saturating_sub(gone.as_secs());
            if shown != Some(left) {
                show_countdown(&format!("{left:>4} s left   any key: let go early   Esc: call it off"))?;
                shown = Some(left);
            }
            let next = Duration::from_secs(gone.as_secs() + 1).min(whole).saturating_sub(gone);
            if !event::poll(next)? {
                continue;
            }
            match pressed(event::read()?) {
                Some(Pressed::Stop) => break Held::Stop,
                Some(Pressed::Escape) => break Held::CalledOff,
                Some(_) => break Held::LetGo(begun.elapsed().as_secs()),
                None => {}
            }
        };
        // The bell is for whoever looks at the gauge and not at the screen.
        show_countdown(if held == Held::ToTheEnd { "   0 s left\u{7}" } else { "" })?;
        drop(raw);
        writeln!(std::io::stdout().lock())?;
        Ok(held)
    }

    fn now(&self) -> Moment {
        self.context.clock()
    }
}

/// Returns how a line that waits for an answer looks, and one that was answered: the same, without colour.
fn prompts() -> RenderConfig<'static> {
    let mut prompts = RenderConfig::empty().with_prompt_prefix(Styled::new(">"));
    prompts.answered_prompt_prefix = Styled::new(">");
    prompts
}

/// A key of the keyboard, as far as anything here listens to it.
enum Pressed {
    Char(char),
    Enter,
    Escape,
    Stop,
}

fn pressed(event: Event) -> Option<Pressed> {
    let Event::Key(KeyEvent { code, modifiers, kind, .. }) = event else { return None };
    if kind == KeyEventKind::Release {
        return None;
    }
    match code {
        KeyCode::Char('c' | 'd') if modifiers.contains(KeyModifiers::CONTROL) => Some(Pressed::Stop),
        KeyCode::Char(c) if !modifiers.intersects(KeyModifiers::CONTROL | KeyModifiers::ALT) => Some(Pressed::Char(c)),
        KeyCode::Enter => Some(Pressed::Enter),
        KeyCode::Esc => Some(Pressed::Escape),
        _ => None,
    }
}

/// Writes over the line the cursor is in.
fn show_countdown(text: &str) -> anyhow::Result<()> {
    let mut out = std::io::stdout().lock();
    let room = WIDEST.min(width().saturating_sub(1));
    write!(out, "\r{text:<room$}\r{text}")?;
    Ok(out.flush()?)
}

fn width() -> usize {
    // A terminal that does not tell is taken for the oldest kind.
    let columns = size().map_or(80, |(columns, _)| usize::from(columns));
    if columns < 20 { 80 } else { columns.min(WIDEST + 1) }
}

/// Single keys, until it is dropped.
struct Raw;

impl Raw {
    fn on() -> anyhow::Result<Raw> {
        enable_raw_mode()?;
        Ok(Raw)
    }
}

impl Drop for Raw {
    fn drop(&mut self) {
        // A terminal that cannot be put back is gone.
        let _ = disable_raw_mode();
    }
}

/// Returns a line as standard output shows it: broken between words on a terminal, whole in a file or a pipe.
pub fn as_shown(line: &str) -> Vec<String> {
    if std::io::stdout().is_terminal() { broken(line, width()) } else { vec![line.to_owned()] }
}

/// Breaks a line between words, with the indentation of its beginning; the room between two words of a line stays.
fn broken(line: &str, width: usize) -> Vec<String> {
    let indent: String = line.chars().take_while(|c| *c == ' ').collect();
    let room = width.saturating_sub(1).max(indent.len() + 10);
    let mut lines = Vec::new();
    let mut current = indent.clone();
    let mut begun = false;
    let mut between = 0;
    for word in line.trim_start_matches(' ').split(' ') {
        if word.is_empty() {
            between += 1;
            continue;
        }
        let gap = if begun { between + 1 } else { 0 };
        if begun && current.chars().count() + gap + word.chars().count() > room {
            lines.push(std::mem::replace(&mut current, format!("{indent}{word}")));
        } else {
            current.extend(std::iter::repeat_n(' ', gap));
            current.push_str(word);
        }
        (begun, between) = (true, 0);
    }
    lines.push(current);
    lines
}

#[cfg(test)]
mod tests {
    use super::broken;

    #[test]
    fn long_lines_are_broken_between_words() {
        assert_eq!(broken("", 80), [""]);
        assert_eq!(broken("  a bb ccc dddd eeee", 14), ["  a bb ccc", "  dddd eeee"]);
        assert_eq!(broken("p pass  f fail  b back", 16), ["p pass  f fail", "b back"]);
    }
}
