"""Every command in every form, with names of every kind: the forms say the same words, none is cut, nothing is wider
than a terminal, names that run from right to left stand by themselves, and numbers keep their units."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from unicodedata import normalize

import pytest
import yaml

from packyoke.page.cells import ISOLATE, POP, WIDTH, cells
from tests.cli.conftest import Run
from tests.support import EXAMPLES

ODD = "<b>Re\u0301servoir</b> | *one* _x_ [box](y) `two` # & <i> and on up to eighty letters end"
NAMES = {
    "short": ("keel", "box", "Parcel bike"),
    "forty": ("pack under the down tube of the bike one", "pack under the down tube of the bike two", "Parcel bike"),
    "one word": ("Unterrohrakkumulatorhalterungssatz1", "Unterrohrakkumulatorhalterungssatz2", "W" * 66),
    "right to left": ("סוללה קדמית", "סוללה אחורית", "אופניים 12 של הדואר"),
    "wide": ("前輪の上の大きな電池", "後輪の上の大きな電池", "郵便の自転車"),
    "odd": ("keel", "box", ODD[:80]),
}
"""What the two packs of a bike and the bike are called; one ride is called like the first pack."""
DRAWN = {"svg", "figcaption"}
UNIT = r"(?:%|[munkM]?(?:A|V|W|Wh|Ah|ohm|m)|Wh/km|mm|kg|km/h|km|min|h|AWG)(?![\w/])"


def renamed(tree: Any, called: dict[str, str]) -> Any:
    """A tree of YAML with parts called otherwise."""
    if isinstance(tree, dict):
        return {renamed(key, called): renamed(value, called) for key, value in tree.items()}
    return [renamed(each, called) for each in tree] if isinstance(tree, list) else called.get(tree, tree)


def builds(names: tuple[str, str, str]) -> dict[str, Path]:
    """A bike of two packs, the same with another setting, one at stop, one to be planned, and a customer's bike."""
    one, two, title = names
    found = {}
    for kind, example, called in (
        ("bike", "skerry-long-tail", {"keel": one, "pannier": two, "hard": one}),
        ("other", "skerry-long-tail", {"keel": one, "pannier": two, "25 A": "18 A"}),
        ("stop", "quay-plain-trike", {"old": one, "new": two}),
        ("parcel", "counter/parcel-bike", {"keel": one}),
        ("planned", "saltpan-planned", {"port": one, "starboard": two}),
    ):
        tree = yaml.load((EXAMPLES / f"{example}.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
        made = {**renamed(tree, called), "name": title}
        if kind == "bike":
            made["ride"] = {one: {"speed": "20 km/h"}, "everyday": {}, "hard": {}}
        found[kind] = Path(f"{kind}.yaml")
        found[kind].write_text(yaml.dump(made, sort_keys=False, allow_unicode=True, width=1000), encoding="utf-8")
    for folder, kind in (("before", "bike"), ("after", "other")):
        Path(folder).mkdir()
        Path(folder, "bike.yaml").write_bytes(found[kind].read_bytes())
    return found


STOCK = str(EXAMPLES / "workshop" / "packyoke-shop.yaml")
COMMANDS: dict[str, tuple[str, ...]] = {
    "check": ("check", "bike"),
    "check at stop": ("check", "stop"),
    "range": ("range", "bike", "--need", "60 km", "--sensitivity"),
    "range at stop": ("range", "stop"),
    "range on a route": ("range", "bike", "--route", str(EXAMPLES / "skerry-round.gpx")),
    "rundown": ("rundown", "bike", "--load", "12 A"),
    "charge": ("charge", "bike"),
    "meter": ("meter", "bike", "--volts", "ONE=56.1,TWO=53.2"),
    "compare": ("compare", "bike", "other"),
    "compare folders": ("compare", "before", "after"),
    "plan": ("plan", "planned"),
    "quote": ("quote", "parcel", "--reach", "60 km", "--shop", str(EXAMPLES / "workshop" / "packyoke-shop.yaml")),
    "sheet for customer": ("sheet", "bike", "--for", "customer", "--today", "2027-05-14"),
    "sheet for workshop": ("sheet", "bike", "--for", "workshop", "--today", "2027-05-14"),
    "labels": ("sheet", "bike", "--for", "labels", "--today", "2027-05-14"),
    "quote sheet": ("sheet", "bike", "--for", "quote", "--today", "2027-05-14", "--shop", STOCK),
    "quote sheet at stop": ("sheet", "stop", "--for", "quote", "--today", "2027-05-14", "--shop", STOCK),
    "work sheet of a plan": ("sheet", "planned", "--for", "workshop", "--today", "2027-05-14"),
    "find": ("find", "--uses", "XT60", "bike", "stop"),
    "find a name": ("find", "--uses", "ONE", "bike"),
    "plan at stop": ("plan", "stop"),
    "rundown at stop": ("rundown", "stop"),
    "charge at stop": ("charge", "stop"),
    "meter at stop": ("meter", "stop", "--volts", "ONE=53.9,TWO=49.2"),
    "many builds": ("check", "bike", "stop", "parcel"),
    "sheet at stop": ("sheet", "stop", "--for", "customer", "--today", "2027-05-14"),
}
SAID = {
    "quote": "b",
    "range at stop": "b",
    "compare folders": "b",
    "plan at stop": "b",
    "find": "",
    "find a name": "",
}
"""Of the packs and the bike, those that a page names, where that is not all: what is added, where the worst is, what
changed; in lines of files they are parted."""
NO_NAMES: dict[str, tuple[str, ...]] = {
    "why": ("why", "packs-rush"),
    "all of why": ("why",),
    "why at smoke": ("why", "--symptom", "smoke"),
    "shelf": ("shelf",),
    "shelf of a word": ("shelf", "XT60"),
    "shelf of a shop": ("shelf", "shop", "--shop", STOCK),
    "find nothing": ("find", "--uses", "nosuch", str(EXAMPLES)),
    "find in all": ("find", "--uses", "XT60", str(EXAMPLES)),
    "packs without a file": ("meter", "--series", "13", "--volts", "54.1,51.3", "--joiner", "plain"),
}


class Seen(HTMLParser):
    """The words that a page of HTML shows: `apart` those that stand in an element of their own for names; `plain` the
    rest, without headings of the whole page and keys of drawings."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[tuple[str, str]] = []
        self.text = self.plain = self.key = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in ("meta", "br"):
            self.open.append((tag, dict(attrs).get("class") or ""))

    def handle_endtag(self, tag: str) -> None:
        while self.open.pop()[0] != tag:
            pass
        if tag not in ("bdi", "small"):
            self.add(" " if tag in ("span", "b", "strong") else "\n")

    def add(self, said: str) -> None:
        self.text, self.plain, self.key = self.text + said, self.plain + said, self.key + said

    def handle_data(self, data: str) -> None:
        tags, kinds = ({each[at] for each in self.open} for at in (0, 1))
        if {"title", "style"} & tags and "svg" not in tags:
            return
        if DRAWN & tags or "key" in kinds:
            self.key += data
            return
        self.text += data
        if not {"bdi", "pre"} & tags:
            self.plain += data


def in_words(text: str) -> set[str]:
    """What stands between spaces, whatever its case: headings are written large in text."""
    return {word.casefold() for word in re.sub(f"[{ISOLATE}{POP}]", "", text).translate({0xA0: " ", 0x7C: " "}).split()}


def unmarked(text: str) -> str:
    """The words of Markdown as they are read."""
    text = re.sub(r"^(?:#+ |- (?:\[ \] )?|\d+\. |```\w*|\|[-|]+\|$)", "", text, flags=re.MULTILINE)
    text = re.sub(r"(?<!\\)(?:\*\*|\|)", " ", text)
    text = re.sub(r"\\([\\|*_`\[\]#])", r"\1", text)
    return text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


def sign(words: set[str]) -> set[str]:
    """Words without what only layout puts beside them: numbers of steps, boxes to tick, lines to write on, frames."""
    bare = {word.strip("()[]:.;,\u201c\u201d") for word in words}
    return {word for word in bare if re.search(r"[^\W_]", word) and not re.fullmatch(r"\d{1,2}", word)}


@pytest.mark.parametrize("kind", NAMES)
@pytest.mark.parametrize("command", COMMANDS)
def test_every_form_says_the_same(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str, kind: str
) -> None:
    names = NAMES[kind]
    monkeypatch.chdir(tmp_path)
    files = builds(names)
    typed = [str(files.get(each, each)) for each in COMMANDS[command]]
    typed = [each.replace("ONE", names[0]).replace("TWO", names[1]) for each in typed]
    forms = {}
    for form in ("text", "markdown", "html"):
        code, forms[form], err = packyoke(*typed, "--format", form)
        assert code in (0, 1), err
    held(forms["text"], forms["markdown"], forms["html"], to_cut_out="sheet" in typed)
    whole = re.sub(rf"[\s{ISOLATE}{POP}]", "", forms["text"])
    for name in SAID.get(command, "12b"):
        name = names["12b".index(name)]
        assert re.sub(r"\s", "", normalize("NFC", name)) in whole
    if kind == "right to left":
        apart(forms["text"], forms["html"])


@pytest.mark.parametrize("command", NO_NAMES)
def test_every_form_of_what_has_no_build_says_the_same(packyoke: Run, command: str) -> None:
    text, marked, page = (packyoke(*NO_NAMES[command], "--format", form)[1] for form in ("text", "markdown", "html"))
    held(text, marked, page)


def held(text: str, marked: str, page: str, to_cut_out: bool = False) -> None:
    """Nothing wider than a terminal, numbers with their units, the same words in all three; what is to be cut out or
    written on says how, on paper only."""
    assert [line for line in text.splitlines() if cells(line) > WIDTH] == []
    parted = rf"(?<![\w.])\d+(?:\.\d+)?\n *(?={UNIT})"
    lines = "\n".join(line for line in text.splitlines() if "  " not in line.strip())
    assert re.findall(parted, lines) == []
    seen = Seen()
    seen.feed(page)
    assert re.findall(rf".*(?<![\w.])\d+ {UNIT}.*", seen.plain) == []
    said, read, shown = (sign(in_words(each)) for each in (text, unmarked(marked), seen.text))
    title = sign(in_words(re.findall(r"^# .*", marked, flags=re.MULTILINE)[0]))
    made = sign(in_words(" ".join(re.findall(r"packyoke \d.*", unmarked(marked)))))
    assert sorted(said - read) == [], "in text and not in Markdown"
    assert sorted(read - said - title - made) == [], "in Markdown and not in text"
    assert sorted(said - shown - sign(in_words(seen.key))) == [], "in text and not in HTML"
    assert to_cut_out or sorted(shown - said - title - made) == [], "in HTML and not in text"


def apart(text: str, page: str) -> None:
    """Names that run from right to left stand in isolates of their own."""
    letters = re.compile("[\u0590-\u05ff]")
    for line in text.splitlines():
        inside = re.sub(f"{ISOLATE}[^{POP}]*{POP}", "", line)
        assert letters.findall(inside) == [], line
    seen = Seen()
    seen.feed(page)
    assert letters.findall(seen.plain) == []
