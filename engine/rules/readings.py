"""What a meter says. A reading can fail a bond; only reading and sight together can pass one, so no reading passes one."""

from collections.abc import Sequence
from math import sqrt

from engine.derived import grounded_systems
from engine.job import Job
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.neutral_point import (
    NEAR_ZERO,
    READING_SHARE,
    fit_some_places,
    is_dead,
    line_to_neutral_volts,
)
from engine.physics.quantities import amperes, number, percent, volts
from engine.rules.conditions.facts_read import DEVICE_RATING, GROUNDED_BY
from engine.rules.rule import rule

# ANSI C84.1 range A, service voltage: within 5 % of nominal (as printed in COMAR 20.50.07.02 and by ustpower.com).
SERVICE_BAND = 0.05
# Outside both ranges of ANSI C84.1 (range B of the service ends at +5.8 % and -8.3 %, from memory): not the supply's doing.
# That it is a danger from there on is common practice, no source.
FAR_OFF = 0.10
# Unlike voltages to a neutral at no load, in share of their mean: common practice, from memory.
DISPLACED = 0.03
# Up to here a neutral counts as near ground [V]: common practice, no source.
NEUTRAL_NEAR_GROUND = 2.0
# The smallest usual breaker [A]; a smaller device than the known one is never supposed.
SMALLEST_DEVICE = 15.0


# The lists of voltages that one visit reads at the same terminals.
_VOLTAGES = (
    "readings.line_to_line_volts",
    "readings.line_to_neutral_volts",
    "readings.line_to_ground_volts",
)


def _lists(job: Job) -> tuple[list[float], ...]:
    read = job.readings
    each = (read.line_to_line_volts, read.line_to_neutral_volts, read.line_to_ground_volts)
    return tuple(readings or [] for readings in each)


def _is_off(site: Site, readings: list[float]) -> bool:
    """Whether nothing that was read on this visit shows the secondary live, these readings [V] included."""
    return is_dead(readings) and all(is_dead(others) for others in _lists(site.job))


def _danger_if(finding: Finding, is_danger: bool, why: str) -> Finding:
    """A broken reading that is worse than advice, and why."""
    if finding.verdict != "does_not_meet" or not is_danger:
        return finding
    return finding._replace(severity="danger", reason=f"{finding.reason} {why}")


def _band(
    site: Site, readings: list[float], nominal: float, what: str, wanted: int, *, dead: str
) -> Finding:
    """One reading outside the band is enough to fail; to pass it takes as many as there are pairs or lines.

    `dead` says what it means that these read next to nothing while others show the secondary live.
    """
    if not readings:
        return undetermined("No reading was entered.", required=f"{volts(nominal)} ± 5 %")
    worst = max(abs(r - nominal) / nominal for r in readings)
    finding = compare(
        site,
        found=worst,
        at_most=SERVICE_BAND,
        required=f"{volts(nominal * (1 - SERVICE_BAND))} to {volts(nominal * (1 + SERVICE_BAND))} "
        "(ANSI C84.1, range A)",
        found_shown=", ".join(volts(r) for r in readings),
        reason=f"{what} within 5 % of nominal.",
        otherwise=f"{what} outside 5 % of nominal.",
        remedy="Check taps, connection and supply. Change taps only de-energized, the same on all phases.",
        steps=(f"Largest difference from {volts(nominal)}: {percent(100 * worst)}",),
    )
    finding = _danger_if(
        finding,
        worst > FAR_OFF and not _is_off(site, readings),
        dead
        if is_dead(readings)
        else "That is far off: a wrong connection, an open winding or an open neutral. Keep the loads off.",
    )
    if finding.verdict == "meets" and len(readings) < wanted:
        return undetermined(
            f"{what} within 5 % as far as it was read; {wanted} readings are needed.",
            required=finding.required,
            found=finding.found,
        )
    return finding


@rule(
    "line_to_line_reading",
    title="Voltage line to line",
    cite="listing_and_instructions",
    severity="advice",
    group="readings",
    asks=_VOLTAGES,
)
def line_to_line_reading(site: Site) -> Finding:
    """Whether the no-load voltages line to line are within range [V]. Source: ANSI C84.1 range A. Section: 110.3(B)."""
    readings = site.need(lambda job: job.readings.line_to_line_volts)
    pairs = 1 if site.job.transformer.phases == 1 else 3
    return _band(
        site,
        readings,
        site.job.transformer.secondary_volts,
        "Line to line",
        pairs,
        dead="Other readings show that the lines are live, but there is little or no voltage between them: they are all on one "
        "phase. Keep the loads off.",
    )


