"""The exact search against every plan there is of small problems: the best layouts, under caps, of drawn trees."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any, cast

import pytest

from packyoke.planning import growing
from packyoke.planning.growing import TooMany, grow
from packyoke.planning.labels import best_of
from packyoke.planning.relaxed import with_tree
from packyoke.planning.search import NEARBY, Problem, Search
from packyoke.planning.tolls import FIELD_BITS, fields
from tests.planning.test_bounds import TREES
from tests.planning.toy import ROOT, SCORE, Every, drawn_by_lot, fed, fuse, kg, problem, site, terminal, wire


def held_against_every_plan(p: Problem) -> None:
    wanted = sorted(Every(p).layouts().values())
    assert [each.score for each in best_of(grow(Search(p), None, most=3), SCORE, 3)] == wanted[:3]
    found = Search(p).run()
    if not wanted:
        assert found is None
        return
    assert found is not None
    assert (found.best.score, found.proved) == (wanted[0], True)
    # The next best is looked for up to a tenth more.
    farther = SCORE.raised(wanted[0], NEARBY[-1])
    other = wanted[1] if wanted[1:] and wanted[1] <= farther else None
    assert other is None or (found.other is not None and found.other.score == other)
    assert found.other is None or found.other.score == wanted[1]
    first = Search(p).run(first_only=True)
    assert first is not None
    assert first.best.score == wanted[0]
    for cap in (wanted[0] - 1, wanted[0], wanted[min(2, len(wanted) - 1)], wanted[-1]):
        labels, whole = Search(p).nearest(cap, 3, [])
        below = [score for score in wanted if score <= cap]
        assert [each.score for each in labels] == below[:3]
        assert whole == (len(below) < 3)
        # No more than a layout that is known: the best one, or nothing where that is dearer.
        known = Search(p).run(first_only=True, near=cap)
        assert (known.best.score if known is not None else None) == (below[0] if below else None)


@pytest.mark.parametrize("seed", range(24))
def test_the_best_layouts_of_three_packs_are_found(seed: int) -> None:
    held_against_every_plan(drawn_by_lot(Random(seed), 3, 2))


@pytest.mark.parametrize("seed", [0, 2, 6])
def test_the_best_layouts_of_four_packs_are_found(seed: int) -> None:
    held_against_every_plan(drawn_by_lot(Random(seed), 4, 1))


@pytest.mark.parametrize("seed", range(8))
def test_the_best_places_of_a_drawn_tree_are_found(seed: int) -> None:
    p = replace(drawn_by_lot(Random(100 + seed), 3, 2), root_slots=1)
    tree = TREES[seed % 3]
    # With inlets to spare what meets two by two could as well meet all at once.
    sites = [each._replace(slots=max(map(len, tree.values()))) for each in p.sites]
    held_against_every_plan(with_tree(replace(p, sites=sites), tree))


@pytest.mark.parametrize("seed", range(24))
def test_a_fuse_that_a_lead_has_already_counts_for_what_comes_after_it(seed: int) -> None:
    held_against_every_plan(drawn_by_lot(Random(300 + seed), 3, 2, given=True))


def test_a_fuse_that_saves_what_comes_after_it_is_found_below_every_cap() -> None:
    """Three packs of 20 A. Two meet, and with a fuse in their lead they count as one where the third comes in: 40 A,
    which 26.7 A of wire bear. Without one the last lead takes a kilogram more; all in one joiner come in between."""
    wires = {key: [wire(0.1)] for key in ((0, 3, 0), (1, 3, 0), (3, 4, 0), (2, 4, 0), (0, 5, 0), (1, 5, 0), (2, 5, 0))}
    wires |= {(4, ROOT, 0): [wire(0.1, 40 / 1.5), wire(1.1, 40.0)], (5, ROOT, 0): [wire(0.1, 40.0)]}
    p = problem(
        [terminal(fed(20.0), kind=number) for number in range(3)],
        [site(weight=1.0), site(weight=1.0, kind=1), site(weight=2.6, slots=3, kind=2)],
        wires,
        fuses={fuse(20.0): kg(0.2)},
        unfused=[0b111],
    )
    found = Search(p).run()
    assert found is not None
    # Five leads of 0.1 kg, two joiners, the fuse; else four leads and the joiner of 2.6 kg.
    assert SCORE.shown(found.best.score)[1] == pytest.approx(2.7)
    labels, _ = Search(p).nearest(kg(3.0), 2, [])
    assert [SCORE.shown(each.score)[1] for each in labels] == pytest.approx([2.7, 3.0])


def two_packs(**more: object) -> Problem:
    """Two packs into one of two joiners: 1.3 kg or 1.5 kg."""
    wires = {(number, at, 0): [wire(0.1)] for number in range(2) for at in (2, 3)}
    wires |= {(2, ROOT, 0): [wire(0.1)], (3, ROOT, 0): [wire(0.1)]}
    p = problem([terminal(kind=0), terminal(kind=1)], [site(weight=1.0), site(weight=1.2, kind=1)], wires)
    return replace(p, **more)


@pytest.mark.parametrize(("second", "found_it"), [(1.1, True), (1.129, True), (1.131, False), (1.2, False)])
def test_a_next_best_is_looked_for_up_to_a_tenth_more(second: float, found_it: bool) -> None:
    p = two_packs(sites=[site(weight=1.0), site(weight=second, kind=1)])
    found = Search(p).run()
    assert found is not None
    assert SCORE.shown(found.best.score)[1] == pytest.approx(1.3)
    assert (found.other is not None) is found_it
    assert found.other is None or SCORE.shown(found.other.score)[1] == pytest.approx(second + 0.3)


def test_layouts_that_share_a_hash_are_still_two() -> None:
    """-1 and -2 have one hash, and so has what is made of them: the layout at the second site is another one."""
    assert hash((-1, 0)) == hash((-2, 0))
    p = two_packs(sites=[site(weight=1.0)._replace(kind=-1), site(weight=1.1)._replace(kind=-2)])
    found = Search(p).run()
    assert found is not None
    assert found.other is not None
    assert SCORE.shown(found.other.score)[1] == pytest.approx(1.4)


def test_where_there_are_too_many_ways_the_best_that_turned_up_is_not_proved() -> None:
    p = two_packs()
    with pytest.raises(TooMany):
        grow(Search(p, 3), None)
    with pytest.raises(TooMany):
        Search(p, 3).run()
    found = Search(p, 30).most_promising(another=True)
    assert found is not None
    assert (SCORE.shown(found.best.score)[1], found.proved) == (pytest.approx(1.3), False)
    assert found.other is not None
    known = [found.other]
    assert Search(p, 3).nearest(kg(9.0), 2, known) == (known, False)
    assert Search(p, 3).most_promising() is None
    assert Search(p, 30).most_promising(found.best.score - 1) is None


def test_nothing_is_looked_for_where_no_layout_is_below_what_is_known() -> None:
    search = Search(two_packs())
    # Three leads of 0.1 kg and the joiner of 1 kg: what none comes below is what the best comes to.
    least = search.bounds.least()
    assert least is not None
    assert SCORE.shown(least)[1] == pytest.approx(1.3)
    assert search.run(near=least - 1) is None
    assert search.made == 0
    found = search.run(near=least)
    assert found is not None
    assert (found.best.score, found.proved) == (least, True)


@pytest.mark.parametrize(
    ("above", "caps", "thin"),
    [
        # Up to a quarter above what none comes below all that is kept is looked at, below that figure at once.
        (None, [0.03, 0.1, 0.25, 0.6, None], True),
        (0.7, [0.03, 0.1, 0.25, 0.6, 0.7], True),
        (0.26, [0.03, 0.1, 0.25, 0.26], True),
        (0.25, [0.25], False),
        (0.02, [0.02], False),
    ],
)
def test_far_from_the_bound_few_ways_are_looked_at_and_near_it_all(
    above: float | None, caps: list[float | None], thin: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    p = two_packs()
    least = Search(p).bounds.least()
    assert least is not None
    tried: list[tuple[int | None, bool]] = []
    monkeypatch.setattr("packyoke.planning.search.grow", lambda s, cap, width, thin: tried.append((cap, thin)) or [])
    raised = [None if each is None else SCORE.raised(least, each) for each in caps]
    assert Search(p).most_promising(raised[-1] if above is not None else None, (4,)) is None
    assert tried == [(each, thin) for each in raised]


def test_as_many_labels_are_made_as_there_may_be_and_not_one_more() -> None:
    search = Search(two_packs())
    grow(search, None)
    # Each pack at each of two sites, two pairs, two joiners closed, two leads onward.
    assert search.made == 10
    assert len(grow(Search(two_packs(), 10), None)) == 2
    with pytest.raises(TooMany):
        grow(Search(two_packs(), 9), None)


def test_a_beam_follows_the_most_promising_and_no_more() -> None:
    """Of two wires the thin one weighs less and loses more volts: both are worth following; the first is lighter."""
    p = two_packs()
    ways = [wire(0.1, volts_v=0.3), wire(0.2, volts_v=0.1)]
    p = replace(p, wires=lambda node, target, inlet: ways if target != ROOT else [wire(0.1)])
    assert len(grow(Search(p), None)) > len(grow(Search(p), None, beam=1)) > 0
    (label, *_) = best_of(grow(Search(p), None, beam=1), SCORE, 1)
    assert SCORE.shown(label.score)[1] == pytest.approx(1.3)
    # With a beam nothing is too much.
    assert Search(p).made == 0


@pytest.mark.parametrize(("thin", "led_on"), [(False, 8), (True, growing.OF_A_SET)])
def test_of_a_set_that_is_together_at_many_nodes_few_are_led_on(thin: bool, led_on: int) -> None:
    """Two packs, eight joiners: each is brought to each, they meet there, it is closed; then the leads on."""
    nodes = range(2, 10)
    wires = {(number, at, 0): [wire(0.1)] for number in range(2) for at in nodes}
    wires |= {(at, ROOT, 0): [wire(0.1)] for at in nodes}
    kinds = [site(weight=1.0 + n / 10, kind=n) for n in range(8)]
    search = Search(problem([terminal(kind=0), terminal(kind=1)], kinds, wires))
    (best,) = best_of(grow(search, None, beam=1, thin=thin), SCORE, 1)
    assert SCORE.shown(best.score)[1] == pytest.approx(1.3)
    assert search.made == 2 * 8 + 8 + 8 + led_on


@pytest.mark.parametrize(
    ("score", "over_v", "alive"),
    [(0, 0.0, True), (1, 0.0, False), (0, 1e-12, True), (0, 2e-12, False), (-SCORE.missed(0.5), 0.5, True)],
)
def test_a_label_is_followed_up_to_the_cap(score: int, over_v: float, alive: bool) -> None:
    growth = growing._Growth(Search(two_packs()), kg(2.0), None, 2)
    assert growth._alive(kg(1.5) + score, over_v, kg(0.5)) is alive
    assert growing._Growth(Search(two_packs()), None, None, 2)._alive(kg(1.5) + score, over_v, kg(0.5))


def test_what_joiners_are_to_be_used_are_used() -> None:
    p = two_packs(sites=[site(weight=1.0), site(use=1, weight=1.2, kind=1)], complete=lambda used: used == 1)
    _, limit, high = fields([1])
    found = Search(replace(p, limit=limit, high=high)).run()
    assert found is not None
    assert SCORE.shown(found.best.score)[1] == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("room", "taken", "fits"), [(0, 0, True), (0, 1, False), (1, 1, True), (1, 2, False), (3, 4, False)]
)
def test_what_takes_up_more_than_there_is_does_not_fit(room: int, taken: int, fits: bool) -> None:
    units, limit, high = fields([2, room])
    assert units == [1, 1 << FIELD_BITS]
    p = two_packs(limit=limit, high=high)
    assert p.fits(taken * units[1]) is fits
    # The field before it is full, and says nothing of this one.
    assert p.fits(2 * units[0] + taken * units[1]) is fits
    assert not p.fits(3 * units[0] + taken * units[1])


def test_sets_and_what_is_left_of_them() -> None:
    p = problem(
        [terminal(kind=number) for number in range(3)], [site(slots=3, uniform=False), site(slots=2, kind=1)], {}
    )
    search = Search(p)
    assert sorted(search.submasks(0b101)) == [0b001, 0b100]
    assert sorted(search.others(0b001)) == [0b010, 0b100, 0b110]
    assert not [*search.others(0b111)]
    assert [*search.inlets(ROOT)] == [0]
    assert ([*search.inlets(3)], [*search.inlets(4)]) == ([0, 1, 2], [0])
    assert (search.slots(3), search.slots(4), search.slots(ROOT)) == (3, 2, 1)
    assert search.sources(0b010) == [1]
    assert search.sources(0b011) == [3, 4]
    drawn = Search(with_tree(p, {0b111: (0b011, 0b100), 0b011: (0b001, 0b010)}))
    assert sorted(drawn.submasks(0b111)) == [0b011, 0b100]
    assert sorted(drawn.others(0b001)) == [0b010]
    assert sorted(drawn.others(0b011)) == [0b100]
    assert drawn.sources(0b110) == []
    assert (drawn.may_arrive(0b011, 3), drawn.may_arrive(0b111, 3), drawn.may_arrive(0b111, ROOT)) == (True, True, True)
    here = Search(replace(p, meets=lambda mask, at: at == 1, splits_into=lambda mask, at: at == -1))
    assert here.sources(0b011) == [4]
    assert (here.may_arrive(0b011, 3), here.may_arrive(0b011, ROOT)) == (False, True)


@pytest.mark.parametrize(
    ("holds", "held", "must", "bare", "behind"),
    [
        # Without a fuse, and with one: the larger ones guard no better and cost the same, 50 A costs less.
        (True, None, False, 1, [20.0, 50.0]),
        (False, None, False, 1, []),
        (False, wire(0.3, watts_w=40.0), False, 1, [20.0, 50.0]),
        (False, None, True, 0, [20.0, 50.0]),
    ],
)
def test_a_lead_without_a_fuse_and_with_each_that_may_be_the_best(
    holds: bool, held: Any, must: bool, bare: int, behind: list[float]
) -> None:
    option, fuses = wire(0.1, watts_w=20.0, holds=holds, held=held), [fuse(each) for each in (20.0, 30.0, 50.0)]
    p = replace(
        two_packs(),
        terminals=[terminal(kind=0, must_fuse=must), terminal(kind=1)],
        wires=lambda *key: (option,),
        fuses=lambda mask: fuses,
        fuse_score=lambda kind: kg(0.1 if kind.rating_a == 50.0 else 0.2),
    )
    plain, given, fused = growing._Growth(Search(p), None, None, 2)._leads(0b01, 0, 2, 0)
    assert given == []
    own = SCORE.of("loss", 20.0 * 0.25)
    assert plain == [(option.score + own, option, own)] * bare
    assert sorted(each.fuse.rating_a for _, each, _ in fused if each.fuse is not None) == behind
    for cost, each, more in fused:
        # A lead that is made longer loses more: 40 W in place of 20 W, by half the load a quarter of each.
        longer = SCORE.of("loss", 40.0 * 0.25) if held is not None else own
        assert more == longer + p.fuse_score(cast(Any, each.fuse))
        assert cost == (held or option).score + more
    assert fused == sorted(fused, key=lambda way: way[0])
    free = growing._Growth(Search(replace(p, may_fuse=lambda mask: False)), None, None, 2)._leads(0b01, 0, 2, 0)
    assert free == ([(option.score + own, option, own)], [], [])


def test_a_lead_with_a_fuse_of_its_own_gets_no_other_one() -> None:
    """Neither a new fuse nor one left out, whether the pack has to have one or not; what it lost is counted."""
    option = wire(0.1, watts_w=20.0)._replace(fuse=fuse(30.0))
    own = SCORE.of("loss", 20.0 * 0.25)
    for must in (True, False):
        p = replace(
            two_packs(),
            terminals=[terminal(kind=0, must_fuse=must), terminal(kind=1)],
            wires=lambda *key: (option,),
            fuses=lambda mask: [fuse(20.0)],
            fuse_score=lambda kind: kg(0.1),
        )
        leads = growing._Growth(Search(p), None, None, 2)._leads(0b01, 0, 2, 0)
        assert leads == ([], [(option.score + own, option, own)], [])


@pytest.mark.parametrize("step", [0, 1])
def test_a_cap_that_leads_to_nothing_new_is_told(step: int) -> None:
    """The best comes to 1.3 kg: below that nothing is found, and what was dropped comes to no less than the bound."""
    p = two_packs()
    best = Search(p).run(first_only=True)
    assert best is not None
    search = Search(p)
    assert bool(grow(search, best.best.score - 1 + step)) is bool(step)
    assert search.beyond > best.best.score - 1 + step
    if not step:
        assert search.beyond == best.best.score


def test_caps_that_lead_to_nothing_new_are_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each cap is at or above what the one before it dropped; where nothing was dropped there is no other."""
    p = replace(two_packs(), complete=lambda used: False)
    search, caps = Search(p), []
    real = Search._below

    def below(self: Search, cap: int | None) -> Any:
        assert cap is None or cap >= self.beyond
        caps.append(cap)
        return real(self, cap)

    monkeypatch.setattr(Search, "_below", below)
    assert search.run() is None
    assert 1 < len(caps) < 10
    assert None not in caps
