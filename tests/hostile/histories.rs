//! Histories that no git would make by itself: trees with names that lead elsewhere, the same name twice, links and
//! other repositories for files, a hundred thousand files, and few folders that list more files than any disk holds.

use super::ground::{CHECK, Ground, LOOKED_AT, RECORD};
use std::fmt::Write;
use std::fs;

impl Ground {
    /// Makes a tree of entries (mode, kind, id, name) and returns its id; git is not asked whether that is wise.
    fn tree(&self, entries: &[(&str, &str, &str, &str)]) -> String {
        let lines: String = entries.iter().fold(String::new(), |mut lines, (mode, kind, id, name)| {
            write!(lines, "{mode} {kind} {id}\t{name}\0").unwrap();
            lines
        });
        self.git_with(&["mktree", "-z", "--missing"], lines.as_bytes())
    }

    fn blob(&self, text: &[u8]) -> String {
        self.git_with(&["hash-object", "-w", "--stdin"], text)
    }

    /// Returns the entries of the first commit's top folder with some of them in the place of others.
    fn top_with(&self, changes: &[(&str, &str, &str, &str)]) -> String {
        let listed = self.git(&["ls-tree", "HEAD"]);
        let mut entries: Vec<(&str, &str, &str, &str)> = listed
            .lines()
            .map(|line| {
                let (about, name) = line.split_once('\t').unwrap();
                let mut about = about.split(' ');
                (about.next().unwrap(), about.next().unwrap(), about.next().unwrap(), name)
            })
            .filter(|(_, _, _, name)| changes.iter().all(|(_, _, _, other)| other != name))
            .collect();
        entries.extend(changes);
        self.tree(&entries)
    }

    /// Looks at the last commit by every command; no file of it may come onto the disk.
    #[track_caller]
    fn is_only_told(&self, words: &[&str]) {
        let done = self.run(&["validate", "--commit", "HEAD", "--format", "short"]).is(1);
        for word in words {
            assert!(done.out.contains(word), "`{word}` is not in {}", done.out);
        }
        self.look_at_all();
        self.run(&["keep", "--by", "m-okafor"]);
    }
}

#[test]
fn names_that_lead_elsewhere_are_told() {
    let ground = Ground::new();
    let secret = ground.blob(b"x: 1\n");
    let check = ground.blob(&fs::read(ground.root().join(CHECK)).unwrap());
    let below = ground.tree(&[("100644", "blob", &secret, "secret.yaml")]);
    let records = ground.tree(&[
        ("040000", "tree", &below, ".."),
        ("040000", "tree", &below, "."),
        ("040000", "tree", &below, ".git"),
        ("100644", "blob", &check, "-rf"),
    ]);
    let machines = ground.tree(&[("040000", "tree", &below, ".."), ("100644", "blob", &secret, ".git")]);
    ground.commit_tree(&ground.top_with(&[
        ("040000", "tree", &records, "records"),
        ("040000", "tree", &machines, "machines"),
        ("040000", "tree", &below, ".."),
    ]));
    ground.is_only_told(&[
        "records/../secret.yaml:1:1: problem[not-a-file]: file cannot be read: no file can have this name",
        "records/./secret.yaml:1:1: problem[not-a-file]",
        "records/.git/secret.yaml:1:1: problem[not-a-file]",
        "machines/../secret.yaml:1:1: problem[not-a-file]",
        "records/-rf",
    ]);
}

#[test]
fn a_name_with_a_slash_in_it_is_no_path() {
    let ground = Ground::new();
    let check = ground.blob(&fs::read(ground.root().join(CHECK)).unwrap());
    // Written byte by byte, because git refuses to make such a tree.
    let name = RECORD.strip_prefix("records/").unwrap();
    let mut raw = format!("100644 {name}\0").into_bytes();
    raw.extend((0..20).map(|n| u8::from_str_radix(&check[2 * n..2 * n + 2], 16).unwrap()));
    let records = ground.git_with(&["hash-object", "-t", "tree", "-w", "--stdin", "--literally"], &raw);
    ground.commit_tree(&ground.top_with(&[("040000", "tree", &records, "records")]));
    ground.is_only_told(&["problem[not-a-file]: file cannot be read: no file can have this name"]);
}

#[test]
fn the_same_name_twice_is_told_and_neither_counts() {
    let ground = Ground::new();
    let one = ground.blob(&fs::read(ground.root().join(CHECK)).unwrap());
    let other = ground.blob(&fs::read(ground.root().join("machines/theatre-1.yaml")).unwrap());
    let day = ground.tree(&[
        ("100644", "blob", &one, "065200-theatre-1.check.yaml"),
        ("100644", "blob", &other, "065200-theatre-1.check.yaml"),
    ]);
    let month = ground.tree(&[("040000", "tree", &day, "23")]);
    let year = ground.tree(&[("040000", "tree", &month, "11")]);
    let records = ground.tree(&[("040000", "tree", &year, "2026"), ("100644", "blob", &one, "2026")]);
    ground.commit_tree(&ground.top_with(&[("040000", "tree", &records, "records")]));
    ground.is_only_told(&[&format!("{CHECK}:1:1: problem[not-a-file]: file cannot be read: its name stands twice")]);
}

