//! The program as it is built, run as a person runs it.

use std::process::Command;

/// Returns the program with the moment that counts as now, deaf to the settings of whoever runs the tests.
pub fn pinindex() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pinindex"));
    for (name, _) in std::env::vars_os() {
        let name = name.to_string_lossy().into_owned();
        if ["GIT_", "TYPST_", "SOURCE_DATE_EPOCH", "TZ", "NO_COLOR"].iter().any(|start| name.starts_with(start)) {
            command.env_remove(name);
        }
    }
    command.env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_NOSYSTEM", "1");
    command.args(["--now", "2026-11-25T12:00:00+01:00"]);
    command
}
