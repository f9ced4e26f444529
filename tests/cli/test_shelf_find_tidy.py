"""`packyoke shelf`, `find`, `tidy` and `schema` as somebody types them."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest

from packyoke.api import Build, load, load_shop
from packyoke.buildfile.reading import Document, parse
from packyoke.buildfile.writing.tidy import tidied
from tests.cli.conftest import Run
from tests.support import BASES, EXAMPLES

BUILDS = [*sorted(EXAMPLES.glob("*.yaml")), *sorted(EXAMPLES.glob("first-steps/*.yaml")), *sorted(BASES.glob("*.yaml"))]


def put_in_order(text: str) -> str:
    document = parse(text, "bike")
    assert isinstance(document, Document)
    return tidied(text, document)


@pytest.mark.parametrize("path", BUILDS, ids=lambda path: path.name)
def test_tidy_moves_lines_and_changes_none(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    made = put_in_order(text)
    assert Counter(made.splitlines()) == Counter(text.splitlines())
    assert put_in_order(made) == made
    assert isinstance(load(made, "bike"), Build)


def test_comments_go_with_the_lines_below_them() -> None:
    text = (
        "# head\npackyoke: 1\ncontroller:\n  inlet: XT60 pin\n  # the limit\n  battery_current: 20 A   # as set\n"
        "# about packs\npacks:\n  b: {series: 13}\n  # the old one\n  a:\n    capacity: 14 Ah\n"
        "    # label\n    label: 48 V\nname: x\n# the end\n"
    )
    assert put_in_order(text) == (
        "# head\npackyoke: 1\nname: x\n# about packs\npacks:\n  b: {series: 13}\n  # the old one\n  a:\n    # label\n"
        "    label: 48 V\n    capacity: 14 Ah\ncontroller:\n  # the limit\n  battery_current: 20 A   # as set\n"
        "  inlet: XT60 pin\n# the end\n"
    )


@pytest.mark.parametrize("mark", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("last", [True, False])
def test_what_tidy_has_written_is_in_order(packyoke: Run, tmp_path: Path, mark: str, last: bool) -> None:
    """With the line ends that the file has, behind its last line too: it got one of another kind."""
    path = tmp_path / "bike.yaml"
    path.write_bytes(f"name: x{mark}packyoke: 1{mark * last}".encode())
    assert packyoke("tidy", path, "--replace")[0] == 0
    assert path.read_bytes().decode() == f"packyoke: 1{mark}name: x{mark}"
    assert packyoke("tidy", path, "--check")[0] == 0


def test_tidy_writes_over_a_file_only_when_told(packyoke: Run, tmp_path: Path) -> None:
    path = tmp_path / "bike.yaml"
    text = "packyoke: 1\npacks:\n  a:\n    capacity: 14 Ah\n    label: 48 V\nname: x\n"
    path.write_text(text, encoding="utf-8")
    assert packyoke("tidy", path, "--check")[0] == 1
    code, out, _ = packyoke("tidy", path)
    assert (code, path.read_text(encoding="utf-8")) == (0, text)
    assert out.index("label") < out.index("capacity")
    assert packyoke("tidy", path, "--output", path)[0] == 2
    assert packyoke("tidy", path, "--replace")[0] == 0
    assert path.read_text(encoding="utf-8") == out
    assert packyoke("tidy", path, "--check")[0] == 0


def test_tidy_leaves_a_file_that_somebody_changed_meanwhile(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    path = tmp_path / "bike.yaml"
    path.write_text("name: x\npackyoke: 1\n", encoding="utf-8")

    def saved_by_another(name: str) -> str:
        path.write_text("name: y\npackyoke: 1\n", encoding="utf-8")
        return name

    monkeypatch.setattr("packyoke.cli.tidy.shown_name", saved_by_another)
    code, _, err = packyoke("tidy", path, "--replace")
    assert (code, path.read_text(encoding="utf-8")) == (2, "name: y\npackyoke: 1\n")
    assert "was changed by somebody meanwhile; it was left as it is" in err


@pytest.mark.parametrize(
    ("text", "word"), [("packyoke: 1\nname: x\nbogus: 1\n", "no field"), ("{packyoke: 1, name: x}", "")]
)
def test_tidy_leaves_alone_what_it_cannot_order(packyoke: Run, tmp_path: Path, text: str, word: str) -> None:
    path = tmp_path / "bike.yaml"
    path.write_text(text, encoding="utf-8")
    code, out, err = packyoke("tidy", path)
    assert code == (2 if word else 0)
    assert word in err
    assert out.strip() == ("" if word else text)


@pytest.mark.parametrize("word", ["XT60", "xt-60", "XT 60", "xt_60"])
def test_a_recall_finds_every_spelling(packyoke: Run, tmp_path: Path, word: str) -> None:
    for name, outlet in (("a", "XT60 socket"), ("b", "xt-60 socket"), ("c", "XT90 socket"), ("d", "XT600 socket")):
        more = "  twin: {like: Keel}\n" if name == "b" else ""
        (tmp_path / f"{name}.yaml").write_text(
            f"packyoke: 1\nname: {name}\nstatus: retired\npacks:\n  keel: {{outlet: {outlet}}}\n{more}",
            encoding="utf-8",
        )
    code, out, _ = packyoke("find", "--uses", word, tmp_path, "--format", "json")
    found = json.loads(out)
    assert code == 0
    assert [(Path(each["file"]).name, each["path"]) for each in found["found"]] == [
        ("a.yaml", "packs.keel.outlet"),
        ("b.yaml", "packs.keel.outlet"),
        ("b.yaml", "packs.twin.like"),
    ]
    assert found["read"] == 4


@pytest.mark.parametrize(
    ("word", "options", "told"),
    [
        ("10x38", (), ["packs.keel.part", "packs.twin.like"]),
        ("ideal-diode", (), ["joiners.y.part"]),
        # The item itself is named by its line, once.
        ("long pack", (), ["packs.keel.part", "packs.twin.like"]),
        ("XT90", (), []),
        ("10x38", ("--no-shop",), []),
        ("XT30", (), ["controller.part"]),
        ("holm mill", (), ["all_leads.kind"]),
    ],
)
def test_a_recall_finds_what_stands_in_the_shop_file(
    packyoke: Run, tmp_path: Path, word: str, options: tuple[str, ...], told: list[str]
) -> None:
    (tmp_path / "packyoke-shop.yaml").write_text(
        "packyoke-shop: 1\nshelf:\n  packs: {Long pack: {chemistry: NMC, fuse: {family: 10x38, rating: 30 A}}}\n"
        "  joiners: {yoke: {type: ideal-diode}, other: {type: diode, inlets: XT90 pin}}\n"
        "  controllers: {sine 25: {inlet: XT30 pin}}\n"
        "  wires: {red: {gauge: 12 AWG, insulation: silicone, source: holm mill}}\n",
        encoding="utf-8",
    )
    (tmp_path / "a.yaml").write_text(
        "packyoke: 1\nname: a\npacks:\n  keel: {part: long pack}\n  twin: {like: Keel}\njoiners: {y: {part: yoke}}\n"
        "controller: {part: Sine 25}\nall_leads: {kind: Red}\n",
        encoding="utf-8",
    )
    code, out, _ = packyoke("find", "--uses", word, tmp_path, "--format", "json", *options)
    assert [each["path"] for each in json.loads(out)["found"]] == told
    assert code == (0 if told else 1)


def test_nothing_found_is_one_and_unread_is_two(packyoke: Run, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("packyoke: 1\nname: a\n", encoding="utf-8")
    assert packyoke("find", "--uses", "XT60", tmp_path)[0] == 1
    (tmp_path / "b.yaml").write_text("packyoke: 1\nname: [\n", encoding="utf-8")
    code, _, err = packyoke("find", "--uses", "XT60", tmp_path)
    assert (code, "b.yaml" in err) == (2, True)
    assert packyoke("find", tmp_path)[0] == 2


def test_old_readings_and_due_dates(packyoke: Run, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(
        "packyoke: 1\nname: a\nrecheck: 2026-05\npacks: {keel: {}}\n"
        "measured: [{date: 2026-03-01, part: packs.keel, what: voltage, value: 50 V},"
        " {date: 2027-03-01, part: packs.keel, what: voltage, value: 50 V}]\n",
        encoding="utf-8",
    )
    code, out, _ = packyoke("find", "--before", "2027-01-01", tmp_path, "--format", "json")
    assert code == 0
    assert [each["text"] for each in json.loads(out)["found"]] == ["2026-05", "2026-03-01"]


@pytest.mark.parametrize("word", [None, "connectors", "XT60", "mounts", "rides", "chemistry", "blade", "12 AWG"])
@pytest.mark.parametrize("form", ["text", "markdown", "html", "json"])
def test_the_shelf_says_where_each_figure_comes_from(packyoke: Run, word: str | None, form: str) -> None:
    code, out, _ = packyoke("shelf", *([word] if word else []), "--format", form, "--no-shop")
    assert code == 0
    assert any(status in out for status in ("practice", "read", "derived", "assumption"))
    if form == "text":
        assert max(map(len, out.splitlines())) <= 80
    assert packyoke("shelf", "nothing of this name")[0] == 1


def test_the_template_of_a_shop_file_can_be_read_and_filled_in(packyoke: Run) -> None:
    out = packyoke("shelf", "--template")[1]
    assert not isinstance(load_shop(out, "packyoke-shop.yaml"), list)
    _, _, rest = out.partition("packyoke-shop: 1\n")
    filled = "packyoke-shop: 1\n" + "".join(f"{line.removeprefix('# ')}\n" for line in rest.splitlines())
    shop = load_shop(filled, "packyoke-shop.yaml")
    assert not isinstance(shop, list), [each.message for each in shop]
    assert {item.section for item in shop.items} == {
        "wires",
        "fuses",
        "connectors",
        "joiners",
        "packs",
        "chargers",
        "controllers",
    }


def test_what_the_shop_stocks_is_on_the_shelf(packyoke: Run) -> None:
    out = packyoke("shelf", "shop", "--shop", EXAMPLES / "workshop" / "packyoke-shop.yaml")[1]
    assert "small yoke" in out
    assert "48.00 EUR" in out


def test_the_schema_is_the_one_in_docs(packyoke: Run) -> None:
    written = (EXAMPLES.parent / "docs" / "build-file.schema.json").read_text(encoding="utf-8")
    assert json.loads(packyoke("schema")[1]) == json.loads(written)


def test_find_echoes_what_is_typed_without_its_control_characters(packyoke: Run, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("packyoke: 1\nname: a\n", encoding="utf-8")
    code, out, err = packyoke("find", "--uses", "\x1b[31mred", tmp_path)
    assert code == 1
    assert "\x1b" not in out + err
    assert "[31mred" in out


def test_a_day_that_is_none_is_told_by_the_name_of_its_option(packyoke: Run, tmp_path: Path) -> None:
    code, _, err = packyoke("find", "--before", "soon", tmp_path)
    assert code == 2
    assert '--before "soon"' in err


def test_a_file_that_was_not_read_stands_on_the_page_of_a_recall(packyoke: Run, tmp_path: Path) -> None:
    """What it uses is not known: whoever keeps the page has to see that."""
    (tmp_path / "broken.yaml").write_text("packyoke: 1\npacks: [", encoding="utf-8")
    code, out, _ = packyoke("find", "--uses", "nosuch", tmp_path / "broken.yaml", "--format", "html")
    assert code == 2
    assert "broken.yaml: cannot be read" in out
    assert "what these files use is not known" in out
