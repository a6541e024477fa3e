//! What makes git show another history than the one that is there: objects in the place of others, names in the place of
//! others, programs that change what is shown.

use std::path::Path;

use anyhow::Result;
use gix::bstr::ByteSlice;

use super::folder;
use super::snapshot::FileContent;

/// The file in which git looks for names to show in the place of those in the history.
pub const NAMES_FILE: &str = ".mailmap";
/// The longest list that is read, in bytes.
const LONGEST_LIST: u64 = 1024 * 1024;

/// A file that makes git show something else than what is there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Veil {
    /// The file, below the logbook.
    pub path: String,
    pub hides: Hides,
}

/// What is not shown as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Hides {
    /// The object with this id.
    Object(String),
    /// Who made a commit.
    Names,
    /// What a file holds, by a program that this setting names.
    Texts(String),
    /// Anything, by the settings of a file that this setting names.
    Settings(String),
    /// Nobody knows what: it is no small plain file.
    Unknown,
}

/// Finds what git would show in place of what is there, in the last commit, the folder and git's own folder.
pub(super) fn find(repo: &gix::Repository, root: &Path) -> Result<Vec<Veil>> {
    let mut veils = Vec::new();
    let references = repo.references()?;
    for reference in references.prefixed(b"refs/replace/".as_slice())?.flatten() {
        let name = reference.name().as_bstr().to_string();
        let of = name.rsplit('/').next().unwrap_or_default().to_owned();
        veils.push(Veil { path: format!(".git/{name}"), hides: Hides::Object(of) });
    }
    veils.extend(grafts(repo));
    if maps_names(repo, root)? {
        veils.push(Veil { path: NAMES_FILE.to_owned(), hides: Hides::Names });
    }
    veils.extend(settings(repo, root));
    Ok(veils)
}

fn grafts(repo: &gix::Repository) -> Vec<Veil> {
    let veil = |hides| Veil { path: ".git/info/grafts".to_owned(), hides };
    match folder::read_within(&repo.common_dir().join("info").join("grafts"), LONGEST_LIST) {
        None => Vec::new(),
        Some(FileContent::Bytes(text)) => {
            let commits =
                text.lines().filter(|line| !line.starts_with(b"#")).map(|line| line.to_str_lossy().into_owned());
            let of = commits.filter_map(|line| line.split(' ').next().map(str::to_owned)).filter(|id| !id.is_empty());
            of.map(|of| veil(Hides::Object(of))).collect()
        }
        Some(_) => vec![veil(Hides::Unknown)],
    }
}

/// Returns whether the last commit or the folder has a list of other names with anything in it.
fn maps_names(repo: &gix::Repository, root: &Path) -> Result<bool> {
    let has_any = |text: &[u8]| text.lines().any(|line| !line.trim().is_empty() && !line.trim().starts_with(b"#"));
    let in_folder = match folder::read_within(&root.join(NAMES_FILE), LONGEST_LIST) {
        Some(FileContent::Bytes(text)) => has_any(&text),
        Some(FileContent::TooLarge(_)) => true,
        // Git follows no link here either.
        Some(FileContent::Link | FileContent::Unreadable(_)) | None => false,
    };
    let Ok(tree) = repo.head_tree() else { return Ok(in_folder) };
    let Some(entry) = tree.lookup_entry_by_path(NAMES_FILE)?.filter(|entry| entry.mode().is_blob()) else {
        return Ok(in_folder);
    };
    let is_long = repo.find_header(entry.object_id()).is_ok_and(|header| header.size() > LONGEST_LIST);
    let in_commit = || repo.find_blob(entry.object_id()).is_ok_and(|blob| has_any(&blob.data));
    Ok(in_folder || is_long || in_commit())
}

/// Finds the settings of the repository by which git shows names or texts otherwise.
fn settings(repo: &gix::Repository, root: &Path) -> Vec<Veil> {
    let snapshot = repo.config_snapshot();
    let mut veils = Vec::new();
    for section in snapshot.plumbing().sections() {
        let header = section.header();
        let below = header.subsection_name().map_or(String::new(), |name| format!(".{}", name.to_str_lossy()));
        let section_name = header.name().to_str_lossy().to_lowercase();
        let file = section.meta().path.as_deref();
        let path =
            file.and_then(|file| file.strip_prefix(root).ok()).map_or(".git/config".into(), Path::to_string_lossy);
        for name in section.value_names() {
            let setting = format!("{section_name}{below}.{name}");
            let hides = match (section_name.as_str(), name.to_lowercase().as_str()) {
                ("mailmap", "file" | "blob") => Hides::Names,
                ("diff", "textconv" | "command" | "external") => Hides::Texts(setting),
                ("include" | "includeif", "path") => Hides::Settings(setting),
                _ => continue,
            };
            let veil = Veil { path: path.clone().into_owned(), hides };
            if !veils.contains(&veil) {
                veils.push(veil);
            }
        }
    }
    veils
}
