"""The wizard as data: which question, in which order, when, with which choices. Nothing else knows the order.

Conditions know equality only (`is`, `one_of`, `known`, `all`, `any`, `not`), so no limit can hide in them.
"""

from functools import cache
from importlib import import_module
from typing import Any, Literal, NamedTuple, cast, get_args, get_origin

from engine.code import EDITIONS, code_for, size_index
from engine.code.choices import editions_with
from engine.code.editions import DEFAULT_EDITION
from engine.code.limits import FUSES_OF_SMALL_SWITCHES, GROUND_FAULT_PROTECTION_FROM
from engine.job import MOST_FURTHER_RUNS, Electrode, Job, Size, TradeSize
from engine.job.runs import FURTHER, PLACES, first_path

Condition = dict[str, Any]
Kind = Literal["number", "choice", "yes_no", "many", "text", "text_long", "date", "number_list"]

# Three screens before the limits: voltages, power, primary device.
_NAMEPLATE_FIRST = ("nameplate_voltages", "transformer.kva", "primary.device.rating")
# `first`: what is asked before the limits are shown; the rest of the walk comes after them.
PURPOSES: tuple[dict[str, Any], ...] = (
    {
        "id": "installation",
        "title": "Check an installation",
        "text": "From the nameplate to every limit, then a checklist of what is really there.",
        "first": [*_NAMEPLATE_FIRST],
    },
    {
        "id": "grounding",
        "title": "Confirm the grounding",
        "text": "Electrode conductor, jumpers and bonds from the secondary conductors and the electrodes.",
        "first": [
            "nameplate_voltages",
            "transformer.kva",
            "secondary.conductors.size",
            "secondary_metal_and_sets",
            "electrode.available",
            "electrode.used",
        ],
    },
    {
        "id": "replacement",
        "title": "Verify a replacement",
        "text": "Old and new nameplate, what changes downstream, readings before it goes into service.",
        "first": [*_NAMEPLATE_FIRST],
    },
)


class _Nameplate(NamedTuple):
    """What one usual nameplate says; a connection that it does not tell stays unknown."""

    label: str
    phases: int
    primary_volts: int
    secondary_volts: int
    secondary_system: str | None = None
    primary_system: str | None = None


_USUAL_NAMEPLATES = (
    _Nameplate(
        "Three-phase, 480 V delta to 208Y/120 V, 4-wire", 3, 480, 208, "wye_4_wire", "delta_3_wire"
    ),
    _Nameplate(
        "Three-phase, 480 V delta to 480Y/277 V, 4-wire", 3, 480, 480, "wye_4_wire", "delta_3_wire"
    ),
    _Nameplate(
        "Three-phase, 208 V delta to 480Y/277 V, 4-wire", 3, 208, 480, "wye_4_wire", "delta_3_wire"
    ),
    _Nameplate("Three-phase, 480 V delta to 240 V delta", 3, 480, 240, None, "delta_3_wire"),
    _Nameplate("Single-phase, 480 V to 120/240 V, 3-wire", 1, 480, 240, "single_phase_3_wire"),
    _Nameplate("Single-phase, 240 V to 120/240 V, 3-wire", 1, 240, 240, "single_phase_3_wire"),
    _Nameplate("Single-phase, 208 V to 120/240 V, 3-wire", 1, 208, 240, "single_phase_3_wire"),
)
_VOLTAGES = ("phases", "primary_volts", "secondary_volts")


def _nameplates(path: str, fields: tuple[str, ...]) -> dict[str, Any]:
    """The fields that one tap answers, and a tap for each usual nameplate."""
    return {
        "paths": [f"{path}.{field}" for field in fields],
        "choices": [
            {
                "value": f"{plate.phases}_{plate.primary_volts}_{plate.secondary_volts}_"
                f"{plate.secondary_system or 'unknown'}",
                "label": plate.label,
                "values": {
                    f"{path}.{field}": value
                    for field in fields
                    if (value := getattr(plate, field)) is not None
                },
            }
            for plate in _USUAL_NAMEPLATES
        ],
    }


def _conductors(material: str, sets: int, label: str) -> dict[str, Any]:
    return {
        "value": f"{material}_{sets}",
        "label": label,
        "values": {
            "secondary.conductors.material": material,
            "secondary.conductors.sets": sets,
        },
    }


_TAPS = ("taps_above_percent", "taps_below_percent")
_TERMINALS = ("primary_terminal_celsius", "secondary_terminal_celsius")


def _both(
    path: str, fields: tuple[str, str], first: float, second: float, label: str
) -> dict[str, Any]:
    """One tap that answers two fields of a transformer."""
    values = {
        f"{path}.{field}": value for field, value in zip(fields, (first, second), strict=True)
    }
    return {"value": f"{first}_{second}", "label": label, "values": values}


def _case_of(path: str, group: str, which: str, did: str, was: str) -> tuple[dict[str, Any], ...]:
    """Taps, wire terminals, weight and size of one of the two transformers: a screen each."""
    return (
        {
            "id": f"{which}_taps",
            "group": group,
            "ask": f"Which taps {did} the {which} one have?",
            "help": "Full-capacity taps of the primary: FCAN above nominal, FCBN below. Add up the steps.",
            "paths": [f"{path}.{field}" for field in _TAPS],
            "choices": [
                _both(path, _TAPS, 5, 10, "Above 5 %, below 10 % (2 FCAN and 4 FCBN of 2.5 %)"),
                _both(path, _TAPS, 5, 5, "Above 5 %, below 5 %"),
                _both(path, _TAPS, 0, 10, "Above 0 %, below 10 %"),
                _both(path, _TAPS, 0, 5, "Above 0 %, below 5 %"),
                _both(path, _TAPS, 0, 0, "None: above 0 %, below 0 %"),
            ],
        },
        {
            "id": f"{which}_terminals",
            "group": group,
            "ask": f"Temperature marked at the {which} terminals?",
            "help": "For the wires, H and X side: on the nameplate or the lugs. No mark: 60 up to 100 A, else 75.",
            "paths": [f"{path}.{field}" for field in _TERMINALS],
            "choices": [
                _both(path, _TERMINALS, 75, 75, "Both sides 75 °C"),
                _both(path, _TERMINALS, 90, 90, "Both sides 90 °C"),
                _both(path, _TERMINALS, 60, 60, "Both sides 60 °C"),
                _both(path, _TERMINALS, 60, 75, "Primary 60 °C, secondary 75 °C"),
            ],
        },
        {
            "id": f"{which}_size",
            "group": group,
            "ask": f"How heavy and how large {was} the {which} one?",
            "help": "Overall size of the case: from the nameplate, a tape or the manufacturer's data sheet. Leave blank what you don't know.",
            "paths": [
                f"{path}.weight_pounds",
                f"{path}.width_inches",
                f"{path}.height_inches",
                f"{path}.depth_inches",
            ],
            "choices": [],
        },
    )


# Several facts on one screen: the usual ones in one tap, each said in full on the button. Which nameplates, taps and
# terminals are usual: common practice, no source.
TOGETHER: tuple[dict[str, Any], ...] = (
    {
        "id": "nameplate_voltages",
        "group": "nameplate",
        "ask": "Which of these does the nameplate say?",
        "help": "One tap answers all that is on the button. If anything differs, pick another one.",
        **_nameplates("transformer", (*_VOLTAGES, "primary_system", "secondary_system")),
    },
    {
        "id": "secondary_metal_and_sets",
        "group": "secondary_run",
        "ask": "What metal are the secondary conductors, and how many per phase?",
        "help": "One: a single conductor per phase. In parallel: joined at both ends to make one.",
        "paths": ["secondary.conductors.material", "secondary.conductors.sets"],
        "choices": [
            _conductors("copper", 1, "Copper, one"),
            _conductors("aluminum", 1, "Aluminum, one"),
            _conductors("copper", 2, "Copper, 2 in parallel"),
            _conductors("aluminum", 2, "Aluminum, 2 in parallel"),
            _conductors("copper", 3, "Copper, 3 in parallel"),
            _conductors("aluminum", 3, "Aluminum, 3 in parallel"),
        ],
    },
    {
        "id": "old_nameplate_voltages",
        "group": "replacement",
        "ask": "Which of these did the old nameplate say?",
        "help": "One tap answers all that is on the button. If anything differs, pick another one.",
        **_nameplates("replacement.old", (*_VOLTAGES, "primary_system", "secondary_system")),
    },
    *_case_of("transformer", "nameplate", "new", "does", "is"),
    *_case_of("replacement.old", "replacement", "old", "did", "was"),
)

GROUPS: tuple[dict[str, str], ...] = (
    {"id": "nameplate", "title": "Nameplate", "text": "Read it; do not open covers."},
    {
        "id": "primary_disconnect",
        "title": "Primary disconnect",
        "text": "The device ahead of the transformer.",
    },
    {"id": "primary_run", "title": "Primary run", "text": "From that device to the transformer."},
    {
        "id": "enclosure",
        "title": "Transformer enclosure",
        "text": "Around the transformer, and what is open already.",
    },
    {
        "id": "secondary_run",
        "title": "Secondary run",
        "text": "From the transformer to the first disconnect.",
    },
    {"id": "first_disconnect", "title": "First disconnect", "text": "Main device and panelboard."},
    {"id": "bonding", "title": "Bonding point", "text": "Where the neutral is bonded to metal."},
    {
        "id": "electrode",
        "title": "Electrode, pipe and steel",
        "text": "Follow each conductor to its end.",
    },
    {"id": "downstream", "title": "Downstream", "text": "Past the first disconnect."},
    {
        "id": "replacement",
        "title": "Replacement",
        "text": "What came out, and how the new one is installed.",
    },
    {
        "id": "readings",
        "title": "Readings",
        "text": "Only by a qualified person, with the right tester.",
    },
    {"id": "job", "title": "This job", "text": "For the report."},
)

