"""The electrical code as data: tables, sections and standard sizes by edition, without any rule."""

from functools import lru_cache
from importlib import import_module
from typing import TYPE_CHECKING, cast

from engine.code.editions import EDITIONS
from engine.code.electrical_code import Cell, Citation, Code, Kind, Method, Percent, SideName
from engine.code.sizes import (
    INSULATIONS,
    MATERIALS,
    RACEWAY_TYPES,
    SIZES,
    TRADE_SIZES,
    UnknownSize,
    size_index,
)

if TYPE_CHECKING:
    from engine.code.lookups import Lookups

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
    "Kind",
    "Method",
    "Percent",
    "SideName",
    "UnknownEdition",
    "UnknownSize",
    "code_for",
    "size_index",
]


class UnknownEdition(ValueError):
    """An edition outside EDITIONS; it is refused, never replaced."""


def lookups_from_tables(edition: int) -> "Lookups":
    """Values of one edition, read from the CSV tables."""
    from engine.code import loader, lookups  # noqa: PLC0415  (the phone has no use for the csv module)

    return lookups.build(loader.load_tables(), loader.load_sections(), edition)


@lru_cache(maxsize=len(EDITIONS))
def _code_for(edition: int) -> Code:
    try:
        compiled = import_module("engine.code._compiled")
    except ModuleNotFoundError:
        return Code(edition, lookups_from_tables(edition))
    return Code(edition, cast("dict[int, Lookups]", compiled.LOOKUPS)[edition])


def code_for(edition: int) -> Code:
    """The electrical code of one edition, made once and kept.

    Raises UnknownEdition for an edition outside EDITIONS.
    """
    if edition not in EDITIONS:
        raise UnknownEdition(f"edition {edition!r} is outside this tool; it knows {list(EDITIONS)}")
    return _code_for(edition)
