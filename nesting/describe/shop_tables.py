"""The tables [shop.NAME]: what each shop sells, one by one, in packs of one paper, in mixed packs and pads.

In: tables and the papers that were read. Out: Shops. The fact of the trade: what is sold is a pack with a price, not a
sheet with one; a pad holds so many sheets of each of its papers, all of one size.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from nesting.describe.findings import Findings
from nesting.describe.names import composed
from nesting.describe.paper_names import PaperNames
from nesting.describe.paper_tables import MOST_SHEETS, rim_of, with_rim
from nesting.describe.papers import Paper, Sheet
from nesting.describe.printed_at_home import printed_on
from nesting.describe.shops import Offer, Shop, Ware
from nesting.describe.tables import Table, as_items
from nesting.describe.values import Said, price, size, whole, words
from nesting.quoting import quoted

MOST_IN_A_PACK = 10_000
MOST_SOLD = 2000
MOST_SHOPS = 8  # every set of them is looked at
SHOP_MAY_HOLD = "a shop may hold currency, postage and sells."
ENTRY_MAY_HOLD = "an entry of “sells” may hold paper or holds, sheet, rim, pack, price, name and at_most."


def sold_in_shops(shops: Mapping[str, Said]) -> frozenset[str]:
    """The names of papers that any shop's entry mentions, right or wrong otherwise."""
    found = set()
    for said in shops.values():
        entries = dict(as_items(said)).get("sells", [])
        for entry in entries if isinstance(entries, list) else [entries]:
            if isinstance(entry, dict):
                holds = entry.get("holds")
                names = [entry.get("paper"), *(holds if isinstance(holds, dict) else ())]
                found |= {composed(name) for name in names if isinstance(name, str)}
    return frozenset(found)


def read_shops(
    shops: Mapping[str, Said], papers: Sequence[Paper], known: PaperNames, findings: Findings
) -> tuple[Shop, ...]:
    """All shops; what is wrong in them is noted and left out."""
    by_name = {paper.name: paper for paper in papers}
    return tuple(_shop(name, said, by_name, known, findings) for name, said in shops.items())


def refuse_unpriced(papers: Sequence[Paper], shops: Sequence[Shop], findings: Findings) -> None:
    """Where shops are compared, every sheet on sale must have a price, here or in a shop; note those that have none.

    So are shops beyond those that can be compared.
    """
    if not shops:
        return
    if len(shops) > MOST_SHOPS:
        what = f"This is shop number {MOST_SHOPS + 1} of {len(shops)}; at most {MOST_SHOPS} are compared."
        findings.add(shops[MOST_SHOPS].place, what, "Leave out those that are far dearer.")
    in_shops = {ware for shop in shops for offer in shop.sells for ware, _ in offer.holds}
    for paper in papers:
        for sold in paper.sold:
            if sold.price is None and Ware(paper.name, sold.sheet) not in in_shops:
                what = f"This sheet of {paper.name} has no price, and no shop sells it."
                todo = "Give its price, or say in the list of a shop what it costs there."
                findings.add(sold.place, what, todo)


def _shop(name: str, said: Said, papers: Mapping[str, Paper], known: PaperNames, findings: Findings) -> Shop:
    table = Table(said, findings)
    _refuse_another_currency(table)
    postage = table.take("postage", price) or 0
    entries = table.need("sells", _list, 'sells = [{ paper = "pine", sheet = "12 x 12", price = 0.95 }]') or []
    if len(entries) > MOST_SOLD:
        table.refuse("sells", f"This shop sells more than {MOST_SOLD} things.", "Leave out what you do not need.")
        entries = entries[:MOST_SOLD]
    sells = [_offer(name, entry, papers, known, findings) for entry in entries]
    table.close(SHOP_MAY_HOLD)
    return Shop(name, said.place, postage, tuple(offer for offer in sells if offer is not None))


def _refuse_another_currency(table: Table) -> None:
    """A shop may say what its prices are in; prices in two currencies cannot be compared."""
    sign, own = table.take("currency", words), table.said.currency.sign
    if sign is not None and sign != own:
        what = f"This shop's prices are in {quoted(sign)}, and the project counts in {quoted(own)}."
        if not own:
            what = f"This shop's prices are in {quoted(sign)}, and the project names no currency."
        todo = "Write its prices in the project's currency, at the rate that you are charged."
        table.refuse("currency", what, todo)


