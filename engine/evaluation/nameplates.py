"""A replacement: the old nameplate beside the new one, what follows from each, and what the difference changes."""

from collections.abc import Callable, Mapping
from operator import attrgetter
from typing import NamedTuple

from engine.derived.faults import USUAL_INRUSH
from engine.evaluation.facts import in_metric, shown_at
from engine.job import Job, OldTransformer, Transformer
from engine.physics.fault_current import transformer_fault_current
from engine.physics.full_load_current import full_load_current
from engine.physics.quantities import amperes, kiloamperes, number
from engine.result import Check, Compared

UNKNOWN = "not known"
Unit = Transformer | OldTransformer


class Line(NamedTuple):
    """One line of both nameplates. What a difference changes is said by `effect` or, where that is empty, by a check.

    `checks` are those whose section stands behind the words.
    """

    label: str
    shown: Callable[[Unit], str | None]
    checks: tuple[str, ...]
    effect: str = ""


def _field(name: str) -> Callable[[Unit], str | None]:
    """A field as people write its answer."""
    read = attrgetter(name)

    def shown(unit: Unit) -> str | None:
        value = read(unit)
        return None if value is None else shown_at(f"transformer.{name}", value)

    return shown


def _phases(unit: Unit) -> int | None:
    return unit.known_phases if isinstance(unit, OldTransformer) else unit.phases


def _phases_shown(unit: Unit) -> str | None:
    phases = _phases(unit)
    return None if phases is None else str(phases)


def _taps(unit: Unit) -> str | None:
    above, below = unit.taps_above_percent, unit.taps_below_percent
    if above is None or below is None:
        return None
    return f"+{number(above)} %, −{number(below)} %"


def _terminals(unit: Unit) -> str | None:
    primary, secondary = unit.primary_terminal_celsius, unit.secondary_terminal_celsius
    return None if primary is None or secondary is None else f"{primary} °C / {secondary} °C"


def _weight(unit: Unit) -> str | None:
    pounds = unit.weight_pounds
    if pounds is None:
        return None
    return f"{number(pounds)} lb ({in_metric('transformer.weight_pounds', pounds):,.0f} kg)"


def _size(unit: Unit) -> str | None:
    sides = (unit.width_inches, unit.height_inches, unit.depth_inches)
    known = [side for side in sides if side is not None]
    if len(known) != len(sides):
        return None
    millimeters = (in_metric("transformer.width_inches", side) for side in known)
    inches = " × ".join(map(number, known))
    return f"{inches} in. ({' × '.join(f'{side:.0f}' for side in millimeters)} mm)"


LINES: tuple[Line, ...] = (
    Line("Phases", _phases_shown, ("replacement_voltages",)),
    Line("Rated power", _field("kva"), ("replacement_capacity",)),
    Line("Primary voltage", _field("primary_volts"), ("replacement_voltages",)),
    Line("Secondary voltage", _field("secondary_volts"), ("replacement_voltages",)),
    Line("Primary connection", _field("primary_system"), ("replacement_voltages",)),
    Line("Secondary connection", _field("secondary_system"), ("replacement_voltages",)),
    Line("Impedance", _field("impedance_percent"), ("replacement_fault_current",)),
    Line(
        "Taps from nominal",
        _taps,
        ("replacement_tap_range",),
        "Set the tap so that the output is near nominal, all phases on the same link.",
    ),
    Line("K-factor", _field("k_factor"), ("replacement_k_factor",)),
    Line("Temperature rise", _field("temperature_rise_celsius"), ("replacement_k_factor",)),
    Line(
        "Wire terminals, H / X",
        _terminals,
        ("replacement_terminals",),
        "The kept conductors carry no more than the lowest terminal allows.",
    ),
    Line(
        "Enclosure",
        _field("enclosure"),
        ("ventilation", "dry_type_indoors", "dry_type_outdoors"),
        "Clearance at the vents and from combustibles; whether it may be outdoors or where it is wet.",
    ),
    Line(
        "Weight",
        _weight,
        ("anchoring",),
        "Bracket, rods, floor and anchors carried the old weight.",
    ),
    Line(
        "Width × height × depth",
        _size,
        ("working_space", "ventilation"),
        "Tape the working space and the nameplate's clearance at the vents again.",
    ),
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


def _current(kva: float | None, volts: float | None, phases: int | None) -> float | None:
    if kva is None or volts is None or phases is None:
        return None
    return full_load_current(kva=kva, volts=volts, phases=phases)


def _worked_out(job: Job) -> list[Compared]:
    """What follows from each nameplate: currents [A], inrush [A, common practice], fault current on an infinite bus [kA]."""
    new, old = job.transformer, job.replacement.old
    primary = [_current(t.kva, t.primary_volts, _phases(t)) for t in (old, new)]
    secondary = [_current(t.kva, t.secondary_volts, _phases(t)) for t in (old, new)]
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
            "Compare the kept device's instantaneous trip with it: see the inrush check.",
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
            "Compare every rating downstream with it; update the fault-current and arc-flash labels.",
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
    for line in LINES:
        behind = [checks[id_] for id_ in line.checks]
        sections = ", ".join(dict.fromkeys(check.section for check in behind))
        lines.append(
            _line(
                line.label,
                line.shown(old),
                line.shown(job.transformer),
                f"{line.effect or behind[0].reason} ({sections})",
            )
        )
    return [*lines, *_worked_out(job)]
