"""Full-load current of a transformer."""

from math import sqrt


def full_load_current(*, kva: float, volts: float, phases: int) -> float:
    """Rated line current [A] from rated power [kVA] and line-to-line voltage [V].

    Section: none; the definition of apparent power, kVA = V·I (single-phase) or √3·V·I (three-phase) / 1000.
    Source: Charles R. Miller, "Sizing Conductors, Part XXX", Electrical Contractor magazine (75 kVA, 480 V: 90.2 A).

    >>> round(full_load_current(kva=75, volts=480, phases=3), 1)
    90.2
    >>> round(full_load_current(kva=25, volts=480, phases=1), 2)
    52.08
    """
    return kva * 1000 / (volts * (sqrt(3) if phases == 3 else 1))
