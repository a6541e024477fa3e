"""Reads YAML texts with readers that are not ours, for tests/yaml.rs.

One JSON text a line comes in: the YAML. One JSON value a line goes out: what PyYAML (YAML 1.1) and ruamel.yaml (YAML 1.2)
make of it, `{"1.1": VALUE, "1.2": VALUE}`. A value that JSON does not have, such as a date, comes out as the name of its
type in a list, which no record holds; a text that a reader refuses comes out as its complaint, likewise.
"""

import json
import sys

try:
    import ruamel.yaml
    import yaml
except ImportError as missing:
    sys.exit(f"the Python package `{missing.name}` is missing; run tests/run, which installs it")


def plain(value):
    """Returns the value as JSON has it, with numbers told apart as whole or not."""
    if isinstance(value, dict):
        return {key if isinstance(key, str) else f"({type(key).__name__})": plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [plain(one) for one in value]
    if value is None or isinstance(value, (str, bool, int)):
        return value
    return [f"({type(value).__name__})"]


def tried(read, text):
    try:
        return plain(read(text))
    except Exception as error:  # whatever the reader complains of is the answer
        return [f"({error})"]


for line in sys.stdin:
    text = json.loads(line)
    print(json.dumps({
        "1.1": tried(yaml.safe_load, text),
        "1.2": tried(ruamel.yaml.YAML(typ="safe", pure=True).load, text),
    }))
