"""Facts that cannot all be true: the one place that knows them.

Each entry names its facts, says in words why they cannot all be true, and tests for it. It is tested on known facts
alone, so an unknown one contradicts nothing. What is contradicted is taken out of the job before anything is judged:
no verdict rests on either side, and the result names both.
"""

from collections.abc import Callable, Collection, Sequence
from typing import Any, NamedTuple

from pydantic import ConfigDict

from engine.code import code_for
from engine.code.electrodes import has_limit, others_ask_for_no_more
from engine.job import NAMEPLATE, Job, Transformer
from engine.missing import Missing
from engine.physics.full_load_current import full_load_current
from engine.physics.neutral_point import line_to_neutral_volts, neutral_misfit
from engine.site import with_fact


class Contradiction(NamedTuple):
    """Facts by their paths that cannot all be true, why in words, and the test for it on a job."""

    id: str
    paths: tuple[str, ...]
    why: str
    found: Callable[[Job], bool]


def _sole_and_joined(job: Job) -> bool:
    electrode = job.electrode
    # Building steel and the water pipe have no such limit; nor does it matter where no other electrode asks for more.
    return bool(
        has_limit(electrode.used)
        and electrode.sole_connection
        and electrode.joined_to_building_system
        and not others_ask_for_no_more(electrode.used, electrode.available)
    )


# Printed currents are rounded, and those of small units coarsely; a misread kVA is a step of the usual ratings
# away, which is more than this: common practice, no source.
PRINTED_CURRENT_RATIO = 1.1


def _printed_current(side: str) -> Callable[[Job], bool]:
    """Whether the printed current [A] of a side is far from what kVA and voltage give; rounding and taps are not far."""

    def found(job: Job) -> bool:
        plate = job.transformer
        primary = side == "primary"
        printed = plate.nameplate_primary_amperes if primary else plate.nameplate_secondary_amperes
        if printed is None:
            return False
        line_volts = plate.primary_volts if primary else plate.secondary_volts
        worked_out = full_load_current(kva=plate.kva, volts=line_volts, phases=plate.phases)
        return not (
            worked_out / PRINTED_CURRENT_RATIO <= printed <= worked_out * PRINTED_CURRENT_RATIO
        )

    return found


def _dry_at_an_outdoor_transformer(side: str) -> Callable[[Job], bool]:
    """Whether a run is called dry though it begins outdoors, and its insulation is another one where it is wet."""

    def found(job: Job) -> bool:
        run = job.primary.conductors if side == "primary" else job.secondary.conductors
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


# Readings one after another, of a supply that moves, by a meter that is 1 % off: common practice, no source.
READING_SHARE = 0.03
# What is farther off its nominal value speaks for itself: the line of that reading says that it is a danger.
PLAUSIBLE_SHARE = 0.10


def _near(readings: Sequence[float], nominal: Sequence[float]) -> bool:
    """Whether readings are as many as their nominal values, and each near its own [V]."""
    return len(readings) == len(nominal) and all(
        abs(reading - value) <= PLAUSIBLE_SHARE * value
        for reading, value in zip(sorted(readings), nominal, strict=True)
    )


def _no_place_for_the_neutral(job: Job) -> bool:
    line, phases = job.transformer.secondary_volts, job.transformer.phases
    between = job.readings.line_to_line_volts or []
    to_neutral = job.readings.line_to_neutral_volts or []
    nominal = line_to_neutral_volts(job.transformer.secondary_system or "", line)
    if not nominal or not _near(to_neutral, nominal):
        return False
    if not _near(between, (line,) * (1 if phases == 1 else 3)):
        return False
    return neutral_misfit(between, to_neutral) > READING_SHARE * max(nominal)


CONTRADICTIONS: tuple[Contradiction, ...] = (
    Contradiction(
        "sole_and_joined",
        ("electrode.sole_connection", "electrode.joined_to_building_system"),
        "A conductor whose only connection is this electrode does not join it to the building's other electrodes.",
        _sole_and_joined,
    ),
    Contradiction(
        "no_place_for_the_neutral",
        ("readings.line_to_line_volts", "readings.line_to_neutral_volts"),
        "No neutral can stand at these voltages from lines with these voltages between them. One was read wrong, or "
        "they were not read at the same time.",
        _no_place_for_the_neutral,
    ),
    *(
        Contradiction(
            f"dry_{side}_run_outdoors",
            ("transformer.location", f"{side}.conductors.wet_location"),
            "The run begins at the transformer, which is outdoors: a raceway there is wet inside.",
            _dry_at_an_outdoor_transformer(side),
        )
        for side in ("primary", "secondary")
    ),
    *(
        Contradiction(
            f"printed_{side}_current",
            (
                *("transformer.kva", "transformer.phases", f"transformer.{side}_volts"),
                f"transformer.nameplate_{side}_amperes",
            ),
            "The printed current does not follow from kVA, phases and voltage. One of them was misread, and every limit "
            "rests on them.",
            _printed_current(side),
        )
        for side in ("primary", "secondary")
    ),
)


def contradictions(job: Job) -> tuple[Contradiction, ...]:
    """The entries that this job runs into. Unit: none. Section: none; geometry, counting, and what words mean."""
    return tuple(entry for entry in CONTRADICTIONS if entry.found(job))


def doubted_by(found: Collection[Contradiction]) -> frozenset[str]:
    """The paths of all facts that are contradicted. Unit: none. Section: none."""
    return frozenset(path for entry in found for path in entry.paths)


class DoubtfulNameplate(Transformer):
    """A nameplate of which a figure that no job lacks is contradicted: reading that figure raises Missing."""

    # It has no fields of its own whose texts would have to be read from the source.
    model_config = ConfigDict(use_attribute_docstrings=False)

    def __getattr__(self, name: str) -> Any:
        path = f"transformer.{name}"
        if path in NAMEPLATE:
            raise Missing(path)
        raise AttributeError(name)


def without_doubted(job: Job, paths: Collection[str]) -> Job:
    """The job without the facts at these paths: to a rule they are as unknown as what nobody read.

    Unit: none. Section: the contract, what is unknown never passes.
    """
    for path in paths:
        if path not in NAMEPLATE:
            job = with_fact(job, path, None)
    doubted = {path.partition(".")[2] for path in paths if path in NAMEPLATE}
    if not doubted:
        return job
    kept = {name: value for name, value in job.transformer.__dict__.items() if name not in doubted}
    return job.but({"transformer": DoubtfulNameplate.model_construct(**kept)})
