"""Raceways and the conductors in them: nipples, lengths, flexible sections, fittings."""

from collections.abc import Callable, Iterator
from operator import attrgetter

from engine.code import code_for
from engine.code.limits import METAL_RACEWAYS
from engine.job import Job
from engine.judging.contradictions.conductors import (
    among_insulations,
    more_raceways_than_sets,
    not_made_for_2000_volts,
)
from engine.judging.contradictions.entry import SIDES, Contradiction, conductors_of, raceway_of

# A run is paced more often than taped: a share and some feet that two lengths of it may differ by. Common practice, no
# source.
PACED = 1.15
PACED_FEET = 2.0
# Through a nipple goes what reaches into the enclosures at both ends, and no more: common practice, no source.
LONGEST_WIRE_OF_A_NIPPLE_FEET = 15.0
# Where the raceway is the fault path, or a rule of 10 ft wants all of it in a raceway, less than that is taken for the
# enclosures: common practice, no source.
LONGEST_OUTSIDE_A_FAULT_PATH_FEET = 12.0
LONGEST_OUTSIDE_OF_10_FEET = 9.0
# What a conductor gains over its raceway by lying loose in it: common practice, no source.
SLACK = 1.05


def _dry_on_a_sunny_roof(side: str) -> Callable[[Job], bool]:
    def found(job: Job) -> bool:
        return bool(raceway_of(job, side).on_sunny_rooftop) and (
            conductors_of(job, side).wet_location is False
        )

    return found


def _nipple_feet(job: Job) -> float:
    """The longest nipple [ft]. Section: Chapter 9, Table 1, note 4."""
    return code_for(job.edition).nipple_maximum_inches / 12


def _long_nipple(side: str) -> Callable[[Job], bool]:
    def found(job: Job) -> bool:
        raceway = raceway_of(job, side)
        if not raceway.nipple or raceway.length_feet is None:
            return False
        return raceway.length_feet > _nipple_feet(job)

    return found


def _short_and_no_nipple(side: str) -> Callable[[Job], bool]:
    """Whether a raceway shorter than 24 in. [ft] from enclosure to enclosure is said to be no nipple."""

    def found(job: Job) -> bool:
        raceway = raceway_of(job, side)
        length = raceway.length_feet
        if raceway.nipple is not False or not length:
            return False
        return length < _nipple_feet(job)

    return found


def _flexible_longer_than_nipple(side: str) -> Callable[[Job], bool]:
    """Whether the flexible pieces [ft] are longer than all nipples of the run together can be."""

    def found(job: Job) -> bool:
        raceway, conductors = raceway_of(job, side), conductors_of(job, side)
        flexible, number = raceway.flexible_length_feet, conductors.raceways or conductors.sets
        if not raceway.nipple or flexible is None or number is None:
            return False
        return flexible > number * _nipple_feet(job)

    return found


def _long_wire_of_a_nipple(side: str) -> Callable[[Job], bool]:
    def found(job: Job) -> bool:
        length = conductors_of(job, side).length_feet
        return bool(
            raceway_of(job, side).nipple
            and length is not None
            and length > LONGEST_WIRE_OF_A_NIPPLE_FEET
        )

    return found


def _raceway_longer_than_wire(side: str) -> Callable[[Job], bool]:
    def found(job: Job) -> bool:
        wire, raceway = conductors_of(job, side).length_feet, raceway_of(job, side).length_feet
        return wire is not None and raceway is not None and raceway > PACED * wire + PACED_FEET

    return found


def _raceway_far_shorter_than_wire(side: str) -> Callable[[Job], bool]:
    """Whether the conductors [ft] reach farther beyond their raceway than the enclosures at both ends take up."""

    def found(job: Job) -> bool:
        wire, raceway = conductors_of(job, side).length_feet, raceway_of(job, side).length_feet
        if wire is None or raceway is None or raceway == 0:
            return False
        if side == "secondary" and job.secondary.enclosed_in_raceway is False:
            return False
        return wire > SLACK * raceway + _longest_outside(job, side)

    return found


def _longest_outside(job: Job, side: str) -> float:
    """How much of the conductors [ft] the enclosures at both ends may take up."""
    if side == "secondary" and job.secondary.rule == "10_ft":
        return LONGEST_OUTSIDE_OF_10_FEET
    path = (
        job.primary.equipment_grounding.kind
        if side == "primary"
        else job.bonding.supply_side_bonding_jumper.kind
    )
    return LONGEST_OUTSIDE_A_FAULT_PATH_FEET if path == "raceway" else LONGEST_WIRE_OF_A_NIPPLE_FEET


def _flexible_longer_than_raceway(side: str) -> Callable[[Job], bool]:
    """Whether the flexible pieces [ft] are longer than all raceways of the run together."""

    def found(job: Job) -> bool:
        raceway, conductors = raceway_of(job, side), conductors_of(job, side)
        flexible, whole = raceway.flexible_length_feet, raceway.length_feet
        number = conductors.raceways or conductors.sets
        if flexible is None or whole is None or number is None:
            return False
        return flexible > number * (PACED * whole + PACED_FEET)

    return found


