"""One job read under one edition: what every rule is given."""

from collections.abc import Callable
from typing import Any, TypeVar

from engine.code import Code
from engine.job import Job
from engine.missing import Missing, need

T = TypeVar("T")


class Site:
    """A job and the edition's code, with a memory of what was already worked out.

    A Site is never changed: `knowing` makes another one. `supposed` is true for a site that fills in what was not read
    (`engine.suppose`); no verdict may then be judged (`engine.verdicts` refuses). `doubted` names the facts that
    contradict each other (`engine.contradictions`): the job holds none of them any more.
    """

    __slots__ = ("_memory", "_tried", "code", "doubted", "job")
    supposed = False

    def __init__(self, job: Job, code: Code, doubted: frozenset[str] = frozenset()) -> None:
        self.job = job
        self.code = code
        self.doubted = doubted
        self._memory: dict[Any, Any] = {}
        self._tried: dict[tuple[str, str, Any], Site] = {}

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
    """A copy of the record with the field at the dotted path replaced."""
    head, _, rest = path.partition(".")
    if rest:
        value = with_fact(getattr(job, head), rest, value)
    return job.but({head: value})


def once(work: Callable[[Site], T]) -> Callable[[Site], T]:
    """Work something out once a site, however many rules ask for it; a missing fact is remembered too."""

    def remembered(site: Site) -> T:
        return site.recall(work)

    remembered.__name__ = work.__name__
    remembered.__doc__ = work.__doc__
    remembered.__module__ = work.__module__
    return remembered
