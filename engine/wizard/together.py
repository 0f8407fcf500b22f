"""What is asked together on one screen: the usual nameplates, conductors, taps, terminals and sizes in one tap."""

from typing import Any, NamedTuple, get_args

from engine.code.sizes import Material
from engine.wizard.answers import ANSWER_WORDS


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
_ON_A_NAMEPLATE = (
    "phases",
    "primary_volts",
    "secondary_volts",
    "primary_system",
    "secondary_system",
)
_ONE_TAP = "One tap answers all that is on the button. If anything differs, pick another one."


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


def _conductors(material: str, sets: int) -> dict[str, Any]:
    """A tap for a metal and a number of conductors per phase."""
    return {
        "value": f"{material}_{sets}",
        "label": f"{ANSWER_WORDS[material]}, {'one' if sets == 1 else f'{sets} in parallel'}",
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
        "help": _ONE_TAP,
        **_nameplates("transformer", _ON_A_NAMEPLATE),
    },
    {
        "id": "secondary_metal_and_sets",
        "group": "secondary_run",
        "ask": "What metal are the secondary conductors, and how many per phase?",
        "help": "One: a single conductor per phase. In parallel: joined at both ends to make one.",
        "paths": ["secondary.conductors.material", "secondary.conductors.sets"],
        "choices": [
            _conductors(material, sets) for sets in (1, 2, 3) for material in get_args(Material)
        ],
    },
    {
        "id": "old_nameplate_voltages",
        "group": "replacement",
        "ask": "Which of these did the old nameplate say?",
        "help": _ONE_TAP,
        **_nameplates("replacement.old", _ON_A_NAMEPLATE),
    },
    *_case_of("transformer", "nameplate", "new", "does", "is"),
    *_case_of("replacement.old", "replacement", "old", "did", "was"),
)
