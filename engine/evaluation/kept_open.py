"""What a visit does not ask about and tells all the same: a check that an answer on record keeps open."""

from collections import deque
from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

from engine.evaluation.judged import Judged
from engine.job import NAMEPLATE
from engine.job.missing import Missing, reader
from engine.job.site import Site
from engine.judging.bounds import possibilities
from engine.judging.verdicts import Finding
from engine.rules.rule import Rule
from engine.wizard.questions import question_at

# The visit that leaves out checks of what may well be on record.
SELECTIVE = "grounding"
# The bad answers among choices; any other tells what kind of thing it is, and nothing bad of it.
BAD_CHOICES = {
    "transformer.enclosure": "open",
    "transformer.construction": "liquid",
    "primary.equipment_grounding.kind": "none",
    "primary.device.rating_basis": "setting_open",
    "secondary.protection.rating_basis": "setting_open",
    "observations.working_space_faces": "live",
}
# How often a rule is tried to find what else, yet unknown, an answer on record would be bad with.
MOST_TRIALS = 60
# More choices than these are sizes or ratings.
_MOST_KINDS = 12
# Some amount, small and large, for one that no question offers choices for and nothing bounds.
_SOME_AMOUNTS = (1.0, 1000.0)


@cache
def answers(path: str) -> tuple[bool | str, ...]:
    """The answers that a fact can have, of which one may be bad; none of amounts and of other choices.

    Unit: none. Section: none.
    """
    question = question_at(path)
    if question is None:
        return ()
    if question["kind"] == "yes_no":
        return (True, False)
    if path not in BAD_CHOICES:
        return ()
    return tuple(choice["value"] for choice in question["choices"])


def is_kept_open(
    rule: Rule, site: Site, paths: tuple[str, ...], judge: Callable[[Rule, Site], Judged]
) -> bool:
    """Whether a requirement that can't be told is so by what was found, and not only by what nobody read.

    Either the rule says so on known facts, or with another answer in place of one on record it would hold or not apply,
    as things are or as they may turn out to be.
    A sound reading proves nothing either; of those the bad ones name their severity themselves. Unit: none. Section: none.
    """
    judged = judge(rule, site)
    finding = judged.finding
    if finding.verdict != "cannot_tell" or (finding.severity or rule.severity) == "advice":
        return False
    if rule.group == "readings":
        return finding.severity is not None
    # A replacement has a visit of its own.
    far = rule.group != "replacement"
    return (
        not judged.missing
        or any(_keeps_open(path, rule, site, {*judged.missing}, judge, far=far) for path in paths)
        or (
            far
            and any(_is_amount_on_record(path, site) for path in paths)
            and _never_holds(rule, site)
        )
    )


def _is_amount_on_record(path: str, site: Site) -> bool:
    """Whether an amount or a size was entered that the visit does not ask for."""
    return _is_unasked_amount(path) and reader(path)(site.job) is not None


@cache
def _is_unasked_amount(path: str) -> bool:
    return (
        question_at(path) is not None
        and path not in NAMEPLATE
        and _is_an_amount(path)
        and not _is_asked(path)
    )


def _never_holds(rule: Rule, site: Site) -> bool:
    """Whether the rule is broken in some turn of what is not known, and met in none of them."""
    is_broken = False
    left = MOST_TRIALS
    sites = [site]
    while sites:
        here = sites.pop()
        found = _judged(rule, here)
        if isinstance(found, str):
            turns = () if _is_an_amount(found) else _turns(found, here)
            left -= len(turns)
            if not turns or left < 0:
                return False
            sites += [here.knowing(found, turn) for turn in turns]
        elif found.verdict == "meets":
            return False
        else:
            is_broken = is_broken or found.verdict == "does_not_meet"
    return is_broken


def _keeps_open(
    path: str,
    rule: Rule,
    site: Site,
    missing: set[str],
    judge: Callable[[Rule, Site], Judged],
    *,
    far: bool,
) -> bool:
    """`far`: whether what is not known is turned too."""
    possible = answers(path)
    found = reader(path)(site.job) if possible else None
    if found is None or found != BAD_CHOICES.get(path, found):
        return False
    for answer in possible:
        if answer == found:
            continue
        other = judge(rule, site.knowing(path, answer))
        if other.finding.verdict in ("meets", "does_not_apply"):
            return True
        # A bad choice may ask what no other one asks; of a yes or no that may be the question that comes before.
        if path in BAD_CHOICES and not missing & {*other.missing}:
            return True
        # What the visit asks of itself has checks of its own there.
        if far and not _is_asked(path) and _is_worse_somehow(path, answer, rule, site):
            return True
    return False


@cache
def _is_asked(path: str) -> bool:
    question = question_at(path)
    return question is not None and SELECTIVE in question["purposes"]


def _is_worse_somehow(path: str, answer: bool | str, rule: Rule, site: Site) -> bool:
    """Whether what is not known may turn out so that the other answer would settle the rule well, and the one found not."""
    left = MOST_TRIALS
    # What is asked first is turned first: it tells most.
    sites = deque([site])
    while sites and left > 0:
        left -= 1
        here = sites.popleft()
        other = _judged(rule, here.knowing(path, answer))
        if isinstance(other, str):
            # Broken by this answer alone, where the other one only waits for more.
            found = _judged(rule, here)
            if not isinstance(found, str) and found.verdict == "does_not_meet":
                return True
            sites += [here.knowing(other, turn) for turn in _turns(other, here)]
            continue
        if other.verdict not in ("meets", "does_not_apply"):
            continue
        found = _judged(rule, here)
        if isinstance(found, str) or found.verdict not in ("meets", "does_not_apply"):
            return True
    return False


@cache
def _is_an_amount(path: str) -> bool:
    """Whether a few turns can't stand for all that an unknown may turn out to be."""
    question = question_at(path)
    return (
        question is None or question["kind"] == "number" or len(question["choices"]) > _MOST_KINDS
    )


def _judged(rule: Rule, site: Site) -> Finding | str:
    """What the rule says, or the path of the fact that it waits for."""
    try:
        return rule.judge(site)
    except Missing as missing:
        return missing.path


def _turns(path: str, site: Site) -> Sequence[Any]:
    """Some of what an unknown may turn out to be: the answers of a yes or no, the choices, an amount small and large."""
    question = question_at(path)
    kind = question["kind"] if question else None
    if kind == "yes_no":
        return (True, False)
    try:
        bounds = possibilities(path, site.job)
    except Missing:
        bounds = None
    if bounds:
        return bounds
    if question is None or kind not in ("choice", "number"):
        return ()
    values = [choice["value"] for choice in question["choices"]]
    if kind == "number":
        return (values[0], values[-1]) if values else _SOME_AMOUNTS
    return values if len(values) <= _MOST_KINDS else (values[0], values[-1])
