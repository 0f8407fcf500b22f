"""The bonding drawing: where neutral and metal meet, as a picture.

The state of each conductor shows by line, mark and word; colour says nothing.
"""

from engine.report.drawing_marks import (
    BOX_RIGHT,
    Point,
    bar,
    box,
    breaker,
    conductor,
    coordinate,
    phase_lines,
    text_at,
    verdict_mark,
    winding,
    wrapped,
)
from engine.report.drawing_plan import LOOK_WORDS, Look, Plan, plan
from engine.report.drawing_words import drawing_text
from engine.report.elements import Element, as_xml, element
from engine.result import Result
from engine.result.words import SAID, STOPS

PLACES = {"source": "the transformer", "first_disconnect": "the first disconnect"}
_STYLE = """
.bonding-drawing { --ink: #111; --paper: #fff; color: var(--ink); background: var(--paper); }
@media (prefers-color-scheme: dark) { .bonding-drawing { --ink: #f4f1e6; --paper: #16160f; } }
@media print { .bonding-drawing { --ink: #000; --paper: #fff; } }
.bonding-drawing .paper { fill: var(--paper); }
"""
WIDTH = 360
NEUTRAL = 70.0
METAL = 214.0
PIPE, STEEL, ELECTRODE = 335.0, 343.5, 352.0


