"""Fixed limits of the code that rules and contradictions share, each written once."""

from collections.abc import Collection

# Windings that have no neutral point.
WITHOUT_NEUTRAL_POINT = ("delta_3_wire", "single_phase_2_wire")
# Equipment of 1000 V and less is rated for conductors at 75 °C at most (110.14(C)(1)).
HIGHEST_TERMINAL_COLUMN = 75
# A system that can be grounded to hold its lines to this many volts to ground must be (250.20(A) and (B)(1)).
GROUNDED_UP_TO_VOLTS = 150.0
# A three-phase supply of up to this many volts line to line is at 150 V to ground, rounding aside; a grounded phase or
# no ground at all makes it more.
PERHAPS_UP_TO_VOLTS = 260.0


def must_ground_by_voltage(system: str, line_volts: float, supply_volts: float) -> bool:
    """Whether the voltage alone asks for the secondary to be grounded.

    Unit: V line to line; V to ground against 150 V. Section: 250.20(A) and (B)(1); the list as printed in Electrical
    Contractor, "To ground or not to ground" (ecmag.com).
    """
    if line_volts < 50:
        return supply_volts > PERHAPS_UP_TO_VOLTS
    if system in ("wye_3_wire", "wye_4_wire"):
        to_ground = line_volts / 3**0.5
    else:
        to_ground = line_volts / 2 if system == "single_phase_3_wire" else line_volts
    return to_ground <= GROUNDED_UP_TO_VOLTS


# Switches take fuses of a range. Those for 1000 A and more take fuses from 601 A, of some makes smaller ones of the same
# dimensions; none of them holds a fuse of this rating [A] or less: common practice, no source.
FUSES_OF_SMALL_SWITCHES = 400.0
# Smallest device that needs ground-fault protection of equipment, by its rating or its highest setting [A]: 215.10, 230.95,
# 240.13.
GROUND_FAULT_PROTECTION_FROM = 1000.0
# Nonflexible metal raceways that may bond by themselves, their couplings and connectors with them (250.118, 250.30(A)(2)).
METAL_RACEWAYS = ("RMC", "IMC", "EMT")
METAL_RACEWAYS_AND_FLEX = (*METAL_RACEWAYS, "FMC", "LFMC")
# Fixed breakers up to this rating [A] are also made for DIN rails, in other ratings: common practice, no source.
_FIXED_AT_ANY_RATING = 63.0


def is_unusual_for_fixed(rating: float, standard: Collection[float]) -> bool:
    """Whether breakers whose trip can't be set do not usually come in this rating [A]; `standard` are those of 240.6(A).

    Section: 240.6(A). Unit: A.
    """
    return rating > _FIXED_AT_ANY_RATING and rating not in standard
