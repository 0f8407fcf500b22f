"""Interrupting and voltage ratings, ground-fault protection and arc energy of large devices, trips and inrush."""

from collections.abc import Callable, Sequence

from engine.code.choices import choice
from engine.code.limits import (
    FUSES_OF_SMALL_SWITCHES,
    GROUND_FAULT_PROTECTION_FROM,
    is_unusual_for_fixed,
)
from engine.derived import (
    currents,
    faults,
    grounded_systems,
    secondary_conductors,
    slash_ratings,
    volts_to_ground,
)
from engine.derived.derived import Derived
from engine.job import Job, RatingBasis
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.quantities import amperes, at_most, kiloamperes, number, volts
from engine.rules.conditions.facts_read import GROUNDED_BY, SECONDARY_BASIS, SECONDARY_RATING
from engine.rules.rule import rule

_SIDES = tuple(
    f"{side}.{fact}"
    for side in ("secondary", "primary")
    for fact in (
        "conductors.size",
        "conductors.material",
        "conductors.sets",
        "conductors.length_feet",
        "raceway.type",
    )
)
_CONDUCTORS = (
    "transformer.impedance_tested",
    *_SIDES,
    "primary.source_fault_kiloamperes",
    "transformer.secondary_system",
)


def _against_fault(site: Site, rating: float, what: str) -> Finding:
    """Hold a rating [kA] against the ceiling, and where that fails against what a known source leaves of it.

    A rating above the upper bound holds; one below the lower bound does not; between them the angles of the
    impedances decide, which nobody reads on site, or the tolerance of an impedance that was not tested.
    """
    highest = faults.secondary_fault_current_highest(site)
    if at_most(highest.amount, rating * 1000):
        at_the_tap = faults.CENTER_TAP_FACTOR * highest.amount
        if not at_most(at_the_tap, rating * 1000) and _has_center_tap(site):
            return undetermined(
                "From one line to the center tap the fault current is larger than from line to line, up to about "
                f"{number(faults.CENTER_TAP_FACTOR)} times. Between the two the manufacturer's figures decide.",
                required=f"{kiloamperes(highest.amount)} line to line, up to {kiloamperes(at_the_tap)} line to neutral",
                found=kiloamperes(rating * 1000),
            )._replace(steps=highest.steps)
        return _rated(site, rating, highest, what, "on an infinite bus")
    nominal = faults.secondary_fault_current(site)
    # Only the tolerance of the printed impedance stands between this rating and the ceiling.
    is_close = at_most(nominal.amount, rating * 1000)
    if site.job.primary.source_fault_kiloamperes is None:
        if is_close:
            return _within_tolerance(site, rating, highest)
        raise Missing(
            "primary.source_fault_kiloamperes",
            required=f"up to {kiloamperes(highest.amount)} on an infinite bus; less behind a real source",
            found=kiloamperes(rating * 1000),
        )
    try:
        most = faults.secondary_fault_current_at_most(site)
    except Missing:
        if is_close:
            return _within_tolerance(site, rating, highest)
        raise
    at_the_tap = most.amount * (faults.CENTER_TAP_FACTOR if _has_center_tap(site) else 1)
    if at_most(at_the_tap, rating * 1000):
        return _rated(site, rating, most, what, "with the known source")
    if is_close:
        return _within_tolerance(site, rating, most)
    try:
        least = faults.secondary_fault_current_at_least(site)
    except faults.NoLowerBound:
        return undetermined(
            "The primary run above 1000 V is outside this tool, so how low the fault current may be is not known "
            "here. It takes a study.",
            required=f"up to {kiloamperes(at_the_tap)} with the known source",
            found=kiloamperes(rating * 1000),
        )._replace(steps=most.steps)
    if at_most(least.amount, rating * 1000):
        return undetermined(
            "Close to the rating: the angles of the impedances decide. It takes a study.",
            required=f"{kiloamperes(least.amount)} to {kiloamperes(at_the_tap)} with the known source",
            found=kiloamperes(rating * 1000),
        )._replace(steps=(*most.steps, *least.steps))
    return _rated(site, rating, least, what, "with the known source")


