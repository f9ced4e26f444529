"""`packyoke charge` as somebody types it."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from tests.support import EXAMPLES, edited

BUILD = EXAMPLES / "skerry-long-tail.yaml"
PORT = {
    "chargers.counter.through": "yoke",
    "joiners.yoke.charge_port": "{current: 5 A, blocks: each pack, inlet: XT60 socket}",
}
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "charge")


def written(tmp_path: Path, base: str, put: dict[str, Any]) -> Path:
    file = tmp_path / "x.yaml"
    file.write_text(edited(base, put), encoding="utf-8")
    return file


def test_one_screen_with_the_answer_first(run: Run) -> None:
    code, out, _ = run(BUILD, "--from", "keel=20,pannier=60")
    assert code == 0
    assert all(len(line) <= 80 for line in out.splitlines())
    assert out.splitlines()[1].startswith("      YES  keel: counter, about 4 h")
    assert "1 plug change" in out
    assert out.count("\n") < 45


def test_constant_current_by_hand(run: Run) -> None:
    """keel, 20 Ah from 20 % to 80 %: 12 Ah at 4 A are 3 h, all of it before the current falls."""
    data = json.loads(run(BUILD, "--from", "keel=20", "--packs", "keel", "--format", "json")[1])
    assert data["schema"] == "packyoke/charge/1"
    (pair,) = data["pairs"]
    assert pair["to_80_s"] == pytest.approx(3 * 3600.0)
    assert pair["constant_current_to_fraction"] > 0.8
    assert pair["full_s"] > pair["to_80_s"]


def test_no_pack_gets_what_is_too_much_for_it(run: Run) -> None:
    """The shop's charger gives 5 A; box takes 4 A."""
    code, out, _ = run(EXAMPLES / "oakum-draft.yaml")
    assert code == 1
    assert "NO   box" in out
    assert "shop on box: gives 5 A, the pack takes 4 A" in out


def test_the_wrong_voltage_is_named_for_what_it_is(run: Run, tmp_path: Path) -> None:
    """58.8 V on 13 cells: 4.52 V a cell, 4.25 V at the most."""
    put = {"chargers.wrong": "{output: 58.8 V, current: 2 A, plug: XLR 3, fits: []}"}
    _, out, _ = run(written(tmp_path, "breakwater-three-packs", put))
    assert "4.52 V a cell" in out
    assert "its plug goes in all the same" in out


@pytest.mark.parametrize(
    ("output", "says"),
    [
        # 82 % of 58.8 V are 48.216 V; the protection of keel opens at 42 V, where nothing is in it.
        ("48.3 V", "YES keel: counter, about"),
        ("48.2 V", "YES keel: counter may go on it, and hardly charges it. It needs another charger."),
        ("36.5 V", "YES keel: counter may go on it, and hardly charges it. It needs another charger."),
    ],
)
def test_a_charger_for_fewer_cells_is_told_to_hardly_charge(run: Run, tmp_path: Path, output: str, says: str) -> None:
    code, out, _ = run(written(tmp_path, "skerry-long-tail", {"chargers.counter.output": output}))
    assert code == 0
    assert says in " ".join(out.split())


def test_several_at_once_with_the_load_on_the_mains(run: Run, tmp_path: Path) -> None:
    """54.6 V x (4 + 4) A / 0.85 = 513.9 W."""
    put = {"chargers.second": "{like: depot}"}
    _, out, _ = run(written(tmp_path, "breakwater-three-packs", put), "--format", "json")
    data = json.loads(out)
    at_once = {plan["chargers_at_once"]: plan for plan in data["plans"]}
    assert at_once[2]["mains_w"] == pytest.approx(513.9, abs=0.05)
    assert at_once[2]["plug_changes"] == 1
    assert at_once[2]["finish_s"] < at_once[1]["finish_s"]
    _, text, _ = run(written(tmp_path, "breakwater-three-packs", put))
    assert "514 W" in text
    assert "One pack at a time, unless the shop has its own rule" in text


