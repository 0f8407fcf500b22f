"""Facts of a high leg, a neutral or a grounded system where there is none, and the labels of an ungrounded system."""

import pytest

from engine.files.refusals import job_from_data
from tests.engine.checked import checked, verdict
from tests.engine.jobs import (
    high_leg,
    replaced,
    single_phase,
    sound,
    two_runs,
    ungrounded_delta,
    with_facts,
)


@pytest.mark.parametrize(
    ("labeled", "panelboard", "expected"),
    # 408.3(F)(2): the caution on the panelboard, beside the mark of 250.21(C)
    [
        (True, True, "meets"),
        (False, True, "does_not_meet"),
        (None, True, "cannot_tell"),
        (None, False, "does_not_apply"),
    ],
)
def test_a_panelboard_of_an_ungrounded_system_is_labeled(labeled, panelboard, expected):
    data = with_facts(
        ungrounded_delta(),
        observations__ungrounded_labeled=labeled,
        secondary__panelboard={"present": panelboard},
    )
    assert verdict("ungrounded_label", data) == expected


def test_a_grounded_system_needs_no_such_label():
    assert verdict("ungrounded_label", sound()) == "does_not_apply"


@pytest.mark.parametrize(
    ("base", "facts", "expected"),
    # 240.85: no conductor above the lower voltage of the label. 277 V, 347 V and 240 V to ground are above the 120 V of
    # the lowest label; at 120 V no label is too low
    [
        (sound, {"transformer__secondary_volts": 480}, "cannot_tell"),
        (sound, {"transformer__secondary_volts": 600}, "cannot_tell"),
        (single_phase, {"transformer__secondary_volts": 480}, "cannot_tell"),
        (sound, {}, "does_not_apply"),
        (single_phase, {}, "does_not_apply"),
    ],
)
def test_breakers_that_are_said_not_to_fit_are_looked_at_again(base, facts, expected):
    data = with_facts(base(), **facts, observations__straight_rated_devices=False)
    assert verdict("straight_rated_devices", data) == expected
    for fits in (True, None):
        data = with_facts(base(), **facts, observations__straight_rated_devices=fits)
        assert verdict("straight_rated_devices", data) == "does_not_apply"


def test_breakers_of_a_further_run_are_looked_at_again_too():
    data = with_facts(
        two_runs(),
        transformer__secondary_volts=480,
        secondary__further_runs__0__observations__straight_rated_devices=False,
    )
    assert verdict("straight_rated_devices", data) == "cannot_tell"


@pytest.mark.parametrize(
    ("run", "orange", "marking"),
    # 110.15: orange where the grounded conductor is also present
    [
        (True, False, "does_not_meet"),
        (None, False, "does_not_meet"),
        (False, False, "cannot_tell"),
        (False, True, "meets"),
    ],
)
def test_a_high_leg_is_orange_where_a_neutral_is(run, orange, marking):
    data = with_facts(
        high_leg(),
        secondary__grounded_conductor__present=run,
        secondary__grounded_conductor__size=None,
        observations__high_leg_orange=orange,
    )
    assert verdict("high_leg_marking", data) == marking


@pytest.mark.parametrize(
    ("run", "free", "expected"),
    [
        (False, None, "does_not_apply"),
        (False, False, "does_not_meet"),
        (True, None, "cannot_tell"),
        (None, None, "cannot_tell"),
        (True, False, "does_not_meet"),
    ],
)
def test_nothing_is_connected_to_a_neutral_that_is_not_run(run, free, expected):
    # 110.15, common practice, no source
    data = with_facts(
        high_leg(),
        secondary__grounded_conductor__present=run,
        secondary__grounded_conductor__size=None,
        observations__high_leg_free_of_neutral_loads=free,
    )
    assert verdict("high_leg_loads", data) == expected


@pytest.mark.parametrize(
    ("old", "expected"),
    # 250.20(B): either may stay ungrounded; only one of them was perhaps grounded
    [
        ("wye_4_wire", "cannot_tell"),
        ("delta_corner_grounded", "cannot_tell"),
        (None, "cannot_tell"),
        ("delta_3_wire_ungrounded", "meets"),
    ],
)
def test_bonds_that_are_back_without_a_jumper(old, expected):
    data = with_facts(
        ungrounded_delta(),
        purpose="replacement",
        transformer__secondary_volts=480,
        transformer__secondary_system="wye_4_wire",
        replacement__old__secondary_system=old,
        secondary__grounded_conductor={"present": False},
        bonding__system_bonding_jumper__location="none",
    )
    assert verdict("replacement_bonds", data) == expected


@pytest.mark.parametrize(
    "run", ["observations", "secondary__further_runs__0__observations"], ids=["run 1", "run 2"]
)
@pytest.mark.parametrize(
    "fact",
    ["ungrounded_marked", "ungrounded_labeled", "high_leg_orange", "grounded_phase_identified"],
)
def test_what_the_system_does_not_have_is_named_in_each_run(run, fact):
    # common practice, no source: what the words mean
    path = f"{run}__{fact}".replace("__", ".")
    told, _ = job_from_data(replaced(two_runs(), **{f"{run}__{fact}": True}))
    result = checked(told)
    assert any(path == each.path for entry in result.contradictions for each in entry.facts)
