"""Overcurrent protection of the transformer itself, 450.3. It is a maximum: smaller is legal."""

from collections.abc import Callable

from engine.derived import currents
from engine.derived.derived import Derived
from engine.job.missing import need_at
from engine.job.runs import FURTHER, run_name
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.quantities import amperes, at_most, percent
from engine.rules.conditions.control_circuits import CLASS_2_OR_3, feeds_control_circuits_only
from engine.rules.conditions.facts_read import DEVICE_RATING, SECONDARY_RATING
from engine.rules.rule import rule

# Largest primary device of a motor control transformer [percent], below this primary current [A]: 430.72(C)(4).
_MOTOR_CONTROL, _MOTOR_CONTROL_BELOW = 500.0, 2.0
_OVER_1000 = ("transformer.supervised", "transformer.impedance_percent", "primary.device.kind")


def _secondary_protects(site: Site) -> tuple[bool, str]:
    """Whether the secondary has protection that Table 450.3(B) accepts, and how it was found."""
    devices = [*site.in_each_run(_devices)]
    for number, count in enumerate(devices):
        if count is None:
            run = f"{run_name(number)}: " if site.has_further_runs else ""
            return False, f"{run}no secondary device (main lugs only)"
    count = sum(each or 0 for each in devices)
    several = count != 1 or site.has_further_runs
    if several and not (all(devices) and count <= site.code.grouped_secondary_devices):
        return False, f"{count} grouped devices"
    rating = currents.secondary_devices_together(site)
    limit = currents.secondary_device_maximum(site)
    if limit is None:
        return False, "no limit for a secondary device in the table"
    holds = at_most(rating.amount, limit.amount)
    if holds and not _in_one_location(site):
        return False, "the devices of the runs are not grouped in one location"
    return holds, f"secondary {amperes(rating.amount)}, limit {amperes(limit.amount)}"


def _devices(site: Site) -> int | None:
    """How many devices stand at the end of one run; None where it ends at main lugs only."""
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_lugs_only":
        return None
    if kind == "main_device":
        return 1
    return len(site.need(lambda job: job.secondary.protection.ratings))


def _in_one_location(site: Site) -> bool:
    """Whether the devices of all runs are grouped in one location, as note 2 of the table has it."""
    apart = [
        (index, run.beside_first_run)
        for index, run in enumerate(site.job.secondary.further_runs)
        if not run.in_first_enclosure
    ]
    if any(beside is False for _, beside in apart):
        return False
    return all(need_at(site.job, f"{FURTHER}.{index}.beside_first_run") for index, _ in apart)


def _limits_shown(alone: Derived | None, together: Derived | None) -> str:
    parts: list[str] = []
    if alone is not None:
        parts.append(f"at most {amperes(alone.amount)} alone")
    if together is not None:
        parts.append(f"at most {amperes(together.amount)} with secondary protection")
    return ", ".join(parts) or "no method of the table fits"


def _not_alone(alone: Derived | None) -> str:
    """Why the primary device does not protect the transformer alone. Above 1000 V the table may offer no such method."""
    if alone is None:
        return "The table has no primary device that protects this transformer alone"
    return "Above the limit for the primary alone"


def _smaller_primary(rating: float, alone: Derived | None, together: Derived | None) -> str:
    """What keeps the table [A]: a device small enough alone, or a larger one with secondary protection."""
    ways: list[str] = []
    if alone is not None and alone.standard_rating:
        ways.append(f"a device of {amperes(alone.standard_rating)} or less")
    if together is not None and at_most(rating, together.amount):
        ways.append("secondary protection that keeps its own limit")
    elif together is not None and together.standard_rating:
        ways.append(
            f"a device of {amperes(together.standard_rating)} or less with secondary protection that keeps its own limit"
        )
    text = ", or ".join(ways) or "a smaller device"
    return f"{text[0].upper()}{text[1:]}."


