"""What a look settles, one observation a rule: how such a requirement is declared.

Each line of the modules `looks_*` is one requirement: the fact that settles it, where it applies, and what is wrong
when the answer is the other one. The code's own figures stand in the questions and the required text; the eye does the
measuring.
"""

from collections.abc import Callable
from functools import partial
from typing import NamedTuple

from engine.code.choices import choice
from engine.derived import grounded_systems
from engine.job.missing import need_at
from engine.job.site import Site
from engine.judging.verdicts import Finding, Severity, confirm, not_applicable, undetermined
from engine.rules.rule import OnRecord, Rule, rule

Applies = Callable[[Site], str | None]


def _always(site: Site) -> str | None:
    return None


def ungrounded(site: Site) -> str | None:
    """Why a look at an ungrounded system does not apply; None where it does. Unit: none. Section: 250.21. Raises Missing."""
    return "The system is grounded." if grounded_systems.is_grounded(site) else None


def high_leg(site: Site) -> str | None:
    """Why a look at a high leg does not apply; None where it does. Unit: none. Section: 110.15. Raises Missing."""
    system = site.need(lambda job: job.transformer.secondary_system)
    return None if system == "delta_high_leg" else "The secondary has no high leg."


def in_edition(choice_id: str, wanted: str) -> Applies:
    """A look that applies in the editions with this choice alone; set `changes` with it. Unit: none. Section: the look's."""

    def applies(site: Site) -> str | None:
        return (
            None
            if choice(site.code.edition, choice_id) == wanted
            else "This edition has no such rule yet."
        )

    return applies


class Excuse(NamedTuple):
    """What excuses the other answer: the fact that is asked for only then, and what it leads to.

    `holds`: the requirement is met in another way; otherwise nobody can tell from here.
    """

    fact: str
    why: str
    holds: bool


class Seen(NamedTuple):
    """One requirement that a look settles. `good` is the answer that meets it; `cite_of` names another section for a site.

    `in_doubt`: why the other answer can't be judged at a site, None where it can. `applies_beside`: as `applies`, for a run
    beside the first, whose answer says nothing of the primary. `grounding_visit`: as at `rule`.
    """

    id: str
    title: str
    cite: str
    severity: Severity
    group: str
    required: str
    otherwise: str
    remedy: str
    good: bool = True
    fact: str = ""
    applies: Applies = _always
    asks: tuple[str, ...] = ()
    changes: bool = False
    cite_of: Callable[[Site], str | None] | None = None
    in_doubt: Applies = _always
    excuse: Excuse | None = None
    applies_beside: Applies | None = None
    grounding_visit: bool | OnRecord = False


def rule_of(seen: Seen) -> Rule:
    """The rule that a look settles. Unit: none. Section: that of the look."""
    path = f"observations.{seen.fact}"
    excused_by = (f"observations.{seen.excuse.fact}",) if seen.excuse else ()

    def judge(site: Site, applies: Applies = seen.applies) -> Finding:
        reason = applies(site)
        if reason:
            return not_applicable(reason)
        answer = need_at(site.job, path)
        cite = seen.cite_of(site) if seen.cite_of else None
        doubt = seen.in_doubt(site) if answer is not seen.good else None
        if doubt:
            return undetermined(
                doubt, required=seen.required, found="yes" if answer else "no", cite=seen.cite
            )
        excuse = seen.excuse
        if excuse and answer is not seen.good and need_at(site.job, f"observations.{excuse.fact}"):
            if not excuse.holds:
                return undetermined(excuse.why, required=seen.required, found="no", cite=cite)
            return confirm(
                site,
                True,
                required=seen.required,
                found="in another way",
                reason=excuse.why,
                otherwise="",
                cite=cite,
            )
        return confirm(
            site,
            answer is seen.good,
            required=seen.required,
            found="yes" if answer else "no",
            reason="Seen: OK.",
            otherwise=seen.otherwise,
            remedy=seen.remedy,
            cite=cite,
        )

    return rule(
        seen.id,
        title=seen.title,
        cite=seen.cite,
        severity=seen.severity,
        group=seen.group,
        asks=(path, *excused_by, *seen.asks),
        changes_between_editions=seen.changes,
        grounding_visit=seen.grounding_visit,
        beside=seen.applies_beside and partial(judge, applies=seen.applies_beside),
    )(judge)
