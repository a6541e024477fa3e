"""Answers the questions of tests/seals.rs: trees and audit paths by RFC 6962, section 2.1, from its own text.

One JSON object a line comes in, one a line goes out in the same order. "leaves" are texts in hexadecimal digits; the answer
holds the root, and for each place of "places" the hashes of its audit path, the lowest first, with their sides. All of it
is worked out by the recursion of the standard, with Python's own SHA-256.
"""

import hashlib
import json
import sys


def sha(data: bytes) -> bytes:
    return hashlib.sha256(data).digest()


def split(size: int) -> int:
    """Returns the largest power of two that is smaller than a size."""
    power = 1
    while 2 * power < size:
        power *= 2
    return power


def root(data: list[bytes]) -> bytes:
    """MTH of section 2.1."""
    if not data:
        return sha(b"")
    if len(data) == 1:
        return sha(b"\x00" + data[0])
    k = split(len(data))
    return sha(b"\x01" + root(data[:k]) + root(data[k:]))


def path(place: int, data: list[bytes]) -> list[tuple[str, bytes]]:
    """PATH of section 2.1.1, each hash with the side it stands on."""
    if len(data) == 1:
        return []
    k = split(len(data))
    if place < k:
        return [*path(place, data[:k]), ("right", root(data[k:]))]
    return [*path(place - k, data[k:]), ("left", root(data[:k]))]


for line in sys.stdin:
    question = json.loads(line)
    data = [bytes.fromhex(leaf) for leaf in question["leaves"]]
    paths = [[[side, hash.hex()] for side, hash in path(place, data)] for place in question["places"]]
    print(json.dumps({"root": root(data).hex(), "paths": paths}))