def _by_either_row(site: Site, judge: Callable[[Site], Finding]) -> Finding:
    """What the rows for a supervised location say, or those for any location: they hold in a supervised one too.

    Section: Table 450.3(A). Raises Missing.
    """
    finding = judge(site)
    supervised = currents.is_over_1000_volts(site) and site.job.transformer.supervised
    if not supervised or finding.verdict != "does_not_meet":
        return finding
    elsewhere = judge(site.knowing("transformer.supervised", False))
    return finding if elsewhere.verdict == "does_not_meet" else elsewhere


@rule(
    "primary_device",
    title="Largest primary device for the transformer",
    cite="transformer_protection",
    severity="violation",
    group="primary_disconnect",
    all_runs=("in_first_enclosure", "beside_first_run"),
    asks=(
        *DEVICE_RATING,
        *SECONDARY_RATING,
        "transformer.coordinated_thermal_protection",
        *_OVER_1000,
        CLASS_2_OR_3,
    ),
)
def primary_device(site: Site) -> Finding:
    """Whether the primary device [A] keeps one of the two methods of the table.

    Section: 450.3(B), Table 450.3(B) notes 1 to 3; over 1000 V Table 450.3(A). Raises Missing.
    """
    return _by_either_row(site, _primary)


def _primary(site: Site) -> Finding:
    rating = currents.primary_device_rating(site)
    alone = currents.primary_device_maximum(site)
    if alone is not None and at_most(rating, alone.amount):
        return compare(
            site,
            found=rating,
            at_most=alone.amount,
            required=f"at most {amperes(alone.amount)}",
            found_shown=amperes(rating),
            reason="Small enough to protect the transformer alone; secondary protection is not needed for it.",
            otherwise="",
            steps=alone.steps,
            cite=alone.cite,
        )
    together = currents.primary_device_maximum_with_secondary_protection(site)
    shown = _limits_shown(alone, together)
    steps = (*(alone.steps if alone else ()), *(together.steps[1:] if together else ()))
    secondary_words = ""
    if together is not None and at_most(rating, together.amount):
        protects, secondary_words = _secondary_protects(site)
        if protects:
            return compare(
                site,
                found=rating,
                at_most=together.amount,
                required=shown,
                found_shown=amperes(rating),
                reason=f"{_not_alone(alone)}, held by secondary protection: {secondary_words}.",
                otherwise="",
                steps=steps,
                cite=together.cite,
            )
    thermal = None
    if not currents.is_over_1000_volts(site) and site.need(
        lambda job: job.transformer.coordinated_thermal_protection
    ):
        thermal = currents.primary_device_maximum_with_thermal_protection(site)
    if thermal is not None:
        return _thermal(site, rating, thermal, shown, steps)
    if currents.is_over_1000_volts(site) and together is None:
        return undetermined(
            "The table has no row for this impedance. Ask the engineer of record.",
            found=amperes(rating),
        )
    limit = alone or together
    if _may_be_a_motor_control_transformer(site, rating):
        return undetermined(
            f"Above the table. The transformer of a motor control circuit may have up to {percent(_MOTOR_CONTROL)} ahead "
            "of it where its primary current is below 2 A. Find out whether it feeds motor control circuits only.",
            required=shown,
            found=amperes(rating),
            cite="motor_control_transformer",
        )
    return confirm(
        site,
        False,
        required=shown,
        found=amperes(rating),
        reason="",
        otherwise=f"Too large for the transformer{': ' + secondary_words if secondary_words else ''}.",
        remedy=_smaller_primary(rating, alone, together),
        steps=steps,
        cite=limit.cite if limit else None,
    )


def _may_be_a_motor_control_transformer(site: Site, rating: float) -> bool:
    """Whether 430.72(C)(4) may allow a device [A] that the table does not. Section: 430.72(C)(4). Raises Missing.

    Source: electrician2.com, analysis of a motor control circuit by 430.72(C): below 2 A, up to 500 %.
    """
    current = currents.full_load_current_primary(site).amount
    return (
        current < _MOTOR_CONTROL_BELOW
        and at_most(rating, current * _MOTOR_CONTROL / 100)
        and feeds_control_circuits_only(site)
    )


