"""The drawer as a list: written, read with its columns in any order, and all that is wrong in it said at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.describe.names import composed
from nesting.describe.papers import Grain, PrintDirection, Rim, Sheet
from nesting.errors import NestingError
from nesting.lengths import Length, Unit, inches, mm
from nesting.stash.drawer import Lot, Stash
from nesting.stash.items import Details, Item
from nesting.stash.list_file import COLUMNS, read_list, write_list


def _read(tmp_path: Path, text: str, unit: Unit = Unit.INCH) -> tuple[Lot, ...]:
    path = tmp_path / "drawer.csv"
    path.write_text(text, "utf-8")
    return read_list(path, unit)[0]


words = st.text(st.characters(exclude_categories=["C", "Z"]), max_size=12)
details = st.builds(
    Details,
    paper=words.filter(bool).map(composed),
    sheet=st.builds(
        Sheet,
        st.integers(1, 10**6).map(lambda n: Length(n * 32)),
        st.integers(1, 10**4).map(lambda n: Length(n * 1270)),
        st.just(Rim()) | st.just(Rim(Length(7), Length(3), Length(4), Length(2))),
    ),
    unit=st.sampled_from(Unit),
    direction=st.sampled_from([None, *PrintDirection]),
    grain=st.sampled_from(Grain),
    kept=words,
    label=words | st.sampled_from(["=1+1", "'quoted", "'=", "-", "a, b; c", '6" pad']),
)


@settings(max_examples=40, deadline=None)
@given(st.lists(details, min_size=1, max_size=4))
def test_a_list_that_was_written_reads_back_as_the_same_drawer(
    tmp_path_factory: pytest.TempPathFactory, found: list[Details]
) -> None:
    items = [Item(n, known, n + 1, "2024-05-31") for n, known in enumerate(found)]
    lots = _read(tmp_path_factory.mktemp("list"), write_list(items))
    assert len(lots) == len(items)
    for lot, item in zip(lots, items, strict=True):
        assert lot.details.like(item.details)
        assert (lot.count, lot.added) == (item.count, "2024-05-31")


def test_columns_may_stand_in_any_order_and_most_may_be_left_out(tmp_path: Path) -> None:
    (lot,) = _read(tmp_path, "Height; Paper ;WIDTH\r\n5 1/2;pine;132 mm\r\n\r\n")
    assert lot == Lot(Details("pine", Sheet(mm(132), inches("11/2")), Unit.MILLIMETRE), 1)
    text = "paper\twidth\theight\tprint\tgrain\tcount\npine\t3\t4\tOne-Way\tup\t12\n"
    (lot,) = _read(tmp_path, text, Unit.CENTIMETRE)
    sheet = Sheet(mm(30), mm(40))
    assert lot == Lot(Details("pine", sheet, Unit.CENTIMETRE, PrintDirection.ONE_WAY, Grain.UP), 12)


def test_a_row_with_a_count_of_nothing_is_left_out(tmp_path: Path) -> None:
    lots = _read(tmp_path, "paper,width,height,count\npine,3,4,0\npine,3,5,2\n")
    assert [lot.count for lot in lots] == [2]


def test_all_mistakes_of_a_list_are_said_at_once_each_with_its_line(tmp_path: Path) -> None:
    text = (
        "paper,width,height,count,print,grain,rim left,added,label\n"
        ",3,4\n"
        "pine,three,,-2,sideways,along,9,31.5.2024,ok\n"
        "pine,3,4,1,none,up,5,2024-05-31,ok,too many\n"
    )
    with pytest.raises(NestingError) as error:
        _read(tmp_path, text)
    found = [(problem.place.line, problem.place.subject) for problem in error.value.problems]
    assert found == [
        (2, "paper"), (3, "width"), (3, "height"), (3, "print"), (3, "grain"), (3, "count"), (3, "added"), (4, ""),
        (4, ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "This list holds no sheets"),
        ("paper,width,height\n", "This list holds no sheets"),
        ("paper,width\npine,3\n", "The column “height” is missing"),
        ("paper,width,height,hieght\npine,3,4,5\n", "Did you mean “height”?"),
        ("paper,paper,width,height\npine,pine,3,4\n", "The column “paper” is there twice"),
        ("paper,width,height,rim left\npine,3,4,3\n", "The rim leaves nothing of this sheet"),
        ('paper,width,height\n"pine,3,4', "This list holds no sheets|missing|There is no width"),
        ("paper,width,height\npine,1/3,4\n", "finer than this program's grid"),
    ],
)
def test_what_cannot_be_read_is_told_in_a_sentence(tmp_path: Path, text: str, sentence: str) -> None:
    with pytest.raises(NestingError, match=sentence):
        _read(tmp_path, text)


def test_the_same_list_is_read_in_once_only(tmp_path: Path) -> None:
    path = tmp_path / "drawer.csv"
    path.write_text("paper,width,height,count\npine,3,4,2\n", "utf-8")
    with Stash(tmp_path / "drawer.sqlite", new=True) as stash:
        stash.read_in(*read_list(path, Unit.INCH))
        path.write_text("width,paper,height,count\n3 in,pine,4 in,2\n", "utf-8")  # the same, said another way
        with pytest.raises(NestingError, match="This list was recorded already: entry 1"):
            stash.read_in(*read_list(path, Unit.INCH))
        stash.read_in(*read_list(path, Unit.INCH), again=True)
        assert [item.count for item in stash.items()] == [4]


def test_the_columns_written_are_the_columns_read() -> None:
    assert write_list(()) == ",".join(COLUMNS) + "\r\n"
