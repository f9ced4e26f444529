"""A folder of stored builds, and what becomes of some of them: made worse, changed in what does not count, renamed,
copied, emptied, broken, retired. Each fault says which rule a technician expects to speak up, and at which part.

    python -m tests.properties.stored_builds --count 500 --seed 3
"""

from __future__ import annotations

import argparse
import contextlib
import copy
import io
import json
import random
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from packyoke import cli
from tests.support import EXAMPLES

Tree = dict[str, Any]
TODAY = "2027-05-14"
BASES = {path.stem: path.read_text(encoding="utf-8") for path in sorted(EXAMPLES.glob("*.yaml"))}
GRAVITY = {"note": 1, "caution": 2, "open": 3, "stop": 4}


class Fault(NamedTuple):
    """What was changed, the build then, and the rule and the part that have to be new or worse; none where it is left
    to the comparison of both results."""

    name: str
    tree: Tree
    rule: str = ""
    part: str = ""


def run(*typed: object) -> tuple[int, str, str]:
    """The command line in this process: exit status and what was printed."""
    out, err, kept = io.StringIO(), io.StringIO(), sys.argv
    sys.argv = ["packyoke", *map(str, typed)]
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            cli.main()
    except SystemExit as end:
        return int(end.code or 0), out.getvalue(), err.getvalue()
    finally:
        sys.argv = kept
    return 0, out.getvalue(), err.getvalue()


def as_text(tree: Tree) -> str:
    return yaml.dump(tree, sort_keys=False, allow_unicode=True, width=1000)


def put(tree: Tree, way: tuple[str, ...], value: Any) -> Tree:
    """The tree with another value; None takes the line out."""
    found = copy.deepcopy(tree)
    at = found
    for step in way[:-1]:
        at = at.setdefault(step, {})
    if value is None:
        at.pop(way[-1], None)
    else:
        at[way[-1]] = value
    return found


def faults(tree: Tree) -> Iterator[Fault]:
    """Everything here that makes a build worse, or less known."""
    drawn = bool(tree.get("leads"))
    for name, lead in tree.get("leads", {}).items():
        path, way = f"leads.{name}", ("leads", name)
        if "gauge" in lead:
            yield Fault("thinner", put(tree, (*way, "gauge"), "22 AWG"), "lead-overheats", path)
            yield Fault("too thin for its ends", put(tree, (*way, "gauge"), "24 AWG"), "wire-does-not-fit", path)
            yield Fault("gauge not known", put(tree, (*way, "gauge"), None))
        if "length" in lead:
            yield Fault("longer", put(tree, (*way, "length"), "4.9 m"))
            yield Fault("length not known", put(tree, (*way, "length"), None))
        if isinstance(lead.get("ends"), list):
            yield Fault("other ends", put(tree, (*way, "ends"), ["XT30 pin", "XT30 socket"]))
    for name, pack in tree["packs"].items():
        path, way = f"packs.{name}", ("packs", name)
        if isinstance(pack.get("fuse"), dict):
            yield Fault("smaller fuse", put(tree, (*way, "fuse", "rating"), "5 A"), "fuse-nuisance", path)
            yield Fault("larger fuse", put(tree, (*way, "fuse", "rating"), "200 A"), "fuse-oversized")
            yield Fault("fuse for cars", put(tree, (*way, "fuse", "voltage"), "32 V"), "fuse-voltage", path)
            yield Fault("no fuse", put(tree, (*way, "fuse"), "none"), "fuse-missing", path)
        if drawn:
            yield Fault("lower limit", put(tree, (*way, "discharge"), "5 A"), "pack-overloaded", path)
        yield Fault("another label", put(tree, (*way, "label"), "24 V"), "label-misleads", path)
        for word in ("swollen", "opened", "recalled"):
            yield Fault(word, put(tree, (*way, "condition"), word), "pack-unsound", path)
        if "chemistry" in pack and "series" in pack:
            other = "LFP" if pack["chemistry"] != "LFP" else "NMC"
            yield Fault("other chemistry", put(tree, (*way, "chemistry"), other))
            yield Fault("one cell less", put(tree, (*way, "series"), str(int(pack["series"].strip("? ")) - 1)))
    for name, joiner in tree.get("joiners", {}).items():
        plain = {key: value for key, value in joiner.items() if key not in ("forward_voltage", "blocks_in", "makes")}
        if drawn and joiner.get("type") not in (None, "plain"):
            yield Fault("plain", put(tree, ("joiners", name), plain | {"type": "plain"}), "packs-rush")
        if "ceiling" in joiner:
            yield Fault("ceiling not known", put(tree, ("joiners", name, "ceiling"), None))
    for name in tree.get("chargers", {}):
        path = f"chargers.{name}"
        yield Fault("charger of 20 cells", put(tree, ("chargers", name, "output"), "84 V"))
        yield Fault("more amps", put(tree, ("chargers", name, "current"), "30 A"), "charger-current")
    for name in tree.get("racks", {}):
        yield Fault("weaker rack", put(tree, ("racks", name, "limit"), "2 kg"), "rack-overloaded", f"racks.{name}")
    yield Fault("colder", put(tree, ("coldest",), "-20 degC"), "charged-cold")
    if drawn:
        yield Fault("draws more", put(tree, ("controller", "battery_current"), "60 A"), "pack-overloaded")
        window = {"min": "20 V", "max": "30 V"}
        yield Fault("another window", put(tree, ("controller", "voltage"), window), "controller-window")
        yield Fault("capacitors", put(tree, ("controller", "capacitance"), "20 mF"), "plug-in-spark")


