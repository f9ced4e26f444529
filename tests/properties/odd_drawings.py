"""Builds that nobody should draw and that can be drawn all the same: loops, parallel leads, nested bonds, taps."""

from __future__ import annotations

_PACK = (
    "{chemistry: NMC, series: 13, capacity: 14 Ah, resistance: 90 mohm, "
    "discharge: {continuous: 30 A, peak: 45 A for 5 s}, bms: {data: none}, "
    "outlet: XT60 socket, fuse: {rating: 30 A, family: blade}}"
)
_LEAD = "gauge: 12 AWG, length: 300 mm, insulation: silicone, ends: [XT60 pin, XT60 socket]"
_TYPES = {
    "plain": "type: plain, resistance: 1 mohm",
    "diode": "type: diode, forward_voltage: 0.5 V",
    "ideal": "type: ideal-diode, resistance: 2 mohm",
    "selector": "type: selector, resistance: 1 mohm",
    "unknown": "resistance: 1 mohm",
}
_CONTROLLER = "controller: {voltage: {min: 36 V, max: 60 V}, battery_current: 20 A, regen: none, inlet: XT60 pin}"
_FUSE = "fuse: {rating: 30 A, voltage: 58 V, family: blade, breaking: 1000 A}"


def build(leads: list[tuple[str, ...]], kind: str = "plain", more: str = "") -> str:
    """A build file of leads (from, to, and what else the lead says): packs are p0.., joiners y0.., all of a kind."""
    ends = dict.fromkeys(end for lead in leads for end in lead[:2])
    lines = ["packyoke: 1", "name: drawn by hand", "packs:"]
    lines += [f"  {name}: {_PACK}" for name in ends if name.startswith("p")]
    joiners = [name for name in ends if name.startswith("y")]
    lines += ["joiners:"] if joiners else []
    for name in joiners:
        inputs = max(2, sum(lead[1] == name for lead in leads))
        outlets = ", ".join(["XT60 socket"] * max(1, sum(lead[0] == name for lead in leads)))
        says = kind if ":" in kind else _TYPES[kind]
        lines.append(
            f"  {name}: {{{says}, inputs: {inputs}, inlets: XT60 pin, outlet: [{outlets}], charge_port: none}}"
        )
    lines.append("leads:")
    for number, (source, target, *rest) in enumerate(leads):
        lines.append(f"  l{number}: {{from: {source}, to: {target}, {', '.join((*rest, _LEAD))}}}")
    return "\n".join([*lines, _CONTROLLER, more, ""])


_TWO = [("p0", "y0"), ("p1", "y0"), ("y0", "controller", _FUSE)]
_LAMPS = "accessories:\n" + "".join(
    f"  lamp {n}: {{from: {('y0', 'l0', '[p0, p1]', '[l0, y0]')[n % 4]}, current: 0.01 A}}\n" for n in range(100)
)
_LAMP = "accessories: {{lamp: {{from: {}, current: 1 A, gauge: 18 AWG, fuse: {{rating: 3 A, family: blade}}}}}}"
_ROUND = [("p0", "y0"), ("p1", "y1"), ("y0", "y1", _FUSE), ("y1", "y0", _FUSE), ("y0", "controller")]
_NESTED = [("p0", "y1"), ("p1", "y1"), ("p2", "y2"), ("p3", "y2"), ("y1", "y0"), ("y2", "y0"), ("y0", "controller")]
_BOND = "type: plain, resistance: 1 mohm, bonded: {by: 0.05 V, charged: together}"

