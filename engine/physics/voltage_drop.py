"""Voltage drop along a run of conductors."""

from math import sqrt


def effective_impedance(*, resistance: float, reactance: float, power_factor: float) -> float:
    """Effective impedance, in the unit of its parts (ohm per 1000 ft): R·cosθ + X·sinθ.

    Section: Chapter 9, Table 9, note 2.
    Source: NFPA 70 Chapter 9 Table 9, the column of effective impedance at 0.85 power factor follows from it.

    >>> round(effective_impedance(resistance=0.063, reactance=0.051, power_factor=0.85), 4)
    0.0804
    """
    return resistance * power_factor + reactance * sqrt(max(0.0, 1 - power_factor**2))


def voltage_drop(
    *, amperes: float, length_feet: float, ohms_per_1000_feet: float, phases: int, sets: int = 1
) -> float:
    """Voltage drop, line to line [V], of a current [A] over a one-way length [ft].

    ohms_per_1000_feet: effective impedance of one conductor [ohm per 1000 ft]; sets: conductors in parallel.
    Section: none; advice in the informational note to 215.2. Single-phase: out and back.
    Source: "Voltage Drop Calculations 1", electricianpracticetests.com (10 AWG, 16 A, 50 ft, 1.2 ohm/kft: 1.92 V).

    >>> round(voltage_drop(amperes=16, length_feet=50, ohms_per_1000_feet=1.2, phases=1), 2)
    1.92
    """
    return (
        (sqrt(3) if phases == 3 else 2) * amperes * ohms_per_1000_feet * length_feet / 1000 / sets
    )