def _list(said: Said, findings: Findings) -> list[Said]:
    return said.entries()


def _offer(shop: str, said: Said, papers: Mapping[str, Paper], known: PaperNames, findings: Findings) -> Offer | None:
    """One thing sold; None where anything in it is wrong."""
    before = len(findings.problems)
    table = Table(said, findings)
    if not isinstance(said.value, dict):
        todo = 'Write it like { paper = "pine", sheet = "12 x 12", pack = 25, price = 11 }.'
        findings.add(said.place, f"{quoted(said.value)} is nothing that a shop sells.", todo)
        return None
    counts = _counts(table, known)
    sides = table.take("sheet", size)
    rim = table.take("rim", rim_of)
    cents = table.need("price", price, "price = 0.95")
    name = table.take("name", words)
    most = table.take("at_most", whole(0, MOST_SHEETS))
    if table.has("rim") and not table.meant("sheet"):
        table.refuse("rim", "The rim belongs to no sheet.", "Add the sheet, or take the rim out.")
    table.close(ENTRY_MAY_HOLD)
    holds = []
    for paper, count in counts.items():
        sheet = _sheet(said, papers.get(paper), sides, findings) if not table.has("sheet") or sides else None
        if sheet is not None and rim is not None:
            sheet = with_rim(Sheet(sheet.width, sheet.height, rim), said, findings)
        if sheet is not None:
            holds.append((Ware(paper, sheet), count))
    if len(findings.problems) > before or cents is None or not holds:
        return None
    return Offer(name or _name(holds), cents, tuple(holds), shop, most)


def _counts(table: Table, known: PaperNames) -> dict[str, int]:
    """Sheets by paper: one paper with the number in a pack, or so many of each."""
    findings = table.findings
    paper, holds, pack = table.at("paper"), table.at("holds"), table.take("pack", whole(1, MOST_IN_A_PACK))
    if paper is not None and holds is not None:
        table.refuse("holds", "“paper” stands beside “holds”.", "Keep “paper” for one paper, “holds” for several.")
        return {}
    if paper is None and holds is None:
        if not (table.meant("paper") or table.meant("holds")):
            todo = 'Add the paper, like paper = "pine", or for several holds = { pine = 4, kraft = 4 }.'
            findings.add(table.place, "It is not said of which paper this is.", todo)
        return {}
    if paper is not None:
        name = known.check(paper, findings)
        return {} if name is None else {name: pack or 1}
    if pack is not None:
        table.refuse("pack", "“pack” stands beside “holds”.", "Say in “holds” how many there are of each paper.")
    return {} if holds is None else _mixed(holds, known, findings)


def _mixed(holds: Said, known: PaperNames, findings: Findings) -> dict[str, int]:
    if not isinstance(holds.value, dict) or not holds.value:
        todo = "Write it like holds = { pine = 4, kraft = 4 }."
        findings.add(holds.place, f"{quoted(holds.value)} does not say how many sheets of which paper.", todo)
        return {}
    counts = {}
    for word, value in as_items(holds):
        entry = holds.inside(word, value)
        count = whole(1, MOST_IN_A_PACK)(entry, findings)
        name = known.check(Said(word, entry.file, entry.unit, entry.path, holds.subject), findings)
        if name is not None and count is not None:
            counts[name] = count
    return counts


def _sheet(said: Said, paper: Paper | None, sides: object, findings: Findings) -> Sheet | None:
    """The sheet of a paper: of the size said, with the rim that the paper has; or the one size it is sold in."""
    if paper is None:
        return None
    if isinstance(sides, tuple):
        same = [sold.sheet for sold in paper.sold if (sold.sheet.width, sold.sheet.height) == sides]
        new = None if same else with_rim(Sheet(sides[0], sides[1], paper.rim), said, findings)
        return same[0] if same else printed_on(new, paper.printed) if new and paper.printed else new
    if len(paper.sold) == 1:
        return paper.sold[0].sheet
    which = "several sizes are named with the paper" if paper.sold else "none is named with the paper"
    findings.add(said.place, f"Of {paper.name} it is not said which sheet this is; {which}.",
                 'Add it, like sheet = "12 x 12".')  # fmt: skip
    return None


def _name(holds: Sequence[tuple[Ware, int]]) -> str:
    if len(holds) > 1:
        return "mixed pack"
    return "sheet" if holds[0][1] == 1 else f"pack of {holds[0][1]}"
