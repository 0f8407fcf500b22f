"""Which of several methods an edition uses, where more changed than a number."""

from functools import cache
from importlib import import_module
from typing import cast


@cache
def _choices() -> dict[int, dict[str, str]]:
    try:
        compiled = import_module("engine.code._compiled")
    except ModuleNotFoundError:
        from engine.code import loader  # noqa: PLC0415  (the phone has no use for the csv module)

        return loader.load_choices()
    return cast("dict[int, dict[str, str]]", compiled.CHOICES)


@cache
def choice(edition: int, choice_id: str) -> str:
    """The method that an edition uses. Unit: none. Section: named in choices.csv.

    Raises KeyError for a choice or an edition that the data does not hold: a programmer's error.
    """
    return _choices()[edition][choice_id]


def editions_with(choice_id: str, wanted: str) -> tuple[int, ...]:
    """The editions that use a method, the oldest first. Unit: none. Section: named in choices.csv.

    Raises KeyError for a choice that the data does not hold: a programmer's error.
    """
    return tuple(edition for edition, made in _choices().items() if made[choice_id] == wanted)
