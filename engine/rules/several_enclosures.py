"""One source and several first disconnects: where the system bonding jumper may stand, and mains that share a bus."""

from typing import NamedTuple

from engine.derived import currents, grounded_systems
from engine.job.missing import need_at
from engine.job.runs import FURTHER
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, every, not_applicable, undetermined
from engine.physics.quantities import amperes, at_most
from engine.rules.conditions.facts_read import SECONDARY_RATING
from engine.rules.conditions.first_disconnect import poles_of_two_mains
from engine.rules.rule import rule


def _all_in_one(site: Site) -> bool:
    """Whether all runs end in one and the same enclosure."""
    further = site.job.secondary.further_runs
    if any(run.in_first_enclosure is False for run in further):
        return False
    together = (
        need_at(site.job, f"{FURTHER}.{index}.in_first_enclosure") for index in range(len(further))
    )
    return all(site.in_each_run(_ends_in_one)) and all(together)


def _ends_in_one(run: Site) -> bool:
    """Whether a run by itself ends in one enclosure."""
    if run.need(lambda job: job.secondary.protection.kind) != "grouped_devices":
        return True
    return run.need(lambda job: job.secondary.protection.one_enclosure)


@rule(
    "jumper_of_several_enclosures",
    title="Jumper where several enclosures are fed",
    cite="system_bonding_jumper",
    severity="danger",
    group="bonding",
    grounding_visit=True,
    all_runs=("in_first_enclosure",),
    asks=(
        "transformer.secondary_system",
        "bonding.system_bonding_jumper.location",
        "bonding.system_bonding_jumper.in_each_enclosure",
        "secondary.grounded_conductor.present",
        "secondary.grounded_conductor.size",
        "secondary.protection.kind",
        "secondary.protection.one_enclosure",
    ),
)
def jumper_of_several_enclosures(site: Site) -> Finding:
    """Whether a single jumper at a first disconnect serves only one enclosure.

    For several, 250.28(D)(3) has one in each, or a single one at the source (2017 text). One in each puts neutral current
    on the metal between them, which 250.6 and 250.30(A) do not want: that is for the authority. Unit: none. Raises Missing.
    Section: 250.30(A)(1), 250.28(D)(3).
    """
    if not grounded_systems.is_grounded(site):
        return not_applicable("An ungrounded system has no system bonding jumper.")
    location = site.need(lambda job: job.bonding.system_bonding_jumper.location)
    if location != "first_disconnect":
        return not_applicable("The jumper is not at the first disconnect alone.")
    if site.has_further_runs:
        one = _all_in_one(site)
    elif site.need(lambda job: job.secondary.protection.kind) != "grouped_devices":
        return not_applicable("The secondary conductors end in one enclosure.")
    else:
        one = site.need(lambda job: job.secondary.protection.one_enclosure)
    required = "one enclosure behind a jumper at the first disconnect; for several, one jumper at the transformer"
    if not one and site.need(lambda job: job.bonding.system_bonding_jumper.in_each_enclosure):
        return undetermined(
            f"Each enclosure has its own jumper. {site.section('system_bonding_jumper_size')} gives sizes for that, "
            "but neutral current then flows on the metal between the enclosures. Ask the authority having "
            "jurisdiction. A single jumper at the transformer avoids the question.",
            required=required,
            found="several enclosures, a jumper in each",
        )
    return confirm(
        site,
        one,
        required=required,
        found="one enclosure" if one else "several enclosures",
        reason="All first devices are in one enclosure.",
        otherwise="Several enclosures are fed, and not every one has a jumper. A single jumper for several enclosures "
        "belongs at the transformer.",
        remedy="One system bonding jumper at the transformer, sized by all the conductors together, with the electrode "
        "conductor there.",
    )


class _Mains(NamedTuple):
    """What stands in a panelboard at the end of one run [A]: the rating of its bus, and the mains ahead of it."""

    bus: float
    ratings: tuple[float, ...]
    lugs_only: bool


def _mains(run: Site) -> _Mains | None:
    """None where the run ends at no panelboard. Raises Missing."""
    if run.job.secondary.panelboard.rating is None and not run.need(
        lambda job: job.secondary.panelboard.present
    ):
        return None
    bus = run.need(lambda job: job.secondary.panelboard.rating)
    kind = run.need(lambda job: job.secondary.protection.kind)
    if kind == "main_lugs_only":
        return _Mains(bus, (), True)
    if kind == "main_device":
        return _Mains(bus, (currents.secondary_main_rating(run),), False)
    return _Mains(bus, tuple(currents.secondary_grouped_ratings(run)), False)


def _is_counted(run: Site) -> bool:
    return run.job.secondary.panelboard.at_most_42_poles is not None


def _in_the_first_enclosure(site: Site) -> list[int]:
    """The numbers of the runs that end behind the door of the first one, itself among them. Raises Missing."""
    further = range(len(site.job.secondary.further_runs))
    joined = [
        index for index in further if need_at(site.job, f"{FURTHER}.{index}.in_first_enclosure")
    ]
    return [0, *(index + 1 for index in joined)]


@rule(
    "mains_in_one_panelboard",
    title="Mains of several runs in one panelboard",
    cite="panelboard_protection",
    severity="violation",
    group="first_disconnect",
    all_runs=("in_first_enclosure",),
    asks=(
        *SECONDARY_RATING,
        "secondary.panelboard.present",
        "secondary.panelboard.rating",
        "secondary.panelboard.at_most_42_poles",
    ),
)
def mains_in_one_panelboard(site: Site) -> Finding:
    """Whether the mains of the runs that end in one panelboard are together not above its rating [A].

    Section: 408.36 and its exception 1 for two mains. Raises Missing.
    """
    if not site.has_further_runs:
        return not_applicable("There is one secondary run.")
    joined = _in_the_first_enclosure(site)
    if len(joined) == 1:
        return not_applicable("No other run ends in the enclosure of the first.")
    each = [mains for number in joined if (mains := site.of_run(_mains, number)) is not None]
    if len(each) < 2:
        return not_applicable("Not more than one of these runs ends at a panelboard.")
    bus = min(mains.bus for mains in each)
    ratings = [rating for mains in each for rating in mains.ratings]
    total = sum(ratings)
    required = f"mains together at most {amperes(bus)}, the rating of the panelboard"
    if any(mains.lugs_only for mains in each):
        return undetermined(
            "Several runs end in one panelboard, and one of them has no main there. This tool does not judge it.",
            required=required,
            found="main lugs only",
        )
    found = f"{' + '.join(amperes(rating) for rating in ratings)} = {amperes(total)}"
    if len(ratings) > 2 or not at_most(total, bus):
        return undetermined(
            "One panelboard may have one main, or two whose ratings together do not exceed the panelboard's rating. "
            "If each main has a bus of its own behind the same door, these are separate panelboards: their labels "
            "say so.",
            required=required,
            found=found,
        )
    together = confirm(
        site,
        True,
        required=required,
        found=found,
        reason="Two mains whose ratings together are not above the panelboard's rating.",
        otherwise="",
    )
    # One panelboard has one count of its poles, whichever run it was entered for.
    counted = next((number for number in joined if _is_counted(site.runs[number])), joined[0])
    return every(site, lambda _: together, lambda _: site.of_run(poles_of_two_mains, counted))
