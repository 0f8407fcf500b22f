"""The no-load voltages between lines and to the neutral: within range, balanced, the neutral where it belongs."""

from collections.abc import Sequence

from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.neutral_point import fit_some_places, is_dead, line_to_neutral_volts
from engine.physics.quantities import percent, volts
from engine.rules.conditions.meter_readings import (
    FAR_OFF,
    danger_if,
    displaced_neutral,
    is_off,
    low_legs,
)
from engine.rules.rule import rule

# ANSI C84.1 range A, service voltage: within 5 % of nominal (as printed in COMAR 20.50.07.02 and by ustpower.com).
SERVICE_BAND = 0.05
# Unlike voltages to a neutral at no load, in share of their mean: common practice, from memory.
DISPLACED = 0.03
# The lists of voltages that one visit reads at the same terminals.
_VOLTAGES = (
    "readings.line_to_line_volts",
    "readings.line_to_neutral_volts",
    "readings.line_to_ground_volts",
)


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
    finding = danger_if(
        finding,
        worst > FAR_OFF and not is_off(site, readings),
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
    all_runs=(),
    asks=(
        *_VOLTAGES,
        "transformer.secondary_system",
        "secondary.grounded_conductor.present",
        "secondary.grounded_conductor.size",
    ),
)
def line_to_neutral_reading(site: Site) -> Finding:
    """Whether the no-load voltages line to neutral are within range [V]. Source: ANSI C84.1 range A. Section: 110.3(B)."""
    system = site.need(lambda job: job.transformer.secondary_system)
    line = site.job.transformer.secondary_volts
    if system == "delta_high_leg":
        return _high_leg(site, line)
    nominal = line_to_neutral_volts(system, line)
    if not nominal or (system == "wye_3_wire" and _is_without_readings_to_neutral(site)):
        return not_applicable("No neutral common to all phases.")
    readings = site.need(lambda job: job.readings.line_to_neutral_volts)
    finding = _band(site, readings, nominal[0], "Line to neutral", len(nominal), dead=_OPEN_NEUTRAL)
    if finding.severity is None:
        return _alike(site, readings, finding, "all lines")
    return finding


def _is_without_readings_to_neutral(site: Site) -> bool:
    """Whether nothing was read to the neutral point of three wires, and no neutral is known to be run from it."""
    return site.job.readings.line_to_neutral_volts is None and not any(
        site.in_each_run(_neutral_is_run)
    )


def _neutral_is_run(site: Site) -> bool:
    neutral = site.job.secondary.grounded_conductor
    return bool(neutral.present) or neutral.size is not None


def _alike(site: Site, readings: Sequence[float], finding: Finding, lines: str) -> Finding:
    """The finding, unless lines that belong at one voltage to the neutral read unlike to it [V]."""
    mean = sum(readings) / max(len(readings), 1)
    apart = max((abs(r - mean) for r in readings), default=0.0)
    if len(readings) < 2 or apart <= DISPLACED * mean:
        return finding
    return displaced_neutral(
        site,
        f"{finding.required}, alike within {percent(100 * DISPLACED)}",
        finding.found,
        f"The neutral is displaced: without load {lines} should read the same to it.",
        f"Largest difference from the mean {volts(mean)}: {volts(apart)}",
    )


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
    finding = danger_if(
        finding,
        not fit_some_places(readings, nominal, FAR_OFF) and not is_off(site, readings),
        _OPEN_NEUTRAL
        if is_dead(readings)
        else "That is far off: the neutral is not where it belongs. Keep the loads off.",
    )
    if finding.severity is None and not is_off(site, readings):
        # The neutral is the middle of one winding, and these two legs are its two ends.
        finding = _alike(site, low_legs(readings, nominal), finding, "the two lower legs")
    if finding.verdict == "meets" and len(readings) < 3:
        return undetermined("Three readings are needed.", required=required, found=found)
    return finding
