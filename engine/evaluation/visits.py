"""Which checks a visit looks at, by its purpose."""

from functools import cache

from engine.code import code_for
from engine.evaluation.order import RULES
from engine.job import Job, Readings
from engine.job.base import unread

NO_READINGS = unread(Readings)
# What a grounding visit looks at once an answer says that it is there.
_BY_RECORD = tuple(
    (rule.id, rule.grounding_visit) for rule in RULES if not isinstance(rule.grounding_visit, bool)
)


def asked_ids(job: Job) -> frozenset[str]:
    """The ids of the checks that the purpose of this visit looks at. Unit: none. Section: none."""
    ids = _asked_ids(job.purpose, job.readings != NO_READINGS)
    if job.purpose != "grounding":
        return ids
    code = code_for(job.edition)
    return ids.union(id_ for id_, on_record in _BY_RECORD if on_record(job, code))


@cache
def _asked_ids(purpose: str, has_readings: bool) -> frozenset[str]:
    if purpose == "grounding":
        return frozenset(rule.id for rule in RULES if rule.grounding_visit is True)
    left_out: set[str] = set() if purpose == "replacement" else {"replacement"}
    if purpose != "replacement" and not has_readings:
        left_out.add("readings")
    return frozenset(rule.id for rule in RULES if rule.group not in left_out)
