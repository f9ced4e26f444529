"""What the lists and the tests of a work sheet ask of the build: its parts by what the bench calls them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import Harness, harness
from packyoke.analysis.harness.sets import units
from packyoke.answers.sheet.called import Signs
from packyoke.core.paths import PartPath
from packyoke.core.units import Kind, show
from packyoke.model import Build, Lead


@dataclass(frozen=True, slots=True)
class Bench:
    """The completed `build`; `case` has what is not known at the values that printed numbers count with."""

    build: Build
    case: Case
    system: str
    numbers: dict[str, int]
    called: Signs

    @property
    def drawing(self) -> Harness:
        return harness(self.case)

    def name(self, name: str) -> str:
        return self.called.short(name)

    def lead(self, name: str) -> str:
        return self.called.lead(name, self.numbers[name])

    def volts(self, name: str) -> dict[str, Any]:
        """Cut-off and full charge of a pack [V], None where not known, and which of them are not in the file."""
        attrs = ("cut_off_v", "full_charge_v")
        found: dict[str, Any] = {attr: getattr(self.case.build.packs[name], attr) for attr in attrs}
        return {**found, "assumed": [attr for attr in attrs if getattr(self.build.packs[name], attr) is None]}

    def pack_v(self, name: str) -> tuple[str, str]:
        """Cut-off and full charge of a pack, in words; `about` where it is not in the file."""
        low, full = (self._volts(name, attr) for attr in ("cut_off_v", "full_charge_v"))
        return low, full

    def _volts(self, name: str, attr: str) -> str:
        value = getattr(self.case.build.packs[name], attr)
        about = "about " if getattr(self.build.packs[name], attr) is None else ""
        return f"{about}{show(value, Kind.VOLTAGE)}" if value is not None else "not known"

    def unit(self, name: str) -> tuple[str, ...]:
        """The pack with those that it is joined to for good."""
        return next(each for each in units(self.build) if name in each)

    def packs_in(self, name: str) -> str:
        """What is plugged in where a pack is needed, once those that are joined for good are joined."""
        return " + ".join(map(self.name, self.unit(name)))

    def units_behind(self, path: PartPath) -> list[tuple[str, ...]]:
        """The packs behind a part, those that are joined for good together: one of them is plugged in."""
        return [*dict.fromkeys(map(self.unit, self.drawing.packs_behind[path]))]

    def span_v(self, name: str) -> str:
        low, full = self.pack_v(name)
        return f"{low.removesuffix(' V')} to {full}"

    def pack_for(self, path: PartPath) -> str:
        """The pack that a part is tested with, in words."""
        behind = self.units_behind(path)
        return self.packs_in(behind[0][0]) if len(behind) == 1 else "any behind it"

    def packs_for(self, path: PartPath) -> list[list[str]]:
        """The packs that a part is tested with: any one of those named."""
        return [[*each] for each in self.units_behind(path)]

    def between(self, lead: Lead) -> dict[str, Any]:
        """A lead and the parts at its ends, by their names in the file."""
        return {"lead": lead.name, "number": self.numbers[lead.name], "source": lead.source, "target": lead.target}

    def reads(self, pack: str) -> dict[str, Any]:
        """What a pack itself may read [V], and whether one end of that is not in the file."""
        found = self.volts(pack)
        return {"low_v": found["cut_off_v"], "high_v": found["full_charge_v"], "assumed": bool(found["assumed"])}

    def cables(self) -> list[Lead]:
        return [lead for lead in self.build.leads.values() if lead.path in self.drawing.packs_behind]
