"""What a quote's page says: offers made by hand, one fact at a time."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal as D
from typing import Any, NamedTuple

import pytest

from packyoke.analysis.ride.needs import Band
from packyoke.answers.quote.answer import view as typed_quote
from packyoke.answers.quote.page import (
    QuoteView,
    choice_words,
    marks,
    question_words,
    quote_page,
    row_words,
    rows_shown,
    wish_words,
)
from packyoke.answers.typed import WrongInput
from packyoke.core.findings import Finding, Severity
from packyoke.making.lists import BillLine, Terms, Totals
from packyoke.model import Build
from packyoke.model.shop import Stock
from packyoke.page.page import Lines, Table
from packyoke.planning.quoting.candidates import Choice, CustomersBike
from packyoke.planning.quoting.offers import Offer, Refused
from packyoke.planning.quoting.search import Quote, Wish
from tests.planning.bikes import build_of
from tests.report.test_quote_sheet import shop
from tests.report.test_range_words import estimate
from tests.support import edited

BIKE: Build = build_of(edited("skerry-long-tail"))
LINE = BillLine("packs", "rack 48-12", "", D(1), "piece", D(380), D(380), None, D(1), D(0), None, True)


def offer(price: str = "380", low_km: float = 80.0, likely_km: float = 100.0, kg: float = 6.0, **more: Any) -> Offer:
    told: dict[str, Any] = {
        "choice": Choice(("rack 48-12",)),
        "new": (),
        "bare": BIKE,
        "build": BIKE,
        "bill": (LINE,),
        "totals": Totals(D(price), "EUR", D(price), None, None, None, D(0), (), 0, 0),
        "terms": Terms(),
        "distance_m": Band(low_km * 1e3, likely_km * 1e3, 2 * likely_km * 1e3),
        "energy_j": 3.6e6,
        "mass_kg": kg,
        "opens": (),
        "cautions": (),
        "estimate": estimate(),
    }
    return Offer(**{**told, **more})


NOW = offer("0", 30.0, 40.0, 3.0, choice=Choice())
ONE = offer()
STOPPED = Refused(Choice(), "leads.main lead: too hot", ("leads.main lead",))
WAITS = Refused(Choice(("big",)), "not in the file: series of keel", waits=True)


def wish(reach_m: float | None = None, ride: str = "everyday", **more: Any) -> Wish:
    return Wish(ride=ride, reach_m=reach_m, **more)


def seen(*front: Offer, assumed: bool = False, **more: Any) -> QuoteView:
    told: dict[str, Any] = {
        "wish": wish(80_000.0),
        "bike": CustomersBike(build=BIKE, assumed=assumed, **BARE),
        "now": NOW,
        "front": front,
        "short": False,
        "out": (),
        "refused": (),
        "counted": (5, 3),
        "rider": None,
        "currency": "EUR",
    }
    view = {key: more.pop(key) for key in ("system", "every", "today") if key in more}
    found = Quote(**{**told, **more})
    return QuoteView(
        "f.yaml", "Skerry", found, **{"today": "", "system": "metric", "every": False, "chosen": "", **view}
    )


BARE: dict[str, Any] = {name: None for name in CustomersBike._fields if name not in ("build", "assumed")}


def blocks(view: QuoteView) -> dict[str, Any]:
    return {each.heading: each for each in quote_page(view).blocks}


OPEN = Finding(rule="r", severity=Severity.OPEN, part="packs.keel", message="not known", do="Look at it.")


@pytest.mark.parametrize(
    ("view", "word", "level"),
    [
        (seen(ONE), "QUOTE", "good"),
        (seen(ONE._replace(opens=(OPEN,))), "QUOTE", "open"),
        (seen(ONE, short=True), "NO", "stop"),
        (seen(), "NO", "stop"),
        (seen(now=STOPPED), "STOP", "stop"),
        (seen(ONE, now=STOPPED), "QUOTE", "good"),
        (seen(ONE, refused=(WAITS,)), "QUOTE", "good"),
        (seen(ONE, short=True, refused=(WAITS,)), "OPEN", "open"),
        (seen(refused=(WAITS,)), "OPEN", "open"),
        (seen(now=STOPPED, refused=(WAITS,)), "OPEN", "open"),
    ],
)
def test_the_answer(view: QuoteView, word: str, level: str) -> None:
    verdict = quote_page(view).verdict
    assert verdict is not None
    assert (verdict.word, verdict.level) == (word, level)
    assert view.answered is (word == "QUOTE")


@pytest.mark.parametrize(
    ("view", "lead"),
    [
        (
            seen(ONE),
            [
                "As it is: count on 30 km, likely 40 km.",
                "The cheapest that gets there: rack 48-12 added, 380 EUR, count on 80 km.",
            ],
        ),
        (seen(ONE, wish=wish()), ["As it is", "The cheapest: rack 48-12 added, 380 EUR, count on 80 km."]),
        (seen(ONE, wish=wish(30_000.0)), ["As it is", "It gets there as it is: nothing is needed."]),
        (seen(ONE, wish=wish(30_001.0)), ["As it is", "The cheapest that gets there"]),
        (
            seen(now=STOPPED),
            [
                "The bike as it is: leads.main lead: too hot. packyoke check says more; that comes first.",
                "Nothing on the shelf can be offered",
            ],
        ),
        (
            seen(ONE, now=STOPPED),
            [
                "The bike as it is: leads.main lead: too hot. packyoke check says more.",
                "The cheapest that gets there: rack 48-12 added",
            ],
        ),
        (
            seen(offer(opens=(OPEN,))),
            ["As it is", "The cheapest that gets there: rack 48-12 added", "That is subject to"],
        ),
        (seen(ONE, short=True), ["As it is", "Nothing that reaches costs so little; the cheapest is 380 EUR."]),
        (
            seen(ONE, short=True, wish=wish(80_001.0)),
            [
                "As it is",
                "Nothing on the shelf gets there. The nearest: rack 48-12 added, count on 80 km, for 380 EUR.",
            ],
        ),
        (seen(ONE, short=True, wish=wish()), ["As it is", "Nothing on the shelf gets there."]),
    ],
)
def test_what_is_said_first(view: QuoteView, lead: list[str]) -> None:
    found = quote_page(view).lead
    assert len(found) == len(lead)
    for line, part in zip(found, lead, strict=True):
        assert line.startswith(part)


@pytest.mark.parametrize(
    ("wished", "words"),
    [
        (wish(80_000.0), "80 km on the ride everyday"),
        (wish(ride="loaded"), "the ride loaded"),
        (wish(ride="loaded", most=D(900)), "the ride loaded, for at most 900 EUR"),
        (wish(60_000.0, ride="loaded", most=D("900.50")), "60 km on the ride loaded, for at most 900.50 EUR"),
    ],
)
def test_a_wish_in_words(wished: Wish, words: str) -> None:
    assert wish_words(seen(ONE, wish=wished)) == words


@pytest.mark.parametrize(
    ("choice", "words", "row"),
    [
        (Choice(), "the bike as it is", "the bike as it is"),
        (Choice(("rack",)), "rack added", "rack"),
        (Choice(("rack", "rack")), "2 x rack added", "2 x rack"),
        (Choice(("rack", "box")), "rack and box added", "rack and box"),
        (Choice(("box",), ("keel",)), "box instead of keel", "box, keel off"),
        (Choice(("box",), ("keel", "bag")), "box instead of keel and bag", "box, both off"),
        (Choice(("box",), ("a", "b", "c")), "box instead of a and b and c", "box, all 3 off"),
    ],
)
def test_a_choice_in_words(choice: Choice, words: str, row: str) -> None:
    assert (choice_words(choice), row_words(choice)) == (words, row)


CHEAP, LIGHT, FAR = offer("300", kg=9.0), offer("400", kg=4.0), offer("500", 120.0, 150.0, kg=8.0)


def test_what_each_offer_is_best_in() -> None:
    found = seen(CHEAP, LIGHT, FAR).found
    assert [marks(found, each) for each in found.front] == [("cheapest",), ("lightest",), ("farthest",)]
    alone = seen(ONE).found
    assert marks(alone, ONE) == ("cheapest", "lightest", "farthest")


def test_the_table_of_offers() -> None:
    """100 km of likely range is the longest; the scale ends above it; 80 of 100 are 7 of nine marks, and two dotted."""
    table = blocks(seen(CHEAP, LIGHT._replace(opens=(OPEN,), cautions=(OPEN,)), offer("450", cautions=(OPEN,))))[
        "What gets there"
    ]
    assert isinstance(table, Table)
    assert [row[0] for row in table.rows] == ["1", "2", "3"]
    assert table.rows[0][1:] == ("rack 48-12", "300", "80 km", "100 km", "9 kg", "=======..", "cheapest, farthest")
    assert [row[7] for row in table.rows[1:]] == ["lightest, open", "caution"]
    assert table.heads[2] == "EUR"
    assert table.notes == ()
    assert table.scale is not None
    end = float(table.scale.ticks.split()[-2])
    assert end >= 100.0
    assert (table.bars[0, 3].solid, table.bars[0, 3].to) == (pytest.approx(80 / end), pytest.approx(100 / end))
    assert "What comes nearest" in blocks(seen(ONE, short=True))
    assert "What there is" in blocks(seen(ONE, wish=wish()))
    assert "What gets there" not in blocks(seen())
    miles = blocks(seen(ONE, system="us"))["What gets there"]
    assert miles.scale.ticks.endswith(" mi")


def test_parts_without_a_price_are_said_below_the_table() -> None:
    def without(price: str, count: int) -> Offer:
        made = offer(price)
        names = tuple(f"x{n}" for n in range(count))
        return made._replace(totals=made.totals._replace(unpriced=names))

    front = without("300", 0), without("400", 1), without("500", 2), without("600", 2)
    notes = blocks(seen(*front))["What gets there"].notes
    assert notes == (
        "number 2: 1 part without a price, in no sum.",
        "number 3, 4: 2 parts without a price, in no sum.",
    )


def test_ten_rows_the_best_among_them() -> None:
    front = [offer(str(300 + n)) for n in range(10)]
    assert [number for number, _ in rows_shown(seen(*front))] == list(range(1, 11))
    more = [*front, offer("400", kg=3.0), offer("500", 120.0)]
    assert [number for number, _ in rows_shown(seen(*more))] == [*range(1, 9), 11, 12]
    assert len(rows_shown(seen(*more, every=True))) == 12
    assert blocks(seen(*more))["What gets there"].notes == ("2 more: --all shows them.",)


def test_what_is_open_and_what_is_none() -> None:
    caution = OPEN.but(part="build", message="too cold", do="", severity=Severity.CAUTION)
    view = seen(
        ONE._replace(opens=(OPEN,), cautions=(caution,)),
        offer("400", opens=(OPEN,)),
        refused=(Refused(Choice(("big",)), "too hot"), Refused(Choice(("huge",)), "too hot")),
        out=tuple((f"p{n}", "other cells") for n in range(7)),
    )
    found = blocks(view)
    assert isinstance(found["Subject to"], Lines)
    assert found["Subject to"].lines == ("number 1, 2: keel: not known. Look at it.",)
    assert found["Cautions, to agree on"].lines == ("number 1: too cold.",)
    assert found["Stopped by the check"].lines == ("too hot: big added, huge added",)
    assert found["Not for this bike"].lines == ("other cells: p0, p1, p2, p3, p4, p5 and 1 more",)
    six = blocks(seen(ONE, out=tuple((f"p{n}", "other cells") for n in range(6))))
    assert six["Not for this bike"].lines[0].endswith("p4, p5")
    assert question_words(OPEN) == "keel: not known. Look at it."


def test_the_bill_of_the_cheapest() -> None:
    table = blocks(seen(ONE))["What is on the bill"]
    assert (table.align, len(table.heads)) == ("rlrrrl", 6)
    assert table.about.startswith("number 1;")
    bare = ONE._replace(bill=(LINE._replace(price_each=None, amount=None),))
    assert blocks(seen(bare))["What is on the bill"].align == "rll"
    assert "What is on the bill" not in blocks(seen(ONE._replace(bill=())))
    assert "Prices hold until" in " ".join(blocks(seen(ONE, today="2027-05-14"))["What is on the bill"].notes)
    assert "Prices hold until" not in " ".join(table.notes)


def notes(view: QuoteView) -> str:
    found = blocks(view).get("Note")
    return " ".join(found.lines) if isinstance(found, Lines) else ""


def test_notes() -> None:
    assert notes(seen(ONE, counted=(0, 0))) == ""
    said = notes(seen(ONE))
    assert "5 choices of the shelf were looked at, 3 planned and checked" in said
    assert "Reach beyond" in said
    assert "Reach beyond" not in notes(seen(ONE, wish=wish()))
    assert "Nobody has measured where the leads run" not in said
    assert "Nobody has measured where the leads run" in notes(seen(ONE, assumed=True))
    assert "Nobody has measured" not in notes(seen(NOW, assumed=True))  # nothing comes on
    assert "Packs of the shelf count as sound" in said
    assert "count as sound" not in notes(seen(NOW))
    assert "Larger packs were looked at in place of each of his packs, and of all" in said
    assert "Larger packs" not in notes(seen(ONE, wish=wish(instead=False)))
    assert "Larger packs" not in notes(seen(ONE, wish=wish(add=(1, 2))))


def stock() -> Stock:
    return shop()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"reach": "99 m"}, "a way to ride is needed"),
        ({"reach": "10000 km"}, "a way to ride is needed"),
        ({"most": "lots"}, "write for example"),
        ({"most": "900 USD"}, "are in EUR"),
        ({"add": "2..1"}, "the smaller number first"),
        ({"add": "9"}, "packs are added"),
        ({"add": "some"}, "write for example 1, or 1..2"),
        ({"ride": "nowhere"}, "no ride called"),
    ],
)
def test_a_wish_that_cannot_be_used(typed: dict[str, str], said: str) -> None:
    with pytest.raises(WrongInput, match=said):
        typed_quote(BIKE, stock(), **typed)


def test_a_quote_needs_packs_with_prices_on_the_shelf() -> None:
    with pytest.raises(WrongInput, match=r"there are none\. No shop file is used"):
        typed_quote(BIKE, None)
    full, rates = stock(), stock().rates
    packs = [item for item in full.items if item.section == "packs"]
    with pytest.raises(WrongInput, match=r"there are none\. The shop file is  s\.yaml"):
        typed_quote(BIKE, Shelf([item for item in full.items if item not in packs], rates))
    bare = [replace(item, price=None) if item in packs else item for item in full.items]
    with pytest.raises(WrongInput, match="no pack on the shop's shelf has a price: "):
        typed_quote(BIKE, Shelf(bare, rates))


class Shelf(NamedTuple):
    items: list[Any]
    rates: Any
    file: str = "s.yaml"


FIRST = "1 more waits for what has to be found out first"


@pytest.mark.parametrize(
    ("view", "told", "untold"),
    [
        (seen(ONE, refused=(WAITS,)), f"{FIRST}, and one of them may cost less.", "that was tried"),
        (seen(ONE, short=True, refused=(WAITS,)), f"{FIRST}.", "on the shelf"),
        (seen(NOW, short=True, refused=(WAITS,)), "Nothing that was tried gets there", "cost less"),
        (seen(refused=(WAITS,)), "Nothing that was tried can be offered", "on the shelf"),
        (seen(ONE, wish=wish(30_000.0), refused=(WAITS,)), "nothing is needed", "more wait"),
        (seen(now=STOPPED, wish=wish(add=(1, 2))), "Packs in place of his own were not looked at", "more wait"),
        (seen(now=STOPPED), "Nothing on the shelf can be offered", "in place of his own"),
        (seen(ONE, wish=wish(add=(1, 2))), "The cheapest", "in place of his own"),
    ],
)
def test_what_waits_or_was_not_looked_at_is_no_no(view: QuoteView, told: str, untold: str) -> None:
    lead = " ".join(quote_page(view).lead)
    assert told in lead
    assert untold not in lead


def test_what_waits_is_not_stopped_by_the_check() -> None:
    found = blocks(seen(ONE, refused=(WAITS, Refused(Choice(("huge",)), "too hot"))))
    assert found["To find out first"].lines == ("not in the file: series of keel: big added",)
    assert found["Stopped by the check"].lines == ("too hot: huge added",)
    assert "the others but for the 1 not tried are beaten" in " ".join(found["Note"].lines)