def _within_tolerance(site: Site, rating: float, highest: Derived) -> Finding:
    """Above the fault current by the printed impedance, below the one that its tolerance allows [kA]."""
    required = f"up to {kiloamperes(highest.amount)}: the printed impedance may be off"
    if site.job.transformer.impedance_tested is None:
        raise Missing(
            "transformer.impedance_tested", required=required, found=kiloamperes(rating * 1000)
        )
    return undetermined(
        "The printed impedance is a design value; this unit's own may be lower, and the fault current then higher. Get "
        "the test report, equipment with a higher rating, or a study.",
        required=required,
        found=kiloamperes(rating * 1000),
    )._replace(steps=highest.steps)


def _has_center_tap(site: Site) -> bool:
    return site.need(lambda job: job.transformer.secondary_system) in (
        "single_phase_3_wire",
        "delta_high_leg",
    )


def _rated(site: Site, rating: float, available: Derived, what: str, words: str) -> Finding:
    return compare(
        site,
        found=rating * 1000,
        at_least=available.amount,
        required=f"at least {kiloamperes(available.amount)} ({words})",
        found_shown=kiloamperes(rating * 1000),
        reason=f"{what} is not below the fault current from this transformer, {words}.",
        otherwise=f"{what} is below the fault current from this transformer, {words}: it can burst.",
        remedy="Equipment with a higher rating, or a study that shows a lower fault current.",
        steps=available.steps,
    )


def _supplies_a_board(site: Site) -> bool:
    """Whether there is a panelboard, or a switchboard, with a short-circuit rating of its own. Raises Missing."""
    return site.need(lambda job: job.secondary.panelboard.present) or site.need(
        lambda job: job.observations.supplies_switchboard
    )


@rule(
    "interrupting_ratings",
    title="Short-circuit rating of the panelboard or switchboard",
    cite="panelboard_short_circuit_rating",
    severity="danger",
    group="first_disconnect",
    asks=(
        "transformer.impedance_percent",
        "secondary.panelboard.short_circuit_kiloamperes",
        "secondary.panelboard.present",
        "observations.supplies_switchboard",
        *_CONDUCTORS,
    ),
)
def interrupting_ratings(site: Site) -> Finding:
    """Whether the panelboard, or the switchboard, withstands the fault current from this transformer [kA]. Motors add to it.

    Section: 110.9, 110.10, 408.6 (2020 on). Raises Missing.
    """
    panelboard = site.job.secondary.panelboard
    if panelboard.short_circuit_kiloamperes is None and not _supplies_a_board(site):
        return not_applicable(
            "The secondary conductors supply no panelboard and no switchboard; see the secondary device."
        )
    rating = site.need(lambda job: job.secondary.panelboard.short_circuit_kiloamperes)
    finding = _against_fault(site, rating, "The short-circuit rating of the board")
    if not site.code.cite("panelboard_short_circuit_rating").exists:
        return finding._replace(cite="short_circuit_rating")
    return finding


@rule(
    "secondary_device_interrupting",
    title="Interrupting rating of the secondary device",
    cite="interrupting_rating",
    severity="danger",
    group="first_disconnect",
    asks=(
        "secondary.protection.kind",
        "transformer.impedance_percent",
        "secondary.protection.interrupting_kiloamperes",
        *_CONDUCTORS,
    ),
)
def secondary_device_interrupting(site: Site) -> Finding:
    """Whether the secondary device can interrupt the fault current from this transformer [kA].

    Section: 110.9. Raises Missing.
    """
    if site.need(lambda job: job.secondary.protection.kind) == "main_lugs_only":
        return not_applicable("Main lugs only: there is no secondary device here.")
    rating = site.need(lambda job: job.secondary.protection.interrupting_kiloamperes)
    return _against_fault(site, rating, "The interrupting rating")


