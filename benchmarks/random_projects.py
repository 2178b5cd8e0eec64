"""Made-up projects as files: cards of every kind of part, papers of every kind, any trimmer, by seed.

In: a seed. Out: the text of a project folder's files, in a mixture of inches and millimetres as users write them. What
a seed describes may turn out to be no card at all (a mat that does not fit): the reader then says so, and that counts.
"""

from __future__ import annotations

import random
from fractions import Fraction

SIZES = (("4 1/4", "5 1/2"), ("5", "7"), ("5 1/4", "5 1/4"), ("3 1/2", "8 1/2"), ("6", "6"), ("105 mm", "148 mm"))
FAMILIES = (
    "half fold", "half fold", "half fold", "flat card", "tri-fold", "gate fold", "accordion", "pocket",
    "standing card", "easel",
)  # fmt: skip
EXTRA = {
    "accordion": ["count = 4"],
    "pocket": ['depth = "2"'],
    "standing card": ['stands = "2 x 1 1/2"'],
}
PRINTS = ("none", "none", "two-way", "one-way")
SHEETS = ("12 x 12", "12 x 12", "letter", "A4", "8 x 8", "305 x 305 mm")
WEIGHTS = ("80 lb cover", "65 lb cover", "120 gsm", "300 gsm", "70 lb text")
LESS = ("1/8", "1/4", "3/16", "3 mm", "1/8 x 1/4")
SMALL = ("3 x 5/8", "1 1/2 x 1 1/2", "2 x 1", "2 3/4 x 3/4", "40 x 25 mm", "1 x 1 7/8")


def project_files(seed: int) -> dict[str, str]:
    """File names and their text."""
    chance = random.Random(f"project {seed}")
    names = [f"paper {number}" for number in range(1, chance.randint(3, 6))]
    designs = [f"card {number}" for number in range(1, chance.choice((2, 2, 2, 3)))]
    files = {
        "papers.toml": _bases(chance) + "\n".join(_paper(chance, name, names) for name in names),
        "designs.toml": "\n".join(_design(chance, name, names) for name in designs),
        "batch.toml": _batch(chance, designs),
    }
    if chance.random() < 0.6:
        files["trimmer.toml"] = _trimmer(chance)
    if chance.random() < 0.2:
        files["list.csv"] = _list(chance, names)
    return files


def _bases(chance: random.Random) -> str:
    """Cardstock for the bases, in a sheet that takes most of them."""
    sheet = chance.choice(("A2", "A2", "A3", "17 x 22", "12 x 12"))
    return f'[paper.bases]\nweight = "80 lb cover"\nsheet = "{sheet}"\nprice = 0.40\n\n'


def _paper(chance: random.Random, name: str, names: list[str]) -> str:
    lines = [f'[paper."{name}"]', f'print = "{chance.choice(PRINTS)}"']
    if chance.random() < 0.7:
        lines.append(f'weight = "{chance.choice(WEIGHTS)}"')
    if chance.random() < 0.4:
        lines.append(f'grain = "{chance.choice(("up", "across"))}"')
    price = f"price = {chance.randint(10, 150) / 100:.2f}" if chance.random() < 0.8 else ""
    first, second = chance.sample(sorted(set(SHEETS)), 2)
    if chance.random() < 0.25:
        entries = [f'{{ sheet = "{sheet}"{", " + price if price else ""} }}' for sheet in (first, second)]
        lines.append(f"sold = [{', '.join(entries)}]")
    else:
        lines += [f'sheet = "{chance.choice(SHEETS)}"', price]
    if chance.random() < 0.25:
        lines.append(
            chance.choice(('rim = { bottom = "1/2" }', 'rim = "5 mm"', 'rim = { left = "1/4", top = "3 mm" }'))
        )
    if chance.random() < 0.5:
        held = [f'{{ sheet = "{chance.choice(SMALL + SHEETS)}", count = {chance.randint(1, 4)} }}' for _ in range(2)]
        lines.append(f"at_hand = [{', '.join(held[: chance.randint(1, 2)])}]")
    if chance.random() < 0.1:
        lines.append(f'stand_in = "{chance.choice([*(other for other in names if other != name), "bases"])}"')
    return "\n".join(line for line in lines if line) + "\n"


