"""Offers as JSON, schema `packyoke/quote/1`: SI units, money as texts."""

from __future__ import annotations

from typing import Any

from packyoke.answers.bill import bill_json, plain
from packyoke.answers.quote.page import QuoteView, marks, question_words
from packyoke.page import strict
from packyoke.planning.quoting.offers import Offer, Refused

SCHEMA = "packyoke/quote/1"


def quote_json(view: QuoteView) -> str:
    """Everything, all offers of the front."""
    found, wish = view.found, view.found.wish
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "file": view.file,
        "name": view.name,
        "today": view.today,
        "answered": view.answered,
        "enough": found.enough,
        "wish": {
            "ride": wish.ride,
            "reach_m": wish.reach_m,
            "most": None if wish.most is None else plain(wish.most),
            "add": list(wish.add),
        },
        "currency": found.currency,
        "now": {"refused": found.now.reason} if isinstance(found.now, Refused) else _figures(found.now),
        "offers": [
            {"number": number, **_figures(each), "marks": list(marks(found, each)), **bill_json(each)}
            for number, each in enumerate(found.front, 1)
        ],
        "short": found.short,
        "refused": [
            {
                "added": list(each.choice.added),
                "off": list(each.choice.off),
                "reason": each.reason,
                "waits": each.waits,
                "untried": each.untried,
            }
            for each in found.refused
        ],
        "left_out": [{"pack": name, "reason": reason} for name, reason in found.out],
        "choices": found.counted[0],
        "planned": found.counted[1],
        "leads_assumed": found.bike.assumed,
        "inherited": list(view.inherited),
    }
    return strict.written(data)


def _figures(each: Offer) -> dict[str, Any]:
    return {
        "added": list(each.choice.added),
        "off": list(each.choice.off),
        "packs": list(each.build.packs),
        "price": plain(each.price),
        "distance_m": each.distance_m._asdict(),
        "packs_kg": each.mass_kg,
        "open": [question_words(finding) for finding in each.opens],
        "cautions": [question_words(finding) for finding in each.cautions],
    }
