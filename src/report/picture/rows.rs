//! Rows of a picture: words at the left, an axis in the middle, counts at the right.