#[test]
fn links_and_other_repositories_in_a_tree_are_told() {
    let ground = Ground::new();
    let target = ground.blob(b"../../../../../secret.yaml");
    let nowhere = "1".repeat(40);
    let day = ground.tree(&[
        ("120000", "blob", &target, "065200-theatre-1.check.yaml"),
        ("160000", "commit", &nowhere, "070000-theatre-1.check.yaml"),
        ("100755", "blob", &nowhere, "080000-theatre-1.check.yaml"),
    ]);
    let month = ground.tree(&[("040000", "tree", &day, "25")]);
    let year = ground.tree(&[("040000", "tree", &month, "11"), ("120000", "blob", &target, "12")]);
    let records = ground.tree(&[("040000", "tree", &year, "2026"), ("160000", "commit", &nowhere, "2027")]);
    ground.commit_tree(&ground.top_with(&[
        ("040000", "tree", &records, "records"),
        ("160000", "commit", &nowhere, "seals"),
        ("120000", "blob", &target, "calendar"),
    ]));
    ground.is_only_told(&[
        "records/2026/11/25/065200-theatre-1.check.yaml:1:1: problem[not-a-file]: a link",
        "records/2026/11/25/070000-theatre-1.check.yaml:1:1: problem[not-a-file]: file cannot be read: it is another git",
        "records/2026/11/25/080000-theatre-1.check.yaml:1:1: problem[not-a-file]: file cannot be read: git cannot give",
        "records/2026/12:1:1: problem[not-a-file]",
        "records/2027:1:1: problem[not-a-file]",
        "seals:1:1: problem[not-a-file]",
        "calendar:1:1: problem[not-a-file]",
    ]);
}

#[test]
fn a_hundred_thousand_files_are_looked_at_and_told() {
    let ground = Ground::new();
    let blob = ground.blob(b"x: 1\n");
    let lines: String = (0..100_000).fold(String::new(), |mut lines, n| {
        writeln!(lines, "100644 blob {blob}\t{n}").unwrap();
        lines
    });
    let machines = ground.git_with(&["mktree"], lines.as_bytes());
    ground.commit_tree(&ground.top_with(&[("040000", "tree", &machines, "machines")]));
    ground
        .run(&["validate", "--commit", "HEAD", "--format", "short"])
        .is(1)
        .says("machines/99999:1:1: problem[stray-file]");
    ground.run(&["ready"]);
}

#[test]
fn folders_that_hold_each_other_are_refused_before_they_fill_the_memory() {
    let ground = Ground::new();
    let blob = ground.blob(b"x: 1\n");
    let files = ground.tree(&[("100644", "blob", &blob, "x.yaml")]);
    let empty = ground.tree(&[]);
    let holding_each_other = |bottom: String| {
        (0..12).fold(bottom, |tree, _| {
            let names: Vec<String> = (10..20).map(|n| n.to_string()).collect();
            let entries: Vec<_> = names.iter().map(|name| ("040000", "tree", tree.as_str(), name.as_str())).collect();
            ground.tree(&entries)
        })
    };
    let records = holding_each_other(files);
    ground.commit_tree(&ground.top_with(&[("040000", "tree", &records, "records")]));
    ground.run(&["report", "2026-11"]).is(2).says("lists more files than any logbook can have");
    // Folders alone fill it too, and those of the past are looked at even when the last commit is a logbook again.
    ground.git(&["update-ref", "HEAD", "HEAD~1"]);
    let records = holding_each_other(empty);
    ground.commit_tree(&ground.top_with(&[("040000", "tree", &records, "records")]));
    ground.commit_tree("HEAD~1^{tree}");
    ground.run(&["ready"]).is(2).says("lists more files than any logbook can have");
}

#[test]
fn a_commit_or_a_folder_of_any_size_is_refused() {
    let ground = Ground::new();
    let tree = ground.git(&["rev-parse", "HEAD^{tree}"]);
    let author = "Test <test@hospital.example> 1764068400 +0100";
    let raw = format!("tree {tree}\nauthor {author}\ncommitter {author}\n\n{}\n", "x".repeat(2 * 1024 * 1024));
    let commit = ground.git_with(&["hash-object", "-t", "commit", "-w", "--stdin"], raw.as_bytes());
    ground.git(&["update-ref", "HEAD", &commit]);
    for arguments in &LOOKED_AT {
        ground.run(arguments).is(2).says("more than the 1048576 that are read");
    }
}

#[test]
fn a_commit_with_a_time_that_no_calendar_holds_or_with_escape_codes_is_shown_plainly() {
    let ground = Ground::new();
    let tree = ground.git(&["rev-parse", "HEAD^{tree}"]);
    for author in [
        "Test <test@hospital.example> 99999999999999999 +0100",
        "Test <test@hospital.example> -1 +9999",
        "\u{1b}]52;c;aGVsbG8=\u{7} <\u{202e}> 1764068400 +0100",
    ] {
        let raw = format!("tree {tree}\nauthor {author}\ncommitter {author}\n\n\u{1b}[2J\u{202e}x\n");
        let commit = ground.git_with(&["hash-object", "-t", "commit", "-w", "--stdin", "--literally"], raw.as_bytes());
        ground.git(&["update-ref", "HEAD", &commit]);
        ground.look_at_all();
    }
}
