"""Fixed limits of the code that rules and contradictions share, each written once."""

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