def harmless(tree: Tree, text: str, dice: random.Random) -> dict[str, bytes]:
    """The same build in other files."""
    keys = dice.sample([*tree], len(tree))
    lists = any(isinstance(each.get("inlets"), list) for each in tree.get("joiners", {}).values())
    shuffled = {
        key: dict(dice.sample([*value.items()], len(value)))
        if isinstance(value := tree[key], dict) and not (key == "leads" and lists)
        else value
        for key in keys
    }
    return {
        "comments": f"# stored\n\n{text}\n# end\n".encode(),
        "order": as_text(shuffled).encode(),
        "line ends": text.replace("\n", "\r\n").encode(),
        "a mark at its beginning": b"\xef\xbb\xbf" + text.encode(),
        "quotes": yaml.dump(tree, sort_keys=False, default_style='"', allow_unicode=True, width=1000).encode(),
        "in braces": yaml.dump(tree, sort_keys=False, default_flow_style=True, allow_unicode=True, width=90).encode(),
    }


class Folder:
    """Builds below a folder, and the result that was stored of them."""

    def __init__(self, root: Path, count: int, seed: int) -> None:
        self.dice = dice = random.Random(seed)
        self.root, self.last = root / "builds", root / "last.json"
        self.trees: dict[Path, Tree] = {}
        names = sorted(BASES)
        for number in range(count):
            tree = yaml.load(BASES[names[number % len(names)]], Loader=yaml.BaseLoader)
            tree["name"] = f"{tree['name'][:70]} {number}" if number % 7 else tree["name"]
            if number % 11 == 10:
                tree["status"] = "retired"
            path = self.root / f"year {number % 5}" / f"{dice.choice(('bike', 'b', 'ö'))}{number}.yaml"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(as_text(tree), encoding="utf-8")
            self.trees[path] = tree
        self.before = self.store()
        self.accepted = self._accept(max(3, count // 12))
        self.before = self.store()

    def check(self, *more: object) -> tuple[int, str, str]:
        return run("check", self.root, "--no-shop", "--today", TODAY, *more)

    def store(self) -> dict[str, Any]:
        code, _, err = self.check("--format", "json", "--output", self.last, "--replace")
        assert code in (0, 1), err
        return told(json.loads(self.last.read_text(encoding="utf-8")))

    def _accept(self, most: int) -> dict[Path, tuple[str, str]]:
        """Cautions that somebody accepted: by file, rule and part."""
        found: dict[Path, tuple[str, str]] = {}
        for path, tree in self.trees.items():
            cautions = self.before.get(str(path), {}).values()
            one = next((each for each in cautions if each["severity"] == "caution" and each["found"]), None)
            if one is None or len(found) >= most or not one["found"]["value"]:
                continue
            amount = f"{one['found']['value']:g} {one['found']['unit']}".strip()
            said = {"rule": one["rule"], "part": one["part"], "found": amount, "because": "known", "by": "lead"}
            tree["accept"] = [{**said, "until": self.dice.choice((TODAY, "2027-05-15", "2028-05-01"))}]
            path.write_text(as_text(tree), encoding="utf-8")
            found[path] = (one["rule"], one["part"])
        return found

    def read(self) -> list[Path]:
        """Files that are checked, in an order that is drawn."""
        return self.dice.sample(sorted(path for path in self.trees if str(path) in self.before), len(self.before))


def told(data: Any) -> dict[str, dict[str, Any]]:
    """The findings of a result: by file, then by fingerprint."""
    return {build["file"]: {each["fingerprint"]: each for each in build["findings"]} for build in data["builds"]}


def weight(finding: Any) -> int:
    return 1 if finding["accepted"] else GRAVITY[finding["severity"]]


def severe(before: dict[str, Any], now: dict[str, Any]) -> bool:
    """Whether a finding at stop or open is there that was not, or weighed less."""
    return any(
        weight(each) >= GRAVITY["open"] and (key not in before or weight(each) > weight(before[key]))
        for key, each in now.items()
    )


def told_wrong(folder: Folder, planted: dict[Path, Fault], same: set[Path]) -> list[str]:
    """What `--against` says of planted builds and of those that are the same, against what was planted."""
    code, text, err = folder.check("--against", folder.last, "--format", "json")
    data = json.loads(text)
    now, against = told(data), data["against"]
    said: dict[str, dict[str, set[str]]] = {}
    for kind in ("new", "worse", "better"):
        for each in against[kind]:
            said.setdefault(each["file"], {}).setdefault(kind, set()).add(each["fingerprint"])
    gone = {each["file"] for each in against["gone"]}
    wrong = []
    for path, fault in planted.items():
        file = str(path)
        before, found, kinds = folder.before[file], now[file], said.get(file, {})
        if kinds.get("new", set()) != found.keys() - before.keys():
            wrong.append(f"{file}: {fault.name}: new ones are others")
        graver = {key for key in found.keys() & before.keys() if weight(found[key]) > weight(before[key])}
        if not graver <= kinds.get("worse", set()):
            wrong.append(f"{file}: {fault.name}: a graver one is not worse")
        speaks = kinds.get("new", set()) | kinds.get("worse", set())
        named = {(found[key]["rule"], found[key]["part"]) for key in speaks}
        already = {(each["rule"], each["part"]) for each in before.values() if weight(each) >= GRAVITY["stop"]}
        if fault.rule and not any(rule == fault.rule and part.startswith(fault.part) for rule, part in named | already):
            wrong.append(f"{file}: {fault.name}: {fault.rule} does not speak up at {fault.part}, but {sorted(named)}")
    wrong += [f"{path}: something is said of it" for path in same if str(path) in said or str(path) in gone]
    failing = sum(severe(folder.before[file], found) for file, found in now.items() if file in folder.before)
    worse = {file for file, kinds in said.items() if kinds.get("worse")}
    figures = sum(
        not severe(folder.before[file], now[file])
        and any(key in said[file]["worse"] and weight(now[file][key]) >= GRAVITY["open"] for key in now[file])
        for file in worse
    )
    last = err.splitlines()[-1]
    if last != f"{failing + figures} at stop or open, new or worse, of {len(now)}":
        wrong.append(f"{last!r}: {failing} are graver, {figures} have figures farther from a limit, of {len(now)}")
    if code != (1 if failing + figures else 0):
        wrong.append(f"exit status {code}")
    return wrong


def plant(folder: Folder, paths: list[Path], only: str = "") -> dict[Path, Fault]:
    """Put one fault into each of the files."""
    found = {}
    for path in paths:
        tree = folder.trees[path]
        fault = folder.dice.choice([each for each in faults(tree) if each.tree != tree and only in each.name])
        path.write_text(as_text(fault.tree), encoding="utf-8")
        found[path] = fault
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    root = Path(tempfile.mkdtemp())
    try:
        folder = Folder(root, asked.count, asked.seed)
        paths = folder.read()
        cut = len(paths) * 2 // 3
        planted = plant(folder, paths[:cut])
        for path in paths[cut:]:
            made = harmless(folder.trees[path], path.read_text(encoding="utf-8"), folder.dice)
            path.write_bytes(folder.dice.choice([*made.values()]))
        wrong = told_wrong(folder, planted, set(paths[cut:]))
        print("\n".join(wrong))
        print(f"{len(planted)} faults, {len(paths) - cut} the same in other files: {len(wrong)} wrong")
    finally:
        shutil.rmtree(root)


if __name__ == "__main__":
    main()