@rule(
    "primary_interrupting_rating",
    title="Interrupting rating of the primary device",
    cite="interrupting_rating",
    severity="danger",
    group="primary_disconnect",
    asks=("primary.device.interrupting_kiloamperes", "primary.source_fault_kiloamperes"),
)
def primary_interrupting_rating(site: Site) -> Finding:
    """Whether the primary device can interrupt the fault current at its place [kA]; only a known source tells.

    Section: 110.9. Raises Missing.
    """
    rating = site.need(lambda job: job.primary.device.interrupting_kiloamperes)
    source = site.need(lambda job: job.primary.source_fault_kiloamperes)
    return compare(
        site,
        found=rating,
        at_least=source,
        required=f"at least {number(source)} kA",
        found_shown=f"{number(rating)} kA",
        reason="Not below the available fault current.",
        otherwise="Below the available fault current: it can burst when it opens.",
        remedy="A device with a higher interrupting rating, or a listed series combination.",
    )


@rule(
    "motor_contribution",
    title="Motors on this side add to the fault current",
    cite="short_circuit_rating",
    severity="advice",
    group="first_disconnect",
    asks=(
        "transformer.impedance_percent",
        "transformer.impedance_tested",
        "secondary.panelboard.present",
        "observations.supplies_switchboard",
        "secondary.panelboard.short_circuit_kiloamperes",
        "secondary.protection.kind",
        "secondary.protection.interrupting_kiloamperes",
    ),
)
def motor_contribution(site: Site) -> Finding:
    """Whether the ratings leave room for what running motors add [kA]: at most four times the full-load current.

    Section: 110.9, 110.10. Source: fuse manufacturer's handbook on the point-to-point method. Raises Missing.
    """
    ceiling = faults.secondary_fault_current_highest(site)
    full_load = currents.full_load_current_secondary(site)
    ratings: list[float] = []
    if _supplies_a_board(site):
        ratings.append(site.need(lambda job: job.secondary.panelboard.short_circuit_kiloamperes))
    if site.need(lambda job: job.secondary.protection.kind) != "main_lugs_only":
        ratings.append(site.need(lambda job: job.secondary.protection.interrupting_kiloamperes))
    if not ratings:
        return not_applicable("No panelboard, no switchboard and no secondary device here.")
    motors = faults.MOTOR_CONTRIBUTION * full_load.amount
    lowest, with_motors = min(ratings) * 1000, ceiling.amount + motors
    required = f"{kiloamperes(with_motors)} if all of the load were motors"
    steps = (
        *ceiling.steps,
        f"Motors: at most {number(faults.MOTOR_CONTRIBUTION)} × {amperes(full_load.amount)} = {amperes(motors)}",
    )
    if not at_most(with_motors, lowest):
        return undetermined(
            "Running motors feed a fault too, for the first cycles. The margin in the rating is less than the most "
            "they can add: find out how much of the load is motors.",
            required=required,
            found=kiloamperes(lowest),
        )._replace(steps=steps)
    return confirm(
        site,
        True,
        required=required,
        found=kiloamperes(lowest),
        reason="There is room for motors.",
        otherwise="",
        steps=steps,
    )


# Up to this voltage to ground [V] a wye needs none: 215.10, 230.95.
_NO_GROUND_FAULT_PROTECTION_UP_TO = 150.0
# Smallest device that needs it, by its rating or its highest setting [A]: 240.67, 240.87.
ARC_ENERGY_REDUCTION_FROM = 1200.0
_GROUND_FAULT_PROTECTION = "ground-fault protection of equipment at 1000 A and above, on a solidly grounded wye above 150 V to ground"


def _secondary_ratings(site: Site) -> list[float]:
    """Ratings of the devices at the end of the secondary conductors [A]; none with main lugs only. Raises Missing."""
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_lugs_only":
        return []
    if kind == "main_device":
        return [site.need(lambda job: job.secondary.protection.rating)]
    ratings = site.need(lambda job: job.secondary.protection.ratings)
    if not ratings:
        raise Missing("secondary.protection.ratings")
    return ratings


