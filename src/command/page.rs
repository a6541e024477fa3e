//! `pinindex page`: a check of one machine as one file for a tablet or any computer with a browser.

use super::Context;
use super::opened::{Which, open};
use super::ready;
use crate::bedside::page::{Basis, State, html, page};
use crate::bedside::readiness::{self, About, Readiness};
use crate::cli::Outcome;
use crate::diagnostic::one_line;
use crate::logbook::{self, Source};
use anyhow::Context as _;
use std::io::Write;
use std::path::PathBuf;

/// Make a page for recording a check on a tablet or any computer, without a network
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example:\n  pinindex page theatre-1\n  pinindex page theatre-1 --procedure each-patient --output tablet.html\n\n\
    The page is one file: copy it to a tablet, or open it where it lies. It keeps what was put in until it is saved,\n\
    and it judges by the limits in force now; make it anew when a limit, a person or the machine has changed.\n\
    `Save record` gives a YAML file, which `pinindex record` takes in."
)]
pub struct Arguments {
    /// The machine
    machine: String,

    /// The procedure [default: the check before the first case]
    #[arg(long, value_name = "ID")]
    procedure: Option<String>,

    /// The file to write [default: reports/check-MACHINE-PROCEDURE.html in the logbook]
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// Runs the command.
pub fn run(context: &Context, arguments: &Arguments) -> anyhow::Result<Outcome> {
    let mut opened = open(context, Which::Committed)?;
    opened.tell_uncounted()?;
    opened.solid_ground()?;
    let (machines, _) = ready::readiness_of(&mut opened, context.now());
    super::known_machine(&opened.contents, &arguments.machine)?;
    let today = opened.contents.day(context.now());
    let procedure = super::procedure_in_force(&opened.contents, arguments.procedure.as_deref(), today)?;
    let site = opened.site()?;
    let id = &arguments.machine;
    let machine = opened.contents.machine_on(id, today).context("the machine is known")?;
    let commit = match &opened.snapshot.source {
        Source::Commit(commit) => Some(commit.id.as_str()),
        Source::WorkingFiles { .. } => None,
    };
    let basis = Basis { contents: &opened.contents, site, id, machine, procedure, commit, made: context.now() };
    let text = html(&page(basis, state(machines, id)))?;
    let path = match &arguments.output {
        Some(path) => context.folder().join(path),
        None => logbook::reports_folder(&opened.root)?.join(format!("check-{id}-{}.html", procedure.procedure)),
    };
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    }
    logbook::write_whole(&path, text.as_bytes())?;
    let mut out = anstream::stdout().lock();
    writeln!(out, "{}", one_line(&format!("wrote {}", path.display())))?;
    writeln!(out, "Open it in a browser, on this computer or copied to a tablet; it needs no network.")?;
    writeln!(out, "Put the files that it saves into one folder, such as inbox, and run `pinindex record inbox/`.")?;
    Ok(Outcome::Clean)
}

/// Returns what the records say of the machine now.
fn state(machines: Vec<Readiness>, id: &str) -> State {
    let one = machines.into_iter().find(|one| one.machine == id);
    let sentences = one.iter().flat_map(|one| one.reasons.iter().chain(&one.notes));
    State {
        word: one.as_ref().map_or(readiness::State::NotReady, |one| one.state).words().to_owned(),
        withheld: sentences.clone().any(|sentence| sentence.about == About::Fault),
        reasons: sentences.map(ToString::to_string).collect(),
    }
}
