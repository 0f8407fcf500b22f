"""Overcurrent protection of the transformer, 450.3.

Source of every percentage, unless a line says otherwise: Table 450.3(B) as printed in Ferraz Shawmut/Mersen,
"Transformer Protection" application notes. Standard ratings: 240.6(A) as printed in a transformer manufacturer's guide
(scribd.com/document/705716507). Currents are own arithmetic: kVA × 1000 / (√3 × V).
"""

import pytest

from tests.engine.checked import found, value_of, verdict
from tests.engine.jobs import nameplate, sound, with_facts

PRIMARY = "primary__device__rating"


def lugs_only():
    """75 kVA with main lugs only: nothing protects the secondary."""
    return with_facts(sound(), secondary__protection__kind="main_lugs_only")


@pytest.mark.parametrize(
    ("kva", "phases", "primary", "secondary", "id_", "expected"),
    [
        # 45 kVA, 480 V: 54.13 A × 1.25 = 67.7, next standard 70 A (common practice: an existing 50 A device is legal)
        (45, 3, 480, 208, "primary_device_maximum", 70),
        # 75 kVA: 90.21 × 1.25 = 112.8, next standard 125 A (Charles R. Miller, "Sizing Conductors, Part XXX")
        (75, 3, 480, 208, "primary_device_maximum", 125),
        # 208.18 × 1.25 = 260.2, next standard 300 A
        (75, 3, 480, 208, "secondary_device_maximum", 300),
        # 100 kVA single-phase, 480 V: 208.33 × 1.25 = 260.4, next standard 300 A
        (100, 1, 480, 240, "primary_device_maximum", 300),
        # 48 kVA single-phase, 480 V: 100 A × 1.25 = 125 A, itself a standard rating
        (48, 1, 480, 240, "primary_device_maximum", 125),
    ],
)
def test_125_percent_takes_the_next_standard_rating(kva, phases, primary, secondary, id_, expected):
    assert value_of(id_, nameplate(kva, phases, primary, secondary)) == expected


def test_250_percent_is_never_rounded_up():
    # 90.211 A × 2.5 = 225.53 A; the largest standard rating that keeps it is 225 A (240.6(A))
    value = value_of("primary_device_maximum_with_secondary_protection", sound())
    assert value == pytest.approx(225.527, abs=0.001)


@pytest.mark.parametrize(
    ("kva", "percent"),
    [
        # Table 450.3(B), primary only: less than 2 A 300 %, 2 A to less than 9 A 167 %; at 480 V single-phase
        (0.959, 300),  # 1.998 A
        (0.96, 167),  # 2.000 A
        (4.319, 167),  # 8.998 A
    ],
)
def test_small_transformers_have_their_own_percentages(kva, percent):
    value = value_of("primary_device_maximum", nameplate(kva, 1, 480, 240))
    assert value == pytest.approx(kva * 1000 / 480 * percent / 100)


def test_from_9_amperes_on_it_is_125_percent():
    # 4.32 kVA / 480 V = 9 A × 1.25 = 11.25 A, next standard breaker rating 15 A
    assert value_of("primary_device_maximum", nameplate(4.32, 1, 480, 240)) == 15


def test_a_secondary_below_9_amperes_may_have_167_percent():
    # 2 kVA single-phase at 240 V: 8.333 A × 1.67 = 13.92 A
    value = value_of("secondary_device_maximum", nameplate(2, 1, 480, 240))
    assert value == pytest.approx(8.3333 * 1.67, rel=1e-4)


def test_a_primary_device_at_its_limit_alone_meets():
    assert verdict("primary_device", lugs_only(), **{PRIMARY: 125}) == "meets"


def test_a_primary_device_above_its_limit_alone_does_not_meet_without_secondary_protection():
    assert verdict("primary_device", lugs_only(), **{PRIMARY: 150}) == "does_not_meet"


@pytest.mark.parametrize(
    ("rating", "expected"), [(225, "meets"), (225.5, "meets"), (225.6, "does_not_meet")]
)
def test_with_secondary_protection_the_primary_device_may_reach_250_percent(rating, expected):
    assert verdict("primary_device", sound(), **{PRIMARY: rating}) == expected


@pytest.mark.parametrize(("rating", "expected"), [(300, "meets"), (301, "does_not_meet")])
def test_secondary_protection_counts_only_within_its_own_limit(rating, expected):
    data = with_facts(sound(), primary__device__rating=225, secondary__protection__rating=rating)
    assert verdict("primary_device", data) == expected
    assert verdict("secondary_device", data) == expected


def test_a_smaller_device_is_legal():
    assert verdict("primary_device", sound(), **{PRIMARY: 15}) == "meets"


def test_without_the_primary_device_nothing_can_be_told():
    check = found("primary_device", sound(), **{PRIMARY: None})
    assert check.verdict == "cannot_tell"
    assert check.missing == ["primary.device.rating"]


def test_a_large_primary_device_with_an_unknown_secondary_can_not_be_told():
    check = found(
        "primary_device", sound(), primary__device__rating=200, secondary__protection__kind=None
    )
    assert check.verdict == "cannot_tell"
    assert "secondary.protection.kind" in check.missing


