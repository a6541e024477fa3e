//! The files of a logbook at one moment, each as the leaf of a tree: its path, a zero byte, its content.
//!
//! No path has a zero byte, so that no two files share a leaf. The order is that of the bytes of the paths.

use super::digest::Digest;
use super::tree;
use std::collections::BTreeMap;

/// The hashed leaves of files, by path.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Leaves(BTreeMap<String, Digest>);

impl Leaves {
    /// Returns the leaf of a file.
    pub fn leaf(path: &str, content: &[u8]) -> Digest {
        tree::leaf(&[path.as_bytes(), &[0], content])
    }

    /// Adds a file, or puts another content in the place of the one it had.
    pub fn add(&mut self, path: &str, content: &[u8]) {
        self.insert(path, Leaves::leaf(path, content));
    }

    /// Adds a file whose leaf is known.
    pub fn insert(&mut self, path: &str, leaf: Digest) {
        self.0.insert(path.to_owned(), leaf);
    }

    /// Returns how many files there are.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// Returns the leaf of a file that is there.
    pub fn get(&self, path: &str) -> Option<Digest> {
        self.0.get(path).copied()
    }

    /// Returns the paths with their leaves, in order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, Digest)> {
        self.0.iter().map(|(path, leaf)| (path.as_str(), *leaf))
    }

    /// Returns those below a folder, whose name ends with `/`.
    pub fn below(&self, folder: &str) -> Leaves {
        let below = self.0.range(folder.to_owned()..).take_while(|(path, _)| path.starts_with(folder));
        Leaves(below.map(|(path, leaf)| (path.clone(), *leaf)).collect())
    }

    /// Returns the root of their tree.
    pub fn root(&self) -> Digest {
        tree::root(&self.0.values().copied().collect::<Vec<_>>())
    }

    /// Returns the place of a file in the tree and the hashes beside its way up.
    pub fn path(&self, path: &str) -> Option<(usize, Vec<Digest>)> {
        self.0.get(path)?;
        let index = self.0.range(..path.to_owned()).count();
        let leaves: Vec<Digest> = self.0.values().copied().collect();
        Some((index, tree::path(&leaves, index)?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn path_and_content_cannot_be_mistaken_for_each_other() {
        assert_ne!(Leaves::leaf("a", b"bc"), Leaves::leaf("ab", b"c"));
        assert_ne!(Leaves::leaf("a", b""), Leaves::leaf("", b"a"));
    }

    #[test]
    fn the_order_is_that_of_bytes_and_a_folder_is_cut_out_whole() {
        let mut leaves = Leaves::default();
        // By bytes `-` comes before `/`, and `/` before letters; `é` after all of ASCII.
        for path in ["b/é", "b-c", "b/a", "bb", "b/"] {
            leaves.add(path, b"x");
        }
        let paths: Vec<&str> = leaves.iter().map(|(path, _)| path).collect();
        assert_eq!(paths, ["b-c", "b/", "b/a", "b/é", "bb"]);
        assert_eq!(leaves.below("b/").iter().map(|(path, _)| path).collect::<Vec<_>>(), ["b/", "b/a", "b/é"]);
        let (index, up) = leaves.path("b/é").unwrap();
        assert_eq!(tree::climb(Leaves::leaf("b/é", b"x"), index, 5, &up), Some(leaves.root()));
        assert_eq!(leaves.path("b/c"), None);
    }
}