def _thermal(
    site: Site, rating: float, thermal: Derived, shown: str, steps: tuple[str, ...]
) -> Finding:
    """Note 3 stands beside the row with secondary protection; whether it needs that protection is not confirmed."""
    finding = compare(
        site,
        found=rating,
        at_most=thermal.amount,
        required=f"{shown}, at most {amperes(thermal.amount)} with coordinated thermal protection",
        found_shown=amperes(rating),
        reason="Held by the manufacturer's coordinated thermal protection (note 3) and by secondary protection.",
        otherwise="Too large even with the manufacturer's coordinated thermal protection.",
        remedy="A smaller device.",
        steps=(*steps, *thermal.steps[1:]),
        cite=thermal.cite,
    )
    if finding.verdict == "does_not_meet":
        return finding
    protects, words = _secondary_protects(site)
    if protects:
        return finding
    return undetermined(
        f"Within note 3 for coordinated thermal protection, but {words}: whether the note holds without secondary protection "
        "could not be confirmed. Read the note in the code book.",
        required=finding.required,
        found=finding.found,
        cite=thermal.cite,
    )


def _primary_alone(site: Site) -> bool:
    """Whether the primary device protects the transformer alone."""
    alone = currents.primary_device_maximum(site)
    return alone is not None and at_most(currents.primary_device_rating(site), alone.amount)


@rule(
    "secondary_device",
    title="Largest secondary device for the transformer",
    cite="transformer_protection",
    severity="violation",
    group="first_disconnect",
    all_runs=("in_first_enclosure", "beside_first_run"),
    asks=(*SECONDARY_RATING, *DEVICE_RATING, *_OVER_1000),
)
def secondary_device(site: Site) -> Finding:
    """Whether the secondary device [A] keeps its limit, where the table needs one.

    Section: Table 450.3(B), notes 1 and 2; over 1000 V Table 450.3(A). Raises Missing.
    """
    return _by_either_row(site, _secondary)


def _secondary(site: Site) -> Finding:
    # Whether the devices of several runs are grouped matters only where the primary device needs them.
    if site.has_further_runs and _primary_alone(site):
        protects, words = False, ""
    else:
        protects, words = _secondary_protects(site)
    limit = currents.secondary_device_maximum(site)
    shown = f"at most {amperes(limit.amount)}" if limit else "no row of the table fits"
    steps = limit.steps if limit else ()
    if protects and limit is not None:
        rating = currents.secondary_devices_together(site)
        return compare(
            site,
            found=rating.amount,
            at_most=limit.amount,
            required=shown,
            found_shown=amperes(rating.amount),
            reason="Counts as secondary protection of the transformer. Conductors and panelboard have their own limits.",
            otherwise="",
            steps=(*steps, *rating.steps),
            cite=limit.cite,
        )
    alone = currents.primary_device_maximum(site)
    if _primary_alone(site):
        return not_applicable(
            f"The primary device protects the transformer alone, so {site.section('transformer_protection')} requires no "
            "secondary device. Conductors and panelboard still need their own protection.",
            found=words,
            required=shown,
        )
    if limit is None and currents.is_over_1000_volts(site):
        return undetermined(
            "The table has no row for this impedance. Ask the engineer of record.", found=words
        )
    standard = limit.standard_rating if limit else None
    return confirm(
        site,
        False,
        required=shown,
        found=words,
        reason="",
        otherwise=f"{_not_alone(alone)}, and the secondary is not protected within the table.",
        remedy=f"Secondary protection of {amperes(standard)} or less, or a smaller primary device."
        if standard
        else "A smaller primary device.",
        steps=steps,
    )