_ALL = ("installation", "grounding", "replacement")
_FULL = ("installation", "replacement")
ANSWER_WORDS = {
    "copper": "Copper",
    "aluminum": "Aluminum",
    "breaker": "Breaker",
    "fuse": "Fuses",
    "indoors": "Indoors",
    "outdoors": "Outdoors",
    "dry": "Dry type",
    "cast_resin": "Cast resin",
    "liquid": "Liquid-filled",
    "delta_3_wire": "Delta, 3-wire",
    "wye_3_wire": "Wye, 3-wire",
    "wye_4_wire": "Wye, 4-wire",
    "single_phase_2_wire": "Single-phase, 2-wire",
    "single_phase_3_wire": "Single-phase, 3-wire",
    "delta_3_wire_ungrounded": "Delta, 3-wire, ungrounded",
    "delta_corner_grounded": "Delta, corner-grounded",
    "delta_high_leg": "Delta, 4-wire, high leg",
    "primary_device": "Protected by the primary device",
    "10_ft": "Not over 10 ft",
    "industrial_25_ft": "Industrial, not over 25 ft",
    "outside": "Outdoors",
    "feeder_tap_25_ft": "From a tapped feeder, 25 ft in all",
    "25_ft": "Not over 25 ft",
    "main_device": "One main breaker or set of fuses",
    "main_lugs_only": "Main lugs only",
    "grouped_devices": "Several devices, grouped",
    "source": "At the transformer",
    "first_disconnect": "At the first disconnect",
    "both": "At both",
    "none": "None found",
    "wire": "A wire",
    "raceway": "The metal raceway",
    "bare": "Bare",
    "building_steel": "Building steel",
    "water_pipe": "Metal water pipe",
    "concrete_encased": "Concrete-encased",
    "rod": "Rod",
    "pipe": "Pipe",
    "plate": "Plate",
    "ring": "Ground ring",
    "PVC40": "PVC schedule 40",
    "PVC80": "PVC schedule 80",
    "open": "Open, core and coils without a case",
    "ventilated": "Ventilated",
    "ventilated_with_weather_shield": "Ventilated, with weather shield",
    "totally_enclosed": "Totally enclosed, no vents",
    "encapsulated": "Encapsulated (potted)",
    "solidly_grounded_wye": "Wye, solidly grounded",
    "single_phase_grounded": "Single-phase, midpoint grounded",
    "high_leg": "Delta with a high leg",
    "corner_grounded": "Delta, one corner grounded",
    "ungrounded": "Ungrounded",
    "impedance_grounded": "Grounded through an impedance",
    "highest_setting": "Highest setting",
    "setting_restricted": "Present setting, access restricted",
    "setting_open": "Present setting, anyone can change it",
    "nothing_grounded": "Nothing grounded, no live parts",
    "grounded": "A grounded wall or grounded metal",
    "live": "Other live parts",
    "installation": "Check an installation",
    "grounding": "Confirm the grounding",
    "replacement": "Verify a replacement",
}
# Both phases' usual sizes in one row; any other can be entered.
USUAL_KVA = (5, 10, 15, 25, 30, 37.5, 45, 50, 75, 100, 112.5, 150, 167, 225, 300, 500, 750, 1000)
_FEET = {"unit": "m", "per_unit": 0.3048}
_INCHES = {"unit": "mm", "per_unit": 25.4}
_POUNDS = {"unit": "kg", "per_unit": 0.45359237}
_FAHRENHEIT = {"unit": "°F", "per_unit": 1.8, "offset": 32}


class _Catalogue:
    """Collects the questions; what a field may hold is read from the job model, so it stands in one place."""

    def __init__(self) -> None:
        self.questions: list[dict[str, Any]] = []

    def ask(
        self,
        path: str,
        group: str,
        label: str,
        ask: str,
        *,
        kind: Kind | None = None,
        unit: str | None = None,
        first: tuple[Any, ...] = (),
        other: bool | None = None,
        picker: bool = False,
        when: Condition | None = None,
        purposes: tuple[str, ...] = _FULL,
        required: bool = False,
        metric: dict[str, Any] | None = None,
        choice_when: dict[Any, Condition] | None = None,
    ) -> None:
        field, inner = _field(path)
        options = _options(inner)
        if kind is None:
            kind = _kind(inner, options)
        values = first or options
        choices = [_choice(value, (choice_when or {}).get(value)) for value in values]
        self.questions.append(
            {
                "path": path,
                "group": group,
                "label": label,
                "ask": ask,
                "help": field.description or "",
                "kind": kind,
                "unit": unit,
                "choices": choices,
                "other": (not options and kind == "number") if other is None else other,
                "picker": picker or len(choices) > 8,
                "required": required,
                "when": when,
                "purposes": list(purposes),
                "metric": metric,
            }
        )


def _choice(value: Any, when: Condition | None) -> dict[str, Any]:
    if isinstance(value, bool):
        label = "Yes" if value else "No"
    elif isinstance(value, str):
        label = ANSWER_WORDS.get(value, value)
    else:
        label = f"{value:g}"
    choice: dict[str, Any] = {"value": value, "label": label}
    if when is not None:
        choice["when"] = when
    return choice


def _field(path: str) -> tuple[Any, Any]:
    model: Any = Job
    field = None
    for name in path.split("."):
        if name.isdecimal():
            continue
        field = model.model_fields[name]
        inner = _strip(field.annotation)
        if get_origin(inner) is list and hasattr(get_args(inner)[0], "model_fields"):
            inner = get_args(inner)[0]
        model = inner if hasattr(inner, "model_fields") else None
    return field, _strip(field.annotation) if field else None


def _strip(annotation: Any) -> Any:
    """The type without None and without its bounds."""
    arguments = [a for a in get_args(annotation) if a is not type(None)]
    if get_origin(annotation) is Literal or get_origin(annotation) is list:
        return annotation
    if hasattr(annotation, "__metadata__"):
        return _strip(annotation.__origin__)
    if arguments and len(arguments) == 1:
        return _strip(arguments[0])
    return annotation


def _options(inner: Any) -> tuple[Any, ...]:
    if get_origin(inner) is Literal:
        return get_args(inner)
    if get_origin(inner) is list:
        return _options(_strip(get_args(inner)[0]))
    return ()


def _kind(inner: Any, options: tuple[Any, ...]) -> Kind:
    if get_origin(inner) is list:
        return "many" if options else "number_list"
    if options:
        return "choice"
    if inner is bool:
        return "yes_no"
    if inner in (float, int):
        return "number"
    return "text"


def is_(path: str, value: Any) -> Condition:
    """A condition of equality. Unit: none. Section: none."""
    return {"path": path, "is": value}


def one_of(path: str, *values: Any) -> Condition:
    """A condition of membership. Unit: none. Section: none."""
    return {"path": path, "one_of": list(values)}


def holds(condition: Condition | None, job: dict[str, Any]) -> bool:
    """Whether a condition holds for a job as plain data; the screen has the same function, tested by the same cases.

    Unit: none. Section: none.
    """
    if condition is None:
        return True
    if "all" in condition:
        return all(holds(c, job) for c in condition["all"])
    if "any" in condition:
        return any(holds(c, job) for c in condition["any"])
    if "not" in condition:
        return not holds(condition["not"], job)
    value: Any = job
    for name in condition["path"].split("."):
        value = cast("dict[str, Any]", value).get(name) if isinstance(value, dict) else None
    if "known" in condition:
        return (value is not None) is condition["known"]
    if "one_of" in condition:
        return any(_same(value, each) for each in condition["one_of"])
    return _same(value, condition["is"])


def _same(value: Any, wanted: Any) -> bool:
    # Python holds True equal to 1; the screen's language does not.
    return (
        value is not None
        and isinstance(value, bool) is isinstance(wanted, bool)
        and bool(value == wanted)
    )


def _in_editions(choice_id: str, wanted: str) -> Condition:
    """The editions that use a method (choices.csv)."""
    first, *others = editions_with(choice_id, wanted)
    return one_of("edition", first, *others) if others else is_("edition", first)


def _rated_from(path: str, least: float) -> Condition:
    """A rating that is no standard one below a limit: a condition knows equality only."""
    below = [r for r in code_for(DEFAULT_EDITION).standard_ratings("fuse") if r < least]
    return {"all": [{"path": path, "known": True}, {"not": one_of(path, *below)}]}


def _in_a_switch_for_more(path: str) -> Condition:
    """A fuse that asks for no ground-fault protection by itself and may stand in a switch for a larger one."""
    others = [
        r
        for r in code_for(DEFAULT_EDITION).standard_ratings("fuse")
        if r <= FUSES_OF_SMALL_SWITCHES or r >= GROUND_FAULT_PROTECTION_FROM
    ]
    return {"all": [{"path": path, "known": True}, {"not": one_of(path, *others)}]}


# Usual ratings above 1 kVA, and those of them above 50 kVA; any other may be at or below that.
_ABOVE_1_KVA = (1.5, 2, 3, 6, 7.5, 9, *USUAL_KVA)
_ABOVE_50_KVA = tuple(kva for kva in USUAL_KVA if kva > 50)
# Usual secondary voltages at which the lowest slash label for them holds to ground too; at any other it may not.
_HELD_WYE_VOLTS = (208, 380, 400, 415, 440, 460, 480, 575, 600)
# Usual secondary voltages below 50 V.
_BELOW_50_VOLTS = (12, 16, 24, 28, 32, 36, 48)
_HELD_2_WIRE_VOLTS = (12, 24, 32, 36, 48, 110, 115, 120, 277)
# Usual voltages that every building wire is made for, and those above 1000 V, whose conductors are not judged here.
_HELD_BY_600_VOLTS = (
    *(12, 16, 24, 32, 36, 48, 110, 115, 120, 127, 200, 208, 220, 230, 240),
    *(277, 346, 347, 380, 400, 415, 416, 440, 450, 460, 480, 550, 575, 600),
)
_ABOVE_1000_VOLTS = (
    2300,
    2400,
    4000,
    4160,
    4800,
    6900,
    7200,
    8320,
    12000,
    12470,
    13200,
    13800,
    34500,
)
_SETS: Condition = {"all": []}


def _parallel(side: str) -> Condition:
    return {
        "all": [
            {"path": f"{side}.conductors.sets", "known": True},
            {"not": is_(f"{side}.conductors.sets", 1)},
        ]
    }