_GROUNDING_PATH = {
    "primary": "primary.equipment_grounding.kind",
    "secondary": "bonding.supply_side_bonding_jumper.kind",
}


def _unlisted_fittings_of_a_rigid_path(side: str) -> Callable[[Job], bool]:
    """Whether fittings are not listed for grounding though the run that serves as the path has no flexible piece."""
    kind = attrgetter(_GROUNDING_PATH[side])

    def found(job: Job) -> bool:
        raceway = raceway_of(job, side)
        return (
            kind(job) == "raceway"
            and raceway.type in METAL_RACEWAYS
            and raceway.flexible_length_feet == 0
            and raceway.fittings_listed_for_grounding is False
        )

    return found


def _of_a_run(side: str) -> Iterator[Contradiction]:
    conductors, raceway = f"{side}.conductors", f"{side}.raceway"
    yield Contradiction(
        f"{side}_unlisted_fittings_of_a_rigid_path",
        (
            _GROUNDING_PATH[side],
            f"{raceway}.type",
            f"{raceway}.flexible_length_feet",
            f"{raceway}.fittings_listed_for_grounding",
        ),
        "The metal raceway serves as the grounding path and has no flexible piece, yet fittings that are not listed for "
        "grounding are entered. Couplings and connectors are part of that path: look at them again, or run a wire.",
        _unlisted_fittings_of_a_rigid_path(side),
    )
    yield Contradiction(
        f"{side}_more_raceways_than_sets",
        (f"{conductors}.sets", f"{conductors}.raceways"),
        "More raceways than sets of conductors would leave a raceway empty.",
        more_raceways_than_sets(side),
    )
    yield Contradiction(
        f"{side}_long_nipple",
        (f"{raceway}.nipple", f"{raceway}.length_feet"),
        "A nipple is 24 in. long at most, from enclosure to enclosure.",
        _long_nipple(side),
    )
    yield Contradiction(
        f"{side}_short_and_no_nipple",
        (f"{raceway}.nipple", f"{raceway}.length_feet"),
        "A raceway shorter than 24 in. from enclosure to enclosure is a nipple.",
        _short_and_no_nipple(side),
    )
    yield Contradiction(
        f"{side}_flexible_longer_than_nipple",
        (f"{raceway}.nipple", f"{raceway}.flexible_length_feet"),
        "The flexible sections alone are longer than a nipple of 24 in. can be.",
        _flexible_longer_than_nipple(side),
    )
    yield Contradiction(
        f"{side}_insulation_not_made_for_2000_volts",
        (
            f"{conductors}.insulation_volts",
            f"{conductors}.insulation",
            *(("secondary.grounded_conductor.insulation",) if side == "secondary" else ()),
        ),
        "This type of insulation is not made with a 2000 V rating. Read the marking on every conductor again; the "
        "lowest voltage counts.",
        not_made_for_2000_volts(side),
        among=among_insulations(side),
    )
    yield Contradiction(
        f"{side}_nipple_around_long_wire",
        (f"{raceway}.nipple", f"{conductors}.length_feet"),
        "Conductors this long do not run through a nipple of 24 in. from enclosure to enclosure.",
        _long_wire_of_a_nipple(side),
    )
    yield Contradiction(
        f"{side}_raceway_longer_than_wire",
        (f"{raceway}.length_feet", f"{conductors}.length_feet"),
        "The raceway is longer than the conductors that run all the way through it.",
        _raceway_longer_than_wire(side),
    )
    yield Contradiction(
        f"{side}_raceway_far_shorter_than_wire",
        (f"{raceway}.length_feet", f"{conductors}.length_feet"),
        "The conductors are much longer than the raceway: part of them would be outside it.",
        _raceway_far_shorter_than_wire(side),
    )
    yield Contradiction(
        f"{side}_flexible_longer_than_raceway",
        (f"{raceway}.flexible_length_feet", f"{raceway}.length_feet"),
        "The flexible sections are longer than the whole raceway.",
        _flexible_longer_than_raceway(side),
    )
    yield Contradiction(
        f"{side}_dry_on_a_sunny_roof",
        (f"{raceway}.on_sunny_rooftop", f"{conductors}.wet_location"),
        "A raceway in the sun on a roof is outdoors, and a run outdoors is in a wet location.",
        _dry_on_a_sunny_roof(side),
    )


def _built_in_with_a_long_run(job: Job) -> bool:
    length = job.secondary.conductors.length_feet
    return (
        job.secondary.first_disconnect_separate is False
        and length is not None
        and length > LONGEST_WIRE_OF_A_NIPPLE_FEET
    )


BUILT_IN_WITH_A_LONG_RUN: tuple[Contradiction, ...] = (
    Contradiction(
        "built_in_with_a_long_run",
        ("secondary.first_disconnect_separate", "secondary.conductors.length_feet"),
        "Conductors to a disconnect built into the transformer's own case can't be this long.",
        _built_in_with_a_long_run,
    ),
)
RACEWAYS_OF_BOTH_SIDES = tuple(entry for side in SIDES for entry in _of_a_run(side))
