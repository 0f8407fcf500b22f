"""Sources behind each cell, loaded only when somebody asks for one."""

from functools import lru_cache
from importlib import import_module
from typing import cast

from engine.code.rows import Row, rows_of

Packed = tuple[tuple[str, ...], int, int, tuple[int, ...], int, int, int, int, int, int, int]


@lru_cache(maxsize=1)
def all_rows() -> dict[str, tuple[Row, ...]]:
    """Rows of all tables by name, from the compiled module where there is one."""
    try:
        compiled = import_module("engine.code._compiled_cells")
    except ModuleNotFoundError:
        from engine.code import loader  # noqa: PLC0415  (the phone has no use for the csv module)

        return loader.load_tables()
    texts = cast(tuple[str, ...], compiled.TEXTS)
    tables = cast(dict[str, tuple[Packed, ...]], compiled.TABLES)
    return {
        name: tuple(Row(*row[:4], *(texts[index] for index in row[4:])) for row in rows)
        for name, rows in tables.items()
    }


@lru_cache(maxsize=256)
def cells(table_name: str, edition: int) -> dict[tuple[str, ...], Row]:
    """Rows of one table in one edition by key; KeyError for an unknown table."""
    return rows_of(all_rows()[table_name], edition)
