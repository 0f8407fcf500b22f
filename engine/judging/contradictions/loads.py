"""The load on the primary against the loads of all secondary runs."""

from engine.job import Job, Load
from engine.job.runs import path_in_run
from engine.judging.contradictions.entry import SIDES, Contradiction

# One transformer has one calculated load. Rounding, and a voltage ratio by the taps, explain a few percent; losses only
# add to the primary: common practice, no source.
LEAST_OF_THE_LOAD_SEEN = 0.95


def _total(load: Load) -> float | None:
    if load.continuous_amperes is None or load.noncontinuous_amperes is None:
        return None
    return load.continuous_amperes + load.noncontinuous_amperes


def _loads(job: Job) -> list[Load]:
    return [job.secondary.load, *(run.load for run in job.secondary.further_runs)]


def _among_loads(job: Job) -> tuple[str, ...]:
    parts = ("continuous_amperes", "noncontinuous_amperes")
    paths = [f"primary.load.{part}" for part in parts]
    for number, load in enumerate(_loads(job)):
        if _total(load) is not None:
            paths += [path_in_run(f"secondary.load.{part}", number) for part in parts]
    return tuple(paths)


def _on_the_primary(job: Job, secondary: float) -> float:
    """A secondary current, divided by the voltage ratio [A]."""
    return secondary * job.transformer.secondary_volts / job.transformer.primary_volts


def _load_vanishes(job: Job) -> bool:
    """The primary carries what the secondary carries, divided by the voltage ratio [A], and the losses."""
    primary = _total(job.primary.load)
    known = [total for total in map(_total, _loads(job)) if total is not None]
    if primary is None or not known:
        return False
    # A run whose load is not known only adds to it.
    seen = _on_the_primary(job, sum(known))
    return seen > 1 and primary < LEAST_OF_THE_LOAD_SEEN * seen


# Currents are entered in whole amperes; a difference of one [A] is rounding: common practice, no source.
_ROUNDED = 1.0


def _among_continuous(job: Job) -> tuple[str, ...]:
    part = "load.continuous_amperes"
    known = [n for n, load in enumerate(_loads(job)) if load.continuous_amperes is not None]
    return (f"primary.{part}", *(path_in_run(f"secondary.{part}", number) for number in known))


def _continuous_load_vanishes(job: Job) -> bool:
    """What is continuous on the secondary is continuous on the primary too [A]."""
    primary = job.primary.load.continuous_amperes
    if primary is None:
        return False
    # A run whose load is not known only adds to it.
    seen = _on_the_primary(job, sum(load.continuous_amperes or 0.0 for load in _loads(job)))
    return primary < LEAST_OF_THE_LOAD_SEEN * seen and primary < seen - _ROUNDED


# The primary may be entered at its largest and the secondary as measured; by less than this share the two do not name
# the same load: common practice, no source.
_LEAST_OF_THE_CONTINUOUS_LOAD = 0.25


def _continuous_on_the_primary_alone(job: Job) -> bool:
    """What is continuous on the primary goes to some run; of all runs it must be known how much they have [A]."""
    primary = job.primary.load.continuous_amperes
    known = [load.continuous_amperes for load in _loads(job)]
    if primary is None or primary <= _ROUNDED or None in known:
        return False
    seen = _on_the_primary(job, sum(amount or 0.0 for amount in known))
    return seen < _LEAST_OF_THE_CONTINUOUS_LOAD * primary


LOADS: tuple[Contradiction, ...] = (
    Contradiction(
        "load_vanishes",
        tuple(
            f"{side}.load.{part}_amperes"
            for side in SIDES
            for part in ("continuous", "noncontinuous")
        ),
        "The primary must carry the secondary load divided by the voltage ratio. The primary load entered is less than that.",
        _load_vanishes,
        _among_loads,
        of_all_runs=True,
    ),
    Contradiction(
        "continuous_load_vanishes",
        ("primary.load.continuous_amperes", "secondary.load.continuous_amperes"),
        "The continuous load of the secondary, divided by primary volts over secondary volts, is continuous on the "
        "primary too. The continuous load entered for the primary is less than that. Check both.",
        _continuous_load_vanishes,
        _among_continuous,
        of_all_runs=True,
    ),
    Contradiction(
        "continuous_on_the_primary_alone",
        ("primary.load.continuous_amperes", "secondary.load.continuous_amperes"),
        "The continuous load entered for the primary is more than four times that of all secondary runs together, "
        "divided by primary volts over secondary volts. They are the same load. Check both.",
        _continuous_on_the_primary_alone,
        _among_continuous,
        of_all_runs=True,
    ),
)
