"""The voltages to ground: of the lines, of the neutral at the transformer and at a loaded outlet."""

from collections.abc import Sequence
from math import sqrt

from engine.derived import grounded_systems
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, not_applicable, undetermined
from engine.physics.neutral_point import NEAR_ZERO, READING_SHARE, fit_some_places
from engine.physics.quantities import volts
from engine.rules.conditions.facts_read import GROUNDED_BY
from engine.rules.conditions.meter_readings import (
    FAR_OFF,
    displaced_neutral,
    is_off,
    low_legs,
    nominal_to_ground,
)
from engine.rules.rule import rule

# Up to here a neutral counts as near ground [V]: common practice, no source.
NEUTRAL_NEAR_GROUND = 2.0


def _half_apart(readings: Sequence[float]) -> float:
    return (max(readings) - min(readings)) / 2 if readings else 0.0


def neutral_off_ground(nominal: Sequence[float], to_ground: Sequence[float]) -> float:
    """The least that a neutral, or a line that is grounded, has to ground [V] by the lines; 0 where that is near.

    No line's voltage to ground is farther off its voltage to the neutral than that: lines alike to it read unlike, or the
    high leg does not read √3 times as much as the other two. Section: none; geometry. Source: own arithmetic.
    """
    if len(to_ground) != len(nominal):
        return 0.0
    if not nominal[0]:
        return min(to_ground) if min(to_ground) > NEUTRAL_NEAR_GROUND else 0.0
    alike = low_legs(to_ground, nominal)
    least = _half_apart(alike)
    if alike and len(alike) < len(to_ground):
        share = nominal[-1] / nominal[0]
        high = share * sum(alike) / len(alike)
        least = max(least, abs(max(to_ground) - high) / (1 + share))
    return least if least > _noticed(nominal) else 0.0


def _noticed(nominal: Sequence[float]) -> float:
    """From where on unlike lines show that a neutral is elsewhere [V]."""
    return NEUTRAL_NEAR_GROUND + READING_SHARE * nominal[0]


def _suspicious(reason: str, *, required: str, found: str) -> Finding:
    """A reading that may be that of a danger: it is told whatever the visit is for (`engine.evaluation.kept_open`)."""
    return undetermined(reason, required=required, found=found)._replace(severity="danger")


@rule(
    "line_to_ground_reading",
    title="Voltage line to ground",
    cite="effective_ground_fault_path",
    severity="danger",
    group="readings",
    all_runs=(),
    asks=(
        "readings.line_to_ground_volts",
        "readings.neutral_to_ground_volts",
        *GROUNDED_BY,
        "readings.line_to_line_volts",
        "readings.line_to_neutral_volts",
    ),
)
def line_to_ground_reading(site: Site) -> Finding:
    """Whether the voltages to ground have the pattern of the connection [V]. The pattern proves no jumper.

    Source: geometry; the band of 10 % is common practice, no source. Section: 250.4(A)(5), 250.4(B). Raises Missing.
    """
    line = site.job.transformer.secondary_volts
    readings = sorted(site.need(lambda job: job.readings.line_to_ground_volts))
    found = ", ".join(volts(r) for r in readings)
    lines = 2 if site.job.transformer.phases == 1 else 3
    if readings and readings[-1] > (1 + FAR_OFF) * line:
        return _too_far_from_ground(
            site,
            f"at most {volts(line)} from any line to ground",
            found,
            "A line has a higher voltage to ground than the lines have to each other",
        )
    system = site.need(lambda job: job.transformer.secondary_system)
    if readings and is_off(site, readings):
        return undetermined("No voltage was there to read.", found=found)
    if not grounded_systems.is_grounded(site):
        return _ungrounded_to_ground(site, readings, line, lines, found)
    nominal = nominal_to_ground(system, line)
    required = f"{', '.join(volts(n) for n in nominal)}, each ± 10 %"
    fits = fit_some_places(readings, nominal, FAR_OFF)
    if len(readings) < lines and fits:
        return undetermined(
            f"{lines} readings are needed, one from each line.", required=required, found=found
        )
    if readings[0] < NEAR_ZERO and nominal[0]:
        why = "A line is at ground and the neutral is not: there is a fault to metal, and the jumper does not hold the neutral."
    elif not nominal[0] and readings[0] >= NEAR_ZERO and len(readings) == lines:
        why = "No line is at ground: the grounded one is not connected to the metal."
    else:
        why = "The voltages to ground do not fit the connection: the system is not held to ground where it should be."
    away = neutral_off_ground(nominal, readings)
    if fits and away:
        neutral = site.job.readings.neutral_to_ground_volts
        if not nominal[0]:
            return _suspicious(
                f"The grounded conductor has {volts(away)} to the case. Voltage drop on a loaded conductor does that, and so "
                "does a loose or open jumper. Read it again with no load.",
                required=required,
                found=found,
            )
        if neutral is None:
            return _suspicious(
                f"Line-to-ground readings this unequal mean {volts(away)} or more between the neutral and the case. Read "
                "neutral to case.",
                required=required,
                found=found,
            )
        apart = _half_apart(low_legs(readings, nominal))
        if apart - neutral > _noticed(nominal):
            return displaced_neutral(
                site,
                required,
                found,
                "The neutral is at the case, and lines that should read the same to it do not: it is displaced.",
                f"Half the difference between these lines: {volts(apart)}; neutral to case: {volts(neutral)}",
            )
        if away - neutral > _noticed(nominal):
            return _suspicious(
                "The high leg does not fit the two lower ones: a winding or a tap is off, or the neutral is not in the "
                "middle. Read all lines to each other and to the neutral.",
                required=required,
                found=found,
            )
    return confirm(
        site,
        fits,
        required=required,
        found=found,
        reason="They fit this connection. They do not prove the jumper.",
        otherwise=f"{why} Treat all metal as live.",
        remedy="De-energize, lock out, test dead, then find the jumper and the fault.",
    )