def _wye_above_150_volts(line_volts: float, to_ground: float) -> Finding | None:
    """Why a wye of this voltage [V] needs no ground-fault protection, or why that can't be told; None where it does."""
    if to_ground <= _NO_GROUND_FAULT_PROTECTION_UP_TO:
        return not_applicable(f"At {volts(line_volts)} a wye is not above 150 V to ground.")
    if line_volts > 1000:
        return not_applicable("Above 1000 V other rules hold.")
    if line_volts > 600:
        return undetermined(
            "Between 600 V and 1000 V the editions differ on ground-fault protection, and this tool does not hold their text."
        )
    return None


def _protects_ground_faults(site: Site, has: bool, rating: float) -> Finding:
    return confirm(
        site,
        has,
        required=_GROUND_FAULT_PROTECTION,
        found=f"{amperes(rating)}, {'with' if has else 'without'} it",
        reason="It has ground-fault protection of equipment.",
        otherwise="An arcing ground fault here may keep burning without tripping the device. Only fire pumps and "
        "continuous industrial processes are exempt.",
        remedy="Ground-fault protection, set and performance-tested where it is installed.",
    )


@rule(
    "primary_ground_fault_protection",
    title="Ground-fault protection of the primary feeder",
    cite="feeder_ground_fault_protection",
    severity="violation",
    group="primary_disconnect",
    asks=(
        "primary.device.rating",
        "primary.device.kind",
        "primary.device.adjustable",
        "primary.device.rating_basis",
        "primary.device.highest_rating",
        "primary.device.ground_fault_protection",
        "primary.supply_system",
    ),
)
def primary_ground_fault_protection(site: Site) -> Finding:
    """Whether a primary device of 1000 A and more has ground-fault protection of equipment [A, V].

    Section: 215.10, 230.95, 240.13. Raises Missing.
    """
    to_ground = volts_to_ground.of_primary(site, "solidly_grounded_wye")
    other = _wye_above_150_volts(site.job.transformer.primary_volts, to_ground.most)
    if other is not None and other.verdict == "does_not_apply":
        return other
    rating = site.need(lambda job: job.primary.device.rating)
    if rating < GROUND_FAULT_PROTECTION_FROM:
        if site.job.primary.supply_system not in (None, "solidly_grounded_wye"):
            return not_applicable("The supply is not a solidly grounded wye.")
        if site.need(lambda job: job.primary.device.kind) != "fuse":
            rating = currents.primary_rating_as_set(site, rating)
        elif rating > FUSES_OF_SMALL_SWITCHES:
            rating = max(rating, site.need(lambda job: job.primary.device.highest_rating))
    if rating < GROUND_FAULT_PROTECTION_FROM:
        return not_applicable("Below 1000 A.")
    if other is not None:
        return other
    has = site.need(lambda job: job.primary.device.ground_fault_protection)
    if not has and site.need(lambda job: job.primary.supply_system) != "solidly_grounded_wye":
        return not_applicable("The supply is not a solidly grounded wye.")
    if not has and to_ground.least <= _NO_GROUND_FAULT_PROTECTION_UP_TO:
        return undetermined(
            f"Whether this circuit is above 150 V to ground is not known. {to_ground.find_out}",
            required=_GROUND_FAULT_PROTECTION,
            found=f"{amperes(rating)}, without it",
        )
    return _protects_ground_faults(site, has, rating)


