"""What a visit does not ask about and tells all the same: a check that an answer on record keeps open."""

from collections.abc import Callable
from functools import cache

from engine.evaluation.judged import Judged
from engine.job.missing import reader
from engine.job.site import Site
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

    Either the rule says so on known facts, or with another answer in place of one on record it would hold or not apply.
    A sound reading proves nothing either; of those the bad ones name their severity themselves. Unit: none. Section: none.
    """
    judged = judge(rule, site)
    finding = judged.finding
    if finding.verdict != "cannot_tell" or (finding.severity or rule.severity) == "advice":
        return False
    if rule.group == "readings":
        return finding.severity is not None
    return not judged.missing or any(
        _keeps_open(path, rule, site, {*judged.missing}, judge) for path in paths
    )


def _keeps_open(
    path: str, rule: Rule, site: Site, missing: set[str], judge: Callable[[Rule, Site], Judged]
) -> bool:
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
    return False
