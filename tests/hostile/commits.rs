//! Commits that somebody wrote byte by byte: git takes them, every command works on, and the audit and `validate` name them.

use super::ground::{Ground, NOW};

const WHO: &str = "Maryam Okafor <m.okafor@hospital.example> 1795604400 +0100";

impl Ground {
    /// Puts a commit with other bytes in the place of the last one, a good one on top of it, and returns its id.
    fn with_commit(&self, change: impl Fn(&str) -> String) -> String {
        self.git(&[
            "commit",
            "--quiet",
            "--allow-empty",
            "--author",
            "Maryam Okafor <m.okafor@hospital.example>",
            "-m",
            "Note",
        ]);
        let text = self.git(&["cat-file", "commit", "HEAD"]) + "\n";
        let changed = change(&text);
        assert_ne!(changed, text);
        let id = self.git_with(&["hash-object", "-t", "commit", "-w", "--stdin", "--literally"], changed.as_bytes());
        self.git(&["update-ref", "HEAD", &id]);
        self.commit_all();
        id
    }
}

fn line<'a>(commit: &'a str, name: &str) -> &'a str {
    commit.lines().find(|line| line.starts_with(&format!("{name} "))).unwrap()
}

/// What is odd, how it is made, and the words for it.
type Oddity = (fn(&str) -> String, &'static str);

const ODDITIES: [Oddity; 14] = [
    (|c| c.replacen("author", &format!("author {WHO}\nauthor"), 1), "its `author` stands twice"),
    (|c| c.replacen("committer", &format!("committer {WHO}\ncommitter"), 1), "its `committer` stands twice"),
    (|c| c.replacen("tree", &format!("{}\ntree", line(c, "tree")), 1), "its `tree` stands twice"),
    (|c| c.replace(line(c, "author"), "author Maryam Okafor"), "its author has no address"),
    (
        |c| c.replace(line(c, "committer"), "committer Test <t@hospital.example>"),
        "its committer has no date that can be read",
    ),
    (
        |c| c.replace(line(c, "committer"), "committer Test <t@hospital.example> 1795604400 +xx"),
        "its committer has no date",
    ),
    // The last second that chrono holds, and the year 10000.
    (
        |c| c.replace(line(c, "committer"), "committer Test <t@hospital.example> 8210266876799 +0100"),
        "its committer has no date",
    ),
    (|c| c.replace(line(c, "author"), "author Test <t@hospital.example> 253402300800 +0000"), "its author has no date"),
    (
        |c| c.replace(line(c, "committer"), "committer Test <t@hospital.example> -62167219200 +0000"),
        "its committer has no date",
    ),
    (|c| c.replace(&format!("{}\n", line(c, "author")), ""), "it has no author"),
    (|c| c.replace(&format!("{}\n", line(c, "committer")), ""), "it has no committer"),
    (|c| c.split("\n\n").next().unwrap().to_owned() + "\n", "it ends before its message"),
    (|c| c.replacen("parent", &format!("{}\nparent", line(c, "parent")), 1), "a parent stands twice"),
    (
        |c| c.replace(line(c, "author"), "author A <a@b.example> 1 +0000> <c@d.example> 1795604400 +0100"),
        "more than one address",
    ),
];

#[test]
fn each_is_named_and_nothing_ends_with_it() {
    for (change, words) in ODDITIES {
        let ground = Ground::new();
        let id = ground.with_commit(change);
        let short = &id[..10];
        let audit = ground.run(&["audit"]).is(1).says("problem[commit-not-readable]").says(words);
        assert!(audit.out.contains(&format!("commit `{short}` is not as git's programs write one")), "{}", audit.out);
        // What has no date is not called older than what it stands on by so many thousand days.
        assert!(!audit.out.contains("is dated"), "{words}: {}", audit.out);
        ground.run(&["validate"]).is(1).says("problem[commit-not-readable]").says(words);
        for done in ground.look_at_all() {
            let is_bare = done.arguments.contains("--seal");
            assert!(done.status < 2 || is_bare, "{words}: {}: {}{}", done.arguments, done.out, done.err);
        }
        let more = ground.root().join("README.md");
        std::fs::write(more, format!("Kept at {NOW}, {words}.\n")).unwrap();
        ground.run(&["keep", "--by", "m-okafor"]).is(0);
    }
}

/// Git itself stops at a commit with two trees, and what stands below it must not be lost here.
#[test]
fn what_stands_below_a_commit_that_git_stops_at_is_not_lost() {
    let ground = Ground::new();
    let first = ground.git(&["rev-list", "--max-parents=0", "HEAD"]);
    ground.with_commit(ODDITIES[2].0);
    assert!(!ground.git(&["rev-list", "HEAD"]).contains(&first));
    ground.run(&["audit"]).is(1).says("a parent stands where git does not look for one").says("3 commits, the last of");
    // In a copy that git made the commits below are missing, and the rest is still told.
    let copy = ground.folder.path().join("copy");
    ground.git(&["clone", "--quiet", "--no-local", ".", copy.to_str().unwrap()]);
    ground.run(&["--logbook", "../copy", "audit"]).is(1).says("problem[commit-not-readable]");
}
