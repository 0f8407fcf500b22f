"""A remedy mends what it stands beside: no larger size where no size would do, no device that is itself too large."""

import pytest

from tests.engine.checked import found, verdict
from tests.engine.jobs import parallel, sound, with_facts


@pytest.mark.parametrize("side", ["primary", "secondary"])
def test_a_dry_insulation_in_a_wet_run_is_not_mended_by_a_larger_size(side):
    # THHN is for dry and damp locations only (Table 310.4(1))
    facts = {f"{side}__conductors__insulation": "THHN", f"{side}__conductors__wet_location": True}
    check = found(f"{side}_conductors", sound(), **facts)
    assert check.verdict == "does_not_meet"
    assert "wet location" in check.reason
    assert check.remedy == "Conductors with an insulation for wet locations."


def test_too_much_heat_is_not_mended_by_a_larger_size():
    # Table 310.15(B)(1): no factor for 75 °C insulation above 70 °C
    check = found(
        "secondary_conductors",
        sound(),
        secondary__conductors__insulation="THWN",
        secondary__conductors__ambient_celsius=75,
    )
    assert check.verdict == "does_not_meet"
    assert "75 °C ambient" in check.reason
    assert "insulation for a higher temperature" in check.remedy


@pytest.mark.parametrize(
    ("rating", "remedy"),
    [
        # 75 kVA at 480 V: 90.2 A; 125 % and the next standard rating 125 A; 250 % 225.5 A (Table 450.3(B))
        (200, "A device of 125 A or less, or secondary protection that keeps its own limit."),
        (
            400,
            "A device of 125 A or less, or a device of 225 A or less with secondary protection that keeps its own limit.",
        ),
    ],
)
def test_secondary_protection_alone_mends_no_device_above_its_limit_with_it(rating, remedy):
    check = found(
        "primary_device",
        sound(),
        primary__device__rating=rating,
        secondary__protection__rating=400,
    )
    assert check.verdict == "does_not_meet"
    assert check.remedy == remedy


@pytest.mark.parametrize(
    ("facts", "instead"),
    [
        ({}, "a smaller device at their end"),
        ({"secondary__protection__kind": "main_lugs_only"}, "equipment of a smaller rating"),
    ],
)
def test_what_would_do_in_place_of_larger_conductors_is_there_to_be_changed(facts, instead):
    check = found("secondary_conductors", sound(), secondary__conductors__size="3/0", **facts)
    assert check.remedy == f"4/0 AWG copper or larger, or {instead}."


@pytest.mark.parametrize(("continuous", "offered"), [(190, True), (240, False)])
def test_a_device_for_its_whole_rating_is_offered_only_where_it_would_do(continuous, offered):
    # 225 A main: 190 A continuous asks for 237.5 A at 125 %, 240 A is above the rating itself (215.3)
    check = found(
        "secondary_load",
        sound(),
        secondary__load__continuous_amperes=continuous,
        secondary__load__noncontinuous_amperes=0,
    )
    assert check.verdict == "does_not_meet"
    assert ("100 % continuously" in check.remedy) is offered


def test_a_jumper_at_each_end_is_not_called_one():
    # 250.30(A)(1), the exception for an outdoor source with no path beside the neutral
    data = with_facts(
        sound(),
        transformer__location="outdoors",
        observations__no_parallel_neutral_path=True,
        primary__equipment_grounding={"kind": "none"},
        primary__raceway__type="PVC40",
        bonding__supply_side_bonding_jumper__kind="none",
        secondary__raceway__type="PVC40",
        bonding__system_bonding_jumper__location="both",
    )
    for furnished in (True, False):
        check = found(
            "system_bonding_jumper",
            data,
            bonding__system_bonding_jumper__factory_furnished=furnished,
        )
        assert check.verdict == "meets"
        assert check.reason.startswith("One jumper at each end")


def test_one_raceway_is_said_in_the_singular():
    check = found(
        "grounded_conductor_sets",
        parallel(),
        secondary__conductors__raceways=1,
        secondary__grounded_conductor__sets=4,
    )
    assert check.required.startswith("one in the raceway;")


@pytest.mark.parametrize(
    ("readings", "expected"),
    [([208], "cannot_tell"), ([208, 209, 208], "meets"), ([180], "does_not_meet")],
)
def test_fewer_readings_than_pairs_of_lines_pass_nothing(readings, expected):
    # common practice, no source: three pairs on three phases
    assert (
        verdict("line_to_line_reading", sound(), readings__line_to_line_volts=readings) == expected
    )
