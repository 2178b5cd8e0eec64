"""What the terminal shows: mistakes and piece lists; fits 80 columns.

In: a PieceList or Problems. Out: rich tables and texts, printed on the console that is handed in.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from nesting.errors import Problem
from nesting.lengths import Unit
from nesting.pieces.piece_list import Piece, PieceList
from nesting.reports import phrases


def show_problems(console: Console, problems: Sequence[Problem]) -> None:
    """Every problem: where, what is wrong, what to do."""
    for problem in problems:
        where = str(problem.place)
        if where:
            console.print(Text(where, style="bold"))
        console.print(Text(f"  {problem.what}"))
        console.print(Text(f"  → {problem.todo}", style="green"))
    console.print(Text(f"{phrases.plural(len(problems), 'mistake')} to mend; nothing was written.", style="bold"))


def show_pieces(console: Console, pieces: PieceList, unit: Unit) -> None:
    """The piece list, paper by paper, each size with where it came from."""
    for paper in dict.fromkeys(piece.paper for piece in pieces.pieces):
        listed = pieces.of_paper(paper)
        console.print(Text(paper, style="bold"))
        table = new_table()
        table.expand = True
        table.add_column("size", width=15, no_wrap=True)
        table.add_column("count", justify="right", width=6, no_wrap=True)
        table.add_column("for", ratio=1)
        table.add_column("where the size comes from", ratio=1)
        for piece in listed:
            size = phrases.size(piece.width.ticks, piece.height.ticks, unit)
            others = "".join(f", or of {name}" for name, _ in piece.or_papers)
            table.add_row(size, _count(piece), escape(piece.title + others), escape(piece.came_from))
        console.print(table)
        console.print()
    total = sum(piece.count for piece in pieces.pieces)
    spare = sum(piece.spare for piece in pieces.pieces)
    spares = f" (+ {spare} spare)" if spare else ""
    console.print(
        f"{phrases.plural(total - spare, 'piece')}{spares}. Sizes are across x up, in {phrases.UNITS[unit]}."
    )


def _count(piece: Piece) -> str:
    return f"{piece.need}+{piece.spare}" if piece.spare else str(piece.need)


def show_paragraphs(console: Console, paragraphs: Sequence[Sequence[str]]) -> None:
    """Sentences in paragraphs: the first one bold, the others indented below it."""
    for first, *others in paragraphs:
        console.print()
        console.print(Text(first, style="bold"))
        for sentence in others:
            console.print(Padding(Text(sentence), (0, 0, 0, 2)))


def new_console(*, errors: bool = False) -> Console:
    """A console on standard output or for errors; where the output is piped, it is 80 columns wide."""
    return Console(stderr=errors, highlight=False, soft_wrap=False, width=None if sys.stdout.isatty() else 80)


@contextmanager
def working(first: str) -> Iterator[Callable[[str], None]]:
    """A line that says what is being done, which every next sentence takes the place of; none where it is piped."""
    with new_console(errors=True).status(first, spinner="dots") as status:
        yield lambda sentence: status.update(escape(sentence))


def new_table(*, tight: bool = False) -> Table:
    """An empty table in this house's style: no lines, quiet heads."""
    return Table(box=None, pad_edge=False, header_style="dim", padding=(0, 1), collapse_padding=tight)