def _by_phase(single: Condition, three: Condition) -> dict[Any, Condition]:
    """Which connection is offered when."""
    return {
        "delta_3_wire": three,
        "wye_3_wire": three,
        "wye_4_wire": three,
        "delta_3_wire_ungrounded": three,
        "delta_corner_grounded": three,
        "delta_high_leg": three,
        "single_phase_2_wire": single,
        "single_phase_3_wire": single,
    }


def _nameplate(c: _Catalogue) -> None:
    t, g = "transformer", "nameplate"
    c.ask(f"{t}.phases", g, "Phases", "How many phases?", purposes=_ALL, required=True)
    c.ask(
        f"{t}.kva",
        g,
        "Rated power",
        "What kVA is on the nameplate?",
        unit="kVA",
        purposes=_ALL,
        required=True,
        picker=True,
        first=USUAL_KVA,
    )
    c.ask(
        f"{t}.primary_volts",
        g,
        "Primary voltage",
        "What is the primary voltage?",
        unit="V",
        purposes=_ALL,
        required=True,
        first=(480, 240, 208, 600, 277, 120),
    )
    c.ask(
        f"{t}.secondary_volts",
        g,
        "Secondary voltage",
        "What is the secondary voltage, line to line?",
        unit="V",
        purposes=_ALL,
        required=True,
        first=(208, 240, 480, 120, 600),
    )
    c.ask(
        "primary.device.rating",
        "primary_disconnect",
        "Primary device rating",
        "What is the rating of the primary breaker or fuses?",
        unit="A",
        picker=True,
        first=tuple(
            r
            for r in code_for(DEFAULT_EDITION).standard_ratings("breaker")
            if r >= 15 and r <= 1200
        ),
    )
    by_phase = _by_phase(one_of(f"{t}.phases", 1), one_of(f"{t}.phases", 3))
    c.ask(
        f"{t}.autotransformer",
        g,
        "Autotransformer",
        "Does one winding serve both sides (buck-boost)?",
        purposes=_ALL,
    )
    c.ask(
        f"{t}.secondary_system",
        g,
        "Secondary connection",
        "How is the secondary connected?",
        purposes=_ALL,
        choice_when=by_phase,
    )
    c.ask(
        f"{t}.primary_system",
        g,
        "Primary connection",
        "How is the primary connected?",
        purposes=_ALL,
        choice_when=by_phase,
    )
    c.ask(
        f"{t}.impedance_percent", g, "Impedance", "What impedance is on the nameplate?", unit="%Z"
    )
    c.ask(
        f"{t}.impedance_tested",
        g,
        "Impedance tested",
        "Is that the tested impedance of this unit?",
        when={"path": f"{t}.impedance_percent", "known": True},
    )
    c.ask(f"{t}.construction", g, "Construction", "What kind of transformer is it?")
    c.ask(f"{t}.location", g, "Indoors or outdoors", "Is it indoors or outdoors?", purposes=_ALL)
    c.ask(
        f"{t}.insulation_class_celsius", g, "Insulation class", "What insulation class?", unit="°C"
    )
    c.ask(
        f"{t}.temperature_rise_celsius", g, "Temperature rise", "What temperature rise?", unit="°C"
    )
    c.ask(
        f"{t}.k_factor",
        g,
        "K-factor",
        "What K-factor?",
        first=(1, 4, 9, 13, 20),
        other=True,
        kind="number",
    )
    c.ask(
        f"{t}.coordinated_thermal_protection",
        g,
        "Coordinated thermal protection",
        "Is coordinated thermal overload protection built in by the manufacturer?",
    )
    c.ask(
        f"{t}.nameplate_primary_amperes",
        g,
        "Printed primary current",
        "What primary current is printed on the nameplate?",
        unit="A",
    )
    c.ask(
        f"{t}.nameplate_secondary_amperes",
        g,
        "Printed secondary current",
        "What secondary current is printed on the nameplate?",
        unit="A",
    )
    c.ask(
        f"{t}.supervised",
        g,
        "Supervised location",
        "Do only qualified persons monitor and service it?",
    )
    _case(c, t, g)


def _case(c: _Catalogue, path: str, group: str, *, old: bool = False) -> None:
    """Taps, case, terminals, weight and size, asked alike of the new transformer and of the old one."""
    only = ("replacement",)
    is_or_was = "was" if old else "is"

    def label(text: str) -> str:
        return f"Old {text[0].lower()}{text[1:]}" if old else text

    for side in ("above", "below"):
        c.ask(
            f"{path}.taps_{side}_percent",
            group,
            label(f"Taps {side} nominal"),
            f"How far {'did' if old else 'do'} the taps reach {side} nominal?",
            unit="%",
            purposes=only,
        )
    c.ask(
        f"{path}.enclosure",
        group,
        label("Enclosure"),
        f"What kind of enclosure {'did' if old else 'does'} it have?",
        purposes=only if old else _FULL,
    )
    for side, letter in (("primary", "H"), ("secondary", "X")):
        c.ask(
            f"{path}.{side}_terminal_celsius",
            group,
            label(f"{side.capitalize()} terminals ({letter})"),
            f"What temperature {is_or_was} marked at the {side} terminals?",
            unit="°C",
            purposes=only,
        )
    c.ask(
        f"{path}.weight_pounds",
        group,
        label("Weight"),
        f"How heavy {is_or_was} it?",
        unit="lb",
        purposes=only,
        metric=_POUNDS,
    )
    for name, adjective in (("width", "wide"), ("height", "high"), ("depth", "deep")):
        c.ask(
            f"{path}.{name}_inches",
            group,
            label(name.capitalize()),
            f"How {adjective} {is_or_was} it overall?",
            unit="in.",
            purposes=only,
            metric=_INCHES,
        )


def _device(c: _Catalogue) -> None:
    d, g = "primary.device", "primary_disconnect"
    c.ask(f"{d}.kind", g, "Primary device", "Breaker or fuses?")
    c.ask(
        f"{d}.adjustable",
        g,
        "Adjustable trip",
        "Is its trip adjustable?",
        when=is_(f"{d}.kind", "breaker"),
    )
    c.ask(
        f"{d}.rating_basis",
        g,
        "What the rating is based on",
        "What is the rating you entered based on?",
        when=is_(f"{d}.adjustable", True),
    )
    c.ask(
        f"{d}.highest_rating",
        g,
        "Highest setting or largest fuse, primary",
        "How high can its trip be set, or how large a fuse does its switch take?",
        unit="A",
        when={
            "any": [
                {
                    "all": [
                        is_(f"{d}.adjustable", True),
                        is_(f"{d}.rating_basis", "setting_restricted"),
                        {"not": _rated_from(f"{d}.rating", 1200)},
                    ]
                },
                {"all": [is_(f"{d}.adjustable", True), is_(f"{d}.rating_basis", "setting_open")]},
                {
                    "all": [
                        is_(f"{d}.kind", "fuse"),
                        {"not": one_of("transformer.primary_volts", 120, 208, 240)},
                        _in_a_switch_for_more(f"{d}.rating"),
                    ]
                },
            ]
        },
    )
    c.ask(
        f"{d}.straight_rated",
        g,
        "Straight-rated, primary",
        "Does its label show one voltage, without a slash?",
        when=is_(f"{d}.kind", "breaker"),
    )
    c.ask(
        f"{d}.ground_fault_protection",
        g,
        "Ground-fault protection, primary",
        "Does it have ground-fault protection of equipment?",
        when={
            "any": [
                _rated_from(f"{d}.rating", 1000),
                _rated_from(f"{d}.highest_rating", 1000),
            ]
        },
    )
    c.ask(
        f"{d}.arc_energy_reduction",
        g,
        "Arc-energy reduction, primary",
        "Does it have a means of arc-energy reduction?",
        when={
            "any": [
                _rated_from(f"{d}.rating", 1200),
                _rated_from(f"{d}.highest_rating", 1200),
            ]
        },
    )
    c.ask(
        f"{d}.termination_celsius",
        g,
        "Primary device terminals",
        "What temperature is marked for its wire terminals?",
        unit="°C",
    )
    c.ask(
        f"{d}.continuous_percent",
        g,
        "Continuous rating of the device",
        "How much of its rating may it carry continuously?",
        unit="%",
    )
    c.ask(
        f"{d}.instantaneous_multiple",
        g,
        "Instantaneous trip",
        "At how many times its rating is the instantaneous trip set?",
        unit="×",
        first=(5, 8, 10),
        other=True,
        when=is_(f"{d}.kind", "breaker"),
    )
    c.ask(
        f"{d}.interrupting_kiloamperes",
        g,
        "Interrupting rating, primary",
        "What is its interrupting rating?",
        unit="kA",
        first=(10, 14, 18, 22, 25, 35, 42, 65, 100),
        other=True,
    )
    c.ask(
        "primary.source_fault_kiloamperes",
        g,
        "Fault current at the primary device",
        "What fault current is available there?",
        unit="kA",
    )
    c.ask(
        "primary.supply_system",
        g,
        "Supply system",
        "What kind of system feeds it?",
        when={
            "any": [
                is_(f"{d}.straight_rated", False),
                is_(f"{d}.ground_fault_protection", False),
                is_("observations.knockouts_bonded", False),
                {"path": "observations.working_space_depth_inches", "known": True},
                # An ungrounded system of the supply's own voltage may be the same system or another.
                {
                    "all": [
                        is_("observations.grounded_conductor_identified", False),
                        {
                            "any": [
                                is_("bonding.system_bonding_jumper.location", "none"),
                                is_("transformer.secondary_system", "delta_3_wire_ungrounded"),
                            ]
                        },
                    ]
                },
                # Below 50 V the supply says whether the secondary must be grounded.
                {
                    "all": [
                        is_("bonding.system_bonding_jumper.location", "none"),
                        one_of("transformer.secondary_volts", *_BELOW_50_VOLTS),
                    ]
                },
            ]
        },
        purposes=_ALL,
    )
    c.ask(
        "primary.load.continuous_amperes",
        g,
        "Continuous load, primary",
        "How much of the load is continuous?",
        unit="A",
    )
    c.ask(
        "primary.load.noncontinuous_amperes",
        g,
        "Noncontinuous load, primary",
        "How much of the load is noncontinuous?",
        unit="A",
    )
    c.ask(
        "observations.disconnect_in_sight",
        g,
        "Disconnect in sight",
        "Is a disconnect in sight of the transformer?",
    )
    c.ask(
        "observations.disconnect_lockable_and_marked",
        g,
        "Remote disconnect lockable and marked",
        "Can it be locked open, and is its location marked on the transformer?",
        when=is_("observations.disconnect_in_sight", False),
    )


