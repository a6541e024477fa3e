"""Judges the example logbook a second time, in another language than the program.

Reads `records-example/` and asks what no schema can: do names, references, times and files fit together; does each check
hold every item that applies to its machine, done by people who may; which checks fail, are missing or late; do the
procedures cover the published lists with the published numbers. One sentence on standard error for each thing that is
wrong, and the exit status is then 1. The arithmetic here is its own, so that it can disagree with the program's.
"""

import datetime
import re
import sys
from fractions import Fraction
from pathlib import Path
from zoneinfo import ZoneInfo

try:
    import ruamel.yaml
except ImportError:
    sys.exit("the Python package `ruamel.yaml` is missing; run tests/run, which installs it")

ROOT = Path(__file__).resolve().parents[2] / "records-example"
WRONG: list[str] = []

# Pressures in pascal (psi, cmH2O and mmHg after NIST SP 811), flows in mL/min, times in seconds.
UNITS = {
    "psi": Fraction("6894.757293168"), "kPa": 1000, "bar": 100000, "mbar": 100, "hPa": 100,
    "cmH2O": Fraction("98.0665"), "mmHg": Fraction("133.322387"),
    "L/min": 1000, "mL/min": 1, "%": 1, "s": 1, "min": 60, "h": 3600, "d": 86400,
}
RESULT_FORMS = {"pass", "fail", "not-fitted", "reading", "held", "from", "choice", "not-done", "answer", "each", "earlier", "remark"}


def say(sentence: str) -> None:
    WRONG.append(sentence)


def read(path: Path) -> dict:
    """Returns a YAML 1.2 file with its times and dates left as text; refuses what is no plain subset."""
    text = path.read_text(encoding="utf-8")
    reader = ruamel.yaml.YAML(typ="safe", pure=True)
    for event in reader.parse(text):
        if getattr(event, "anchor", None) or isinstance(event, ruamel.yaml.events.AliasEvent):
            say(f"{path}: anchors and aliases do not belong in a logbook")
    reader = ruamel.yaml.YAML(typ="safe", pure=True)
    reader.constructor.yaml_constructors["tag:yaml.org,2002:timestamp"] = reader.constructor.yaml_constructors["tag:yaml.org,2002:str"]
    return reader.load(text)


def amount(text: str) -> Fraction:
    number, unit = re.fullmatch(r"(-?[0-9.]+) ?(\S+)", text).groups()
    return Fraction(number) * UNITS[unit]


def applies(item: dict, machine: dict) -> bool:
    wanted = item.get("only-if", {})
    have = {
        "gas": wanted.get("gas") in machine["gases"],
        "cylinder": wanted.get("cylinder") in machine.get("cylinders", {}),
        "scavenging": wanted.get("scavenging") == machine["scavenging"],
        "fitted": wanted.get("fitted") in machine.get("fitted", []),
        "vaporizers": wanted.get("vaporizers") == bool(machine["vaporizers"]),
    }
    return all(have[key] for key in wanted)


def limits(item: dict, machine: dict) -> list[dict]:
    """Returns the item's limits, with the maker's in place of the procedure's of the same number."""
    own = machine.get("limits", {}).get(item["id"], [])
    replaced = {limit.get("of", "reading") for limit in own}
    return own + [limit for limit in item.get("limits", []) if limit.get("of", "reading") not in replaced]


def passes(item: dict, machine: dict, result) -> bool | None:
    """Returns whether one result passes; None when nothing was done."""
    if result in ("pass", "fail"):
        return result == "pass"
    if result == "not-fitted" or "not-done" in result:
        return None
    if "answer" in result:
        return result["answer"] == "pass"
    if "choice" in result:
        return item["choices"][result["choice"]] == "pass"
    numbers = {key: amount(result[key]) for key in ("reading", "held", "from", "to", "in") if key in result}
    if "from" in numbers:
        numbers["fall"] = numbers["from"] - numbers["to"]
    for limit in limits(item, machine):
        number = numbers[limit.get("of", "reading")]
        if ("at-least" in limit and number < amount(limit["at-least"])
                or "at-most" in limit and number > amount(limit["at-most"])
                or "above" in limit and number <= amount(limit["above"])
                or "below" in limit and number >= amount(limit["below"])):
            return False
    return True


