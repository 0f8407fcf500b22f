"""What the bonding drawing is made of: texts, lines, marks, boxes and bars."""

from textwrap import wrap

from engine.report.drawing_plan import Look, Plan
from engine.report.elements import Element, add, clean, element
from engine.report.words import SHAPES

_VERDICTS: dict[Look, str] = {
    "sound": "meets",
    "wrong": "does_not_meet",
    "missing": "does_not_meet",
    "unknown": "cannot_tell",
    "idle": "does_not_apply",
    "absent": "does_not_apply",
}
# Width, dashes and cap of each line; a missing conductor shows its two ends only.
_LINES: dict[Look, tuple[str, str | None, str]] = {
    "sound": ("3", None, "butt"),
    "wrong": ("5", "11 4", "butt"),
    "missing": ("1.5", "1 8", "round"),
    "unknown": ("2.5", "0.1 6", "round"),
    "idle": ("1.5", None, "butt"),
    "absent": ("0", None, "butt"),
}
BOX_RIGHT = 320.0
Point = tuple[float, float]


def coordinate(value: float) -> str:
    """A coordinate as it is written, to a tenth. Unit: that of the picture. Section: none."""
    return f"{value:.1f}".removesuffix(".0")


def text_at(
    at: Point, *lines: str, size: int = 12, bold: bool = False, anchor: str | None = None
) -> Element:
    """Lines of text below each other. Unit: that of the picture. Section: none."""
    made = element(
        "text",
        x=coordinate(at[0]),
        y=coordinate(at[1]),
        font_size=str(size),
        font_weight="700" if bold else None,
        text_anchor=anchor,
        fill="currentColor",
    )
    for index, line in enumerate(lines):
        add(
            made,
            element("tspan", line, x=coordinate(at[0]), dy="0" if index == 0 else str(size + 2)),
        )
    return made


def wrapped(text: str, width: int) -> list[str]:
    """A text in three lines at most, cut to a width in letters. Unit: none. Section: none."""
    return wrap(clean(text), width, max_lines=3, placeholder="…") or [""]


def conductor(shown: Look, *points: Point) -> list[Element]:
    """A conductor through points, drawn as it looks. Unit: that of the picture. Section: none."""
    width, dashes, cap = _LINES[shown]
    if shown == "absent":
        return []
    path = "M" + "L".join(f"{coordinate(x)} {coordinate(y)}" for x, y in points)
    return [
        element(
            "path",
            d=path,
            class_=f"conductor {shown}",
            fill="none",
            stroke="currentColor",
            stroke_width=width,
            stroke_dasharray=dashes,
            stroke_linecap=cap,
        )
    ]


def verdict_mark(shown: Look, at: Point) -> Element:
    """The shape of the verdict on a conductor; the line ends at its edge. Unit: none. Section: none."""
    edge, mark = SHAPES[_VERDICTS[shown]]
    made = element(
        "g",
        class_=f"mark {shown}",
        transform=f"translate({coordinate(at[0] - 11)} {coordinate(at[1] - 11)}) scale(0.92)",
    )
    broken = _VERDICTS[shown] == "does_not_meet"
    if edge:
        add(
            made,
            element(
                "path",
                class_=None if broken else "paper",
                d=edge,
                fill="currentColor" if broken else "#fff",
                stroke="currentColor",
                stroke_width="2",
            ),
        )
    else:
        add(made, element("path", class_="paper", d="M4 7h16v10H4z", fill="#fff"))
    stroke = element(
        "path", d=mark, fill="none", stroke="#fff" if broken else "currentColor", stroke_width="2.6"
    )
    if broken:
        # A presentation attribute cannot follow the paper; a class can.
        stroke.set("class", "cut")
    add(made, stroke)
    return made


def box(top: float, height: float, title: str) -> list[Element]:
    """An enclosure with its title. Unit: that of the picture. Section: none."""
    return [
        element(
            "rect",
            class_="paper",
            x="8",
            y=coordinate(top),
            width=coordinate(BOX_RIGHT - 8),
            height=coordinate(height),
            fill="#fff",
            stroke="currentColor",
            stroke_width="1.5",
        ),
        text_at((84, top + 17), title, size=13, bold=True),
    ]


def bar(x: float, y: float) -> Element:
    """A bar that conductors end on. Unit: that of the picture. Section: none."""
    return element(
        "rect",
        x=coordinate(x - 17),
        y=coordinate(y - 4),
        width="34",
        height="8",
        fill="currentColor",
    )


def phase_lines(plan_: Plan, top: float, bottom: float) -> list[Element]:
    """The ungrounded conductors from top to bottom. Unit: that of the picture. Section: none."""
    return [
        element(
            "path",
            d=f"M{coordinate(x)} {coordinate(top)}V{coordinate(bottom)}",
            fill="none",
            stroke="currentColor",
            stroke_width="1",
        )
        for x in plan_.ungrounded
    ]


def winding(y: float) -> list[Element]:
    """The two circles of a transformer. Unit: that of the picture. Section: none."""
    return [
        element(
            "circle",
            class_="paper",
            cx="32",
            cy=coordinate(y + step),
            r="13",
            fill="#fff",
            fill_opacity="0" if step else None,
            stroke="currentColor",
            stroke_width="1.5",
        )
        for step in (0.0, 16.0)
    ]


def breaker(plan_: Plan, y: float) -> list[Element]:
    """The poles of an overcurrent device. Unit: that of the picture. Section: none."""
    return [
        element(
            "rect",
            class_="paper",
            x=coordinate(x - 3),
            y=coordinate(y - 3),
            width="6",
            height="12",
            fill="#fff",
            stroke="currentColor",
            stroke_width="1",
        )
        for x in plan_.ungrounded
    ]