def _run(c: _Catalogue, side: str, group: str, purposes: tuple[str, ...]) -> None:
    s = f"{side}.conductors"
    name = side.capitalize()
    c.ask(
        f"{s}.size",
        group,
        f"{name} conductor size",
        f"What size are the {side} conductors?",
        picker=True,
        purposes=purposes,
    )
    c.ask(
        f"{s}.material",
        group,
        f"{name} conductor metal",
        f"Are the {side} conductors copper or aluminum?",
        purposes=purposes,
    )
    c.ask(
        f"{s}.sets",
        group,
        f"{name} conductors in parallel",
        "How many in parallel per phase?",
        first=(1, 2, 3, 4),
        other=True,
        purposes=purposes,
    )
    c.ask(
        f"{s}.raceways",
        group,
        f"{name} raceways",
        "How many raceways are they divided among?",
        first=(1, 2, 3, 4),
        other=True,
        when=_parallel(side),
        purposes=purposes,
    )
    c.ask(
        f"{s}.insulation",
        group,
        f"{name} insulation",
        "What insulation letters are on it?",
        picker=True,
    )
    c.ask(
        f"{s}.insulation_volts",
        group,
        f"{name} insulation voltage",
        "What voltage is printed on the insulation?",
        unit="V",
        when={"not": one_of(f"transformer.{side}_volts", *_HELD_BY_600_VOLTS, *_ABOVE_1000_VOLTS)},
    )
    c.ask(f"{s}.wet_location", group, f"{name} run wet", "Is any part of the run wet?")
    others = {
        "primary": ("primary.equipment_grounding",),
        "secondary": ("secondary.grounded_conductor", "bonding.supply_side_bonding_jumper"),
    }[side]
    c.ask(
        f"{s}.outer_covering",
        group,
        f"{name} outer covering",
        "Do the RHH or RHW wires have an outer covering?",
        when={
            "any": [one_of(f"{wires}.insulation", "RHH", "RHW", "RHW-2") for wires in (s, *others)]
        },
    )
    c.ask(
        f"{s}.length_feet",
        group,
        f"{name} conductor length",
        "How long are they, terminal to terminal?",
        unit="ft",
        metric=_FEET,
    )
    c.ask(
        f"{s}.current_carrying",
        group,
        f"{name} current-carrying conductors",
        "How many current-carrying conductors are in one raceway?",
        first=(3, 4, 6, 9),
        other=True,
    )
    c.ask(
        f"{s}.ambient_celsius",
        group,
        f"{name} ambient temperature",
        "How hot does it get along the run?",
        unit="°C",
        first=(30, 35, 40, 45, 50),
        other=True,
        metric=_FAHRENHEIT,
    )
    c.ask(
        f"{s}.termination_celsius",
        group,
        f"{name} terminals at the transformer",
        "What temperature is marked on the transformer's lugs?",
        unit="°C",
    )
    r = f"{side}.raceway"
    c.ask(
        f"{r}.type",
        group,
        f"{name} raceway type",
        "What type of raceway?",
        picker=True,
        purposes=purposes,
    )
    c.ask(
        f"{r}.trade_size",
        group,
        f"{name} raceway size",
        "What trade size?",
        unit="in.",
        picker=True,
    )
    c.ask(
        f"{r}.length_feet",
        group,
        f"{name} raceway length",
        "How long is the raceway?",
        unit="ft",
        metric=_FEET,
    )
    # A run that is outdoors by another answer is wet inside too.
    wet: Condition = {
        "any": [
            is_(f"{s}.wet_location", True),
            is_("transformer.location", "outdoors"),
            *([is_("secondary.rule", "outside")] if side == "secondary" else []),
        ]
    }
    c.ask(
        f"{r}.on_sunny_rooftop",
        group,
        f"{name} run on a sunny roof",
        "Is any part on or above a roof, in direct sun?",
        when={"any": [wet, {"path": f"{r}.height_above_roof_inches", "known": True}]},
    )
    c.ask(
        f"{r}.height_above_roof_inches",
        group,
        f"{name} raceway height above the roof",
        "How high above the roof is the bottom of the raceway?",
        unit="in.",
        when={"all": [wet, is_(f"{r}.on_sunny_rooftop", True)]},
        metric=_INCHES,
    )
    c.ask(f"{r}.nipple", group, f"{name} nipple", "Is it a nipple of 24 in. or less?")


def _flexible_section_matters(side: str) -> Condition:
    """Where one kind of flexible raceway may be used and another may not."""
    return {
        "all": [
            one_of(f"{side}.raceway.type", "RMC", "IMC", "EMT", "PVC40", "PVC80"),
            {
                "any": [
                    is_(f"{side}.conductors.wet_location", True),
                    is_("transformer.location", "outdoors"),
                    is_(f"{side}.raceway.on_sunny_rooftop", True),
                    is_("observations.ceiling_moves_air", True),
                    *([is_("secondary.rule", "outside")] if side == "secondary" else []),
                ]
            },
        ]
    }


def _primary_run(c: _Catalogue) -> None:
    g, e = "primary_run", "primary.equipment_grounding"
    _run(c, "primary", g, _FULL)
    c.ask(
        f"{e}.kind",
        g,
        "Primary equipment grounding",
        "What serves as the equipment grounding conductor?",
    )
    wire = is_(f"{e}.kind", "wire")
    c.ask(
        f"{e}.size",
        g,
        "Equipment grounding conductor size",
        "What size is the equipment grounding conductor?",
        when=wire,
        picker=True,
    )
    c.ask(
        f"{e}.material",
        g,
        "Equipment grounding conductor metal",
        "Is the equipment grounding conductor copper or aluminum?",
        when=wire,
    )
    c.ask(
        f"{e}.insulation",
        g,
        "Equipment grounding conductor covering",
        "Bare, or what insulation letters?",
        when=wire,
        picker=True,
    )
    r = "primary.raceway"
    flexible = {
        "all": [
            is_(f"{e}.kind", "raceway"),
            {
                "any": [
                    one_of(f"{r}.type", "FMC", "LFMC"),
                    {
                        "all": [
                            one_of(f"{r}.type", "RMC", "IMC", "EMT"),
                            {"path": f"{r}.flexible_length_feet", "known": True},
                            {"not": is_(f"{r}.flexible_length_feet", 0)},
                        ]
                    },
                ]
            },
        ]
    }
    c.ask(
        f"{r}.flexible_length_feet",
        g,
        "Flexible length",
        "How much of the primary raceway is flexible, whips included?",
        unit="ft",
        when={"any": [is_(f"{e}.kind", "raceway"), _flexible_section_matters("primary")]},
        metric=_FEET,
    )
    c.ask(
        f"{r}.flexibility_needed",
        g,
        "Flexible raceway moves",
        "Must it be able to move after installation?",
        when=flexible,
    )
    c.ask(
        f"{r}.fittings_listed_for_grounding",
        g,
        "Fittings listed for grounding",
        "Are its fittings listed for grounding?",
        when=flexible,
    )


def _wye_to_delta() -> Condition:
    return {
        "all": [
            one_of("transformer.primary_system", "wye_3_wire", "wye_4_wire"),
            one_of(
                "transformer.secondary_system",
                "delta_3_wire_ungrounded",
                "delta_corner_grounded",
                "delta_high_leg",
            ),
        ]
    }


