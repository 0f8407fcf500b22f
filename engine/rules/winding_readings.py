"""The windings: insulation resistance, phase rotation and turns ratio."""

from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.quantities import number, percent
from engine.rules.conditions.meter_readings import danger_if
from engine.rules.rule import rule


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
    finding = danger_if(
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