def _joint(
    shown: Look, y: float, above: str, *below: str, point: bool = False, mark: Look | None = None
) -> list[Element]:
    """The link between neutral bar and metal of one enclosure, with its mark half way."""
    middle = (NEUTRAL + METAL) / 2
    made: list[Element] = []
    if shown == "missing":
        made += conductor("sound", (NEUTRAL + 17, y), (NEUTRAL + 30, y))
        made += conductor("sound", (METAL - 30, y), (METAL - 17, y))
    else:
        made += conductor(shown, (NEUTRAL + 17, y), (METAL - 17, y))
    if shown != "absent":
        if point:
            made.append(
                element(
                    "circle",
                    class_="paper bonding-point",
                    cx=coordinate(middle),
                    cy=coordinate(y),
                    r="16",
                    fill="#fff",
                    stroke="currentColor",
                    stroke_width="2.5",
                )
            )
        made.append(verdict_mark(mark or shown, (middle, y)))
    if above:
        made.append(text_at((middle, y - 22), above, size=11, anchor="middle"))
    made.append(
        text_at((middle, y + (29 if point else 24)), *below, size=11, bold=True, anchor="middle")
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
        made += conductor("sound", (x, top), (x, top + 12))
        made += conductor("sound", (x, bottom - 12), (x, bottom))
        made += conductor("missing", (x, top + 20), (x, bottom - 20))
    else:
        made += conductor(shown, (x, top), (x, bottom))
    if shown != "absent":
        made.append(verdict_mark(shown, (x, middle)))
    words = (
        [*title, *wrapped(part.size, width)]
        if part.size and shown not in ("missing", "absent")
        else [*title]
    )
    start = middle - (len(words) + 1) * 7 + 10
    made.append(text_at((x + 16, start), *words))
    made.append(text_at((x + 16, start + 14 * len(words)), LOOK_WORDS[shown], bold=True))
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
            *(("No bond found",) if shown == "missing" else ("No bond,", SAID["does_not_apply"])),
        )
    if where not in PLACES:
        return _joint("unknown", y, "Bonded here?", "Not known")
    if place not in plan_.jumper_at:
        return [text_at(((NEUTRAL + METAL) / 2, y + 4), "no bond here", size=11, anchor="middle")]
    if plan_.doubled:
        which = "Bond 1 of 2:" if place == "source" else "Bond 2 of 2:"
        return _joint(shown, y, part.size, which, LOOK_WORDS[shown].lower())
    said: dict[Look, tuple[str, ...]] = {
        "sound": ("The one", "bonding point"),
        "wrong": ("Not one point:", "electrode elsewhere"),
        "unknown": ("Bonding point:", SAID["cannot_tell"]),
    }
    single = said.get(plan_.looks["single_bonding_point"], (STOPS["bonding"],))
    if shown == "wrong":
        single = ("Bonding point:", SAID["does_not_meet"])
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
            verdict_mark(shown, (middle, y)),
            text_at((middle, y + 24), "Kept apart", size=11, bold=True, anchor="middle"),
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
            ("No electrode",) if electrode == "none" else ("Electrode:", *wrapped(electrode, 16)),
            8.0,
        ),
    )
    made: list[Element] = []
    if start is not None:
        made.append(
            element(
                "rect",
                x=coordinate(METAL + 15),
                y=coordinate(start - 12),
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
                y=coordinate(y - 22),
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
        made.append(text_at((16, y - (4 if len(name) > 1 else -4) - 3), *name))
        if exists:
            # Without a known place of connection the line ends in the open, below the first disconnect.
            from_ = start if start is not None else _DISCONNECT + _HEIGHT + 24
            corner: list[Point] = [(x, from_), (x, y), (132, y)]
            if start is not None:
                corner.insert(0, (METAL + 19, from_ + step))
                corner[1] = (x, from_ + step)
            made += conductor(shown, *corner)
        elif shown == "missing":
            made += conductor("sound", (132, y), (146, y))
            made += conductor("missing", (172, y), (x - 10, y))
        if shown != "absent":
            made.append(verdict_mark(shown, (160, y)))
        words = part.size if exists and part.size else ""
        if words:
            made.append(text_at((180, y - 8), *wrapped(words, 24)[:1]))
        made.append(text_at((180, y + 17), LOOK_WORDS[shown], bold=True))
    if start is None and any(plan_.looks[row[0]] not in ("absent", "missing") for row in rows):
        made.append(verdict_mark("unknown", (STEEL, _DISCONNECT + _HEIGHT + 18)))
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
        words += wrapped(part.size, 14)
    top = _DISCONNECT + _HEIGHT + 22
    return [
        text_at((BOX_RIGHT + 2, top), *words, anchor="end"),
        text_at((BOX_RIGHT + 2, top + 14 * len(words)), LOOK_WORDS[shown], bold=True, anchor="end"),
    ]


def _key(top: float) -> list[Element]:
    """What the lines and marks mean."""
    made: list[Element] = [text_at((8, top), "What lines and marks mean", bold=True)]
    looks: tuple[Look, ...] = ("sound", "wrong", "missing", "unknown")
    said = (
        SAID["meets"],
        f"there, {SAID['does_not_meet']}",
        "missing",
        SAID["cannot_tell"],
    )
    for index, (shown, words) in enumerate(zip(looks, said, strict=True)):
        x, y = 8 + 176 * (index % 2), top + 24 + 30 * (index // 2)
        if shown == "missing":
            made += conductor("sound", (x, y), (x + 8, y))
            made += conductor("sound", (x + 36, y), (x + 44, y))
        else:
            made += conductor(shown, (x, y), (x + 44, y))
        made.append(verdict_mark(shown, (x + 22, y)))
        made.append(text_at((x + 52, y + 4), words, size=11))
    return made


def _heading(result: Result) -> list[Element]:
    drawn = result.drawing
    grounded = {True: "grounded", False: "not grounded", None: "grounding not known"}[
        drawn.grounded
    ]
    return [
        text_at((8, 18), *wrapped(result.job.transformer, 46)[:1], size=13, bold=True),
        text_at((8, 36), *wrapped(f"Secondary: {drawn.system}, {grounded}", 52)[:1]),
    ]


def _picture(result: Result) -> list[Element]:
    plan_ = plan(result)
    first, leaves = _DISCONNECT + _BAR, _TRANSFORMER + _HEIGHT
    made = _heading(result)
    made += phase_lines(plan_, 48, _TRANSFORMER)
    made.append(text_at((52, 74), "From the", "primary device"))
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
    made += box(_TRANSFORMER, _HEIGHT, "Transformer")
    made += winding(_TRANSFORMER + 38)
    made += phase_lines(plan_, _TRANSFORMER, _TRANSFORMER + 25)
    made += phase_lines(plan_, _TRANSFORMER + 67, _DISCONNECT)
    made += conductor("idle", (METAL, _TRANSFORMER), (METAL, _TRANSFORMER + _BAR))
    if plan_.has_neutral:
        made += conductor(
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
    made += box(_DISCONNECT, _HEIGHT, STOPS["first_disconnect"])
    made += phase_lines(plan_, _DISCONNECT, _PANEL + _PANEL_HEIGHT)
    made += breaker(plan_, _DISCONNECT + 40)
    if plan_.has_neutral:
        made += conductor("idle", (NEUTRAL, _DISCONNECT), (NEUTRAL, first))
    made += conductor("idle", (METAL, _DISCONNECT), (METAL, first))
    made += _joint_at(plan_, "first_disconnect", first)
    made += _bars(plan_, first)
    made += _inside(plan_, first, _PANEL + _PANEL_BAR)
    made.append(
        text_at((NEUTRAL + 8, _PANEL - 62), *(("Neutral",) if plan_.has_neutral else ("Phases",)))
    )
    made.append(text_at((METAL - 8, _PANEL - 40), "Equipment", "grounding", anchor="end"))
    made += _electrode_label(plan_)
    made += box(_PANEL, _PANEL_HEIGHT, "Downstream")
    made += phase_lines(plan_, _PANEL, _PANEL + _PANEL_HEIGHT)
    made += breaker(plan_, _PANEL + 40)
    made += _inside(plan_, _PANEL, _PANEL + _PANEL_BAR)
    made += _downstream(plan_, result, _PANEL + _PANEL_BAR)
    made += _bars(plan_, _PANEL + _PANEL_BAR)
    made += _area_bonds(plan_, result)
    made += _key(_BOTTOM + 170)
    return made


def _bars(plan_: Plan, y: float) -> list[Element]:
    made = [bar(METAL, y), text_at((METAL + 8, y + 25), "metal, ground", size=11)]
    if plan_.has_neutral:
        made += [bar(NEUTRAL, y), text_at((NEUTRAL + 8, y - 9), "neutral", size=11)]
    return made


def _inside(plan_: Plan, top: float, bottom: float) -> list[Element]:
    """Neutral and ground from a bar to the edge of its box and on."""
    made = conductor("idle", (METAL, top), (METAL, bottom))
    return (
        made + conductor("idle", (NEUTRAL, top), (NEUTRAL, bottom)) if plan_.has_neutral else made
    )


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
