"""One treatment of every conductor: each requirement of each role has a rule that reads that role's facts, or a reason."""

import csv
from pathlib import Path
from typing import get_args

import pytest

from engine.derived.circuits import CONDUCTORS, PRESENCE, Role
from engine.evaluation.order import RULES
from tests.engine.jobs import FACTS

MATRIX = Path(__file__).resolve().parents[2] / "engine" / "rules" / "conductor_matrix.csv"
# The facts of a conductor that a rule must ask for to hold it to a requirement.
FACTS_OF = {
    "current": ("size", "material"),
    "size_table": ("size", "material"),
    "wet_place": ("insulation",),
    "hot_place": ("size", "material", "insulation"),
    "terminals": ("size", "ends"),
    "lug_metal": ("material",),
    "parallel": ("size", "sets"),
    "protection": ("size", "material"),
    "raceway_fill": ("size", "insulation"),
    # Settled by a look at all of them together.
    "way": (),
    "identification": (),
}
AMBIENT = {"primary": "primary.conductors.ambient_celsius", "secondary": "secondary.conductors.ambient_celsius"}  # fmt: skip
WET = {side: f"{side}.conductors.wet_location" for side in ("primary", "secondary")}
ASKS = {rule.id: set(rule.asks) for rule in RULES}


def cells(path: Path = MATRIX) -> list[dict[str, str]]:
    """The rows of the matrix: requirement, role, rule, reason."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def faults(rows: list[dict[str, str]]) -> list[str]:
    """What is wrong with a matrix: a cell that is empty, a rule that is none, a rule that does not read the role's facts."""
    found: list[str] = []
    there = {(row["requirement"], row["role"]) for row in rows}
    found += [
        f"{requirement} of {role}: no cell"
        for requirement in FACTS_OF
        for role in get_args(Role)
        if (requirement, role) not in there
    ]
    for row in rows:
        where = f"{row['requirement']} of {row['role']}"
        if bool(row["rule"]) == bool(row["reason"]):
            found.append(f"{where}: a rule or a reason, one of the two")
        elif row["rule"] and row["rule"] not in ASKS:
            found.append(f"{where}: no rule {row['rule']}")
        elif row["rule"]:
            missing = wanted(row["requirement"], row["role"]) - ASKS[row["rule"]]
            if missing:
                found.append(f"{where}: {row['rule']} does not ask for {sorted(missing)}")
    return found


def wanted(requirement: str, role: str) -> set[str]:
    """The paths that a rule must ask for to hold a role to a requirement."""
    conductor = CONDUCTORS[role]
    paths: set[str] = set()
    for part in FACTS_OF[requirement]:
        value = getattr(conductor, part)
        paths |= set(value if isinstance(value, tuple) else (value,)) - {""}
    if requirement == "parallel" and conductor.side and not conductor.sets:
        paths.add(f"{conductor.side}.conductors.sets")
    if requirement == "hot_place":
        paths.add(AMBIENT[conductor.side])
    if requirement == "wet_place":
        paths.add(WET[conductor.side])
    return paths


def test_every_conductor_has_an_answer_to_every_requirement() -> None:
    assert faults(cells()) == []


@pytest.mark.parametrize(
    ("requirement", "role", "change", "said"),
    [
        ("current", "neutral", {"rule": ""}, "one of the two"),
        ("current", "neutral", {"reason": "none"}, "one of the two"),
        ("current", "return", {"rule": "no_such_rule"}, "no rule"),
        # the hole that was there: the neutral's metal was not read by the rule about lugs
        ("lug_metal", "neutral", {"rule": "torque"}, "secondary.grounded_conductor.material"),
        ("wet_place", "primary_equipment_grounding", {"rule": "wet_insulation"}, "insulation"),
        ("raceway_fill", "neutral", {"rule": "primary_raceway"}, "does not ask"),
    ],
)
def test_a_hole_in_the_matrix_is_found(requirement, role, change, said) -> None:
    rows = [
        row | change if (row["requirement"], row["role"]) == (requirement, role) else row
        for row in cells()
    ]
    assert any(said in fault for fault in faults(rows))
    assert faults([row for row in rows if row["role"] != role])


def test_the_conductors_are_facts_of_a_job() -> None:
    assert set(CONDUCTORS) == set(get_args(Role))
    for role, each in CONDUCTORS.items():
        named = {each.size, each.material, each.insulation, each.sets, *each.ends} - {""}
        assert named | set(PRESENCE.get(role, ())) <= set(FACTS), role
        assert each.title
