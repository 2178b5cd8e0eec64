"""A project folder becomes a Project, or all that is wrong with it at once.

In: a folder whose *.toml files are read together, with plain piece lists as *.csv beside them. Or one such CSV, which
is then planned alone, with the papers and the trimmer beside it. Out: a Project. Which table stands in which file is
the user's choice.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from nesting.describe.batch_tables import Batch, currency_of, default_trimmer, read_batch, read_trimmer
from nesting.describe.cost_tables import read_costs
from nesting.describe.design_tables import read_design
from nesting.describe.findings import Findings
from nesting.describe.names import Names
from nesting.describe.paper_names import PaperNames
from nesting.describe.paper_tables import read_paper
from nesting.describe.piece_list_file import read_piece_list
from nesting.describe.project import Project
from nesting.describe.shop_tables import read_shops, refuse_unpriced, sold_in_shops
from nesting.describe.tables import Table, as_items, as_table, named_tables
from nesting.describe.text_file import shown_name
from nesting.describe.toml_file import TomlFile, read_toml
from nesting.describe.values import Said, one_of
from nesting.errors import NestingError, Place
from nesting.lengths import Unit
from nesting.money import UNNAMED
from nesting.quoting import quoted

MOST_FILES = 100
SEE_EXPLAIN = "“nesting explain” shows how a project is written."


def read_project(path: Path) -> Project:
    """Read a project folder, or a CSV piece list with the papers beside it.

    Raises NestingError with the mistakes of all files together, in the order of files and lines.
    """
    findings = Findings()
    files, lists = _files(path, findings)
    project = None
    if files or lists:
        project = _project(path, files, lists, findings)
    if findings.problems or project is None:
        raise NestingError(findings.in_order())
    return project


def _files(path: Path, findings: Findings) -> tuple[list[Path], list[Path]]:
    """The TOML files and the piece lists of a project, each by name."""
    place = Place(shown_name(path) or str(path))
    try:
        if path.is_dir():
            folder, only = path, None
        elif path.is_file() and path.suffix.lower() == ".csv":
            folder, only = path.parent, path
        else:
            what = "This is not a folder." if path.exists() else "There is no such folder."
            findings.add(place, what, "Give the folder of your project; “nesting new FOLDER” makes one.")
            return [], []
        found = sorted(file for file in folder.iterdir() if not file.name.startswith((".", "~")))
    except (OSError, ValueError) as wrong:  # ValueError: a NUL in the path
        reason = getattr(wrong, "strerror", None) or "its name cannot be a path"
        findings.add(
            place, f"This folder cannot be read ({reason}).", "Check that it is there and that you may read it."
        )
        return [], []
    files = [file for file in found if file.suffix.lower() == ".toml"]
    lists = [only] if only else [file for file in found if file.suffix.lower() == ".csv"]
    if len(files) + len(lists) > MOST_FILES:
        what = f"The folder holds more than {MOST_FILES} files of a project."
        findings.add(place, what, "Keep each project in a folder of its own.")
        return [], []
    if not files and not lists:
        findings.add(
            place, "The folder holds no .toml file and no .csv file.", f"Put your project there. {SEE_EXPLAIN}"
        )
    return files, lists


def _project(path: Path, paths: list[Path], lists: list[Path], findings: Findings) -> Project:
    read = [file for file in (read_toml(path, findings) for path in paths) if file is not None]
    roots = [_root(file, findings) for file in read]
    currency = next((currency_of(as_table(root, "batch", "[batch]", Findings())) for root in roots
                     if "batch" in root.file.words), UNNAMED)  # fmt: skip
    roots = [replace(root, currency=currency) for root in roots]
    paper_names, design_names, shop_names = Names(), Names(), Names()
    papers = named_tables(roots, "paper", paper_names, findings)
    designs = named_tables(roots, "design", design_names, findings)
    shops_said = named_tables(roots, "shop", shop_names, findings)
    in_shops = sold_in_shops(shops_said)
    known = PaperNames(paper_names, not findings.unread)
    batches = _only_one(roots, "batch", findings)
    trimmers = _only_one(roots, "trimmer", findings)
    costs = _only_one(roots, "costs", findings)
    own_costs = {
        name: said.inside("costs", value)
        for name, said in designs.items()
        for key, value in as_items(said)
        if key == "costs"
    }
    unit = batches[0].unit if batches else roots[0].unit if roots else Unit.INCH
    batch = read_batch(batches[0], design_names, not findings.unread, findings) if batches else Batch()
    pieces = [piece for path in lists for piece in read_piece_list(path, unit, known, findings)]
    papers_read = tuple(
        read_paper(name, said, known, findings, in_a_shop=name in in_shops) for name, said in papers.items()
    )
    shops = read_shops(shops_said, papers_read, known, findings)
    refuse_unpriced(papers_read, shops, findings)
    project = Project(
        title=batch.title or shown_name(path.resolve()),
        unit=unit,
        currency=batch.currency,
        papers=papers_read,
        designs=tuple(read_design(name, said, known, findings) for name, said in designs.items()),
        batch=batch.lines,
        spares=batch.spares,
        pieces=tuple(pieces),
        trimmer=read_trimmer(trimmers[0], unit, findings) if trimmers else default_trimmer(unit),
        grain_from=batch.grain_from,
        grain_required_from=batch.grain_required_from,
        centres=batch.centres,
        shops=shops,
        budget=batch.budget,
    )
    project = replace(project, costs=read_costs(costs[0] if costs else None, own_costs, project.designs, findings))
    if path in lists:
        project = replace(project, title=batch.title or Path(shown_name(path)).stem, designs=(), batch=())
    if not findings.problems:
        _check_there_is_work(project, bool(batches), shown_name(path.resolve()), findings)
    return project


def _root(file: TomlFile, findings: Findings) -> Said:
    """A file as one table, with its unit."""
    root = Said(file.words, file, Unit.INCH)
    table = Table(root, findings)
    unit = table.take("unit", one_of(Unit)) or Unit.INCH
    for key in ("paper", "design", "shop", "batch", "trimmer", "costs"):
        table.at(key)
    findings.unread |= any(key not in table.known for key in table.values)  # a paper may hide behind a misspelt heading
    headings = "[paper.NAME], [design.NAME], [shop.NAME], [batch], [trimmer], [costs]"
    table.close(f"a project holds {headings} and a unit at the top.")
    return Said(file.words, file, unit)


def _only_one(roots: list[Said], key: str, findings: Findings) -> list[Said]:
    """The tables of a kind of which a project has one; a second one is a mistake."""
    found = [as_table(root, key, f"[{key}]", findings) for root in roots if key in dict(root.file.words)]
    for second in found[1:]:
        first = f"{found[0].place.file}, line {found[0].place.line}"
        findings.add(
            second.place, f"A second table {quoted(key)}; the first is in {first}.", "Put both together in one."
        )
    return found


def _check_there_is_work(project: Project, has_batch: bool, folder: str, findings: Findings) -> None:
    if project.pieces or any(line.count for line in project.batch):
        return
    if project.designs:
        example = f"cards = {{ {_first(project)} = 12 }}"
        what = "No card is wanted." if has_batch else "It is not said how many cards are wanted."
        todo = f"Write a number above 0 into [batch], like {example}."
    else:
        what = "There is nothing to plan: no design and no piece list."
        todo = f"Add a design and a batch. {SEE_EXPLAIN}"
    place = project.batch[0].place if project.batch else Place(folder)
    findings.add(place, what, todo)


def _first(project: Project) -> str:
    name = project.designs[0].name
    return name if name.isascii() and name.replace("-", "").replace("_", "").isalnum() else f'"{name}"'
