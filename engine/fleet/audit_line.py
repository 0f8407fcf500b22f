"""One line of a fleet to one line: a job in, its verdicts out, or what is wrong with it."""

import json
from typing import Any

from engine.evaluation.evaluate import evaluate, without_assumed
from engine.evaluation.overall import Tally
from engine.evaluation.visits import asked_ids
from engine.files.outputs import fault
from engine.files.refusals import Refusal, job_from_text
from engine.fleet.kept_verdicts import kept_outcomes
from engine.fleet.lines import Audited, said
from engine.judging.contradictions.found import contradictions, doubted_by


def summary(text: str | bytes, line: int) -> dict[str, Any]:
    """The verdicts of one job in short: overall, and the ids of the checks by verdict.

    Raises Refusal. Unit: none. Section: each check's own.
    """
    job, _ = job_from_text(text)
    read = without_assumed(job)
    by_verdict: dict[str, list[str]] = {"does_not_meet": [], "cannot_tell": [], "meets": []}
    asked = asked_ids(job)
    clashes = contradictions(read)
    tally = Tally()
    for rule, (verdict, severity, told_unasked) in kept_outcomes(read, doubted_by(clashes)):
        looked_at = rule.id in asked or told_unasked
        tally.add(verdict, severity, looked_at)
        if (looked_at or verdict == "does_not_meet") and verdict in by_verdict:
            by_verdict[verdict].append(rule.id)
    return {
        "line": line,
        "name": job.name,
        "place": job.place,
        "overall": tally.verdict(len(clashes)),
        **by_verdict,
        "contradictions": [clash.id for clash in clashes],
    }


def audit_line(text: str | bytes, line: int, *, full: bool = False) -> Audited:
    """One line to one line; a bad one comes back with the reason. Never raises. Unit: none. Section: none."""
    try:
        if full:
            job, _ = job_from_text(text)
            whole = evaluate(job).model_dump_json()
            return Audited(line, f'{{"line":{line},{whole[1:]}')
        return Audited(
            line, json.dumps(summary(text, line), ensure_ascii=False, separators=(",", ":"))
        )
    except Refusal as refusal:
        return Audited(line, "", said(refusal))
    except Exception as error:  # one line must not cost the others theirs
        return Audited(line, "", fault(error))
