"""Volts to ground on either side of the transformer: what the supply and the nominal voltage can make of the one, and what
grounds the winding of the other, at the least and at the most."""

from typing import NamedTuple

from engine.job.site import Site

# What a nominal voltage may be off the one of the label: transformers are rated a step above the system that they
# feed (216Y/125, 490Y/283). Common practice, no source.
NOMINAL = 1.05
# Nominal voltages of U.S. systems, common practice, no source. Those between two lines of a wye, those between the two
# ends of a winding with a grounded midpoint, and those from a line to a neutral. Any other voltage of two conductors
# may be one or the other: 240 V is between lines of 240Y/139 and from line to neutral of 416Y/240.
_BETWEEN_LINES_OF_A_WYE = (208.0, 480.0, 600.0)
_ACROSS_A_MIDPOINT = (240.0, 480.0)
_LINE_TO_NEUTRAL = (120.0, 277.0, 347.0)
# The high leg against the neutral.
_HIGH_LEG_TO_NEUTRAL = (208.0, 416.0)
_OF_A_WYE, _OF_A_HIGH_LEG = 3**-0.5, 3**0.5 / 2
# Of the volts between the lines of a secondary, what the highest conductor has to ground once it is grounded where
# 250.26 has it. One line or one side that is grounded leaves the whole voltage on the others.
SHARE_WHEN_GROUNDED = {
    "wye_4_wire": _OF_A_WYE,
    "wye_3_wire": _OF_A_WYE,
    "single_phase_3_wire": 0.5,
    "delta_high_leg": _OF_A_HIGH_LEG,
    "delta_corner_grounded": 1.0,
    "single_phase_2_wire": 1.0,
}
_WHICH_CONDUCTORS = "Find out whether the primary is connected line to line or line to neutral."


class VoltsToGround(NamedTuple):
    """The highest voltage to ground among the conductors of a circuit [V]: at the least and at the most that facts leave.

    `find_out` says what would settle it; empty where it is settled.
    """

    least: float
    most: float
    find_out: str = ""


def _is_near(voltage: float, nominal: tuple[float, ...]) -> bool:
    """Whether a voltage [V] is one of the nominal ones, a few percent aside. Section: none, common practice."""
    return any(each / NOMINAL <= voltage <= each * NOMINAL for each in nominal)


def _shares_of_three_phases(supply: str | None) -> tuple[float, float, str]:
    if supply == "solidly_grounded_wye":
        return _OF_A_WYE, _OF_A_WYE, ""
    if supply == "high_leg":
        return _OF_A_HIGH_LEG, _OF_A_HIGH_LEG, ""
    if supply in ("corner_grounded", "ungrounded"):
        return 1.0, 1.0, ""
    if supply == "impedance_grounded":
        return _OF_A_WYE, 1.0, "Find out the line-to-ground voltage during a ground fault."
    return _OF_A_WYE, 1.0, "Find out how the primary supply is grounded."


def _shares_of_two_conductors(
    volts: float, supply: str | None, outer_pair: bool
) -> tuple[float, float, str]:
    halved = _is_near(volts, _ACROSS_A_MIDPOINT)
    if supply in ("corner_grounded", "ungrounded") or _is_near(volts, _LINE_TO_NEUTRAL):
        return 1.0, 1.0, ""
    if supply == "single_phase_grounded":
        return (0.5, 0.5, "") if halved else (0.5, 1.0, _WHICH_CONDUCTORS)
    if supply in ("high_leg", None) and outer_pair and halved:
        return 0.5, 0.5, ""
    if supply == "high_leg":
        if _is_near(volts, _HIGH_LEG_TO_NEUTRAL):
            return 1.0, 1.0, ""
        return 0.5, _OF_A_HIGH_LEG if halved else 1.0, "Find out which two legs feed the primary."
    if supply is None:
        return 0.5, 1.0, "Find out how the primary supply is grounded."
    # A wye, grounded solidly or through an impedance.
    if supply == "solidly_grounded_wye" and _is_near(volts, _BETWEEN_LINES_OF_A_WYE):
        return _OF_A_WYE, _OF_A_WYE, ""
    return _OF_A_WYE, 1.0, _WHICH_CONDUCTORS


def of_primary(site: Site, supply: str | None = None, *, outer_pair: bool = False) -> VoltsToGround:
    """Voltage to ground of the primary conductors [V] on a supply, of which None is one that nobody knows.

    `outer_pair`: whether they are known to be the two lines of a 3-wire single-phase system. Section: Article 100,
    voltage to ground: to the grounded point or conductor of the circuit; of an ungrounded one the greatest voltage
    between conductors.
    """
    transformer = site.job.transformer
    line = transformer.primary_volts
    if transformer.phases == 3:
        least, most, find_out = _shares_of_three_phases(supply)
    else:
        least, most, find_out = _shares_of_two_conductors(line, supply, outer_pair)
    return VoltsToGround(line * least, line * most, find_out)


def of_secondary(site: Site) -> VoltsToGround:
    """Voltage to ground of the secondary conductors [V], by what is found to ground the winding, not by its name alone.

    Where nothing grounds it, or nothing can, that is the whole voltage between lines, whether it may stay so or not.
    Section: Article 100, voltage to ground; of an ungrounded circuit the greatest voltage between conductors.
    """
    transformer = site.job.transformer
    line, system = transformer.secondary_volts, transformer.secondary_system
    if system is None:
        least = _OF_A_WYE if transformer.phases == 3 else 0.5
        return VoltsToGround(line * least, line, "Find out how the secondary is connected.")
    share = SHARE_WHEN_GROUNDED.get(system, 1.0)
    place = site.job.bonding.system_bonding_jumper.location
    if share == 1.0 or place == "none":
        return VoltsToGround(line, line)
    if place is None:
        return VoltsToGround(line * share, line, "Find out whether the secondary is grounded.")
    return VoltsToGround(line * share, line * share)


def settle_secondary(site: Site) -> None:
    """Ask for what decides the voltage to ground of the secondary [V]. Section: Article 100. Raises Missing."""
    if site.need(lambda job: job.transformer.secondary_system) in SHARE_WHEN_GROUNDED:
        site.need(lambda job: job.bonding.system_bonding_jumper.location)
