"""Tables 450.3(A), 450.3(B) and 240.6(A) against prints; they have no formula behind them."""

import pytest

from engine.code import EDITIONS, code_for
from engine.code.sources import cells

CODE = code_for(2023)


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(
    ("method", "side", "amperes", "percent", "round_up"),
    [
        # source: Ferraz Shawmut/Mersen transformer protection application notes, studylib.net/doc/18037339, and a
        # transformer manufacturer's guide to 450.3(B), scribd.com/document/705716507; borders of both bands
        ("primary_only", "primary", 9, 125, True), ("primary_only", "primary", 8.99, 167, False),
        ("primary_only", "primary", 2, 167, False), ("primary_only", "primary", 1.99, 300, False),
        ("primary_and_secondary", "primary", 90.2, 250, False), ("primary_and_secondary", "primary", 0.5, 250, False),
        ("primary_and_secondary", "secondary", 9, 125, True), ("primary_and_secondary", "secondary", 8.99, 167, False),
        ("primary_and_secondary", "secondary", 1, 167, False),
    ],
)  # fmt: skip
def test_protection_up_to_1000_volts(
    edition: int, method: str, side: str, amperes: float, percent: float, round_up: bool
) -> None:
    found = code_for(edition).transformer_protection_percent(method, side, amperes)  # type: ignore[arg-type]
    assert found is not None
    assert (found.percent, found.next_size_up_permitted) == (percent, round_up)


def test_primary_only_protection_needs_no_secondary_device() -> None:
    # source: Cooper Bussmann, equipment protection, scribd.com/document/57304943
    assert CODE.transformer_protection_percent("primary_only", "secondary", 200) is None


def test_a_computed_nine_amperes_is_nine() -> None:
    # source: own arithmetic; 0.1 x 90 is 9 but for the last binary digit
    found = CODE.transformer_protection_percent("primary_only", "primary", 9 - 1e-12)
    assert found is not None
    assert found.percent == 125


def test_percentages_up_to_1000_volts_have_two_prints_each() -> None:
    # source: the rows themselves; a percentage without formula is guarded by two prints
    assert {row.status for row in cells("transformer_protection", 2023).values()} == {"two-sources"}


@pytest.mark.parametrize(
    ("impedance", "multiple"),
    # source: Table 450.3(B) note 3, from memory
    [(5.75, 6), (6, 6), (6.01, 4), (10, 4), (10.01, None)],
)
def test_coordinated_thermal_protection(impedance: float, multiple: float | None) -> None:
    assert CODE.thermal_protection_multiple(impedance) == multiple


def test_six_secondary_devices_may_stand_for_one() -> None:
    # source: Table 450.3(B) note 2 as quoted in Mike Holt forum 2586959
    assert CODE.grouped_secondary_devices == 6


@pytest.mark.parametrize(
    ("location", "method", "impedance", "device", "side", "percent"),
    [
        # source: engineering data listing of NEC 2017 Table 450.3(A), engdatabase.com/data/nec-ocpd-ratings/4503a
        ("any", "primary_and_secondary", 6, "breaker", "primary", 600),
        ("any", "primary_and_secondary", 6, "fuse", "primary", 300),
        ("any", "primary_and_secondary", 6, "breaker", "secondary_over_1000", 300),
        ("any", "primary_and_secondary", 6, "fuse", "secondary_over_1000", 250),
        ("any", "primary_and_secondary", 6, "breaker", "secondary_1000_or_less", 125),
        ("any", "primary_and_secondary", 6.1, "breaker", "primary", 400),
        ("any", "primary_and_secondary", 10, "fuse", "primary", 300),
        ("any", "primary_and_secondary", 10, "breaker", "secondary_over_1000", 250),
        ("any", "primary_and_secondary", 10, "fuse", "secondary_over_1000", 225),
        ("any", "primary_and_secondary", 10, "fuse", "secondary_1000_or_less", 125),
        ("supervised", "primary_only", 5, "breaker", "primary", 300),
        ("supervised", "primary_only", 50, "fuse", "primary", 250),
        # source: Mike Holt forum 8446 on T450.3(A)
        ("supervised", "primary_and_secondary", 5, "breaker", "primary", 600),
        # source: from memory
        ("supervised", "primary_and_secondary", 5, "breaker", "secondary_1000_or_less", 250),
        ("supervised", "primary_and_secondary", 8, "breaker", "primary", 400),
        ("supervised", "primary_and_secondary", 8, "fuse", "secondary_1000_or_less", 250),
        ("supervised", "primary_and_secondary", 5, "fuse", "primary", 300),
        ("supervised", "primary_and_secondary", 5, "breaker", "secondary_over_1000", 300),
        ("supervised", "primary_and_secondary", 5, "fuse", "secondary_over_1000", 250),
        ("supervised", "primary_and_secondary", 8, "fuse", "primary", 300),
        ("supervised", "primary_and_secondary", 8, "breaker", "secondary_over_1000", 250),
        ("supervised", "primary_and_secondary", 8, "fuse", "secondary_over_1000", 225),
    ],
)  # fmt: skip
def test_protection_over_1000_volts(
    location: str, method: str, impedance: float, device: str, side: str, percent: float
) -> None:
    found = CODE.transformer_protection_percent_over_1000(location, method, impedance, device, side)  # type: ignore[arg-type]
    assert found is not None
    assert found.percent == percent


