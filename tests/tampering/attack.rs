//! The pages of attacks: reading them, and writing in what is said.

use std::fs;
use std::path::PathBuf;

/// A page with its attacks.
pub struct Page {
    path: PathBuf,
    pub text: String,
    pub attacks: Vec<Attack>,
}

/// One attack.
pub struct Attack {
    pub title: String,
    /// The lines that do it.
    pub lines: String,
    /// What the page shows of what is said; nothing on a new page.
    pub shown: Option<String>,
    /// Why the audit does not find it, where it does not.
    pub reason: Option<String>,
    /// Why the seal holds, where it does.
    pub seal_holds: Option<String>,
    /// Why the signatures hold, where they do.
    pub signatures_hold: Option<String>,
}

impl Page {
    pub fn read(name: &str) -> Page {
        let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/tampering").join(format!("{name}.md"));
        let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let attacks = text.split("\n## ").skip(1).map(Attack::read).collect();
        Page { path, text, attacks }
    }

    pub fn write(&self, text: &str) {
        fs::write(&self.path, text).unwrap();
    }
}

impl Attack {
    fn read(section: &str) -> Attack {
        let (title, _) = section.split_once('\n').unwrap();
        let lines = block(section, "sh").unwrap_or_else(|| panic!("no lines under {title}"));
        let because = |start: &str| section.lines().find_map(|line| line.strip_prefix(start)).map(str::to_owned);
        Attack {
            title: title.to_owned(),
            lines,
            shown: block(section, "text"),
            reason: because("Not found because: "),
            seal_holds: because("The seal holds because: "),
            signatures_hold: because("The signatures hold because: "),
        }
    }

    /// Returns the text of a page with what is said of this attack.
    pub fn with_shown(&self, page: &str, said: &str) -> String {
        let start = page.find(&format!("\n## {}\n", self.title)).unwrap();
        let (before, section) = page.split_at(start);
        let lines = format!("```sh\n{}```\n", self.lines);
        let old = match &self.shown {
            Some(shown) => format!("{lines}\n```text\n{shown}```\n"),
            None => lines.clone(),
        };
        assert!(section.contains(&old), "{}", self.title);
        format!("{before}{}", section.replacen(&old, &format!("{lines}\n```text\n{said}```\n"), 1))
    }
}

/// Returns what the first block of a kind holds.
fn block(section: &str, kind: &str) -> Option<String> {
    let (_, rest) = section.split_once(&format!("\n```{kind}\n"))?;
    rest.split_once("```").map(|(block, _)| block.to_owned())
}
