"""Full-load currents and the largest overcurrent devices."""

from collections.abc import Callable
from dataclasses import dataclass

from engine.code import Kind, Method, SideName
from engine.derived.derived import Derived
from engine.job import Job, RatingBasis
from engine.job.kinds import PRESENT_SETTING
from engine.job.runs import named_by_run
from engine.job.site import Site, once
from engine.physics.full_load_current import full_load_current
from engine.physics.quantities import amperes, at_most, number, percent, volts

OVER_1000_VOLTS = 1000.0


def is_over_1000_volts(site: Site) -> bool:
    """Whether the primary is rated above 1000 V, where Table 450.3(A) governs. Unit: V. Section: 450.3."""
    return site.job.transformer.primary_volts > OVER_1000_VOLTS


@dataclass(frozen=True, slots=True)
class _Trip:
    """Where the facts about the trip of a device are read."""

    kind: Callable[[Job], str | None]
    adjustable: Callable[[Job], bool | None]
    basis: Callable[[Job], RatingBasis | None]
    highest: Callable[[Job], float | None]


_PRIMARY = _Trip(
    lambda job: job.primary.device.kind,
    lambda job: job.primary.device.adjustable,
    lambda job: job.primary.device.rating_basis,
    lambda job: job.primary.device.highest_rating,
)
_SECONDARY = _Trip(
    lambda job: job.secondary.protection.device_kind,
    lambda job: job.secondary.protection.adjustable,
    lambda job: job.secondary.protection.rating_basis,
    lambda job: job.secondary.protection.highest_rating,
)


def _basis(site: Site, trip: _Trip) -> RatingBasis | None:
    """What the rating of a device is based on; None for a fuse and for a trip that can't be set. Raises Missing.

    The rating itself tells nothing: trips are set to standard ratings too.
    """
    if trip.kind(site.job) == "fuse" or not site.need(trip.adjustable):
        return None
    return site.need(trip.basis)


def primary_device_rating(site: Site) -> float:
    """What the primary device counts as [A]: its rating, or the highest setting of a trip that anyone can turn up.

    Section: 240.6(B) and (C). Raises Missing: rating, or how its trip is set.
    """
    rating = site.need(lambda job: job.primary.device.rating)
    if _basis(site, _PRIMARY) != "setting_open":
        return rating
    return max(rating, site.need(_PRIMARY.highest))


def primary_rating_as_set(site: Site, rating: float) -> float:
    """The rating of the primary device [A], or the highest that its trip can be set to, whoever may reach the setting.

    Section: 230.95, 240.87. Raises Missing.
    """
    if _basis(site, _PRIMARY) in (None, "highest_setting"):
        return rating
    return max(rating, site.need(_PRIMARY.highest))


def secondary_setting(site: Site) -> RatingBasis | None:
    """What the ratings of secondary breakers are based on; None for fuses and trips that can't be set. Raises Missing.

    Section: 240.6(A) to (C). Unit: none.
    """
    return _basis(site, _SECONDARY)


def secondary_main_rating(site: Site) -> float:
    """What the secondary main counts as [A]: its rating, or the highest setting of a trip that anyone can turn up.

    Section: 240.6(B) and (C). Raises Missing: rating, or how its trip is set.
    """
    rating = site.need(lambda job: job.secondary.protection.rating)
    if secondary_setting(site) != "setting_open":
        return rating
    return max(rating, site.need(_SECONDARY.highest))


def secondary_grouped_ratings(site: Site) -> list[float]:
    """What each of the grouped devices counts as [A]: as one main does; which of them is set is not told.

    Section: 240.6(B) and (C). Raises Missing: ratings, or how a trip is set.
    """
    ratings = site.need(lambda job: job.secondary.protection.ratings)
    if not ratings or secondary_setting(site) != "setting_open":
        return ratings
    highest = site.need(_SECONDARY.highest)
    return [max(each, highest) for each in ratings]


def secondary_may_be_set_higher(site: Site) -> bool:
    """Whether the trip of a secondary breaker can be set above its rating, whoever may reach the setting.

    Section: 230.95, 240.87. Unit: none. Raises Missing.
    """
    return secondary_setting(site) in PRESENT_SETTING


def _full_load(site: Site, side: str, line_volts: float) -> Derived:
    transformer = site.job.transformer
    current = full_load_current(kva=transformer.kva, volts=line_volts, phases=transformer.phases)
    below = f"(1.732 × {volts(line_volts)})" if transformer.phases == 3 else volts(line_volts)
    step = f"{side}: {number(transformer.kva)} kVA × 1000 / {below} = {amperes(current)}"
    return Derived(current, "A", "transformer_protection", (step,))


@once
def full_load_current_primary(site: Site) -> Derived:
    """Rated primary current [A] from the nameplate. Section: definition; used by 450.3."""
    return _full_load(site, "Primary", site.job.transformer.primary_volts)