def main() -> None:
    site, people = read(ROOT / "site.yaml"), read(ROOT / "people.yaml")
    zone = ZoneInfo(site["time-zone"])
    machines = {f.stem: read(f) for f in sorted((ROOT / "machines").glob("*.yaml"))}
    procedures = {(f.parent.name, int(f.stem)): read(f) for f in sorted((ROOT / "procedures").glob("*/*.yaml"))}
    calendar = read(ROOT / "calendar" / "2026.yaml")
    records = {f.relative_to(ROOT).as_posix(): read(f) for f in sorted((ROOT / "records").rglob("*.yaml"))}
    check_procedures(procedures)

    failed: dict[str, set[str]] = {}
    forms: set[str] = set()
    late: set[str] = set()
    for path, record in records.items():
        when = {"fault": "found", "release": "released", "void": "recorded"}.get(record["record"], "finished")
        stamp = datetime.datetime.fromisoformat(record[when])
        name = f"records/{stamp:%Y/%m/%d/%H%M%S}-{record['machine']}"
        if not re.fullmatch(re.escape(name) + r"(\.[2-9])?\." + record["record"] + r"\.yaml", path):
            say(f"{path} is not the name of this record")
        written = datetime.datetime.fromisoformat(record["recorded"])
        if not stamp <= written or written > datetime.datetime(2026, 11, 25, 12, tzinfo=zone):
            say(f"{path} was written before the work or after the end of the story")
        if record["record"] == "check" and (written - stamp).total_seconds() > amount(site["late-after"]):
            late.add(path)
        for key in ("started", "finished", "recorded", "found", "released"):
            if key in record:
                moment = datetime.datetime.fromisoformat(record[key])
                if moment.utcoffset() != moment.astimezone(zone).utcoffset():
                    say(f"{path}: `{key}` has not the offset of {site['time-zone']} on that day")
        if "started" in record and not record["started"] < record["finished"]:
            say(f"{path} was finished before it was started")
        for person in [*record["by"], *([record["recorded-by"]] if "recorded-by" in record else [])]:
            if person not in people or not people[person].get("from", "") <= record["recorded"][:10] <= people[person].get("until", "9"):
                say(f"{path}: `{person}` is not one of the people on that day")
        if record["machine"] not in machines:
            say(f"{path}: no such machine")
        named = [record.get(key) for key in ("fault", "proved-by", "of")] + record.get("faults", [])
        named += [record.get("found-during", {}).get("check"), record.get("corrects", {}).get("record")]
        for target in filter(None, named):
            if target not in records:
                say(f"{path} names {target}, which does not exist")
            elif records[target]["machine"] != record["machine"]:
                say(f"{path} names a record of another machine")
        if record["record"] == "check":
            failed[path] = judge(path, record, machines[record["machine"]], procedures, people, forms)

    if WRONG:
        # What follows relies on names and references that hold.
        return
    if forms != RESULT_FORMS:
        say(f"these forms of a result do not occur: {sorted(RESULT_FORMS - forms)}")
    kinds = {record["record"] for record in records.values()}
    if kinds != {"check", "fault", "repair", "release", "service", "void"}:
        say("not every kind of record occurs")

    # Each failed check has its fault, each fault of a check its failed items, each release its proof.
    faults = {p: r for p, r in records.items() if r["record"] == "fault"}
    told = {r["found-during"]["check"]: set(r["found-during"]["items"]) for r in faults.values() if "check" in r["found-during"]}
    if told != {path: items for path, items in failed.items() if items}:
        say("failed checks and their faults do not agree")
    released = set()
    for path, record in records.items():
        if record["record"] == "release":
            proof = records[record["proved-by"]]
            repairs = [r for r in records.values() if r["record"] == "repair" and r["fault"] in record["faults"]]
            if proof["procedure"] != "complete" or failed[record["proved-by"]] or not repairs:
                say(f"{path} is not proved by a complete passing check after a repair")
            elif not max(r["finished"] for r in repairs) < proof["started"] < proof["finished"] < record["released"]:
                say(f"{path}: work, proof and release are out of order")
            released |= set(record["faults"])
            out = [r for p, r in records.items() if r["record"] == "check" and r["machine"] == record["machine"]
                   and min(faults[f]["found"] for f in record["faults"]) < r["started"] < record["released"] and r is not proof]
            if out:
                say(f"{path}: the machine was checked for use while withheld")
    open_faults = [r for p, r in faults.items() if p not in released]
    if [r["use"]["restricted"] is not None for r in open_faults] != [True]:
        say("exactly one restriction should be open")

    # The calendar against the checks.
    void = {r["of"] for r in records.values() if r["record"] == "void"}
    void |= {r["corrects"]["record"] for r in records.values() if "corrects" in r}
    done = {(r["machine"], r["finished"][:10]) for p, r in records.items()
            if r["record"] == "check" and r["procedure"] == "daily" and p not in void and not r.get("emergency-start")}
    missing = sorted(expected_days(calendar, machines) - done)
    if missing != [("theatre-1", "2026-10-23"), ("theatre-1", "2026-11-16")]:
        say(f"other checks are missing than the story says: {missing}")
    if late - void != {"records/2026/10/28/065050-theatre-1.check.yaml"}:
        say(f"other checks are late than the story says: {sorted(late)}")


