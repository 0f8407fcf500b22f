"""Bolted fault current behind a transformer."""

from math import hypot, sqrt


def transformer_fault_current(*, full_load_amperes: float, impedance_percent: float) -> float:
    """Fault current at the secondary terminals on an infinite bus [A], from rated current [A] and impedance [%].

    Section: none; 110.9 and 408.6 ask for it. The ceiling: every other impedance makes it smaller.
    Source: "Percent impedance", Single-Phase Transformers, BCcampus open textbook.

    >>> round(transformer_fault_current(full_load_amperes=208.2, impedance_percent=5.0))
    4164
    """
    return full_load_amperes * 100 / impedance_percent


def source_impedance(*, volts: float, fault_amperes: float, phases: int) -> float:
    """Impedance of a source [ohm] from its line-to-line voltage [V] and its bolted fault current [A].

    Three-phase: per phase to neutral. Single-phase: of the whole loop.
    Section: none. Source: own arithmetic (Ohm's law).

    >>> round(source_impedance(volts=480, fault_amperes=27713, phases=3), 4)
    0.01
    """
    return volts / (sqrt(3) if phases == 3 else 1) / fault_amperes


def fault_current_through(
    *, volts: float, phases: int, resistance_ohms: float, reactance_ohms: float
) -> float:
    """Fault current [A] through a series impedance [ohm] at a line-to-line voltage [V].

    Section: none. Source: own arithmetic (Ohm's law), checked in the tests against pandapower.

    >>> round(fault_current_through(volts=208, phases=3, resistance_ohms=0.006, reactance_ohms=0.008))
    12009
    """
    return volts / (sqrt(3) if phases == 3 else 1) / hypot(resistance_ohms, reactance_ohms)


def ground_fault_current(
    *,
    volts_to_ground: float,
    phase_ohms: tuple[float, float],
    return_ohms: tuple[float, float],
) -> float:
    """Current [A] of a bolted fault from a phase to ground through the phase and the way back; pairs are R and X [ohm].

    Section: none; 250.4(A)(5) asks for a path of low impedance. The ceiling: the source, the fault's own arc and a return
    that lies apart from the phase all make it smaller.
    Source: own arithmetic (Ohm's law) with the impedances of Chapter 9, Table 9.

    >>> round(ground_fault_current(volts_to_ground=277, phase_ohms=(0.48, 0.171), return_ohms=(1.47, 0.192)), 1)
    139.7
    """
    return volts_to_ground / hypot(phase_ohms[0] + return_ohms[0], phase_ohms[1] + return_ohms[1])