@once
def full_load_current_secondary(site: Site) -> Derived:
    """Rated secondary current [A] from the nameplate. Section: definition; used by 450.3 and 240.21(C)."""
    return _full_load(site, "Secondary", site.job.transformer.secondary_volts)


def _limit(
    site: Site,
    current: Derived,
    *,
    share: float,
    next_size_up: bool,
    kind: Kind | None,
    cite: str,
    how: str,
) -> Derived:
    """A share of the rated current, with the next standard rating where the note to the table permits it."""
    plain = current.amount * share / 100
    if kind is None:
        # Every standard rating of breakers is one of fuses too; 1, 3, 6, 10 and 601 A are ratings of fuses alone.
        has_breaker = site.code.largest_standard_rating_not_over(plain, "breaker") is not None
        kind = "breaker" if has_breaker else "fuse"
    steps = [
        *current.steps,
        f"{how}: {amperes(current.amount)} × {number(share)} % = {amperes(plain)}",
    ]
    ratings = site.section("standard_ratings")
    if next_size_up:
        standard = site.code.next_standard_rating(plain, kind)
        if standard is None:
            largest = site.code.largest_standard_rating_not_over(plain, kind)
            steps.append(
                f"Above the largest standard rating of {ratings}: the plain percentage is the limit."
            )
            return Derived(plain, "A", cite, tuple(steps), largest, None, True)
        if at_most(standard, plain):
            steps.append(f"{amperes(standard)} is itself a standard rating ({ratings}).")
        else:
            steps.append(
                f"{amperes(plain)} is not a standard rating, so note 1 permits the next higher: "
                f"{amperes(standard)} ({ratings})."
            )
        return Derived(standard, "A", cite, tuple(steps), standard, None, True)
    largest = site.code.largest_standard_rating_not_over(plain, kind)
    if largest is None:
        steps.append(
            f"No standard rating of {ratings} is that small: no standard {kind} keeps this limit."
        )
    else:
        steps.append(
            f"Not rounded up. Largest standard rating that keeps it: {amperes(largest)} {kind} ({ratings})."
        )
    return Derived(plain, "A", cite, tuple(steps), largest, None, True)


def _device_kind(site: Site, *, side: SideName, plain: float, next_size_up: bool) -> Kind | None:
    """Breaker or fuse, asked for only where the limit of the two would differ; None where it is not known."""
    job = site.job
    known = job.primary.device.kind if side == "primary" else job.secondary.protection.device_kind
    if not next_size_up:
        return known
    code = site.code
    if code.next_standard_rating(plain, "breaker") == code.next_standard_rating(plain, "fuse"):
        return "breaker"
    if side == "primary":
        return site.need(lambda job: job.primary.device.kind)
    return site.need(lambda job: job.secondary.protection.device_kind)


def _table_limit(
    site: Site, *, method: Method, side: SideName, current: Derived, how: str
) -> Derived:
    rule = site.code.transformer_protection_percent(method, side, current.amount)
    if rule is None:
        raise LookupError(f"the table has no row for {method}, {side}")
    plain = current.amount * rule.percent / 100
    kind = _device_kind(site, side=side, plain=plain, next_size_up=rule.next_size_up_permitted)
    band = "9 A or more" if at_most(9, current.amount) else "2 A or more, less than 9 A"
    if current.amount < 2 * (1 - 1e-9):
        band = "less than 2 A"
    if method == "primary_and_secondary":
        band = (
            "any current"
            if side == "primary"
            else ("9 A or more" if at_most(9, current.amount) else "less than 9 A")
        )
    return _limit(
        site,
        current,
        share=rule.percent,
        next_size_up=rule.next_size_up_permitted,
        kind=kind,
        cite="transformer_protection_table",
        how=f"{how}, {band}",
    )


def _over_1000(
    site: Site, *, method: Method, side: SideName, current: Derived, how: str
) -> Derived | None:
    """Table 450.3(A), or None where it offers no such method."""
    supervised = site.need(lambda job: job.transformer.supervised)
    location = "supervised" if supervised else "any"
    if method == "primary_only" and not supervised:
        return None
    device: Kind = (
        site.need(lambda job: job.primary.device.kind) if side == "primary" else "breaker"
    )
    impedance = (
        0.0
        if method == "primary_only"
        else site.need(lambda job: job.transformer.impedance_percent)
    )
    rule = site.code.transformer_protection_percent_over_1000(
        location=location,
        method=method,
        impedance_percent=impedance,
        device=device,
        side="primary" if side == "primary" else "secondary_1000_or_less",
    )
    if rule is None:
        return None
    return _limit(
        site,
        current,
        share=rule.percent,
        next_size_up=rule.next_size_up_permitted,
        kind=device,
        cite="transformer_protection_over_1000_table",
        how=f"{how}, {'supervised location' if supervised else 'any location'}",
    )


