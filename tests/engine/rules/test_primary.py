"""Primary conductors: load, protection, equipment grounding.

Source of ampacities: Table 310.16 as extracted in 2018 IRC Table E3705.1 (copper 1 AWG 110/130/145 A, 3 AWG 85/100/115 A,
4/0 AWG 195/230/260 A, in the 60/75/90 °C columns). Equipment grounding: Table 250.122, Bruns Engineering's print.
"""

import pytest

from tests.engine.checked import found, value_of, verdict
from tests.engine.jobs import nameplate, parallel, sound, with_facts

SIZE = "primary__conductors__size"
RATING = "primary__device__rating"


def test_conductors_that_carry_the_whole_device_carry_any_load():
    check = found("primary_conductors", sound(), primary__load__continuous_amperes=None)
    assert check.verdict == "meets"
    assert "130 A" in check.found  # 1 AWG copper at 75 °C, Table 310.16


@pytest.mark.parametrize(
    ("continuous", "rest", "expected"),
    [
        # 3 AWG at 75 °C terminals: 100 A (Table 310.16). 80 × 125 % = 100 A; 80.1 × 125 % = 100.1 A (215.2(A)(1))
        (80, 0, "meets"),
        (80.1, 0, "does_not_meet"),
        (60, 25, "meets"),
        (60, 25.1, "does_not_meet"),
    ],
)
def test_a_continuous_load_counts_125_percent_before_correction(continuous, rest, expected):
    data = with_facts(
        sound(),
        **{SIZE: "3"},
        primary__load__continuous_amperes=continuous,
        primary__load__noncontinuous_amperes=rest,
    )
    assert verdict("primary_conductors", data) == expected


def test_a_device_for_100_percent_takes_the_continuous_load_as_it_is():
    data = with_facts(
        sound(),
        **{SIZE: "3"},
        primary__load__continuous_amperes=95,
        primary__load__noncontinuous_amperes=0,
    )
    assert verdict("primary_conductors", data) == "does_not_meet"
    assert verdict("primary_conductors", data, primary__device__continuous_percent=100) == "meets"
    assert (
        verdict("primary_conductors", data, primary__device__continuous_percent=None)
        == "cannot_tell"
    )


@pytest.mark.parametrize(
    ("facts", "shown"),
    [
        # 215.2(A)(1): the noncontinuous load and 125 percent of the continuous load
        ({}, "95 A continuous × 125 % + 4 A = 122.8 A"),
        # its exception for a device listed for 100 percent of its rating
        (
            {"primary__device__continuous_percent": 100},
            "95 A continuous × 100 % + 4 A = 99 A",
        ),
    ],
)
def test_the_load_is_shown_as_it_is_worked_out(facts, shown):
    check = found(
        "primary_conductors",
        sound(),
        **{SIZE: "3"},
        primary__load__continuous_amperes=95,
        primary__load__noncontinuous_amperes=4,
        **facts,
    )
    assert check.steps[0].startswith(f"{shown}, limited")


@pytest.mark.parametrize(
    ("celsius", "expected"),
    [
        # 3 AWG THWN-2: 115 A in the 90 °C column; at 41–45 °C × 0.87 = 100.05, at 46–50 °C × 0.82 = 94.3 A
        # (Table 310.15(B)(1), 2021 Colorado Residential Code E3705.2); whole load 100 A after correction
        (45, "meets"),
        (46, "does_not_meet"),
    ],
)
def test_the_whole_load_counts_after_correction(celsius, expected):
    data = with_facts(
        sound(),
        **{SIZE: "3"},
        primary__device__continuous_percent=100,
        primary__load__continuous_amperes=100,
        primary__load__noncontinuous_amperes=0,
        primary__conductors__ambient_celsius=celsius,
    )
    assert verdict("primary_conductors", data) == expected


def test_an_unknown_load_that_could_decide_can_not_be_told():
    check = found(
        "primary_conductors", sound(), **{SIZE: "3"}, primary__load__continuous_amperes=None
    )
    assert check.verdict == "cannot_tell"
    assert check.missing == ["primary.load.continuous_amperes"]


