"""Judging one rule: as it stands or, with facts missing, under everything that they may turn out to be.

Only here does a missing fact become *can't tell*.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from engine.evaluation.facts import label, shown_at
from engine.evaluation.judged import (
    Judged,
    Outcome,
    asked_in_runs,
    is_judged_by_run,
    together,
    worst,
)
from engine.evaluation.kept_open import SELECTIVE, is_kept_open
from engine.job.missing import Missing
from engine.job.runs import run_count
from engine.job.site import Site
from engine.judging.bounds import possibilities
from engine.judging.verdicts import Finding, Verdict, undetermined, worded
from engine.result.words import SAID
from engine.rules.rule import Rule

MOST_UNKNOWNS = 4
MOST_POSSIBILITIES = 60
# Enough where an answer on record is tried the other way: it is tried for many checks.
FEW_POSSIBILITIES = 8


class _Budget:
    """How many possibilities may still be tried for one check."""

    def __init__(self, left: int) -> None:
        self.left = left


def _by_run(rule: Rule, site: Site) -> list[tuple[Rule, Site]]:
    """The rule as each secondary run is held to it, and that run."""
    return [(rule.for_run(number), run) for number, run in enumerate(site.runs)]


def judge(rule: Rule, site: Site) -> Judged:
    """One check: the rule as it stands, or, with facts missing, under everything that they may turn out to be.

    Where several secondary runs are fed, a rule that reads facts of a run is held to each of them.
    Unit: none. Section: the rule's.
    """
    if site.has_further_runs and is_judged_by_run(rule):
        return together([_judge_one(*each) for each in _by_run(rule, site)], rule.severity)
    return _judge_one(rule, site)


def _judge_one(rule: Rule, site: Site) -> Judged:
    judged = _judge(rule, site, _Budget(MOST_POSSIBILITIES), 0)
    finding = judged.finding
    if isinstance(finding.remedy, str):
        return judged
    return judged._replace(finding=finding._replace(remedy=worded(finding)))


def outcome_of(rule: Rule, site: Site) -> Outcome:
    """The verdict of `judge` alone, without the work of finding what would mend it. Unit: none. Section: the rule's."""
    if site.has_further_runs and is_judged_by_run(rule):
        return worst([outcome_of(*each) for each in _by_run(rule, site)])
    finding = _judge(rule, site, _Budget(MOST_POSSIBILITIES), 0).finding
    verdict = finding.verdict
    return Outcome(verdict, finding.severity or rule.severity, told_unasked(rule, site, verdict))


def _tried_a_little(rule: Rule, site: Site) -> Judged:
    return _judge(rule, site, _Budget(FEW_POSSIBILITIES), 0)


def told_unasked(rule: Rule, site: Site, verdict: Verdict) -> bool:
    """Whether a visit that does not ask about a check tells it: an answer on record keeps it open.

    Unit: none. Section: the rule's.
    """
    if site.job.purpose != SELECTIVE or verdict != "cannot_tell" or rule.grounding_visit is True:
        return False
    if site.has_further_runs and is_judged_by_run(rule):
        return any(
            is_kept_open(own, run, own.asks, _tried_a_little) for own, run in _by_run(rule, site)
        )
    return is_kept_open(rule, site, asked_in_runs(rule, run_count(site.job)), _tried_a_little)


def _judge(rule: Rule, site: Site, budget: _Budget, depth: int) -> Judged:
    try:
        return Judged(rule.judge(site))
    except Missing as missing:
        path, shown_so_far = missing.path, (missing.required, missing.found)
    budget.left -= 1
    options = _options(path, site)
    if not options or depth >= MOST_UNKNOWNS or budget.left < len(options):
        return _cannot_tell(site, (path,), known=shown_so_far)
    outcomes: list[tuple[Any, Judged]] = []
    for option in options:
        outcome = _judge(rule, site.knowing(path, option), budget, depth + 1)
        if outcome.finding.verdict == "cannot_tell":
            paths = tuple(dict.fromkeys((path, *outcome.missing)))
            sites = (site.knowing(path, other) for other in options)
            return _cannot_tell(site, paths, known=_known_under_all(rule, sites, outcome.finding))
        outcomes.append((option, outcome))
        if depth and outcome.finding.verdict != outcomes[0][1].finding.verdict:
            return _cannot_tell(site, (path,))
    verdicts = {outcome.finding.verdict for _, outcome in outcomes}
    if len(verdicts) > 1:
        return _cannot_tell(site, (path,), depends=_depends(path, outcomes))
    option, hardest = min(outcomes, key=lambda pair: pair[1].finding.margin)
    if len(outcomes) == 1:
        return hardest
    known = "contradicted" if path in site.doubted else "not known"
    note = f"{label(path)} {known}; worst case {shown_at(path, option)}"
    return Judged(hardest.finding, (), (note, *hardest.even_if))


def _options(path: str, site: Site) -> Sequence[Any] | None:
    """Everything that the unknown at a path may turn out to be; None without a bound, or where its bound is doubted."""
    try:
        return possibilities(path, site.job)
    except Missing:
        return None


def _known_under_all(rule: Rule, sites: Iterable[Site], finding: Finding) -> tuple[str, str]:
    """What is required and found whichever of the possibilities it is: no possibility is shown as if it had been read."""
    required, found = finding.required, finding.found
    if not (required or found):
        return "", ""
    for site in sites:
        try:
            other = rule.judge(site)
            here = (other.required, other.found)
        except Missing as missing:
            here = (missing.required, missing.found)
        required, found = (
            a if a == b else "" for a, b in zip((required, found), here, strict=True)
        )
        if not (required or found):
            break
    return required, found


def _options_shown(path: str, options: Sequence[Any]) -> str:
    """Answers one after the other; counts that follow one another as a range."""
    if len(options) > 2 and all(type(option) is int for option in options):
        first, last = options[0], options[-1]
        if [*options] == [*range(first, last + 1)]:
            return f"{shown_at(path, first)} to {shown_at(path, last)}"
    # Some answers have a comma of their own.
    return " / ".join(shown_at(path, option) for option in options)


def _depends(path: str, outcomes: list[tuple[Any, Judged]]) -> str:
    by_verdict: dict[str, list[Any]] = {}
    for option, outcome in outcomes:
        by_verdict.setdefault(outcome.finding.verdict, []).append(option)
    if all(isinstance(option, float) for option, _ in outcomes):
        return f"It depends on: {label(path).lower()}."
    parts = [
        f"{_options_shown(path, options)}: {SAID[verdict]}"
        for verdict, options in by_verdict.items()
    ]
    return f"It depends on: {label(path).lower()} ({'; '.join(parts)})."


def _cannot_tell(
    site: Site, paths: tuple[str, ...], *, depends: str = "", known: tuple[str, str] = ("", "")
) -> Judged:
    doubted = [path for path in paths if path in site.doubted]
    unread = [path for path in paths if path not in site.doubted]
    said: list[str] = []
    if doubted:
        said.append(f"Contradicted by another answer: {'; '.join(map(label, doubted))}.")
    if unread:
        said.append(f"Not known yet: {'; '.join(map(label, unread))}.")
    reason = " ".join(said)
    if depends:
        reason = f"{reason} {depends}"
    required, found = known
    return Judged(undetermined(reason, required=required, found=found), paths)