@rule(
    "voltage_balance_reading",
    title="Balance of the voltages",
    cite="listing_and_instructions",
    severity="advice",
    group="readings",
    asks=("readings.line_to_line_volts",),
)
def voltage_balance_reading(site: Site) -> Finding:
    """Whether the no-load voltages are balanced within 3 % [%]. Common practice, from memory. Section: none."""
    if site.job.transformer.phases == 1:
        return not_applicable("Single-phase: no phases to balance.")
    readings = site.need(lambda job: job.readings.line_to_line_volts)
    if len(readings) < 2 or sum(readings) == 0:
        return undetermined("Three readings are needed.", required="A-B, B-C, C-A")
    # At best the third stands between the other two, and leaves their mean as it is.
    mean = sum(readings) / len(readings)
    worst = 100 * max(abs(r - mean) for r in readings) / mean
    finding = compare(
        site,
        found=worst,
        at_most=3,
        required="at most 3 % unbalance at no load (common practice, from memory)",
        found_shown=percent(worst),
        reason="Balanced.",
        otherwise="Unbalanced: a tap link out of place, or a lost phase.",
        remedy="De-energize and compare the tap links of all phases.",
        steps=(f"Largest difference from the mean {volts(mean)}: {percent(worst)}",),
    )
    if finding.verdict == "meets" and len(readings) < 3:
        return undetermined("Three readings are needed.", required="A-B, B-C, C-A")
    return finding


@rule(
    "line_to_neutral_reading",
    title="Voltage line to neutral",
    cite="listing_and_instructions",
    severity="advice",
    group="readings",
    asks=(*_VOLTAGES, "transformer.secondary_system"),
)
def line_to_neutral_reading(site: Site) -> Finding:
    """Whether the no-load voltages line to neutral are within range [V]. Source: ANSI C84.1 range A. Section: 110.3(B)."""
    system = site.need(lambda job: job.transformer.secondary_system)
    line = site.job.transformer.secondary_volts
    if system == "delta_high_leg":
        return _high_leg(site, line)
    nominal = line_to_neutral_volts(system, line)
    if not nominal:
        return not_applicable("No neutral common to all phases.")
    readings = site.need(lambda job: job.readings.line_to_neutral_volts)
    finding = _band(site, readings, nominal[0], "Line to neutral", len(nominal), dead=_OPEN_NEUTRAL)
    if finding.severity is None:
        return _alike(site, readings, finding, "all lines")
    return finding


def _alike(site: Site, readings: Sequence[float], finding: Finding, lines: str) -> Finding:
    """The finding, unless lines that belong at one voltage to the neutral read unlike to it [V]."""
    mean = sum(readings) / max(len(readings), 1)
    apart = max((abs(r - mean) for r in readings), default=0.0)
    if len(readings) < 2 or apart <= DISPLACED * mean:
        return finding
    return _displaced(
        site,
        f"{finding.required}, alike within {percent(100 * DISPLACED)}",
        finding.found,
        f"The neutral is displaced: without load {lines} should read the same to it.",
        f"Largest difference from the mean {volts(mean)}: {volts(apart)}",
    )


def _displaced(site: Site, required: str, found: str, why: str, step: str) -> Finding:
    return confirm(
        site,
        False,
        required=required,
        found=found,
        reason="",
        otherwise=f"{why} Suspect an open or loose neutral; equipment on the higher leg burns out.",
        remedy="Keep the loads off. De-energize, and check the neutral connections and the tap links.",
        steps=(step,),
    )._replace(severity="danger")


_OPEN_NEUTRAL = (
    "Other readings show that the lines are live, but there is little or no voltage from them to the neutral: the neutral "
    "is open. Keep the loads off; line-to-neutral loads would get the wrong voltage and burn out."
)