def test_unknown_metal_is_held_against_aluminum():
    # 1/0 copper 150 A, aluminum 120 A (Table 310.16, 75 °C): 120 A device holds for both
    check = found(
        "primary_conductors",
        sound(),
        **{SIZE: "1/0", RATING: 110},
        primary__conductors__material=None,
    )
    assert check.verdict == "meets"
    assert any("aluminum" in note for note in check.even_if)


def test_unknown_metal_that_decides_can_not_be_told():
    check = found(
        "primary_conductor_protection", sound(), **{SIZE: "1"}, primary__conductors__material=None
    )
    # copper 130 A meets 125 A; aluminum 100 A and its next rating 110 A do not
    assert check.verdict == "cannot_tell"
    assert check.missing == ["primary.conductors.material"]
    assert "aluminum" in check.reason


def test_above_1000_volts_the_conductors_are_not_judged():
    data = with_facts(sound(), transformer__primary_volts=4160)
    for id_ in (
        "primary_conductors",
        "primary_conductor_protection",
        "primary_equipment_grounding",
        "primary_raceway",
    ):
        assert verdict(id_, data) == "cannot_tell"


@pytest.mark.parametrize(("size", "expected"), [("1/0", "meets"), ("1", "does_not_meet")])
def test_only_1_0_and_larger_run_in_parallel(size, expected):
    # 310.10(G): 1/0 AWG and larger (Mike Holt, parallel conductors; common practice)
    data = with_facts(
        sound(), **{SIZE: size}, primary__conductors__sets=2, primary__conductors__raceways=2
    )
    assert verdict("primary_conductors", data) == expected


@pytest.mark.parametrize(
    ("size", "rating", "expected"),
    [
        ("1", 130, "meets"),  # 130 A
        ("1", 150, "meets"),  # next standard rating above 130 A (240.4(B), 240.6(A))
        ("1", 151, "does_not_meet"),
        ("1", 175, "does_not_meet"),
        ("3", 100, "meets"),  # 100 A is itself a standard rating
        ("3", 110, "does_not_meet"),
    ],
)
def test_the_device_may_be_the_next_standard_rating_above_the_ampacity(size, rating, expected):
    assert (
        verdict("primary_conductor_protection", sound(), **{SIZE: size, RATING: rating}) == expected
    )


@pytest.mark.parametrize(
    ("sets", "size", "rating", "expected"),
    [
        # 2 × 500 kcmil copper, 75 °C: 2 × 380 = 760 A; next standard 800 A (Table 310.16, 240.6(A))
        (2, "500", 800, "meets"),
        # 3 × 400 kcmil copper: 3 × 335 = 1005 A; 1200 A is above 800 A, so no rounding up (240.4(C))
        (3, "400", 1000, "meets"),
        (3, "400", 1200, "does_not_meet"),
    ],
)
def test_above_800_amperes_nothing_is_rounded_up(sets, size, rating, expected):
    data = with_facts(
        parallel(),
        **{SIZE: size, RATING: rating},
        primary__conductors__sets=sets,
        primary__conductors__raceways=sets,
    )
    assert verdict("primary_conductor_protection", data) == expected


@pytest.mark.parametrize(
    ("size", "material", "rating", "expected"),
    [
        # 240.4(D): 14 AWG copper 15 A, 12 AWG copper 20 A, 10 AWG copper 30 A; 12 AWG aluminum 15 A, 10 AWG aluminum 25 A
        # (Encore Wire size table footnote)
        ("14", "copper", 15, "meets"),
        ("14", "copper", 20, "does_not_meet"),
        ("12", "copper", 20, "meets"),
        ("12", "copper", 25, "does_not_meet"),
        ("10", "copper", 30, "meets"),
        ("10", "copper", 35, "does_not_meet"),
        ("12", "aluminum", 15, "meets"),
        ("12", "aluminum", 20, "does_not_meet"),
        ("10", "aluminum", 25, "meets"),
        ("10", "aluminum", 30, "does_not_meet"),
    ],
)
def test_small_conductors_have_their_own_largest_device(size, material, rating, expected):
    data = with_facts(
        sound(), **{SIZE: size, RATING: rating}, primary__conductors__material=material
    )
    assert verdict("primary_conductor_protection", data) == expected


