"""What a value may be when the file does not say: the ends of its span, and what to count with meanwhile.

Plain spans stand in the field table. Those that follow from other fields are worked out here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from math import inf
from typing import Any

from packyoke.core.constants import AH_C, WH_J
from packyoke.core.paths import is_lead, name_of, owner_of
from packyoke.model import FITTED, NONE, Build, Charger, Controller, Fuse, Joiner, Key, Lead, Pack, Part, known
from packyoke.model.field import MUST, SPAN
from packyoke.model.fields import SUBPARTS, field_for, field_of, part_kind
from packyoke.model.parts import Accessory
from packyoke.shelf import chemistry as cells
from packyoke.shelf import fuses, marks, mounts

BRAKES_A = (0.1, 200.0)
"""A braking current that is not in the file: the bounds of the file."""
SMALL_TAP_FUSE_A = 5.0
"""Above this the wire of a tap is asked for: it was chosen for its fuse. Judgement, as the rules have it."""
OHMIC_SHARE = 0.65
"""What a pack's resistance is in the first moment, of that after 10 s: the least of three published cells, computed
(0.67, 0.81, 0.82)."""
LAYERED_FULL_V = 4.2
"""Full charge of the cells that settings of controllers are told for."""
FOLLOWED = ("chemistry", "series", "full_charge_v", "capacity_coulomb", "type", "family")
"""Fields from which the spans of others follow."""


def ends(build: Build, part: Part, attr: str) -> tuple[Any, ...]:
    """The values that a missing field may have, enough of them to try the best and the worst for any rule.

    A span that follows from other fields is never beyond what may be written: the one of a field of which nothing else
    is known holds all that it may be. What follows as one value is that.
    """
    field = field_for(part.path, attr)
    special = _SPECIAL.get((type(part), attr))
    found = special(build, part) if special is not None else ()
    if len(found) < 2 or not isinstance(found[0], float) or field.low is None or field.high is None:
        return found or field.ends
    return tuple([min(max(value, field.low), field.high) for value in found])


def likely(build: Build, part: Part, attr: str) -> Any:
    """The value that printed numbers count with: the guess if there is one, else the middle of the span."""
    guess = build.guesses.get(Key(part.path, attr))
    if guess is not None:
        return guess
    choice = ends(build, part, attr)
    if attr == "series" and isinstance(part, Pack) and part.label_v and part.chemistry:
        cell = _cell(part.chemistry)
        rows, count = _rows(cell, part.label_v), part.label_v / cell.nominal_v
        return min(choice, key=lambda each: (bool(rows) and each not in rows, abs(each - count)))
    if attr == "regen_stops_at_v":
        return choice[-1]  # voltages are worked out as if it never stopped
    if len(choice) == 2 and all(isinstance(value, float) for value in choice):
        return (choice[0] + choice[1]) / 2
    return choice[0]


def first_asked(part: Part, attr: str) -> tuple[Part, str]:
    """The field that somebody would look up to know another: the full charge follows from cells and chemistry."""
    if isinstance(part, Pack) and attr == "full_charge_v" and part.charger_label_v is None:
        if part.chemistry is None:
            return part, "chemistry"
        if part.series is None:
            return part, "series"
    return part, attr


def missing_fields(build: Build) -> Iterator[Key]:
    """Every field of a part that a verdict may need and that is not known, those first from which others follow."""
    return (Key(part.path, attr) for part in _parts(build) for attr in _missing(part))


def filled(build: Build, choose: Callable[[str, tuple[Any, ...]], Any]) -> tuple[Build, tuple[tuple[Key, Any], ...]]:
    """The build with everything that is missing at what is chosen, by the name of the field and its ends, and what was
    filled in; what has no ends stays missing."""
    found: list[tuple[Key, Any]] = []
    for part in _parts(build):
        now = part
        for attr in _missing(part):
            values = ends(build, now, attr)
            if values:
                value = choose(attr, values)
                found.append((Key(part.path, attr), value))
                now = now.but(**{attr: value})
        if now is not part:
            build = build.with_part(part.path, now)
    return build, tuple(found)


def _missing(part: Part) -> Iterator[str]:
    for attr in _attrs(part):
        not_there = attr == "charge_a" and isinstance(part, Pack) and not part.charges_at_outlet
        if getattr(part, attr) is None and not not_there:
            yield attr


def _attrs(part: Part) -> tuple[str, ...]:
    """What a verdict may need of a part, those first from which others follow."""
    owner = part_kind(part.path)
    found = _ATTRS.get(owner)
    if found is None:
        known = tuple(type(part).__dataclass_fields__)
        attrs = [attr for attr in FOLLOWED if attr in known] + [attr for attr in known if attr not in FOLLOWED]
        fields = [(attr, field_of(owner, attr)) for attr in attrs]
        needed = (attr for attr, field in fields if field and field.need in (MUST, SPAN) and field.attr == attr)
        found = _ATTRS[owner] = tuple(needed)
    return found


_ATTRS: dict[str, tuple[str, ...]] = {}


def _parts(build: Build) -> Iterator[Part]:
    yield build.bike
    for section in (
        build.packs,
        build.joiners,
        build.leads,
        build.controllers,
        build.accessories,
        build.chargers,
        build.racks,
    ):
        for part in section.values():
            yield part
            for attr in SUBPARTS:
                inside = getattr(part, attr, None)
                if isinstance(inside, Part):
                    yield inside


def _chemistries(build: Build, part: Part) -> tuple[Any, ...]:
    assert isinstance(part, Pack)
    names = cells.chemistry_names()
    if part.full_charge_v or part.charger_label_v:
        return tuple(dict.fromkeys(cell.name for cell, _ in _makes(part))) or names
    return names


def _cell(name: str) -> cells.Chemistry:
    found = cells.chemistry(name)
    assert found is not None, f"the reader lets no other chemistry in: {name}"
    return found


def _makes(pack: Pack) -> list[tuple[cells.Chemistry, int]]:
    """The chemistries and series counts that a pack may be made of, by what is written; none where nothing tells."""
    names = (pack.chemistry,) if pack.chemistry else cells.chemistry_names()
    full_v = pack.full_charge_v or pack.charger_label_v
    found = []
    for cell in map(_cell, names):
        if pack.series:
            counts: tuple[int, ...] = (pack.series,)
        elif full_v:
            counts = (max(1, round(full_v / cell.full_v)),)
        elif pack.label_v:
            counts = _sold_as(cell, pack.label_v)
        else:
            counts = ()
        found += [
            (cell, count) for count in counts if not full_v or abs(full_v / count - cell.full_v) <= cells.AGREE_V + 1e-9
        ]
    return found


def _sold_as(cell: cells.Chemistry, label_v: float) -> tuple[int, ...]:
    """Series counts of packs that are sold under a label, and one cell fewer and more: a label is no count."""
    counts = _rows(cell, label_v) or [max(3, round(label_v / cell.nominal_v))]
    return tuple(range(min(counts) - 1, max(counts) + 2))


def _rows(cell: cells.Chemistry, label_v: float) -> list[int]:
    return [row.series_count for row in cells.series_rows() if cell.name in row.chemistries and label_v in row.labels_v]


def _series(build: Build, part: Part) -> tuple[Any, ...]:
    """By what is written on the pack; where nothing is, it may well be of the kind that the others are of."""
    assert isinstance(part, Pack)
    if not part.chemistry:
        return ()
    counts = {count for _, count in _makes(part)}
    if not counts and (like := {count for other in _others(build, part) for _, count in _makes(other)}):
        counts = {*like, *field_for(part.path, "series").ends}
    return tuple(sorted(counts))


def _others(build: Build, part: Pack) -> list[Pack]:
    return [pack for pack in build.packs.values() if pack.path != part.path]


def _full_charge(build: Build, part: Part) -> tuple[Any, ...]:
    assert isinstance(part, Pack)
    if part.series and part.chemistry:
        return (part.series * _cell(part.chemistry).full_v,)
    if part.charger_label_v:
        return (part.charger_label_v,)
    full_v = [count * cell.full_v for cell, count in _makes(part)]
    return (min(full_v), max(full_v)) if full_v else ()


def _cut_off(build: Build, part: Part) -> tuple[Any, ...]:
    assert isinstance(part, Pack)
    spans_v = [(count * cell.cut_off_v[0], count * cell.cut_off_v[1]) for cell, count in _makes(part)]
    return (min(low for low, _ in spans_v), max(high for _, high in spans_v)) if spans_v else ()


def _resistance(build: Build, part: Part) -> tuple[Any, ...]:
    assert isinstance(part, Pack)
    counts = [count for _, count in _makes(part)]
    if not counts or not part.capacity_coulomb:
        return ()
    spans_ohm = [
        cells.pack_resistance_span_ohm(n, part.capacity_coulomb, part.cells) for n in (min(counts), max(counts))
    ]
    return spans_ohm[0][0], spans_ohm[1][1]


def _charge(build: Build, part: Part) -> tuple[Any, ...]:
    assert isinstance(part, Pack)
    if not part.capacity_coulomb:
        return ()
    capacity_ah = part.capacity_coulomb / AH_C
    return 0.2 * capacity_ah, 0.5 * capacity_ah


def nominal_energy_j(pack: Pack) -> float | None:
    """Energy of a pack as its label counts it: nominal voltage times capacity [J]; None when it cannot be told."""
    if not pack.series or not pack.chemistry or not pack.capacity_coulomb:
        return None
    return pack.series * _cell(pack.chemistry).nominal_v * pack.capacity_coulomb


def known_energy_j(pack: Pack) -> float:
    """The same of a pack of which it is needed. Raises Unknown for the first that is missing of what it hangs on."""
    for attr in ("chemistry", "series", "capacity_coulomb"):
        known(getattr(pack, attr), pack, attr)
    return known(nominal_energy_j(pack), pack, "capacity_coulomb")


def _pack_mass(build: Build, part: Part) -> tuple[Any, ...]:
    assert isinstance(part, Pack)
    energy_j = nominal_energy_j(part)
    if energy_j is None:
        return ()
    energy_kwh = energy_j / WH_J / 1000
    return 5.0 * energy_kwh, 6.0 * energy_kwh


def _low_voltage_cut(build: Build, part: Part) -> tuple[Any, ...]:
    """2.5 to 3.3 V for every cell of 4.2 V, and that share of the full charge for others: a controller is set for the
    voltage of its packs, not for their cells."""
    assert isinstance(part, Controller)
    full = [count * cell.full_v / LAYERED_FULL_V for pack in build.packs.values() for cell, count in _makes(pack)]
    if not full:
        return ()
    return max(part.voltage_min_v, 2.5 * min(full)), max(part.voltage_min_v, 3.3 * max(full))


def _regen(build: Build, part: Part) -> tuple[Any, ...]:
    if "regen_a" in part.spans and build.guesses.get(Key(part.path, "regen_a")) != 0.0:
        # It brakes, with a current that is not in the file or only guessed.
        return BRAKES_A
    return (0.0, 10.0) if build.bike.drive_type in (None, "direct-drive hub") else (0.0,)


def _stops_braking(build: Build, part: Part) -> tuple[Any, ...]:
    """At the full charge of the lowest pack, or never."""
    full_v = [
        full_v
        for pack in build.packs.values()
        for full_v in ((pack.full_charge_v,) if pack.full_charge_v else _full_charge(build, pack))
    ]
    field = field_for(part.path, "regen_stops_at_v")
    return min(full_v, default=field.low), field.high


def _joiner_resistance(build: Build, part: Part) -> tuple[Any, ...]:
    assert isinstance(part, Joiner)
    return {"ideal-diode": (0.001, 0.005), "plain": (0.0002, 0.001), "selector": (0.0005, 0.003)}.get(
        part.type or "", ()
    )


def _joiner_type(build: Build, part: Part) -> tuple[Any, ...]:
    assert isinstance(part, Joiner)
    return ("ideal-diode", "diode") if part.tested else field_for(part.path, "type").ends


def _mount(build: Build, part: Part) -> tuple[Any, ...]:
    return mounts.mount_names()


def _fuse_voltage(build: Build, part: Part) -> tuple[Any, ...]:
    assert isinstance(part, Fuse)
    family = fuses.fuse_family(part.family) if part.family else None
    if family is None:
        return ()
    twin_v = marks.ac_twin_v(family.name)
    # Unread, it may as well be the one for a.c.: the same body, and nobody knows what it does on d.c.
    return family.voltage_v if twin_v is None else (*family.voltage_v, twin_v)


def _fuse_breaking(build: Build, part: Part) -> tuple[Any, ...]:
    assert isinstance(part, Fuse)
    family = fuses.fuse_family(part.family) if part.family else None
    if family is not None and family.breaking_a is not None and (part.voltage_v or 0.0) <= family.voltage_v[1]:
        return family.breaking_a
    field = field_for(part.path, "breaking_a")
    return field.low, field.high


def _fuse_rating(build: Build, part: Part) -> tuple[Any, ...]:
    """In a lead that several packs feed the worst is one that lets through what their fuses do together: it stands for
    them all, and a larger one changes nothing."""
    if not is_lead(part.path):
        return ()
    low_a, high_a = field_for(part.path, "rating_a").ends
    into: dict[str, list[Lead]] = {}
    for lead in build.leads.values():
        into.setdefault(lead.target, []).append(lead)
    together_a = _let_through_a(build, build.leads[name_of(owner_of(part.path))].source, into, {})
    return (low_a, together_a, high_a) if low_a < together_a < high_a else ()


def _let_through_a(build: Build, name: str, into: Mapping[str, list[Lead]], found: dict[str, float]) -> float:
    """What the fuses behind a pack's outlet or a joiner's let through together [A]; endless where one is missing."""
    if name in found:
        return found[name]
    found[name] = inf  # while it is looked into: what feeds itself
    if name in build.packs:
        found[name] = _marked_a(build.packs[name].fuse)
    else:
        each = [
            min(_marked_a(lead.fuse), _let_through_a(build, lead.source, into, found)) for lead in into.get(name, ())
        ]
        one_at_a_time = name in build.joiners and build.joiners[name].type == "selector"
        found[name] = max(each, default=0.0) if one_at_a_time else sum(each)
    return found[name]


def _marked_a(fuse: Fuse) -> float:
    return inf if fuse.presence != FITTED or fuse.rating_a is None else fuse.rating_a


def _plug(build: Build, part: Part) -> tuple[Any, ...]:
    """What somebody guesses, the plug of any other charger, any socket of a pack, its outlet too, or one that nothing
    else has."""
    others = [each.plug for each in build.chargers.values() if each.path != part.path and each.plug]
    ends = [end for pack in build.packs.values() for end in (pack.charge_inlet, pack.outlet)]
    sockets = [end.family for end in ends if end is not None and end.plus != "joint"]
    guess = build.guesses.get(Key(part.path, "plug"))
    seen = tuple(dict.fromkeys((*([guess] if guess else []), *others, *sockets))) or ("the plug of the others",)
    return *seen, f"a plug that only {part.name} has"


def _racks(build: Build, part: Part) -> tuple[Any, ...]:
    return (*build.racks, NONE) if build.racks else (NONE,)


def _tap_gauge(build: Build, tap: Part) -> tuple[Any, ...]:
    """The wire of a tap; with a fuse that is not small it may be thicker than usual."""
    assert isinstance(tap, Accessory)
    thin, usual = field_for(tap.path, "gauge").ends
    large = tap.fuse.rating_a is not None and tap.fuse.rating_a > SMALL_TAP_FUSE_A
    return (thin, usual._replace(size=10.0) if large else usual)


_SPECIAL: dict[tuple[type[Part], str], Callable[[Build, Part], tuple[Any, ...]]] = {
    (Pack, "chemistry"): _chemistries,
    (Pack, "series"): _series,
    (Pack, "full_charge_v"): _full_charge,
    (Pack, "cut_off_v"): _cut_off,
    (Pack, "resistance_ohm"): _resistance,
    (Pack, "charge_a"): _charge,
    (Pack, "mass_kg"): _pack_mass,
    (Pack, "rack"): _racks,
    (Controller, "low_voltage_cut_v"): _low_voltage_cut,
    (Controller, "regen_a"): _regen,
    (Controller, "regen_stops_at_v"): _stops_braking,
    (Joiner, "type"): _joiner_type,
    (Joiner, "resistance_ohm"): _joiner_resistance,
    (Joiner, "mount"): _mount,
    (Fuse, "rating_a"): _fuse_rating,
    (Fuse, "voltage_v"): _fuse_voltage,
    (Fuse, "breaking_a"): _fuse_breaking,
    (Charger, "plug"): _plug,
    (Accessory, "gauge"): _tap_gauge,
}