def _high_leg(site: Site, line: float) -> Finding:
    """Two legs at half the line voltage, the high leg at 0.866 of it, whatever their order."""
    readings = sorted(site.need(lambda job: job.readings.line_to_neutral_volts))
    nominal = line_to_neutral_volts("delta_high_leg", line)
    required = f"two legs of {volts(nominal[0])}, one of {volts(nominal[2])}, each ± 5 %"
    found = ", ".join(volts(r) for r in readings)
    fits = fit_some_places(readings, nominal, SERVICE_BAND)
    finding = confirm(
        site,
        fits,
        required=required,
        found=found,
        reason="Two legs and one high leg, as they should be.",
        otherwise="Not the pattern of a high-leg delta.",
        remedy="Find the high leg and the neutral before anything is connected.",
    )
    finding = _danger_if(
        finding,
        not fit_some_places(readings, nominal, FAR_OFF) and not _is_off(site, readings),
        _OPEN_NEUTRAL
        if is_dead(readings)
        else "That is far off: the neutral is not where it belongs. Keep the loads off.",
    )
    if finding.severity is None and not _is_off(site, readings):
        # The neutral is the middle of one winding, and these two legs are its two ends.
        finding = _alike(site, _low_legs(readings, nominal), finding, "the two lower legs")
    if finding.verdict == "meets" and len(readings) < 3:
        return undetermined("Three readings are needed.", required=required, found=found)
    return finding


def _low_legs(readings: Sequence[float], nominal: Sequence[float]) -> list[float]:
    """The readings [V] of lines that belong at the lowest voltage of a pattern, which is not zero."""
    between = (nominal[0] + nominal[-1]) / 2
    return [r for r in readings if r < between] if nominal[-1] > nominal[0] else [*readings]


def _half_apart(readings: Sequence[float]) -> float:
    return (max(readings) - min(readings)) / 2 if readings else 0.0


def _to_ground(system: str, line: float) -> tuple[float, ...]:
    """Voltages to ground of a grounded system [V], the lowest first."""
    by_neutral = line_to_neutral_volts("wye_4_wire" if system == "wye_3_wire" else system, line)
    if by_neutral:
        return by_neutral
    return (0.0, line) if system == "single_phase_2_wire" else (0.0, line, line)


def neutral_off_ground(nominal: Sequence[float], to_ground: Sequence[float]) -> float:
    """The least that a neutral, or a line that is grounded, has to ground [V] by the lines; 0 where that is near.

    No line's voltage to ground is farther off its voltage to the neutral than that: lines alike to it read unlike, or the
    high leg does not read √3 times as much as the other two. Section: none; geometry. Source: own arithmetic.
    """
    if len(to_ground) != len(nominal):
        return 0.0
    if not nominal[0]:
        return min(to_ground) if min(to_ground) > NEUTRAL_NEAR_GROUND else 0.0
    alike = _low_legs(to_ground, nominal)
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
    if readings and _is_off(site, readings):
        return undetermined("No voltage was there to read.", found=found)
    if not grounded_systems.is_grounded(site):
        return _ungrounded_to_ground(site, readings, line, lines, found)
    nominal = _to_ground(system, line)
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
        apart = _half_apart(_low_legs(readings, nominal))
        if apart - neutral > _noticed(nominal):
            return _displaced(
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
    asks=(
        "readings.neutral_to_ground_volts",
        "readings.line_to_ground_volts",
        *GROUNDED_BY,
    ),
)
def neutral_to_ground_reading(site: Site) -> Finding:
    """Whether the meter shows a missing system bonding jumper [V]. Near zero proves nothing.

    Source: EC&M, "The safety net of grounding and bonding". Section: 250.30(A)(1). Raises Missing.
    """
    if not grounded_systems.is_grounded(site):
        return not_applicable("An ungrounded system has no bonded neutral.")
    reading = site.need(lambda job: job.readings.neutral_to_ground_volts)
    required = "near zero, and the jumper seen"
    if reading <= NEUTRAL_NEAR_GROUND:
        return undetermined(
            "Near zero fits a good jumper, but also a thin, loose or misplaced one. It passes only if it is seen.",
            required=required,
            found=volts(reading),
        )
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
    )


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
    "winding_insulation_reading",
    title="Insulation resistance of the windings",
    cite="listing_and_instructions",
    severity="advice",
    group="readings",
    asks=(
        "readings.winding_insulation_megohms",
        "readings.insulation_test_volts",
        "transformer.construction",
    ),
)
def winding_insulation_reading(site: Site) -> Finding:
    """Whether the windings' insulation resistance is as the acceptance tables ask [megohm], 1 min, X0 lifted.

    Source: ANSI/NETA MTS, Table 100.5, transformers up to 600 V: 1000 V dc (forum.testguy.net thread 9436); 500 megohm for
    a dry type and 100 megohm for a liquid-filled one from memory. Below 1 megohm it is a danger: common practice, no source.
    Section: 110.3(B). Raises Missing.
    """
    reading = site.need(lambda job: job.readings.winding_insulation_megohms)
    if reading < 1:
        return confirm(
            site,
            False,
            required="at least 1 megohm at any test voltage",
            found=f"{number(reading)} megohm",
            reason="",
            otherwise="There is almost no insulation left: energized, it faults or makes its case live.",
            remedy="Do not energize it. Check that everything was disconnected for the test; dry it out, or replace it.",
        )._replace(severity="danger")
    test = site.need(lambda job: job.readings.insulation_test_volts)
    highest = max(site.job.transformer.primary_volts, site.job.transformer.secondary_volts)
    if highest > 600:
        return undetermined(
            "Above 600 V the table's higher class applies; use the manufacturer's value."
        )
    liquid = site.need(lambda job: job.transformer.construction) == "liquid"
    needs_volts, least = 1000, 100.0 if liquid else 500.0
    required = (
        f"at least {number(least)} megohm at {needs_volts} V dc (NETA, Table 100.5, from memory)"
    )
    if test != needs_volts:
        return undetermined(
            "The test voltage is not the one in the table.",
            required=required,
            found=f"{number(reading)} megohm at {test} V",
        )
    return compare(
        site,
        found=reading,
        at_least=least,
        required=required,
        found_shown=f"{number(reading)} megohm",
        reason="Not below the table value. Keep the record: the trend counts more than one value.",
        otherwise="Below the table value.",
        remedy="If it is wet, dry it out and repeat; correct for temperature.",
    )