def _enclosure(c: _Catalogue) -> None:
    g = "enclosure"
    for field, label, ask in (
        ("enclosure_bonded", "Enclosure bonded", "Is the case itself bonded?"),
        ("ventilation_clear", "Ventilation clear", "Are the vents as clear as the nameplate asks?"),
        ("top_free_of_storage", "Top free of storage", "Is the top free of storage?"),
        ("top_marked", "Top marked", "Is the top marked to prohibit storage?"),
        ("readily_accessible", "Accessible", "Is it readily accessible?"),
        ("above_ceiling", "Above a ceiling", "Is it above a ceiling?"),
        ("working_space_clear", "Working space", "Is the working space clear?"),
        ("anchored", "Fastened", "Is it fastened in place?"),
        (
            "terminal_bar_used",
            "Terminal bar",
            "Do the grounding conductors land on a terminal bar?",
        ),
        (
            "terminal_bar_clear_of_vents",
            "Terminal bar clear of vents",
            "Is the bar clear of the vents?",
        ),
        (
            "conductors_clear_of_vents",
            "Electrode conductor clear of vents",
            "Is the electrode conductor kept out of the vents?",
        ),
        (
            "torque_recorded",
            "Terminations torqued",
            "Were the terminations torqued by an approved means?",
        ),
        (
            "shipping_parts_removed",
            "Shipping parts removed",
            "Are shipping parts out and isolation pads in?",
        ),
        ("reverse_fed", "Reverse fed", "Is the low-voltage side the one that is fed?"),
    ):
        c.ask(f"observations.{field}", g, label, ask)
    c.ask(
        "observations.wire_leads_joined_and_bonded",
        g,
        "Wire leads joined and bonded",
        "Does it have wire leads, with the grounding wires joined and bonded to the case?",
        when=is_("observations.terminal_bar_used", False),
    )
    c.ask(
        "observations.reverse_feed_marked",
        g,
        "Reverse feed allowed",
        "Does the nameplate allow feeding it in reverse?",
        when={"any": [is_("observations.reverse_fed", True), _wye_to_delta()]},
    )
    c.ask(
        "observations.supplied_neutral_open",
        g,
        "Neutral point of the fed winding open",
        "Is X0 (or H0) of the winding that is fed left open?",
        when=one_of(
            "transformer.primary_system", "wye_3_wire", "wye_4_wire", "single_phase_3_wire"
        ),
        purposes=_ALL,
    )
    ceiling = {
        "all": [
            is_("observations.above_ceiling", True),
            {"not": one_of("transformer.kva", *_ABOVE_50_KVA)},
        ]
    }
    c.ask(
        "observations.hollow_space_open",
        g,
        "Ceiling space can be opened",
        "Can that space be opened?",
        when=ceiling,
    )
    c.ask(
        "observations.ceiling_moves_air",
        g,
        "Ceiling space is a plenum",
        "Is that space a plenum that carries the building's air?",
        when=is_("observations.above_ceiling", True),
    )
    c.ask(
        "observations.case_suits_air_space",
        g,
        "Case suited to a plenum",
        "Is the case metal, or listed for such a space?",
        when=is_("observations.ceiling_moves_air", True),
    )
    c.ask(
        "observations.working_space_depth_inches",
        g,
        "Depth of the working space",
        "How deep is the working space?",
        unit="in.",
        first=(30, 36, 42, 48, 60),
        other=True,
        metric=_INCHES,
    )
    c.ask(
        "observations.working_space_faces",
        g,
        "Across the working space",
        "What is across from it?",
        when={"path": "observations.working_space_depth_inches", "known": True},
    )
    aluminum = {
        "any": [
            is_(f"{conductor}.material", "aluminum")
            for conductor in (
                "primary.conductors",
                "primary.equipment_grounding",
                "secondary.conductors",
                "secondary.grounded_conductor",
                "bonding.supply_side_bonding_jumper",
                "bonding.system_bonding_jumper",
                "electrode.conductor",
                "bonding.water_pipe_bond",
                "bonding.structural_steel_bond",
            )
        ]
    }
    c.ask(
        "observations.lugs_marked_for_metal",
        g,
        "Lugs marked for aluminum",
        "Are the lugs marked for aluminum?",
        when=aluminum,
    )
    indoors = is_("transformer.location", "indoors")
    c.ask(
        "observations.combustibles_clear",
        g,
        "Clear of combustibles",
        "Is it 12 in. clear of combustibles, or behind a barrier?",
    )
    c.ask(
        "observations.fire_resistant_room",
        g,
        "Fire-resistant room",
        "Is it in a fire-resistant room?",
        when=indoors,
    )
    c.ask(
        "observations.far_from_combustibles",
        g,
        "Far from combustibles",
        "Is it 6 ft across and 12 ft up from combustibles, or behind a barrier?",
        when=indoors,
    )
    c.ask(
        "observations.completely_enclosed_except_vents",
        g,
        "Completely enclosed",
        "Is it completely enclosed except for the vents?",
    )
    c.ask(
        "observations.live_parts_guarded",
        g,
        "Live parts guarded",
        "Are its live parts guarded against contact?",
        when={
            "any": [
                is_("transformer.enclosure", "open"),
                is_("observations.completely_enclosed_except_vents", False),
            ]
        },
    )
    c.ask(
        "observations.weatherproof_enclosure",
        g,
        "Weatherproof enclosure",
        "Is the enclosure made for outdoors?",
        when=is_("transformer.location", "outdoors"),
    )


def _secondary_run(c: _Catalogue) -> None:
    g = "secondary_run"
    _run(c, "secondary", g, _ALL)
    c.ask(
        "secondary.rule",
        g,
        "Secondary conductor rule",
        "Which rule do the secondary conductors follow?",
    )
    c.ask(
        "secondary.enclosed_in_raceway",
        g,
        "Secondary in a raceway",
        "Do they run in a raceway all the way?",
    )
    c.ask(
        "secondary.protected_from_damage",
        g,
        "Secondary protected from damage",
        "Are the conductors and their raceway protected from damage?",
    )
    c.ask(
        "secondary.qualified_persons_only",
        g,
        "Qualified persons only",
        "Do only qualified persons service it?",
        when=is_("secondary.rule", "industrial_25_ft"),
    )
    c.ask(
        "primary.protected_from_damage",
        g,
        "Primary protected from damage",
        "Are the primary conductors and their raceway protected from damage?",
        when={
            "any": [
                is_("secondary.rule", "feeder_tap_25_ft"),
                one_of("primary.raceway.type", "PVC40", "ENT", "FMC", "LFMC", "LFNC"),
            ]
        },
    )
    n = "secondary.grounded_conductor"
    has_neutral = one_of(
        "transformer.secondary_system",
        "wye_4_wire",
        "single_phase_3_wire",
        "delta_high_leg",
        "delta_corner_grounded",
        "single_phase_2_wire",
        "wye_3_wire",
    )
    c.ask(
        f"{n}.present",
        g,
        "Grounded conductor run",
        "Does a grounded conductor run to the first disconnect?",
        when=has_neutral,
        purposes=_ALL,
    )
    there = {"all": [has_neutral, {"not": is_(f"{n}.present", False)}]}
    c.ask(
        f"{n}.size",
        g,
        "Grounded conductor size",
        "What size is the grounded conductor?",
        when=there,
        picker=True,
        purposes=_ALL,
    )
    c.ask(
        f"{n}.material",
        g,
        "Grounded conductor metal",
        "Is the grounded conductor copper or aluminum?",
        when=there,
        purposes=_ALL,
    )
    c.ask(
        f"{n}.insulation",
        g,
        "Grounded conductor insulation",
        "What insulation letters are on the grounded conductor?",
        when=there,
        picker=True,
    )
    c.ask(
        f"{n}.sets",
        g,
        "Grounded conductors in parallel",
        "How many grounded conductors in parallel?",
        first=(1, 2, 3, 4),
        other=True,
        when={"all": [there, _parallel("secondary")]},
        purposes=_ALL,
    )
    c.ask(
        f"{n}.current_carrying",
        g,
        "Neutral counts as current-carrying",
        "Does the neutral count as current-carrying?",
        when=there,
    )
    c.ask(
        "secondary.neutral_load_amperes",
        g,
        "Neutral load",
        "What is the calculated neutral load?",
        unit="A",
        when=there,
    )
    c.ask("observations.nonlinear_load", g, "Electronic load", "Is most of the load electronic?")
    c.ask(
        "secondary.class_1_2_3_circuits_only",
        g,
        "Control circuits only",
        "Does it feed Class 1, 2 or 3 control circuits and nothing else?",
        purposes=_ALL,
        when={"not": one_of("transformer.kva", *_ABOVE_1_KVA)},
    )
    b = "bonding.supply_side_bonding_jumper"
    c.ask(
        f"{b}.kind",
        g,
        "Supply-side bonding jumper",
        "What bonds the transformer's case to the first disconnect?",
        purposes=_ALL,
    )
    wire = is_(f"{b}.kind", "wire")
    c.ask(
        f"{b}.size",
        g,
        "Supply-side bonding jumper size",
        "What size is the supply-side bonding jumper, in each raceway?",
        when=wire,
        purposes=_ALL,
        picker=True,
    )
    c.ask(
        f"{b}.material",
        g,
        "Supply-side bonding jumper metal",
        "Is the supply-side bonding jumper copper or aluminum?",
        when=wire,
        purposes=_ALL,
    )
    c.ask(
        f"{b}.insulation",
        g,
        "Supply-side bonding jumper covering",
        "Bare, or what insulation letters?",
        when=wire,
        picker=True,
    )
    c.ask(
        "secondary.raceway.flexible_length_feet",
        g,
        "Flexible section, secondary",
        "How much of the secondary raceway is flexible, whips included?",
        unit="ft",
        when={"any": [is_(f"{b}.kind", "raceway"), _flexible_section_matters("secondary")]},
        metric=_FEET,
    )
    c.ask(
        "secondary.raceway.fittings_listed_for_grounding",
        g,
        "Fittings listed for grounding, secondary",
        "Are the fittings of that raceway listed for grounding?",
        when={
            "all": [
                is_(f"{b}.kind", "raceway"),
                is_("secondary.raceway.flexible_length_feet", 0),
            ]
        },
    )
    c.ask(
        "secondary.first_disconnect_separate",
        g,
        "First disconnect separate",
        "Is the first disconnect in an enclosure of its own?",
        when={"any": [is_(f"{b}.kind", "none"), is_("secondary.rule", "10_ft")]},
        purposes=_ALL,
    )
    several = {"all": [_parallel("secondary"), {"not": is_("secondary.conductors.raceways", 1)}]}
    c.ask(
        "observations.circuit_grouped",
        g,
        "Circuit grouped",
        "Do all conductors of the circuit share each raceway?",
        # A grounding visit asks for it only where a bonding wire could be left out of one of several raceways.
        when={
            "any": [
                {"not": is_("purpose", "grounding")},
                {"all": [is_(f"{b}.kind", "wire"), several]},
            ]
        },
        purposes=_ALL,
    )
    c.ask(
        "observations.tapped_ahead_of_device",
        g,
        "Tapped ahead of a device",
        "Is anything tapped off ahead of the first device?",
    )
    small = tuple(size for size in get_args(Size) if size_index(size) < size_index("4"))
    c.ask(
        "observations.insulating_fittings",
        g,
        "Bushings for 4 AWG and larger",
        "Do raceway ends have bushings where 4 AWG or larger enters?",
        when={
            "not": {
                "all": [
                    one_of("primary.conductors.size", *small),
                    one_of("secondary.conductors.size", *small),
                    {
                        "not": one_of(
                            "secondary.grounded_conductor.size",
                            *(size for size in get_args(Size) if size not in small),
                        )
                    },
                ]
            }
        },
    )
    c.ask(
        "observations.parallel_sets_alike",
        g,
        "Parallel sets alike",
        "Are the parallel sets alike?",
        when={"any": [_parallel("primary"), _parallel("secondary")]},
    )
    c.ask(
        "observations.ends_at_equipment_supplied",
        g,
        "Ends where it supplies",
        "Do they end at the equipment they supply?",
        when={"not": is_("secondary.rule", "primary_device")},
    )
    c.ask(
        "observations.outdoors_all_the_way",
        g,
        "Outdoors all the way",
        "Are they outdoors all the way?",
        when=is_("secondary.rule", "outside"),
    )
    c.ask(
        "observations.outside_disconnect_placed",
        g,
        "Outside disconnect",
        "Is the disconnect outside, or nearest the point of entry?",
        when=is_("secondary.rule", "outside"),
    )
    c.ask(
        "secondary.load.continuous_amperes",
        g,
        "Continuous load, secondary",
        "How much of the secondary load is continuous?",
        unit="A",
    )
    c.ask(
        "secondary.load.noncontinuous_amperes",
        g,
        "Noncontinuous load, secondary",
        "How much of the secondary load is noncontinuous?",
        unit="A",
    )
    c.ask(
        "primary.load.power_factor",
        g,
        "Power factor, primary",
        "Power factor of the load, primary side?",
        first=(0.8, 0.85, 0.9, 0.95, 1),
        other=True,
    )
    c.ask(
        "secondary.load.power_factor",
        g,
        "Power factor, secondary",
        "Power factor of the load, secondary side?",
        first=(0.8, 0.85, 0.9, 0.95, 1),
        other=True,
    )


