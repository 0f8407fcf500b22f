"""Temperature of the terminals at both ends of the conductors."""

from engine.code.limits import HIGHEST_TERMINAL_COLUMN
from engine.derived.derived import Derived
from engine.derived.sides import PRIMARY, SECONDARY, Side
from engine.job.site import Site, once


@once
def primary_termination(site: Site) -> Derived:
    """Temperature column of the primary terminals [°C]. Section: 110.14(C). Raises Missing."""
    return _termination(site, PRIMARY)


@once
def secondary_termination(site: Site) -> Derived:
    """Temperature column of the secondary terminals [°C]. Section: 110.14(C). Raises Missing."""
    return _termination(site, SECONDARY)


def _termination(site: Site, side: Side) -> Derived:
    """The lowest temperature of the terminals at both ends [°C]. Section: 110.14(C). Raises Missing."""
    device = site.need(side.device_termination)
    other = site.need(lambda job: side.conductors(job).termination_celsius)
    # The lugs of a new transformer are not those that the kept run was judged by. On other visits only the run's own
    # terminals are asked for, and a lower mark of the transformer contradicts them (engine.judging.contradictions).
    if site.job.purpose == "replacement":
        own = site.need(side.transformer_terminal)
    else:
        own = side.transformer_terminal(site.job)
    # A lower mark alone is worth a word: the run's own terminals take in the transformer's.
    marks = [device, other, *([own] if own is not None and own < other else [])]
    column = min(*marks, HIGHEST_TERMINAL_COLUMN)
    *most, last = (f"{mark} °C" for mark in marks)
    words = f"Terminals {', '.join(most)} and {last}: the {column} °C column"
    if min(marks) > HIGHEST_TERMINAL_COLUMN:
        words += "; a 90 °C mark on a lug does not open the 90 °C column to the circuit"
    return Derived(float(column), "°C", "terminal_temperature", (words,))
