"""Runs that end in one enclosure by one answer, and in two by another."""

from collections.abc import Callable
from operator import attrgetter

from engine.job import Job
from engine.job.runs import FURTHER, OF_A_FURTHER_RUN
from engine.judging.contradictions.entry import Contradiction, any_of


def _runs_together_and_apart(job: Job) -> tuple[str, ...]:
    """The paths of runs whose device is behind the first run's door and, by another answer, not even beside it."""
    return tuple(
        f"{FURTHER}.{number}.{name}"
        for number, run in enumerate(job.secondary.further_runs)
        if run.in_first_enclosure and run.beside_first_run is False
        for name in OF_A_FURTHER_RUN
    )


def _told_twice_of_one_enclosure(name: str) -> Callable[[Job], tuple[str, ...]]:
    """The paths of runs behind the first run's door, and of both answers where theirs is another one."""
    read = attrgetter(name)

    def among(job: Job) -> tuple[str, ...]:
        first = read(job.secondary)
        told = [
            f"{FURTHER}.{number}"
            for number, run in enumerate(job.secondary.further_runs)
            if run.in_first_enclosure and None not in (first, read(run)) and read(run) != first
        ]
        named = (path for run in told for path in (f"{run}.in_first_enclosure", f"{run}.{name}"))
        return (f"secondary.{name}", *named) if told else ()

    return among


def _boards_in_one_enclosure(job: Job) -> tuple[str, ...]:
    """The paths of runs behind the first run's door, and of the answers that make one of them a switchboard alone."""
    first = (job.secondary.panelboard.present, job.observations.supplies_switchboard)
    panelboard, switchboard = "panelboard.present", "observations.supplies_switchboard"
    named: list[str] = []
    for number, run in enumerate(job.secondary.further_runs):
        own = (run.panelboard.present, run.observations.supplies_switchboard)
        where = f"{FURTHER}.{number}"
        if run.in_first_enclosure and first[0] and own[1]:
            named += [f"{where}.in_first_enclosure", f"secondary.{panelboard}"]
            named.append(f"{where}.{switchboard}")
        if run.in_first_enclosure and first[1] and own[0]:
            named += [f"{where}.in_first_enclosure", switchboard, f"{where}.{panelboard}"]
    return tuple(dict.fromkeys(named))


_TWO_RATINGS = "the two runs give different ratings for what is in it. If they are two panelboards, enter two enclosures."
RUNS_IN_ONE_ENCLOSURE: tuple[Contradiction, ...] = (
    Contradiction(
        "together_and_apart",
        tuple(f"{FURTHER}.0.{name}" for name in OF_A_FURTHER_RUN),
        "One answer says that this run's device is behind the same door as the first run's; the other says that the "
        "two are not in one location.",
        any_of(_runs_together_and_apart),
        _runs_together_and_apart,
        of_all_runs=True,
    ),
    *(
        Contradiction(
            f"one_enclosure_of_two_{of}",
            (f"secondary.{name}", f"{FURTHER}.0.in_first_enclosure"),
            f"One answer says that this run ends in the same enclosure as run 1, but {why}",
            any_of(_told_twice_of_one_enclosure(name)),
            _told_twice_of_one_enclosure(name),
            of_all_runs=True,
        )
        for of, name, why in (
            ("bus_ratings", "panelboard.rating", _TWO_RATINGS),
            ("short_circuit_ratings", "panelboard.short_circuit_kiloamperes", _TWO_RATINGS),
            (
                "counts_of_poles",
                "panelboard.at_most_42_poles",
                "by one of the two it has 42 poles or fewer, by the other it has more. Count its poles again. If they "
                "are two panelboards, enter two enclosures.",
            ),
            (
                "places",
                "first_disconnect_separate",
                "by one of the two it is built into the transformer's case, by the other it is an enclosure of its own.",
            ),
        )
    ),
    Contradiction(
        "one_enclosure_of_two_boards",
        (
            "secondary.panelboard.present",
            "observations.supplies_switchboard",
            f"{FURTHER}.0.in_first_enclosure",
        ),
        "One answer says that this run ends in the same enclosure as the first run; but one of them ends at a panelboard, "
        "the other at a switchboard.",
        any_of(_boards_in_one_enclosure),
        _boards_in_one_enclosure,
        of_all_runs=True,
    ),
)
