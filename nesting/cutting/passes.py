"""The order of cuts as values: what a person at the trimmer is told, and what a sheet map shows of it.

In: nothing. Out: the types that the sequencers fill, the replay checks and the reports draw. Lengths are whole
ticks. The fact of the trade: moving the stop costs time and accuracy, so one number is one stop setting and all
cuts of that setting which can be made now are made now.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from nesting.packing.layout import Axis


class Edge(Enum):
    """The edge of the part that is laid against the stop, as the sheet map shows the part."""

    LEFT = "left"
    RIGHT = "right"
    TOP = "top"
    BOTTOM = "bottom"

    @property
    def axis(self) -> Axis:
        """The axis along which the stop measures."""
        return Axis.ACROSS if self in (Edge.LEFT, Edge.RIGHT) else Axis.DOWN


class What(Enum):
    """What a part is once it lies on the table."""

    PIECE = "piece"  # finished
    PART = "part"  # to be cut again
    KEEP = "keep"  # an offcut worth keeping
    SCRAP = "scrap"


class Order(Enum):
    """How the work goes through a paper's sheets."""

    BY_SETTING = "by setting"
    STACK_BY_STACK = "stack by stack"
    SHEET_BY_SHEET = "sheet by sheet"


@dataclass(frozen=True, slots=True)
class TablePart:
    """A rectangle on the table: equal ones of all layouts of a paper are one part with one name.

    name: a letter for a piece kind (the same on every map); for a part to be cut again the letters of the
    pieces that it still holds, "A C"; empty for offcuts and scrap. kind: the piece kind's number, else None.
    """

    what: What
    width: int
    height: int
    name: str = ""
    kind: int | None = None


@dataclass(frozen=True, slots=True)
class Comes:
    """`count` equal parts that come off in one pass, over all sheets of the stacks."""

    part: TablePart
    count: int


@dataclass(frozen=True, slots=True)
class Pass:
    """One line of instructions: part to the stop, so deep, so many cuts, what comes off.

    number: the number of the stop setting; several lines may share it. edge: what goes to the stop. turned: the
    paper's direction changes before this line. stacks: how deep each stack is (their sum is the number of equal
    parts worked on); cuts: strokes per stack; strokes in all = cuts x len(stacks). setting_mark: nearest mark
    of the ruler where the setting is off its step, else None. spacer: the part is narrower than can be held, so a
    spacer of known width goes to the stop. squares: what comes off is a margin, so that an edge is trued.
    """

    number: int
    setting: int
    edge: Edge
    part: TablePart
    stacks: tuple[int, ...]
    cuts: int
    comes: tuple[Comes, ...]
    turned: bool = False
    setting_mark: int | None = None
    spacer: bool = False
    squares: bool = False

    @property
    def strokes(self) -> int:
        """Strokes of the blade that this line asks for."""
        return self.cuts * len(self.stacks)


@dataclass(frozen=True, slots=True)
class MapCut:
    """One cut line on the map of layout number `layout` (0 up): from (x0, y0) to (x1, y1), origin top left.

    number: the stop setting's number. stage: 1 for the first cuts of the whole sheet, 2 after one turn, and so on.
    """

    layout: int
    number: int
    stage: int
    x0: int
    y0: int
    x1: int
    y1: int


@dataclass(frozen=True, slots=True)
class MapPart:
    """One leaf on the map of layout number `layout`: its rectangle and what it is."""

    layout: int
    x: int
    y: int
    width: int
    height: int
    part: TablePart
    turned: bool = False
    error_steps: int = 0  # the most stop settings that add up in one of its sizes; 1 is a part cut directly


@dataclass(frozen=True, slots=True)
class CutOrder:
    """The passes of one paper in order, the maps that go with them, and how good the order is.

    settings: how often the stop is set; numbers run from 1 to it, except sheet by sheet, where the settings of a
    layout are made anew for each of its sheets. fewest: no order of these layouts under these rules can do with
    fewer, whatever is left over. fewest_as_sure: none can in which errors add up in no more pieces. piles: the most
    piles of unfinished parts that lie about when the stop is moved (whole sheets not begun are no piles). turns:
    quarter turns of the work. seconds: time at the trimmer by the user's own figures. Proven means settings == fewest.
    """

    passes: tuple[Pass, ...]
    cuts: tuple[MapCut, ...]
    parts: tuple[MapPart, ...]
    settings: int
    fewest: int
    fewest_as_sure: int
    piles: int
    turns: int
    seconds: int
    way: Order = Order.BY_SETTING

    @property
    def proven(self) -> bool:
        """No order can do with fewer stop settings."""
        return self.settings == self.fewest

    @property
    def proven_as_sure(self) -> bool:
        """No order in which errors add up in no more pieces can do with fewer stop settings."""
        return self.settings == self.fewest_as_sure

    @property
    def strokes(self) -> int:
        """Strokes of the blade in all."""
        return sum(line.strokes for line in self.passes)


@dataclass(frozen=True, slots=True)
class WaysOfWork:
    """What the sequencer is told of the trimmer and of the person; lengths in ticks, times in seconds.

    deep: sheets per pass for this paper. ruler_step: the finest mark of the ruler. narrowest_held: see CutRules.
    keep_from: a free part with both sides at least this long is an offcut to keep. most_piles: cap on the piles.
    most_error_steps: a piece in which more stop settings add up is flagged. square_first: the edges of the sheets
    are not to be trusted: margins are trimmed off under the stop before anything else, and an untrimmed edge counts
    as an error. halve_rows: a row of equal parts without waste, in which too many errors would add up, is halved
    first; that takes more settings. least_trim: the thinnest trim that comes off clean, an eighth of an inch.
    seconds_per_measure: to measure and true a piece in which errors add up, beyond a setting for all equal ones.
    seconds_per_offcut: how long one would work for an offcut as large as the largest sheet; one of half that size is
    worth a quarter of it. These two defaults are our own choice; the others are common practice, no published source.
    """

    deep: int = 1
    ruler_step: int = 5080
    narrowest_held: int = 0
    largest_setting: int | None = None
    keep_from: tuple[int, int] = (0, 0)
    most_piles: int = 8
    seconds_per_stroke: int = 4
    seconds_per_setting: int = 15
    seconds_per_turn: int = 4
    seconds_per_stack: int = 6
    seconds_per_measure: int = 20
    seconds_per_offcut: int = 300
    most_error_steps: int = 2
    square_first: bool = False
    halve_rows: bool = False
    least_trim: int = 10_160

    @property
    def seconds_per_size(self) -> int:
        """To begin with another size: the stop is set, the paper is turned."""
        return self.seconds_per_setting + self.seconds_per_turn

    @property
    def seconds_per_truing(self) -> int:
        """To begin with truing pieces of one size in which errors add up; none for those who never measure them."""
        return self.seconds_per_size if self.seconds_per_measure else 0

    def seconds_to_true(self, count: int) -> int:
        """To measure and true so many equal pieces in which errors add up."""
        return bool(count) * self.seconds_per_truing + count * self.seconds_per_measure
