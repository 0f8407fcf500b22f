"""Indoors and outdoors, wet and dry, open and enclosed."""

from collections.abc import Callable

from engine.code import code_for
from engine.job import Job
from engine.judging.contradictions.entry import SIDES, Contradiction, conductors_of


def _dry_at_an_outdoor_transformer(side: str) -> Callable[[Job], bool]:
    """Whether a run is called dry though it begins outdoors, and its insulation is another one where it is wet."""

    def found(job: Job) -> bool:
        run = conductors_of(job, side)
        insulations = [run.insulation]
        if side == "secondary":
            insulations.append(job.secondary.grounded_conductor.insulation)
        code = code_for(job.edition)
        return (
            job.transformer.location == "outdoors"
            and run.wet_location is False
            and any(
                code.insulation_column(each, True) != code.insulation_column(each, False)
                for each in insulations
                if each is not None
            )
        )

    return found


def _dry_by_the_outside_rule(job: Job) -> bool:
    secondary = job.secondary
    return secondary.rule == "outside" and secondary.conductors.wet_location is False


def _totally_enclosed_and_open(job: Job) -> bool:
    return (
        job.transformer.enclosure == "totally_enclosed"
        and job.observations.completely_enclosed_except_vents is False
    )


DRY_AT_AN_OUTDOOR_TRANSFORMER = tuple(
    Contradiction(
        f"dry_{side}_run_outdoors",
        ("transformer.location", f"{side}.conductors.wet_location"),
        "The run begins at the transformer, which is outdoors: a raceway there is wet inside.",
        _dry_at_an_outdoor_transformer(side),
    )
    for side in SIDES
)
ENCLOSED_AND_OPEN: tuple[Contradiction, ...] = (
    Contradiction(
        "totally_enclosed_and_open",
        ("transformer.enclosure", "observations.completely_enclosed_except_vents"),
        "A totally enclosed transformer can't have openings other than its vents.",
        _totally_enclosed_and_open,
    ),
)
DRY_BY_THE_OUTSIDE_RULE: tuple[Contradiction, ...] = (
    Contradiction(
        "dry_by_the_outside_rule",
        ("secondary.rule", "secondary.conductors.wet_location"),
        "The outside rule is for conductors outdoors, and a run outdoors is in a wet location.",
        _dry_by_the_outside_rule,
    ),
)