def test_the_kind_of_device_is_asked_for_only_where_it_decides():
    # 1 AWG: the next rating above 130 A is 150 A for breakers and fuses alike
    assert (
        verdict(
            "primary_conductor_protection", sound(), **{RATING: 150}, primary__device__kind=None
        )
        == "meets"
    )


@pytest.mark.parametrize(
    ("size", "length", "expected"),
    [
        # a tap supplying a transformer: at least 1/3 of the 300 A device = 100 A (240.21(B)(3)); 3 AWG has 100 A, 4 AWG 85 A
        ("3", 5, "meets"),
        ("4", 5, "does_not_meet"),
        ("3", 25.1, "does_not_meet"),
    ],
)
def test_a_tap_supplying_a_transformer_needs_a_third_of_the_device(size, length, expected):
    data = with_facts(
        sound(),
        **{SIZE: size, RATING: 300},
        secondary__rule="feeder_tap_25_ft",
        primary__conductors__length_feet=length,
        primary__raceway__length_feet=length,
    )
    assert verdict("primary_conductor_protection", data) == expected


@pytest.mark.parametrize(
    ("continuous", "rest", "percent", "expected"),
    [
        # 215.3: device not less than 125 % of the continuous load plus the rest; 125 A device
        (100, 0, 80, "meets"),
        (100.1, 0, 80, "does_not_meet"),
        (60, 50, 80, "meets"),
        (125, 0, 100, "meets"),
        (125.1, 0, 100, "does_not_meet"),
        (125, 0, None, "cannot_tell"),
    ],
)
def test_the_device_carries_its_load(continuous, rest, percent, expected):
    assert (
        verdict(
            "primary_load",
            sound(),
            primary__load__continuous_amperes=continuous,
            primary__load__noncontinuous_amperes=rest,
            primary__device__continuous_percent=percent,
        )
        == expected
    )


@pytest.mark.parametrize(
    ("size", "material", "expected"),
    [
        # Table 250.122, device up to 200 A: 6 AWG copper, 4 AWG aluminum (the 125 A device)
        ("6", "copper", "meets"),
        ("8", "copper", "does_not_meet"),
        ("4", "aluminum", "meets"),
        ("6", "aluminum", "does_not_meet"),
    ],
)
def test_the_equipment_grounding_conductor_follows_the_device(size, material, expected):
    data = with_facts(
        sound(),
        primary__equipment_grounding__size=size,
        primary__equipment_grounding__material=material,
    )
    assert verdict("primary_equipment_grounding", data) == expected


@pytest.mark.parametrize(("rating", "expected"), [(100, "8"), (101, "6"), (200, "6"), (201, "4")])
def test_the_table_of_equipment_grounding_conductors_changes_above_its_rows(rating, expected):
    # Table 250.122: 100 A 8 AWG, 200 A 6 AWG, 300 A 4 AWG copper; conductors as large as the device asks
    size = {100: "3", 101: "2", 200: "3/0", 201: "4/0"}[rating]
    data = with_facts(sound(), **{SIZE: size, RATING: rating})
    assert value_of("primary_equipment_grounding_minimum", data) == expected


def test_each_parallel_raceway_has_a_full_size_equipment_grounding_conductor():
    # Table 250.122, 800 A: 1/0 AWG copper, in each of the two raceways (250.122(F))
    assert verdict("primary_equipment_grounding", parallel()) == "meets"
    assert (
        verdict("primary_equipment_grounding", parallel(), primary__equipment_grounding__size="1")
        == "does_not_meet"
    )


