"""Old job formats to the current one, step by step, on plain data, so that it survives changes of the models."""

from collections.abc import Callable
from typing import Any

CURRENT = "platepath.job/1"


class UnknownFormat(ValueError):
    """A format that no step leads from."""

    def __init__(self, found: object) -> None:
        super().__init__(f"unknown format {found!r}")
        self.found = found


# Each step: the format it reads, and how it makes the next one. The first format has no older one.
STEPS: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {}


def migrate(data: dict[str, Any]) -> tuple[dict[str, Any], str | None]:
    """The same job in the current format, and the format it came from when that was another.

    Raises UnknownFormat for a missing or newer format. Unit: none. Section: the contract.
    """
    found = data.get("format")
    came_from = None
    while found != CURRENT:
        step = STEPS.get(found) if isinstance(found, str) else None
        if step is None:
            raise UnknownFormat(found if isinstance(found, str) else "no format")
        came_from = came_from or str(found)
        data = step(data)
        found = data.get("format")
    return data, came_from