@once
def primary_device_maximum(site: Site) -> Derived | None:
    """Largest primary device when it alone protects the transformer [A]; None where the table offers no such method.

    Section: 450.3(B), Table 450.3(B) and note 1; over 1000 V Table 450.3(A), supervised locations only.
    Raises Missing over 1000 V: supervision or kind of device not known.
    """
    current = full_load_current_primary(site)
    if is_over_1000_volts(site):
        return _over_1000(
            site, method="primary_only", side="primary", current=current, how="Primary only"
        )
    return _table_limit(
        site, method="primary_only", side="primary", current=current, how="Primary only"
    )


@once
def primary_device_maximum_with_secondary_protection(site: Site) -> Derived | None:
    """Largest primary device when the secondary is protected too [A]. Never rounded up at 250 %.

    Section: Table 450.3(B), 250 %; over 1000 V Table 450.3(A).
    """
    current = full_load_current_primary(site)
    if is_over_1000_volts(site):
        return _over_1000(
            site,
            method="primary_and_secondary",
            side="primary",
            current=current,
            how="With secondary protection",
        )
    return _table_limit(
        site,
        method="primary_and_secondary",
        side="primary",
        current=current,
        how="With secondary protection",
    )


@once
def primary_device_maximum_with_thermal_protection(site: Site) -> Derived | None:
    """Largest primary device beside a manufacturer's coordinated thermal protection [A]; None over 10 % impedance.

    Section: Table 450.3(B), note 3. Raises Missing: impedance not known.
    """
    current = full_load_current_primary(site)
    impedance = site.need(lambda job: job.transformer.impedance_percent)
    multiple = site.code.thermal_protection_multiple(impedance)
    if multiple is None:
        return None
    kind = site.job.primary.device.kind or "breaker"
    how = f"Coordinated thermal protection, note 3, impedance {percent(impedance)}"
    return _limit(
        site,
        current,
        share=multiple * 100,
        next_size_up=False,
        kind=kind,
        cite="transformer_protection_table",
        how=how,
    )


@once
def secondary_device_maximum(site: Site) -> Derived | None:
    """Largest secondary device that counts as protection of the transformer [A].

    Of several runs it is the most that all their devices may have together, by the kind that permits least.
    Section: Table 450.3(B), 125 % with note 1, 167 % below 9 A; over 1000 V primary Table 450.3(A).
    """
    if site.has_further_runs:
        limits = [limit for limit in site.in_each_run(secondary_device_maximum) if limit]
        if not limits:
            return None
        least = min(limits, key=lambda limit: limit.amount)
        return least._replace(steps=(*least.steps, "The devices of all runs count together."))
    current = full_load_current_secondary(site)
    if is_over_1000_volts(site):
        return _over_1000(
            site,
            method="primary_and_secondary",
            side="secondary",
            current=current,
            how="Secondary device",
        )
    return _table_limit(
        site,
        method="primary_and_secondary",
        side="secondary",
        current=current,
        how="Secondary device",
    )


@once
def secondary_device_rating(site: Site) -> Derived:
    """Rating of the secondary device, or the sum of the grouped ones [A].

    Section: Table 450.3(B), note 2 (grouped devices count together). Raises Missing; LookupError for main lugs only.
    """
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_lugs_only":
        raise LookupError("main lugs only: there is no secondary device")
    if kind == "main_device":
        rating = secondary_main_rating(site)
        return Derived(
            rating, "A", "transformer_protection_table", (f"Main device: {amperes(rating)}",)
        )
    ratings = secondary_grouped_ratings(site)
    total = float(sum(ratings))
    step = f"Grouped devices: {' + '.join(number(r) for r in ratings) or 'none'} = {amperes(total)}"
    return Derived(total, "A", "transformer_protection_table", (step,))


@once
def secondary_devices_together(site: Site) -> Derived:
    """Ratings of the secondary devices of all runs, added up [A].

    Section: Table 450.3(B), note 2 (grouped devices count together). Raises Missing; LookupError for main lugs only.
    """
    if not site.has_further_runs:
        return secondary_device_rating(site)
    ratings = [*site.in_each_run(secondary_device_rating)]
    total = sum(each.amount for each in ratings)
    steps = named_by_run(each.steps for each in ratings)
    steps.append(
        f"Together: {' + '.join(number(each.amount) for each in ratings)} = {amperes(total)}"
    )
    return Derived(total, "A", "transformer_protection_table", tuple(steps))


def voltage_ratio(site: Site) -> float:
    """Primary over secondary voltage, line to line. Unit: none. Section: 240.21(C), the ratio of its conditions."""
    transformer = site.job.transformer
    return transformer.primary_volts / transformer.secondary_volts
