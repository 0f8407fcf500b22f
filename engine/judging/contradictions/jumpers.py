"""The system bonding jumper against the electrode and against the ends of the runs."""

from engine.job import Job
from engine.job.runs import job_of_run, run_count
from engine.judging.contradictions.entry import Contradiction, any_of


def _both_jumpers_around_no_path(job: Job) -> bool:
    """Whether metal of the electrode at the source leads to the building, where the second jumper is.

    Indoors two jumpers are wrong whatever joins them, so nothing is in doubt there.
    """
    electrode = job.electrode
    return (
        job.transformer.location != "indoors"
        and job.bonding.system_bonding_jumper.location == "both"
        and bool(job.observations.no_parallel_neutral_path)
        and electrode.connected_at == "source"
        and electrode.used in ("building_steel", "water_pipe")
    )


def _no_device_for_the_jumper(job: Job) -> bool:
    """Whether nothing at the end of any run could be the first disconnect that the jumper is said to be in."""
    runs = [job_of_run(job, number) for number in range(run_count(job))]
    return job.bonding.system_bonding_jumper.location == "first_disconnect" and all(
        run.secondary.protection.kind == "main_lugs_only"
        and run.secondary.panelboard.present is False
        and not run.observations.supplies_switchboard
        for run in runs
    )


def _no_jumper_in_the_only_enclosure(job: Job) -> tuple[str, ...]:
    """The answers that leave one first disconnect, say that the jumper is there, and that none is in it."""
    jumper, protection = job.bonding.system_bonding_jumper, job.secondary.protection
    if jumper.location not in ("first_disconnect", "both") or jumper.in_each_enclosure is not False:
        return ()
    if job.secondary.further_runs or protection.kind is None:
        return ()
    named = (
        "bonding.system_bonding_jumper.location",
        "bonding.system_bonding_jumper.in_each_enclosure",
        "secondary.protection.kind",
    )
    if protection.kind != "grouped_devices":
        return named
    return (*named, "secondary.protection.one_enclosure") if protection.one_enclosure else ()


JUMPERS_AROUND_NO_PATH: tuple[Contradiction, ...] = (
    Contradiction(
        "both_jumpers_around_no_path",
        (
            "bonding.system_bonding_jumper.location",
            "observations.no_parallel_neutral_path",
            "electrode.connected_at",
            "electrode.used",
        ),
        "The transformer is connected to the building's steel or water pipe: that metal is a path between the two "
        "jumpers, in parallel with the neutral.",
        _both_jumpers_around_no_path,
    ),
)
NO_DEVICE_FOR_THE_JUMPER: tuple[Contradiction, ...] = (
    Contradiction(
        "no_jumper_in_the_only_enclosure",
        (
            "bonding.system_bonding_jumper.location",
            "bonding.system_bonding_jumper.in_each_enclosure",
            "secondary.protection.kind",
            "secondary.protection.one_enclosure",
        ),
        "The jumper is entered at the first disconnect, yet the only first disconnect is recorded as having none. Look "
        "again: without a jumper a ground fault opens nothing.",
        any_of(_no_jumper_in_the_only_enclosure),
        _no_jumper_in_the_only_enclosure,
        of_all_runs=True,
    ),
    Contradiction(
        "no_device_for_the_jumper",
        (
            "bonding.system_bonding_jumper.location",
            "secondary.protection.kind",
            "secondary.panelboard.present",
        ),
        "The jumper is entered at the first disconnect, but the conductors end at no device, panelboard or "
        "switchboard. Enter what they end at. If there is none of these, the jumper is at the transformer.",
        _no_device_for_the_jumper,
        of_all_runs=True,
    ),
)
