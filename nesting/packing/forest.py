# cython: language_level=3, annotation_typing=False, boundscheck=False, wraparound=False
# cython: initializedcheck=False, cdivision=True
"""Cut trees that are taken apart and put together again, thousands of times a second, in flat whole-number arrays.

In: sizes of kinds, items and sheets as whole numbers (kerf already added to each), what the trimmer can do, a seed.
Out: cut trees as nested tuples. The fact of the trade: a piece can be taken out of a plan and put elsewhere as long
as every sheet stays a tree of edge-to-edge cuts. The method is ruin and recreate (Schrimpf et al. 2000; on cut trees
Gardeyn & Wauters 2022, European Journal of Operational Research), with simulated annealing.

This one source runs as plain Python and, with forest.pxd beside it, compiled; both give the same answers to the last
piece. So: no float but + - * / and comparison, one order of sums, tables in place of roots and logarithms. It is one
long module because it is compiled as one.
A tree's node has two or more children, at most one of them free; directions alternate; the order of children is free.
"""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from typing import Any

# what others see: the codes of nested trees, the steps of the tables, a length or count without limit
FREE_CODE, PIECE_CODE, ACROSS_CODE, DOWN_CODE = 1, 2, 3, 4
TABLE_STEPS = 1024
NO_LIMIT = 1 << 30

# the rest are plain C numbers once compiled, so they cannot be imported; first, what a node is
NONE, FREE, PIECE, ACROSS, DOWN = 0, 1, 2, 3, 4
# a node's cells, counted from its first
TYPE, WIDE, HIGH, PARENT, FIRST, NEXT, PREV, ITEM, SPOT, LEVEL, SLOT, STRIDE = 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11
# what the list of free leaves says of each: its node and its size, side by side since it is read most of all
LEAF, LEAF_WIDE, LEAF_HIGH, ENTRY = 0, 1, 2, 3
# the cells before the first node: three counters; the last node given back, which names the one before it in NEXT;
# the first never used
FREE_COUNT, SPARE_COUNT, OUT_COUNT, SPARE, UNUSED, HEAD = 0, 1, 2, 3, 4, 5
STEPS = 1024  # of the tables of powers and of logarithms
ORDERS = 7
MANY = 8  # so many outside, in squares for each item there is, that looking at all items is less work than sorting
FAR = 1 << 30
FACTOR, ADDED, BITS = 25214903917, 11, (1 << 48) - 1  # of chance; names, since compiled numbers that long need types


