"""Judges the schemas with tools that are not ours.

Answers three questions: is every schema a valid draft 2020-12 schema, does every file of `records-example/` and every
template of `pinindex init` fit its schema, and are the cases in `tests/schema-cases/` judged as their folder says.
For each case one JSON line goes to standard output, `{"case": "bad/KIND-name.yaml", "at": ["/pointer", ...]}`, sorted
by name; `at` is empty for a file that fits. A second validator is held against these lines: the same verdict, and at or
below each place of `at` a finding of its own (for a key that may not stand there, this one names the object around it).
What is wrong goes to standard error, and the exit status is then 1. Dates that do not exist and the meaning of a record
are not its subject.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

try:
    import check_jsonschema  # noqa: F401  (run as a program below; its absence should be told here)
    import jsonschema
except ImportError as missing:
    sys.exit(f"the Python package `{missing.name}` is missing; run tests/run, which installs it")

ROOT = Path(__file__).resolve().parents[2]
SCHEMAS = ROOT / "schema"
RECORD_KINDS = ["check", "fault", "repair", "release", "service", "void"]
KINDS = ["site", "people", "machine", "procedure", "calendar", "seal", "draft", *RECORD_KINDS]


def kind_of(file: str) -> str | None:
    """Returns the kind of a logbook's file from its path, or None for a file that is none of the logbook's."""
    parts = file.split("/")
    if file in ("site.yaml", "people.yaml"):
        return file.removesuffix(".yaml")
    kind = {"machines": "machine", "procedures": "procedure", "calendar": "calendar", "seals": "seal"}.get(parts[0])
    if parts[0] == "records":
        kind = file.split(".")[-2]
    return kind if kind in KINDS and file.endswith(".yaml") else None


def judge(kind: str, files: list[Path]) -> dict[Path, list[str]]:
    """Returns for each file the JSON pointers at which check-jsonschema finds it wrong."""
    schema = SCHEMAS / f"{kind}.schema.json"
    # `$id` is a name that leads nowhere; the base is set to the folder, so that `common.schema.json` is found.
    run = subprocess.run(
        [sys.executable, "-m", "check_jsonschema", "--output-format", "json", "--base-uri", schema.as_uri(),
         "--schemafile", str(schema), *map(str, files)],
        capture_output=True, text=True, encoding="utf-8",
    )
    try:
        answer = json.loads(run.stdout)
    except json.JSONDecodeError:
        sys.exit(f"check-jsonschema could not judge {kind}: {run.stdout}{run.stderr}")
    if answer.get("parse_errors"):
        sys.exit(f"check-jsonschema could not read: {answer['parse_errors']}")
    found = {file: [] for file in files}
    for error in answer.get("errors", []):
        found[Path(error["filename"])].append(pointer(error["path"]))
    if (run.returncode == 0) != (not any(found.values())):
        sys.exit(f"check-jsonschema contradicts itself on {kind}: {run.stdout}{run.stderr}")
    return found


def pointer(path: str) -> str:
    """Returns the JSON pointer for the way check-jsonschema writes a place, e.g. `$.items[0].id`."""
    out, rest = "", path.removeprefix("$")
    while rest:
        if rest.startswith("['"):
            key, rest = rest[2:].split("']", 1)
        elif rest.startswith("["):
            key, rest = rest[1:].split("]", 1)
        else:
            rest = rest.removeprefix(".")
            end = min((rest.find(c) for c in ".[" if c in rest), default=len(rest))
            key, rest = rest[:end], rest[end:]
        out += "/" + key.replace("~", "~0").replace("/", "~1")
    return out


def main() -> None:
    wrong: list[str] = []

    schemas = sorted(SCHEMAS.glob("*.schema.json"))
    if sorted(s.name.split(".")[0] for s in schemas) != sorted([*KINDS, "common"]):
        wrong.append("schema/ does not hold exactly one schema for each kind, and common.schema.json")
    for schema in schemas:
        text = json.loads(schema.read_text(encoding="utf-8"))
        try:
            jsonschema.Draft202012Validator.check_schema(text)
        except jsonschema.SchemaError as error:
            wrong.append(f"{schema.name} is no valid schema: {error.message}")
        if text.get("$id") != f"https://pinindex.example/schema/{schema.name}":
            wrong.append(f"{schema.name} has another name in `$id`")
        wrong += [f"{schema.name}: {place} has no description" for place in undescribed(text)]

    with tempfile.TemporaryDirectory() as scratch:
        logbooks = [ROOT / "records-example", templates(Path(scratch))]
        for logbook in logbooks:
            files = sorted(p for p in logbook.rglob("*.yaml"))
            if not files:
                wrong.append(f"{logbook} holds no files")
            by_kind: dict[str, list[Path]] = {}
            for file in files:
                kind = kind_of(file.relative_to(logbook).as_posix())
                if kind is None:
                    wrong.append(f"{file} is no file of a logbook")
                else:
                    by_kind.setdefault(kind, []).append(file)
            for kind, members in by_kind.items():
                for file, places in judge(kind, members).items():
                    wrong += [f"{file} does not fit its schema at `{place}`" for place in places]

    cases = ROOT / "tests" / "schema-cases"
    lines = []
    for kind in KINDS:
        files = sorted([*cases.glob(f"good/{kind}-*.yaml"), *cases.glob(f"bad/{kind}-*.yaml")])
        if {f.parent.name for f in files} != {"good", "bad"}:
            wrong.append(f"there is no good or no bad case for {kind}")
            continue
        for file, places in judge(kind, files).items():
            case = file.relative_to(cases).as_posix()
            lines.append({"case": case, "at": sorted(set(places))})
            if file.parent.name == "good" and places:
                wrong.append(f"{case} should fit its schema, but does not at {places}")
            if file.parent.name == "bad" and not places:
                wrong.append(f"{case} should not fit its schema, but does")
            if file.parent.name == "bad" and not file.read_text(encoding="utf-8").startswith("# wrong: "):
                wrong.append(f"{case} does not say in its first line what is wrong")
    stray = len(list(cases.glob("*/*.yaml"))) - len(lines)
    if stray:
        wrong.append(f"{stray} cases are of no known kind")
    for line in sorted(lines, key=lambda line: line["case"]):
        print(json.dumps(line))

    for sentence in wrong:
        print(sentence, file=sys.stderr)
    sys.exit(1 if wrong else 0)


def undescribed(schema: object, place: str = "") -> list[str]:
    """Returns the places of properties for which an editor would have nothing to show."""
    found = []
    if isinstance(schema, dict):
        for name, value in schema.get("properties", {}).items():
            # Conditions repeat a key to narrow it, and earlier attempts repeat the keys of a result.
            repeated = any(part in place for part in ("/allOf/", "/then", "/attempt"))
            if not repeated and "description" not in value and "$ref" not in value:
                found.append(f"{place}/properties/{name}")
        for key, value in schema.items():
            found += undescribed(value, f"{place}/{key}")
    elif isinstance(schema, list):
        for index, value in enumerate(schema):
            found += undescribed(value, f"{place}/{index}")
    return found


def templates(scratch: Path) -> Path:
    """Returns a logbook made of the texts that `pinindex init` writes, for the year 2027."""
    source = ROOT / "src" / "command" / "init"
    for file in source.rglob("*.yaml"):
        target = scratch / file.relative_to(source).as_posix().replace("year.yaml", "2027.yaml")
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(file.read_text(encoding="utf-8").replace("{year}", "2027"), encoding="utf-8")
    return scratch


if __name__ == "__main__":
    main()
