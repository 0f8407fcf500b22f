"""The bonding path: current on it, its resistance, and the neutral clear of ground with the jumper lifted."""

from math import sqrt

from engine.derived import grounded_systems
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.quantities import amperes, number, volts
from engine.rules.conditions.facts_read import DEVICE_RATING
from engine.rules.conditions.meter_readings import nominal_to_ground
from engine.rules.rule import rule

# The smallest usual breaker [A]; a smaller device than the known one is never supposed.
SMALLEST_DEVICE = 15.0


@rule(
    "bonding_current_reading",
    title="Current on bonding and electrode conductors",
    cite="objectionable_current",
    severity="danger",
    group="readings",
    asks=("readings.bonding_conductor_amperes", "readings.electrode_conductor_amperes"),
)
def bonding_current_reading(site: Site) -> Finding:
    """Whether neutral current runs on metal [A]: a sign of a second bond. About zero proves nothing.

    Source: HDBK 419A volume 2; common practice for the 1 A threshold, no source. Section: 250.6. Raises Missing.
    """
    read = site.job.readings
    jumper, electrode = read.bonding_conductor_amperes, read.electrode_conductor_amperes
    # One clamp reading above the threshold is enough to fail.
    is_about_zero = max(jumper or 0.0, electrode or 0.0) <= 1
    if is_about_zero:
        jumper = site.need(lambda job: job.readings.bonding_conductor_amperes)
        electrode = site.need(lambda job: job.readings.electrode_conductor_amperes)
    places = ((jumper, "bonding path"), (electrode, "electrode conductor"))
    found = ", ".join(f"{number(a)} A on the {place}" for a, place in places if a is not None)
    if not is_about_zero:
        return confirm(
            site,
            False,
            required="about zero under load",
            found=found,
            reason="",
            otherwise="Current on the bonding path: a second neutral-to-ground connection, or a parallel path.",
            remedy="De-energize, lift the jumper and test; isolate section by section.",
        )
    return undetermined(
        "About zero now. It does not prove that there is no second neutral-to-ground connection.",
        required="about zero under load",
        found=found,
    )._replace(severity="advice")


@rule(
    "neutral_insulation_reading",
    title="Neutral to ground, jumper lifted, de-energized",
    cite="grounded_conductor_not_for_grounding",
    severity="danger",
    group="readings",
    asks=("readings.neutral_insulation_megohms", "transformer.secondary_system"),
)
def neutral_insulation_reading(site: Site) -> Finding:
    """Whether the neutral is clear of ground with the jumper lifted, dead [megohm]: at least 1.

    Source: Mike Holt forum, "110.7 neutral ground test" (1 megohm least, 5 preferred). Section: 250.142(B).
    """
    if site.job.transformer.secondary_system == "delta_3_wire_ungrounded":
        return not_applicable("An ungrounded delta has no neutral.")
    reading = site.need(lambda job: job.readings.neutral_insulation_megohms)
    return compare(
        site,
        found=reading,
        at_least=1,
        required="at least 1 megohm, 5 preferred (a field engineer's practice)",
        found_shown=f"{number(reading)} megohm",
        reason="No second neutral-to-ground connection on what was connected for the test.",
        otherwise="A second neutral-to-ground connection, or bad insulation, on what was connected for the test.",
        remedy="Isolate section by section, de-energized.",
    )


@rule(
    "bonding_path_reading",
    title="Resistance of the bonding path",
    cite="effective_ground_fault_path",
    severity="advice",
    group="readings",
    all_runs=(),
    asks=(
        "readings.bonding_path_ohms",
        *DEVICE_RATING,
        "transformer.secondary_system",
        "transformer.primary_system",
        "bonding.system_bonding_jumper.location",
        "secondary.grounded_conductor.present",
        "secondary.grounded_conductor.size",
    ),
)
def bonding_path_reading(site: Site) -> Finding:
    """Whether the bonding path is of low resistance [ohm], point to point: at most 0.5, and a fault opens the device.

    Source: NETA, as quoted in Physics Forums thread 716983; Ohm's law. Section: 250.4(A)(5). Raises Missing.
    """
    reading = site.need(lambda job: job.readings.bonding_path_ohms)
    finding = compare(
        site,
        found=reading,
        at_most=0.5,
        required="at most 0.5 ohm point to point (NETA, as quoted), and low enough for a fault to open the device",
        found_shown=f"{number(reading)} ohm",
        reason="Low.",
        otherwise="Too high: a joint is loose, or the path goes elsewhere.",
        remedy="De-energize and find the bad joint.",
    )
    driven = _fault_volts(site)
    drawn = driven / reading if reading else float("inf")
    seen = drawn * driven / _winding_volts(site)
    opens = _opens_above(site)
    if drawn < SMALLEST_DEVICE or seen < opens:
        return confirm(
            site,
            False,
            required=finding.required,
            found=finding.found,
            reason="",
            otherwise=f"In a fault to the case, {volts(driven)} drives at most {amperes(drawn)} through this path, and "
            f"the primary device sees at most {amperes(seen)}: the device does not open, and the case stays "
            "live.",
            remedy="De-energize, measure again with a low-resistance ohmmeter, and find the bad joint.",
        )._replace(severity="danger")
    if finding.verdict == "meets":
        return undetermined(
            "Low resistance fits a good path, but also a thin one. It passes only if it is seen.",
            required=finding.required,
            found=finding.found,
        )
    return finding


def _fault_volts(site: Site) -> float:
    """What drives a fault from the weakest line to the case [V]; between two lines where nothing grounds the system.

    What is not known counts as the higher voltage: it never makes a reading worse than it is.
    """
    plate = site.job.transformer
    if plate.secondary_system is None:
        return plate.secondary_volts
    try:
        grounded = grounded_systems.is_grounded(site)
    except Missing:
        grounded = False
    if not grounded:
        return plate.secondary_volts
    return min(n for n in nominal_to_ground(plate.secondary_system, plate.secondary_volts) if n)


def _winding_volts(site: Site) -> float:
    """The voltage of one primary winding [V]: it carries the secondary's fault current by the ratio to this voltage.

    A wye, or a connection that is not known, has the lower voltage and the higher current.
    """
    plate = site.job.transformer
    if plate.phases == 1 or plate.primary_system == "delta_3_wire":
        return plate.primary_volts
    return plate.primary_volts / sqrt(3)


def _opens_above(site: Site) -> float:
    """What the primary device needs at least to open ever [A]: as far as it is known, and the smallest one otherwise."""
    device = site.job.primary.device
    rating = device.rating or SMALLEST_DEVICE
    if device.kind == "fuse" or not device.adjustable or device.rating_basis != "setting_open":
        return rating
    return max(rating, device.highest_rating or rating)
