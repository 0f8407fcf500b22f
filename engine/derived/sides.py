"""The two sides of the transformer, and where the facts of each are read."""

from collections.abc import Callable
from dataclasses import dataclass

from engine.code import SideName
from engine.job import Conductors, Job, Load, Raceway


@dataclass(frozen=True)
class Side:
    """Where to read the facts of one side of the transformer."""

    name: SideName
    conductors: Callable[[Job], Conductors]
    raceway: Callable[[Job], Raceway]
    load: Callable[[Job], Load]
    device_termination: Callable[[Job], int | None]
    transformer_terminal: Callable[[Job], int | None]


PRIMARY = Side(
    "primary",
    lambda job: job.primary.conductors,
    lambda job: job.primary.raceway,
    lambda job: job.primary.load,
    lambda job: job.primary.device.termination_celsius,
    lambda job: job.transformer.primary_terminal_celsius,
)
SECONDARY = Side(
    "secondary",
    lambda job: job.secondary.conductors,
    lambda job: job.secondary.raceway,
    lambda job: job.secondary.load,
    lambda job: job.secondary.protection.termination_celsius,
    lambda job: job.transformer.secondary_terminal_celsius,
)


def side_of(path: str) -> Side:
    """The side that a path is of. Unit: none. Section: none."""
    return PRIMARY if path.startswith("primary.") else SECONDARY
