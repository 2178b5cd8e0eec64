"""Layouts and purchases decided together: against every purchase and every cut, and against a plain program."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from shop_cases import NOWHERE, Case, by_program, random_case, sheet, ware

from nesting.buying import facts
from nesting.buying.check import check_purchase
from nesting.buying.decide import Decision, decide
from nesting.buying.facts import Fact, Kinds, front
from nesting.buying.purchase import Bought, postage_of
from nesting.describe.designs import CardDesign, CardPart, OwnSize, PartKind, SmallerBy
from nesting.describe.papers import HeldSheet, Paper
from nesting.describe.project import BatchLine, CentreRule, Project, Spares, Trimmer
from nesting.describe.project_file import read_project
from nesting.describe.shops import Offer, Shop, Ware
from nesting.lengths import Unit, inches
from nesting.money import Currency
from nesting.packing.solve import Effort
from nesting.pieces.piece_list import piece_list
from nesting.pieces.supply import offers_of, supply
from nesting.plan import Plan, make_plan


def planned(case: Case) -> Plan:
    return make_plan(case.project, effort=Effort.QUICK)


def purchases(offers: tuple[Offer, ...], postage: Mapping[str, int], cents: int) -> Iterator[tuple[int, list[int]]]:
    """Every purchase of at most so many cents, postage included: its cost and how many of each offer."""

    def more(number: int, left: int, paid: frozenset[str], taken: list[int]) -> Iterator[tuple[int, list[int]]]:
        if number == len(offers):
            yield cents - left, list(taken)
            return
        offer, count = offers[number], 0
        posted = 0 if offer.shop in paid else postage.get(offer.shop, 0)
        yield from more(number + 1, left, paid, [*taken, 0])
        while (offer.limit is None or count < offer.limit) and count < 12:
            count += 1
            rest = left - posted - count * offer.cents
            if rest < 0:
                return
            yield from more(number + 1, rest, paid | {offer.shop}, [*taken, count])

    yield from more(0, cents, frozenset(), [])


def enough(case: Case, there: Mapping[Ware, int], ways: list[list[tuple[int, ...]]]) -> bool:
    return all(
        any(all(there.get(ware(n, size), 0) >= count for size, count in zip(sizes, way, strict=True)) for way in some)
        for n, (sizes, some) in enumerate(zip(case.sizes, ways, strict=True))
    )


def there_is(offers: tuple[Offer, ...], taken: list[int]) -> dict[Ware, int]:
    found: dict[Ware, int] = {}
    for offer, count in zip(offers, taken, strict=True):
        for one, held in offer.holds:
            found[one] = found.get(one, 0) + held * count
    return found


@pytest.mark.parametrize("seed", range(12))
def test_no_purchase_of_all_there_are_is_cheaper(seed: int) -> None:
    case = random_case(seed)
    ways = [case.enough(n) for n in range(len(case.sizes))]
    plan = planned(case)
    assert plan.complete
    assert plan.purchase is not None
    assert plan.purchase.proven
    offers, postage = offers_of(case.project), postage_of(case.project)
    best = min(
        (cost, sum(there_is(offers, taken).values()))
        for cost, taken in purchases(offers, postage, plan.purchase.cents)
        if enough(case, there_is(offers, taken), ways)
    )
    assert (plan.purchase.cents, sum(plan.purchase.brought.values())) == best


@pytest.mark.parametrize("seed", range(100, 130))
def test_a_plain_program_over_all_ways_of_cutting_finds_nothing_cheaper(seed: int) -> None:
    case = random_case(seed)
    plan = planned(case)
    assert plan.purchase is not None
    least = by_program(case)
    assert plan.purchase.bound <= least <= plan.purchase.cents
    assert plan.purchase.proven
    assert plan.purchase.cents == least


def decided(case: Case) -> Decision:
    project = case.project
    return decide(project, piece_list(project), supply(project))


def wrongs(case: Case, decision: Decision, cut: Mapping[Ware, int] | None = None) -> str:
    return " ".join(check_purchase(decision, offers_of(case.project), postage_of(case.project), cut or {}))


def test_the_check_sees_a_purchase_that_does_not_add_up() -> None:
    case = random_case(3)
    decision = decided(case)
    good = decision.purchase
    assert wrongs(case, decision, good.brought) == ""
    assert "is said to cost" in wrongs(case, replace(decision, purchase=replace(good, cents=good.cents - 1)))
    some = next(iter(good.brought))
    assert "new sheets" in wrongs(case, decision, {some: good.brought[some] + 1})
    line = replace(good.lines[0].offer, cents=0)
    assert "nobody sells" in wrongs(case, replace(decision, purchase=replace(good, lines=(Bought(line, 1),))))
    nothing = replace(good, lines=(Bought(good.lines[0].offer, 0), *good.lines))
    assert "is bought 0 times" in wrongs(case, replace(decision, purchase=nothing))
    posted = replace(good, postage=good.postage + 1)
    assert "is said to cost" in wrongs(case, replace(decision, purchase=posted))
    assert "bound says otherwise" in wrongs(case, replace(decision, purchase=replace(good, bound=good.bound - 1)))


def test_the_check_sees_more_bought_than_there_are() -> None:
    last = Offer("the last pack", 100, ((ware(0, (6, 6)), 2),), "near", limit=1)
    case = Case((((6, 6),),), ((),), (((3, 6, 4),),), (last,), (("near", 0),))
    decision = decided(case)
    assert wrongs(case, decision) == ""
    two = replace(decision.purchase, lines=(Bought(decision.purchase.lines[0].offer, 2),))
    assert "is bought 2 times, and there are 1" in wrongs(case, replace(decision, purchase=two))


@pytest.mark.parametrize("seed", range(6))
def test_a_bound_that_is_too_high_is_challenged_and_refused(seed: int) -> None:
    case = random_case(seed)
    decision = decided(case)
    assert wrongs(case, decision) == ""
    assert "is left open" in wrongs(case, replace(decision, bound=decision.bound + 1))


PINE, KRAFT = ware(0, (6, 6)), ware(1, (6, 6))


def two_papers(pieces: int, *offers: Offer, **postage: int) -> Case:
    """So many 3 x 6 of each of two papers, sold as 6 x 6."""
    many = ((3, 6, pieces),)
    return Case((((6, 6),), ((6, 6),)), ((), ()), (many, many), offers, tuple(postage.items()))


def test_a_smaller_sheet_in_a_pad_is_cut_where_that_is_cheaper_than_fewer_large_ones() -> None:
    small = ware(0, (3, 6))
    case = Case((((6, 6), (3, 6)),), ((),), (((3, 6, 4),),),
                (Offer("sheet", 100, ((ware(0, (6, 6)), 1),)), Offer("pad", 150, ((small, 5),), "near")),
                (("near", 0),))  # fmt: skip
    plan = planned(case)
    assert plan.purchase is not None
    assert plan.purchase.brought == {small: 5}
    assert (plan.sheets, plan.purchase.extra) == (4, ((small, 1),))
    dear = replace(case, postage=(("near", 60),))
    assert planned(dear).price == 200


def test_a_mixed_pack_for_two_papers_beats_what_each_would_buy_alone() -> None:
    pad = Offer("pad", 400, ((PINE, 4), (KRAFT, 4)), "near")
    singles = [Offer("sheet", 95, ((one, 1),)) for one in (PINE, KRAFT)]
    plan = planned(two_papers(6, *singles, pad, near=0))
    assert plan.purchase is not None
    assert (plan.price, [line.offer for line in plan.purchase.lines]) == (400, [pad])
    assert plan.purchase.paid() == {PINE: Fraction(50), KRAFT: Fraction(50)}


def test_what_is_at_hand_is_used_where_that_saves_money() -> None:
    offers = (Offer("sheet", 95, ((PINE, 1),)), Offer("pack of 5", 200, ((PINE, 5),), "near"))
    case = Case((((6, 6),),), (((3, 6),),), (((3, 6, 3),),), offers, (("near", 0),))
    plan = planned(case)
    assert (plan.price, plan.papers[0].at_hand) == (95, 1)


def test_knife_work_is_weighed_against_the_sheets_it_saves() -> None:
    """A mat with a centre that holds the second kind of piece: one sheet less, for one cut with the knife."""
    for cents, bought in ((5, 2), (50, 1)):
        project = centre_project(cents)
        plan = make_plan(project, effort=Effort.QUICK)
        assert plan.purchase is not None
        assert sum(plan.purchase.brought.values()) == bought
        assert plan.purchase.proven


def centre_project(cents: int) -> Project:
    paper = Paper("pine", NOWHERE)
    parts = (
        CardPart(PartKind.MAT, "mat", NOWHERE, OwnSize(inches(6), inches(6)), "pine"),
        CardPart(PartKind.LAYER, "layer", NOWHERE, SmallerBy(inches(1), inches(1)), "white", on_part="mat"),
        CardPart(PartKind.PIECE, "tag", NOWHERE, OwnSize(inches(4), inches(4)), "pine"),
    )
    white = Paper("white", NOWHERE, at_hand=(HeldSheet(sheet(5, 5), 1, NOWHERE),))
    shop = Shop("near", NOWHERE, 0, (Offer("sheet", cents, ((PINE_SIX, 1),), "near"),))
    return Project(
        title="centre", unit=Unit.INCH, currency=Currency("$"), papers=(paper, white),
        designs=(CardDesign("card", NOWHERE, parts=parts),), batch=(BatchLine("card", 1, NOWHERE),),
        spares=Spares(), pieces=(), trimmer=Trimmer(), shops=(shop,), centres=CentreRule(inches("1/4"), 10),
    )  # fmt: skip


PINE_SIX = Ware("pine", sheet(6, 6))


def test_counts_looked_at_in_steps_bound_from_below_and_suffice_above(monkeypatch: pytest.MonkeyPatch) -> None:
    sides = (Ware("pine", sheet(12, 12)), Ware("pine", sheet(8, 8)), Ware("pine", sheet(6, 6)))
    kinds = Kinds(tuple((one, kind, None) for kind, one in enumerate(sides)), (), ())
    some = [Fact((1,), 900, (144, 64, 36)), Fact((1,), 500, (70, 40, 20))]
    every = front(some, kinds)
    monkeypatch.setattr(facts, "MOST_POINTS", 12)
    low, high = front(some, kinds, low=True), front(some, kinds)
    assert (every.whole, low.whole, high.whole) == (True, True, False)
    assert len(low.points) < len(every.points)

    def holds(more: tuple[int, ...], less: tuple[int, ...]) -> bool:
        return all(a >= b for a, b in zip(more, less, strict=True))

    assert all(any(holds(point, under) for under in low.points) for point in every.points)
    assert all(any(holds(point, under) for under in every.points) for point in high.points)


def test_a_shop_that_runs_out_leaves_pieces_missing_and_says_so() -> None:
    case = two_papers(6, Offer("sheet", 95, ((PINE, 1),), "near", 2), Offer("sheet", 95, ((KRAFT, 1),)), near=0)
    plan = planned(case)
    assert not plan.complete
    assert [sum(count for _, count in paper.missing) for paper in plan.papers] == [2, 0]


SCRAPS = """
[paper.pine]
at_hand = [{ sheet = "12 x 12", count = 1 }, "3 x 5", "4 x 9"]
[shop.heron]
sells = [{ paper = "pine", sheet = "12 x 12", pack = 4, price = "3.00" }]
[design.tag]
parts = [{ mat = "tag", paper = "pine", size = "3 x 5", count = MANY }]
[batch]
cards = { tag = 1 }
"""


@pytest.mark.parametrize(
    ("many", "taken"),
    [
        (1, {(3, 5): 1}),  # the odd offcut that it fills, not the sheet
        (2, {(3, 5): 1, (4, 9): 1}),  # two scraps before the whole sheet
        (4, {(12, 12): 1}),  # the two offcuts give two; the sheet gives all four, and the offcuts stay whole
        (9, {(3, 5): 1, (12, 12): 1}),  # the sheet gives eight; of the offcuts the one that the ninth fills
    ],
)
def test_where_shops_sell_it_too_odd_offcuts_go_first_and_large_ones_are_not_chopped(
    tmp_path: Path, many: int, taken: dict[tuple[int, int], int]
) -> None:
    (tmp_path / "tags.toml").write_text(SCRAPS.replace("MANY", str(many)))
    plan = make_plan(read_project(tmp_path))
    assert plan.price == 0
    cut: dict[tuple[int, int], int] = {}
    for use in plan.papers[0].uses:
        size = (use.root.width // inches(1).ticks, use.root.height // inches(1).ticks)
        cut[size] = cut.get(size, 0) + use.copies
    assert cut == taken
