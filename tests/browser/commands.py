"""The pages of commands, with short names and with long, wide and right-to-left ones."""

from __future__ import annotations

from collections.abc import Iterator

from packyoke.answers.charge.answer import view as charge_view
from packyoke.answers.charge.page import charge_page
from packyoke.answers.check.page import check_page
from packyoke.answers.compare.answer import view as compare_view
from packyoke.answers.compare.page import compare_page
from packyoke.answers.find.answer import Hit, hits
from packyoke.answers.find.page import find_page
from packyoke.answers.meter.answer import Typed
from packyoke.answers.meter.answer import view as meter_view
from packyoke.answers.meter.page import meter_page
from packyoke.answers.plan.answer import planned
from packyoke.answers.plan.answer import view as plan_view
from packyoke.answers.plan.page import plan_page
from packyoke.answers.quote.answer import view as quote_view
from packyoke.answers.quote.page import quote_page
from packyoke.answers.range.answer import view as range_view
from packyoke.answers.range.page import range_page
from packyoke.answers.range.route import view as route_view
from packyoke.answers.range.route_page import route_page
from packyoke.answers.rundown.answer import view as rundown_view
from packyoke.answers.rundown.page import rundown_page
from packyoke.answers.shelf.answer import tables
from packyoke.answers.shelf.page import shelf_page
from packyoke.answers.why.page import rule_page, rules_page
from packyoke.api import check
from packyoke.buildfile.reading import Document, Shop, load_shop, parse
from packyoke.buildfile.reading.gpx import load_track
from packyoke.model.track import Track
from packyoke.page.html import page_html
from packyoke.planning.result import Plan
from packyoke.rules.pages import all_pages
from tests.sheets import TODAY, built, chain_text
from tests.support import EXAMPLES, base_text

RIGHT_TO_LEFT = "דגם ארוך עם שם בעברית"
WIDE_LETTERS = "荷台の左の電池と前の箱の中の予備の電池"


def _hits(text: str) -> list[Hit]:
    document = parse(text.encode(), "bike.yaml")
    assert isinstance(document, Document)
    return hits(document, ("XT60",))


def command_pages() -> Iterator[tuple[str, str]]:
    """What each command that draws bars or charts hands over, and one at stop."""
    track = load_track((EXAMPLES / "skerry-round.gpx").read_bytes(), "skerry-round.gpx")
    shop = load_shop((EXAMPLES / "workshop" / "packyoke-shop.yaml").read_bytes(), "shop")
    assert isinstance(track, Track)
    assert isinstance(shop, Shop)
    long = chain_text(3, long=True, wide=True, rides=3, chargers=3)
    plain = base_text("skerry-long-tail")
    turned = plain.replace("keel", RIGHT_TO_LEFT).replace("pannier", WIDE_LETTERS)
    for kind, text in (("short", plain), ("long", long), ("right-to-left", turned)):
        build, other = built(text), built(text.replace("25 A", "18 A").replace("18 A,", "17 A,"))
        volts = ",".join(f"{name}={50.1 + at / 10}" for at, name in enumerate(build.packs))
        compared = compare_view(build, other, None, TODAY)
        assert compared is not None
        yield f"range-{kind}", page_html(range_page(range_view(build, need="60 km", sensitivity=True)))
        yield f"route-{kind}", page_html(route_page(route_view(build, track)))
        yield f"charge-{kind}", page_html(charge_page(charge_view(build)))
        yield f"meter-{kind}", page_html(meter_page(meter_view(build, Typed(volts=volts))))
        yield f"compare-{kind}", page_html(compare_page(compared))
        yield f"check-{kind}", page_html(check_page(check(build, today=TODAY)))
        yield f"rundown-{kind}", page_html(rundown_page(rundown_view(build)))
        plan = planned(build, None, None)
        assert isinstance(plan, Plan)
        yield f"plan-{kind}", page_html(plan_page(plan_view(build, plan, TODAY)))
        yield f"find-{kind}", page_html(find_page(_hits(text), "XT60", 1, ["other.yaml: cannot be read"]))
    yield "shelf", page_html(shelf_page(tables("", shop.items), "1"))
    yield "rules", page_html(rules_page(all_pages()))
    stopped = built(base_text("quay-plain-trike"))
    yield "charge-at-stop", page_html(charge_page(charge_view(stopped)))
    yield "meter-at-stop", page_html(meter_page(meter_view(stopped, Typed(volts="old=53.9,new=49.2"))))
    yield "range-at-stop", page_html(range_page(range_view(built(base_text("quay-plain-trike")))))
    parcel = built(base_text("counter/parcel-bike"))
    yield "quote", page_html(quote_page(quote_view(parcel, shop, reach="60 km", today=TODAY)))
    yield "why", page_html(rule_page(next(each for each in all_pages() if each.name == "packs-rush")))
