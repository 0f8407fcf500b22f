"""The bonding drawing: where neutral and metal meet, as a picture and in words.

The state of each conductor shows by line, mark and word; colour says nothing.
"""

from textwrap import wrap
from typing import Literal, NamedTuple

from engine.report.elements import Element, add, as_xml, clean, element
from engine.report.words import SHAPES
from engine.result import Drawn, Result

Look = Literal["sound", "wrong", "missing", "unknown", "idle", "absent"]

LOOK_WORDS: dict[Look, str] = {
    "sound": "Meets",
    "wrong": "Does not meet",
    "missing": "Missing",
    "unknown": "Can't tell",
    "idle": "Does not apply",
    "absent": "None, does not apply",
}
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
PLACES = {"source": "the transformer", "first_disconnect": "the first disconnect"}
_NO_NEUTRAL = ("delta 3 wire ungrounded", "single phase 2 wire", "wye 3 wire")

_STYLE = """
.bonding-drawing { --ink: #111; --paper: #fff; color: var(--ink); background: var(--paper); }
@media (prefers-color-scheme: dark) { .bonding-drawing { --ink: #f4f1e6; --paper: #16160f; } }
@media print { .bonding-drawing { --ink: #000; --paper: #fff; } }
.bonding-drawing .paper { fill: var(--paper); }
"""

WIDTH = 360
PHASES = (24.0, 32.0, 40.0)
PAIR = (26.0, 38.0)
NEUTRAL = 70.0
METAL = 214.0
PIPE, STEEL, ELECTRODE = 335.0, 343.5, 352.0
BOX_RIGHT = 320.0

Point = tuple[float, float]


class Plan(NamedTuple):
    """What the drawing shows, read off the result once."""

    parts: dict[str, Drawn]
    looks: dict[str, Look]
    ungrounded: tuple[float, ...]
    """Where the ungrounded conductors run: two on a single-phase transformer, three on any other."""
    has_neutral: bool
    jumper_at: tuple[str, ...]
    starts_at: str
    doubled: bool


def look(part: Drawn) -> Look:
    """How one part appears, from its size and its state. Unit: none. Section: that of its check."""
    if part.size == "none found":
        return {"does_not_meet": "missing", "cannot_tell": "unknown"}.get(part.state, "absent")  # type: ignore[return-value]
    looks: dict[str, Look] = {"meets": "sound", "does_not_meet": "wrong", "cannot_tell": "unknown"}
    return looks.get(part.state, "idle")


def plan(result: Result) -> Plan:
    """The parts with their looks, and where they go. Unit: none. Section: 250.30(A)."""
    drawn = result.drawing
    parts = {part.id: part for part in drawn.parts}
    looks: dict[str, Look] = {id_: look(part) for id_, part in parts.items()}
    if drawn.jumper == "none":
        broken = parts["system_bonding_jumper"].state == "does_not_meet"
        looks["system_bonding_jumper"] = "missing" if broken else "absent"
    if drawn.electrode == "none":
        state = parts["grounding_electrode_conductor"].state
        looks["grounding_electrode_conductor"] = (
            "absent" if state == "does_not_apply" else "missing"
        )
    return Plan(
        parts=parts,
        looks=looks,
        ungrounded=PAIR if "single-phase" in result.job.transformer else PHASES,
        has_neutral=drawn.system not in _NO_NEUTRAL
        or parts["grounded_conductor"].state in ("meets", "does_not_meet"),
        jumper_at=("source", "first_disconnect") if drawn.jumper == "both" else (drawn.jumper,),
        starts_at=drawn.electrode_at,
        doubled=drawn.jumper == "both",
    )


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _text(
    at: Point, *lines: str, size: int = 12, bold: bool = False, anchor: str | None = None
) -> Element:
    made = element(
        "text",
        x=_number(at[0]),
        y=_number(at[1]),
        font_size=str(size),
        font_weight="700" if bold else None,
        text_anchor=anchor,
        fill="currentColor",
    )
    for index, line in enumerate(lines):
        add(made, element("tspan", line, x=_number(at[0]), dy="0" if index == 0 else str(size + 2)))
    return made


