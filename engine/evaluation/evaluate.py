"""The order of the work, top to bottom as on site. One pure function: no clock, no input or output.

Values first (what the nameplate and the facts ask for), then checks (what was found, held against it). What was
assumed on site goes into values alone.
"""

from collections.abc import Collection, Sequence
from functools import lru_cache

from engine import __version__
from engine.code import EDITIONS, Code, code_for
from engine.evaluation.cautions import cautions
from engine.evaluation.drawn import drawing
from engine.evaluation.facts import contradicted, facts, heading, label, open_items
from engine.evaluation.judge import judge, outcome_of, told_unasked
from engine.evaluation.judged import Judged, asked_in_runs
from engine.evaluation.nameplates import nameplates
from engine.evaluation.order import GROUPS, RULES
from engine.evaluation.overall import overall
from engine.evaluation.sheet import sheet
from engine.evaluation.suppose import SupposingSite
from engine.evaluation.values import as_entered, values_of_job
from engine.evaluation.visits import asked_ids
from engine.evaluation.written_questions import written_questions
from engine.job import NAMEPLATE, Job
from engine.job.paths import is_fact_of
from engine.job.runs import run_count
from engine.job.site import Site, with_fact
from engine.judging.contradictions.entry import Contradiction
from engine.judging.contradictions.found import contradictions, doubted_by, without_doubted
from engine.judging.verdicts import worded
from engine.result import Check, Group, Result
from engine.result.words import SAID
from engine.rules.rule import Rule


def without_assumed(job: Job) -> Job:
    """The job without what was only assumed on site: to a rule that is as unknown as what nobody read.

    Unit: none. Section: the contract, first trap.
    """
    for path in _assumed(job):
        job = with_fact(job, path, None)
    return job


def _assumed(job: Job) -> list[str]:
    return [
        path
        for path, known in job.provenance.items()
        if known == "assumed" and is_fact_of(job, path) and path not in NAMEPLATE
    ]


def _taken_on_site(job: Job, clashes: Sequence[Contradiction]) -> dict[str, str]:
    """What a value may rest on and no verdict: facts assumed by whoever looked, and facts that are contradicted."""
    return {
        path: f"{label(path).lower()} as assumed by whoever looked" for path in _assumed(job)
    } | {path: as_entered(path) for path in doubted_by(clashes)}


@lru_cache(maxsize=1024)
def _check(
    rule: Rule, code: Code, judged: Judged, asked: bool, differ: str | None, runs: int
) -> Check:
    finding = judged.finding
    citation = code.cite(finding.cite or rule.cite)
    reason = finding.reason
    if judged.even_if and finding.verdict in ("meets", "does_not_meet"):
        said = "Meets even if" if finding.verdict == "meets" else "Does not meet in any case"
        reason = f"{reason} {said}: {'; '.join(judged.even_if)}."
    return Check(
        id=rule.id,
        title=rule.title,
        verdict=finding.verdict,
        required=finding.required,
        found=finding.found or ("not known" if judged.missing else ""),
        section=citation.section,
        section_confirmed=citation.confirmed,
        reason=reason,
        remedy=worded(finding),
        severity=finding.severity or rule.severity,
        group=rule.group,
        steps=[*finding.steps],
        missing=[*judged.missing],
        questions=[*dict.fromkeys((*asked_in_runs(rule, runs), *judged.missing))],
        even_if=[*judged.even_if],
        editions_differ=differ,
        asked=asked,
    )


def _neighbours(edition: int) -> tuple[int, ...]:
    at = EDITIONS.index(edition)
    return tuple(EDITIONS[i] for i in (at - 1, at + 1) if 0 <= i < len(EDITIONS))


def _differ(rule: Rule, neighbours: Collection[Site], verdict: str) -> str | None:
    if not rule.changes_between_editions:
        return None
    parts: list[str] = []
    for site in neighbours:
        other = outcome_of(rule, site).verdict
        if other != verdict:
            parts.append(f"{site.code.edition}: {SAID[other]}")
    return f"Under another edition: {'; '.join(parts)}." if parts else None


def evaluate(job: Job, *, compare_editions: bool = True) -> Result:
    """Everything that the code asks of this installation, held against what was found.

    Units, sections and steps stand beside every value. Never raises for a valid job.
    compare_editions: whether to say where a neighbouring edition would give another verdict (it costs time).
    Section: the domain as a whole; each value and check names its own.
    """
    code = code_for(job.edition)
    read = without_assumed(job)
    clashes = contradictions(read)
    doubted = doubted_by(clashes)
    known = without_doubted(read, doubted)
    site = Site(known, code, doubted)
    supposing = SupposingSite(job, code, said=_taken_on_site(job, clashes))
    values = values_of_job(site, supposing, doubted & NAMEPLATE)
    asked = asked_ids(job)
    runs = run_count(job)
    compared = _neighbours(job.edition) if compare_editions else ()
    neighbours = [Site(known, code_for(edition), doubted) for edition in compared]
    checks: list[Check] = []
    for rule in RULES:
        judged = judge(rule, site)
        differ = _differ(rule, neighbours, judged.finding.verdict)
        looked_at = rule.id in asked or told_unasked(rule, site, judged.finding.verdict)
        checks.append(_check(rule, code, judged, looked_at, differ, runs))
    return Result(
        format="platepath.result/1",
        edition=job.edition,
        job=heading(job),
        overall=overall(checks, len(clashes)),
        values=values,
        sheet=sheet(site, supposing, values),
        nameplates=nameplates(read, {check.id: check for check in checks}),
        checks=checks,
        written_questions=written_questions(site),
        cautions=cautions(job),
        contradictions=[contradicted(job, clash.id, clash.why, clash.paths) for clash in clashes],
        facts=facts(job),
        open_items=open_items(checks, runs),
        groups=[Group(id=id_, title=title) for id_, title in GROUPS],
        drawing=drawing(site, checks),
        engine_version=__version__,
    )
