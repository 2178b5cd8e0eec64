"""One change made on the page, put into the project's files where the thing stands that it changes.

In: the files, and an Edit in the user's own words. Out: the files with it, not yet saved. The fact it serves: which
table stands in which file is the user's choice, so every change looks for its table first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from nesting.desk import fields as known
from nesting.desk.fields import KINDS, RULES, Field
from nesting.desk.shelf import Sheaf
from nesting.desk.toml_edit import (
    Document,
    Shown,
    add_row,
    drop_rows,
    heading,
    put,
    put_row,
    put_table,
    read_document,
    rename_key,
    renamed,
    shown,
    typed,
    without,
    write_document,
    written,
)
from nesting.errors import NestingError, Place, Problem
from nesting.quoting import quoted

ONE_OF_A_KIND = {"batch": known.BATCH, "trimmer": known.TRIMMER, "costs": known.COSTS}
ROW_KEYS = ("on", "paper", "count", "at")
_ROW_KINDS = {"on": "list", "paper": "paper", "count": "number", "at": "words"}


@dataclass(frozen=True, slots=True)
class Edit:
    """One change.

    what: batch, trimmer, costs, counts, paper, design, file, new paper, new design, no paper, no design, or rename
    design (`to`: the new name).

    fields: texts by key. rows: the parts of a design as the page shows them; `was` is the number of the part in the
    file, "" for a new one. None: they are left as they are.
    """

    what: str
    name: str = ""
    fields: Mapping[str, str] = field(default_factory=dict)
    rows: Sequence[Mapping[str, str]] | None = None


class Files:
    """The TOML files of a sheaf as documents; broken ones are named and left alone."""

    def __init__(self, sheaf: Sheaf) -> None:
        self.sheaf = sheaf
        self.documents: dict[str, Document] = {}
        self.broken: list[str] = []
        for name in sorted(sheaf.files):
            if name.lower().endswith(".toml"):
                document = read_document(sheaf.text(name) or "") if sheaf.text(name) is not None else None
                if document is None:
                    self.broken.append(name)
                else:
                    self.documents[name] = document

    def table(self, *path: str) -> tuple[str, Any]:
        """The file that holds a table, and the table; ("", None) where none does."""
        for name, document in self.documents.items():
            found: Any = document
            for step in path:
                found = found.get(step) if isinstance(found, dict) else None
            if isinstance(found, dict):
                return name, found
        return "", None

    def names(self, key: str) -> list[str]:
        """The names of all papers or all designs, file by file."""
        return [
            str(name)
            for document in self.documents.values()
            for name, table in (document.get(key) or {}).items()
            if isinstance(document.get(key), dict) and isinstance(table, dict)
        ]

    def texts(self) -> dict[str, str]:
        """All documents as text."""
        return {name: write_document(document) for name, document in self.documents.items()}


def fields_of(what: str, table: Mapping[str, Any] | None) -> tuple[Field, ...]:
    """The fields of a table."""
    if what == "paper":
        return known.PAPER
    if what == "design":
        family = str((table or {}).get("family", ""))
        return known.family_fields(family) if family else known.DESIGN
    return ONE_OF_A_KIND[what]


def shown_fields(what: str, table: Mapping[str, Any] | None) -> list[tuple[Field, Shown]]:
    """Every field with what it says now."""
    return [(one, shown(table or {}, one.key, one.kind)) for one in fields_of(what, table)]


def shown_rows(table: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The parts of a design as rows of the form: kind, name, rule and amount, and what no field of a row holds."""
    rows = []
    for number, part in enumerate(table.get("parts") or ()):
        if not isinstance(part, dict):
            continue
        kind = next((key for key in part if key in KINDS), "")
        rule = next((key for key, _ in RULES if key in part), "smaller_by")
        taken = {kind, rule, *ROW_KEYS}
        more = [f"{key} = {written(value)}" for key, value in part.items() if key not in taken]
        values = {key: shown(part, key, _ROW_KINDS[key]) for key in ROW_KEYS}
        rows.append({
            "was": str(number), "kind": kind, "name": str(part.get(kind, "")), "rule": rule,
            "amount": shown(part, rule, "length"), "more": ", ".join(more), **values,
        })  # fmt: skip
    return rows


