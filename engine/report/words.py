"""The words and shapes of a verdict, and other words that several parts of the report share."""

from engine.report.elements import Element, element
from engine.result import Check, Result, Value
from engine.result.words import SEVERITIES, VERDICTS

UNWISE = "Legal but unwise"
CONTRADICTIONS = "Answers that contradict each other"
CONTRADICTIONS_NOTE = "No check uses these answers until the wrong one is corrected."
# Advice is no requirement: what it says is counted beside the verdicts.
ADVICE_WORDS = {"advice_not_met": UNWISE, "advice_open": "Advice, can't tell"}
KNOWN_WORDS = {
    "read": "read",
    "measured": "measured",
    "told": "told",
    "assumed": "assumed, not read",
}
OVERALL_VERDICT = {
    "conflict_found": "does_not_meet",
    "not_determined": "cannot_tell",
    "no_conflict_found": "meets",
}
NO_CERTIFICATE = "An aid to licensed practice, not a certificate and not an engineering study."
DECIDES = "The authority having jurisdiction decides."
AID = f"{NO_CERTIFICATE} {DECIDES}"

# Drawn in a box of 24 by 24: edge, mark inside it.
SHAPES: dict[str, tuple[str, str]] = {
    "meets": ("M12 2a10 10 0 1 0 .01 0z", "M7 12.5l3.5 3.5 6.5-8"),
    "does_not_meet": ("M7.5 2h9L22 7.5v9L16.5 22h-9L2 16.5v-9z", "M8 8l8 8M16 8l-8 8"),
    "cannot_tell": (
        "M12 1.5 22.5 12 12 22.5 1.5 12z",
        "M9.4 9.8c.2-3.4 5.4-3.4 5.4-.3 0 2-2.8 2.2-2.8 4.3M12 17v.6",
    ),
    "does_not_apply": ("", "M5 12h14"),
    "unwise": ("M3.5 3.5h17v17h-17z", "M12 7.5v6M12 16.6v.4"),
}


def shown_as(check: Check) -> str:
    """The verdict as it is shown: advice that is not taken breaks nothing. Unit: none. Section: none."""
    unwise = check.verdict == "does_not_meet" and check.severity == "advice"
    return "unwise" if unwise else check.verdict


def shape(verdict: str) -> Element:
    """The shape of a verdict: tick in a ring, cross cut into a block, question in a lozenge, dash, mark in a square.

    Unit: none. Section: none.
    """
    edge, mark = SHAPES[verdict]
    return element(
        "svg",
        element("path", class_="edge", d=edge) if edge else None,
        element("path", class_="mark", d=mark),
        class_=f"shape {verdict}",
        viewBox="0 0 24 24",
        width="16",
        height="16",
        aria_hidden="true",
    )


def verdict_words(check: Check) -> str:
    """The verdict in words; of a broken requirement also how grave it is. Unit: none. Section: that of the check."""
    if shown_as(check) == "unwise":
        return UNWISE
    said = VERDICTS[check.verdict]
    return f"{said}: {SEVERITIES[check.severity]}" if check.verdict == "does_not_meet" else said


def section_words(item: Check | Value) -> str:
    """The section, or the words that it is not confirmed. Unit: none. Section: that of the item."""
    if item.section_confirmed or "not confirmed" in item.section:
        return item.section
    return f"{item.section} (section not confirmed for this edition)"


def code_words(edition: int) -> str:
    """The code and its edition. Unit: none. Section: none."""
    return f"National Electrical Code, {edition} edition"


def conflicts(result: Result) -> list[Check]:
    """Every requirement that is not met: what this visit looks at first, then by how grave it is; no advice.

    Unit: none. Section: that of each check.
    """
    order = [*SEVERITIES]
    broken = [check for check in result.checks if shown_as(check) == "does_not_meet"]
    return sorted(broken, key=lambda check: (not check.asked, order.index(check.severity)))


def unwise(result: Result) -> list[Check]:
    """Advice that is not taken: legal, and worth a question. Unit: none. Section: that of each check."""
    return [check for check in result.checks if shown_as(check) == "unwise"]


def job_name(result: Result) -> str:
    """The job's name, or words for its absence. Unit: none. Section: none."""
    return result.job.name.strip() or "Job without a name"
