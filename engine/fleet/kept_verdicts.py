"""Verdicts that are kept for the next job of a fleet: each rule's, by the facts that it asks for."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache
from operator import attrgetter, itemgetter
from typing import Any

from engine.code import code_for
from engine.evaluation.judge import outcome_of
from engine.evaluation.judged import Outcome, is_judged_by_run, worst
from engine.evaluation.order import RULES
from engine.fleet.lines import kind_of
from engine.job import NAMEPLATE, Job, Transformer
from engine.job.base import PartRecord
from engine.job.runs import job_of_run, run_count
from engine.job.site import Site
from engine.judging.contradictions.found import without_doubted
from engine.rules.rule import Rule

# In a fleet the same facts come again and again: so many verdicts are kept, some 60 MB at most.
VERDICTS_KEPT = 65536
PLATES_KEPT = 4096
_NOTHING_READ = Job.model_construct(transformer=Transformer.model_construct())


class _Facts:
    """Some facts of a job: `read` as a row that can be looked up again, and `put` into a job that lacks them."""

    def __init__(self, asked: Sequence[str]) -> None:
        # A visit and an edition are of every job; with these two in front it is a row, however few facts are asked for.
        self.paths = ("purpose", "edition", *asked)
        self._read: Callable[[Job], tuple[Any, ...]] = attrgetter(*self.paths)
        self._places = _Places(
            {number: tuple(path.split(".")) for number, path in enumerate(self.paths)}
        )
        # A list cannot be looked up: it is kept as a tuple, and given back as the list it was.
        self._lists = [
            number
            for number, path in enumerate(self.paths)
            if kind_of(path) in ("many", "number_list")
        ]
        self.read = self._read_lists if self._lists else self._read

    def _read_lists(self, job: Job) -> tuple[Any, ...]:
        return self._exchanged(self._read(job), list, tuple)

    def put(self, job: Job, facts: tuple[Any, ...]) -> Job:
        """The job with the facts in their places. Unit: that of each fact. Section: none."""
        return self._places.filled(job, self._exchanged(facts, tuple, list))

    def _exchanged(
        self, facts: tuple[Any, ...], kind: type, other: Callable[[Any], Any]
    ) -> tuple[Any, ...]:
        exchanged = [*facts]
        for number in self._lists:
            if isinstance(exchanged[number], kind):
                exchanged[number] = other(exchanged[number])
        return tuple(exchanged)


_new, _put = object.__new__, object.__setattr__


def _copied(record: PartRecord, facts: dict[str, Any]) -> PartRecord:
    """As `model_copy(update=facts)`, without what that does for models that are not frozen: some seventy copies a job."""
    copy = _new(type(record))
    _put(copy, "__dict__", record.__dict__ | facts)
    _put(copy, "__pydantic_fields_set__", {*record.__pydantic_fields_set__, *facts})
    _put(copy, "__pydantic_extra__", None)
    _put(copy, "__pydantic_private__", None)
    return copy


class _Places:
    """Where facts belong below a record: which of a row of facts goes into which field."""

    def __init__(self, paths: Mapping[int, tuple[str, ...]]) -> None:
        self._here: list[tuple[str, int]] = []
        below: dict[str, dict[int, tuple[str, ...]]] = {}
        for number, (name, *rest) in paths.items():
            if rest:
                below.setdefault(name, {})[number] = tuple(rest)
            else:
                self._here.append((name, number))
        self._below = [(name, _Places(more)) for name, more in below.items()]

    def filled(self, record: PartRecord, facts: Sequence[Any]) -> PartRecord:
        """A copy of the record with the facts in their places. Unit: that of each fact. Section: none."""
        here = {name: facts[number] for name, number in self._here}
        for name, places in self._below:
            here[name] = places.filled(getattr(record, name), facts)
        return _copied(record, here)


@lru_cache(maxsize=1)
def _nameplate() -> _Facts:
    return _Facts(sorted(NAMEPLATE))


@lru_cache(maxsize=PLATES_KEPT)
def _plate(facts: tuple[Any, ...], doubted: frozenset[str]) -> Site:
    job = without_doubted(_nameplate().put(_NOTHING_READ, facts), doubted)
    return Site(job, code_for(job.edition))


def plate_of(job: Job, doubted: frozenset[str]) -> Site:
    """What every rule may read: the edition, and a job of which the nameplate is known, but for what is doubted.

    Unit: none. Section: none.
    """
    return _plate(_nameplate().read(job), doubted)


class KeptVerdicts:
    """A rule's verdicts, each worked out once for the nameplate and the facts it asks for.

    It is given those facts and no others, so that what is kept cannot depend on anything else: a fact that it reads and
    does not ask for is unknown to it.
    """

    def __init__(self, rule: Rule) -> None:
        self.rule = rule
        paths = [path for path in dict.fromkeys(rule.asks) if path not in NAMEPLATE]
        self._facts = _Facts(paths)
        numbers = {path: number for number, path in enumerate(row_of_facts().paths)}
        self._among = itemgetter(*(numbers[path] for path in self._facts.paths))
        beside = rule.for_run(1)
        # Of a run beside the first another verdict is kept where the rule judges it by other facts.
        self.beside: KeptVerdicts = (
            self if beside is rule else KeptVerdicts(beside._replace(judge_beside=None))
        )

    def outcome(self, plate: Site, row: tuple[Any, ...]) -> Outcome:
        """The verdict on a job with this nameplate and row of facts. Unit: none. Section: the rule's own."""
        return _kept_outcome(self, plate, self._among(row))

    def judged(self, plate: Site, facts: tuple[Any, ...]) -> Outcome:
        """The verdict on facts in the order of the paths. Unit: none. Section: the rule's own."""
        return outcome_of(self.rule, Site(self._facts.put(plate.job, facts), plate.code))