def _first_disconnect(c: _Catalogue) -> None:
    g, p = "first_disconnect", "secondary.protection"
    ratings = tuple(
        r for r in code_for(DEFAULT_EDITION).standard_ratings("breaker") if 15 <= r <= 3000
    )
    c.ask(
        f"{p}.kind",
        g,
        "Secondary protection",
        "What is at the end of the secondary conductors?",
        purposes=_ALL,
    )
    main = is_(f"{p}.kind", "main_device")
    c.ask(
        f"{p}.rating",
        g,
        "Secondary device rating",
        "What is the rating of the main?",
        unit="A",
        when=main,
        first=ratings,
        picker=True,
    )
    c.ask(
        f"{p}.ratings",
        g,
        "Ratings of the grouped devices",
        "What are the ratings of all of them?",
        unit="A",
        when=is_(f"{p}.kind", "grouped_devices"),
    )
    c.ask(
        f"{p}.device_kind",
        g,
        "Secondary device",
        "Breaker or fuses?",
        when=one_of(f"{p}.kind", "main_device", "grouped_devices"),
    )
    c.ask(
        f"{p}.one_enclosure",
        g,
        "Grouped devices in one enclosure",
        "Are all of them in one enclosure?",
        when=is_(f"{p}.kind", "grouped_devices"),
        purposes=_ALL,
    )
    c.ask(
        f"{p}.back_fed",
        g,
        "Main back-fed",
        "Is any main a back-fed plug-on breaker?",
        when={
            "all": [
                one_of(f"{p}.kind", "main_device", "grouped_devices"),
                is_(f"{p}.device_kind", "breaker"),
            ]
        },
    )
    c.ask(
        f"{p}.held_down",
        g,
        "Main held down",
        "Does a fastener hold each back-fed main down?",
        when={
            "all": [
                one_of(f"{p}.kind", "main_device", "grouped_devices"),
                is_(f"{p}.back_fed", True),
            ]
        },
    )
    c.ask(
        f"{p}.continuous_percent",
        g,
        "Continuous rating of the main",
        "How much of its rating may it carry continuously?",
        unit="%",
        when=main,
    )
    c.ask(
        f"{p}.termination_celsius",
        g,
        "Terminals at the first disconnect",
        "What temperature is marked for its wire terminals?",
        unit="°C",
    )
    c.ask(
        f"{p}.interrupting_kiloamperes",
        g,
        "Interrupting rating, secondary",
        "What is its interrupting rating?",
        unit="kA",
        first=(10, 14, 18, 22, 25, 35, 42, 65),
        other=True,
        when=one_of(f"{p}.kind", "main_device", "grouped_devices"),
    )
    grouped = is_(f"{p}.kind", "grouped_devices")
    c.ask(
        f"{p}.adjustable",
        g,
        "Adjustable trip, secondary",
        "Is its trip adjustable?",
        when=is_(f"{p}.device_kind", "breaker"),
    )
    c.ask(
        f"{p}.rating_basis",
        g,
        "What the secondary rating is based on",
        "What is the rating you entered based on?",
        when=is_(f"{p}.adjustable", True),
    )
    c.ask(
        f"{p}.highest_rating",
        g,
        "Highest setting or largest fuse, secondary",
        "How high can its trip be set, or how large a fuse does its switch take?",
        unit="A",
        when={
            "any": [
                {
                    "all": [
                        is_(f"{p}.adjustable", True),
                        one_of(f"{p}.rating_basis", "setting_restricted", "setting_open"),
                    ]
                },
                {
                    "all": [
                        is_("transformer.phases", 3),
                        is_(f"{p}.device_kind", "fuse"),
                        {"not": one_of("transformer.secondary_volts", 120, 208, 240)},
                        {"any": [grouped, {"all": [main, _in_a_switch_for_more(f"{p}.rating")]}]},
                    ]
                },
            ]
        },
    )
    c.ask(
        f"{p}.ground_fault_protection",
        g,
        "Ground-fault protection, secondary",
        "Does it have ground-fault protection of equipment?",
        when={
            "all": [
                is_("transformer.phases", 3),
                {"not": one_of("transformer.secondary_volts", 120, 208, 240)},
                {
                    "any": [
                        grouped,
                        {"all": [main, _rated_from(f"{p}.rating", 1000)]},
                        {"all": [main, _rated_from(f"{p}.highest_rating", 1000)]},
                    ]
                },
            ]
        },
    )
    c.ask(
        f"{p}.arc_energy_reduction",
        g,
        "Arc-energy reduction, secondary",
        "Does it have a means of arc-energy reduction?",
        when={
            "any": [
                grouped,
                {"all": [main, _rated_from(f"{p}.rating", 1200)]},
                {"all": [main, _rated_from(f"{p}.highest_rating", 1200)]},
            ]
        },
    )
    b = "secondary.panelboard"
    c.ask(f"{b}.present", g, "Panelboard", "Do they supply a panelboard?")
    c.ask(
        "observations.supplies_switchboard",
        g,
        "Supplies a switchboard",
        "Do they supply switchgear or a switchboard?",
        when={
            "any": [
                is_("secondary.rule", "industrial_25_ft"),
                is_("secondary.panelboard.present", False),
            ]
        },
    )
    there = {"not": is_(f"{b}.present", False)}
    c.ask(
        f"{b}.rating",
        g,
        "Panelboard rating",
        "What is the rating of the panelboard's bus?",
        unit="A",
        first=(100, 125, 200, 225, 400, 600, 800, 1200),
        other=True,
        when=there,
    )
    c.ask(
        f"{b}.fed_by_two_mains",
        g,
        "Two mains ahead of the bus",
        "Are the grouped devices two mains that feed the bus?",
        when={"all": [there, is_(f"{p}.kind", "grouped_devices")]},
    )
    c.ask(
        f"{b}.at_most_42_poles",
        g,
        "At most 42 poles",
        "Does it have 42 poles or fewer?",
        when={
            "all": [
                there,
                {
                    "any": [
                        is_(f"{b}.fed_by_two_mains", True),
                        # Runs that end in one enclosure bring a main each.
                        {
                            "all": [
                                {"path": FURTHER, "known": True},
                                {"not": one_of(FURTHER, [])},
                            ]
                        },
                    ]
                },
            ]
        },
    )
    c.ask(
        f"{b}.short_circuit_kiloamperes",
        g,
        "Short-circuit rating",
        "What is its short-circuit rating?",
        unit="kA",
        first=(10, 14, 18, 22, 25, 35, 42, 65),
        other=True,
        when={"any": [there, is_("observations.supplies_switchboard", True)]},
    )
    c.ask(
        "observations.dedicated_space_clear",
        g,
        "Space above the panelboard",
        "Is the space above it clear?",
        when={"any": [there, is_("observations.supplies_switchboard", True)]},
    )
    for field, label, ask in (
        (
            "grounded_conductor_identified",
            "Grounded conductor identified",
            "Is the grounded conductor white or gray, and each phase marked?",
        ),
        ("source_marked", "Source marked", "Does the panelboard say where it is fed from?"),
        (
            "fault_current_marked",
            "Fault current marked",
            "Are the fault current and its date marked?",
        ),
        ("arc_flash_marked", "Arc-flash warning", "Is there an arc-flash warning?"),
        (
            "voltage_ratings_enough",
            "Voltage ratings",
            "Is each device, switch and panel rated for its voltage?",
        ),
        (
            "device_height_within_reach",
            "Height of the handles",
            "Is the highest handle at 6 ft 7 in. or lower?",
        ),
    ):
        c.ask(f"observations.{field}", g, label, ask)
    c.ask(
        "observations.high_handle_beside_equipment_supplied",
        g,
        "High handle beside its equipment",
        "Is each handle that is too high right beside its equipment, and can a ladder reach it?",
        when=is_("observations.device_height_within_reach", False),
    )
    c.ask(
        "observations.phases_in_order",
        g,
        "Phases in order",
        "Are the phases in the order A, B, C?",
        when=is_("transformer.phases", 3),
    )


