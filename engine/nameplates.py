"""A replacement: the old nameplate beside the new one, what follows from each, and what the difference changes."""

from collections.abc import Mapping
from operator import attrgetter
from typing import Any

from engine.derived.faults import USUAL_INRUSH
from engine.facts import shown_at
from engine.job import Job
from engine.physics.fault_current import transformer_fault_current
from engine.physics.full_load_current import full_load_current
from engine.quantities import amperes, kiloamperes, number
from engine.result import Check, Compared

UNKNOWN = "not known"
# Each line of both nameplates: its words, its field, and the check whose words say what a difference changes.
LINES: tuple[tuple[str, str, str], ...] = (
    ("Rated power", "kva", "replacement_capacity"),
    ("Primary voltage", "primary_volts", "replacement_voltages"),
    ("Secondary voltage", "secondary_volts", "replacement_voltages"),
    ("Secondary connection", "secondary_system", "replacement_voltages"),
    ("Impedance", "impedance_percent", "replacement_fault_current"),
    ("K-factor", "k_factor", "replacement_k_factor"),
    ("Temperature rise", "temperature_rise_celsius", "replacement_k_factor"),
)


def _line(label: str, old: str | None, new: str | None, effect: str) -> Compared:
    """One line; what is known of one side only is no difference."""
    if old is None or new is None:
        return Compared(
            label=label, old=old or UNKNOWN, new=new or UNKNOWN, change="not_known", effect=""
        )
    change = "same" if old == new else "changed"
    return Compared(
        label=label, old=old, new=new, change=change, effect=effect if old != new else ""
    )


def _shown(path: str, value: Any) -> str | None:
    return None if value is None else shown_at(path, value)


def _current(kva: float | None, volts: float | None, phases: int) -> float | None:
    if kva is None or volts is None:
        return None
    return full_load_current(kva=kva, volts=volts, phases=phases)


def _worked_out(job: Job) -> list[Compared]:
    """What follows from each nameplate: currents [A], inrush [A, common practice], fault current on an infinite bus [kA]."""
    new, old = job.transformer, job.replacement.old
    # Phases are those of the supply; an old unit with other phases would have had another place.
    primary = [_current(t.kva, t.primary_volts, new.phases) for t in (old, new)]
    secondary = [_current(t.kva, t.secondary_volts, new.phases) for t in (old, new)]
    lines: list[Compared] = []
    for side, pair in (("primary", primary), ("secondary", secondary)):
        before, now = (None if current is None else amperes(current) for current in pair)
        lines.append(
            _line(
                f"Full-load current, {side}",
                before,
                now,
                "Device limits, conductors, jumpers and electrode conductor are judged for the new one.",
            )
        )
    low, high = USUAL_INRUSH
    before, now = (
        None if current is None else f"{amperes(low * current)} to {amperes(high * current)}"
        for current in primary
    )
    lines.append(
        _line(
            f"Usual inrush, {number(low)} to {number(high)} times that (common practice)",
            before,
            now,
            "Hold the instantaneous trip of the kept device against it: see the inrush line.",
        )
    )
    before, now = (
        None
        if current is None or t.impedance_percent is None
        else kiloamperes(
            transformer_fault_current(
                full_load_amperes=current, impedance_percent=t.impedance_percent
            )
        )
        for current, t in zip(secondary, (old, new), strict=True)
    )
    lines.append(
        _line(
            "Fault current at the terminals, infinite bus",
            before,
            now,
            "Hold every rating downstream against it; mark fault current and arc-flash labels anew.",
        )
    )
    return lines


def nameplates(job: Job, checks: Mapping[str, Check]) -> list[Compared]:
    """Old and new, line by line; empty unless the visit is for a replacement or an old nameplate was read.

    Unit: each its own. Section: 110.3(B) and those of the checks whose words are used.
    """
    old = job.replacement.old
    if job.purpose != "replacement" and old == type(old)():
        return []
    lines: list[Compared] = []
    for label, field, check in LINES:
        path = f"transformer.{field}"
        before, now = attrgetter(field)(old), attrgetter(field)(job.transformer)
        judged = checks[check]
        lines.append(
            _line(
                label,
                _shown(f"replacement.old.{field}", before),
                _shown(path, now),
                judged.reason,
            )
        )
    return [*lines, *_worked_out(job)]
