"""A correction notice, as text to copy: every conflict with its section, and what would put it right."""

from engine.report.elements import clean
from engine.report.words import (
    CONTRADICTIONS,
    CONTRADICTIONS_NOTE,
    code_words,
    conflicts,
    job_name,
    section_words,
    unwise,
)
from engine.result import Check, Result
from engine.result.words import SEVERITIES


def _line(text: str) -> str:
    return " ".join(clean(text).split())


def _item(number: int, check: Check) -> list[str]:
    # Advice requires nothing, so its words are others; it stands under a heading of its own.
    advice = check.severity == "advice"
    graveness = "" if advice else f" ({SEVERITIES[check.severity]})"
    lines = [f"{number}. {_line(check.title)}{graveness}"]
    for label, text in (
        ("Section", section_words(check).removeprefix("section ")),
        ("Advised" if advice else "Required", check.required),
        ("Found", check.found),
        ("Why", check.reason),
        ("What would help" if advice else "To correct", check.remedy),
        ("Note", check.editions_differ or ""),
    ):
        if text.strip():
            lines.append(f"   {label}: {_line(text)}")
    return lines


def correction_notice(result: Result) -> str:
    """A draft for the inspector: each conflict with section, required, found and remedy.

    Unit: each its own. Section: that of each check.
    """
    heading = result.job
    lines = ["Correction notice (draft)", ""]
    for label, text in (
        ("Job", job_name(result)),
        ("Place", heading.place),
        ("Permit", heading.permit),
        ("Date", heading.date),
        ("Transformer", heading.transformer),
        ("Code", code_words(result.edition)),
        ("By", ", ".join(part for part in (heading.person, heading.licence) if part.strip())),
    ):
        if text.strip():
            lines.append(f"{label}: {_line(text)}")
    broken = conflicts(result)
    asked = [check for check in broken if check.asked]
    beside = [check for check in broken if not check.asked]
    lines.append("")
    if asked:
        lines.append("The following was found in conflict with the code and is to be corrected:")
        for number, check in enumerate(asked, 1):
            lines += ["", *_item(number, check)]
    else:
        lines.append("No conflict was found in what was looked at.")
    for title, checks in (
        ("Also seen, outside the purpose of this visit:", beside),
        ("Advice, no correction required by the code:", unwise(result)),
    ):
        if checks:
            lines += ["", title]
            for number, check in enumerate(checks, 1):
                lines += ["", *_item(number, check)]
    if result.contradictions:
        lines += ["", f"{CONTRADICTIONS} ({len(result.contradictions)}). {CONTRADICTIONS_NOTE}"]
        for number, clash in enumerate(result.contradictions, 1):
            lines += ["", f"{number}. {_line(clash.why)}"]
            lines += [f"   {_line(fact.label)}: {_line(fact.shown)}" for fact in clash.facts]
    open_ = [
        c
        for c in result.checks
        if c.asked and c.verdict == "cannot_tell" and c.severity != "advice"
    ]
    if open_:
        lines += ["", f"Not determined at this visit ({len(open_)}):"]
        lines += [f"- {_line(check.title)} ({section_words(check)})" for check in open_]
    lines += [
        "",
        "Drafted from what was seen and entered. Check it against the code in force before it is issued; the authority "
        "having jurisdiction decides.",
        f"Engine version {result.engine_version}.",
    ]
    return "\n".join(lines) + "\n"