@rule(
    "secondary_ground_fault_protection",
    title="Ground-fault protection of the secondary",
    cite="feeder_ground_fault_protection",
    severity="violation",
    group="first_disconnect",
    asks=(
        *GROUNDED_BY,
        *SECONDARY_RATING,
        "secondary.protection.ground_fault_protection",
    ),
)
def secondary_ground_fault_protection(site: Site) -> Finding:
    """Whether a secondary device of 1000 A and more has ground-fault protection of equipment [A, V].

    Section: 215.10, 230.95, 240.13. Raises Missing.
    """
    if site.job.transformer.phases == 1:
        return not_applicable("Single-phase: not a wye.")
    line = site.job.transformer.secondary_volts
    other = _wye_above_150_volts(line, line / 3**0.5)
    if other is not None and other.verdict == "does_not_apply":
        return other
    ratings = _secondary_ratings(site)
    if not ratings:
        return not_applicable("Main lugs only: there is no secondary device here.")
    rating = largest = max(ratings)
    if rating < GROUND_FAULT_PROTECTION_FROM and (
        rating > FUSES_OF_SMALL_SWITCHES
        if site.need(lambda job: job.secondary.protection.device_kind) == "fuse"
        else currents.secondary_may_be_set_higher(site)
    ):
        largest = site.job.secondary.protection.highest_rating or GROUND_FAULT_PROTECTION_FROM
    if max(rating, largest) < GROUND_FAULT_PROTECTION_FROM:
        return not_applicable("Below 1000 A.")
    is_wye = site.need(lambda job: job.transformer.secondary_system).startswith("wye")
    if not is_wye or not grounded_systems.is_grounded(site):
        return not_applicable("The secondary is not a solidly grounded wye.")
    if other is not None:
        return other
    if rating < largest:
        rating = site.need(lambda job: job.secondary.protection.highest_rating)
    has = site.need(lambda job: job.secondary.protection.ground_fault_protection)
    return _protects_ground_faults(site, has, rating)


def _arc_energy(site: Site, rating: float, kind: str, has: Callable[[Job], bool | None]) -> Finding:
    """Hold a device of 1200 A and more against the rule for its kind [A]. Raises Missing."""
    if rating < ARC_ENERGY_REDUCTION_FROM:
        return not_applicable("Below 1200 A.")
    cite = "arc_energy_fuses" if kind == "fuse" else "arc_energy_breakers"
    fuses = choice(site.code.edition, "arc_energy_fuses")
    if kind == "fuse" and fuses == "none":
        return not_applicable("This edition requires it for breakers only.")
    reduced = site.need(has)
    found = f"{amperes(rating)}, {'with' if reduced else 'without'} it"
    required = "a means of arc-energy reduction at 1200 A and above, its location documented"
    if not reduced and kind == "fuse" and fuses == "from_2020":
        return undetermined(
            "Under this edition fuses need it from January 1, 2020: the date of the work decides.",
            required=required,
            found=found,
            cite=cite,
        )
    return confirm(
        site,
        reduced,
        required=required,
        found=found,
        reason="It has a means of arc-energy reduction.",
        otherwise="Anyone who works here energized is exposed to an arc for as long as the device takes to clear it.",
        remedy="A maintenance switch, zone interlocking, differential or arc-flash relaying, or a trip or fuse that clears as "
        "fast as the rule asks.",
        cite=cite,
    )


@rule(
    "primary_arc_energy",
    title="Arc energy at the primary device",
    cite="arc_energy_breakers",
    severity="violation",
    group="primary_disconnect",
    asks=(
        "primary.device.rating",
        "primary.device.kind",
        "primary.device.adjustable",
        "primary.device.rating_basis",
        "primary.device.highest_rating",
        "primary.device.arc_energy_reduction",
    ),
    changes_between_editions=True,
)
def primary_arc_energy(site: Site) -> Finding:
    """Whether a primary device of 1200 A and more reduces arc energy [A]. Section: 240.87, 240.67. Raises Missing."""
    rating = site.need(lambda job: job.primary.device.rating)
    if rating < ARC_ENERGY_REDUCTION_FROM:
        rating = currents.primary_rating_as_set(site, rating)
    if rating < ARC_ENERGY_REDUCTION_FROM:
        return not_applicable("Below 1200 A.")
    kind = site.need(lambda job: job.primary.device.kind)
    return _arc_energy(site, rating, kind, lambda job: job.primary.device.arc_energy_reduction)


