"""The field table as the walk needs it: for each section the keys that a mapping may have and how each is read."""

from __future__ import annotations

from packyoke.buildfile.reading import ends, forms, known_rides, money, names, records, subparts, walk
from packyoke.buildfile.reading.alike import fold
from packyoke.buildfile.reading.walk import ReadValue, Slot, Slots
from packyoke.core.field_paths import keys_of
from packyoke.core.units import Kind
from packyoke.model.field import Field
from packyoke.model.fields import FIELDS

_KINDS = {kind.name.lower().replace("_", " "): kind for kind in Kind}
_READERS: dict[str, tuple[ReadValue, Kind | None]] = {
    **{name: (walk.read_quantity, kind) for name, kind in _KINDS.items()},
    "gauge": (forms.read_gauge, Kind.GAUGE),
    "gauge range": (forms.read_gauge, Kind.GAUGE_RANGE),
    "word": (walk.read_word, None),
    "text": (walk.read_text, None),
    "count": (forms.read_count, None),
    "yes/no": (forms.read_yes_no, None),
    "date": (records.read_date, None),
    "month or day": (records.read_date, None),
    "name": (names.read_name, None),
    "name or none": (names.read_name_or_none, None),
    "names": (names.read_names, None),
    "two names": (names.read_two_names, None),
    "name or list": (names.read_name_or_list, None),
    "list of names": (names.read_sets, None),
    "path": (names.read_path, None),
    "end": (ends.read_end, None),
    "ends": (ends.read_ends, None),
    "end or list": (ends.read_end_or_list, None),
    "fuse": (subparts.read_fuse, None),
    "run": (forms.read_run, None),
    "insulation": (forms.read_insulation, None),
    "assist": (forms.read_assist, None),
    "text or voltage": (forms.read_label, Kind.VOLTAGE),
    "current or none": (forms.read_current_or_none, Kind.CURRENT),
    "speed or none": (forms.read_no_limit, Kind.SPEED),
    "voltage or none": (forms.read_no_limit, Kind.VOLTAGE),
    "voltage or isolates only": (forms.read_breaks, Kind.VOLTAGE),
    "voltage, may be at current": (forms.read_forward, Kind.VOLTAGE),
    "rule": (records.read_rule, None),
    "any quantity": (records.read_found, None),
    "quantity or yes/no": (records.read_later, None),
    "count or length": (money.read_stock, None),
    "money": (money.read_price, Kind.MONEY),
    "money per hour": (money.read_labour, None),
    "per cent": (money.read_per_cent, None),
    "amount": (money.read_amount, None),
    "days": (money.read_days, None),
    "texts": (forms.read_mates, None),
}
_SPECIAL: dict[str, ReadValue] = {
    "joiners.*.drop": forms.read_drop,
    "joiners.*.charge_port": subparts.read_charge_port,
    "joiners.*.built_in": subparts.read_built_in,
    "joiners.*.bonded": subparts.read_bonded,
    "leads.*.switch": subparts.read_switch,
    "controller.regen": subparts.read_regen,
    "chargers.*.plug": forms.read_plug,
    "ride.*.known": known_rides.read_known,
}
_SHORT = {"discharge": "continuous", "current": "continuous", "battery_current": "limit"}
"""A single value in place of these mappings stands for their first field."""
_ALIASES = {
    "bike.drive.type": {"geared hub, locked": "direct-drive hub", "geared hub locked": "direct-drive hub"},
}


def _place(slots: Slots, keys: list[str], field: Field) -> None:
    for key in keys[:-1]:
        slots = slots.setdefault(key, Slot(key)).children
    slot = slots.setdefault(keys[-1], Slot(keys[-1]))
    read_value, kind = _READERS.get(field.kind, (walk.read_nested, None))
    slot.take(field, _SPECIAL.get(field.path, read_value), kind)
    for word, meaning in _ALIASES.get(field.path, {}).items():
        slot.words[fold(word)] = meaning


def _tables() -> dict[str, Slots]:
    tables: dict[str, Slots] = {}
    for field in FIELDS:
        shop, _, path = field.path.rpartition(": ")
        section, *keys = keys_of(path)
        if section == "parts":
            section, keys = "connectors", keys[1:]
        if shop:
            if section == "shelf" and len(keys) > 1:
                section, keys = ("stock", keys) if keys[0] == "*" else (keys[0], keys[1:])
            else:
                section, keys = "shop", [section, *keys]
        elif not keys or section in ("bike", "all_leads"):
            section, keys = ("file", [section]) if not keys else (section, keys)
        if keys and keys[0] in ("*", "NAME"):
            keys = keys[1:]
        if keys:
            _place(tables.setdefault("controllers" if section == "controller" else section, {}), keys, field)
    for section in ("packs", "leads", "accessories"):
        tables[section]["fuse"].children = tables["FUSE"]
    for slots in tables.values():
        for slot in slots.values():
            first = slot.children.get(_SHORT.get(slot.key, ""))
            if first is not None and first.field is not None:
                slot.short = Slot(slot.key)
                slot.short.take(first.field, first.read, first.kind)
    return tables


TABLES = _tables()