def _neutral_off_case_by_both(site: Site) -> float:
    """How far the neutral is from the case [V] by the same lines read to both; 0 where they were not all read to both.

    The neutral itself, read to the case, tells it better. What moves all lines alike, the supply or the meter, cancels out.
    Section: none; geometry. Source: own arithmetic.
    """
    read = site.job.readings
    to_ground, to_neutral = (
        sorted(readings or [])
        for readings in (read.line_to_ground_volts, read.line_to_neutral_volts)
    )
    if read.neutral_to_ground_volts is not None or len(to_neutral) != len(to_ground):
        return 0.0
    return _half_apart([a - b for a, b in zip(to_ground, to_neutral, strict=True)])


def _jumper_at_the_source(site: Site) -> bool:
    return site.job.bonding.system_bonding_jumper.location in ("source", "both")


def _neutral_off_its_jumper(site: Site, required: str, apart: float) -> Finding:
    """A neutral that its own jumper does not hold at the case: broken beyond what two readings of a meter leave open."""
    why = (
        f"The same lines read unlike to the neutral and to the case: the neutral has about {volts(apart)} to the case, with "
        "the system bonding jumper in that case. The jumper is loose, open or not there."
    )
    found = f"about {volts(apart)} by the readings of the lines"
    if apart <= 2 * NEUTRAL_NEAR_GROUND:
        return _suspicious(
            f"{why} Read neutral to case.",
            required=required,
            found=found,
        )
    return confirm(
        site,
        False,
        required=required,
        found=found,
        reason="",
        otherwise=f"{why} Treat all metal as live.",
        remedy="De-energize, lock out, test dead, then find the jumper.",
    )


def _too_far_from_ground(site: Site, required: str, found: str, what: str) -> Finding:
    """No sound system has a line farther from ground than its lines are from each other.

    Source: Eaton, "Transient overvoltages on ungrounded systems from intermittent ground faults" (an arcing fault charges
    the lines to ground far above it).
    """
    return confirm(
        site,
        False,
        required=required,
        found=found,
        reason="",
        otherwise=f"{what}: suspect an arcing ground fault, resonance, or contact with a higher voltage. Insulation "
        "fails at such voltages. Treat all metal as live.",
        remedy="De-energize upstream, lock out, test dead. Test the insulation of the windings and conductors before "
        "energizing again.",
    )


# The most that the line nearest to ground can have, in share of the line voltage: three lines are no farther than this
# from any one point near them, and leakage puts two lines within a circle around both (geometry).
_NEAREST_AT_MOST = {2: 1 / sqrt(2), 3: 1 / sqrt(3)}