def applied(sheaf: Sheaf, edit: Edit) -> tuple[Sheaf, str]:
    """The files with one change, and the change in a few words; NestingError where it cannot be made."""
    if edit.what == "file":
        return _whole_file(sheaf, edit)
    if edit.what == "rename design":
        return _renamed(sheaf, edit.name, edit.fields.get("to", "").strip())
    if edit.what.startswith("no "):
        return _taken_out(sheaf, edit.what.removeprefix("no "), edit.name)
    if edit.what.startswith("new "):
        return _begun(sheaf, edit.what.removeprefix("new "), edit.name.strip(), edit.fields)
    files = Files(sheaf)
    if edit.what == "counts":
        _put_counts(files, edit.fields)
        words = "the number of cards"
    elif edit.what in ONE_OF_A_KIND:
        _put_all(_sure_table(files, edit.what, edit.fields), ONE_OF_A_KIND[edit.what], edit.fields)
        words = f"the {edit.what}"
    else:
        _, table = files.table(edit.what, edit.name)
        if table is None:
            raise _refused(edit, f"There is no {edit.what} {quoted(edit.name)} in the files any more.")
        _put_all(table, fields_of(edit.what, table), edit.fields)
        if edit.rows is not None:
            _put_rows(table, edit.rows)
        words = f"the {'card' if edit.what == 'design' else edit.what} {quoted(edit.name)}"
    return _with(sheaf, files), words


def _whole_file(sheaf: Sheaf, edit: Edit) -> tuple[Sheaf, str]:
    """A file's text as typed; its line ends stay what they were."""
    before, text = sheaf.text(edit.name), edit.fields.get("text", sheaf.text(edit.name) or "")
    if before is None:
        raise _refused(edit, f"There is no file {quoted(edit.name)} here.")
    if "\r\n" in before:
        text = text.replace("\r\n", "\n").replace("\n", "\r\n")
    return sheaf.with_texts({edit.name: text}), f"the file {edit.name}"


def _with(sheaf: Sheaf, files: Files) -> Sheaf:
    texts = files.texts()
    return sheaf.with_texts({name: text for name, text in texts.items() if text != sheaf.text(name)})


def _refused(edit: Edit, what: str) -> NestingError:
    return NestingError([Problem(Place(subject=edit.name or edit.what), what, "Look at the files, then try again.")])


def _put_all(table: Any, fields: Sequence[Field], said: Mapping[str, str]) -> None:
    for one in fields:
        if one.key in said and table is not None:
            put(table, one.key, one.kind, said[one.key])


def _sure_table(files: Files, key: str, said: Mapping[str, str]) -> Any:
    """The one table of its kind; made in a file of its own name where anything is said of it."""
    _, table = files.table(key)
    if table is not None or not any(text.strip() for text in said.values()):
        return table
    name = f"{key}.toml"
    unit = next((document["unit"] for document in files.documents.values() if "unit" in document), None)
    if name not in files.documents:
        files.documents[name] = read_document(f'unit = "{unit}"\n\n' if unit else "") or Document()
    files.documents[name] = read_document(_joined(write_document(files.documents[name]), f"[{key}]\n")) or Document()
    return files.documents[name][key]


def _joined(text: str, more: str) -> str:
    return f"{text.rstrip()}\n\n{more}" if text.strip() else more


def _put_counts(files: Files, counts: Mapping[str, str]) -> None:
    """How many cards of each design."""
    batch = _sure_table(files, "batch", {"cards": "1"})
    if "cards" not in batch:
        put_table(batch, "cards")
    for design, text in counts.items():
        put(batch["cards"], design, "number", text.strip() or "0")


# ------------------------------------------------------------------------------------------ parts


def _put_rows(table: Any, rows: Sequence[Mapping[str, str]]) -> None:
    """The parts as the page shows them: changed, added, taken out; the order of the file stays."""
    before = shown_rows(table)
    left = {row["was"] for row in rows if row.get("was")}
    parts = table.get("parts")
    for row in rows:
        was = row.get("was", "")
        if was and _differs(before[int(was)], row):
            put_row(parts, int(was), _row_values(row, parts[int(was)]))
    if parts is not None:
        drop_rows(parts, [int(row["was"]) for row in before if row["was"] not in left])
    for row in rows:
        if not row.get("was"):
            add_row(table, "parts", _row_values(row, {}))


def _differs(before: Mapping[str, Any], row: Mapping[str, str]) -> bool:
    words = ("kind", "name", "rule")
    shown_keys = ("amount", *ROW_KEYS)
    return any(before[key] != row.get(key, "").strip() for key in words) or any(
        before[key].plain and before[key].text != row.get(key, "").strip() for key in shown_keys
    )


