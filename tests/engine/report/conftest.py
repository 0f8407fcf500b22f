"""Results that the report's tests print. Sizes and lengths are our own scenario; no standard asks for these very ones."""

import json
from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from engine import Job, Result, evaluate

BARE: dict[str, Any] = {
    "format": "platepath.job/1",
    "transformer": {"kva": 75, "phases": 3, "primary_volts": 480, "secondary_volts": 208},
    "primary": {"device": {"rating": 125}},
}
BONDED: dict[str, Any] = {
    **BARE,
    "name": "T-3",
    "place": "Room 104",
    "date": "2026-05-04",
    "person": "A. Reader",
    "licence": "L-77",
    "permit": "P-42",
    "transformer": {
        **BARE["transformer"],
        "primary_system": "delta_3_wire",
        "secondary_system": "wye_4_wire",
        "impedance_percent": 4.5,
        "construction": "dry",
        "location": "indoors",
    },
    "secondary": {
        "first_disconnect_separate": True,
        "protection": {"kind": "main_device", "rating": 225},
        "panelboard": {"rating": 225, "short_circuit_kiloamperes": 10},
        "conductors": {"size": "4/0", "material": "copper", "insulation": "THWN-2", "sets": 1},
        "grounded_conductor": {"size": "4/0", "material": "copper"},
        "raceway": {"type": "EMT", "trade_size": "2-1/2"},
    },
    "bonding": {
        "system_bonding_jumper": {
            "location": "first_disconnect",
            "size": "2",
            "material": "copper",
        },
        "supply_side_bonding_jumper": {"kind": "wire", "size": "2", "material": "copper"},
        "neutral_bonded_downstream": False,
        "water_pipe_bond": {"present": True, "size": "2", "material": "copper"},
        "structural_steel_bond": {"present": True, "size": "2", "material": "copper"},
    },
    "electrode": {
        "available": ["building_steel", "water_pipe"],
        "used": "building_steel",
        "sole_connection": True,
        "conductor": {"size": "2", "material": "copper"},
        "connected_at": "first_disconnect",
        "common_conductor": False,
    },
}

Printed = Callable[..., Result]


def _result(data: dict[str, Any], facts: dict[str, Any]) -> Result:
    job = deepcopy(data)
    for name, value in facts.items():
        *parts, last = name.split("__")
        place = job
        for part in parts:
            place = place.setdefault(part, {})
        place[last] = value
    return evaluate(Job.model_validate_json(json.dumps(job)))


def _printed(data: dict[str, Any]) -> Printed:
    def printed(**facts: Any) -> Result:
        return _result(data, facts)

    return printed


@pytest.fixture
def bare() -> Printed:
    """The result of a nameplate and a primary device, with facts replaced; two underscores stand for the dot."""
    return _printed(BARE)


@pytest.fixture
def bonded() -> Printed:
    """The result of an installation whose bonding is all seen and in order, with facts replaced."""
    return _printed(BONDED)
