"""A pack that is swollen, wet, dropped, opened, rebuilt or recalled does not go onto a bike.

What
    Somebody looked at the pack and found more than a sound pack shows.
Why
    Lithium cells that were bent, soaked, shorted inside or put together by an unknown hand can
    burn hours or weeks later, on the bike or in the house, and a fire in one pack lights the next.
    In parallel a sick pack is also fed or loaded by the sound ones.
Limit
    condition: sound, after a look at the case, the seals, the contacts and the maker's notices.
    Anything else is a stop; nobody having looked is an open question.
Do
    Take it out of use and keep it away from anything that burns. A pack that its maker, or who
    rebuilt it, has tested and vouches for in writing may be described as sound.
Rider notices
    pack bulges or no longer slides in; rattles; smells sweet; was in water; fell; gets hot at rest; battery
    got wet or soaked; pack is swollen or puffy; pack fell; pack hisses; pack gets hot while nobody uses it;
    pack smokes; case of the pack splits; somebody opened the pack
Fails
    in skerry-long-tail
    packs.keel.condition: swollen
Passes
    in skerry-long-tail
    packs.keel.condition: sound
Sources
    Public fire-safety advice (common practice).
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.core.findings import Severity
from packyoke.model import Pack, known
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.readings import heeding_readings
from packyoke.rules.rule import Rule, packs

AWAY = "Take it out of use, keep it outdoors on stone, and hand it to a collection point for damaged lithium packs."
CONDITIONS = {
    "swollen": ("Gas in the cells means that they are damaged inside: it can catch fire without warning.", AWAY),
    "wet": ("Water inside eats the connections and shorts cells slowly: it can catch fire weeks later.", AWAY),
    "dropped": (
        "A blow can bend cells together inside without a mark on the case: it can catch fire later.",
        "Take it out of use until its maker has tested it; otherwise to a collection point for damaged lithium packs.",
    ),
    "opened": (
        "Nobody knows what was changed or touched inside: the protection may no longer protect.",
        "Have its maker test it, or use another pack.",
    ),
    "rebuilt": (
        "Cells, welds and protection settings are no longer the maker's: how it fails is not known.",
        "Use another pack, or have who rebuilt it test it and vouch for it in writing.",
    ),
    "recalled": (
        "The maker or an authority has called it back because packs like it have failed.",
        "Do not charge or ride it; follow the recall notice.",
    ),
}


def check(case: Case, pack: Pack) -> Outcome:
    condition = known(pack.condition, pack, "condition")
    if condition == "sound":
        return PASSED
    why, do = CONDITIONS[condition]
    return Failed(severity=Severity.STOP, message=f"{condition}: not for use", why=why, do=do, field="condition")


RULE = heeding_readings(
    Rule(
        name="pack-unsound",
        kind="danger",
        doubt="whether it is sound: condition not given",
        page=__doc__ or "",
        basis=("public fire-safety advice, common practice",),
        parts=packs,
        check=check,
    )
)