def _row_values(row: Mapping[str, str], before: Mapping[str, Any]) -> dict[str, Any]:
    """All keys of one part, in the order of the file, then what is new."""
    kind, rule = row.get("kind", ""), row.get("rule", "")
    if kind not in KINDS or rule not in dict(RULES):
        raise NestingError([Problem(Place(subject=row.get("name", "")), "This is no kind of part.", "Choose one.")])
    said = {kind: row.get("name", "").strip(), **{key: row.get(key, "").strip() for key in ROW_KEYS},
            rule: row.get("amount", "").strip()}  # fmt: skip
    kinds = {kind: "words", rule: "length", **_ROW_KINDS}
    values: dict[str, Any] = {kind: said[kind]}
    for key, value in before.items():
        if key in KINDS or (key in dict(RULES) and key != rule):
            continue
        known_value = shown(before, key, kinds.get(key, "words"))
        if key not in said or not known_value.plain or known_value.text == said[key]:
            values[str(key)] = value
        elif said[key]:
            values[str(key)] = typed(said[key], kinds[key], value)
    for key, text in said.items():
        if key not in values and key not in before and text and not (key == "count" and text == "1"):
            values[key] = _fresh(key, text)
    return values


def _fresh(key: str, text: str) -> Any:
    if key == "on":
        entries = [part.strip() for part in text.split(",") if part.strip()]
        return typed(text, "number") if len(entries) == 1 else typed(text, "list")
    return typed(text, "number" if key == "count" else "words")


# ------------------------------------------------------------------------------------------ begun, taken out


def _begun(sheaf: Sheaf, what: str, name: str, said: Mapping[str, str]) -> tuple[Sheaf, str]:
    """A new paper or a new card at the end of the file that holds the others."""
    files = Files(sheaf)
    if not name or name in files.names(what):
        why = "It has no name." if not name else f"There is a {what} {quoted(name)} already."
        raise NestingError([Problem(Place(subject=f"new {what}"), why, "Give it another name.")])
    others = files.names(what)
    file = files.table(what, others[-1])[0] if others else f"{what}s.toml"
    family = said.get("family", "")
    fields = known.family_fields(family) if what == "design" and family else fields_of(what, {})
    lines = [("family", written(family))] if family else []
    for one in fields:
        if said.get(one.key, "").strip():
            lines.append((one.key, written(typed(said[one.key], one.kind))))
    text = _joined(sheaf.text(file) or "", heading((what, name), lines))
    new = sheaf.with_texts({file: text})
    if what == "design":
        files = Files(new)
        _put_counts(files, {name: said.get("count") or "1"})
        new = _with(new, files)
    return new, f"the new {'card' if what == 'design' else what} {quoted(name)}"


def _renamed(sheaf: Sheaf, name: str, new: str) -> tuple[Sheaf, str]:
    """A card by another name, in its headings and in the batch."""
    edit, names = Edit("design", name), Files(sheaf).names("design")
    if not new or new in names:
        why = "It has no name." if not new else f"There is a card {quoted(new)} already."
        raise NestingError([Problem(Place(subject=name), why, "Give it another name.")])
    files = Files(sheaf)
    _, batch = files.table("batch")
    if batch is not None and name in (batch.get("cards") or {}):
        rename_key(batch, "cards", name, new)
    texts = {file: renamed(text, "design", name, new) for file, text in files.texts().items()}
    after = sheaf.with_texts({file: text for file, text in texts.items() if text != sheaf.text(file)})
    if Files(after).names("design") != [new if one == name else one for one in names]:
        raise _refused(edit, f"The heading of {quoted(name)} is written in a way that cannot be renamed here.")
    return after, f"the card {quoted(name)}, now {quoted(new)}"


def _taken_out(sheaf: Sheaf, what: str, name: str) -> tuple[Sheaf, str]:
    files = Files(sheaf)
    file, table = files.table(what, name)
    if table is None:
        raise _refused(Edit(what, name), f"There is no {what} {quoted(name)} in the files.")
    new = sheaf.with_texts({file: without(write_document(files.documents[file]), (what, name))})
    if what == "design":
        files = Files(new)
        _, cards = files.table("batch", "cards")
        if cards is not None and name in cards:
            del cards[name]
            new = _with(new, files)
    return new, f"the {'card' if what == 'design' else what} {quoted(name)}, taken out"
