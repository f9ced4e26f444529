"""Rundowns of whole builds: what is read, what is filled in, what is refused."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.energy import Endings, endings
from packyoke.analysis.discharge.rundown import Draw, NoRundown, Rundown, SetLine, as_set, rundown, summary
from packyoke.analysis.unknowns.filled import filled
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.rundowns import assert_balanced, audited
from tests.support import edited


@pytest.fixture(autouse=True)
def breaches() -> Iterator[list[float]]:
    """Every solve of every test here is audited."""
    with audited() as found:
        yield found


def built(name: str, put: dict[str, object] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited(name, put, drop), "test.yaml")
    assert isinstance(build, Build), build
    return Case(build)


def ran(case: Case, *packs: str, **more: object) -> Rundown:
    found = rundown(case, packs, **more)  # type: ignore[arg-type]
    assert isinstance(found, Rundown), found
    assert_balanced(found)
    return found


class TestBuild:
    def test_one_pack_against_its_ending(self) -> None:
        """The states of charge at which a pack alone reaches the controller's cut: worked out on the curve in `energy`,
        without steps. The lamp, on a joiner, is drawn from the outlet there and of the node here: left out."""
        case = built("skerry-long-tail", {}, ("accessories",))
        run = ran(case, "keel")
        ends = endings(case, "controller", "keel")
        assert isinstance(ends, Endings)
        assert run.packs[0].end_fraction == pytest.approx(ends.warm.cut, abs=1e-5)
        given_j = (ends.warm.energy_v(1.0) - ends.warm.energy_v(ends.warm.cut)) * 20 * 3600
        assert run.packs[0].energy_out_j == pytest.approx(given_j, rel=1e-5)

    def test_what_leads_and_joiners_see(self) -> None:
        run = ran(built("skerry-long-tail"), "keel", "pannier")
        assert {*run.passed} == {"leads.keel lead", "leads.pannier lead", "leads.main lead", "joiners.yoke"}
        assert run.draw == Draw(current_a=25.0)
        assert run.passed["leads.main lead"].peak_a == pytest.approx(25.0)
        # The lamp of 0.5 A hangs on the joiner's outlet.
        assert all(sum(sample.currents_a) == pytest.approx(25.5) for sample in run.series)
        assert run.passed["joiners.yoke"].peak_a == max(pack.peak_a for pack in run.packs)
        assert run.label_energy_j == pytest.approx((20 + 13) * 3600 * 14 * 3.6)
        assert run.usable_fraction == run.energy_to_load_j / run.label_energy_j
        assert sum(pack.share for pack in run.packs) == pytest.approx(1.0)
        assert run.assumed == ()

    def test_a_set_leaves_the_others_out(self) -> None:
        case = built("breakwater-three-packs")
        (one, two, three) = (ran(case, *some) for some in (("box",), ("north", "box"), ("north", "south", "box")))
        assert one.energy_to_load_j < two.energy_to_load_j < three.energy_to_load_j
        assert "leads.north lead" not in one.passed

    def test_order_of_the_set_changes_nothing(self) -> None:
        case = built("breakwater-three-packs")
        runs = [ran(case, *some, start={"box": 0.7}) for some in permutations(("north", "south", "box"))]
        first = {pack.name: pack for pack in runs[0].packs}
        for run in runs[1:]:
            assert run.duration_s == pytest.approx(runs[0].duration_s, abs=1e-6)
            for pack in run.packs:
                assert pack.energy_out_j == pytest.approx(first[pack.name].energy_out_j, rel=1e-9)

    def test_cold_and_age_take_their_part(self) -> None:
        case = built("skerry-long-tail", {}, ("accessories",))
        warm, cold, old = (
            ran(case, "keel", "pannier"),
            ran(case, "keel", "pannier", temperature_k=263.15),
            ran(case, "keel", "pannier", health_fraction=0.8),
        )
        # -10 degC: 0.80 of the charge against 0.98 at 20 degC, before what the resistance costs (x 3.75).
        assert cold.energy_to_load_j < 0.80 / 0.98 * warm.energy_to_load_j
        assert old.energy_to_load_j < 0.8 * warm.energy_to_load_j
        first = [run.series[0].bus_v for run in (warm, cold, old)]
        assert first[0] > first[2] > first[1]

    def test_a_tested_capacity_counts_as_tested(self) -> None:
        tested = built("skerry-long-tail", {"packs.keel.tested_capacity": "16 Ah"})
        marked = built("skerry-long-tail", {"packs.keel.capacity": "16 Ah"})
        ours, theirs = ran(tested, "keel", health_fraction=0.7), ran(marked, "keel")
        assert ours.energy_to_load_j == pytest.approx(theirs.energy_to_load_j)
        assert ours.label_energy_j == pytest.approx(theirs.label_energy_j * 20 / 16)

    def test_full_is_where_the_charger_leaves_it(self) -> None:
        case = Case(built("skerry-long-tail").build.with_value("packs.keel", "full_charge_v", 57.4))
        # 57.4 V over 14 cells is 4.10 V: between 90 % (4.085 V) and 95 % (4.113 V) of the table.
        assert 0.90 < ran(case, "keel").packs[0].start_fraction < 0.95

    def test_packs_joined_at_rest(self) -> None:
        run = ran(built("quay-plain-trike"), "old", "new", start={"old": 0.5, "new": 0.8}, load=Draw(current_a=0.0))
        assert run.ended == "level"
        assert [pack.end_fraction for pack in run.packs] == pytest.approx([0.65, 0.65], abs=2e-3)
        assert run.passed["leads.main lead"].peak_a == pytest.approx(0.0, abs=1e-9)
        assert run.passed["leads.old lead"].peak_a > 5.0

    def test_power_as_the_load(self) -> None:
        run = ran(built("skerry-long-tail"), "keel", load=Draw(power_w=300.0))
        assert run.energy_to_load_j == pytest.approx(300.0 * run.duration_s)

    def test_the_makers_joiner_has_no_lead_of_ours(self) -> None:
        run = ran(built("sluice-second-port"), "frame pack", "added pack")
        assert run.ended == "controller cuts"
        assert ("packs.added pack", "resistance_ohm") in run.assumed

    def test_summary_is_the_rundowns_in_lines(self) -> None:
        case = built("breakwater-three-packs")
        sets = [("north",), ("north", "box")]
        lines = summary(case, sets, start={"box": 0.6})
        for packs, line in zip(sets, lines, strict=True):
            run = ran(case, *packs, start={"box": 0.6} if "box" in packs else {})
            assert isinstance(line, SetLine)
            assert (line.packs, line.duration_s, line.ended) == (packs, run.duration_s, run.ended)
            assert line.energy_to_load_j == run.energy_to_load_j
        assert isinstance(lines[1], SetLine)
        assert [name for name, _ in lines[1].begins] == ["north", "box"]
        assert lines[1].begins[1][1] > 0.0


FRONT, REAR = "controllers.front motor", "controllers.rear motor"


@pytest.mark.parametrize(
    ("put", "drop", "draw"),
    [
        ({}, (), Draw(15.0 + 20.0)),
        ({f"{FRONT}.power_limit": "500 W"}, (), Draw(15.0, 500.0, besides_a=20.0)),
        (
            {f"{FRONT}.power_limit": "500 W", f"{FRONT}.battery_current": {"limit": "15 A", "adjustable_to": "18 A"}},
            (),
            Draw(18.0, 500.0, besides_a=20.0),
        ),
        (
            {
                f"{FRONT}.power_limit": "500 W",
                f"{FRONT}.battery_current": {"limit": "15 A", "falls_to": "9 A after 60 s"},
            },
            (),
            Draw(9.0, 500.0, besides_a=20.0),
        ),
        ({f"{FRONT}.power_limit": "500 W", f"{REAR}.power_limit": "700 W"}, (), Draw(35.0, 1200.0)),
        (
            {f"{FRONT}.power_limit": "500 W", f"{REAR}.power_limit": "700 W"},
            (f"{FRONT}.battery_current",),
            Draw(None, 1200.0),
        ),
        (
            {f"{FRONT}.power_limit": "500 W", f"{REAR}.power_limit": "700 W"},
            (f"{REAR}.battery_current",),
            Draw(None, 1200.0),
        ),
    ],
    ids=["amps", "watts and amps", "adjustable", "falls", "watts", "front has no amps", "rear has no amps"],
)
def test_two_controllers_draw_what_they_are_set_to_together(
    put: dict[str, object], drop: tuple[str, ...], draw: Draw
) -> None:
    assert as_set(built("two-motors", put, drop), ("front motor", "rear motor"), ("n", "o")) == draw


class TestRefusals:
    @pytest.mark.parametrize(
        ("put", "drop", "refusal"),
        [
            ({}, ("packs.keel.capacity",), ("not known", "packs.keel", "capacity_coulomb")),
            ({}, ("packs.keel.chemistry",), ("not known", "packs.keel", "chemistry")),
            (
                {"packs.keel.chemistry": "LTO", "packs.keel.cut_off": "25 V"},
                (),
                ("no curve", "packs.keel", "chemistry"),
            ),
            ({}, ("controller.battery_current",), ("not known", "controller", "limit_a")),
            ({}, ("leads.keel lead",), ("no harness", "packs.keel", "")),
        ],
        ids=("capacity", "chemistry", "curve", "limit", "harness"),
    )
    def test_names_what_is_missing(
        self, put: dict[str, object], drop: tuple[str, ...], refusal: tuple[str, str, str]
    ) -> None:
        found = rundown(built("skerry-long-tail", put, drop), ("keel",))
        assert isinstance(found, NoRundown)
        assert (found.reason, found.part, found.attr) == refusal

    def test_summary_keeps_the_place_of_a_refusal(self) -> None:
        lines = summary(
            built("skerry-long-tail", {"packs.pannier.chemistry": "LTO", "packs.pannier.cut_off": "25 V"}),
            [("pannier",), ("keel",)],
        )
        assert [type(line) for line in lines] == [NoRundown, SetLine]

    @pytest.mark.parametrize(
        ("packs", "more"),
        [
            ((), {}),
            (("keel", "keel"), {}),
            (("bow",), {}),
            (("keel",), {"start": {"bow": 0.5}}),
            (("keel",), {"start": {"keel": 1.1}}),
            (("keel",), {"health_fraction": 0.0}),
        ],
        ids=("none", "twice", "unknown", "start of unknown", "overfull", "dead"),
    )
    def test_calls_that_make_no_sense(self, packs: tuple[str, ...], more: dict[str, object]) -> None:
        with pytest.raises(ValueError, match=r"packs|run from 0 to 1"):
            rundown(built("skerry-long-tail"), packs, **more)  # type: ignore[arg-type]


class TestFilled:
    def test_nothing_missing_is_left_alone(self) -> None:
        build = built("skerry-long-tail").build
        assert filled(build) == (build, ())

    def test_middles_of_spans_and_guesses(self) -> None:
        put = {
            "packs.keel.resistance": "110 mohm ?",
            "packs.keel.tested_capacity": "17 Ah ?",
            "packs.keel.capacity": "19 Ah ?",
        }
        build, keys = filled(built("skerry-long-tail", put, ("packs.keel.cut_off",)).build)
        keel = build.packs["keel"]
        assert {attr for path, attr in keys if path == "packs.keel"} == {
            "resistance_ohm",
            "tested_capacity_coulomb",
            "capacity_coulomb",
            "cut_off_v",
        }
        assert (keel.resistance_ohm, keel.tested_capacity_coulomb, keel.capacity_coulomb) == (
            0.11,
            17 * 3600,
            19 * 3600,
        )
        assert keel.cut_off_v == pytest.approx(14 * (2.5 + 3.0) / 2)

    def test_deduced_where_only_one_value_fits(self) -> None:
        build, keys = filled(built("skerry-long-tail").build.with_value("packs.keel", "series", None))
        assert build.packs["keel"].series == 14
        assert ("packs.keel", "series") in keys

    def test_one_that_stays_unknown_hides_no_other(self) -> None:
        drop = ("packs.keel.capacity", "packs.keel.cut_off", "leads.main lead.length")
        build, keys = filled(built("skerry-long-tail", {}, drop).build)
        assert build.packs["keel"].capacity_coulomb is None
        assert {("packs.keel", "cut_off_v"), ("leads.main lead", "length_m")} <= {*keys}


DIODE = {"type": "ideal-diode", "resistance": "5 mohm"}


@pytest.mark.parametrize(("packs", "amp_hours"), [(("frame pack",), 14.0), (("frame pack", "added pack"), 24.4)])
def test_a_joiner_of_the_bike_maker_s_has_its_own_wire_to_the_controller(
    packs: tuple[str, ...], amp_hours: float
) -> None:
    """No lead of the file leads to the controller. 20 A out of so many ampere-hours: little is left at 40 V."""
    said = {f"joiners.frame port.{key}": value for key, value in DIODE.items()}
    put = {**said, "controller.low_voltage_cut": "40 V", "all_leads": {"insulation": "PVC"}}
    run = ran(built("sluice-second-port", put), *packs)
    assert 0.9 * amp_hours < 20.0 * run.duration_s / 3600.0 < amp_hours
