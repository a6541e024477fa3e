//! The Merkle tree hash of RFC 6962, section 2.1, and its audit paths, section 2.1.1.
//!
//! A leaf and a node begin with different bytes, so that none can pass for the other. What is put together here can be
//! checked with a dozen lines of any language that has SHA-256.

use super::digest::Digest;

/// Returns the hash of a leaf: SHA-256 of a zero byte and the data, which may come in pieces.
pub fn leaf(data: &[&[u8]]) -> Digest {
    let pieces: Vec<&[u8]> = std::iter::once(&[0][..]).chain(data.iter().copied()).collect();
    Digest::of(&pieces)
}

/// Returns the hash of a node: SHA-256 of the byte 1 and what stands below it.
pub fn node(left: Digest, right: Digest) -> Digest {
    Digest::of(&[&[1], &left.0, &right.0])
}

/// Returns the root over leaves that are hashed already; of none, SHA-256 of nothing.
pub fn root(leaves: &[Digest]) -> Digest {
    match leaves {
        [] => Digest::of(&[]),
        [one] => *one,
        _ => {
            let (left, right) = leaves.split_at(split(leaves.len()));
            node(root(left), root(right))
        }
    }
}

/// Returns the hashes beside the way from a leaf up to the root, the lowest first; nothing for a leaf that is not there.
pub fn path(leaves: &[Digest], index: usize) -> Option<Vec<Digest>> {
    if index >= leaves.len() {
        return None;
    }
    let mut path = Vec::new();
    let (mut part, mut index) = (leaves, index);
    while part.len() > 1 {
        let (left, right) = part.split_at(split(part.len()));
        if index < left.len() {
            path.push(root(right));
            part = left;
        } else {
            path.push(root(left));
            index -= left.len();
            part = right;
        }
    }
    path.reverse();
    Some(path)
}

/// Returns, for each hash of an audit path, the lowest first, whether it stands left of the way up.
///
/// Nothing for a leaf that is not in a tree of that size.
pub fn sides(index: usize, size: usize) -> Option<Vec<bool>> {
    if index >= size {
        return None;
    }
    let mut sides = Vec::new();
    let (mut index, mut size) = (index, size);
    while size > 1 {
        let left = split(size);
        sides.push(index >= left);
        (index, size) = if index < left { (index, left) } else { (index - left, size - left) };
    }
    sides.reverse();
    Some(sides)
}

/// Returns the root that a leaf's hash and its audit path lead to; nothing when the path has not the leaf's length.
pub fn climb(leaf: Digest, index: usize, size: usize, path: &[Digest]) -> Option<Digest> {
    let sides = sides(index, size).filter(|sides| sides.len() == path.len())?;
    let up = |below, (is_left, beside): (bool, &Digest)| {
        if is_left { node(*beside, below) } else { node(below, *beside) }
    };
    Some(sides.into_iter().zip(path).fold(leaf, up))
}

