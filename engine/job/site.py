"""One job read under one edition: what every rule is given."""

from collections.abc import Callable, Iterator
from typing import Any, Self, TypeVar, cast

from engine.code import Code
from engine.job import Job
from engine.job.missing import Missing, need
from engine.job.runs import in_run, job_of_run, path_in_run, run_count

T = TypeVar("T")


class Site:
    """A job and the edition's code, with a memory of what was already worked out.

    A Site is never changed: `knowing` makes another one. `supposed` is true for a site that fills in what was not read
    (`engine.evaluation.suppose`); no verdict may then be judged (`engine.judging.verdicts` refuses). `doubted` names the facts that
    contradict each other (`engine.judging.contradictions`): the job holds none of them any more.
    `has_further_runs`: whether more than one secondary run is fed.
    """

    __slots__ = ("_memory", "_runs", "_tried", "code", "doubted", "has_further_runs", "job")
    supposed = False

    def __init__(self, job: Job, code: Code, doubted: frozenset[str] = frozenset()) -> None:
        self.job = job
        self.code = code
        self.doubted = doubted
        self._memory: dict[Any, Any] = {}
        self._tried: dict[tuple[str, str, Any], Site] = {}
        self._runs: tuple[Self, ...] | None = None
        self.has_further_runs = bool(job.secondary.further_runs)

    def need(self, read: Callable[[Job], T | None]) -> T:
        """The fact itself; raises Missing with its path when nobody has read it yet."""
        value = read(self.job)
        return need(self.job, read) if value is None else value

    def section(self, cite_id: str) -> str:
        """The section number of a rule in this edition, or the words that it is not confirmed."""
        return self.code.cite(cite_id).section

    def knowing(self, path: str, value: Any) -> "Site":
        """The same site with one more fact; made once however many rules try it, with what they worked out there."""
        assert not self.supposed, "what is supposed may not slip into a site that is judged"
        key = (path, type(value).__name__, value)
        site = self._tried.get(key)
        if site is None:
            site = self._tried[key] = Site(
                with_fact(self.job, path, value), self.code, self.doubted
            )
        return site

    @property
    def runs(self) -> tuple[Self, ...]:
        """A site for each secondary run, with that run alone, in the place of the first. Unit: none. Section: none."""
        if not self.has_further_runs:
            return (self,)
        runs = self._runs
        if runs is None:
            runs = self._runs = tuple(
                self._of_run(job_of_run(self.job, number), number)
                for number in range(run_count(self.job))
            )
        return runs

    def _of_run(self, job: Job, number: int) -> Self:
        doubted = frozenset(in_run(self.doubted, number).values())
        return cast("Self", Site(job, self.code, doubted))

    def in_each_run(self, work: Callable[["Site"], T]) -> Iterator[T]:
        """What `work` gives for each run by itself; a missing fact is named by its path in this job.

        Unit: that of the work. Section: that of the work. Raises Missing.
        """
        if not self.has_further_runs:
            yield work(self)
            return
        for number in range(len(self.runs)):
            yield self.of_run(work, number)

    def of_run(self, work: Callable[["Site"], T], number: int) -> T:
        """As `in_each_run`, for one run by its number, counted from 0. Unit: that of the work. Raises Missing."""
        try:
            return work(self.runs[number])
        except Missing as missing:
            path = path_in_run(missing.path, number)
            raise Missing(path, required=missing.required, found=missing.found) from None

    def recall(self, work: Callable[[Any], T]) -> T:
        """What `work` gives here, worked out once however many rules ask; a missing fact is remembered too."""
        memory = self._memory
        if work in memory:
            kept = memory[work]
            if isinstance(kept, Missing):
                raise kept
            return kept
        try:
            result = work(self)
        except Missing as missing:
            memory[work] = missing
            raise
        memory[work] = result
        return result


def with_fact(job: Any, path: str, value: Any) -> Any:
    """A copy of the record with the field at the dotted path replaced; a number names one of a list."""
    head, _, rest = path.partition(".")
    if isinstance(job, list):
        items = [*cast("list[Any]", job)]
        items[int(head)] = with_fact(items[int(head)], rest, value)
        return items
    if rest:
        value = with_fact(getattr(job, head), rest, value)
    return job.model_copy(update={head: value})


def once(work: Callable[[Site], T]) -> Callable[[Site], T]:
    """Work something out once a site, however many rules ask for it; a missing fact is remembered too."""

    def remembered(site: Site) -> T:
        return site.recall(work)

    remembered.__name__ = work.__name__
    remembered.__doc__ = work.__doc__
    remembered.__module__ = work.__module__
    return remembered
