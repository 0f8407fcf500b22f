"""Writes the tables as Python modules, so that the phone neither parses nor checks them at start."""

import sys
from pathlib import Path

from engine.code import loader, lookups
from engine.code.editions import EDITIONS


def compiled_source() -> str:
    """Source of `_compiled.py`: lookups and choices of every edition as literals, equal lookups written once."""
    tables, sections = loader.load_tables(), loader.load_sections()
    names: dict[str, str] = {}
    lines = ['"""Made by engine.code.compile_tables; never edited."""', "inf = 1e999"]
    editions: list[str] = []
    for edition in EDITIONS:
        entries: list[str] = []
        for field, value in lookups.build(tables, sections, edition).items():
            literal = repr(value)
            if literal not in names:
                names[literal] = f"V{len(names)}"
                lines.append(f"{names[literal]} = {literal}")
            entries.append(f"{field!r}: {names[literal]}")
        editions.append(f"{edition}: {{{', '.join(entries)}}}")
    lines.append(f"LOOKUPS = {{{', '.join(editions)}}}")
    lines.append(f"CHOICES = {loader.load_choices()!r}")
    return "\n".join(lines) + "\n"


def compiled_cells_source() -> str:
    """Source of `_compiled_cells.py`: every cell with its sources, each text written once."""
    texts: dict[str, int] = {}
    tables = {
        name: tuple(
            (*row[:4], *(texts.setdefault(text, len(texts)) for text in row[4:])) for row in rows
        )
        for name, rows in loader.load_tables().items()
    }
    return (
        '"""Made by engine.code.compile_tables; never edited."""\n'
        f"TEXTS = {tuple(texts)!r}\nTABLES = {tables!r}\n"
    )


def write_compiled(folder: Path) -> tuple[Path, Path]:
    """Write both modules into the folder that holds the copy of engine/code to be shipped."""
    written = (folder / "_compiled.py", folder / "_compiled_cells.py")
    written[0].write_text(compiled_source(), encoding="utf-8")
    written[1].write_text(compiled_cells_source(), encoding="utf-8")
    return written


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    print(*write_compiled(target), sep="\n")