def _bonding(c: _Catalogue) -> None:
    g, j = "bonding", "bonding.system_bonding_jumper"
    c.ask(
        f"{j}.location",
        g,
        "System bonding jumper location",
        "Where is the system bonding jumper?",
        purposes=_ALL,
    )
    several = {
        "any": [
            is_("secondary.protection.one_enclosure", False),
            {
                "all": [
                    {"path": FURTHER, "known": True},
                    {"not": one_of(FURTHER, [])},
                ]
            },
        ]
    }
    c.ask(
        f"{j}.in_each_enclosure",
        g,
        "Jumper in each enclosure",
        "Is there a jumper in each of the first disconnects?",
        when={"all": [is_(f"{j}.location", "first_disconnect"), several]},
        purposes=_ALL,
    )
    there = one_of(f"{j}.location", "source", "first_disconnect", "both")
    c.ask(
        f"{j}.factory_furnished",
        g,
        "Furnished strap or screw",
        "Is it the identified strap or screw that came with the equipment?",
        when=there,
        purposes=_ALL,
    )
    made_on_site: Condition = {"all": [there, {"not": is_(f"{j}.factory_furnished", True)}]}
    c.ask(
        f"{j}.size",
        g,
        "System bonding jumper size",
        "What size is the system bonding jumper?",
        when=made_on_site,
        purposes=_ALL,
        picker=True,
    )
    c.ask(
        f"{j}.material",
        g,
        "System bonding jumper metal",
        "Is the system bonding jumper copper or aluminum?",
        when=made_on_site,
        purposes=_ALL,
    )
    c.ask(
        "observations.no_parallel_neutral_path",
        g,
        "No path parallel to the neutral",
        "Is there no other metal path in parallel with the neutral?",
        when={"all": [is_(f"{j}.location", "both"), is_("transformer.location", "outdoors")]},
        purposes=_ALL,
    )
    metal = ("RMC", "IMC", "EMT", "FMC", "LFMC")
    c.ask(
        "observations.knockouts_bonded",
        g,
        "Knockouts bonded around",
        "Are knockouts with rings left in them bonded around?",
        when={
            "any": [
                {
                    "all": [
                        {"not": one_of("transformer.primary_volts", 120, 208, 240)},
                        one_of("primary.raceway.type", *metal),
                    ]
                },
                {
                    "all": [
                        {"not": one_of("transformer.secondary_volts", 120, 208, 240)},
                        one_of("secondary.raceway.type", *metal),
                    ]
                },
            ]
        },
    )
    ungrounded = is_("transformer.secondary_system", "delta_3_wire_ungrounded")
    c.ask(
        "observations.ground_detector",
        g,
        "Ground detectors",
        "Are ground detectors installed?",
        when=ungrounded,
        purposes=_ALL,
    )
    c.ask(
        "observations.ungrounded_marked",
        g,
        "Marked as ungrounded",
        "Is it marked as ungrounded?",
        when=ungrounded,
        purposes=_ALL,
    )
    high_leg = is_("transformer.secondary_system", "delta_high_leg")
    c.ask(
        "observations.straight_rated_devices",
        g,
        "Straight-rated breakers",
        "Are the breakers straight-rated for this system?",
        when={
            "any": [
                one_of(
                    "transformer.secondary_system",
                    "delta_high_leg",
                    "delta_corner_grounded",
                    "delta_3_wire_ungrounded",
                ),
                is_(f"{j}.location", "none"),
                {
                    "all": [
                        one_of("transformer.secondary_system", "wye_4_wire", "wye_3_wire"),
                        {"not": one_of("transformer.secondary_volts", *_HELD_WYE_VOLTS)},
                    ]
                },
                {
                    "all": [
                        is_("transformer.secondary_system", "single_phase_2_wire"),
                        {"not": one_of("transformer.secondary_volts", *_HELD_2_WIRE_VOLTS)},
                    ]
                },
            ]
        },
    )
    c.ask(
        "observations.high_leg_orange",
        g,
        "High leg orange",
        "Is the high leg orange?",
        when=high_leg,
    )
    c.ask(
        "observations.high_leg_on_b",
        g,
        "High leg on phase B",
        "Is the high leg on phase B?",
        when=high_leg,
    )
    c.ask(
        "observations.high_leg_labeled",
        g,
        "High leg labeled",
        "Does a label on the panelboard give the high leg and its voltage?",
        when=high_leg,
    )
    c.ask(
        "observations.high_leg_free_of_neutral_loads",
        g,
        "High leg free of neutral loads",
        "Is the high leg free of line-to-neutral loads?",
        when=high_leg,
    )
    c.ask(
        "observations.grounded_phase_identified",
        g,
        "Grounded phase identified",
        "Is the grounded phase identified and unfused?",
        when=is_("transformer.secondary_system", "delta_corner_grounded"),
    )


_ELECTRODES = get_args(Electrode)


def _electrode(c: _Catalogue) -> None:
    g, e = "electrode", "electrode"
    c.ask(
        f"{e}.available",
        g,
        "Electrodes at the building",
        "Which electrodes exist here?",
        purposes=_ALL,
    )
    c.ask(
        f"{e}.used",
        g,
        "Electrode in use",
        "Which electrode does the conductor go to?",
        purposes=_ALL,
    )
    made = one_of(f"{e}.used", "rod", "pipe", "plate", "ring", "concrete_encased")
    c.ask(
        f"{e}.sole_connection",
        g,
        "Only connection",
        "Does it end there and go to no other kind?",
        when=made,
        purposes=_ALL,
    )
    c.ask(
        f"{e}.ring_size",
        g,
        "Ground ring size",
        "What size is the ring?",
        when=is_(f"{e}.used", "ring"),
        purposes=_ALL,
        picker=True,
    )
    c.ask(
        f"{e}.joined_to_building_system",
        g,
        "Joined to the building's electrodes",
        "Is it bonded to the building's other electrodes?",
        when={
            "all": [
                {"not": is_(f"{e}.used", "none")},
                {"not": one_of(f"{e}.available", *([kind] for kind in _ELECTRODES))},
            ]
        },
        purposes=_ALL,
    )
    c.ask(
        f"{e}.nearest_of_steel_and_water",
        g,
        "Nearer of steel and water pipe",
        "Is it the nearer of building steel and water pipe?",
        when={
            "all": [
                _in_editions("electrode_preference", "nearest_steel_or_water"),
                one_of(f"{e}.used", "building_steel", "water_pipe"),
                {"not": one_of(f"{e}.available", *([kind] for kind in _ELECTRODES))},
            ]
        },
        purposes=_ALL,
    )
    alone = one_of(f"{e}.available", *([kind] for kind in ("rod", "pipe", "plate", "water_pipe")))
    c.ask(
        f"{e}.supplemented",
        g,
        "Supplemental electrode",
        "Is a supplemental electrode connected as well?",
        when=alone,
        purposes=_ALL,
    )
    c.ask(
        f"{e}.resistance_ohms",
        g,
        "Resistance of the electrode",
        "What is its measured resistance to earth?",
        unit="ohm",
        when={
            "all": [
                one_of(f"{e}.available", ["rod"], ["pipe"], ["plate"]),
                is_(f"{e}.supplemented", False),
            ]
        },
        purposes=_ALL,
    )
    there = {"not": is_(f"{e}.used", "none")}
    c.ask(
        f"{e}.conductor.size",
        g,
        "Electrode conductor size",
        "What size is the electrode conductor?",
        when=there,
        purposes=_ALL,
        picker=True,
    )
    c.ask(
        f"{e}.conductor.material",
        g,
        "Electrode conductor metal",
        "Is the electrode conductor copper or aluminum?",
        when=there,
        purposes=_ALL,
    )
    c.ask(
        f"{e}.connected_at",
        g,
        "Electrode conductor connected at",
        "Where does it connect to the system?",
        when=there,
        purposes=_ALL,
    )
    c.ask(
        f"{e}.common_conductor",
        g,
        "Shared electrode conductor",
        "Is it a tap to a conductor shared by several transformers?",
        when=there,
        purposes=_ALL,
    )
    shared = is_(f"{e}.common_conductor", True)
    c.ask(
        f"{e}.common_conductor_size",
        g,
        "Shared conductor size",
        "What size is the shared conductor?",
        when=shared,
        purposes=_ALL,
        picker=True,
    )
    c.ask(
        f"{e}.common_conductor_material",
        g,
        "Shared conductor metal",
        "Is the shared conductor copper or aluminum?",
        when=shared,
        purposes=_ALL,
    )
    for bond, name in (
        ("water_pipe_bond", "water pipe"),
        ("structural_steel_bond", "structural steel"),
    ):
        b = f"bonding.{bond}"
        c.ask(
            f"{b}.present",
            g,
            f"Bond of the {name}",
            f"Is there a bonding jumper to the {name} in this area?",
            purposes=_ALL,
        )
        c.ask(
            f"{b}.size",
            g,
            f"{name.capitalize()} bond size",
            f"What size is the bond of the {name}?",
            when=is_(f"{b}.present", True),
            purposes=_ALL,
            picker=True,
        )
        c.ask(
            f"{b}.material",
            g,
            f"{name.capitalize()} bond metal",
            f"Is the bond of the {name} copper or aluminum?",
            when=is_(f"{b}.present", True),
            purposes=_ALL,
        )
        c.ask(
            f"{b}.metal_in_area",
            g,
            f"{name.capitalize()} in the area",
            f"Is there {'exposed ' if name == 'structural steel' else 'metal '}{name} in the area served?",
            when=is_(f"{b}.present", False),
            purposes=_ALL,
        )
        c.ask(
            f"{b}.to_common_conductor",
            g,
            f"{name.capitalize()} bonded to the shared conductor",
            f"Is the {name} bonded to the shared electrode conductor in this area?",
            when={"all": [is_(f"{b}.present", False), shared]},
            purposes=_ALL,
        )
    c.ask(
        "observations.aluminum_clear_of_earth",
        g,
        "Aluminum clear of earth",
        "Is the aluminum kept clear of earth and masonry?",
        when={
            "any": [
                is_(path, "aluminum")
                for path in (
                    f"{e}.conductor.material",
                    f"{e}.common_conductor_material",
                    "bonding.water_pipe_bond.material",
                    "bonding.structural_steel_bond.material",
                )
            ]
        },
    )
    c.ask(
        "observations.electrode_conductor_protected",
        g,
        "Electrode conductor protected",
        "Is it in one length, fastened and protected?",
    )
    c.ask(
        "observations.small_electrode_conductor_enclosed",
        g,
        "Small electrode conductor enclosed",
        "Is it in a raceway or cable armor all the way?",
        when=one_of(f"{e}.conductor.size", "18", "16", "14", "12", "10", "8"),
    )
    c.ask(
        "observations.water_pipe_near_entry",
        g,
        "Connection near the water entry",
        "Is the connection within 5 ft of where the water pipe enters?",
        when=is_(f"{e}.used", "water_pipe"),
        purposes=_ALL,
    )
    c.ask(
        "observations.grounding_connections_sound",
        g,
        "Grounding connections",
        "Are the grounding connections made for the purpose, on clean metal?",
    )
    c.ask(
        "observations.ferrous_raceway_bonded",
        g,
        "Steel raceway bonded",
        "Is a steel raceway around it bonded at both ends?",
    )
    c.ask(
        "observations.electrode_at_outdoor_source",
        g,
        "Electrode outdoors",
        "Is an electrode connected at the outdoor transformer?",
        when=is_("transformer.location", "outdoors"),
        purposes=_ALL,
    )