def _design(chance: random.Random, name: str, names: list[str]) -> str:
    family = chance.choice(FAMILIES)
    width, height = chance.choice(SIZES)
    lines = [f'[design."{name}"]', f'family = "{family}"', 'base = "bases"',
             f'size = "{width} x {height}"', *EXTRA.get(family, [])]  # fmt: skip
    parts: list[str] = []
    below = '"all"'
    for depth in range(chance.randint(1, 3)):
        word, paper = ("mat", "layer")[depth % 2], chance.choice(names)
        less = chance.choice(LESS)
        parts.append(f'{{ {word} = "part {depth}", on = {below}, paper = {_papers(chance, paper, names)}, '
                     f'smaller_by = "{less}" }}')  # fmt: skip
        below = f'"part {depth}"'
    if chance.random() < 0.2:
        parts.append(f'{{ window = "peek", on = {below}, size = "1 x 1" }}')
    for number in range(chance.randint(0, 3)):
        kind = chance.choice(("strip", "blank", "piece", "tab", "banner"))
        more = chance.choice(("", "", ", count = 2", ', raised_by = "1/16"' if kind == "banner" else ""))
        if kind == "blank":
            more += chance.choice(("", ', allowance = "1/8"', ', shape = "right triangle"'))
        size = chance.choice(SMALL)
        parts.append(f'{{ {kind} = "small {number}", paper = "{chance.choice(names)}", size = "{size}"{more} }}')
    return "\n".join([*lines, "parts = [", *(f"  {part}," for part in parts), "]", ""])


def _papers(chance: random.Random, paper: str, names: list[str]) -> str:
    if chance.random() < 0.1:
        return "[" + ", ".join(f'"{name}"' for name in sorted({paper, chance.choice(names)})) + "]"
    return f'"{paper}"'


def _batch(chance: random.Random, designs: list[str]) -> str:
    cards = ", ".join(f'"{name}" = {chance.choice((1, 1, 2, 3, 5, 8, 12, 20))}' for name in designs)
    spares = chance.choice(('"1 in 10"', "0", "1", '"1 in 20"'))
    centres = "centres = true\n" if chance.random() < 0.15 else ""
    return f'[batch]\ntitle = "made up"\ncards = {{ {cards} }}\nspares = {spares}\n{centres}'


def _trimmer(chance: random.Random) -> str:
    lines = ["[trimmer]"]
    if chance.random() < 0.7:
        lines.append(f'longest_cut = "{chance.choice(("12 1/4", "310 mm", "15", "20", "600 mm"))}"')
    if chance.random() < 0.4:
        lines.append(f'largest_setting = "{chance.choice(("12", "310 mm", "20"))}"')
    if chance.random() < 0.6:
        lines.append(f'narrowest = "{chance.choice(("1/2", "1/4", "12 mm"))}"')
    if chance.random() < 0.15:
        lines.append('kerf = "0.5 mm"')
    if chance.random() < 0.5:
        lines.append('deep = { "120 gsm" = 5, "65 lb cover" = 2 }')
    if chance.random() < 0.2:
        lines.append(f"square_first = {chance.choice(('true', 'false'))}")
    if chance.random() < 0.2:
        lines.append("halve_rows = true")
    return "\n".join(lines) + "\n"


def _list(chance: random.Random, names: list[str]) -> str:
    rows = ["paper,width,height,quantity,label"]
    for number in range(chance.randint(1, 5)):
        width, height = Fraction(chance.randint(8, 80), 16), Fraction(chance.randint(8, 80), 16)
        sides = ",".join(f"{side.numerator}/{side.denominator}" for side in (width, height))
        rows.append(f"{chance.choice(names)},{sides},{chance.randint(0, 30)},row {number}")
    return "\r\n".join(rows) + "\r\n"
