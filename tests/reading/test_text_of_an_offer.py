"""A customer's file with other packs: what is taken out, what is put in, and what refuses it."""

from __future__ import annotations

import pytest

from packyoke.buildfile.reading import load
from packyoke.buildfile.writing.places import CannotWrite
from packyoke.buildfile.writing.quoted import owned_text, quoted_text
from packyoke.model import Build
from packyoke.planning.quoting.candidates import Choice, bike_of, pack_lines, with_choice
from tests.planning.test_quote import COUNTER, TWO_PACKS, a_shop

SHOP = a_shop(4)
ITEMS = {item.part.name: item for item in SHOP.items if item.section == "packs"}
NAME = next(iter(ITEMS))
ONE = (COUNTER / "parcel-bike.yaml").read_text(encoding="utf-8")
HEAD, _, REST = ONE.partition("leads:\n")
TWO = HEAD + TWO_PACKS + REST.partition("\n")[2]
CHARGER = "  counter: {output: 54.6 V, current: 3 A, plug: XT60 pin}\n"


def read(text: str) -> Build:
    found = load(text, "bike", shop=SHOP)
    assert isinstance(found, Build), found
    return found


def changed(text: str, off: tuple[str, ...] = ("keel",)) -> str:
    """The file with a pack of the shelf for some of its own."""
    build = read(text)
    wanted, new = with_choice(bike_of(build), Choice((NAME,), off), ITEMS)
    return quoted_text(text, build, wanted, {each.name: pack_lines(each) for each in new})


def with_charger(more: str, text: str = ONE) -> str:
    assert CHARGER in text
    return text.replace(CHARGER, CHARGER.replace("}", f", {more}}}"))


def spare(more: str) -> str:
    """The bike of two packs, the second of them called as the first with a word behind it."""
    return TWO.replace("hull", "keel spare").replace("{{", "{") + more


def test_a_pack_goes_with_its_lead_and_all_other_lines_stay() -> None:
    text = ONE.replace("  keel lead:", "  # his own work\n  keel lead:")
    new = changed(text)
    gone = [line for line in text.splitlines() if line not in new.splitlines()]
    assert [line.strip().partition(":")[0] for line in gone if not line.strip().startswith(("#", "{"))] == [
        "keel",
        "outlet",
        "bms",
        "leads",
        "keel lead",
    ]
    added = [line for line in new.splitlines() if line not in text.splitlines()]
    assert [line.strip().partition(":")[0] for line in added] == [NAME]
    build = read(new)
    assert list(build.packs) == [NAME]
    assert build.leads == {}


@pytest.mark.parametrize(
    ("fits", "left"),
    [("[keel]", ()), ("[keel, hull]", ("hull",)), ("[hull, keel]", ("hull",)), ("[hull]", ("hull",))],
)
def test_a_pack_that_comes_off_is_on_no_list_of_a_charger(fits: str, left: tuple[str, ...]) -> None:
    build = read(changed(with_charger(f"fits: {fits}", TWO)))
    assert build.chargers["counter"].fits == left


@pytest.mark.parametrize(("off", "left"), [(("keel",), ("hull",)), (("hull",), ("keel",)), (("keel", "hull"), ())])
@pytest.mark.parametrize("dash", ["    - ", "      - "])
@pytest.mark.parametrize("more", ["", "    plug: XT60 pin\n"])
def test_so_is_it_on_no_list_with_a_dash_to_each_line(
    off: tuple[str, ...], left: tuple[str, ...], dash: str, more: str
) -> None:
    lines = f"    fits:   # his: both\n{dash}keel\n    # the other\n{dash}hull   # too\n{more}"
    text = changed(TWO.replace(CHARGER, f"  counter:\n    output: 54.6 V\n    current: 3 A\n{lines}"), off)
    assert read(text).chargers["counter"].fits == left
    assert more in text


@pytest.mark.parametrize("fits", ["[keel, hull]", "[hull,\n   keel]", "['keel', \"hull\"]"])
def test_two_that_come_off_are_both_on_it_no_more(fits: str) -> None:
    """One after the other left the name of each where the other was taken out."""
    assert read(changed(with_charger(f"fits: {fits}", TWO), ("keel", "hull"))).chargers["counter"].fits == ()


def test_chargers_that_are_like_another_one_have_its_list_once() -> None:
    text = with_charger("fits: [keel]", TWO).replace("  counter:", "  second: {like: counter}\n  counter:")
    new = changed(text)
    assert new.count("fits: []") == 1
    assert [each.fits for each in read(new).chargers.values()] == [(), ()]


def test_a_charger_without_a_list_stays_as_it_is() -> None:
    assert CHARGER in changed(ONE)


