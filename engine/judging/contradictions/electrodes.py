"""The grounding electrodes that are there, the one in use, and what they are joined to."""

from engine.code.electrodes import beside_water_pipe, has_limit, is_the_only_kind
from engine.job import Job
from engine.judging.contradictions.entry import Contradiction


def _only_electrode(job: Job) -> bool:
    return is_the_only_kind(job.electrode.used, job.electrode.available)


def _only_electrode_joined_to_others(job: Job) -> bool:
    """Whether metal that is there leaves it open to what the only kind of electrode is joined.

    Where the building has nothing else, the service's own conductor joins it.
    """
    bonds = (job.bonding.water_pipe_bond, job.bonding.structural_steel_bond)
    return (
        has_limit(job.electrode.used)
        and bool(job.electrode.sole_connection)
        and bool(job.electrode.joined_to_building_system)
        and _only_electrode(job)
        and not all(bond.metal_in_area is False and bond.present is False for bond in bonds)
    )


def _only_electrode_apart(job: Job) -> bool:
    return _only_electrode(job) and job.electrode.joined_to_building_system is False


def _goes_on_to_none(job: Job) -> bool:
    # Of steel and the water pipe it is not asked: their conductor has no limit that would end there.
    return (
        has_limit(job.electrode.used)
        and _only_electrode(job)
        and job.electrode.sole_connection is False
    )


def _joined_and_not_supplemented(job: Job) -> bool:
    """Whether the water pipe is joined to an electrode of another kind, which is what supplements it.

    A single rod, pipe or plate does so only with a second electrode beside it, which is what the answer may deny.
    """
    electrode = job.electrode
    return bool(
        electrode.used == "water_pipe"
        and {*(electrode.available or ())} - {"water_pipe"}
        and not beside_water_pipe(electrode.available)
        and electrode.joined_to_building_system
        and electrode.supplemented is False
    )


def _supplemented_by_nothing(job: Job) -> bool:
    electrode = job.electrode
    return is_the_only_kind("water_pipe", electrode.available) and bool(electrode.supplemented)


def _used_and_not_there(job: Job) -> bool:
    used, available = job.electrode.used, job.electrode.available
    return used not in (None, "none") and available is not None and used not in available


def _ring_that_is_not_there(job: Job) -> bool:
    available = job.electrode.available
    return job.electrode.ring_size is not None and available is not None and "ring" not in available


ONLY_ELECTRODE: tuple[Contradiction, ...] = (
    Contradiction(
        "only_electrode_joined_to_others",
        (
            *("electrode.available", "electrode.used"),
            *("electrode.sole_connection", "electrode.joined_to_building_system"),
        ),
        "The grounding electrode conductor ends at the only kind of electrode that is listed, yet that electrode is "
        "recorded as bonded to others. List those too.",
        _only_electrode_joined_to_others,
    ),
    Contradiction(
        "only_electrode_apart",
        (
            "electrode.available",
            "electrode.used",
            "electrode.joined_to_building_system",
        ),
        "This is the only electrode listed, yet it is not joined to the building's electrodes. A building with a "
        "supply has an electrode: list that one too. If the building's service is connected to this same electrode, "
        "it counts as joined.",
        _only_electrode_apart,
    ),
    Contradiction(
        "goes_on_to_none",
        ("electrode.available", "electrode.used", "electrode.sole_connection"),
        "One answer says that the electrode conductor goes on to an electrode of another kind, but no other kind is "
        "listed.",
        _goes_on_to_none,
    ),
    Contradiction(
        "joined_and_not_supplemented",
        (
            "electrode.available",
            "electrode.used",
            "electrode.joined_to_building_system",
            "electrode.supplemented",
        ),
        "If the water pipe is joined to an electrode of another kind, that electrode supplements the pipe.",
        _joined_and_not_supplemented,
    ),
    Contradiction(
        "supplemented_by_nothing",
        ("electrode.available", "electrode.supplemented"),
        "A water pipe is supplemented by an electrode of another kind, but no other kind is listed. List that one too.",
        _supplemented_by_nothing,
    ),
)
ELECTRODES_NOT_THERE: tuple[Contradiction, ...] = (
    Contradiction(
        "electrode_used_and_not_there",
        ("electrode.available", "electrode.used"),
        "The electrode in use is not among the electrodes found at the building.",
        _used_and_not_there,
    ),
    Contradiction(
        "ring_that_is_not_there",
        ("electrode.available", "electrode.ring_size"),
        "No ground ring was found at the building, yet the size of one is given.",
        _ring_that_is_not_there,
    ),
)