def _ungrounded_to_ground(
    site: Site, readings: list[float], line: float, lines: int, found: str
) -> Finding:
    """An ungrounded system floats; a line at ground with another at full voltage is a fault that stands."""
    required = "no line at ground"
    at_ground = len(readings) > 1 and readings[0] < 0.1 * line and readings[-1] > 0.8 * line
    # Two of three lines at full voltage leave the third no other place than ground.
    if at_ground or (lines == 3 and len(readings) == 2 and readings[0] > 0.9 * line):
        return confirm(
            site,
            False,
            required=required,
            found=found,
            reason="",
            otherwise="This system has a ground fault: the next one, on another line, is a short circuit through "
            "the metal.",
            remedy="Find and clear the fault now; see the ground detector.",
            cite="ground_detection",
        )
    if len(readings) < lines:
        return undetermined(
            f"{lines} readings are needed, one from each line.", required=required, found=found
        )
    nearest = line * _NEAREST_AT_MOST[lines]
    if readings[0] > (1 + FAR_OFF) * nearest:
        return _too_far_from_ground(
            site,
            f"at most {volts(nearest)} to ground on the lowest line",
            found,
            "The lines of a sound system can't all have this much voltage to ground at once",
        )
    return (
        confirm(
            site,
            True,
            required=required,
            found=found,
            reason="No line is at ground now.",
            otherwise="",
        )
        if readings[0] > 0.3 * line and readings[-1] <= 0.8 * line
        else _suspicious(
            "One line has drifted toward ground: leakage, or the load of the meter. Watch it.",
            required=required,
            found=found,
        )
    )


@rule(
    "neutral_to_ground_reading",
    title="Neutral to ground at the transformer",
    cite="system_bonding_jumper",
    severity="danger",
    group="readings",
    all_runs=(),
    asks=(
        "readings.neutral_to_ground_volts",
        "readings.line_to_ground_volts",
        "readings.line_to_neutral_volts",
        *GROUNDED_BY,
    ),
)
def neutral_to_ground_reading(site: Site) -> Finding:
    """Whether the meter shows a missing system bonding jumper [V]. Near zero proves nothing.

    Source: EC&M, "The safety net of grounding and bonding". Section: 250.30(A)(1). Raises Missing.
    """
    if not grounded_systems.is_grounded(site):
        return not_applicable("An ungrounded system has no bonded neutral.")
    required = "near zero, and the jumper seen"
    apart = _neutral_off_case_by_both(site)
    if apart > NEUTRAL_NEAR_GROUND and _jumper_at_the_source(site):
        return _neutral_off_its_jumper(site, required, apart)
    reading = site.need(lambda job: job.readings.neutral_to_ground_volts)
    if reading <= NEUTRAL_NEAR_GROUND:
        return undetermined(
            "Near zero fits a good jumper, but also a thin, loose or misplaced one. It passes only if it is seen.",
            required=required,
            found=volts(reading),
        )._replace(severity="advice")
    if reading <= 10 and (
        site.need(lambda job: job.bonding.system_bonding_jumper.location) not in ("source", "both")
    ):
        return _suspicious(
            "More than near zero, less than a missing jumper shows: voltage drop on a loaded neutral does that "
            "where the jumper is at the first disconnect. Read it again with no load.",
            required=required,
            found=volts(reading),
        )
    to_ground = site.job.readings.line_to_ground_volts or []
    fault = any(r < 5 for r in to_ground) and len(to_ground) > 1
    return confirm(
        site,
        False,
        required=required,
        found=volts(reading),
        reason="",
        otherwise="The system bonding jumper is missing and one phase is faulted to metal: treat all metal as live, open "
        "the primary."
        if fault
        else "The system bonding jumper is missing or open.",
        remedy="De-energize, lock out, test dead, then find the jumper.",
    )


@rule(
    "far_neutral_to_ground_reading",
    title="Neutral to ground at a loaded outlet",
    cite="grounded_conductor_not_for_grounding",
    severity="advice",
    group="readings",
    asks=("readings.neutral_to_ground_far_volts", "transformer.secondary_system"),
)
def far_neutral_to_ground_reading(site: Site) -> Finding:
    """Whether a loaded outlet hints at a second bond nearby [V]; a drop of 1 V to 2 V is normal.

    Source: EC&M, "When circuit boards are toast, part 9". Section: 250.142(B). Raises Missing.
    """
    if site.job.transformer.secondary_system == "delta_3_wire_ungrounded":
        return not_applicable("An ungrounded delta has no neutral.")
    reading = site.need(lambda job: job.readings.neutral_to_ground_far_volts)
    if reading <= 0.1:
        return confirm(
            site,
            False,
            required="about 1 V to 2 V under load",
            found=volts(reading),
            reason="",
            otherwise="Almost no drop under load: suspect another neutral-to-ground connection nearby.",
            remedy="De-energize, lift the system bonding jumper, and look for it.",
        )
    if reading > NEAR_ZERO:
        return confirm(
            site,
            False,
            required="about 1 V to 2 V under load",
            found=volts(reading),
            reason="",
            otherwise="No drop of a sound circuit is that large: the neutral or the grounding is open, or lines are crossed.",
            remedy="Take the circuit out of service, de-energize it, and find the fault.",
        )._replace(severity="danger")
    return undetermined(
        "A drop under load is normal; it does not prove that neutral and ground are apart everywhere.",
        required="about 1 V to 2 V under load",
        found=volts(reading),
    )
