"""The trimmer's limits, as the checker knows them.

In: the rules and one run of parallel cuts. Out: sentences, one for each limit that the run breaks. The facts of the
trade: a rail has a length, a stop reaches so far, and a strip too narrow cannot be held.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from nesting.packing.layout import CutRules


def beyond_trimmer(rules: CutRules, length: int, width: int, sizes: Sequence[int]) -> Iterable[str]:
    """What is beyond the trimmer when `length` is divided into `sizes` one after another, each cut `width` long."""
    if rules.longest_cut is not None and width > rules.longest_cut:
        yield f"needs a cut of {width}, longer than {rules.longest_cut}."
    if rules.largest_setting is not None and sum(size > rules.largest_setting for size in sizes) > 1:
        yield f"is cut into {list(sizes)}: two of them lie beyond the stop at {rules.largest_setting}."
    rest = [length - sum(sizes[:done]) - done * rules.kerf for done in range(len(sizes) - 1)]
    if min([width, *rest]) < rules.narrowest_held:
        yield f"is cut while only {min([width, *rest])} wide, under {rules.narrowest_held}."