class Forest:
    """Sheets as cut trees, and the items that lie outside of them.

    kinds: (width, height, axis of a block's own cuts or 0) each. items: the kind of each. allow: per kind and paper
    1 upright + 2 turned. sheets: (width, height, paper, axis of the last margin cut or 0, turns so far) each.
    limits: copies of each sheet kind there are. rules: longest cut, largest setting, narrowest held, most turns,
    kerf; those in lengths with the kerf added, NO_LIMIT for none. slots: the most sheets open at once.
    powers: three rising tables of TABLE_STEPS + 2 values; logs: TABLE_STEPS values of -ln(u), u from 0 to 1.
    """

    def __init__(
        self,
        kinds: Sequence[tuple[int, int, int]],
        items: Sequence[int],
        allow: Sequence[int],
        papers: int,
        sheets: Sequence[tuple[int, int, int, int, int]],
        costs: Sequence[int],
        limits: Sequence[int],
        rules: tuple[int, int, int, int, int],
        slots: int,
        powers: Sequence[float],
        logs: Sequence[float],
        seed: int,
    ) -> None:
        self.item_count = len(items)
        self.sheet_kinds = len(sheets)
        self.slots = slots
        self.papers = papers
        self.kind_of = array("i", items)
        self.wide = array("i", [kind[0] for kind in kinds])
        self.high = array("i", [kind[1] for kind in kinds])
        self.block = array("i", [kind[2] for kind in kinds])
        self.allow = array("i", allow)
        # the width that a turned one takes, endless where none may turn
        turns = [any(way & 2 for way in allow[k * papers : (k + 1) * papers]) for k in range(len(kinds))]
        self.turned = array("i", [kind[1] if may else FAR for kind, may in zip(kinds, turns, strict=True)])
        self.sheet_wide = array("i", [sheet[0] for sheet in sheets])
        self.sheet_high = array("i", [sheet[1] for sheet in sheets])
        self.sheet_paper = array("i", [sheet[2] for sheet in sheets])
        self.sheet_axis = array("i", [sheet[3] for sheet in sheets])
        self.sheet_turns = array("i", [sheet[4] for sheet in sheets])
        self.costs = array("q", costs)
        self.limits = array("i", limits)
        self.longest, self.setting, self.held, self.turns, self.kerf = rules
        self.ruled = int(self.longest < FAR or self.setting < FAR or self.held > 0 or self.turns < FAR)
        self.powers = array("d", powers)
        self.logs = array("d", logs)
        self.state = (seed * 2654435761 + 88172645463325252) & BITS
        self.power = 0
        self.blink = FAR
        self.stamp = 0
        self.failed = array("i", [0] * len(kinds))
        largest = max(1, *(sheet[0] * sheet[1] for sheet in sheets))
        self.unit = 1.0 / float(largest)
        self.weight = array("d", [float(kinds[k][0]) * float(kinds[k][1]) * self.unit for k in items])
        self.rank = array("i", _ranks(kinds, items))
        self.ranked = array("i", _ranked(self.rank, len(items)))
        self._measure_least(items)
        self._lay_out_cells()
        self.pick_leaf = self.pick_wide = self.pick_high = self.pick_axis = 0
        self.pick_loss = 0.0
        self.most_cost = 0
        self.most_sheets = 0
        self.temperature = 0.0
        self.keen = 0
        self.best_free = -1.0
        self.largest = 0.0

    def _measure_least(self, items: Any) -> None:
        """The least width and height that a piece takes, upright or turned."""
        used = sorted(set(items))
        ways = [(self.wide[k], self.high[k]) for k in used]
        ways += [(self.high[k], self.wide[k]) for k in used if self.turned[k] < FAR]
        self.least_wide = min((wide for wide, _ in ways), default=1)
        self.least_high = min((high for _, high in ways), default=1)

    def _lay_out_cells(self) -> None:
        """Counters and lists, that of free leaves last, then the nodes: so what is in use stands together."""
        nodes = 8 * self.item_count + 3 * self.slots + 64
        self.out_at = HEAD
        self.node_at = self.out_at + self.item_count
        self.kind_at = self.node_at + self.item_count
        self.free_at = self.kind_at + self.slots
        self.root_at = self.free_at + ENTRY * nodes
        size = self.root_at + nodes * STRIDE
        self.c = array("i", bytes(4 * size))
        self.saved = array("i", bytes(4 * size))
        self.best = array("i", bytes(4 * size))
        for item in range(self.item_count):
            self.c[self.out_at + item] = item
        self.c[OUT_COUNT] = self.item_count
        for slot in range(self.slots):
            self.c[self.kind_at + slot] = -1
        self.c[UNUSED] = self.root_at + self.slots * STRIDE
        self.c[SPARE_COUNT] = nodes - self.slots

    def copy(self, source: array[int], target: array[int]) -> None:
        """Copy a whole state, up to its last free leaf and the last node that it ever used."""
        end = self.free_at + ENTRY * source[FREE_COUNT]
        target[:end] = source[:end]
        end = source[UNUSED]
        target[self.root_at : end] = source[self.root_at : end]

    # ------------------------------------------------------------------------------ chance

    def draw(self, n: int) -> int:
        """A whole number from 0 to n - 1; Knuth's and POSIX's 48-bit linear congruential generator."""
        self.state = (self.state * FACTOR + ADDED) & BITS
        return ((self.state >> 17) * n) >> 31

    # ------------------------------------------------------------------------------ lists

    def free_add(self, node: int) -> None:
        """Enter a node into the list of free leaves."""
        count = self.c[FREE_COUNT]
        self.free_enter(node, count)
        self.c[FREE_COUNT] = count + 1

    def free_enter(self, node: int, spot: int) -> None:
        """Write a free leaf and its size into a spot of the list."""
        entry = self.free_at + ENTRY * spot
        self.c[entry + LEAF] = node
        self.c[entry + LEAF_WIDE] = self.c[node + WIDE]
        self.c[entry + LEAF_HIGH] = self.c[node + HIGH]
        self.c[node + SPOT] = spot

    def free_delete(self, node: int) -> None:
        """Take a node out of the list of free leaves; the last one takes its place."""
        count = self.c[FREE_COUNT] - 1
        self.free_enter(self.c[self.free_at + ENTRY * count + LEAF], self.c[node + SPOT])
        self.c[FREE_COUNT] = count

    def node_new(self, kind: int, wide: int, high: int, parent: int, level: int) -> int:
        """A node that is linked to its parent, but not yet among its children."""
        node = self.c[SPARE]
        if node != 0:
            self.c[SPARE] = self.c[node + NEXT]
        else:
            node = self.c[UNUSED]
            self.c[UNUSED] = node + STRIDE
        self.c[SPARE_COUNT] -= 1
        self.c[node + TYPE] = kind
        self.c[node + WIDE] = wide
        self.c[node + HIGH] = high
        self.c[node + PARENT] = parent
        self.c[node + FIRST] = 0
        self.c[node + NEXT] = 0
        self.c[node + PREV] = 0
        self.c[node + LEVEL] = level
        self.c[node + SLOT] = self.c[parent + SLOT]
        return node

    def node_drop(self, node: int) -> None:
        """Give a node back."""
        self.c[node + NEXT] = self.c[SPARE]
        self.c[SPARE] = node
        self.c[SPARE_COUNT] += 1

    def root(self, slot: int) -> int:
        """The root of the sheet in a slot."""
        return self.root_at + slot * STRIDE

    def open(self, slot: int, kind: int) -> None:
        """Lay a whole sheet into an empty slot."""
        root = self.root_at + slot * STRIDE
        self.c[self.kind_at + slot] = kind
        self.c[root + TYPE] = FREE
        self.c[root + WIDE] = self.sheet_wide[kind]
        self.c[root + HIGH] = self.sheet_high[kind]
        self.c[root + PARENT] = 0
        self.c[root + FIRST] = 0
        self.c[root + NEXT] = 0
        self.c[root + PREV] = 0
        self.c[root + LEVEL] = self.sheet_turns[kind]
        self.c[root + SLOT] = slot
        self.free_add(root)

    def close(self, slot: int) -> None:
        """Take a sheet away; what was cut from it is outside."""
        root = self.root_at + slot * STRIDE
        self.take_out(root)
        self.free_delete(root)
        self.c[root + TYPE] = NONE
        self.c[self.kind_at + slot] = -1

    def axis_of(self, node: int) -> int:
        """The direction in which a node and its siblings follow each other; 0 for a whole sheet."""
        parent = self.c[node + PARENT]
        if parent != 0:
            return self.c[parent + TYPE]
        return self.sheet_axis[self.c[self.kind_at + self.c[node + SLOT]]]

    # ------------------------------------------------------------------------------ cutting and joining

    def split(self, leaf: int, axis: int, size: int) -> int:
        """Cut `size` off a free leaf along an axis; the part cut off is returned, the rest stays free."""
        parent = self.c[leaf + PARENT]
        wide = self.c[leaf + WIDE]
        high = self.c[leaf + HIGH]
        if parent != 0 and self.c[parent + TYPE] == axis:
            level = self.c[leaf + LEVEL]
            if axis == ACROSS:
                part = self.node_new(PIECE, size, high, parent, level)
                self.c[leaf + WIDE] = wide - size
            else:
                part = self.node_new(PIECE, wide, size, parent, level)
                self.c[leaf + HIGH] = high - size
            self.free_enter(leaf, self.c[leaf + SPOT])
            before = self.c[leaf + PREV]
            self.c[part + PREV] = before
            self.c[part + NEXT] = leaf
            self.c[leaf + PREV] = part
            if before != 0:
                self.c[before + NEXT] = part
            else:
                self.c[parent + FIRST] = part
            return part
        return self.branch(leaf, axis, size, 1)

    def branch(self, leaf: int, axis: int, size: int, listed: int) -> int:
        """Turn a leaf into a node of two children, the part cut off and a free rest; `listed`: it was free."""
        wide = self.c[leaf + WIDE]
        high = self.c[leaf + HIGH]
        before = self.axis_of(leaf)
        level = self.c[leaf + LEVEL]
        if before != 0 and before != axis:
            level += 1
        if axis == ACROSS:
            part = self.node_new(PIECE, size, high, leaf, level)
            rest = self.node_new(FREE, wide - size, high, leaf, level)
        else:
            part = self.node_new(PIECE, wide, size, leaf, level)
            rest = self.node_new(FREE, wide, high - size, leaf, level)
        self.c[leaf + TYPE] = axis
        self.c[leaf + FIRST] = part
        self.c[part + NEXT] = rest
        self.c[rest + PREV] = part
        if listed:
            self.free_enter(rest, self.c[leaf + SPOT])
        else:
            self.free_add(rest)
        return part

    def release(self, node: int) -> None:
        """Make a leaf that is in no list free, joining it with a free sibling, and so on upwards."""
        while True:
            parent = self.c[node + PARENT]
            other = 0
            if parent != 0:
                other = self.c[parent + FIRST]
                while other != 0 and self.c[other + TYPE] != FREE:
                    other = self.c[other + NEXT]
            if other == 0:
                self.c[node + TYPE] = FREE
                self.c[node + FIRST] = 0
                self.free_add(node)
                return
            if self.c[parent + TYPE] == ACROSS:
                self.c[other + WIDE] += self.c[node + WIDE]
            else:
                self.c[other + HIGH] += self.c[node + HIGH]
            self.free_enter(other, self.c[other + SPOT])
            before = self.c[node + PREV]
            after = self.c[node + NEXT]
            if before != 0:
                self.c[before + NEXT] = after
            else:
                self.c[parent + FIRST] = after
            if after != 0:
                self.c[after + PREV] = before
            self.node_drop(node)
            if self.c[parent + FIRST] != other or self.c[other + NEXT] != 0:
                return
            self.free_delete(other)
            self.node_drop(other)
            node = parent
            self.c[node + TYPE] = PIECE
            self.c[node + FIRST] = 0

    def out_add(self, item: int) -> None:
        """Put an item outside."""
        count = self.c[OUT_COUNT]
        self.c[self.out_at + count] = item
        self.c[OUT_COUNT] = count + 1
        self.c[self.node_at + item] = 0

    def scrap(self, node: int) -> None:
        """Give a whole subtree back; its items are outside."""
        kind = self.c[node + TYPE]
        if kind == FREE:
            self.free_delete(node)
        elif kind == PIECE:
            self.out_add(self.c[node + ITEM])
        else:
            child = self.c[node + FIRST]
            while child != 0:
                after = self.c[child + NEXT]
                self.scrap(child)
                child = after
        self.node_drop(node)

    def take_out(self, node: int) -> None:
        """Make a subtree one free leaf; its items are outside."""
        kind = self.c[node + TYPE]
        if kind == FREE:
            return
        if kind == PIECE:
            self.out_add(self.c[node + ITEM])
        else:
            child = self.c[node + FIRST]
            while child != 0:
                after = self.c[child + NEXT]
                self.scrap(child)
                child = after
            self.c[node + FIRST] = 0
        self.release(node)

    def count_items(self, node: int) -> int:
        """Items in a subtree."""
        kind = self.c[node + TYPE]
        if kind == PIECE:
            return 1
        total = 0
        child = self.c[node + FIRST]
        while child != 0:
            total += self.count_items(child)
            child = self.c[child + NEXT]
        return total

    # ------------------------------------------------------------------------------ the trimmer's rules

    def occupied(self, leaf: int) -> int:
        """Whether the leaf's siblings that are not free hold one longer than the largest setting."""
        parent = self.c[leaf + PARENT]
        if parent == 0:
            return 0
        across = self.c[parent + TYPE] == ACROSS
        child = self.c[parent + FIRST]
        while child != 0:
            if child != leaf and self.c[child + TYPE] != FREE:
                extent = self.c[child + WIDE] if across else self.c[child + HIGH]
                if extent > self.setting:
                    return 1
            child = self.c[child + NEXT]
        return 0

    def can_be_held(self, leaf: int, size: int, extent: int) -> int:
        """Whether a last cut of `size` off a leaf too narrow to be held can be made with a wider sibling beside it."""
        parent = self.c[leaf + PARENT]
        across = self.c[parent + TYPE] == ACROSS
        rest = extent - size
        if rest <= self.kerf:
            return 0
        widest = max(rest, size)
        child = self.c[parent + FIRST]
        while child != 0:
            if child != leaf:
                other = self.c[child + WIDE] if across else self.c[child + HIGH]
                if widest + other >= self.held:
                    return 1
            child = self.c[child + NEXT]
        return 0

    def lawful(self, leaf: int, axis: int, wide: int, high: int, kind: int) -> int:
        """Whether a trimmer that knows limits can cut wide x high out of a leaf, first along `axis`."""
        first_extent = self.c[leaf + WIDE]
        first_size = wide
        second_extent = self.c[leaf + HIGH]
        second_size = high
        if axis == DOWN:
            first_extent, second_extent = second_extent, first_extent
            first_size, second_size = second_size, first_size
        before = self.axis_of(leaf)
        level = self.c[leaf + LEVEL]
        last_axis = before
        parent = self.c[leaf + PARENT]
        joined = parent != 0 and before == axis
        if first_extent == first_size and second_extent > second_size:
            return 0  # the other order says it
        whole = self.c[leaf + WIDE] if before == ACROSS else self.c[leaf + HIGH]
        if first_extent > first_size:
            if second_extent > self.longest or second_extent < self.held:
                return 0
            if joined:
                if first_extent < self.held and not self.can_be_held(leaf, first_size, first_extent):
                    return 0
                if first_size > self.setting and self.occupied(leaf):
                    return 0
            else:
                if first_extent < self.held:
                    return 0
                if whole > self.setting and self.occupied(leaf):
                    return 0
                if before != 0 and before != axis:
                    level += 1
            last_axis = axis
            if second_extent > second_size:
                if first_size > self.longest or first_size < self.held or second_extent < self.held:
                    return 0
                level += 1
                last_axis = ACROSS + DOWN - axis
        elif whole > self.setting and self.occupied(leaf):
            return 0
        inner = self.block[kind]
        if inner != 0:
            if wide != self.wide[kind] or high != self.high[kind]:
                inner = ACROSS + DOWN - inner
            if last_axis != 0 and inner != last_axis:
                level += 1
        return 1 if level <= self.turns else 0

    # ------------------------------------------------------------------------------ placing

    def value(self, wide: int, high: int) -> float:
        """What a free rectangle is worth: its share of the largest sheet to a power above 1, 0 where nothing fits."""
        if wide < self.least_wide or high < self.least_high:
            return 0.0
        share = float(wide) * float(high) * self.unit * 1024.0
        step = int(share)
        low = self.powers[self.power + step]
        return low + (share - step) * (self.powers[self.power + step + 1] - low)

    def consider(self, leaf: int, wide: int, high: int, kind: int) -> None:
        """Weigh the two ways of cutting wide x high out of a free leaf against the best way found so far."""
        w = self.c[leaf + WIDE]
        h = self.c[leaf + HIGH]
        whole = self.value(w, h)
        loss = whole - self.value(w - wide, h) - self.value(wide, h - high)
        if loss < self.pick_loss and (not self.ruled or self.lawful(leaf, ACROSS, wide, high, kind)):
            self.pick_loss = loss
            self.pick_leaf = leaf
            self.pick_wide = wide
            self.pick_high = high
            self.pick_axis = ACROSS
        loss = whole - self.value(w, h - high) - self.value(w - wide, high)
        if loss < self.pick_loss and (not self.ruled or self.lawful(leaf, DOWN, wide, high, kind)):
            self.pick_loss = loss
            self.pick_leaf = leaf
            self.pick_wide = wide
            self.pick_high = high
            self.pick_axis = DOWN

    def place(self, item: int) -> int:
        """Cut an item out of the free leaf where it does the least harm; 0 if there is none."""
        if self.c[SPARE_COUNT] < 4:
            return 0
        kind = self.kind_of[item]
        wide = self.wide[kind]
        high = self.high[kind]
        turned = self.turned[kind]
        self.pick_leaf = 0
        self.pick_loss = 1e300
        for i in range(self.c[FREE_COUNT]):
            entry = self.free_at + ENTRY * i
            w = self.c[entry + LEAF_WIDE]
            h = self.c[entry + LEAF_HIGH]
            if ((w >= wide) & (h >= high)) | ((w >= turned) & (h >= wide)):  # not "and": half of it cannot be foretold
                leaf = self.c[entry + LEAF]
                self.blink -= 1
                if self.blink <= 0:
                    self.blink = 1 + self.draw(99)
                    continue
                paper = self.sheet_paper[self.c[self.kind_at + self.c[leaf + SLOT]]]
                ways = self.allow[kind * self.papers + paper]
                if ways & 1 and w >= wide and h >= high:
                    self.consider(leaf, wide, high, kind)
                if ways & 2 and w >= high and h >= wide:
                    self.consider(leaf, high, wide, kind)
        if self.pick_leaf == 0:
            return 0
        self.set_down(item)
        return 1

    def set_down(self, item: int) -> None:
        """Make the cuts that were picked."""
        leaf = self.pick_leaf
        across = self.c[leaf + WIDE] > self.pick_wide
        down = self.c[leaf + HIGH] > self.pick_high
        if across and down:
            if self.pick_axis == ACROSS:
                part = self.split(leaf, ACROSS, self.pick_wide)
                part = self.branch(part, DOWN, self.pick_high, 0)
            else:
                part = self.split(leaf, DOWN, self.pick_high)
                part = self.branch(part, ACROSS, self.pick_wide, 0)
        elif across:
            part = self.split(leaf, ACROSS, self.pick_wide)
        elif down:
            part = self.split(leaf, DOWN, self.pick_high)
        else:
            part = leaf
            self.free_delete(leaf)
        self.c[part + TYPE] = PIECE
        self.c[part + ITEM] = item
        self.c[self.node_at + item] = part

    # ------------------------------------------------------------------------------ ruin and recreate

    def sort_out(self, order: int) -> None:
        """Put the items outside into one of seven orders: by chance, or by size, the largest first."""
        count = self.c[OUT_COUNT]
        if order == 0:
            for i in range(count - 1, 0, -1):
                j = self.draw(i + 1)
                item = self.c[self.out_at + i]
                self.c[self.out_at + i] = self.c[self.out_at + j]
                self.c[self.out_at + j] = item
            return
        base = (order - 1) * self.item_count
        if count * count > MANY * self.item_count:
            j = 0
            for i in range(self.item_count):
                item = self.ranked[base + i]
                if self.c[self.node_at + item] == 0:
                    self.c[self.out_at + j] = item
                    j += 1
            return
        for i in range(1, count):
            item = self.c[self.out_at + i]
            rank = self.rank[base + item]
            j = i
            while j > 0 and self.rank[base + self.c[self.out_at + j - 1]] > rank:
                self.c[self.out_at + j] = self.c[self.out_at + j - 1]
                j -= 1
            self.c[self.out_at + j] = item

    def recreate(self, order: int, most: float) -> int:
        """Place what is outside, in one of the orders; what finds no place stays outside.

        0 if it is given up midway, since the price is sure to be above `most`.
        """
        self.sort_out(order)
        self.stamp += 1
        kept = 0
        outside = 0.0
        for i in range(self.c[OUT_COUNT]):
            item = self.c[self.out_at + i]
            kind = self.kind_of[item]
            if self.failed[kind] != self.stamp and self.place(item):
                continue
            self.failed[kind] = self.stamp
            self.c[self.out_at + kept] = item
            kept += 1
            outside += self.weight[item]
            if outside > most and self.price_with(outside) > most:
                return 0
        self.c[OUT_COUNT] = kept
        return 1

    def some_sheet(self) -> int:
        """A slot that holds a sheet in use, by chance; -1 when chance finds none."""
        for _ in range(16):
            slot = self.draw(self.slots)
            if self.c[self.kind_at + slot] >= 0 and self.c[self.root(slot) + TYPE] != FREE:
                return slot
        return -1

    def ruin(self) -> None:
        """Take out one or two whole sheets, or one to four subtrees of at most three tenths of the items."""
        if self.sheet_kinds > 1 and self.keen == 0 and self.draw(8) == 0:
            self.exchange()
            return
        if self.draw(4) == 0:
            for _ in range(1 + self.draw(2)):
                slot = self.some_sheet()
                if slot >= 0:
                    self.take_out(self.root(slot))
            return
        allowance = 1 + (3 * self.item_count) // 10
        for _ in range(1 + self.draw(4)):
            node = self.c[self.node_at + self.draw(self.item_count)]
            if node == 0:
                continue
            while self.draw(2) == 0 and self.c[node + PARENT] != 0:
                node = self.c[node + PARENT]
            count = self.count_items(node)
            if count <= allowance:
                allowance -= count
                self.take_out(node)

    def used(self, kind: int) -> int:
        """Sheets of a kind that are open."""
        total = 0
        for slot in range(self.slots):
            if self.c[self.kind_at + slot] == kind:
                total += 1
        return total

    def exchange(self) -> None:
        """Take away one to three sheets and lay others in their place, as many as the budget allows."""
        for _ in range(1 + self.draw(3)):
            slot = self.draw(self.slots)
            if self.c[self.kind_at + slot] >= 0:
                self.close(slot)
        cost = 0
        sheets = 0
        for slot in range(self.slots):
            kind = self.c[self.kind_at + slot]
            if kind >= 0:
                cost += self.costs[kind]
                sheets += 1
        for _ in range(3 * self.sheet_kinds):
            kind = self.draw(self.sheet_kinds)
            dearer = cost + self.costs[kind]
            within = dearer < self.most_cost or (dearer == self.most_cost and sheets < self.most_sheets)
            if sheets == self.slots or not within or self.used(kind) >= self.limits[kind]:
                continue
            for slot in range(self.slots):
                if self.c[self.kind_at + slot] < 0:
                    self.open(slot, kind)
                    break
            cost = dearer
            sheets += 1

    def price(self) -> float:
        """What the search makes small: what is outside, and free paper that lies scattered."""
        price = self.price_with(self.left_out())
        if self.keen and self.c[OUT_COUNT] == 0 and self.largest > self.best_free:
            self.best_free = self.largest
            self.copy(self.c, self.best)
        return price

    def price_with(self, outside: float) -> float:
        """The price with so much outside; whatever is placed besides, it does not fall, since free paper is cut up."""
        squares = 0.0
        largest = 0.0
        for i in range(self.c[FREE_COUNT]):
            entry = self.free_at + ENTRY * i
            share = float(self.c[entry + LEAF_WIDE]) * float(self.c[entry + LEAF_HIGH]) * self.unit
            squares += share * share
            if share > largest:
                largest = share
        self.largest = largest
        if self.keen:
            return 10.0 * outside - largest - 0.02 * squares
        return outside - 0.2 * squares

    def search(self, rounds: int, ratio: float) -> int:
        """Up to `rounds` of ruin and recreate, cooled by `ratio` each; ends when nothing is outside (unless keen).

        Returns the rounds done. When keen the largest free rectangle is what is sought; `best` keeps it.
        """
        self.blink = 1 + self.draw(99)
        self.copy(self.c, self.saved)
        now = self.price()
        for done in range(rounds):
            if self.c[OUT_COUNT] == 0 and not self.keen:
                return done
            self.power = self.draw(3) * (STEPS + 2)
            self.ruin()
            most = now + self.temperature * self.logs[self.draw(STEPS)]
            then = most + 1.0
            if self.recreate(self.draw(ORDERS), most):
                then = self.price()
            if then <= most:
                now = then
                self.copy(self.c, self.saved)
            else:
                self.copy(self.saved, self.c)
            self.temperature *= ratio
        return rounds

    # ------------------------------------------------------------------------------ for those outside

    def heat(self, temperature: float) -> None:
        """Set the temperature, in shares of the largest sheet."""
        self.temperature = temperature

    def aim(self, most_cost: int, most_sheets: int) -> None:
        """Set the budget: a lower cost than this, or just this with at most so many sheets."""
        self.most_cost = most_cost
        self.most_sheets = most_sheets

    def weigh(self, weights: Sequence[float]) -> None:
        """Set what each item outside counts for in the search, in place of its share of the largest sheet's area."""
        self.weight = array("d", weights)

    def left_out(self) -> float:
        """What all items outside count for."""
        outside = 0.0
        for i in range(self.c[OUT_COUNT]):
            outside += self.weight[self.c[self.out_at + i]]
        return outside

    def seek_free(self) -> None:
        """From now on seek the largest free rectangle, all items staying inside."""
        self.keen = 1
        self.best_free = -1.0

    def empty_sheet(self) -> bool:
        """Whether the best state seen while seeking free paper has a whole sheet free."""
        roots = [slot for slot in range(self.slots) if self.best[self.kind_at + slot] >= 0]
        return self.best_free >= 0.0 and any(self.best[self.root_at + slot * STRIDE + TYPE] == FREE for slot in roots)

    def restore_best(self) -> None:
        """Go back to the best state that was seen while seeking free paper."""
        if self.best_free >= 0.0:
            self.copy(self.best, self.c)

    def greedy(self, order: int, power: int) -> None:
        """Place all that is outside in one order without chance; order 1 to 6, power 0 to 2."""
        self.blink = FAR
        self.power = power * (STEPS + 2)
        self.recreate(order, 1e300)

    def outside(self) -> list[int]:
        """The items that lie outside."""
        return [self.c[self.out_at + i] for i in range(self.c[OUT_COUNT])]

    def kind_in(self, slot: int) -> int:
        """The sheet kind in a slot, -1 for none."""
        return self.c[self.kind_at + slot]

    def slot_count(self) -> int:
        """How many slots there are."""
        return self.slots

    def area_in(self, slot: int) -> int:
        """Area of the items in a slot, with the kerf; 0 for an empty one."""
        if self.c[self.kind_at + slot] < 0:
            return 0
        return self.area_of(self.root(slot))

    def area_of(self, node: int) -> int:
        """Area of the items in a subtree."""
        total = self.c[node + WIDE]
        if self.c[node + TYPE] == PIECE:
            return total * self.c[node + HIGH]
        total = 0
        child = self.c[node + FIRST]
        while child != 0:
            total += self.area_of(child)
            child = self.c[child + NEXT]
        return total

    def tree(self, slot: int) -> Any:
        """The cut tree in a slot as nested tuples: (code, width, height, item or children)."""
        return self.tree_of(self.root(slot))

    def tree_of(self, node: int) -> Any:
        """The cut tree below a node."""
        kind = self.c[node + TYPE]
        size = (self.c[node + WIDE], self.c[node + HIGH])
        if kind == FREE:
            return (FREE_CODE, *size, 0)
        if kind == PIECE:
            return (PIECE_CODE, *size, self.c[node + ITEM])
        children = []
        child = self.c[node + FIRST]
        while child != 0:
            children.append(self.tree_of(child))
            child = self.c[child + NEXT]
        return (ACROSS_CODE if kind == ACROSS else DOWN_CODE, *size, tuple(children))

    def plant(self, slot: int, kind: int, tree: Any) -> None:
        """Lay a sheet into an empty slot and cut it as a tree of nested tuples says; its items are outside now."""
        self.open(slot, kind)
        root = self.root(slot)
        if tree[0] != FREE_CODE:
            self.free_delete(root)
            self.grow(root, tree)
        outside = [item for item in self.outside() if self.c[self.node_at + item] == 0]
        for i, item in enumerate(outside):
            self.c[self.out_at + i] = item
        self.c[OUT_COUNT] = len(outside)

    def grow(self, node: int, tree: Any) -> None:
        """Cut a node that is in no list as a tree says."""
        if tree[0] == FREE_CODE:
            self.c[node + TYPE] = FREE
            self.free_add(node)
            return
        if tree[0] == PIECE_CODE:
            self.c[node + TYPE] = PIECE
            self.c[node + ITEM] = tree[3]
            self.c[self.node_at + tree[3]] = node
            return
        axis = ACROSS if tree[0] == ACROSS_CODE else DOWN
        before = self.axis_of(node)
        level = self.c[node + LEVEL]
        if before not in (0, axis):
            level += 1
        self.c[node + TYPE] = axis
        previous = 0
        for part in tree[3]:
            child = self.node_new(PIECE, part[1], part[2], node, level)
            self.c[child + PREV] = previous
            if previous != 0:
                self.c[previous + NEXT] = child
            else:
                self.c[node + FIRST] = child
            previous = child
            self.grow(child, part)