def test_over_1000_volts_the_table_is_silent_where_it_should_be() -> None:
    ask = CODE.transformer_protection_percent_over_1000
    # source: Table 450.3(A) has no row above 10 per cent impedance
    assert ask("any", "primary_and_secondary", 10.5, "breaker", "primary") is None
    # source: Table 450.3(A) gives primary-only protection for supervised locations alone
    assert ask("any", "primary_only", 5, "breaker", "primary") is None
    # source: the same listing, secondary protection not required
    assert ask("supervised", "primary_only", 5, "breaker", "secondary_1000_or_less") is None


def test_cells_of_450_3_a_that_lack_a_print_are_known() -> None:
    # source: the rows themselves; these percentages rest on memory and are shown so on the provenance page
    weak = {
        key[:5]
        for key, row in cells("transformer_protection_over_1000", 2023).items()
        if row.status == "memory"
    }
    assert len(weak) == 9
    assert all(key[0] == "supervised" and key[1] == "primary_and_secondary" for key in weak)
    for key, row in cells("transformer_protection_over_1000", 2023).items():
        if row.status == "memory":
            assert key[5] == "no", "a recalled percentage must not be rounded up as well"


# source: NEC list of standard ratings; to 1000 A in a transformer manufacturer's guide, scribd.com/document/705716507,
# from 1200 A the same figures head rows of Table 250.122 (Bruns Engineering), 700 and 800 A likewise
COMMON = (15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450,
          500, 600, 700, 800, 1000, 1200, 1600, 2000, 2500, 3000, 4000, 5000, 6000)  # fmt: skip


@pytest.mark.parametrize("edition", EDITIONS)
def test_standard_ratings(edition: int) -> None:
    code = code_for(edition)
    # source: Vector Solutions and ExpertCE courses on the 2023 NEC: 10 A becomes a breaker rating in 2023
    assert code.standard_ratings("breaker") == ((10, *COMMON) if edition >= 2023 else COMMON)
    # source: EC&M code Q&A, fuse and breaker ratings, article 20904390: fuses also 1, 3, 6, 10 and 601 A
    assert code.standard_ratings("fuse") == tuple(sorted((1, 3, 6, 10, 601, *COMMON)))


@pytest.mark.parametrize(
    ("amperes", "kind", "above", "below"),
    [
        # source: own arithmetic on the list above; 112.8 A is 125 % of 75 kVA at 480 V
        (112.76, "breaker", 125, 110), (125, "breaker", 125, 125), (125 + 1e-8, "breaker", 125, 125),
        (125 - 1e-8, "breaker", 125, 125), (6000.1, "breaker", None, 6000), (7.81, "fuse", 10, 6),
        (0.5, "fuse", 1, None), (600.5, "fuse", 601, 600),
    ],
)  # fmt: skip
def test_next_and_largest_standard_rating(
    amperes: float, kind: str, above: float | None, below: float | None
) -> None:
    assert CODE.next_standard_rating(amperes, kind) == above  # type: ignore[arg-type]
    assert CODE.largest_standard_rating_not_over(amperes, kind) == below  # type: ignore[arg-type]
