"""The electrical code as data: tables, sections and standard sizes by edition, without any rule."""

from functools import lru_cache

from engine.code.electrical_code import Cell, Citation, Code, Percent
from engine.code.lookups import Lookups
from engine.code.sizes import (
    INSULATIONS,
    MATERIALS,
    RACEWAY_TYPES,
    SIZES,
    TRADE_SIZES,
    UnknownSize,
    size_index,
)

EDITIONS = (2014, 2017, 2020, 2023, 2026)

__all__ = [
    "EDITIONS",
    "INSULATIONS",
    "MATERIALS",
    "RACEWAY_TYPES",
    "SIZES",
    "TRADE_SIZES",
    "Cell",
    "Citation",
    "Code",
    "Percent",
    "UnknownEdition",
    "UnknownSize",
    "code_for",
    "size_index",
]


class UnknownEdition(ValueError):
    """An edition outside EDITIONS; it is refused, never replaced."""


def lookups_from_tables(edition: int) -> Lookups:
    """Values of one edition, read from the CSV tables."""
    from engine.code import loader, lookups

    return lookups.build(loader.load_tables(), loader.load_sections(), edition)


@lru_cache(maxsize=len(EDITIONS))
def _code_for(edition: int) -> Code:
    try:
        from engine.code._compiled import LOOKUPS  # type: ignore[import-not-found]
    except ImportError:
        return Code(edition, lookups_from_tables(edition))
    return Code(edition, LOOKUPS[edition])  # type: ignore[no-any-return]


def code_for(edition: int) -> Code:
    """The electrical code of one edition, made once and kept.

    Raises UnknownEdition for an edition outside EDITIONS.
    """
    if edition not in EDITIONS:
        raise UnknownEdition(f"edition {edition!r} is outside this tool; it knows {list(EDITIONS)}")
    return _code_for(edition)