@rule(
    "secondary_arc_energy",
    title="Arc energy at the secondary device",
    cite="arc_energy_breakers",
    severity="violation",
    group="first_disconnect",
    asks=(*SECONDARY_RATING, "secondary.protection.arc_energy_reduction"),
    changes_between_editions=True,
)
def secondary_arc_energy(site: Site) -> Finding:
    """Whether a secondary device of 1200 A and more reduces arc energy [A]. Section: 240.87, 240.67. Raises Missing."""
    ratings = _secondary_ratings(site)
    if not ratings:
        return not_applicable("Main lugs only: there is no secondary device here.")
    rating = max(ratings)
    if rating < ARC_ENERGY_REDUCTION_FROM and currents.secondary_may_be_set_higher(site):
        rating = max(rating, site.need(lambda job: job.secondary.protection.highest_rating))
    if rating < ARC_ENERGY_REDUCTION_FROM:
        return not_applicable("Below 1200 A.")
    kind = site.need(lambda job: job.secondary.protection.device_kind)
    return _arc_energy(
        site, rating, kind, lambda job: job.secondary.protection.arc_energy_reduction
    )


@rule(
    "adjustable_trip",
    title="Rating of an adjustable trip",
    cite="adjustable_trip",
    severity="violation",
    group="primary_disconnect",
    asks=(
        "primary.device.kind",
        "primary.device.rating",
        "primary.device.adjustable",
        "primary.device.rating_basis",
    ),
)
def adjustable_trip(site: Site) -> Finding:
    """Whether the rating that counts is the highest setting, or a setting that not everyone can reach [A].

    Section: 240.6(A), (B) and (C). Raises Missing.
    """
    if site.need(lambda job: job.primary.device.kind) == "fuse":
        return not_applicable("Fuses have no setting.")
    if not site.need(lambda job: job.primary.device.adjustable):
        return _fixed(site, [site.need(lambda job: job.primary.device.rating)])
    return _by_its_basis(site, site.need(lambda job: job.primary.device.rating_basis))


@rule(
    "secondary_adjustable_trip",
    title="Rating of an adjustable trip, secondary",
    cite="adjustable_trip",
    severity="violation",
    group="first_disconnect",
    asks=(*SECONDARY_BASIS,),
)
def secondary_adjustable_trip(site: Site) -> Finding:
    """Whether the ratings that count are the highest settings, or settings that not everyone can reach [A].

    Section: 240.6(A), (B) and (C). Raises Missing.
    """
    ratings = _secondary_ratings(site)
    if not ratings:
        return not_applicable("Main lugs only: there is no secondary device here.")
    if site.need(lambda job: job.secondary.protection.device_kind) == "fuse":
        return not_applicable("Fuses have no setting.")
    basis = currents.secondary_setting(site)
    return _fixed(site, ratings) if basis is None else _by_its_basis(site, basis)


def _fixed(site: Site, ratings: Sequence[float]) -> Finding:
    """A breaker whose trip can't be set [A]. Other ratings than the standard ones are permitted, and rare: 240.6(A)."""
    standard = site.code.standard_ratings("breaker")
    unusual = [each for each in ratings if is_unusual_for_fixed(each, standard)]
    if not unusual:
        return not_applicable("Its trip can't be set.")
    return undetermined(
        "Breakers whose trip can't be set come in the standard ratings. This rating may be a trip setting: look again "
        "for a dial or a plug, and check whether anyone can turn it up.",
        required=f"a standard rating ({site.section('standard_ratings')})",
        found=", ".join(amperes(each) for each in unusual),
        cite="standard_ratings",
    )


def _by_its_basis(site: Site, basis: RatingBasis) -> Finding:
    return confirm(
        site,
        basis != "setting_open",
        required="the highest setting counts, unless access to the setting is restricted",
        found={
            "highest_setting": "the highest setting",
            "setting_restricted": "the setting, access restricted",
            "setting_open": "the setting, which anyone can change",
        }[basis],
        reason="The rating entered is the one that counts.",
        otherwise="Anyone can turn it up, so its highest setting is the rating that counts, here and in every other check.",
        remedy="Enter the highest setting as its rating, or restrict access to the setting.",
    )


