"""What a finished card fits: closed size, thickness, mass, envelopes, and the limits of the posts at their edges."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.describe.designs import Area
from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.fit import CardFit, Verdict, fits_of, sentences
from nesting.fit.closed import ClosedCard, _deepest
from nesting.fit.envelopes import smallest_envelopes, try_envelope
from nesting.fit.post import MailItem, ask_the_posts
from nesting.lengths import ZERO, Length, Unit, inches, mm
from nesting.plan import make_plan
from nesting.standards import ENVELOPES, Envelope, EnvelopeSystem, likely_thickness

PAPERS = """
[paper.heavy]
sheet = "12 x 12"
weight = "300 gsm"
thickness = "0.4 mm"
[paper.light]
sheet = "12 x 12"
weight = "100 gsm"
thickness = "0.1 mm"
[paper.unknown]
sheet = "12 x 12"
"""
AMERICA, ISO = EnvelopeSystem.NORTH_AMERICAN, EnvelopeSystem.ISO


def fit_of_card(folder: Path, design: str, unit: str = "in") -> CardFit:
    text = f'unit = "{unit}"\n{PAPERS}\n[design.card]\n{design}\n[batch]\ncards = {{ card = 1 }}\n'
    (folder / "all.toml").write_text(text)
    (found,) = fits_of(read_project(folder))
    return found


def closed(folder: Path, design: str) -> ClosedCard:
    card = fit_of_card(folder, design).card
    assert card is not None
    return card


def heavy(folder: Path, family: str, *parts: str, size: str = "100 x 100 mm") -> ClosedCard:
    """A shut card of the heavy paper with these parts."""
    return closed(folder, f'family = "{family}"\nbase = "heavy"\nsize = "{size}"\nparts = [{", ".join(parts)}]')


def envelope(name: str, side: str = "") -> Envelope:
    return next(e for e in ENVELOPES if e.name == name and (not side or e.long == inches(side)))


def in_post(item: MailItem) -> dict[str, Verdict]:
    return {verdict.post: verdict.verdict for verdict in ask_the_posts(item, Unit.MILLIMETRE)}


def mail(found: Envelope) -> MailItem:
    return MailItem(found.long, found.short, mm(1), Fraction(15))


def flat(width: Length, height: Length, thickness: Length = ZERO) -> ClosedCard:
    return ClosedCard("card", width, height, thickness, 2, Fraction(10), False, (), False, True)


# ---------------------------------------------------------------------------------------------- the closed card


def test_a_half_fold_with_mat_and_foam_is_added_up_by_hand(tmp_path: Path) -> None:
    """Two plies of 0.4 mm, a mat of 0.1 mm, a layer of 0.1 mm on 1 mm of foam: 2.0 mm, four plies."""
    card = heavy(
        tmp_path,
        "half fold",
        '{ mat = "frame", on = "front", paper = "light", smaller_by = "10 mm" }',
        '{ layer = "art", on = "frame", paper = "light", smaller_by = "10 mm", raised_by = "1 mm" }',
        size="100 x 150 mm",
    )
    assert (card.width, card.height) == (mm(100), mm(150))
    assert (card.thickness, card.plies, card.uneven, card.by_guide) == (mm(2), 4, True, False)
    # 0.2 m x 0.15 m x 300 + 0.09 x 0.14 x 100 + 0.08 x 0.13 x 100 g
    assert card.grams == 9 + Fraction("1.26") + Fraction("1.04")


def thin_card(folder: Path, size: str) -> ClosedCard:
    """A flat card of paper of 90 g/m2."""
    paper = f'[paper.thin]\nsheet = "{size}"\nweight = "90 gsm"\n'
    design = f'[design.card]\nfamily = "flat card"\nbase = "thin"\nsize = "{size}"\n'
    (folder / "all.toml").write_text(f"{paper}{design}[batch]\ncards = {{ card = 1 }}\n")
    (found,) = fits_of(read_project(folder))
    assert found.card is not None
    return found.card


def test_mass_of_a_pile_is_as_printed(tmp_path: Path) -> None:
    """10 370 sheets of 86 x 122 cm at 90 g/m2 weigh 979.218 kg (bvdm teaching sheet 12.5, 2017)."""
    grams = thin_card(tmp_path, "86 x 122 cm").grams
    assert grams is not None
    assert round(10_370 * grams) == 979_218


def test_mass_of_a_sheet_is_area_times_grammage(tmp_path: Path) -> None:
    """0.13 x 0.19 m at 90 g/m2 is 2.223 g (printed at fedrigoniclub.com)."""
    card = thin_card(tmp_path, "130 x 190 mm")
    assert (card.grams, card.thickness, card.by_guide) == (Fraction("2.223"), mm("0.135"), True)


def test_a_window_takes_off_mass_and_not_thickness(tmp_path: Path) -> None:
    card = heavy(
        tmp_path,
        "flat card",
        '{ mat = "m", on = "front", paper = "light", smaller_by = "20 mm" }',
        '{ window = "w", on = "m", size = "30 x 40 mm" }',
        '{ window = "v", on = "front", size = "10 x 10 mm" }',
    )
    assert card.grams == 3 + Fraction("0.64") - Fraction("0.12") - Fraction("0.03")
    assert card.thickness == mm("0.5")


def test_both_faces_of_a_gate_fold_lie_over_each_other(tmp_path: Path) -> None:
    """Gates 1 ply over the back; a mat on the left gate and one on the middle: 2 plies and 2 mats on the left."""
    card = heavy(
        tmp_path,
        "gate fold",
        '{ mat = "gate", on = "gates", paper = "light", smaller_by = "10 mm" }',
        '{ mat = "inner", on = "middle", paper = "light", smaller_by = "10 mm" }',
    )
    assert (card.plies, card.thickness) == (4, mm("1.0"))


def test_an_easel_and_a_tunnel_pile_up_at_their_ends(tmp_path: Path) -> None:
    easel = heavy(tmp_path, "easel")
    assert easel.plies == 4  # bottom, both halves of the stand, front
    assert easel.grams == Fraction(9)
    tunnel = closed(
        tmp_path, 'family = "tunnel"\nbase = "heavy"\nsize = "100 x 100 mm"\nframes = 3\nrim = "20 mm"\ndepth = "10 mm"'
    )
    assert tunnel.plies == 3 + 5
    # frames 2 x (100 x 100 - 60 x 60), back 100 x 100, sides 2 x 50 x 100 mm2
    assert tunnel.grams == Fraction((2 * 6400 + 10000 + 10000) * 300, 10**6)


def test_a_tab_that_reaches_out_makes_the_card_larger(tmp_path: Path) -> None:
    tab = '{ tab = "t", on = "front", paper = "light", size = "1 x 1", at = "3 1/2 x 1" }'
    card = heavy(tmp_path, "half fold", tab, size="4 x 6")
    assert card.height == inches(6)
    assert card.width == inches("9/2")


def test_without_a_weight_size_is_told_and_the_rest_is_asked_for(tmp_path: Path) -> None:
    found = fit_of_card(tmp_path, 'family = "half fold"\nbase = "unknown"\nsize = "4 1/4 x 5 1/2"')
    assert found.card is not None
    assert found.card.thickness is None
    assert found.card.grams is None
    said = "\n".join(sentences(found, Unit.INCH))
    assert "Not known: the weight of unknown" in said
    assert "thickness and weight not known" in said


def test_a_card_that_cannot_be_shut_says_so(tmp_path: Path) -> None:
    design = 'base = "heavy"\nsize = "9 x 8"\nacross = [3, 6]\ndown = [4]\njoined = [[1, 4]]'
    found = fit_of_card(tmp_path, design)
    assert found.card is None
    assert "cannot be shut flat" in sentences(found, Unit.INCH)[0]


RECTANGLES = st.lists(
    st.tuples(*[st.integers(0, 9)] * 2, *[st.integers(1, 6)] * 2, st.integers(1, 5)), min_size=1, max_size=12
)


@given(RECTANGLES)
def test_the_deepest_spot_is_that_of_counting_every_square(rectangles: list[tuple[int, int, int, int, int]]) -> None:
    sheets = [(Area(Length(x), Length(y), Length(w), Length(h)), value) for x, y, w, h, value in rectangles]
    counted = max(
        sum(value for x, y, w, h, value in rectangles if x <= i < x + w and y <= j < y + h)
        for i in range(16) for j in range(16)
    )  # fmt: skip
    assert _deepest(sheets) == counted


@pytest.mark.parametrize("wrong", ["0", "30 mm", "1", "x"])
def test_a_paper_is_not_thick_as_a_board(tmp_path: Path, wrong: str) -> None:
    (tmp_path / "all.toml").write_text(f'[paper.p]\nsheet = "A4"\nthickness = "{wrong}"\n[batch]\ncards = {{}}\n')
    with pytest.raises(NestingError, match="thickness"):
        read_project(tmp_path)


def test_ten_points_are_ten_thousandths_of_an_inch(tmp_path: Path) -> None:
    text = '[paper.p]\nsheet = "A4"\nthickness = "10 pt"\n[design.d]\nbase = "p"\nsize = "1 x 1"\n'
    (tmp_path / "all.toml").write_text(text + "[batch]\ncards = { d = 1 }\n")
    assert read_project(tmp_path).papers[0].thickness == Length(813)  # 812.8 ticks


# ---------------------------------------------------------------------------------------------- envelopes


def test_the_commonest_card_goes_into_an_a2_and_is_called_snug() -> None:
    """4 1/4 x 5 1/2 leaves 1/8 in the height of an A2 (common practice): it must not be refused."""
    first, roomy = smallest_envelopes(flat(inches("17/4"), inches("11/2")), AMERICA)
    assert (first.envelope.name, first.snug, first.spare) == ("A2", True, inches("1/8"))
    assert not roomy.snug
    assert ENVELOPES.index(roomy.envelope) > ENVELOPES.index(first.envelope)


@pytest.mark.parametrize(
    ("width", "height", "name"),
    [("5", "7", "A7"), ("3 1/2", "4 7/8", "A1"), ("4 1/2", "6 1/4", "A6"), ("5 1/4", "7 7/8", "A8")],
)
def test_a_card_goes_into_the_envelope_made_for_it(width: str, height: str, name: str) -> None:
    """Common practice: a 5 x 7 card goes into an A7, and the like."""

    def length(text: str) -> Length:
        return inches(sum((Fraction(part) for part in text.split()), Fraction(0)))

    assert smallest_envelopes(flat(length(width), length(height)), AMERICA)[0].envelope.name == name


def test_an_a6_card_goes_into_a_c6_and_an_a5_into_a_c5() -> None:
    """ISO 269 with ISO 216."""
    assert [fit.envelope.name for fit in smallest_envelopes(flat(mm(105), mm(148)), ISO)] == ["C6"]
    assert [fit.envelope.name for fit in smallest_envelopes(flat(mm(148), mm(210)), ISO)] == ["C5"]


def test_under_an_eighth_is_refused_and_thickness_takes_room() -> None:
    a2 = envelope("A2")
    assert try_envelope(flat(inches("17/4"), inches("11/2")), a2)
    assert not try_envelope(flat(inches("69/16"), inches("11/2")), a2)
    assert try_envelope(flat(inches("17/4"), inches("11/2"), inches("1/16")), a2)
    assert not try_envelope(flat(inches("17/4"), inches("11/2"), inches("5/64")), a2)


def test_what_fits_no_envelope_is_told_the_size_of_one_to_make(tmp_path: Path) -> None:
    found = fit_of_card(tmp_path, 'family = "half fold"\nbase = "heavy"\nsize = "11 x 11"')
    assert not found.envelopes
    said = "\n".join(sentences(found, Unit.INCH))
    assert "to cut and fold would be 11 1/4 x 11 1/4 in" in said
    assert "from a sheet of at least 12 1/2 x 25 5/16 in" in said  # tabs of 5/8 in; 11 1/4 + 8 7/16 + 5 5/8
    assert "United States, in an envelope made to measure: does not go as a letter" in said


def test_an_envelope_to_cut_and_fold_is_planned_with_the_card_that_goes_into_it(tmp_path: Path) -> None:
    text = (
        '[paper.heavy]\nsheet = "24 x 36"\nweight = "216 gsm"\n[paper.thin]\nsheet = "18 x 24"\nweight = "100 gsm"\n'
        '[design.card]\nfamily = "half fold"\nbase = "heavy"\nsize = "6 x 10"\nfold = "top"\n'
        '[design.cover]\nfamily = "envelope"\nbase = "thin"\nsize = "10 1/4 x 6 1/4"\n'
        "[batch]\ncards = { card = 2, cover = 2 }\n"
    )
    (tmp_path / "all.toml").write_text(text)
    project = read_project(tmp_path)
    card, cover = fits_of(project)
    assert card.own == (inches("41/4"), inches("25/4"))
    assert cover.card is not None
    assert (cover.card.width, cover.card.height) == card.own
    assert len(sentences(cover, Unit.INCH)) == 1  # what is posted is the envelope itself
    made = make_plan(project)
    assert made.complete
    (base,) = made.pieces.of_paper("thin")
    assert (base.width, base.height) == (inches("23/2"), inches("225/16"))  # 10 1/4 + 2 x 5/8; 6 1/4 + 4 11/16 + 3 1/8


# ---------------------------------------------------------------------------------------------- the posts


def test_a_bare_card_is_square_to_the_post_and_in_its_envelope_it_is_not() -> None:
    """5.5 / 4.25 = 1.294 fails 1.3, 5.75 / 4.375 = 1.314 passes (USPS DMM 101.1.2)."""
    assert in_post(MailItem(inches("5.5"), inches("4.25"), mm("0.5")))["United States"] is Verdict.DEARER
    assert in_post(mail(envelope("A2")))["United States"] is Verdict.GOES


def test_small_envelopes_are_too_short_for_canada() -> None:
    """Letter Mail Regulations: at least 140 mm; an A1 has 130.2, a 5 1/2 in square misses it by 0.3 mm."""
    assert in_post(mail(envelope("A1")))["Canada"] is Verdict.NOT
    assert in_post(mail(envelope("square", "5")))["Canada"] is Verdict.NOT
    verdicts = ask_the_posts(mail(envelope("square", "11/2")), Unit.MILLIMETRE)
    canada = next(verdict for verdict in verdicts if verdict.post == "Canada")
    assert canada.verdict is Verdict.NOT
    assert canada.reasons[0] == "0.3 mm not long enough"


def test_a_square_of_six_and_a_half_is_a_tenth_too_high_for_britain_and_too_high_for_the_states() -> None:
    """165.1 mm against 165 (Ofcom); 6 1/2 against 6 1/8 in (DMM 101.1.1)."""
    square = mail(envelope("square", "13/2"))
    verdicts = {verdict.post: verdict for verdict in ask_the_posts(square, Unit.MILLIMETRE)}
    assert verdicts["Britain"].mail_class == "large letter"
    assert verdicts["Britain"].reasons == ("0.1 mm too high",)
    assert verdicts["United States"].verdict is Verdict.NOT


def test_a_c5_is_too_high_for_a_letter_in_the_states() -> None:
    """162 mm against 6 1/8 in = 155.575 mm."""
    assert in_post(mail(envelope("C5")))["United States"] is Verdict.NOT


@pytest.mark.parametrize("name", ["C6", "B6", "DL"])
def test_these_envelopes_go_everywhere(name: str) -> None:
    assert set(in_post(mail(envelope(name))).values()) == {Verdict.GOES}


def test_an_a10_is_a_large_letter_in_britain() -> None:
    """9 1/2 in = 241.3 mm against 240."""
    verdicts = {verdict.post: verdict for verdict in ask_the_posts(mail(envelope("A10")), Unit.MILLIMETRE)}
    assert (verdicts["Britain"].verdict, verdicts["Britain"].mail_class) == (Verdict.DEARER, "large letter")


def test_thickness_mass_and_foam_are_judged() -> None:
    dl = envelope("DL")

    def post(name: str, thickness: Length, grams: int, uneven: bool = False) -> tuple[Verdict, str]:
        item = MailItem(dl.long, dl.short, thickness, Fraction(grams), uneven)
        found = next(v for v in ask_the_posts(item, Unit.MILLIMETRE) if v.post == name)
        return found.verdict, found.mail_class

    assert post("Germany", mm(5), 20) == (Verdict.GOES, "Standardbrief")
    assert post("Germany", mm("5.01"), 20) == (Verdict.DEARER, "Kompaktbrief")
    assert post("Germany", mm(5), 21) == (Verdict.DEARER, "Kompaktbrief")
    assert post("Germany", mm("10.1"), 20)[0] is Verdict.NOT
    assert post("Canada", mm(5), 50)[0] is Verdict.GOES
    assert post("Canada", mm("5.1"), 50)[0] is Verdict.NOT
    assert post("United States", inches("1/4"), 99)[0] is Verdict.GOES
    assert post("United States", inches("1/4"), 100)[0] is Verdict.NOT
    assert post("United States", inches("1/8"), 20, uneven=True)[0] is Verdict.DEARER
    assert post("United States", mm("0.2"), 5)[0] is Verdict.NOT  # over 6 in long: at least 0.009 in, 0.2286 mm
    assert post("Britain", mm(25), 750) == (Verdict.DEARER, "large letter")
    assert post("Britain", mm(25), 751)[0] is Verdict.NOT


def test_a_bare_post_card_is_judged_as_a_card(tmp_path: Path) -> None:
    """DMM 101.6.2: 3 1/2 to 4 1/4 by 5 to 6 in, 0.007 to 0.016 in thick."""
    found = fit_of_card(tmp_path, 'family = "flat card"\nbase = "heavy"\nsize = "6 x 4"')
    bare = found.posted[-1]
    assert bare.inside is None
    assert [(v.post, v.mail_class, v.verdict) for v in bare.verdicts][:2] == [
        ("United States", "card", Verdict.GOES), ("United States", "letter", Verdict.GOES),
    ]  # fmt: skip
    larger = fit_of_card(tmp_path, 'family = "flat card"\nbase = "heavy"\nsize = "6 1/16 x 4"')
    assert larger.posted[-1].verdicts[0].reasons == ("1/16 in too long",)


def test_every_sentence_about_a_post_names_its_source_and_sends_one_to_the_post(tmp_path: Path) -> None:
    found = fit_of_card(tmp_path, 'family = "half fold"\nbase = "heavy"\nsize = "4 1/4 x 5 1/2"')
    said = sentences(found, Unit.INCH)
    posts = [line for line in said if line.startswith(("United States", "Canada", "Britain", "Germany"))]
    assert len(posts) == 8  # an A2 and a C6, four posts each
    assert all(line.endswith("; check with the post.") and "Rule: " in line for line in posts)
    assert said[0] == "card, closed: 4 1/4 x 5 1/2 in, about 0.04 in thick (2 plies at most), about 9 g without glue."
    assert said[1] == "It fits an A2 (5 3/4 x 4 3/8 in): snug, 1/8 in to spare; try one first."


def test_inches_and_millimetres_agree(tmp_path: Path) -> None:
    inch = fit_of_card(tmp_path, 'family = "half fold"\nbase = "heavy"\nsize = "5 x 7 in"')
    metric = fit_of_card(tmp_path, 'family = "half fold"\nbase = "heavy"\nsize = "127 x 177.8 mm"', "mm")
    assert inch.card == metric.card
    assert set(inch.envelopes) == set(metric.envelopes)


def test_an_envelope_adds_its_own_two_plies() -> None:
    assert mm("0.1") < likely_thickness(Fraction(100)) < mm("0.2")