def _lines(text: str, width: int) -> list[str]:
    return wrap(clean(text), width, max_lines=3, placeholder="…") or [""]


def _line(shown: Look, *points: Point) -> list[Element]:
    width, dashes, cap = _LINES[shown]
    if shown == "absent":
        return []
    path = "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in points)
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


def _mark(shown: Look, at: Point) -> Element:
    """The shape of the verdict on a conductor; the line ends at its edge."""
    edge, mark = SHAPES[_VERDICTS[shown]]
    made = element(
        "g",
        class_=f"mark {shown}",
        transform=f"translate({_number(at[0] - 11)} {_number(at[1] - 11)}) scale(0.92)",
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


def _box(top: float, height: float, title: str) -> list[Element]:
    return [
        element(
            "rect",
            class_="paper",
            x="8",
            y=_number(top),
            width=_number(BOX_RIGHT - 8),
            height=_number(height),
            fill="#fff",
            stroke="currentColor",
            stroke_width="1.5",
        ),
        _text((84, top + 17), title, size=13, bold=True),
    ]


def _bar(x: float, y: float) -> Element:
    return element(
        "rect", x=_number(x - 17), y=_number(y - 4), width="34", height="8", fill="currentColor"
    )


def _phases(plan_: Plan, top: float, bottom: float) -> list[Element]:
    return [
        element(
            "path",
            d=f"M{_number(x)} {_number(top)}V{_number(bottom)}",
            fill="none",
            stroke="currentColor",
            stroke_width="1",
        )
        for x in plan_.ungrounded
    ]


def _winding(y: float) -> list[Element]:
    return [
        element(
            "circle",
            class_="paper",
            cx="32",
            cy=_number(y + step),
            r="13",
            fill="#fff",
            fill_opacity="0" if step else None,
            stroke="currentColor",
            stroke_width="1.5",
        )
        for step in (0.0, 16.0)
    ]


def _breaker(plan_: Plan, y: float) -> list[Element]:
    return [
        element(
            "rect",
            class_="paper",
            x=_number(x - 3),
            y=_number(y - 3),
            width="6",
            height="12",
            fill="#fff",
            stroke="currentColor",
            stroke_width="1",
        )
        for x in plan_.ungrounded
    ]


def _joint(
    shown: Look, y: float, above: str, *below: str, point: bool = False, mark: Look | None = None
) -> list[Element]:
    """The link between neutral bar and metal of one enclosure, with its mark half way."""
    middle = (NEUTRAL + METAL) / 2
    made: list[Element] = []
    if shown == "missing":
        made += _line("sound", (NEUTRAL + 17, y), (NEUTRAL + 30, y))
        made += _line("sound", (METAL - 30, y), (METAL - 17, y))
    else:
        made += _line(shown, (NEUTRAL + 17, y), (METAL - 17, y))
    if shown != "absent":
        if point:
            made.append(
                element(
                    "circle",
                    class_="paper bonding-point",
                    cx=_number(middle),
                    cy=_number(y),
                    r="16",
                    fill="#fff",
                    stroke="currentColor",
                    stroke_width="2.5",
                )
            )
        made.append(_mark(mark or shown, (middle, y)))
    if above:
        made.append(_text((middle, y - 22), above, size=11, anchor="middle"))
    made.append(
        _text((middle, y + (29 if point else 24)), *below, size=11, bold=True, anchor="middle")
    )
    return made


def _run(
    plan_: Plan, id_: str, *title: str, x: float, top: float, bottom: float, width: int
) -> list[Element]:
    """A conductor from one enclosure to the next, with its name, size, mark and word beside it."""
    part, shown = plan_.parts[id_], plan_.looks[id_]
    made: list[Element] = []
    middle = (top + bottom) / 2
    if shown == "missing":
        made += _line("sound", (x, top), (x, top + 12))
        made += _line("sound", (x, bottom - 12), (x, bottom))
        made += _line("missing", (x, top + 20), (x, bottom - 20))
    else:
        made += _line(shown, (x, top), (x, bottom))
    if shown != "absent":
        made.append(_mark(shown, (x, middle)))
    words = (
        [*title, *_lines(part.size, width)]
        if part.size and shown not in ("missing", "absent")
        else [*title]
    )
    start = middle - (len(words) + 1) * 7 + 10
    made.append(_text((x + 16, start), *words))
    made.append(_text((x + 16, start + 14 * len(words)), LOOK_WORDS[shown], bold=True))
    return made


def _joint_at(plan_: Plan, place: str, y: float) -> list[Element]:
    """What stands between neutral and metal at the transformer or at the first disconnect."""
    part, shown = plan_.parts["system_bonding_jumper"], plan_.looks["system_bonding_jumper"]
    if not plan_.has_neutral and shown in ("absent", "idle"):
        return []
    where = plan_.jumper_at[0]
    if where == "none":
        return _joint(
            shown,
            y,
            "",
            *(("No bond found",) if shown == "missing" else ("No bond,", "does not apply")),
        )
    if where not in PLACES:
        return _joint("unknown", y, "Bonded here?", "Not known")
    if place not in plan_.jumper_at:
        return [_text(((NEUTRAL + METAL) / 2, y + 4), "no bond here", size=11, anchor="middle")]
    if plan_.doubled:
        which = "Bond 1 of 2:" if place == "source" else "Bond 2 of 2:"
        return _joint(shown, y, part.size, which, LOOK_WORDS[shown].lower())
    said: dict[Look, tuple[str, ...]] = {
        "sound": ("The one", "bonding point"),
        "wrong": ("Not one point:", "electrode elsewhere"),
        "unknown": ("Bonding point:", "can't tell"),
    }
    single = said.get(plan_.looks["single_bonding_point"], ("Bonding point",))
    if shown == "wrong":
        single = ("Bonding point:", "does not meet")
    elif plan_.looks["single_bonding_point"] == "wrong":
        return _joint(shown, y, part.size, *single, mark="wrong", point=True)
    return _joint(shown, y, part.size, *single, point=True)


def _downstream(plan_: Plan, result: Result, y: float) -> list[Element]:
    joined, shown = result.drawing.downstream_bond, plan_.looks["neutral_isolation"]
    if shown in ("idle", "absent") and not joined:
        return []
    if joined:
        return _joint(
            shown, y, "Joined again", "One bond too many" if shown == "wrong" else LOOK_WORDS[shown]
        )
    if joined is False:
        middle = (NEUTRAL + METAL) / 2
        return [
            _mark(shown, (middle, y)),
            _text((middle, y + 24), "Kept apart", size=11, bold=True, anchor="middle"),
        ]
    return _joint("unknown", y, "Joined again?", "Not known")


# Top of each row of the picture.
_TRANSFORMER, _DISCONNECT, _PANEL = 112.0, 340.0, 570.0
_HEIGHT, _PANEL_HEIGHT = 120.0, 98.0
_BAR, _PANEL_BAR = 72.0, 60.0
_BOTTOM = 708.0


def _area_bonds(plan_: Plan, result: Result) -> list[Element]:
    """The electrode conductor and the bonds of pipe and steel, from where they connect to the foot of the picture."""
    starts = {"source": _TRANSFORMER + _BAR, "first_disconnect": _DISCONNECT + _BAR}
    start = starts.get(plan_.starts_at)
    electrode = result.drawing.electrode
    rows = (
        ("water_pipe_bond", PIPE, _BOTTOM, ("Metal", "water pipe"), -8.0),
        ("structural_steel_bond", STEEL, _BOTTOM + 58, ("Structural", "steel"), 0.0),
        (
            "grounding_electrode_conductor",
            ELECTRODE,
            _BOTTOM + 116,
            ("No electrode",) if electrode == "none" else ("Electrode:", *_lines(electrode, 16)),
            8.0,
        ),
    )
    made: list[Element] = []
    if start is not None:
        made.append(
            element(
                "rect",
                x=_number(METAL + 15),
                y=_number(start - 12),
                width="5",
                height="24",
                fill="currentColor",
            )
        )
    for id_, x, y, name, step in rows:
        shown, part = plan_.looks[id_], plan_.parts[id_]
        exists = shown not in ("absent", "missing")
        made.append(
            element(
                "rect",
                x="8",
                y=_number(y - 22),
                width="124",
                height="46",
                fill="none",
                stroke="currentColor",
                stroke_width="1.5",
                stroke_dasharray="3 3"
                if shown in ("unknown", "absent") or name == ("No electrode",)
                else None,
            )
        )
        made.append(_text((16, y - (4 if len(name) > 1 else -4) - 3), *name))
        if exists:
            # Without a known place of connection the line ends in the open, below the first disconnect.
            from_ = start if start is not None else _DISCONNECT + _HEIGHT + 24
            corner: list[Point] = [(x, from_), (x, y), (132, y)]
            if start is not None:
                corner.insert(0, (METAL + 19, from_ + step))
                corner[1] = (x, from_ + step)
            made += _line(shown, *corner)
        elif shown == "missing":
            made += _line("sound", (132, y), (146, y))
            made += _line("missing", (172, y), (x - 10, y))
        if shown != "absent":
            made.append(_mark(shown, (160, y)))
        words = part.size if exists and part.size else ""
        if words:
            made.append(_text((180, y - 8), *_lines(words, 24)[:1]))
        made.append(_text((180, y + 17), LOOK_WORDS[shown], bold=True))
    if start is None and any(plan_.looks[row[0]] not in ("absent", "missing") for row in rows):
        made.append(_mark("unknown", (STEEL, _DISCONNECT + _HEIGHT + 18)))
    return made


def _electrode_label(plan_: Plan) -> list[Element]:
    shown, part = (
        plan_.looks["grounding_electrode_conductor"],
        plan_.parts["grounding_electrode_conductor"],
    )
    if shown == "absent":
        return []
    words = ["Grounding", "electrode", "conductor"]
    if plan_.starts_at not in PLACES and shown != "missing":
        words.append("connects where?")
    if shown != "missing":
        words += _lines(part.size, 14)
    top = _DISCONNECT + _HEIGHT + 22
    return [
        _text((BOX_RIGHT + 2, top), *words, anchor="end"),
        _text((BOX_RIGHT + 2, top + 14 * len(words)), LOOK_WORDS[shown], bold=True, anchor="end"),
    ]


def _key(top: float) -> list[Element]:
    """What the lines and marks mean."""
    made: list[Element] = [_text((8, top), "What lines and marks mean", bold=True)]
    looks: tuple[Look, ...] = ("sound", "wrong", "missing", "unknown")
    said = ("meets", "there, does not meet", "missing", "can't tell")
    for index, (shown, words) in enumerate(zip(looks, said, strict=True)):
        x, y = 8 + 176 * (index % 2), top + 24 + 30 * (index // 2)
        if shown == "missing":
            made += _line("sound", (x, y), (x + 8, y))
            made += _line("sound", (x + 36, y), (x + 44, y))
        else:
            made += _line(shown, (x, y), (x + 44, y))
        made.append(_mark(shown, (x + 22, y)))
        made.append(_text((x + 52, y + 4), words, size=11))
    return made


def _heading(result: Result) -> list[Element]:
    drawn = result.drawing
    grounded = {True: "grounded", False: "not grounded", None: "grounding not known"}[
        drawn.grounded
    ]
    return [
        _text((8, 18), *_lines(result.job.transformer, 46)[:1], size=13, bold=True),
        _text((8, 36), *_lines(f"Secondary: {drawn.system}, {grounded}", 52)[:1]),
    ]


def _picture(result: Result) -> list[Element]:
    plan_ = plan(result)
    first, leaves = _DISCONNECT + _BAR, _TRANSFORMER + _HEIGHT
    made = _heading(result)
    made += _phases(plan_, 48, _TRANSFORMER)
    made.append(_text((52, 74), "From the", "primary device"))
    made += _run(
        plan_,
        "primary_equipment_grounding",
        "Primary equipment",
        "grounding",
        x=METAL,
        top=48,
        bottom=_TRANSFORMER,
        width=20,
    )
    made += _box(_TRANSFORMER, _HEIGHT, "Transformer")
    made += _winding(_TRANSFORMER + 38)
    made += _phases(plan_, _TRANSFORMER, _TRANSFORMER + 25)
    made += _phases(plan_, _TRANSFORMER + 67, _DISCONNECT)
    made += _line("idle", (METAL, _TRANSFORMER), (METAL, _TRANSFORMER + _BAR))
    if plan_.has_neutral:
        made += _line(
            "idle",
            (45, _TRANSFORMER + 56),
            (NEUTRAL, _TRANSFORMER + 56),
            (NEUTRAL, _TRANSFORMER + _BAR),
        )
    made += _joint_at(plan_, "source", _TRANSFORMER + _BAR)
    made += _bars(plan_, _TRANSFORMER + _BAR)
    made += _inside(plan_, _TRANSFORMER + _BAR, _TRANSFORMER + _HEIGHT)
    if plan_.has_neutral:
        made += _run(
            plan_,
            "grounded_conductor",
            "Grounded",
            "conductor",
            x=NEUTRAL,
            top=leaves,
            bottom=_DISCONNECT,
            width=16,
        )
    made += _run(
        plan_,
        "supply_side_bonding_jumper",
        "Supply-side",
        "bonding jumper",
        x=METAL,
        top=leaves,
        bottom=_DISCONNECT,
        width=15,
    )
    made += _box(_DISCONNECT, _HEIGHT, "First disconnect")
    made += _phases(plan_, _DISCONNECT, _PANEL + _PANEL_HEIGHT)
    made += _breaker(plan_, _DISCONNECT + 40)
    if plan_.has_neutral:
        made += _line("idle", (NEUTRAL, _DISCONNECT), (NEUTRAL, first))
    made += _line("idle", (METAL, _DISCONNECT), (METAL, first))
    made += _joint_at(plan_, "first_disconnect", first)
    made += _bars(plan_, first)
    made += _inside(plan_, first, _PANEL + _PANEL_BAR)
    made.append(
        _text((NEUTRAL + 8, _PANEL - 62), *(("Neutral",) if plan_.has_neutral else ("Phases",)))
    )
    made.append(_text((METAL - 8, _PANEL - 40), "Equipment", "grounding", anchor="end"))
    made += _electrode_label(plan_)
    made += _box(_PANEL, _PANEL_HEIGHT, "Downstream")
    made += _phases(plan_, _PANEL, _PANEL + _PANEL_HEIGHT)
    made += _breaker(plan_, _PANEL + 40)
    made += _inside(plan_, _PANEL, _PANEL + _PANEL_BAR)
    made += _downstream(plan_, result, _PANEL + _PANEL_BAR)
    made += _bars(plan_, _PANEL + _PANEL_BAR)
    made += _area_bonds(plan_, result)
    made += _key(_BOTTOM + 170)
    return made


def _bars(plan_: Plan, y: float) -> list[Element]:
    made = [_bar(METAL, y), _text((METAL + 8, y + 25), "metal, ground", size=11)]
    if plan_.has_neutral:
        made += [_bar(NEUTRAL, y), _text((NEUTRAL + 8, y - 9), "neutral", size=11)]
    return made


def _inside(plan_: Plan, top: float, bottom: float) -> list[Element]:
    """Neutral and ground from a bar to the edge of its box and on."""
    made = _line("idle", (METAL, top), (METAL, bottom))
    return made + _line("idle", (NEUTRAL, top), (NEUTRAL, bottom)) if plan_.has_neutral else made


def drawing(result: Result) -> Element:
    """The bonding drawing as an SVG element. Unit: AWG or kcmil. Section: 250.30(A)."""
    height = int(_BOTTOM + 234)
    return element(
        "svg",
        element("title", f"Bonding drawing: {result.job.transformer}"),
        element("desc", drawing_text(result)),
        element("style", _STYLE + ".bonding-drawing .cut { stroke: var(--paper); }\n"),
        element("rect", class_="paper", width=str(WIDTH), height=str(height), fill="#fff"),
        *_picture(result),
        xmlns="http://www.w3.org/2000/svg",
        class_="bonding-drawing",
        role="img",
        viewBox=f"0 0 {WIDTH} {height}",
        width=str(WIDTH),
        height=str(height),
        font_family="system-ui, 'Segoe UI', Roboto, 'Noto Sans', Arial, sans-serif",
    )


def drawing_svg(result: Result) -> str:
    """The bonding drawing as a document of its own. Unit: AWG or kcmil. Section: 250.30(A)."""
    return as_xml(drawing(result))


def _at(place: str) -> str:
    return {
        "source": "at the transformer",
        "first_disconnect": "at the first disconnect",
        "both": "at the transformer and at the first disconnect",
        "none": "nowhere",
    }.get(place, "place not known")


def _said(result: Result, part: Drawn, shown: Look) -> str:
    """One line of the text: what it is, where, its size, its state, and the reason where it does not just meet."""
    named = part.label
    if part.id in (
        "system_bonding_jumper",
        "grounding_electrode_conductor",
        "single_bonding_point",
    ):
        named = f"{named}, {_at(part.where)}"
    size = f"{part.size}. " if part.size and shown not in ("missing", "absent") else ""
    text = f"{named}: {size}{LOOK_WORDS[shown]}."
    check = next((check for check in result.checks if check.id == part.id), None)
    if check is not None and check.verdict != "meets" and check.reason:
        text = f"{text} {check.reason}"
    return " ".join(clean(text).split())


def drawing_text(result: Result) -> str:
    """The drawing in words, a line a part, for whoever cannot see it. Unit: AWG or kcmil. Section: 250.30(A)."""
    drawn, plan_ = result.drawing, plan(result)
    grounded = {True: "grounded", False: "not grounded", None: "not known whether grounded"}[
        drawn.grounded
    ]
    joined = {
        True: "Downstream, neutral and ground are joined again.",
        False: "Downstream, neutral and ground are kept apart.",
        None: "Whether neutral and ground are joined again downstream is not known.",
    }[drawn.downstream_bond]
    bonds = {
        "both": "Two bonds between neutral and metal: one at the transformer, one at the first disconnect.",
        "none": "No bond between neutral and metal was found.",
        "source": "One bond between neutral and metal, at the transformer.",
        "first_disconnect": "One bond between neutral and metal, at the first disconnect.",
    }.get(drawn.jumper, "Where neutral and metal are bonded is not known.")
    electrode = {"none": "No electrode is in use.", "not known": "The electrode is not known."}.get(
        drawn.electrode, f"Electrode: {drawn.electrode}, connected {_at(drawn.electrode_at)}."
    )
    lines = [
        f"Transformer: {result.job.transformer}. Secondary: {drawn.system}, {grounded}.",
        f"{bonds} {electrode} {joined}",
        *(_said(result, part, plan_.looks[part.id]) for part in drawn.parts),
    ]
    return "\n".join(clean(line) for line in lines)