def test_through_a_charge_port_the_lowest_takes_all_of_it_first(run: Run, tmp_path: Path) -> None:
    file = written(tmp_path, "skerry-long-tail", PORT)
    data = json.loads(run(file, "--from", "keel=20,pannier=60", "--format", "json")[1])
    (port,) = data["ports"]
    assert [phase["packs"] for phase in port["phases"]] == [["keel"], ["keel", "pannier"]]
    assert port["finish_s"] >= max(port["full_s"].values())
    assert "takes all the current until it has caught up" in " ".join(run(file)[1].split())


def test_a_port_behind_leads_that_nobody_has_described(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(edited("skerry-long-tail", PORT, drop=["leads.keel lead.gauge", "leads.keel lead.length"]))
    assert len(json.loads(run(file, "--format", "json")[1])["ports"]) == 1


def test_blocked_without_a_port(run: Run, tmp_path: Path) -> None:
    code, out, _ = run(written(tmp_path, "skerry-long-tail", {"chargers.counter.through": "yoke"}))
    assert code == 1
    assert "yoke lets nothing back" in out


@pytest.mark.parametrize(
    ("cold", "said"),
    [("-5 degC", "below 0 degC cells must not be charged"), ("5 degC", "the pack takes half of its limit: 2 A")],
)
def test_cold(run: Run, cold: str, said: str) -> None:
    code, out, _ = run(BUILD, "--cold", cold)
    assert code == 1
    assert said in " ".join(out.split())


def test_an_unknown_is_not_yet(run: Run, tmp_path: Path) -> None:
    """0.2 to 0.5 of 13 Ah are 2.6 to 6.5 A: whether 4 A are too many for the pannier hangs on its label."""
    file = tmp_path / "x.yaml"
    file.write_text(edited("skerry-long-tail", drop=["packs.pannier.charge"], put={"packs.pannier.like": "keel"}))
    file.write_text(file.read_text().replace("like: keel", "chemistry: NMC\n    series: 14"))
    code, out, _ = run(file)
    assert code == 1
    assert "NOT YET  pannier" in out
    assert "pannier: charge" in out


def test_plainly_joined_packs_are_warned_about(run: Run) -> None:
    _, out, _ = run(EXAMPLES / "quay-plain-trike.yaml")
    assert "old and new are plainly joined" in out


def test_no_plan_for_the_night_and_nothing_that_is_promised(run: Run, tmp_path: Path) -> None:
    for file in (BUILD, written(tmp_path, "skerry-long-tail", PORT)):
        _, out, _ = run(file)
        assert "nothing here is a plan for the night" in " ".join(out.split())
        for word in ("certified", "guaranteed", "legal", "up to"):
            assert word not in out


def test_markdown_has_the_same(run: Run) -> None:
    _, out, _ = run(BUILD, "--format", "markdown")
    assert "| counter | keel | YES |" in out
    assert "## Advice" in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--packs", "kel"), "Did you mean keel?"),
        (("--from", "keel=120"), "between 0 and 100 %"),
        (("--from", "keel=-5"), "--from keel"),
        (("--from", "keel=5 A"), "--from keel"),
        (("--from", "keel"), "NAME=VALUE"),
        (("--packs", "keel", "--from", "pannier=5"), "leaves it out"),
        (("--chargers", "couner"), "Did you mean counter?"),
        (("--chargers", "depot"), "Chargers: counter."),
        (("--cold", "5"), "no unit"),
        (("--cold", "500 degC"), "between -50 degC and 70 degC"),
    ],
)
def test_wrong_input_is_2_with_a_sentence(run: Run, arguments: tuple[str, ...], said: str) -> None:
    code, out, err = run(BUILD, *arguments)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


