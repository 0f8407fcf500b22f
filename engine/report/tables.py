"""Tables and lists of terms on paper, and what no line may part."""

import re
from collections.abc import Iterable, Sequence

from engine.report.elements import Content, Element, element, free

# A trade size such as 3-1/2 in. is let go at its unit: held there, it would part at its hyphen.
_NO_BREAK = re.compile(
    r"(?<!-\d/\d)(?<=\d) (?=(?:k?VA|k?A|V|AWG|kcmil|%Z?|°C?|ft|in\.|in²|lb|kg|mm|ohm|megohm)(?![A-Za-z²]))"
    r"|(?<=\bTable) (?=\d)|(?<=\bA) (?=device\))"
)


def terms(*pairs: tuple[str, Content]) -> Element:
    """Names with their texts; empty ones are left out. Unit: none. Section: none."""
    return element(
        "dl",
        [
            element("div", element("dt", name), element("dd", text))
            for name, text in pairs
            if text is not None and text != ""
        ],
        class_="facts",
    )


def typed(text: str) -> Element | None:
    """Text that a person typed, where there is any. Unit: none. Section: none."""
    return free(text) if text.strip() else None


def rows_table(
    widths: Sequence[int], heads: Sequence[str], bodies: Iterable[Element], label: str
) -> Element:
    """A table whose columns keep their share of the width; widths in percent. Unit: none. Section: none."""
    return element(
        "table",
        element("colgroup", [element("col", width=f"{width}%") for width in widths]),
        element("thead", element("tr", [element("th", head, scope="col") for head in heads])),
        bodies,
        class_="rows",
        aria_label=label,
    )


def group_rows(title: str, columns: int, rows: Sequence[Element]) -> Element:
    """The rows of one stop of the walk under its title. Unit: none. Section: none."""
    return element(
        "tbody",
        element(
            "tr",
            element("th", title, class_="group", colspan=str(columns), scope="rowgroup"),
            class_="group-row",
        ),
        rows,
    )


def no_break(text: str) -> str:
    """A text whose numbers keep their units beside them. Unit: none. Section: none."""
    return _NO_BREAK.sub("\N{NO-BREAK SPACE}", text)


def kept_together(root: Element) -> Element:
    """No line ends between a number and its unit, nor between a table's name and its number.

    Typed text stays as typed. Unit: none. Section: none.
    """
    for part in root.iter():
        if part.text and part.tag not in ("bdi", "style"):
            part.text = no_break(part.text)
        if part.tail:
            part.tail = no_break(part.tail)
    return root
