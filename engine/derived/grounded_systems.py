"""Whether the secondary is a grounded system, and which of its conductors are grounded."""

from engine.code.limits import must_ground_by_voltage
from engine.job.site import Site

# Secondaries whose grounded conductor carries the whole line current: a grounded phase, the return of two wires.
CARRY_LINE_CURRENT = ("delta_corner_grounded", "single_phase_2_wire")


def ungrounded_count(site: Site) -> int:
    """Ungrounded conductors of the secondary in one set.

    Unit: conductors. Section: none; the secondary system on the nameplate. Raises Missing.
    """
    system = site.need(lambda job: job.transformer.secondary_system)
    if system in ("wye_4_wire", "wye_3_wire", "delta_high_leg", "delta_3_wire_ungrounded"):
        return 3
    if system in ("delta_corner_grounded", "single_phase_3_wire"):
        return 2
    return 2 if is_grounded(site) is False else 1


def has_grounded_conductor(site: Site) -> bool:
    """Whether a grounded conductor lies in the secondary run.

    A neutral that is not run is not there; a circuit that cannot close without it has it whatever was not found, and
    that it is missing is a conflict of its own. Unit: none. Section: 250.30(A)(3). Raises Missing.
    """
    if not is_grounded(site):
        return False
    system = site.need(lambda job: job.transformer.secondary_system)
    if system == "delta_3_wire_ungrounded":
        return False
    if system in CARRY_LINE_CURRENT:
        return True
    if site.job.secondary.grounded_conductor.size is not None:
        return True
    return site.need(lambda job: job.secondary.grounded_conductor.present)


def is_without_neutral(site: Site) -> bool:
    """Whether it is known that no grounded conductor is run. Unit: none. Section: none."""
    neutral = site.job.secondary.grounded_conductor
    return neutral.present is False and neutral.size is None


def has_four_wires_of_a_wye(site: Site) -> bool:
    """Whether the secondary is a wye from which a neutral may be run, whichever number of wires its name says.

    One of three wires has a fourth as soon as its neutral is run. Unit: none. Section: 310.15(E)(3). Raises Missing.
    """
    system = site.need(lambda job: job.transformer.secondary_system)
    neutral = site.job.secondary.grounded_conductor
    if system == "wye_3_wire" and neutral.size is None:
        return site.need(lambda job: job.secondary.grounded_conductor.present)
    return system in ("wye_3_wire", "wye_4_wire")


def is_grounded(site: Site) -> bool:
    """Whether the secondary is, or must be, a grounded system.

    Unit: none. Section: 250.20(B). Raises Missing where neither the system nor the jumper tells.
    """
    system = site.need(lambda job: job.transformer.secondary_system)
    if system == "delta_corner_grounded" or must_be_grounded(site):
        return True
    if system == "delta_3_wire_ungrounded":
        return False
    return site.need(lambda job: job.bonding.system_bonding_jumper.location) != "none"


def fed_on_low_voltage_wye(site: Site) -> bool:
    """Whether a wye is fed and a delta of higher voltage gives out: a step-down unit turned around.

    Unit: V. Section: 450.11(B). Raises Missing where the connections could make it one.
    """
    transformer = site.job.transformer
    if transformer.phases == 1 or transformer.secondary_volts <= transformer.primary_volts:
        return False
    if not site.need(lambda job: job.transformer.secondary_system).startswith("delta"):
        return False
    return site.need(lambda job: job.transformer.primary_system).startswith("wye")


def must_be_grounded(site: Site) -> bool:
    """Whether the code asks for the secondary to be grounded.

    Unit: V to ground against 150 V. Section: 250.20(B)(1) to (3): at most 150 V to ground when grounded, a wye whose
    neutral is a circuit conductor, a delta with a midpoint neutral. Raises Missing.
    """
    system = site.need(lambda job: job.transformer.secondary_system)
    plate = site.job.transformer
    if must_ground_by_voltage(system, plate.secondary_volts, plate.primary_volts):
        return True
    # Items (2) and (3): a wye above 150 V to ground, and a delta with a tap, leave the choice where the neutral is no
    # circuit conductor.
    if system in ("wye_4_wire", "delta_high_leg"):
        place = site.job.bonding.system_bonding_jumper.location
        if place not in (None, "none") or any(site.in_each_run(_grounded_is_run)):
            return True
        # Without a neutral the jumper alone tells, so that a place that is not known tells nothing.
        return site.need(lambda job: job.bonding.system_bonding_jumper.location) != "none"
    # Items (2) and (3) name three-phase systems alone. A midpoint that is run is taken for a neutral that must be
    # grounded all the same, which is the strict side; one that is not used leaves the choice.
    return system == "single_phase_3_wire" and any(site.in_each_run(_grounded_is_run))


def _grounded_is_run(site: Site) -> bool:
    return site.job.secondary.grounded_conductor.size is not None or site.need(
        lambda job: job.secondary.grounded_conductor.present
    )