def test_written_to_a_new_file_only(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "card.md"
    assert run(BUILD, "--output", target)[0] == 0
    assert target.read_text(encoding="utf-8").startswith("YES   Skerry mail")
    code, _, err = run(BUILD, "--output", target)
    assert (code, "exists already" in err) == (2, True)
    assert run(BUILD, "--output", target, "--replace")[0] == 0
    assert run(BUILD, "--output", BUILD, "--replace")[0] == 2


def test_every_example_prints(run: Run) -> None:
    for path in sorted(EXAMPLES.glob("*.yaml")):
        for form in ("text", "markdown", "json"):
            code, out, err = run(path, "--format", form)
            if code != 2:
                assert out
                assert form != "text" or max(map(len, out.splitlines())) <= 80
            else:
                assert err


def test_packs_joined_for_good_are_never_charged_apart(packyoke: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    bond = {"joiners.y.bonded": {"by": "0.05 V", "charged": "together"}}
    file.write_text(edited("quay-plain-trike", bond), encoding="utf-8")
    _, out, _ = packyoke("charge", file)
    words = " ".join(out.split())
    assert "old and new are joined for good" in words
    assert "stand apart" not in words


def test_what_is_charged_through_a_joiner_is_not_forgotten_in_the_order(packyoke: Run, tmp_path: Path) -> None:
    port = {
        "joiners.yoke.charge_port": {
            "current": "8 A",
            "blocks": "each pack",
            "inlet": "XT60 socket",
            "reaches": ["keel"],
        },
        "chargers.port": {"output": "58.8 V", "current": "4 A", "plug": "XT60", "through": "yoke", "fits": ["keel"]},
        "chargers.counter.fits": ["pannier"],
    }
    file = tmp_path / "x.yaml"
    file.write_text(edited("skerry-long-tail", port), encoding="utf-8")
    _, out, _ = packyoke("charge", file)
    assert "YES  keel: port" in out
    assert "in all without keel (through the joiner)" in " ".join(out.split())


@pytest.mark.parametrize(("amps", "looked"), [("10", False), ("10.1", True)])
def test_a_socket_of_its_own_of_which_nobody_has_said_what_it_takes(
    packyoke: Run, tmp_path: Path, amps: str, looked: bool
) -> None:
    # Half of 20 Ah an hour is what such packs take at the most; above it the check cautions, and so does the card.
    own = {
        "packs.keel.charge": "none",
        "packs.keel.charge_inlet": "5.5 mm barrel socket",
        "chargers.counter.current": f"{amps} A",
        "chargers.counter.fits": ["keel"],
    }
    large = {"packs.keel.charge_inlet": "dock plug socket", "chargers.counter.plug": "dock plug"}
    file = tmp_path / "x.yaml"
    # The check stops 10 A through a barrel contact, and so does the card; of another plug it says what holds.
    for put, said in ((own, "gives 10"), (own | large, "YES keel: counter")):
        file.write_text(edited("skerry-long-tail", put), encoding="utf-8")
        _, out, _ = packyoke("charge", file, "--packs", "keel")
        assert said in " ".join(out.split())
        assert ("look at its label" in " ".join(out.split())) == looked


def test_a_charger_that_does_not_fill_says_so_and_comes_second(run: Run, tmp_path: Path) -> None:
    """53.3 V on 13 cells are 4.10 V a cell, about 90 % of the charge: the only one that may be used at 0 degC."""
    low = {"chargers.low": "{output: 53.3 V, current: 4 A, plug: GX16, fits: [north, south, box]}"}
    file = written(tmp_path, "breakwater-three-packs", low)
    _, out, _ = run(file)
    assert "YES  north: depot" in out
    _, out, _ = run(file, "--cold", "0 degC")
    assert "YES  north: low" in out
    assert "% charged and not full" in out
    pairs = json.loads(run(file, "--cold", "0 degC", "--format", "json")[1])["pairs"]
    assert all(0.85 < each["end_fraction"] < 0.92 for each in pairs if each["charger"] == "low")


def test_at_stop_no_row_of_the_table_says_yes(run: Run) -> None:
    """The answer is no until the stop is settled: the rows say later, as the lines above them do."""
    code, out, _ = run(EXAMPLES / "quay-plain-trike.yaml")
    assert code == 1
    assert out.startswith("NO ")
    assert "YES" not in out
    assert out.count("LATER") == 4


@pytest.mark.parametrize(("cold", "taken"), [("-50 degC", 1), ("70 degC", 1), ("-50.1 degC", 2), ("70.1 degC", 2)])
def test_the_air_is_taken_up_to_both_ends_of_what_is_said(run: Run, cold: str, taken: int) -> None:
    """At -50 degC and at 70 degC no pack is charged: no. Beyond them the figure is a mistake: 2."""
    code, out, err = run(BUILD, "--cold", cold)
    assert code == taken, out + err
    assert ("between -50 degC and 70 degC" in err) is (taken == 2)