_DRAWN: dict[str, tuple[list[tuple[str, ...]], str]] = {
    "a joiner that feeds itself": ([*_TWO, ("y0", "y0", _FUSE)], _LAMP.format("y0")),
    "a joiner that only feeds itself": ([("p0", "y0"), ("y0", "y0", _FUSE)], _LAMP.format("l1")),
    "round through two joiners": (_ROUND, _LAMP.format("y1")),
    "round through two joiners, both let out": ([*_ROUND, ("y1", "controller")], _LAMP.format("[y0, y1]")),
    "round through three joiners": (
        [("p0", "y0"), ("y0", "y1"), ("y1", "y2"), ("y2", "y0", _FUSE), ("y2", "controller")],
        _LAMP.format("y2"),
    ),
    "a ring that no pack feeds": ([("p0", "controller"), ("y0", "y1", _FUSE), ("y1", "y0", _FUSE)], _LAMP.format("y0")),
    "two leads side by side": ([("p0", "y0"), ("p0", "y0"), ("p1", "y0"), ("y0", "controller")], ""),
    "two leads side by side between joiners": (
        [("p0", "y0"), ("p1", "y0"), ("y0", "y1", _FUSE), ("y0", "y1"), ("y1", "controller")],
        _LAMP.format("[l2, l3]"),
    ),
    "past a joiner": ([*_TWO, ("p0", "controller")], ""),
    "nested": (_NESTED, ""),
    "a lamp at two points": (_TWO, _LAMP.format("[p0, y0]")),
    "a hundred lamps": (_TWO, _LAMPS),
}

_LED_TO_TWO = build([("p0", "y0"), ("p1", "y0"), ("y0", "left"), ("p0", "right")]).replace(
    "controller: {", "controllers:\n  right: {battery_current: 10 A, regen: none}\n  left: {"
)
_HALF_BUILT_IN = build([("p0", "y1"), ("p1", "y1"), ("p2", "y0"), ("p3", "y0"), ("y0", "controller")]).replace(
    "  y1: {", "  y1: {built_in: {packs: 2, full_charge: 54.6 V, current: 20 A}, "
)
_BEHIND_A_DIODE = build([("p0", "y0"), ("y0", "y1"), ("p1", "y1"), ("y1", "controller")]).replace(
    "  y0: {type: plain, resistance: 1 mohm", "  y0: {type: diode, forward_voltage: 1.2 V"
)
"""Nothing flows from pack to pack at 1 V apart."""
_BESIDE = [("p0", "y0"), ("p1", "y0"), ("y0", "y1"), ("y0", "y1"), ("y1", "controller")]

SHAPES: dict[str, str] = {
    "a pack led to two controllers": _LED_TO_TWO,
    "a built-in joiner without a lead on, beside another": _HALF_BUILT_IN,
    "charged through a joiner with two leads side by side": build(
        _BESIDE, "plain", "chargers: {c: {output: 54.6 V, current: 4 A, through: y0}}"
    ),
    "a diode of 1.2 V before a plain joiner": _BEHIND_A_DIODE,
    "charged through a joiner that no pack reaches": build(
        [*_TWO, ("y1", "y0")], "plain", "chargers: {c: {output: 54.6 V, current: 4 A, through: y1}}"
    ),
    **{
        f"{name}, {kind}": build(leads, kind, more)
        for name, (leads, more) in _DRAWN.items()
        for kind in _TYPES
        if kind in ("plain", "unknown") or "round" in name or "itself" in name
    },
    "nested bonds": build(_NESTED, _BOND),
    "nested bonds that go round": build([*_NESTED, ("y0", "y1")], _BOND),
    "a diode of 1 V": build(_TWO, "type: diode, forward_voltage: 1 V"),
    "a diode of 1.5 V": build(_TWO, "type: diode, forward_voltage: 1.5 V"),
    "no gauge": build(_TWO).replace("gauge: 12 AWG, ", ""),
    "built in, run beside it": build(
        [("p0", "y0", "run: beside l2"), ("p1", "y0", "run: beside l2"), ("y0", "controller", "run: beside l0")],
        "type: ideal-diode, built_in: {packs: 2, full_charge: 54.6 V, current: 20 A}",
    ),
    "built in, no lead on, run beside": build(
        [("p0", "y0", "run: beside l1"), ("p1", "y0", "run: beside l0")], "type: ideal-diode, built_in: yes"
    ),
}
"""Build files by what is odd about them."""
