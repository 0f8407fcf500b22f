"""Properties that every lookup keeps for any input, whatever the edition."""

from math import isclose

from hypothesis import given
from hypothesis import strategies as st

from engine.code import EDITIONS, MATERIALS, code_for, size_index
from engine.code.fill_table import equal_conductors
from engine.physics.raceway_fill import number_that_fits

codes = st.sampled_from([code_for(edition) for edition in EDITIONS])
materials = st.sampled_from(MATERIALS)
kinds = st.sampled_from(("breaker", "fuse"))
amperes = st.floats(0.01, 7000)
areas = st.floats(1, 10000)


@given(codes, amperes, kinds)
def test_the_two_nearest_standard_ratings_enclose_the_current(code, current, kind) -> None:
    # source: property of 240.6(A)
    above, below = (
        code.next_standard_rating(current, kind),
        code.largest_standard_rating_not_over(current, kind),
    )
    ratings = code.standard_ratings(kind)
    assert above is None or above >= current or isclose(above, current)
    assert below is None or below <= current or isclose(below, current)
    assert not [rating for rating in ratings if (below or 0) < rating < (above or 1e9)]


@given(codes, areas, areas, materials, materials)
def test_more_conductor_never_needs_less_grounding(
    code, first, second, ungrounded, material
) -> None:
    # source: property of Tables 250.66 and 250.102(C)(1)
    small, large = sorted((first, second))
    electrode = [
        code.grounding_electrode_conductor(area, ungrounded, material) for area in (small, large)
    ]
    assert size_index(electrode[0]) <= size_index(electrode[1])
    jumper = [code.bonding_jumper(area, ungrounded, material) for area in (small, large)]
    if jumper[1] is not None:
        assert jumper[0] is not None
        assert size_index(jumper[0]) <= size_index(jumper[1])
        # source: 250.102(C)(1) and 250.66 agree wherever the first has a row
        assert jumper[1] == electrode[1]


@given(codes, st.floats(-60, 120), st.floats(-60, 120), st.sampled_from((60, 75, 90)))
def test_warmer_surroundings_never_leave_more_ampacity(code, first, second, column) -> None:
    # source: property of Table 310.15(B)(1)
    cool, warm = (code.ambient_factor(celsius, column) for celsius in sorted((first, second)))
    assert (warm or 0) <= (cool or 0)
    assert cool is None or cool <= 1.29


@given(codes, st.integers(1, 500), st.integers(1, 500))
def test_more_conductors_never_leave_more_ampacity(code, first, second) -> None:
    # source: property of Table 310.15(C)(1)
    few, many = sorted((first, second))
    assert 0.35 <= code.adjustment_factor(many) <= code.adjustment_factor(few) <= 1


@given(codes, amperes, st.sampled_from(("primary_only", "primary_and_secondary")))
def test_small_transformers_may_have_the_larger_percentage(code, current, method) -> None:
    # source: property of Table 450.3(B), from memory; 250 % on the primary stands for all sizes
    found = code.transformer_protection_percent(method, "primary", current)
    smaller = code.transformer_protection_percent(method, "primary", current / 5)
    assert found.percent <= smaller.percent
    assert not (found.next_size_up_permitted and found.percent != 125)


@given(codes, st.sampled_from(("RMC", "IMC", "EMT", "PVC40", "PVC80", "LFMC")), st.data())
def test_the_fill_table_counts_as_the_physics_of_raceways_does(code, raceway, data) -> None:
    # source: engine/physics/raceway_fill.py, written on its own
    trade_size = data.draw(st.sampled_from(code.raceway_trade_sizes(raceway)))
    size = data.draw(st.sampled_from(("14", "10", "8", "4", "1", "1/0", "4/0", "250", "500")))
    count = equal_conductors(code, raceway, trade_size, size, "XHHW-2")
    if count >= 3:
        assert count == number_that_fits(
            raceway_area=code.raceway_area(raceway, trade_size),
            percent=code.fill_percent(3),
            conductor_area=code.conductor_area(size, "XHHW-2"),
            round_up_decimal=code.fill_round_up_decimal,
        )