@rule(
    "primary_straight_rated",
    title="Primary breaker rated for its supply",
    cite="slash_voltage_rating",
    severity="danger",
    group="primary_disconnect",
    asks=("primary.device.kind", "primary.device.straight_rated", "primary.supply_system"),
)
def primary_straight_rated(site: Site) -> Finding:
    """Whether a slash-rated primary breaker is on a supply that such a rating is for [V].

    Section: 240.85. The supply decides, not the winding that it feeds. Raises Missing.
    """
    if currents.is_over_1000_volts(site):
        return not_applicable("Above 1000 V no breaker has such a rating.")
    if site.need(lambda job: job.primary.device.kind) == "fuse":
        return not_applicable("Fuses have no slash rating.")
    required = "straight-rated, or a solidly grounded supply that holds each line to the lower voltage of the label"
    if site.need(lambda job: job.primary.device.straight_rated):
        return confirm(
            site,
            True,
            required=required,
            found="straight-rated",
            reason="Rated for this supply.",
            otherwise="",
        )
    best, exposure = slash_ratings.on_supply(site)
    supply = site.need(lambda job: job.primary.supply_system)
    found = f"slash-rated; {supply.replace('_', ' ')}"
    if exposure.to_ground is not None and exposure.to_ground == best.to_ground:
        found += f", {volts(exposure.to_ground)} to ground"
    # Two legs of a high-leg supply may be the ones that are alike; three are not.
    on_two_legs = supply == "high_leg" and site.job.transformer.phases == 1
    by_its_label = on_two_legs or supply in ("solidly_grounded_wye", "single_phase_grounded")
    if on_two_legs and best.usual_label_holds and not exposure.usual_label_holds:
        return undetermined(
            "A slash-rated breaker is fine on the two legs with the same voltage to ground, but not where one of its "
            "conductors is the high leg. Find out which two legs feed the primary.",
            required=required,
            found=f"slash-rated; two legs of a {supply.replace('_', ' ')}",
        )
    if (
        by_its_label
        and not on_two_legs
        and not exposure.usual_label_holds
        and (best.some_label_holds or exposure.some_label_holds)
    ):
        doubt = volts_to_ground.of_primary(site, supply).find_out
        return undetermined(
            f"A line of this supply {'may be' if doubt else 'is'} at {volts(exposure.to_ground or 0)} to ground. A "
            f"slash-rated breaker is permitted here only if the lower voltage on its label is at least that: read the "
            f"label.{doubt and f' {doubt}'}",
            required=required,
            found=found,
        )
    return confirm(
        site,
        by_its_label and exposure.usual_label_holds,
        required=required,
        found=found,
        reason="Rated for this supply.",
        otherwise="A line of this supply can be at more than the lower voltage on the label, and the breaker may "
        "not clear a fault then.",
        remedy="Install a straight-rated breaker.",
    )


@rule(
    "k_factor_load",
    title="K-factor for electronic load",
    cite="listing_and_instructions",
    severity="advice",
    group="nameplate",
    asks=("observations.nonlinear_load", "transformer.k_factor"),
)
def k_factor_load(site: Site) -> Finding:
    """Whether a unit that feeds mostly electronic load is made for harmonics [K]: K-4 or higher.

    Section: 110.3(B). Source: common practice, no source. Raises Missing.
    """
    if not site.need(lambda job: job.observations.nonlinear_load):
        return not_applicable("Most of the load is not electronic.")
    factor = site.need(lambda job: job.transformer.k_factor)
    return compare(
        site,
        found=factor,
        at_least=4,
        required="K-4 or higher where most of the load is electronic (common practice)",
        found_shown=f"K-{number(factor)}",
        reason="Rated for harmonics.",
        otherwise="A standard transformer runs hotter under electronic load than its kVA suggests.",
        remedy="Have the harmonics evaluated: load it less, or get a K-rated unit.",
    )