def check_procedures(procedures: dict) -> None:
    asa, fda = {f"ASA 2008 item {n}" for n in range(1, 16)}, {f"FDA 1993 step {n}" for n in range(1, 15)}
    before_each = {f"ASA 2008 item {n}" for n in (2, 4, 7, 11, 12, 13, 14, 15)}
    for name, published in {"daily": asa | fda, "complete": asa | fda, "each-patient": before_each}.items():
        newest = procedures[max(key for key in procedures if key[0] == name)]
        covered = {cover for item in newest["items"] for cover in item.get("covers", [])}
        if not published <= covered:
            say(f"{name} does not cover {sorted(published - covered)}")
    for key, procedure in procedures.items():
        ids = [item["id"] for item in procedure["items"]]
        if (procedure["procedure"], procedure["revision"]) != key or len(set(ids)) != len(ids):
            say(f"procedure {key} has another name than its file, or an item twice")
    numbers = {
        ("daily", "spare-oxygen-cylinder", "at-least"): "1000 psi", ("daily", "pipeline-pressure", "at-least"): "50 psi",
        ("daily", "low-pressure-leak", "at-least"): "10 s", ("daily", "oxygen-monitor-flush", "above"): "90 %",
        ("daily", "hypoxic-guard", "at-least"): "25 %", ("complete", "oxygen-failure-alarm", "at-least"): "7 s",
        ("complete", "circuit-leak-flow", "at-most"): "300 mL/min", ("complete", "oxygen-flush", "at-most"): "75 L/min",
    }
    for (procedure, item_id, bound), number in numbers.items():
        newest = procedures[max(key for key in procedures if key[0] == procedure)]
        item = next(item for item in newest["items"] if item["id"] == item_id)
        if not any(limit.get(bound) == number and limit["standing"] == "published" for limit in item["limits"]):
            say(f"{procedure}: `{item_id}` has not its published limit, {bound} {number}")


def judge(path: str, record: dict, machine: dict, procedures: dict, people: dict, forms: set[str]) -> set[str]:
    """Returns the items of a check that failed."""
    day, name = record["started"][:10], record["procedure"]
    in_force = max(key for key, p in procedures.items() if key[0] == name and p["in-force-from"] <= day)
    if in_force[1] != record["revision"]:
        say(f"{path}: revision {record['revision']} was not in force")
    procedure = procedures[name, record["revision"]]
    roles = {people[person]["role"] for person in record["by"]}
    failed = set()
    unknown = set(record["results"]) - {item["id"] for item in procedure["items"]}
    if unknown:
        say(f"{path}: unknown items {sorted(unknown)}")
    for item in procedure["items"]:
        result = record["results"].get(item["id"])
        if not applies(item, machine):
            if result not in (None, "not-fitted"):
                say(f"{path}: `{item['id']}` does not apply to this machine")
            forms |= {result} - {None}
            continue
        if result is None or result == "not-fitted":
            say(f"{path}: `{item['id']}` is missing")
            continue
        places = {item["id"]: result}
        if "each" in item and "not-done" not in result:
            forms.add("each")
            parts = machine["vaporizers"] if item["each"] == "vaporizer" else machine["gases"]
            if set(result) != set(parts):
                say(f"{path}: `{item['id']}` is not answered for each {item['each']}")
            places = {f"{item['id']}/{part}": one for part, one in result.items()}
        for place, one in places.items():
            forms |= {one} if isinstance(one, str) else set(one) & RESULT_FORMS
            verdict = passes(item, machine, one)
            if verdict is False:
                failed.add(place)
            ((rule, may),) = item["by"].items()
            if verdict is not None and not (set(may) <= roles if rule == "all-of" else set(may) & roles):
                say(f"{path}: `{place}` was done by none who may")
    return failed


def expected_days(calendar: dict, machines: dict) -> set[tuple[str, str]]:
    """Returns machine and day for every check that the calendar expects up to 25 November 2026."""
    days, day = set(), datetime.date(2026, 1, 1)
    while day <= datetime.date(2026, 11, 25):
        for machine, week in calendar["weekly"].items():
            off = any(e.get("on", e.get("from")) <= day.isoformat() <= e.get("on", e.get("until"))
                      and machine in e.get("machines", machines) for e in calendar["except"])
            if machines[machine]["in-use"]["from"] <= day.isoformat() and f"{day:%a}".lower() in week and not off:
                days.add((machine, day.isoformat()))
        day += datetime.timedelta(days=1)
    return days | {(machine, extra["on"]) for extra in calendar["also"] for machine in extra["machines"]}


if __name__ == "__main__":
    main()
    for sentence in WRONG:
        print(sentence, file=sys.stderr)
    sys.exit(1 if WRONG else 0)
