"""What became of a rule: on one secondary run, and on all of them together."""

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from typing import NamedTuple

from engine.job.runs import FURTHER, is_of_run, named_by_run, path_in_run, run_name
from engine.judging.verdicts import BY_HARM, Finding, Severity, Verdict, worded
from engine.rules.rule import Rule


class Judged(NamedTuple):
    """A finding with the unknowns behind it: those it survived, and those that would settle it."""

    finding: Finding
    missing: tuple[str, ...] = ()
    even_if: tuple[str, ...] = ()


class Outcome(NamedTuple):
    """A verdict and how much harm lies in it, without words.

    `told_unasked`: it can't be told by an answer on record, so that a visit tells it that does not ask about it.
    """

    verdict: Verdict
    severity: Severity
    told_unasked: bool = False


_WORST_FIRST: tuple[Verdict, ...] = ("does_not_meet", "cannot_tell", "meets", "does_not_apply")


@cache
def _asks_of_a_run(asks: tuple[str, ...]) -> bool:
    return any(is_of_run(path) for path in asks)


def is_judged_by_run(rule: Rule) -> bool:
    """Whether a rule is held to each secondary run by itself. Unit: none. Section: none."""
    return rule.all_runs is None and _asks_of_a_run(rule.asks)


def asked_in_runs(rule: Rule, count: int) -> tuple[str, ...]:
    """The paths that a rule asks for in a job with so many runs, those of the first run first. Unit: none. Section: none."""
    paths = [*rule.asks]
    own = rule.all_runs or ()
    for number in range(1, count):
        paths += [path_in_run(path, number) for path in rule.asks if is_of_run(path)]
        paths += [f"{FURTHER}.{number - 1}.{name}" for name in own]
    return tuple(dict.fromkeys(paths))


def _worst_verdict(verdicts: Sequence[Verdict]) -> Verdict:
    return min(verdicts, key=_WORST_FIRST.index)


def worst(outcomes: Sequence[Outcome]) -> Outcome:
    """The outcome of all runs: the worst verdict, with the most harm of those that have it. Unit: none. Section: none."""
    verdict = _worst_verdict([outcome.verdict for outcome in outcomes])
    severities = [outcome.severity for outcome in outcomes if outcome.verdict == verdict]
    told_unasked = verdict == "cannot_tell" and any(each.told_unasked for each in outcomes)
    return Outcome(verdict, next(each for each in BY_HARM if each in severities), told_unasked)


def together(runs: Sequence[Judged], usual: Severity) -> Judged:
    """What all runs come to: the worst verdict, in words that name the run; `usual` is the rule's own severity.

    Unit: none. Section: that of the worst.
    """
    missing = tuple(
        dict.fromkeys(
            path_in_run(p, number) for number, run in enumerate(runs) for p in run.missing
        )
    )
    first = runs[0]
    if all(run.finding == first.finding and run.even_if == first.even_if for run in runs):
        return first._replace(missing=missing)
    findings = [run.finding for run in runs]
    verdict = _worst_verdict([finding.verdict for finding in findings])
    of_all = [*enumerate(findings)]
    decisive = [(number, f) for number, f in of_all if f.verdict == verdict]
    said = [(number, f) for number, f in of_all if f.verdict in (verdict, "cannot_tell")]
    gravest = min((f for _, f in decisive), key=lambda f: BY_HARM.index(f.severity or usual))
    finding = gravest._replace(
        required=_by_run(of_all, lambda f: f.required),
        found=_by_run(of_all, _found),
        reason=_named((number, f.reason) for number, f in said),
        remedy=_named((number, worded(f)) for number, f in decisive),
        margin=min(f.margin for _, f in decisive),
        steps=_steps(findings),
    )
    survived = named_by_run(run.even_if if run.finding.verdict == verdict else () for run in runs)
    return Judged(finding, missing if verdict == "cannot_tell" else (), tuple(survived))


def _found(finding: Finding) -> str:
    return finding.found or ("not known" if finding.verdict == "cannot_tell" else "")


def _grouped(words: Iterable[tuple[int, str]]) -> dict[str, str]:
    """What is said of the runs, each text with the names of the runs that it is said of."""
    runs: dict[str, list[str]] = {}
    for number, text in words:
        if text:
            runs.setdefault(text, []).append(run_name(number))
    return {text: " and ".join(named) for text, named in runs.items()}


def _named(words: Iterable[tuple[int, str]]) -> str:
    """What is said of each run, as sentences under the names of the runs."""
    return " ".join(f"{runs}: {text}" for text, runs in _grouped(words).items())


def _by_run(findings: Sequence[tuple[int, Finding]], read: Callable[[Finding], str]) -> str:
    """As `_named`, in parts of one line; without names where nothing else is said of any run."""
    grouped = _grouped((number, read(finding)) for number, finding in findings)
    if len(grouped) == 1:
        return next(iter(grouped))
    return "; ".join(f"{runs}: {text}" for text, runs in grouped.items())


def _steps(findings: Sequence[Finding]) -> tuple[str, ...]:
    """The arithmetic of each run, once where it is that of all."""
    if len({finding.steps for finding in findings}) == 1:
        return findings[0].steps
    return tuple(dict.fromkeys(named_by_run(finding.steps for finding in findings)))
