"""What the lookups say outside the tables, and how quick they are."""

import pytest

from engine.code import (
    INSULATIONS,
    RACEWAY_TYPES,
    SIZES,
    TRADE_SIZES,
    UnknownSize,
    code_for,
    size_index,
)

CODE = code_for(2023)


def test_one_code_per_edition_is_kept() -> None:
    assert code_for(2023) is CODE
    assert code_for(2020) is not CODE
    assert code_for(2020).edition == 2020


def test_a_code_cannot_be_changed() -> None:
    with pytest.raises(AttributeError):
        CODE.edition = 2020  # type: ignore[misc]


def test_sizes_stand_in_trade_order() -> None:
    # source: Table 8 of Chapter 9, rows from 18 AWG to 2000 kcmil, each larger than the one before
    assert len(SIZES) == 30
    areas = [CODE.area_kcmil(size) for size in SIZES]
    assert areas == sorted(areas)
    assert [size_index(size) for size in SIZES] == list(range(30))
    with pytest.raises(UnknownSize, match="is not a conductor size"):
        size_index("5")


def test_every_insulation_has_dimensions_and_a_dry_temperature() -> None:
    for insulation in INSULATIONS:
        assert CODE.conductor_area("4/0", insulation), insulation
        assert CODE.insulation_column(insulation, False) in (60, 75, 90)


def test_every_raceway_type_has_trade_sizes_in_order() -> None:
    for raceway in RACEWAY_TYPES:
        sizes = CODE.raceway_trade_sizes(raceway)
        assert list(sizes) == [size for size in TRADE_SIZES if size in sizes]
        assert len(sizes) >= 6


def test_liquidtight_nonmetallic_means_type_b() -> None:
    assert (
        CODE.raceway_area("LFNC", "1")
        == CODE.raceway_area("LFNC-B", "1")
        != CODE.raceway_area("LFNC-A", "1")
    )


def test_outside_the_tables_there_is_no_value() -> None:
    assert CODE.ampacity("18", "copper", 75) is None
    assert CODE.ampacity("14", "aluminum", 75) is None
    assert CODE.raceway_area("EMT", "6") is None
    assert CODE.raceway_area("cardboard", "1") is None
    assert CODE.raceway_trade_sizes("cardboard") == ()
    assert CODE.conductor_area("1250", "THHN") is None
    assert CODE.conductor_area("4/0", "TW", compact=True) is None
    assert CODE.ac_impedance("700", "copper", "PVC") is None
    assert CODE.ac_impedance("14", "aluminum", "PVC") is None
    assert CODE.insulation_column("paper", False) is None


def test_fill_limits() -> None:
    # source: Modern Commercial Wiring (Goodheart-Willcox 2018) p. 100; Alabama's NFPA 70-2020, Chapter 9 note 4
    assert [CODE.fill_percent(count) for count in (1, 2, 3, 40)] == [53, 31, 40, 40]
    assert (CODE.nipple_fill_percent, CODE.nipple_maximum_inches, CODE.fill_round_up_decimal) == (
        60,
        24,
        0.8,
    )


def test_usual_transformers() -> None:
    # source: 10 CFR 431.196 (Washington WAC 51-11C-40507 print): three phase 75 kVA, 98.60 %, and the kVA list
    assert {15, 30, 45, 75, 112.5, 150, 225, 300, 500, 750, 1000} <= set(CODE.standard_kva(3))
    assert {15, 25, 37.5, 50, 75, 100, 167, 250, 333} <= set(CODE.standard_kva(1))
    assert CODE.minimum_efficiency(3, 75, 2016) == 98.6
    assert CODE.minimum_efficiency(3, 75, 2006) is None
    assert CODE.minimum_efficiency(3, 75, 2029) is None
    # source: from memory, 10 CFR 431.192 as issued in 2006
    assert CODE.normal_impedance_range(3, 75) == (1.5, 6)
    assert CODE.normal_impedance_range(3, 76) is None
