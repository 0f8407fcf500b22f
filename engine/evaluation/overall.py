"""The overall statement: how many requirements are broken, how many open, and what that comes to."""

from typing import Literal

from engine.evaluation.judged import SAID
from engine.result import Check, Overall


def overall_of(
    broken: int, open_: int, contradicted: int = 0
) -> Literal["conflict_found", "not_determined", "no_conflict_found"]:
    """The worst of the parts: how many requirements are broken, how many open, how many contradictions there are.

    Unit: none. Section: none.
    """
    if broken:
        return "conflict_found"
    return "not_determined" if open_ or contradicted else "no_conflict_found"


def _counted_as(check: Check) -> str:
    """Advice that is not taken breaks nothing, so it is counted apart; advice that is taken asks for nothing more."""
    if check.severity == "advice" and check.verdict == "does_not_meet":
        return "advice_not_met"
    if check.severity == "advice" and check.verdict == "cannot_tell":
        return "advice_open"
    return check.verdict


def _requirements(count: int) -> str:
    return f"{count} requirement{'' if count == 1 else 's'}"


def _dangers(danger: int, broken: int) -> str:
    """How many of the broken requirements are a danger to life."""
    if danger == 0:
        return ""
    if danger == broken:
        return ", a danger to life" if broken == 1 else ", all of them a danger to life"
    return f", {danger} of them a danger to life"


def _contradictions_said(count: int) -> str:
    """How many contradictions wait for a correction."""
    if count == 0:
        return ""
    return (
        " Two answers contradict each other: correct one of them."
        if count == 1
        else f" {count} contradictions between answers: correct them."
    )


def overall(checks: list[Check], contradicted: int) -> Overall:
    """The statement over all checks, with its counts. Unit: none. Section: none."""
    counts = dict.fromkeys((*SAID, "advice_not_met", "advice_open"), 0)
    looked_at = [check for check in checks if check.asked]
    for check in looked_at:
        counts[_counted_as(check)] += 1
    # A conflict counts whatever the purpose of the visit; the purpose only silences what was not looked at.
    broken = [c for c in checks if c.verdict == "does_not_meet" and c.severity != "advice"]
    open_ = [c for c in looked_at if c.verdict == "cannot_tell" and c.severity != "advice"]
    settled = counts["meets"]
    verdict = overall_of(len(broken), len(open_), contradicted)
    if verdict == "conflict_found":
        danger = sum(c.severity == "danger" for c in broken)
        text = (
            f"Conflict found: {_requirements(len(broken))} not met{_dangers(danger, len(broken))}."
        )
        if open_:
            text += f" {len(open_)} more can't be told yet."
    elif verdict == "not_determined" and not open_:
        text = f"Not determined. No conflict found in the {settled} looked at so far."
    elif verdict == "not_determined":
        text = f"Not determined: {_requirements(len(open_))} can't be told yet. "
        text += (
            f"No conflict found in the {settled} looked at so far."
            if settled
            else "Nothing was looked at yet."
        )
    else:
        text = (
            f"No conflict found in what was looked at: {_requirements(settled)}. The authority having jurisdiction "
            "decides."
        )
    return Overall(verdict=verdict, text=text + _contradictions_said(contradicted), counts=counts)