def _ranks(kinds: Sequence[tuple[int, int, int]], items: Sequence[int]) -> list[int]:
    """Six rankings of the items, the largest first: area, longer side, shorter side, width, height, both sides.

    Equal ones by their kind, then by their place.
    """
    alike: dict[int, list[int]] = {}
    for item, kind in enumerate(items):
        alike.setdefault(kind, []).append(item)
    sizes = {kind: (kinds[kind][0], kinds[kind][1]) for kind in sorted(alike)}
    measures: list[dict[int, tuple[int, int]]] = [
        {kind: (w * h, 0) for kind, (w, h) in sizes.items()},
        {kind: (max(w, h), min(w, h)) for kind, (w, h) in sizes.items()},
        {kind: (min(w, h), max(w, h)) for kind, (w, h) in sizes.items()},
        {kind: (w, h) for kind, (w, h) in sizes.items()},
        {kind: (h, w) for kind, (w, h) in sizes.items()},
        {kind: (w + h, w * h) for kind, (w, h) in sizes.items()},
    ]
    ranks: list[int] = []
    for measure in measures:
        place = [0] * len(items)
        order = [item for kind in sorted(measure, key=measure.__getitem__, reverse=True) for item in alike[kind]]
        for rank, item in enumerate(order):
            place[item] = rank
        ranks.extend(place)
    return ranks


def _ranked(rank: Sequence[int], count: int) -> list[int]:
    """The items in the order of their ranks, one ranking after the other."""
    items = [0] * len(rank)
    for place, one in enumerate(rank):
        items[place - place % count + one] = place % count
    return items
