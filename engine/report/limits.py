"""The limits on paper: at a glance, each with its section, and how each was worked out."""

from engine.physics.quantities import size
from engine.report.elements import Content, Element, element
from engine.report.tables import group_rows, rows_table
from engine.report.words import section_words, verdict_words
from engine.result import Check, Result, SheetTable, Value

LONGEST_NOTE = 160
# Conductors too small for their device are changed, and what is sized by them changes with them.
SIZED_BY = ("primary_conductors", "primary_conductor_protection", "secondary_conductors")


def _sheet_table(table: SheetTable) -> Element:
    whole = all(row.assumed for row in table.rows)
    # A single column needs no name of its own.
    named = len(table.columns) > 1
    head = element(
        "thead",
        element(
            "tr",
            element("td"),
            [element("th", column, scope="col") for column in table.columns],
        ),
    )
    return element(
        "table",
        element("caption", table.title, " (assumed)" if whole else None),
        head if named else None,
        element(
            "tbody",
            [
                element(
                    "tr",
                    element(
                        "th",
                        row.label,
                        " (assumed)" if row.assumed and not whole else None,
                        scope="row",
                    ),
                    [element("td", cell or "none") for cell in row.cells],
                )
                for row in table.rows
            ],
        ),
        class_="sizes" if named else "sizes wordy",
    )


def glance_part(result: Result) -> Content:
    """The tables to compare with the gear. Unit: each its own. Section: in each line."""
    if not result.sheet:
        return None
    wrong = any(
        check.id in SIZED_BY and check.verdict == "does_not_meet" for check in result.checks
    )
    return (
        element("h2", "Limits at a glance"),
        element(
            "p",
            "Jumpers, bonds, electrode conductor and raceways are those for the conductors found. "
            "These conductors do not meet. Change them, and the rest must be sized again.",
            class_="note",
        )
        if wrong
        else None,
        element("div", [_sheet_table(table) for table in result.sheet], class_="gear"),
    )


def _value_notes(result: Result, id_: str, value: Value) -> list[str]:
    notes: list[str] = []
    run = id_.removesuffix("_conductor_minimum")
    for fact in result.facts:
        if fact.path == f"{run}.conductors.sets" and fact.shown != "1":
            notes.append(f"That is for each of the {fact.shown} conductors in parallel.")
    if value.size is not None and not isinstance(value.value, str):
        notes.append(f"Smallest size that has it: {size(value.size)}.")
    if value.assumed:
        notes.append(_taken_for_granted(value))
    return notes


def _taken_for_granted(value: Value) -> str:
    """The first step names it; where that is a long list, the appendix has it."""
    said = value.steps[0] if value.steps else "Something was assumed."
    if len(said) <= LONGEST_NOTE:
        return said
    return f"Assumed: {said.count(';') + 1} facts, listed with its arithmetic in the appendix."


def limits_part(result: Result) -> Content:
    """Every value with its section. Unit: each its own. Section: in each line."""
    bodies: list[Element] = []
    for group in result.groups:
        rows = [
            element(
                "tr",
                element("th", value.title, scope="row"),
                element(
                    "td", value.shown, " (assumed)" if value.assumed else None, data_label="Value"
                ),
                element(
                    "td",
                    element("span", section_words(value), class_="section"),
                    [
                        (" ", element("span", note, class_="small"))
                        for note in _value_notes(result, id_, value)
                    ],
                    data_label="Section",
                ),
            )
            for id_, value in result.values.items()
            if value.group == group.id
        ]
        if rows:
            bodies.append(group_rows(group.title, 3, rows))
    heads = ("What", "Value", "Section, note")
    assumed = any(value.assumed for value in result.values.values())
    return (
        element("h2", "Limits"),
        element(
            "p",
            "A value marked (assumed) uses something that was not read. No check is judged by it.",
            class_="note",
        )
        if assumed
        else None,
        rows_table((40, 18, 42), heads, bodies, "Limits"),
    )


def arithmetic_part(result: Result) -> Content:
    """Each calculation once, under the names of all the limits and checks that rest on it. Unit: none. Section: none."""
    named: dict[tuple[str, ...], list[Content]] = {}

    def add(title: str, said: str, item: Value | Check) -> None:
        name = (
            element("h3", title),
            element("p", f"{said} ", element("span", section_words(item), class_="section")),
        )
        named.setdefault(tuple(item.steps), []).append(name)

    for value in result.values.values():
        shown = f"{value.shown}{' (assumed)' if value.assumed else ''}"
        add(value.title, shown if shown.endswith(".") else f"{shown}.", value)
    for check in result.checks:
        if check.steps:
            add(f"Check: {check.title}", f"{verdict_words(check)}.", check)
    return (
        element("h2", "Appendix: arithmetic"),
        element(
            "div",
            [
                element("section", names, element("ol", [element("li", step) for step in steps]))
                for steps, names in named.items()
            ],
            class_="arithmetic",
        ),
    )
