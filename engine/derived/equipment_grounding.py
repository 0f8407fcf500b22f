"""Equipment grounding conductors of the wire type, of the primary and past the secondary device: minimum sizes."""

from engine.code import MATERIALS, SIZES, size_index
from engine.code.choices import choice
from engine.derived import (
    conditions_of_use,
    conductor_ampacity,
    conductor_runs,
    conductor_sizes,
    currents,
    primary_conductors,
    sides,
)
from engine.derived.derived import Derived
from engine.derived.ungrounded_area import area_of, smallest_of_area
from engine.job.missing import Missing
from engine.job.site import Site, once
from engine.physics.quantities import amperes, area_kcmil, number, size


def _equipment_grounding(site: Site, rating: float, material: str) -> tuple[str | None, str]:
    chosen = site.code.equipment_grounding(rating, material)
    table = site.section("equipment_grounding_table")
    if chosen is None:
        return None, f"{table} ends below {amperes(rating)}."
    other = next(m for m in MATERIALS if m != material)
    alternative = site.code.equipment_grounding(rating, other)
    return chosen, (
        f"{table}, device {amperes(rating)}: {size(chosen, material)} (in {other}: "
        f"{size(alternative) if alternative else 'none'})"
    )


@once
def primary_equipment_grounding_minimum(site: Site) -> Derived | None:
    """Smallest equipment grounding conductor of the wire type, in each primary raceway (AWG or kcmil).

    Conductors no larger than those whose ampacity reaches the device's rating are not counted as increased. Larger ones
    are measured from the smallest that would do here: for the load and under the device, or, with the load unknown, the
    smallest that the device may protect. Raises NotInTables above 1000 V.
    None where the table ends below the device, or where no size has the increased area.
    Section: Table 250.122, 250.122(A), (B) and (F). Raises Missing: device, or conductors (for the increase).
    """
    return primary_equipment_grounding_in(
        site, site.job.primary.equipment_grounding.material or "copper"
    )


def _before_increase(site: Site) -> tuple[str | None, str]:
    """The smallest circuit conductor that would do here, and by what: for load and device, or for the device alone.

    Section: 250.122(B), 240.4(B), 215.2(A)(1). Raises Missing: device or conductors not known.
    """
    try:
        percent = primary_conductors.continuous_share(site)
        return primary_conductors.smallest_primary(site, percent), "for the load and the device"
    except Missing as missing:
        if not missing.path.startswith(("primary.load.", "primary.device.continuous_percent")):
            raise
    # Without a load the smallest that the device may protect counts, rounding up included: the strict side.
    return primary_conductors.smallest_primary(site, None), "for the device; the load is not known"


def primary_equipment_grounding_in(site: Site, material: str) -> Derived | None:
    """As `primary_equipment_grounding_minimum`, in a metal that is named. Unit: AWG or kcmil. Section: 250.122. Raises Missing."""
    conductor_ampacity.within_1000_volts(site)
    rating = currents.primary_device_rating(site)
    base, step = _equipment_grounding(site, rating, material)
    if base is None:
        return None
    installed = site.need(lambda job: job.primary.conductors.size)
    sets = site.need(lambda job: job.primary.conductors.sets)
    use = conditions_of_use.primary_conditions(site)
    by_rating = conductor_sizes.reference_size(site, use, rating, sets)
    steps, chosen, beyond = [step], base, False
    reference, words = _before_increase(site)
    if sets > 1:
        # 250.122(B) measures from the smallest size with enough ampacity "for the intended installation" (as quoted by
        # mepanet.com 287): so many sets, of which none may be smaller than 310.10(G) has it.
        steps.append(
            f"Compared with {sets} sets, as installed; fewer, larger sets would be a different installation."
        )
    if by_rating is not None and size_index(installed) <= size_index(by_rating):
        steps.append(
            f"Not counted as increased: {size(installed)} is no larger than the {size(by_rating)} whose ampacity reaches "
            "the device's rating. Measured from the smallest size that the load alone allows, some would require more."
        )
    elif reference is not None and size_index(reference) < size_index(installed):
        ratio = area_of(site, installed) / area_of(site, reference)
        wanted = area_of(site, base) * ratio
        steps.append(
            f"Ungrounded conductors {size(installed)} where {size(reference)} would be enough ({words}): increased in proportion, "
            f"{area_kcmil(area_of(site, base))} × {number(ratio)} = {area_kcmil(wanted)} "
            f"({site.section('equipment_grounding_increased')})"
        )
        if by_rating is not None and size_index(by_rating) > size_index(reference):
            steps.append(
                f"Some measure from {size(by_rating)}, whose ampacity reaches the device's rating, and require "
                "less. The stricter reading is taken."
            )
        grown = smallest_of_area(site, wanted)
        # Beyond the largest size only the limits below leave one to name.
        chosen, beyond = grown or SIZES[-1], grown is None
    larger = beyond or area_of(site, chosen) > area_of(site, installed)
    if larger and material == use.material and sets == 1:
        steps.append(
            f"Not required larger than the circuit conductors: {size(installed, material)}"
        )
        chosen, beyond = installed, False
    if sets > 1:
        steps.append(
            f"Full size in each parallel raceway ({site.section('equipment_grounding_parallel')})"
        )
        if (
            choice(site.code.edition, "parallel_equipment_grounding") == "limited_by_raceway"
            and material == use.material
        ):
            together = conductor_runs.sets_in_one_raceway(site, sides.PRIMARY)
            each = area_of(site, installed) * together
            limited = smallest_of_area(site, each)
            if limited and (beyond or area_of(site, chosen) > each):
                steps.append(
                    f"Not required larger than the ungrounded conductors of a phase there: {area_kcmil(each)}"
                )
                chosen, beyond = limited, False
    if beyond:
        return None
    steps.append(f"Smallest size: {size(chosen, material)}")
    return Derived(
        chosen, "AWG or kcmil", "equipment_grounding_conductor", tuple(steps), size=chosen
    )


@once
def secondary_equipment_grounding_minimum(site: Site) -> Derived | None:
    """Smallest equipment grounding conductor of a feeder that leaves the first disconnect (AWG or kcmil).

    It is not the conductor between the transformer and the first disconnect: that one is the supply-side bonding
    jumper. Section: Table 250.122 by the secondary device. Raises Missing; None for main lugs only.
    """
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_lugs_only":
        return None
    if kind == "grouped_devices":
        ratings = site.need(lambda job: job.secondary.protection.ratings)
        if not ratings:
            return None
        rating = max(ratings)
    else:
        rating = currents.secondary_device_rating(site).amount
    base, step = _equipment_grounding(site, rating, "copper")
    if base is None:
        return None
    note = (
        "For feeders past this device only. Between transformer and first disconnect the supply-side bonding jumper "
        f"counts ({site.section('supply_side_bonding_jumper')})."
    )
    return Derived(base, "AWG or kcmil", "equipment_grounding_table", (step, note), size=base)
