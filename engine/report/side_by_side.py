"""What is compared on paper: old and new nameplate, and the secondary runs."""

import re

from engine.report.elements import Content, Element, element
from engine.report.tables import no_break, rows_table
from engine.result import Result
from engine.result.words import CONDUCTOR_NAMES

CHANGES = {"same": "Same.", "changed": "Changed.", "not_known": "Can't be compared yet."}


def nameplates_part(result: Result) -> Content:
    """Old and new side by side, with what each difference changes. Unit: each its own. Section: none."""
    if not result.nameplates:
        return None
    rows = [
        element(
            "tr",
            element("th", line.label, scope="row"),
            element("td", line.old, data_label="Old"),
            element("td", line.new, data_label="New"),
            element(
                "td",
                element("strong", CHANGES[line.change]),
                f" {line.effect}",
            ),
        )
        for line in result.nameplates
    ]
    return (
        element("h2", "Old and new nameplate, side by side"),
        rows_table(
            (28, 17, 17, 38),
            ("Nameplate", "Old", "New", "What that changes"),
            [element("tbody", rows)],
            "Old and new nameplate",
        ),
    )


# What tells one secondary run from another at a glance; the rest stands in the facts.
_OF_A_RUN = (
    ("Rule", "rule"),
    ("Conductors", "conductors.size"),
    ("Metal", "conductors.material"),
    ("In parallel", "conductors.sets"),
    ("Length", "conductors.length_feet"),
    (CONDUCTOR_NAMES["grounded_conductor"], "grounded_conductor.size"),
    ("Raceway", "raceway.type"),
    ("Trade size", "raceway.trade_size"),
    (CONDUCTOR_NAMES["supply_side_bonding_jumper"], "supply_side_bonding_jumper.size"),
    ("Ends at", "protection.kind"),
    ("Device", "protection.rating"),
    ("Devices", "protection.ratings"),
    ("Panelboard", "panelboard.rating"),
)
_FURTHER_RUN = re.compile(r"secondary\.further_runs\.(\d+)\.(.+)")


def _in_run(path: str) -> tuple[int, str]:
    """The run that a path is of, counted from 0, and what is left of it there."""
    further = _FURTHER_RUN.fullmatch(path)
    if further:
        return int(further[1]) + 1, further[2]
    return 0, path.removeprefix("secondary.").removeprefix("bonding.")


def runs_part(result: Result) -> Content:
    """The secondary runs beside each other, where there are several. Unit: each its own. Section: none."""
    asked = (path for check in result.checks for path in check.questions)
    count = 1 + max((_in_run(path)[0] for path in asked), default=0)
    if count == 1:
        return None
    known = {
        _in_run(fact.path): fact.shown
        for fact in result.facts
        if fact.path.startswith(("secondary.", "bonding.supply_side"))
    }
    rows: list[Element] = []
    for title, fact in _OF_A_RUN:
        cells = [known.get((at, fact)) for at in range(count)]
        # Of one device or several, only what is there has a line.
        if any(cells) or title not in ("Device", "Devices"):
            shown = [element("td", no_break(cell) if cell else "not known") for cell in cells]
            rows.append(element("tr", element("th", title, scope="row"), shown))
    heads = [element("th", f"Run {at + 1}", scope="col") for at in range(count)]
    return (
        element("h2", "Secondary runs"),
        element(
            "p",
            "Each run is judged by itself. The system bonding jumper, the electrode conductor and the bonds are sized "
            "from all runs together.",
        ),
        element(
            "table",
            element("thead", element("tr", element("td"), heads)),
            element("tbody", rows),
            class_="sizes",
            aria_label="Secondary runs",
        ),
    )
