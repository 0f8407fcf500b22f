"""Conductors: how many, of which insulation and metal, and the lugs that they land on."""

from collections.abc import Callable

from engine.code.limits import HIGHEST_TERMINAL_COLUMN
from engine.job import Job
from engine.job.runs import FURTHER, job_of_run, path_in_run, run_count
from engine.judging.contradictions.entry import SIDES, Contradiction, any_of, conductors_of

_LUGS = "observations.lugs_marked_for_metal"


def _has_aluminum(job: Job, number: int) -> bool:
    """Whether aluminum is on record among what lands on the lugs of a run, or of the transformer for all of them."""
    run, bonding = job_of_run(job, number), job.bonding
    return "aluminum" in (
        run.primary.conductors.material,
        run.primary.equipment_grounding.material,
        run.secondary.conductors.material,
        run.secondary.grounded_conductor.material,
        run.bonding.supply_side_bonding_jumper.material,
        bonding.system_bonding_jumper.material,
        bonding.water_pipe_bond.material,
        bonding.structural_steel_bond.material,
        job.electrode.conductor.material,
        job.electrode.common_conductor_material,
    )


def _lugs_marked_and_not(job: Job) -> tuple[str, ...]:
    """The answers of runs about the mark on lugs where one without aluminum says no, and one with aluminum says yes."""
    if not job.secondary.further_runs:
        return ()
    answers = [
        (path_in_run(_LUGS, number), job_of_run(job, number).observations.lugs_marked_for_metal)
        for number in range(run_count(job))
    ]
    unmarked = [
        path
        for number, (path, answer) in enumerate(answers)
        if answer is False and not _has_aluminum(job, number)
    ]
    marked = [
        path
        for number, (path, answer) in enumerate(answers)
        if answer and _has_aluminum(job, number)
    ]
    return (*unmarked, *marked) if unmarked and marked else ()


def _sets_that_differ_from_themselves(job: Job) -> bool:
    return (
        job.observations.parallel_sets_alike is False
        and job.primary.conductors.sets == 1
        and job.secondary.conductors.sets == 1
    )


def _runs_that_differ_from_themselves(job: Job) -> tuple[str, ...]:
    """The paths of runs beside the first that have one set by one answer, and sets that differ by the other."""
    if job.primary.conductors.sets == 1:
        # The entry for one run has them.
        return ()
    return tuple(
        f"{FURTHER}.{number}.{name}"
        for number, run in enumerate(job.secondary.further_runs)
        if run.observations.parallel_sets_alike is False and run.conductors.sets == 1
        for name in ("conductors.sets", "observations.parallel_sets_alike")
    )


# Types with thermoplastic insulation; none of them is made for 2000 V, which RHH, RHW, RHW-2 and XHHW types are: from
# memory, UL 83 and UL 44.
NEVER_2000_VOLTS = ("THHN", "THWN", "THWN-2", "THW", "THW-2", "THHW", "TW")


def more_raceways_than_sets(side: str) -> Callable[[Job], bool]:
    """Whether the sets of a side are said to be divided among more raceways than there are sets. Section: none."""

    def found(job: Job) -> bool:
        conductors = conductors_of(job, side)
        sets, raceways = conductors.sets, conductors.raceways
        return sets is not None and raceways is not None and raceways > sets

    return found


def _several_grounded_beside_one_set(job: Job) -> bool:
    """Several grounded conductors beside one set are lawful from 1/0 AWG, and so rare that the count is asked again."""
    grounded = job.secondary.grounded_conductor
    return job.secondary.conductors.sets == 1 and grounded.sets not in (None, 1)


def _never_for_2000_volts(job: Job, side: str) -> tuple[str, ...]:
    """The paths of the insulations of a side that are never made for 2000 V."""
    insulations = {f"{side}.conductors.insulation": conductors_of(job, side).insulation}
    if side == "secondary":
        grounded = job.secondary.grounded_conductor
        insulations["secondary.grounded_conductor.insulation"] = grounded.insulation
    return tuple(path for path, type_ in insulations.items() if type_ in NEVER_2000_VOLTS)


def among_insulations(side: str) -> Callable[[Job], tuple[str, ...]]:
    """The paths of a side that are at odds over 2000 V: the printed voltage and those types. Unit: none. Section: none."""
    return lambda job: (
        f"{side}.conductors.insulation_volts",
        *_never_for_2000_volts(job, side),
    )


def not_made_for_2000_volts(side: str) -> Callable[[Job], bool]:
    """Whether the lowest voltage printed on all conductors [V] is one that a type among them is never made for."""
    return lambda job: (
        conductors_of(job, side).insulation_volts == 2000 and bool(_never_for_2000_volts(job, side))
    )


def _lugs_marked_for_less(side: str) -> Callable[[Job], bool]:
    """Whether the transformer's lugs are marked [°C] below the lowest mark said to be at the run's terminals."""

    def found(job: Job) -> bool:
        plate = job.transformer
        primary = side == "primary"
        lugs = plate.primary_terminal_celsius if primary else plate.secondary_terminal_celsius
        lowest = conductors_of(job, side).termination_celsius
        # Kept conductors may end at lugs unlike the old ones: there the lower mark counts, and a check says so.
        return (
            job.purpose != "replacement"
            and lugs is not None
            and lowest is not None
            and lugs < min(lowest, HIGHEST_TERMINAL_COLUMN)
        )

    return found


SEVERAL_GROUNDED_BESIDE_ONE_SET: tuple[Contradiction, ...] = (
    Contradiction(
        "several_grounded_beside_one_set",
        ("secondary.conductors.sets", "secondary.grounded_conductor.sets"),
        "Two or more grounded conductors are recorded with one set of phase conductors. Count both again. A doubled "
        "neutral beside one set is beyond this tool.",
        _several_grounded_beside_one_set,
    ),
)
LUGS_MARKED_AND_NOT: tuple[Contradiction, ...] = (
    Contradiction(
        "lugs_marked_and_not",
        (_LUGS, "secondary.conductors.material"),
        "One run's answer says that lugs are not marked for the metal; another run's answer says that they are. Both "
        "runs land on the transformer's lugs. Read the marking on all of them again.",
        any_of(_lugs_marked_and_not),
        _lugs_marked_and_not,
        of_all_runs=True,
    ),
)
LUGS_MARKED_FOR_LESS = tuple(
    Contradiction(
        f"{side}_lugs_marked_for_less",
        (f"transformer.{side}_terminal_celsius", f"{side}.conductors.termination_celsius"),
        "The transformer's lugs have a lower temperature marking than the lowest terminal entered for this run. "
        "The lugs are terminals of this run too.",
        _lugs_marked_for_less(side),
    )
    for side in SIDES
)
SETS_THAT_DIFFER: tuple[Contradiction, ...] = (
    Contradiction(
        "sets_that_differ_from_themselves",
        (
            *("primary.conductors.sets", "secondary.conductors.sets"),
            "observations.parallel_sets_alike",
        ),
        "One answer says that the parallel sets differ; the others say that each side has a single set.",
        _sets_that_differ_from_themselves,
    ),
    Contradiction(
        "run_that_differs_from_itself",
        ("secondary.conductors.sets", "observations.parallel_sets_alike"),
        "One answer says that the parallel sets of this run differ; the other says that it has a single set.",
        any_of(_runs_that_differ_from_themselves),
        _runs_that_differ_from_themselves,
        of_all_runs=True,
    ),
)