def test_nothing_found_is_a_danger():
    check = found(
        "primary_equipment_grounding",
        sound(),
        primary__equipment_grounding__kind="none",
        primary__raceway__type="PVC40",
    )
    assert (check.verdict, check.severity) == ("does_not_meet", "danger")


def test_no_wire_beside_a_metal_raceway_asks_whether_the_raceway_serves():
    assert (
        verdict("primary_equipment_grounding", sound(), primary__equipment_grounding__kind="none")
        == "cannot_tell"
    )


@pytest.mark.parametrize(
    ("type_", "expected"),
    [
        ("RMC", "meets"),
        ("IMC", "meets"),
        ("EMT", "meets"),
        ("PVC40", "does_not_meet"),
        ("ENT", "does_not_meet"),
    ],
)
def test_a_raceway_serves_only_where_it_is_metal(type_, expected):
    # 250.118: RMC, IMC and EMT serve
    data = with_facts(
        sound(), primary__equipment_grounding__kind="raceway", primary__raceway__type=type_
    )
    assert verdict("primary_equipment_grounding", data) == expected


FLEXIBLE = with_facts(
    nameplate(5, 1, 480, 240),
    primary__device__rating=20,
    primary__device__adjustable=False,
    primary__equipment_grounding__kind="raceway",
    primary__raceway__type="FMC",
    primary__raceway__trade_size="3/4",
    primary__raceway__length_feet=6,
    primary__raceway__flexible_length_feet=6,
    primary__raceway__flexibility_needed=False,
    primary__raceway__fittings_listed_for_grounding=True,
)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 250.118(5), (6): 6 ft in the path; FMC 20 A; LFMC 20 A in 3/8 and 1/2, 60 A in 3/4 to 1-1/4; no movement
        # (Mike Holt forum, "6-foot limit of liquid-tight", threads 2583498 and 127329)
        ({}, "meets"),
        ({"flexible_length_feet": 6.01}, "does_not_meet"),
        ({"flexibility_needed": True}, "does_not_meet"),
        ({"fittings_listed_for_grounding": False}, "does_not_meet"),
        ({"fittings_listed_for_grounding": None}, "cannot_tell"),
        ({"type": "LFMC", "trade_size": "1/2"}, "meets"),
        ({"type": "LFMC", "trade_size": "1-1/4"}, "meets"),
        ({"type": "LFMC", "trade_size": "1-1/2"}, "does_not_meet"),
    ],
)
def test_a_flexible_raceway_serves_only_within_its_limits(facts, expected):
    data = with_facts(
        FLEXIBLE, **{f"primary__raceway__{name}": value for name, value in facts.items()}
    )
    assert verdict("primary_equipment_grounding", data) == expected


@pytest.mark.parametrize(
    ("type_", "trade", "rating", "expected"),
    [
        ("FMC", "3/4", 20.1, "does_not_meet"),
        ("LFMC", "1/2", 20.1, "does_not_meet"),
        ("LFMC", "3/8", 20, "meets"),
        ("LFMC", "3/4", 60, "meets"),
        ("LFMC", "3/4", 60.1, "does_not_meet"),
    ],
)
def test_a_flexible_raceway_serves_only_behind_a_small_device(type_, trade, rating, expected):
    data = with_facts(
        FLEXIBLE,
        primary__raceway__type=type_,
        primary__raceway__trade_size=trade,
        **{RATING: rating},
    )
    assert verdict("primary_equipment_grounding", data) == expected


def test_a_rating_that_is_none_of_the_standard_ones_is_not_called_one():
    # 240.6(A) has 700 A and 800 A, and no 775 A; two sets of 500 kcmil copper carry 760 A at 75 °C (Table 310.16)
    check = found("primary_conductor_protection", parallel(), **{RATING: 775})
    assert check.verdict == "meets"
    said = f"{check.reason} {check.required} {check.found}"
    assert "is the next standard rating" not in said
    assert "775 A is" not in said
    assert "not above the next standard rating" in check.reason