@lru_cache(maxsize=1)
def row_of_facts() -> _Facts:
    """All facts that rules ask for, read once a job. Unit: that of each fact. Section: none."""
    return _Facts(sorted({path for rule in RULES for path in rule.asks} - NAMEPLATE))


@lru_cache(maxsize=VERDICTS_KEPT)
def _kept_outcome(asked: KeptVerdicts, plate: Site, facts: tuple[Any, ...]) -> Outcome:
    return asked.judged(plate, facts)


@lru_cache(maxsize=1)
def _asked() -> list[KeptVerdicts]:
    return [KeptVerdicts(rule) for rule in RULES]


def kept_outcomes(read: Job, doubted: frozenset[str]) -> Iterator[tuple[Rule, Outcome]]:
    """Each rule's outcome. What is doubted is as unknown as what nobody read; that it is doubted changes words alone.

    Unit: none. Section: each rule's own.
    """
    on_nameplate = doubted & NAMEPLATE
    plate = plate_of(read, on_nameplate)
    known = without_doubted(read, doubted - on_nameplate)
    if known.secondary.further_runs:
        site = Site(without_doubted(known, on_nameplate), plate.code)
        yield from _outcomes_of_runs(known, plate, site)
        return
    row = row_of_facts().read(known)
    yield from ((each.rule, each.outcome(plate, row)) for each in _asked())


def _outcomes_of_runs(read: Job, plate: Site, site: Site) -> Iterator[tuple[Rule, Outcome]]:
    """Each rule's outcome where several secondary runs are fed: what is kept of one run holds for the same run elsewhere."""
    row = row_of_facts().read(read)
    runs = [row_of_facts().read(job_of_run(read, number)) for number in range(run_count(read))]
    for each in _asked():
        if is_judged_by_run(each.rule):
            yield (
                each.rule,
                worst(
                    [
                        (each.beside if number else each).outcome(plate, run)
                        for number, run in enumerate(runs)
                    ]
                ),
            )
        elif each.rule.all_runs is not None:
            yield each.rule, outcome_of(each.rule, site)
        else:
            yield each.rule, each.outcome(plate, row)