/// Returns the largest power of two below a number that is larger than one.
fn split(size: usize) -> usize {
    1 << (usize::BITS - 1 - (size - 1).leading_zeros())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The leaves, in hexadecimal digits, and the roots over the first one, two, ... of them, as the certificate
    /// transparency project published them with its own code (`python/ct/crypto/merkle_test.py` of
    /// google/certificate-transparency, looked up there).
    const PUBLISHED: [(&str, &str); 8] = [
        ("", "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"),
        ("00", "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125"),
        ("10", "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77"),
        ("2021", "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7"),
        ("3031", "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4"),
        ("40414243", "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef"),
        ("5051525354555657", "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c"),
        ("606162636465666768696a6b6c6d6e6f", "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328"),
    ];

    fn bytes(hex: &str) -> Vec<u8> {
        (0..hex.len()).step_by(2).map(|at| u8::from_str_radix(&hex[at..at + 2], 16).unwrap()).collect()
    }

    fn published_leaves() -> Vec<Digest> {
        PUBLISHED.iter().map(|(data, _)| leaf(&[&bytes(data)])).collect()
    }

    #[test]
    fn the_roots_are_the_published_ones() {
        let leaves = published_leaves();
        for (at, (_, expected)) in PUBLISHED.iter().enumerate() {
            assert_eq!(root(&leaves[..=at]).to_string(), *expected, "{} leaves", at + 1);
        }
        // The same source; it is SHA-256 of nothing.
        let empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
        assert_eq!(root(&[]).to_string(), empty);
    }

    #[test]
    fn a_leaf_and_a_node_are_the_published_ones() {
        // The same source.
        let data = bytes("101112131415161718191a1b1c1d1e1f");
        let expected = "3bfb960453ebaebf33727da7a1f4db38acc051d381b6da20d6d4e88f0eabfd7a";
        assert_eq!(leaf(&[&data]).to_string(), expected);
        assert_eq!(leaf(&[&data[..5], &[], &data[5..]]).to_string(), expected);
        let digest = |hex: &str| Digest(bytes(hex).try_into().unwrap());
        let left = digest("000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f");
        let right = digest("202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f");
        let expected = "1a378704c17da31e2d05b6d121c2bb2c7d76f6ee6fa8f983e596c2d034963c57";
        assert_eq!(node(left, right).to_string(), expected);
    }

    /// The example of RFC 6962, section 2.1.3: seven leaves d0 to d6, and the paths of four of them.
    #[test]
    fn the_paths_are_those_of_the_rfc_s_example() {
        let d: Vec<Digest> = (0..7u8).map(|at| leaf(&[&[b'd', at]])).collect();
        let [a, b, c, e, f, j] = [d[0], d[1], d[2], d[3], d[4], d[6]];
        let (g, h, i) = (node(a, b), node(c, e), node(f, d[5]));
        let (k, l) = (node(g, h), node(i, j));
        assert_eq!(root(&d), node(k, l));
        assert_eq!(path(&d, 0), Some(vec![b, h, l]));
        assert_eq!(path(&d, 3), Some(vec![c, g, l]));
        assert_eq!(path(&d, 4), Some(vec![d[5], j, k]));
        assert_eq!(path(&d, 6), Some(vec![i, k]));
        assert_eq!(path(&d, 7), None);
    }

    proptest! {
        #[test]
        fn every_leaf_climbs_to_the_root_and_no_other_does(size in 1usize..130, at in any::<prop::sample::Index>(), other in 0..4usize) {
            let leaves: Vec<Digest> = (0..size).map(|at| leaf(&[&at.to_be_bytes()])).collect();
            let index = at.index(size);
            let up = path(&leaves, index).unwrap();
            prop_assert_eq!(climb(leaves[index], index, size, &up), Some(root(&leaves)));
            // Another leaf, another place, a path that is shorter or longer, and one that is changed.
            let strange = leaf(&[b"strange"]);
            prop_assert_ne!(climb(strange, index, size, &up), Some(root(&leaves)));
            if size > 1 {
                let elsewhere = (index + 1 + other % (size - 1)) % size;
                if elsewhere != index {
                    prop_assert_ne!(climb(leaves[index], elsewhere, size, &up), Some(root(&leaves)));
                }
                prop_assert_eq!(climb(leaves[index], index, size, &up[1..]), None);
                let mut changed = up.clone();
                let at = other % changed.len();
                changed[at] = strange;
                prop_assert_ne!(climb(leaves[index], index, size, &changed), Some(root(&leaves)));
            }
            let longer: Vec<Digest> = up.iter().copied().chain([strange]).collect();
            prop_assert_eq!(climb(leaves[index], index, size, &longer), None);
            prop_assert_eq!(climb(leaves[index], size, size, &up), None);
        }

        #[test]
        fn a_root_is_of_these_leaves_in_this_order(size in 2usize..60, one in any::<prop::sample::Index>(), other in any::<prop::sample::Index>()) {
            let leaves: Vec<Digest> = (0..size).map(|at| leaf(&[&at.to_be_bytes()])).collect();
            let (one, other) = (one.index(size), other.index(size));
            let mut swapped = leaves.clone();
            swapped.swap(one, other);
            prop_assert_eq!(root(&swapped) == root(&leaves), one == other);
            prop_assert_ne!(root(&leaves[1..]), root(&leaves));
        }
    }
}
