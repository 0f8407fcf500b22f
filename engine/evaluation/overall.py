"""The overall statement: how many requirements are broken, how many open, and what that comes to."""

from typing import Literal

from engine.judging.verdicts import Severity, Verdict
from engine.result import Check, Overall
from engine.result.words import SAID


class Tally:
    """What the overall statement counts: requirements broken, those a danger to life, and open ones; no advice.

    A conflict counts whatever the purpose of the visit; the purpose only silences what was not looked at.
    """

    __slots__ = ("broken", "dangers", "open")

    def __init__(self) -> None:
        self.broken = self.dangers = self.open = 0

    def add(self, verdict: Verdict, severity: Severity, looked_at: bool) -> None:
        """Count one check. Unit: none. Section: none."""
        if severity == "advice":
            return
        if verdict == "does_not_meet":
            self.broken += 1
            self.dangers += severity == "danger"
        elif verdict == "cannot_tell" and looked_at:
            self.open += 1

    def verdict(
        self, contradicted: int
    ) -> Literal["conflict_found", "not_determined", "no_conflict_found"]:
        """The worst of what was counted, and of so many contradictions. Unit: none. Section: none."""
        if self.broken:
            return "conflict_found"
        return "not_determined" if self.open or contradicted else "no_conflict_found"


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
    """What all checks together come to, in words and counted. Unit: none. Section: none."""
    counts = dict.fromkeys((*SAID, "advice_not_met", "advice_open"), 0)
    tally = Tally()
    for check in checks:
        tally.add(check.verdict, check.severity, check.asked)
        if check.asked:
            counts[_counted_as(check)] += 1
    settled = counts["meets"]
    verdict = tally.verdict(contradicted)
    if verdict == "conflict_found":
        text = f"Conflict found: {_requirements(tally.broken)} not met{_dangers(tally.dangers, tally.broken)}."
        if tally.open:
            text += f" {tally.open} more can't be told yet."
    elif verdict == "not_determined" and not tally.open:
        text = f"Not determined. No conflict found in the {settled} looked at so far."
    elif verdict == "not_determined":
        text = f"Not determined: {_requirements(tally.open)} can't be told yet. "
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
