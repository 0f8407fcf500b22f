"""The only makers of a verdict.

`compare` and `confirm` are the only places that say *meets*; both refuse a site in which anything was supposed, so an
assumed value cannot end in a verdict.
"""

from collections.abc import Callable, Iterable
from typing import Literal, NamedTuple

from engine.job.missing import Missing
from engine.job.site import Site
from engine.physics.quantities import TOLERANCE

Verdict = Literal["meets", "does_not_meet", "cannot_tell", "does_not_apply"]
Severity = Literal["danger", "violation", "advice"]


# A remedy that takes work to find is a function, called only where a person will read it (`worded`). It may not raise:
# what is broken is broken whether or not anyone can say what would mend it.
Remedy = str | Callable[[], str]


class Finding(NamedTuple):
    """What one rule found. `margin` is found over required (or its inverse), 1.0 where they just agree.

    `severity` stands in place of the rule's own where what was found is worse, or less, than the rule usually finds.
    """

    verdict: Verdict
    required: str
    found: str
    reason: str
    remedy: Remedy = ""
    margin: float = 1.0
    steps: tuple[str, ...] = ()
    cite: str | None = None
    severity: Severity | None = None


class Assumed(AssertionError):
    """A rule tried to judge a supposed value: an error of ours, never of the input."""


def worded(finding: Finding) -> str:
    """The remedy in words, found now where that takes work. Unit: none. Section: none."""
    return finding.remedy if isinstance(finding.remedy, str) else finding.remedy()


def _refuse_supposed(site: Site) -> None:
    if site.supposed:
        raise Assumed("a verdict may not rest on an assumption")


def compare(
    site: Site,
    *,
    found: float,
    at_least: float | None = None,
    at_most: float | None = None,
    required: str,
    found_shown: str,
    reason: str,
    otherwise: str,
    remedy: Remedy = "",
    steps: Iterable[str] = (),
    cite: str | None = None,
) -> Finding:
    """Hold a found value against one limit. Unit: any, the same for both sides."""
    _refuse_supposed(site)
    if (at_least is None) == (at_most is None):
        raise TypeError("give one limit: at_least or at_most")
    if at_least is not None:
        holds = found >= at_least * (1 - TOLERANCE) - 1e-12
        margin = found / at_least if at_least > 0 else float("inf")
    else:
        assert at_most is not None
        holds = found <= at_most * (1 + TOLERANCE) + 1e-12
        margin = at_most / found if found > 0 else float("inf")
    return Finding(
        "meets" if holds else "does_not_meet",
        required,
        found_shown,
        reason if holds else otherwise,
        "" if holds else remedy,
        margin,
        tuple(steps),
        cite,
    )


def confirm(
    site: Site,
    holds: bool,
    *,
    required: str,
    found: str,
    reason: str,
    otherwise: str,
    remedy: Remedy = "",
    steps: Iterable[str] = (),
    cite: str | None = None,
) -> Finding:
    """Judge a fact that is either so or not."""
    _refuse_supposed(site)
    return Finding(
        "meets" if holds else "does_not_meet",
        required,
        found,
        reason if holds else otherwise,
        "" if holds else remedy,
        float("inf") if holds else 0.0,
        tuple(steps),
        cite,
    )


def not_applicable(
    reason: str, *, found: str = "", required: str = "", cite: str | None = None
) -> Finding:
    """The rule does not reach this installation, and why."""
    return Finding("does_not_apply", required, found, reason, cite=cite, margin=float("inf"))


def undetermined(
    reason: str, *, required: str = "", found: str = "", cite: str | None = None
) -> Finding:
    """Facts are known, and still no verdict is possible: the limit of this tool, and why."""
    return Finding("cannot_tell", required, found, reason, cite=cite, margin=0.0)


BY_HARM: tuple[Severity, ...] = ("danger", "violation", "advice")


def _worst_severity(broken: Iterable[Finding]) -> Severity | None:
    """The worst that any of the broken conditions names; None where each is as bad as its rule says."""
    named = {finding.severity for finding in broken}
    return next((severity for severity in BY_HARM if severity in named), None)


def _each_once(findings: Iterable[Finding]) -> tuple[str, ...]:
    """The steps of several conditions: what two of them work out alike is told once."""
    return tuple(dict.fromkeys(step for finding in findings for step in finding.steps))


def every(site: Site, *conditions: Callable[[Site], Finding]) -> Finding:
    """All conditions of one rule: a broken one decides, then a missing fact, then all hold.

    Raises Missing when no condition is broken and one cannot be judged yet.
    """
    findings: list[Finding] = []
    missing: Missing | None = None
    for condition in conditions:
        try:
            findings.append(condition(site))
        except Missing as absent:
            missing = missing or absent
    broken = [f for f in findings if f.verdict == "does_not_meet"]
    if broken:
        first = broken[0]
        return first._replace(
            required="; ".join(dict.fromkeys(f.required for f in findings if f.required)),
            found="; ".join(dict.fromkeys(f.found for f in findings if f.found)),
            reason=" ".join(f.reason for f in broken),
            remedy=lambda: " ".join(dict.fromkeys(words for f in broken if (words := worded(f)))),
            margin=min(f.margin for f in broken),
            steps=_each_once(findings),
            severity=_worst_severity(broken),
        )
    if missing:
        raise missing
    # A condition with nothing to require, such as parallel sizes of a single set, has nothing to say either; one that
    # cannot be told always has.
    said = [f for f in findings if f.required or f.verdict == "cannot_tell"] or findings
    open_ = [f for f in said if f.verdict == "cannot_tell"]
    chosen = open_ or [f for f in said if f.verdict == "meets"] or said
    return chosen[0]._replace(
        required="; ".join(dict.fromkeys(f.required for f in said if f.required)),
        found="; ".join(dict.fromkeys(f.found for f in said if f.found)),
        reason=" ".join(dict.fromkeys(f.reason for f in chosen if f.reason)),
        margin=min(f.margin for f in chosen),
        steps=_each_once(findings),
        cite=chosen[0].cite if open_ else None,
    )
