"""Long names on the bench: each has one sign, told once, and nothing is called by what another part is called."""

from __future__ import annotations

import pytest

from packyoke.answers.sheet.called import called, signs
from packyoke.answers.sheet.workshop import workshop_sheet
from packyoke.answers.sheet.workshop_page import NAMES, workshop_page
from packyoke.page.page import Table
from packyoke.page.text import page_text
from tests.sheets import TODAY, built, chain_text

LONG = chain_text(6, long=True, chargers=3)


def renamed(name: str, packs: int = 2) -> str:
    """A chain of packs whose first one has another name."""
    return chain_text(packs).replace("Pack a", name)


def test_names_that_are_short_stay() -> None:
    """Up to 20 letters; one letter more, and all of that kind get signs, in the order of the file."""
    assert signs(built(chain_text(6))).signs == {}
    assert signs(built(renamed("N" * 20))).signs == {}
    assert signs(built(renamed("N" * 21))).signs == {"N" * 21: "pack A", "Pack b": "pack B"}


@pytest.mark.parametrize(("other", "kind"), [("pack b", "packs"), ("joiner 1", "packs and joiners")])
def test_no_part_is_called_like_another(other: str, kind: str) -> None:
    """A pack that bears the sign of another one: the packs keep their names."""
    text = chain_text(3, long=True).replace("Pack c in the left bag of the carrier", other)
    found = signs(built(text))
    assert (other in found.signs) == (kind != "packs")
    assert ("joiner 1" in found.signs.values()) == (other != "joiner 1")
    assert len({*found.signs.values()}) == len(found.signs)


def test_a_charger_may_be_called_like_a_pack() -> None:
    text = chain_text(2, long=True)
    text = text.replace("Charger 0 with the grey cable and the la", "Pack a in the left bag of the carrier")
    found = signs(built(text))
    assert found.short("Pack a in the left bag of the carrier") == "pack A"
    assert found.charger("Pack a in the left bag of the carrier") == "charger 1"
    assert dict(found.told())["charger 1"] == "Pack a in the left bag of the carrier"


def test_packs_have_the_letters_of_the_customer_s_page() -> None:
    build = built(LONG)
    bench, customer = signs(build), called(build)
    assert [bench.short(name) for name in build.packs] == [f"pack {customer.short(name)}" for name in build.packs]


def test_every_long_name_is_told_once_and_its_sign_stands_everywhere_else() -> None:
    """Packs, joiners, leads, chargers and places; what the check says of them and the plates on them have the names."""
    build = built(LONG)
    sheet = workshop_sheet(build, None, today=TODAY)
    told = next(each for each in sheet.sections if each.title == NAMES).table
    assert told is not None
    names = [*build.packs, *build.joiners, *build.leads, *build.chargers, *build.places]
    assert [row[1].strip() for row in told.rows] == [name.strip() for name in names]
    assert len({row[0] for row in told.rows}) == len(names)
    rest = [each for each in sheet.sections if each.title not in (NAMES, "What the check found")]
    assert len(rest) > 10
    for each in rest:
        cells = [cell for row in (each.table.rows if each.table else ()) for cell in row]
        said = " ".join([*cells, *each.lines, *each.steps, *each.notes, each.table.same if each.table else ""])
        assert not [name for name in names if name.strip() in said], each.title
    drawn = sheet.drawing
    assert not [name for name in names if name.strip() in drawn.words]
    assert {box.name for box in drawn.boxes} == {*[row[0] for row in told.rows[:11]], "controller"}
    labels = sheet.labels
    assert {flag.here for flag in labels.flags} == {box.name for box in drawn.boxes}
    assert {flag.lead for flag in labels.flags} == {""}
    plates = {plate.part for plate in labels.plates}
    assert {f"{row[0]}: {name}" for row, name in zip(told.rows[:11], names, strict=False)} <= plates
    assert labels.empty == tuple(f"plug for pack {letter}" for letter in "ABCDEF")


def test_the_text_has_the_names_too() -> None:
    page = workshop_page(workshop_sheet(built(LONG), None, today=TODAY))
    table = next(block for block in page.blocks if isinstance(block, Table) and block.heads[0] == "here")
    assert ("lead 11", "link 4 with the red sleeve along the top") in table.rows
    assert "4 link" not in page_text(page)
