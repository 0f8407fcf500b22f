"""What was judged, on paper: conflicts, contradictions, advice, and every check in walking order."""

from collections.abc import Sequence

from engine.report.elements import Content, Element, element, free
from engine.report.tables import group_rows, no_break, rows_table, terms
from engine.report.words import (
    CONTRADICTIONS,
    CONTRADICTIONS_NOTE,
    UNWISE,
    conflicts,
    section_words,
    shape,
    shown_as,
    unwise,
    verdict_words,
)
from engine.result import Check, Contradiction, Result
from engine.result.words import SEVERITIES


def _verdict(check: Check) -> Element:
    return element("span", shape(shown_as(check)), verdict_words(check), class_="verdict")


def _conflict(check: Check) -> Element:
    advice = check.severity == "advice"
    return element(
        "section",
        element("h3", shape(shown_as(check)), f"{check.title} ({SEVERITIES[check.severity]})"),
        terms(
            ("Advised" if advice else "Required", check.required),
            ("Found", check.found),
            ("Why", check.reason),
            ("What would help" if advice else "Remedy", check.remedy),
            ("Section", section_words(check)),
            ("Editions", check.editions_differ or ""),
        ),
        class_="conflict",
    )


def _contradiction(clash: Contradiction) -> Element:
    return element(
        "section",
        element("h3", clash.why),
        terms(*((fact.label, free(no_break(fact.shown))) for fact in clash.facts)),
        class_="conflict",
    )


def contradictions_part(result: Result) -> Content:
    """Answers that contradict each other. Unit: each its own. Section: none."""
    if not result.contradictions:
        return None
    return (
        element("h2", CONTRADICTIONS),
        element("p", CONTRADICTIONS_NOTE, class_="note"),
        [_contradiction(clash) for clash in result.contradictions],
    )


def conflicts_part(result: Result) -> Content:
    """Every requirement that is not met. Unit: each its own. Section: in each."""
    broken = conflicts(result)
    asked = [check for check in broken if check.asked]
    beside = [check for check in broken if not check.asked]
    return (
        element("h2", "Conflicts") if broken else None,
        [_conflict(check) for check in asked],
        element("h3", "Also seen, outside the purpose of this visit") if beside else None,
        [_conflict(check) for check in beside],
    )


def advice_part(result: Result) -> Content:
    """Advice that is not taken. Unit: each its own. Section: in each."""
    advice = unwise(result)
    return (
        element("h2", UNWISE) if advice else None,
        [_conflict(check) for check in advice],
    )


def _check_row(check: Check) -> Element:
    # Advice requires nothing, and stands in the same column all the same.
    advice = check.severity == "advice"
    notes = [
        check.reason,
        f"{'What would help' if advice else 'To correct'}: {check.remedy}" if check.remedy else "",
        check.editions_differ or "",
    ]
    return element(
        "tr",
        element("td", _verdict(check)),
        element(
            "th",
            check.title,
            " ",
            element("span", section_words(check), class_="section"),
            scope="row",
        ),
        element(
            "td",
            f"advised: {check.required}" if advice and check.required else check.required,
            data_label="Required",
        ),
        element("td", check.found, data_label="Found"),
        element("td", [element("p", note.strip(), " ") for note in notes if note.strip()]),
    )


def _is_idle(check: Check) -> bool:
    return check.verdict == "does_not_apply" and not (check.required or check.found)


def _idle_row(checks: Sequence[Check]) -> Element:
    """What does not apply at one place, in one row: there is nothing to compare."""
    return element(
        "tr",
        element("td", _verdict(checks[0])),
        element(
            "td",
            element(
                "ul",
                [
                    element(
                        "li",
                        f"{check.title} ",
                        element("span", section_words(check), class_="section"),
                        f": {' '.join(part for part in (check.reason, check.editions_differ) if part)}",
                    )
                    for check in checks
                ],
                class_="columns small",
            ),
            colspan="4",
        ),
    )


def _checklist_table(result: Result, checks: Sequence[Check], label: str) -> Element:
    bodies: list[Element] = []
    for group in result.groups:
        mine = [check for check in checks if check.group == group.id]
        idle = [check for check in mine if _is_idle(check)]
        rows = [_check_row(check) for check in mine if check not in idle]
        if idle:
            rows.append(_idle_row(idle))
        if rows:
            bodies.append(group_rows(group.title, 5, rows))
    heads = ("Verdict", "Requirement, section", "Required", "Found", "Why")
    return rows_table((12, 24, 22, 18, 24), heads, bodies, label)


def checklist_part(result: Result) -> Content:
    """Every check in walking order. Unit: each its own. Section: in each line."""
    asked = [check for check in result.checks if check.asked]
    beside = [check for check in result.checks if not check.asked]
    settled = [check for check in beside if check.verdict in ("meets", "does_not_meet")]
    rest = [check for check in beside if check not in settled]
    return (
        element("h2", "Checklist, in walking order"),
        _checklist_table(result, asked, "Checklist"),
        element("h2", "Not part of this visit") if beside else None,
        _checklist_table(result, settled, "Not part of this visit, but settled")
        if settled
        else None,
        element("ul", [_short(check) for check in rest], class_="columns small") if rest else None,
    )


def _short(check: Check) -> Element:
    return element(
        "li",
        shape(shown_as(check)),
        f"{check.title}: {verdict_words(check)}. {check.reason} ",
        element("span", section_words(check), class_="section"),
    )
