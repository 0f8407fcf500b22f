"""How a rule is declared: its id, title, citation, severity, the facts it may ask for and the visits that look at it."""

from collections.abc import Callable
from typing import NamedTuple

from engine.code import Code
from engine.job import Job
from engine.job.site import Site
from engine.judging.verdicts import Finding, Severity

# Whether a visit looks at a rule, where that depends on what is on record.
OnRecord = Callable[[Job, Code], bool]


class Rule(NamedTuple):
    """One check of the result; its fields are told at `rule`."""

    id: str
    title: str
    cite: str
    severity: Severity
    group: str
    asks: tuple[str, ...]
    judge: Callable[[Site], Finding]
    changes_between_editions: bool = False
    judge_beside: Callable[[Site], Finding] | None = None
    grounding_visit: bool | OnRecord = False
    all_runs: tuple[str, ...] | None = None

    def for_run(self, number: int) -> "Rule":
        """The rule as a run is held to it, counted from 0. Unit: none. Section: none."""
        if number == 0 or self.judge_beside is None:
            return self
        return self._replace(judge=self.judge_beside)


def rule(
    id_: str,
    *,
    title: str,
    cite: str,
    severity: Severity,
    group: str,
    asks: tuple[str, ...],
    changes_between_editions: bool = False,
    beside: Callable[[Site], Finding] | None = None,
    grounding_visit: bool | OnRecord = False,
    all_runs: tuple[str, ...] | None = None,
) -> Callable[[Callable[[Site], Finding]], Rule]:
    """Declare a rule. `asks` lists every path it may read, in the order in which a person would look.

    `changes_between_editions` has the neighbouring editions tried too, so that a difference can be said. `beside` judges a
    run beside the first by what is its own, where the answer of the first speaks of the primary too.
    `grounding_visit`: whether a visit that confirms the grounding looks at it, always or by what is on record; the other
    visits look at every rule, but for the groups of a replacement and of readings. `all_runs` makes it one question of
    all secondary runs together, and names the facts of a further run itself that it reads.
    Unit: none. Section: none; a declaration.
    """

    def declare(judge: Callable[[Site], Finding]) -> Rule:
        return Rule(
            id_,
            title,
            cite,
            severity,
            group,
            asks,
            judge,
            changes_between_editions,
            beside,
            grounding_visit,
            all_runs,
        )

    return declare