@rule(
    "transformer_load",
    title="Load within the transformer's rating",
    cite="common_practice",
    severity="advice",
    group="nameplate",
    asks=("secondary.load.continuous_amperes", "secondary.load.noncontinuous_amperes"),
)
def transformer_load(site: Site) -> Finding:
    """Whether the calculated load of all secondary runs together [A] is within the rated current.

    Not a code rule: common practice, no source. What is known of it may be too much by itself. Raises Missing.
    """
    loads = [run.job.secondary.load for run in site.runs]
    known = sum(
        (each.continuous_amperes or 0) + (each.noncontinuous_amperes or 0) for each in loads
    )
    current = currents.full_load_current_secondary(site)
    if at_most(known, current.amount):
        known = sum(load.whole for load in site.in_each_run(secondary_conductors.calculated_load))
    return compare(
        site,
        found=known,
        at_most=current.amount,
        required=f"at most {amperes(current.amount)}, the rated secondary current",
        found_shown=f"{amperes(known)} of calculated load",
        reason="Within the transformer's rating.",
        otherwise="The calculated load is above the transformer's rated current. No section limits it, but the transformer "
        "overheats and wears out early.",
        remedy="Reduce the load or install a larger transformer; see the question to the customer.",
        steps=current.steps,
    )


@rule(
    "inrush",
    title="Inrush against the primary device",
    cite="common_practice",
    severity="advice",
    group="primary_disconnect",
    asks=(
        "primary.device.rating",
        "primary.device.kind",
        "primary.device.instantaneous_multiple",
    ),
)
def inrush(site: Site) -> Finding:
    """How likely the primary device trips on energizing [A]. Not a code rule: common practice, no source.

    Usual inrush 8 to 12 times rated current at 0.1 s, up to about 25 times in the first half cycle; more where the
    low-voltage winding, the inner one, is fed (electricallicenserenewal.com section 85 on 450.11(B)). Raises Missing.
    Section: none; Table 450.3(B) only limits the device upward.
    """
    low, high = faults.USUAL_INRUSH
    peak = faults.FIRST_HALF_CYCLE_INRUSH
    current = currents.full_load_current_primary(site)
    required = (
        f"at least {number(high)} × {amperes(current.amount)} = {amperes(high * current.amount)}"
    )
    if site.need(lambda job: job.primary.device.kind) == "fuse":
        return undetermined(
            "Fuses: whether they open on inrush depends on their curve. Compare "
            f"{amperes(high * current.amount)} at 0.1 s and {amperes(peak * current.amount)} at 0.01 s with it.",
            required="the fuse curve above both points",
        )
    trip = faults.instantaneous_trip(site)
    multiple = trip.amount / current.amount
    shown = f"{amperes(trip.amount)}, {number(multiple)} × full-load current"
    steps = (
        *current.steps,
        *trip.steps,
        f"Usual inrush at 0.1 s: {number(low)} to {number(high)} × = {amperes(low * current.amount)} to "
        f"{amperes(high * current.amount)}; first half cycle up to about {number(peak)} × = "
        f"{amperes(peak * current.amount)} (common practice, no source)",
    )
    if (
        multiple >= high
        and site.job.transformer.primary_volts < site.job.transformer.secondary_volts
    ):
        return undetermined(
            "The low-voltage winding is the one that is fed. It is nearer the core and draws more inrush than the "
            "usual range: ask the manufacturer for the figure.",
            required=f"more than {required.removeprefix('at least ')}",
            found=shown,
        )._replace(steps=steps)
    return confirm(
        site,
        multiple >= high,
        required=required,
        found=shown,
        reason="Tripping on energizing is not expected."
        if multiple >= peak
        else "Above the usual inrush; the worst first half cycle may still trip it now and then.",
        otherwise="Will often trip on energizing."
        if multiple < low
        else "Likely to trip on energizing: within the usual range of inrush.",
        remedy="A higher instantaneous setting, a device with a higher trip, or a larger device within the limits.",
        steps=steps,
    )
