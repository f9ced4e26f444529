"""Changes the program in small ways, one at a time, and says which changes no test notices.

    python tests/mutate.py ROOM [FILE ...]                  every comparison turned into its opposite
    python tests/mutate.py ROOM --sample 40 [--seed 1]      some of them, always the same
    python tests/mutate.py ROOM FILE:LINE                   those of a line, as it is named for one that is not noticed
    python tests/mutate.py ROOM --kind ends                 `max` for `min` and more kinds: tests/mutants/changes.py
    python tests/mutate.py all --sample 40                  of each room; rules,limits: of some
    python tests/mutate.py ROOM FILE --tests ...            with other tests than the room's, as pytest takes them

The bar is 90 % noticed in every room. No file is changed; how a change is tried stands in tests/mutants/running.py. A
change that runs for more than `--seconds` of computing counts as noticed (an endless loop); so that this is told from
tests that take long, only so many of them are run, the quickest first, as take a third of that without a change. Needs
the extra `test`.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from tests.mutants.changes import KINDS, Mutant, mutants  # noqa: E402
from tests.mutants.running import Tried, attempt_all  # noqa: E402

RULES = "tests/rules/test_cases.py"
PLANNING = tuple(
    f"tests/planning/test_{name}.py"
    for name in (
        "bounds",
        "growing",
        "relaxed",
        "merging",
        "regrouping",
        "labels_kept",
        "score",
        "catalogue",
        "options_by_table",
        "leads_asked",
        "layout_by_table",
        "layout_leads",
        "topology_by_table",
        "dress_by_table",
        "trying_by_table",
        "ready_by_table",
        "finishing_by_table",
        "plan_by_table",
        "taps_planned",
        "quote_search",
        "quote_choices",
        "quote_bounds",
        "quote_bike",
        "said",
        "completing",
        "no_plan",
        "prices",
        "routes",
        "gauges",
        "stuck_by_table",
        "nearby",
        "tolls",
        "offcuts",
        "leads_alike",
        "effort",
        "dress_narrowed",
        "caps_of_the_search",
        "tapped_joiners",
        "quote_as_it_came",
        "drawn_at_many_places",
        "many_packs",
    )
)
READING = tuple(
    f"tests/reading/test_{name}.py"
    for name in (
        "build",
        "composed_names",
        "document",
        "figures_shown",
        "forms",
        "gpx",
        "guesses_kept",
        "heirs_of_a_pack",
        "labels_that_agree",
        "lines_that_hang_together",
        "mistakes",
        "named_in_the_shop",
        "odd_letters",
        "other_names",
        "other_shapes",
        "parts_by_path",
        "places_in_a_text",
        "slips_spoken",
        "text_of_an_offer",
        "turns_of_reader_and_writer",
        "without_libyaml",
    )
)
"""Without the two that hold every field and every odd name: thousands, of which each comes past the same lines."""
CLI = tuple(
    f"tests/cli/test_{name}.py"
    for name in (
        "both_sides",
        "streams_gone",
        "many_files",
        "files_refused",
        "kept_results",
        "read_back",
        "start_talk",
        "why",
        "shelf_find_tidy",
        "shop_file",
        "ways_to_end",
        "shell",
        "help",
        "route",
        "ci",
        "check",
        "compare",
        "compare_many",
        "strict_formats",
        "charge",
        "meter",
        "meter_record",
        "plan",
        "quote",
        "range",
        "rundown",
        "sheet",
        "sheet_workshop",
    )
)
"""Without what starts processes of its own, and without what takes long: it comes past nothing else of the room."""
ROOMS: dict[str, tuple[str, tuple[str, ...]]] = {
    "rules": ("rules", ("tests/rules",)),
    "circuit": (
        "analysis/circuit",
        (
            "tests/analysis/test_good_for.py",
            "tests/analysis/test_margins.py",
            "tests/analysis/test_circuit.py",
            "tests/analysis/test_worst_case.py",
            RULES,
            "tests/analysis/test_flows_oracle.py",
            "tests/analysis/test_currents.py",
            "tests/analysis/test_rundown.py",
            "tests/analysis/test_rundown_build.py",
        ),
    ),
    "limits": (
        "analysis/limits",
        (
            "tests/analysis/test_fusing.py",
            "tests/analysis/test_heat.py",
            "tests/analysis/test_weakest_part.py",
            "tests/analysis/test_margins.py",
            "tests/analysis/test_good_for.py",
            RULES,
            "tests/verdict/test_check.py",
        ),
    ),
    "harness": (
        "analysis/harness",
        (
            "tests/analysis/test_harness.py",
            "tests/analysis/test_joining.py",
            "tests/analysis/test_sets.py",
            "tests/analysis/test_meant.py",
            "tests/planning/test_routes.py",
            "tests/planning/test_taps_planned.py",
            RULES,
        ),
    ),
    "packs": (
        "analysis/packs",
        ("tests/analysis/test_voltages.py", "tests/analysis/test_pack_kinds.py", RULES, "tests/cli/test_meter.py"),
    ),
    "discharge": (
        "analysis/discharge",
        (
            "tests/analysis/test_rundown.py",
            "tests/analysis/test_energy.py",
            "tests/analysis/test_rundown_build.py",
            "tests/analysis/test_along.py",
            "tests/cli/test_rundown.py",
        ),
    ),
    "ride": (
        "analysis/ride",
        (
            "tests/analysis/test_ride_figures.py",
            "tests/analysis/test_ride_spread.py",
            "tests/analysis/test_route.py",
            "tests/analysis/test_along.py",
            "tests/analysis/test_ranging.py",
            "tests/analysis/test_known_rides.py",
            "tests/cli/test_range.py",
            "tests/cli/test_range_known.py",
        ),
    ),
    "charging": (
        "analysis/charging",
        (
            "tests/analysis/test_meant.py",
            "tests/analysis/test_charge_plan.py",
            RULES,
            "tests/analysis/test_charging_card.py",
            "tests/cli/test_charge.py",
        ),
    ),
    "bench": (
        "analysis/bench",
        (
            "tests/analysis/test_bench_tests.py",
            "tests/analysis/test_readings_held.py",
            RULES,
            "tests/report/test_views.py",
            "tests/cli/test_meter.py",
            "tests/cli/test_meter_no.py",
            "tests/cli/test_meter_record.py",
        ),
    ),
    "verdict": ("verdict", ("tests/verdict", "tests/cli/test_check.py", RULES, "tests/properties/test_answers.py")),
    "planning": ("planning", (*PLANNING, "tests/cli/test_plan.py")),
    "making": (
        "making",
        ("tests/report/test_workshop.py", "tests/planning/test_prices.py", "tests/cli/test_sheet_workshop.py"),
    ),
    "buildfile": (
        "buildfile",
        (
            *READING,
            "tests/repo/test_schema.py",
            "tests/repo/test_schema_forms.py",
            "tests/planning/test_completing.py",
            "tests/cli/test_shop_file.py",
            "tests/cli/test_meter_record.py",
            "tests/cli/test_output_files.py",
            "tests/cli/test_shelf_find_tidy.py",
            "tests/making/test_bill.py",
            "src/packyoke/buildfile/reading/number_words.py",
        ),
    ),
    "answers": (
        "answers",
        (
            "tests/page",
            "tests/report",
            "tests/cli/test_meter.py",
            "tests/cli/test_charge.py",
            "tests/cli/test_rundown.py",
            "tests/cli/test_range.py",
            "tests/cli/test_compare.py",
            "tests/cli/test_plan.py",
            "tests/cli/test_one_judge.py",
            "tests/cli/test_typed.py",
            "tests/cli/test_route.py",
            "tests/cli/test_shelf_find_tidy.py",
            "tests/cli/test_start_words.py",
        ),
    ),
    "core": (
        "core",
        (
            "tests/reading/test_units.py",
            "tests/reading/test_spellings.py",
            "tests/reading/test_slips.py",
            "tests/reading/test_mistakes.py",
            "tests/reading/test_figures_shown.py",
            "tests/reading/test_odd_letters.py",
            "tests/page/test_cells.py",
            "tests/page/test_page.py",
            "tests/page/test_small_parts.py",
            "tests/cli/test_help.py",
            "tests/repo/test_api_page.py",
            "src/packyoke/core",
        ),
    ),
    "page": (
        "page",
        (
            "tests/page",
            "tests/report",
            "tests/cli/test_units_us.py",
            "tests/cli/test_range.py",
            "tests/cli/test_strict_formats.py",
        ),
    ),
    "cli": ("cli", CLI),
}
"""Where the files of a room are, and the tests that are to notice a change in it."""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("room", nargs="?", default="rules", help=f"one or some with commas, or all: {', '.join(ROOMS)}")
    parser.add_argument("names", nargs="*", help="files of the room, or lines of them, else all")
    parser.add_argument("--kind", choices=list(KINDS), default="flip")
    parser.add_argument("--sample", type=int, default=0, help="so many changes of a room, drawn")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=int, default=240, help="of computing for one change")
    parser.add_argument(
        "--known", type=Path, help="a file that keeps which test comes past which line, for the next run"
    )
    parser.add_argument("--tests", nargs=argparse.REMAINDER, help="what pytest is to run, in place of the room's tests")
    asked = parser.parse_args()
    os.chdir(ROOT)
    rooms = list(ROOMS) if asked.room == "all" else asked.room.split(",")
    names = tuple(each.replace(".py", "").replace("-", "_") for each in asked.names)
    every, chosen = {}, {}
    for room in rooms:
        every[room] = mutants(ROOMS[room][0], asked.kind, names)
        number = min(asked.sample or len(every[room]), len(every[room]))
        chosen[room] = sorted(random.Random(asked.seed).sample(every[room], number))
    unnoticed = set()

    def tell(mutant: Mutant, said: str) -> None:
        if said:
            unnoticed.add(mutant)
            print(f"{mutant.place}  ({said})", file=sys.__stdout__, flush=True)

    tried = [Tried(each, ("",) if asked.tests else ROOMS[room][1]) for room in rooms for each in chosen[room]]
    tests = asked.tests or sorted({test for room in rooms for test in ROOMS[room][1]})
    attempt_all(tried, tests, asked.seconds, tell, asked.known)
    for room in rooms:
        noticed = sum(each not in unnoticed for each in chosen[room])
        share = f"{100 * noticed / max(1, len(chosen[room])):.0f} %"
        print(
            f"{room}, {asked.kind}: {noticed} of {len(chosen[room])} noticed ({share}), of {len(every[room])} there are"
        )


if __name__ == "__main__":
    main()
