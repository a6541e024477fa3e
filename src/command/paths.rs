//! Paths as people type them and as the logbook names them.

use super::Context;
use std::path::{Component, Path, PathBuf};

/// Returns a path as the logbook names it, for a path typed from the current folder or from the logbook's.
pub fn in_logbook(context: &Context, root: &Path, typed: &Path) -> String {
    slashed(&inside(context, root, typed).unwrap_or_else(|| typed.to_path_buf()))
}

/// Returns a path with `/` between its parts.
pub fn slashed(path: &Path) -> String {
    let parts: Vec<String> = path
        .components()
        .filter(|part| !matches!(part, Component::CurDir))
        .map(|part| part.as_os_str().to_string_lossy().into_owned())
        .collect();
    // The root is a part of its own, and a slash already.
    let path = parts.join("/");
    path.strip_prefix('/').filter(|below| below.starts_with('/')).map_or(path.clone(), str::to_owned)
}

/// Returns the part of a typed path below the logbook's folder, if it leads there. The file itself may be gone.
pub fn inside(context: &Context, root: &Path, typed: &Path) -> Option<PathBuf> {
    let root = root.canonicalize().ok()?;
    let below = |place: PathBuf| place.strip_prefix(&root).ok().map(Path::to_path_buf);
    let place = context.folder().join(typed);
    place.canonicalize().ok().and_then(below).or_else(|| {
        let folder = place.parent()?.canonicalize().ok()?;
        below(folder.join(place.file_name()?))
    })
}

/// Returns the path of a record inside the logbook, however the person named it; anything else as it was named.
pub fn record(context: &Context, root: &Path, named: &str) -> String {
    let path = inside(context, root, Path::new(named)).map(|path| slashed(&path));
    path.filter(|path| path.starts_with("records/")).unwrap_or_else(|| named.to_owned())
}

/// Returns a path of the logbook as it can be typed from the current folder.
pub fn from_here(context: &Context, root: &Path, path: &str) -> String {
    let below = context.folder().strip_prefix(root).ok();
    match below.map(|below| Path::new(path).strip_prefix(below)) {
        Some(Ok(rest)) => rest.display().to_string(),
        _ => root.join(path).display().to_string(),
    }
}

/// Returns whether a path of the logbook is one that was asked for, or lies in a folder that was.
pub fn within(path: &str, wanted: &str) -> bool {
    wanted.is_empty() || path == wanted || path.strip_prefix(wanted).is_some_and(|rest| rest.starts_with('/'))
}

/// Returns whether a path of the logbook is that of a record or a seal, or of the folder of all of them.
pub fn is_record_or_seal(path: &str) -> bool {
    ["records", "seals"].into_iter().any(|folder| within(path, folder))
}
