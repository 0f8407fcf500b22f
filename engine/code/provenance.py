"""Pages made from the tables: where each cell comes from, what differs by edition, and raceway fill."""

import sys
from collections import Counter
from html import escape
from pathlib import Path
from typing import NamedTuple

from engine.code import code_for, loader
from engine.code.editions import DEFAULT_EDITION, EDITIONS
from engine.code.fill_table import equal_conductors
from engine.code.lookups import INSULATION_ROWS, sections_of
from engine.code.rows import STATUSES, TABLE_KEYS, Row
from engine.code.sizes import RACEWAY_TYPES, SIZES

STATUS_WORDS = {
    "two-sources": "two sources",
    "one-source": "one source",
    "formula": "recalled, and recomputed from a formula that agrees",
    "memory": "from memory",
}


class Block(NamedTuple):
    """One part of a page: heading, a sentence, and a table."""

    heading: str
    text: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Page(NamedTuple):
    """One page that is made from the tables alone."""

    title: str
    text: str
    blocks: tuple[Block, ...]


def as_markdown(page: Page) -> str:
    """The page as Markdown."""

    def line(cells: tuple[str, ...]) -> str:
        return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"

    parts = [f"# {page.title}", page.text]
    for block in page.blocks:
        parts.append(f"## {block.heading}")
        if block.text:
            parts.append(block.text)
        head = [line(block.columns), line(tuple("---" for _ in block.columns))]
        parts.append("\n".join(head + [line(row) for row in block.rows]))
    return "\n\n".join(parts) + "\n"


def as_html(page: Page) -> str:
    """The page as one HTML document without script or outside resource."""

    def line(cells: tuple[str, ...], tag: str) -> str:
        return "<tr>" + "".join(f"<{tag}>{escape(cell)}</{tag}>" for cell in cells) + "</tr>"

    body = [f"<h1>{escape(page.title)}</h1>", f"<p>{escape(page.text)}</p>"]
    for block in page.blocks:
        body.append(f"<h2>{escape(block.heading)}</h2>")
        if block.text:
            body.append(f"<p>{escape(block.text)}</p>")
        rows = "\n".join(line(row, "td") for row in block.rows)
        body.append(
            f"<table><thead>{line(block.columns, 'th')}</thead><tbody>\n{rows}\n</tbody></table>"
        )
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{escape(page.title)}</title></head>'
        f"<body>\n{chr(10).join(body)}\n</body></html>\n"
    )


def _span(row: Row) -> str:
    return (
        f"{row.from_edition} to {row.to_edition}"
        if row.from_edition < row.to_edition
        else f"{row.from_edition}"
    )


def _describe(name: str, row: Row) -> str:
    return ", ".join(
        f"{column} {cell}" for column, cell in zip(TABLE_KEYS[name], row.key, strict=True) if cell
    )


def provenance_page() -> Page:
    """Which cells rest on two sources, one, a formula or memory, with the sources named."""
    tables = loader.load_tables()
    counts = {name: Counter(row.status for row in rows) for name, rows in tables.items()}
    total = sum(counts.values(), Counter[str]())
    summary = tuple(
        (name, *(str(count[status]) for status in STATUSES), str(sum(count.values())))
        for name, count in [*counts.items(), ("all", total)]
    )
    blocks = [
        Block("Cells by table", "", ("table", *(STATUS_WORDS[s] for s in STATUSES), "all"), summary)
    ]
    for status in reversed(STATUSES):
        rows = tuple(
            (
                name,
                _describe(name, row),
                f"{row.value or 'none'} {row.unit}",
                _span(row),
                row.source1,
                row.source2,
                row.note,
            )
            for name, table in tables.items()
            for row in table
            if row.status == status
        )
        columns = ("table", "cell", "value", "editions", "first source", "second source", "note")
        blocks.append(
            Block(f"{STATUS_WORDS[status].capitalize()}: {len(rows)} cells", "", columns, rows)
        )
    marks = Counter(row.mark for row in loader.load_sections())
    blocks.append(
        Block(
            "Section numbers",
            "Rows of sections.csv by the strength of their source; a number that is not confirmed is not printed.",
            ("mark", "rows"),
            tuple((mark, str(count)) for mark, count in marks.most_common()),
        )
    )
    return Page(
        "Where each cell comes from",
        "Made from engine/code/tables. The code book governs; compare with it before relying on a cell from memory.",
        tuple(blocks),
    )


def editions_page() -> Page:
    """Section of every rule by edition, and every cell whose value changes with the edition."""
    sections = loader.load_sections()
    by_edition = {edition: sections_of(sections, edition) for edition in EDITIONS}
    rules = tuple(
        (
            cite_id,
            by_edition[DEFAULT_EDITION][cite_id][1],
            *(f"{by_edition[e][cite_id][0]} ({by_edition[e][cite_id][3]})" for e in EDITIONS),
        )
        for cite_id in by_edition[DEFAULT_EDITION]
    )
    changed: list[tuple[str, ...]] = []
    for name, rows in loader.load_tables().items():
        spans = Counter(row.key for row in rows)
        changed += [
            (
                name,
                _describe(name, row),
                _span(row),
                f"{row.value or 'none'} {row.unit}",
                row.status,
                row.note,
            )
            for row in rows
            if spans[row.key] > 1
        ]
    years = tuple(str(edition) for edition in EDITIONS)
    return Page(
        "What differs by edition",
        "Every other cell was found unchanged, which is not the same as confirmed unchanged.",
        (
            Block("Sections", "", ("rule", "title", *years), rules),
            Block(
                "Cells",
                "",
                ("table", "cell", "editions", "value", "status", "note"),
                tuple(changed),
            ),
        ),
    )


def fill_page(edition: int = DEFAULT_EDITION) -> Page:
    """Largest number of equal conductors by raceway, trade size, insulation and conductor size."""
    code = code_for(edition)
    blocks: list[Block] = []
    for raceway in RACEWAY_TYPES:
        trade_sizes = code.raceway_trade_sizes(raceway)
        for group in dict.fromkeys(INSULATION_ROWS.values()):
            insulation = next(name for name, row in INSULATION_ROWS.items() if row == group)
            rows: list[tuple[str, ...]] = []
            for size in SIZES:
                counts = [
                    equal_conductors(code, raceway, trade, size, insulation)
                    for trade in trade_sizes
                ]
                if any(counts):
                    rows.append((size, *("" if count is None else str(count) for count in counts)))
            blocks.append(Block(f"{raceway}, {group}", "", ("size", *trade_sizes), tuple(rows)))
    return Page(
        "Conductors of one size in a raceway",
        f"Made for the {edition} edition from Chapter 9 Tables 1, 4 and 5 with note 7; Annex C is not used.",
        tuple(blocks),
    )


def write_pages(folder: Path) -> tuple[Path, ...]:
    """Write all pages as Markdown and HTML into a folder and return their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    written: list[Path] = []
    for stem, page in (
        ("provenance", provenance_page()),
        ("editions", editions_page()),
        ("raceway_fill", fill_page()),
    ):
        for suffix, text in ((".md", as_markdown(page)), (".html", as_html(page))):
            path = folder / f"{stem}{suffix}"
            path.write_text(text, encoding="utf-8")
            written.append(path)
    return tuple(written)


if __name__ == "__main__":
    print(*write_pages(Path(sys.argv[1])), sep="\n")
