"""The rating that counts of an adjustable trip, and a slash rating on the supply that it is for."""

from collections.abc import Sequence

from engine.code.limits import is_unusual_for_fixed
from engine.derived import currents, slash_ratings, volts_to_ground
from engine.job import RatingBasis
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, not_applicable, undetermined
from engine.physics.quantities import amperes, volts
from engine.rules.conditions.facts_read import SECONDARY_BASIS
from engine.rules.conditions.first_disconnect import secondary_ratings
from engine.rules.rule import rule


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
    ratings = secondary_ratings(site)
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
