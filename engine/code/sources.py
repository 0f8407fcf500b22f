"""Sources behind each cell, read from the tables only when somebody asks."""

from functools import lru_cache

from engine.code import loader
from engine.code.loader import Row
from engine.code.lookups import rows_of


@lru_cache(maxsize=1)
def _tables() -> dict[str, tuple[Row, ...]]:
    return loader.load_tables()


def table_keys() -> dict[str, tuple[str, ...]]:
    """Key columns by table name."""
    return loader.TABLE_KEYS


@lru_cache(maxsize=256)
def cells(table_name: str, edition: int) -> dict[tuple[str, ...], Row]:
    """Rows of one table in one edition by key; KeyError for an unknown table."""
    return rows_of(_tables()[table_name], edition)
