"""Ampacity under the conditions of use."""


def ampacity_as_installed(
    *,
    table_amperes: float,
    ambient_factor: float,
    adjustment_factor: float,
    termination_amperes: float,
    sets: int,
) -> float:
    """Ampacity [A] of parallel sets: corrected and adjusted, never above the termination column.

    table_amperes: table value in the insulation's own column [A]; termination_amperes: table value in the column of
    the terminals [A]; factors without unit; sets: conductors in parallel.
    Section: 310.14, 110.14(C) and 310.10 (2023); the method is the same in every edition carried.
    Source: Mike Holt forum, "Wire Size" (3 AWG THHN, nine conductors: 115 A × 0.70 = 80.5 A).

    >>> round(ampacity_as_installed(table_amperes=115, ambient_factor=1, adjustment_factor=0.7,
    ...                             termination_amperes=100, sets=1), 1)
    80.5
    """
    return min(table_amperes * ambient_factor * adjustment_factor, termination_amperes) * sets


def ambient_correction(
    *, conductor_celsius: float, ambient_celsius: float, base_celsius: float = 30.0
) -> float:
    """Correction factor for an ambient temperature [°C] other than the table's base [°C].

    Section: 310.15(B) (2020 and later), the equation below the ambient tables; returns 0 where no ampacity is left.
    Source: NFPA 70, equation 310.15(B): √((Tc − Ta′)/(Tc − Ta)); from memory, and it reproduces the printed factors.

    >>> round(ambient_correction(conductor_celsius=90, ambient_celsius=40), 2)
    0.91
    """
    if ambient_celsius >= conductor_celsius:
        return 0.0
    return ((conductor_celsius - ambient_celsius) / (conductor_celsius - base_celsius)) ** 0.5
