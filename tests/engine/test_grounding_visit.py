"""A grounding visit asks what its own checks wait for, so that sound answers alone end it without a conflict."""

import pytest

from engine.evaluation.order import RULES
from engine.wizard.questions import catalogue
from tests.engine.checked import checked
from tests.engine.jobs import BUILDERS, FACTS, job, put

VISIT = {q["path"] for q in catalogue() if "grounding" in q["purposes"]}
# What the visit's checks may read and the visit does not ask of everyone; the check that waits for it lists it.
NOT_OF_EVERYONE = {
    **dict.fromkeys(
        (
            "secondary.conductors.ambient_celsius",
            "secondary.conductors.current_carrying",
            "secondary.conductors.insulation",
            "secondary.conductors.length_feet",
            "secondary.conductors.termination_celsius",
            "secondary.conductors.wet_location",
            "secondary.grounded_conductor.current_carrying",
            "secondary.grounded_conductor.insulation",
            "secondary.protection.termination_celsius",
            "secondary.raceway.height_above_roof_inches",
            "secondary.raceway.length_feet",
            "secondary.raceway.nipple",
            "secondary.raceway.on_sunny_rooftop",
            "secondary.rule",
            "transformer.secondary_terminal_celsius",
        ),
        "the ampacity of a grounded phase, which carries what the other phases carry",
    ),
    "primary.equipment_grounding.kind": "a second path beside the jumper, where it is at both ends",
    "primary.raceway.type": "a second path beside the jumper, where it is at both ends",
    "secondary.enclosed_in_raceway": "a raceway that is the supply-side bonding jumper",
    "secondary.qualified_persons_only": "control circuits that are left ungrounded, where it alone would excuse nothing",
    "secondary.raceway.flexible_length_feet": "a raceway that is the supply-side bonding jumper",
}
WAITS = {"corner-grounded delta": "grounded_conductor"}


def test_the_visit_asks_what_its_checks_read() -> None:
    questions = {question["path"] for question in catalogue()}
    read = {path for rule in RULES if rule.grounding_visit is True for path in rule.asks}
    assert (read & questions) - VISIT == {*NOT_OF_EVERYONE}


@pytest.mark.parametrize("name", list(BUILDERS))
def test_the_answers_of_the_visit_alone_end_it(name: str) -> None:
    data = BUILDERS[name]()
    data["purpose"] = "grounding"
    for path in FACTS:
        if path not in VISIT:
            put(data, path, None)
    result = checked(job(data))
    open_ = [check.id for check in result.checks if check.asked and check.verdict == "cannot_tell"]
    assert open_ == ([WAITS[name]] if name in WAITS else [])
    assert result.overall.verdict == ("not_determined" if open_ else "no_conflict_found")


def test_conductors_recorded_in_the_open_are_told_on_the_visit() -> None:
    # 300.3(A): single conductors are part of a wiring method; whichever rule they rely on is not asked on this visit
    data = BUILDERS["sound"]()
    data["purpose"] = "grounding"
    for path in FACTS:
        if path not in VISIT:
            put(data, path, None)
    put(data, "secondary.enclosed_in_raceway", False)
    result = checked(job(data))
    (check,) = (each for each in result.checks if each.id == "secondary_rule")
    assert check.asked and check.verdict == "cannot_tell"
    assert result.overall.verdict == "not_determined"