def _after(c: _Catalogue) -> None:
    c.ask(
        "bonding.neutral_bonded_downstream",
        "downstream",
        "Joined downstream",
        "Are neutral and ground joined again downstream?",
        purposes=_ALL,
    )
    g, o = "replacement", "replacement.old"
    only = ("replacement",)
    c.ask(
        "replacement.isolated_both_sides",
        g,
        "Isolated on both sides",
        "Were both sides isolated, locked out and tested dead?",
        purposes=only,
    )
    c.ask(f"{o}.phases", g, "Old phases", "How many phases did the old one have?", purposes=only)
    c.ask(
        f"{o}.kva",
        g,
        "Old rated power",
        "What kVA was the old one?",
        unit="kVA",
        purposes=only,
        picker=True,
        first=USUAL_KVA,
        other=True,
    )
    c.ask(
        f"{o}.primary_volts",
        g,
        "Old primary voltage",
        "What was its primary voltage?",
        unit="V",
        purposes=only,
        first=(480, 240, 208, 600),
        other=True,
    )
    c.ask(
        f"{o}.secondary_volts",
        g,
        "Old secondary voltage",
        "What was its secondary voltage?",
        unit="V",
        purposes=only,
        first=(208, 240, 480, 120),
        other=True,
    )
    c.ask(
        f"{o}.primary_system",
        g,
        "Old primary connection",
        "How was its primary connected?",
        purposes=only,
        choice_when=_by_phase({"not": is_(f"{o}.phases", 3)}, {"not": is_(f"{o}.phases", 1)}),
    )
    c.ask(
        f"{o}.secondary_system",
        g,
        "Old connection",
        "How was its secondary connected?",
        purposes=only,
        choice_when=_by_phase({"not": is_(f"{o}.phases", 3)}, {"not": is_(f"{o}.phases", 1)}),
    )
    c.ask(
        f"{o}.impedance_percent",
        g,
        "Old impedance",
        "What was its impedance?",
        unit="%Z",
        purposes=only,
    )
    c.ask(
        f"{o}.k_factor",
        g,
        "Old K-factor",
        "What was its K-factor?",
        purposes=only,
        first=(1, 4, 9, 13, 20),
        other=True,
        kind="number",
    )
    c.ask(
        f"{o}.temperature_rise_celsius",
        g,
        "Old temperature rise",
        "What was its temperature rise?",
        unit="°C",
        purposes=only,
    )
    c.ask(
        f"{o}.made_before_2016",
        g,
        "Old one made before 2016",
        "Was it made before 2016?",
        purposes=only,
    )
    _case(c, o, g, old=True)
    c.ask(
        "replacement.taps_alike_on_all_phases",
        g,
        "Taps alike",
        "Are the taps of the new one the same on all phases?",
        purposes=only,
    )
    c.ask(
        "replacement.frequency_matches",
        g,
        "Frequency",
        "Does the nameplate frequency match the supply?",
        purposes=only,
    )
    c.ask(
        "replacement.bonds_refitted",
        g,
        "Bonds reinstalled",
        "Were all bonds and the electrode conductor reinstalled?",
        purposes=only,
    )
    g, r = "readings", "readings"
    c.ask(f"{r}.line_to_line_volts", g, "Line to line", "Voltages line to line, no load?", unit="V")
    c.ask(
        f"{r}.line_to_neutral_volts",
        g,
        "Line to neutral",
        "Voltages line to neutral, no load?",
        unit="V",
    )
    c.ask(f"{r}.line_to_ground_volts", g, "Line to ground", "Voltages line to ground?", unit="V")
    c.ask(
        f"{r}.neutral_to_ground_volts",
        g,
        "Neutral to ground",
        "Neutral to ground at the transformer?",
        unit="V",
    )
    c.ask(
        f"{r}.neutral_to_ground_far_volts",
        g,
        "Neutral to ground, far",
        "Neutral to ground at a loaded outlet?",
        unit="V",
    )
    c.ask(
        f"{r}.bonding_conductor_amperes",
        g,
        "Current on the bonding path",
        "Current on the bonding path, under load?",
        unit="A",
    )
    c.ask(
        f"{r}.electrode_conductor_amperes",
        g,
        "Current on the electrode conductor",
        "Current on the electrode conductor, under load?",
        unit="A",
    )
    c.ask(
        f"{r}.neutral_insulation_megohms",
        g,
        "Neutral insulation",
        "Neutral to ground, de-energized, jumper lifted?",
        unit="megohm",
    )
    c.ask(
        f"{r}.winding_insulation_megohms",
        g,
        "Winding insulation",
        "Lowest insulation resistance of the windings?",
        unit="megohm",
    )
    c.ask(
        f"{r}.insulation_test_volts",
        g,
        "Insulation test voltage",
        "At what test voltage?",
        unit="V",
    )
    c.ask(
        f"{r}.bonding_path_ohms",
        g,
        "Bonding path",
        "Resistance of the bonding path, de-energized?",
        unit="ohm",
    )
    c.ask(
        f"{r}.rotation_matches_record",
        g,
        "Rotation",
        "Is the rotation the same as recorded before?",
    )
    c.ask(
        f"{r}.turns_ratio_deviation_percent",
        g,
        "Turns ratio",
        "Largest deviation of the turns ratio?",
        unit="%",
    )
    c.ask(
        f"{r}.turns_ratio_taps_read",
        g,
        "Turns ratio on every tap",
        "Was the ratio tested on every tap?",
    )


def _job(c: _Catalogue) -> None:
    g = "job"
    c.ask(
        "edition",
        g,
        "Edition",
        "Which edition does the authority enforce?",
        purposes=_ALL,
        first=tuple(reversed(EDITIONS)),
    )
    c.ask("name", g, "Name", "What do you call this job?", purposes=_ALL)
    c.ask("place", g, "Place", "Where is it?", purposes=_ALL)
    c.ask("date", g, "Date", "When was the visit?", purposes=_ALL, kind="date")
    c.ask("person", g, "Person", "Who made the visit?", purposes=_ALL)
    c.ask("licence", g, "License", "License or badge number?", purposes=_ALL)
    c.ask("permit", g, "Permit", "Permit number?", purposes=_ALL)
    c.ask("permit_date", g, "Permit date", "Date of the permit?", purposes=_ALL, kind="date")
    c.ask("notes", g, "Notes", "Anything else?", purposes=_ALL, kind="text_long")


@cache
def catalogue() -> tuple[dict[str, Any], ...]:
    """All questions in walking order. Unit: each its own. Section: none."""
    try:
        # The phone need not read the job model for them: the build has written them down.
        return import_module("engine.wizard._compiled_questions").CATALOGUE
    except ImportError:
        return made_catalogue()


@cache
def of_further_runs() -> tuple[dict[str, Any], ...]:
    """What is asked of a further secondary run alone, by the paths of the first of them. Unit: none. Section: none."""
    try:
        return import_module("engine.wizard._compiled_questions").OF_FURTHER_RUNS
    except ImportError:
        return made_of_further_runs()


def made_of_further_runs() -> tuple[dict[str, Any], ...]:
    """What is asked of a further secondary run alone, made from the job model. Unit: none. Section: none."""
    c, g = _Catalogue(), "first_disconnect"
    c.ask(
        f"{FURTHER}.0.in_first_enclosure",
        g,
        "In the enclosure of run 1",
        "Does it end in the same enclosure as the first run?",
        purposes=_ALL,
    )
    c.ask(
        f"{FURTHER}.0.beside_first_run",
        g,
        "Grouped with run 1",
        "Is its device grouped with that of the first run?",
        when=is_(f"{FURTHER}.0.in_first_enclosure", False),
    )
    return tuple(c.questions)


def made_catalogue() -> tuple[dict[str, Any], ...]:
    """All questions in walking order, made from the job model. Unit: each its own. Section: none."""
    c = _Catalogue()
    for part in (
        _nameplate,
        _device,
        _primary_run,
        _enclosure,
        _secondary_run,
        _first_disconnect,
        _bonding,
        _electrode,
        _after,
        _job,
    ):
        part(c)
    return tuple(c.questions)


@cache
def labels() -> dict[str, str]:
    """The short label of every path. Unit: none. Section: none."""
    return {question["path"]: question["label"] for question in _by_path().values()}


@cache
def _by_path() -> dict[str, dict[str, Any]]:
    return {question["path"]: question for question in (*catalogue(), *of_further_runs())}


def question_at(path: str) -> dict[str, Any] | None:
    """The question that asks for a path, None where none does; all secondary runs are asked the same.

    Unit: its own. Section: none.
    """
    return _by_path().get(path) or _by_path().get(first_path(path)[0])


def compiled_source() -> str:
    """Source of `_compiled_questions.py`: all questions as literals. Unit: none. Section: none."""
    return f'"""Made by the build from engine.wizard.questions; never edited."""\nCATALOGUE = {made_catalogue()!r}\nOF_FURTHER_RUNS = {made_of_further_runs()!r}\n'


def questions() -> dict[str, Any]:
    """The whole wizard as plain data, for the screen. Unit: each its own. Section: none."""
    from engine.code.coverage import limits  # noqa: PLC0415  (the phone gets them with the questions)

    asked = catalogue()
    purposes: list[dict[str, Any]] = []
    for purpose in PURPOSES:
        mine = [q for q in asked if purpose["id"] in q["purposes"]]
        groups = [g["id"] for g in GROUPS if any(q["group"] == g["id"] for q in mine)]
        if purpose["id"] == "replacement":
            # The old nameplate goes away with the old transformer, so it is read first.
            groups.sort(key=lambda id_: id_ not in ("nameplate", "replacement"))
        purposes.append({**purpose, "groups": groups})
    return {
        "format": "platepath.questions/1",
        "default_edition": Job.model_fields["edition"].default,
        "purposes": purposes,
        "groups": list(GROUPS),
        "questions": list(asked),
        "together": list(TOGETHER),
        "further_runs": {
            "name": "Run",
            "title": "Secondary runs",
            "text": "One transformer often feeds several panels, each with its own conductors. Add every run: the "
            "bonding jumper and the electrode conductor are sized from all runs together.",
            "most": MOST_FURTHER_RUNS,
            "path": FURTHER,
            "places": dict(PLACES),
            "questions": list(of_further_runs()),
        },
        "limits": [{"text": limit} for limit in limits()],
    }


SIZES_OFFERED = get_args(Size)
TRADE_SIZES_OFFERED = get_args(TradeSize)