@pytest.mark.parametrize(
    ("ratings", "expected"),
    [
        ([100, 100, 100], "meets"),  # together 300 A, the limit
        ([100, 100, 101], "does_not_meet"),
        ([50, 50, 50, 50, 50, 50], "meets"),  # note 2: up to six
        ([40, 40, 40, 40, 40, 40, 40], "does_not_meet"),  # seven
        ([], "does_not_meet"),
    ],
)
def test_up_to_six_grouped_devices_stand_for_one(ratings, expected):
    data = with_facts(
        sound(),
        primary__device__rating=200,
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=ratings,
    )
    assert verdict("secondary_device", data) == expected
    assert verdict("primary_device", data) == expected


def test_the_secondary_device_is_not_asked_for_when_the_primary_protects_alone():
    check = found("secondary_device", lugs_only())
    assert check.verdict == "does_not_apply"
    assert "alone" in check.reason


def test_the_secondary_device_is_missing_when_the_primary_is_above_its_limit_alone():
    assert verdict("secondary_device", lugs_only(), primary__device__rating=150) == "does_not_meet"


def test_an_unknown_secondary_device_can_not_be_told():
    check = found("secondary_device", sound(), secondary__protection__rating=None)
    assert check.verdict == "cannot_tell"
    assert check.missing[0] == "secondary.protection.rating"


@pytest.mark.parametrize(
    ("impedance", "rating", "expected"),
    [
        # Table 450.3(B) note 3, from memory: 6 times up to 6 %, 4 times above 6 % up to 10 %; rated current 90.211 A
        (6, 541, "meets"),
        (6, 542, "does_not_meet"),
        (6.01, 360, "meets"),
        (6.01, 361, "does_not_meet"),
        (10, 360, "meets"),
        (10.01, 360, "does_not_meet"),
    ],
)
def test_coordinated_thermal_protection_allows_a_multiple_of_the_rated_current(
    impedance, rating, expected
):
    data = with_facts(
        sound(),
        transformer__coordinated_thermal_protection=True,
        transformer__impedance_percent=impedance,
        primary__device__rating=rating,
    )
    assert verdict("primary_device", data) == expected


def test_whether_note_3_holds_without_secondary_protection_is_not_claimed():
    data = with_facts(
        lugs_only(), transformer__coordinated_thermal_protection=True, primary__device__rating=500
    )
    assert verdict("primary_device", data) == "cannot_tell"


# Table 450.3(A) as listed in "NEC 2017 Table 450.3(A)", engdatabase.com; 500 kVA, 4160 V: 69.39 A.
OVER = with_facts(
    nameplate(500, 3, 4160, 480),
    transformer__supervised=False,
    transformer__impedance_percent=5.5,
    primary__device__kind="fuse",
    primary__device__rating=200,
    primary__device__adjustable=False,
    secondary__protection__kind="main_device",
    secondary__protection__rating=800,
    secondary__protection__device_kind="breaker",
    secondary__protection__adjustable=False,
)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # any location, up to 6 %: fuse 300 % = 208.2 A, next standard 225 A; secondary 125 % of 601.4 A, next standard 800 A
        ({"primary__device__rating": 225}, "meets"),
        ({"primary__device__rating": 226}, "does_not_meet"),
        # any location, above 6 %: breaker 400 % = 277.6 A, next standard 300 A
        (
            {
                "primary__device__kind": "breaker",
                "transformer__impedance_percent": 8,
                "primary__device__rating": 300,
            },
            "meets",
        ),
        (
            {
                "primary__device__kind": "breaker",
                "transformer__impedance_percent": 8,
                "primary__device__rating": 301,
            },
            "does_not_meet",
        ),
        # a secondary device of 1200 A is within 250 % (supervised) and above 125 % (elsewhere) of 601.4 A
        ({"transformer__supervised": None}, "meets"),
        ({"transformer__supervised": None, "secondary__protection__rating": 1200}, "cannot_tell"),
        ({"transformer__impedance_percent": None}, "cannot_tell"),
    ],
)
def test_above_1000_volts_the_other_table_governs(facts, expected):
    assert verdict("primary_device", OVER, **facts) == expected


def test_the_rows_for_any_location_hold_in_a_supervised_one_too():
    # Any location: fuse 300 % = 208.2 A, next standard 225 A by note 1; the secondary then at most 125 % of 601.4 A, next
    # standard 800 A. Supervised: 208.2 A plain, the secondary up to 250 %.
    data = with_facts(OVER, transformer__supervised=True, primary__device__rating=225)
    assert verdict("primary_device", data) == "meets"
    assert verdict("secondary_device", data) == "meets"
    assert verdict("primary_device", data, primary__device__rating=226) == "does_not_meet"
    # Each pair is one row: the larger fuse of the one does not go with the larger secondary device of the other.
    larger = with_facts(data, secondary__protection__rating=1200)
    assert verdict("primary_device", larger) == "does_not_meet"
    assert verdict("primary_device", larger, primary__device__rating=200) == "meets"


def test_a_supervised_place_may_protect_on_the_primary_alone():
    # supervised, primary only, fuse 250 %: 173.5 A, next standard 175 A
    data = with_facts(
        OVER,
        transformer__supervised=True,
        secondary__protection__kind="main_lugs_only",
        primary__device__rating=175,
    )
    assert verdict("primary_device", data) == "meets"
    assert verdict("primary_device", data, primary__device__rating=176) == "does_not_meet"