MENTIONS = [
    ("measured:\n  - {date: 2026-11-01, part: packs.PACK, what: resistance, value: 104 mohm}\n", "a reading"),
    (
        "accept:\n  - {rule: cells-overworked, part: packs.PACK, found: 12 A, because: x, by: me, until: 2027-06-30}\n",
        "an acceptance",
    ),
]


@pytest.mark.parametrize(("lines", "said"), MENTIONS)
def test_a_line_that_speaks_of_a_pack_that_comes_off_refuses_it(lines: str, said: str) -> None:
    with pytest.raises(CannotWrite, match=f"{said} speaks of keel; take that out"):
        changed(spare(lines.replace("PACK", "keel")))


def test_a_reading_of_a_lead_that_comes_off_refuses_it() -> None:
    line = "measured:\n  - {date: 2026-11-01, part: leads.keel lead, what: drop, value: 30 mV, at: 10 A}\n"
    with pytest.raises(CannotWrite, match="a reading speaks of keel lead; take that out"):
        changed(ONE + line)


@pytest.mark.parametrize("sets", ["[keel]", "[hull]", "[keel, hull]"])
def test_sets_that_have_no_new_pack_refuse_it(sets: str) -> None:
    with pytest.raises(CannotWrite, match="the new pack is in none of the sets of the file"):
        changed(TWO + f"sets: [{sets}]\n")


@pytest.mark.parametrize(("lines", "said"), MENTIONS)
def test_a_line_that_speaks_of_a_pack_with_a_longer_name_stays(lines: str, said: str) -> None:
    text = spare(lines.replace("PACK", "keel spare"))
    assert lines.replace("PACK", "keel spare") in changed(text), said


@pytest.mark.parametrize(
    ("name", "copy", "refused"),
    [("spare", "like: keel", True), ("spare", 'like: "keel"', True), ("keel 2", "like: keel 2", False)],
)
def test_a_pack_that_another_one_is_like_does_not_come_off(name: str, copy: str, refused: bool) -> None:
    third = f"  third: {{{copy}, condition: sound}}\n"
    text = TWO.replace("hull", name)
    at = text.index("joiners:") if text.index("joiners:") < text.index("leads:") else text.index("leads:")
    text = text[:at] + third + text[at:]
    text = text.replace("inputs: 2", "inputs: 3").replace(
        "  main lead:", "  third lead: {from: third, to: own yoke, length: 350 mm, gauge: 12 AWG}\n  main lead:"
    )
    if refused:
        with pytest.raises(CannotWrite, match="another pack is like keel"):
            changed(text)
    else:
        assert copy in changed(text)


def test_parts_that_share_a_line_are_not_taken_out() -> None:
    lead = "  keel lead: {from: keel, to: controller, length: 350 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]}\n"
    assert lead in ONE
    with pytest.raises(CannotWrite, match=r"leads\.keel lead does not stand on lines of its own"):
        changed(ONE.replace(f"leads:\n{lead}", f"leads: {{{lead.strip()}}}\n"))


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_a_file_whose_last_line_has_no_end_gets_one(newline: str) -> None:
    text = ONE.replace("chargers:\n" + CHARGER, "").rstrip("\n")
    at = text.index("packs:\n")
    end = text.index("leads:\n")
    text = (text[:at] + text[end:] + "\n" + text[at:end].rstrip("\n")).replace("\n", newline)
    new = changed(text)
    assert f"{newline}  {NAME}: " in new
    assert newline == "\n" or "\n" not in new.replace("\r\n", "")
    assert list(read(new).packs) == [NAME]


def test_what_is_the_customers_own_is_said_of_items_of_the_shelf_and_of_nothing_else() -> None:
    """A pack of his that is described by the shelf is not bought again."""
    text = TWO.replace("  hull:", f"  box: {{part: {NAME}, condition: sound, place: down tube}}\n  hull:", 1)
    assert text != TWO
    text = text.replace("inputs: 2", "inputs: 3").replace(
        "  main lead:", "  box lead: {from: box, to: own yoke, length: 350 mm, gauge: 12 AWG}\n  main lead:"
    )
    build = read(text)
    owned = bike_of(build).build
    new = owned_text(text, build, owned, "owner")
    assert new.splitlines() != text.splitlines()
    again = read(new)
    assert again.packs["box"].owner == owned.packs["box"].owner == "customer"
    assert {name: each.owner for name, each in again.packs.items() if name != "box"} == {"keel": None, "hull": None}
    assert {each.owner for each in again.joiners.values()} == {each.owner for each in build.joiners.values()}
    assert owned_text(new, again, bike_of(again).build, "owner") == new, "what is said is not said twice"