@rule(
    "bonding_path_reading",
    title="Resistance of the bonding path",
    cite="effective_ground_fault_path",
    severity="advice",
    group="readings",
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
    return min(n for n in _to_ground(plate.secondary_system, plate.secondary_volts) if n)


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


@rule(
    "rotation_reading",
    title="Phase rotation as before",
    cite="feeder_identification",
    severity="danger",
    group="readings",
    asks=("readings.rotation_matches_record",),
)
def rotation_reading(site: Site) -> Finding:
    """Whether the phase rotation is that of the record. Unit: none. Section: identification, 215.12. Raises Missing."""
    if site.job.transformer.phases == 1:
        return not_applicable("Single-phase: there is no rotation.")
    matches = site.need(lambda job: job.readings.rotation_matches_record)
    return confirm(
        site,
        matches,
        required="the same rotation as recorded before the work",
        found="the same" if matches else "reversed",
        reason="As recorded.",
        otherwise="Reversed: pumps and compressors will run backward.",
        remedy="De-energize and swap two phases at the transformer's secondary, so that every motor turns the right way again; write it down.",
    )


# Farther off than this, a ratio makes a voltage that is a danger where it is read: see `line_to_line_reading`. Common
# practice, no source.
FARTHEST_RATIO_PERCENT = 10.0


@rule(
    "turns_ratio_reading",
    title="Turns ratio",
    cite="listing_and_instructions",
    severity="advice",
    group="readings",
    asks=("readings.turns_ratio_deviation_percent", "readings.turns_ratio_taps_read"),
)
def turns_ratio_reading(site: Site) -> Finding:
    """Whether the turns ratio is within 0.5 % of the calculated one [%]. Source: from memory (NETA, IEEE C57.12.91)."""
    deviation = site.need(lambda job: job.readings.turns_ratio_deviation_percent)
    finding = compare(
        site,
        found=deviation,
        at_most=0.5,
        required="within 0.5 % of the calculated ratio, on every tap (from memory: NETA, IEEE C57.12.91)",
        found_shown=percent(deviation),
        reason="Within 0.5 % on every tap.",
        otherwise="Off the calculated ratio: a shorted turn or a wrong tap.",
        remedy="De-energize and check the taps; ask the manufacturer.",
    )
    finding = _danger_if(
        finding,
        deviation > FARTHEST_RATIO_PERCENT,
        "The load gets a voltage that is off by as much. The transformer does not match its nameplate, it is not "
        "connected as its diagram shows, or the reading is wrong.",
    )
    if finding.verdict == "meets" and not site.need(lambda job: job.readings.turns_ratio_taps_read):
        return undetermined(
            "Turns that only another tap uses were not measured.",
            required=finding.required,
            found=f"{finding.found}, not on every tap",
        )
    return finding
