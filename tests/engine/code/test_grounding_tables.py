"""Tables 250.66, 250.102(C)(1) and 250.122 against each other, the 12.5 per cent rule and published examples."""

import pytest

from engine.code import EDITIONS, MATERIALS, SIZES, code_for, size_index

CODE = code_for(2023)


def bands(table: str, ungrounded: str, material: str) -> list[tuple[float, str]]:
    limits, sizes = CODE.lookups[table][ungrounded, material]  # type: ignore[literal-required]
    return list(zip(limits, sizes, strict=True))


@pytest.mark.parametrize("ungrounded", MATERIALS)
@pytest.mark.parametrize("material", MATERIALS)
def test_both_tables_agree_in_every_row_but_the_last(ungrounded: str, material: str) -> None:
    # source: NECA-NEIS code question of the day, 4 January 2017: 250.102(C)(1) equals 250.66 except the last row
    electrode = bands("electrode_conductor", ungrounded, material)
    jumper = bands("bonding_jumper", ungrounded, material)
    assert len(jumper) == 6
    assert electrode[:-1] == jumper
    assert electrode[-1] == (float("inf"), {"copper": "3/0", "aluminum": "250"}[material])


@pytest.mark.parametrize("ungrounded", MATERIALS)
def test_jumpers_of_the_same_metal_are_near_an_eighth_of_the_largest_conductor_of_their_row(
    ungrounded: str,
) -> None:
    # source: 250.102(C)(1) note on 12.5 per cent; the printed rows keep to it within 4 per cent of itself
    for upper, size in bands("bonding_jumper", ungrounded, ungrounded):
        assert CODE.area_kcmil(size) >= 0.96 * CODE.bonding_jumper_percent / 100 * upper


def test_the_percent_rule_takes_over_without_a_step_down() -> None:
    # source: 250.102(C)(1); 12.5 per cent of just over 1100 kcmil needs more than the last printed row gives
    for material, limit in (("copper", 1100), ("aluminum", 1750)):
        last = CODE.bonding_jumper(limit, material, material)
        assert last is not None
        assert CODE.bonding_jumper(limit * 1.0001, material, material) is None
        assert limit * CODE.bonding_jumper_percent / 100 > CODE.area_kcmil(last)


@pytest.mark.parametrize("edition", EDITIONS)
def test_aluminum_twin_of_a_copper_conductor_is_the_same_in_all_three_tables(edition: int) -> None:
    # source: property; the three tables pair the metals by conductance, so a shared copper size has one twin
    code = code_for(edition)
    twins: dict[str, str] = {}
    for rows in (
        zip(code.lookups["electrode_conductor"]["copper", "copper"][1],
            code.lookups["electrode_conductor"]["copper", "aluminum"][1], strict=True),
        zip(code.lookups["bonding_jumper"]["copper", "copper"][1],
            code.lookups["bonding_jumper"]["copper", "aluminum"][1], strict=True),
    ):  # fmt: skip
        for copper, aluminum in rows:
            assert twins.setdefault(copper, aluminum) == aluminum
    for rating, copper in zip(*code.lookups["equipment_grounding"]["copper"], strict=True):
        aluminum = code.equipment_grounding(rating, "aluminum")
        assert aluminum is not None
        if copper in twins:
            assert twins[copper] == aluminum, rating
        # source: Table 8 resistances; the twin conducts at least nine tenths as well
        assert code.dc_resistance(aluminum, "aluminum") < 1.12 * code.dc_resistance(
            copper, "copper"
        ), rating


def test_sizes_never_fall_as_the_circuit_grows() -> None:
    # source: property
    for material in MATERIALS:
        for table in ("electrode_conductor", "bonding_jumper"):
            for ungrounded in MATERIALS:
                indices = [size_index(size) for _, size in bands(table, ungrounded, material)]
                assert indices == sorted(indices)
        ratings, sizes = CODE.lookups["equipment_grounding"][material]
        indices = [size_index(size) for size in sizes]
        assert indices == sorted(indices)
        assert list(ratings) == sorted(ratings)


@pytest.mark.parametrize(
    ("size", "material", "expected"),
    [
        # source: rows "2 or smaller", "1 or 1/0", "2/0 or 3/0" and on, Table 250.66, single conductors on the borders
        ("2", "copper", "8"), ("1", "copper", "6"), ("1/0", "copper", "6"), ("2/0", "copper", "4"),
        ("3/0", "copper", "4"), ("4/0", "copper", "2"), ("350", "copper", "2"), ("400", "copper", "1/0"),
        ("600", "copper", "1/0"), ("700", "copper", "2/0"), ("1000", "copper", "2/0"), ("1250", "copper", "3/0"),
        ("1/0", "aluminum", "8"), ("2/0", "aluminum", "6"), ("250", "aluminum", "4"), ("500", "aluminum", "2"),
        ("900", "aluminum", "1/0"), ("1750", "aluminum", "2/0"), ("2000", "aluminum", "3/0"),
    ],
)  # fmt: skip
def test_single_conductors_on_the_borders_of_the_electrode_table(
    size: str, material: str, expected: str
) -> None:
    for edition in EDITIONS:
        code = code_for(edition)
        assert (
            code.grounding_electrode_conductor(code.area_kcmil(size), material, "copper")
            == expected
        )


def test_a_parallel_set_is_taken_by_its_equal_area() -> None:
    # source: Table 250.66 note 1, area of the largest set; 3 x 1/0 is 316.8 kcmil, in the row to 350
    assert CODE.grounding_electrode_conductor(3 * CODE.area_kcmil("1/0"), "copper", "copper") == "2"
    # source: own arithmetic; an area between 2 AWG and 1 AWG needs the larger row
    assert CODE.grounding_electrode_conductor(70, "copper", "copper") == "6"
    # source: own arithmetic; a sum of floats that should be 350 kcmil exactly stays in its row
    assert CODE.bonding_jumper(sum([0.1] * 3500), "copper", "copper") == "2"


@pytest.mark.parametrize(
    ("area", "copper", "aluminum"),
    # source: Electrical Contractor / forum examples quoted in the notes of the bonding table: 250, 335.6, 750 kcmil
    [(250, "2", "1/0"), (335.6, "2", "1/0"), (750, "2/0", "4/0")],
)
def test_published_bonding_jumpers(area: float, copper: str, aluminum: str) -> None:
    assert CODE.bonding_jumper(area, "copper", "copper") == copper
    assert CODE.bonding_jumper(area, "copper", "aluminum") == aluminum


@pytest.mark.parametrize(
    ("rating", "copper"),
    [
        # source: Mike Holt newsletter 2080, table for the 2017 edition, by device rating
        (15, "14"), (20, "12"), (25, "10"), (60, "10"), (70, "8"), (100, "8"), (110, "6"), (200, "6"), (225, "4"),
        (300, "4"), (350, "3"), (400, "3"), (450, "2"), (500, "2"), (600, "1"), (700, "1/0"), (800, "1/0"),
        (1000, "2/0"), (1200, "3/0"),
    ],
)  # fmt: skip
def test_equipment_grounding_conductors_of_a_published_table(rating: float, copper: str) -> None:
    for edition in EDITIONS:
        assert code_for(edition).equipment_grounding(rating, "copper") == copper


def test_aluminum_equipment_grounding_conductors_of_a_published_table() -> None:
    # source: Bruns Engineering, NEC Table 250.122
    printed = {15: "12", 20: "10", 60: "8", 100: "6", 200: "4", 300: "2", 400: "1", 500: "1/0", 600: "2/0",
               800: "3/0", 1000: "4/0", 1200: "250", 1600: "350", 2000: "400", 2500: "600", 3000: "600",
               4000: "750", 5000: "1250", 6000: "1250"}  # fmt: skip
    for rating, size in printed.items():
        assert CODE.equipment_grounding(rating, "aluminum") == size


def test_largest_aluminum_equipment_grounding_conductors_changed_in_2020() -> None:
    # source: JADE Learning, J. Durham, 2 March 2021: 1200 kcmil for 6000 A until the 2020 change
    keys = {"rating_up_to": 6000, "material": "aluminum"}
    assert code_for(2017).cell("equipment_grounding_conductor", **keys).value == "1200"
    assert code_for(2020).cell("equipment_grounding_conductor", **keys).value == "1250"
    # 1200 kcmil is no row of Table 8, so the conductor of the trade that reaches it is the same in both
    assert code_for(2017).equipment_grounding(6000, "aluminum") == "1250"


def test_above_the_table_there_is_no_equipment_grounding_size() -> None:
    # source: Table 250.122 ends at 6000 A
    assert CODE.equipment_grounding(6001, "copper") is None


@pytest.mark.parametrize(
    ("electrode", "material", "cap"),
    [
        # source: Mike Holt forum 63019 on 250.66(A); Electrical License Renewal sectionID=1000
        ("rod", "copper", "6"), ("pipe", "copper", "6"), ("plate", "copper", "6"), ("rod", "aluminum", "4"),
        # source: EC&M code quiz, 2 January 2026, article 55340858
        ("concrete_encased", "copper", "4"),
        # source: from memory; aluminum is not allowed in contact with concrete
        ("concrete_encased", "aluminum", None),
        # source: 250.66 names no cap for these
        ("structural_metal", "copper", None), ("water_pipe", "copper", None),
    ],
)  # fmt: skip
def test_sole_connection_caps(electrode: str, material: str, cap: str | None) -> None:
    assert CODE.electrode_cap(electrode, material) == cap


def test_common_conductor_and_parallel_minimum() -> None:
    # source: EC&M 2011 NEC changes, page 7, and Electrical License Renewal sectionID=258: 3/0 copper, 250 aluminum
    assert CODE.common_grounding_electrode_conductor("copper") == "3/0"
    assert CODE.common_grounding_electrode_conductor("aluminum") == "250"
    # source: EC&M, 1/0 AWG and larger may run in parallel
    assert CODE.parallel_minimum_size == "1/0"


def test_every_size_a_table_gives_is_a_size_of_the_trade() -> None:
    # source: property; a size outside Table 8 could not be compared with what was found
    for edition in EDITIONS:
        lookups = code_for(edition).lookups
        groups = (
            lookups["equipment_grounding"],
            lookups["electrode_conductor"],
            lookups["bonding_jumper"],
        )
        for group in groups:
            for _, sizes in group.values():
                assert set(sizes) <= set(SIZES)


@pytest.mark.parametrize("material", MATERIALS)
def test_the_percent_rule_is_an_eighth_for_both_metals(material: str) -> None:
    # source: NEC Digest example of 12.5 per cent, quoted in Mike Holt forum 27781
    keys = {"row": 7, "up_to_copper": "", "up_to_aluminum": "", "material": material}
    assert float(CODE.cell("bonding_jumper", **keys).value) == CODE.bonding_jumper_percent == 12.5


@pytest.mark.parametrize(
    ("item", "value", "unit"),
    [
        # source: VoltageLab, the eight grounding electrodes, voltagelab.com
        ("metal underground water pipe length in earth, minimum", 10, "ft"),
        ("concrete-encased electrode length, minimum", 20, "ft"),
        ("concrete-encased reinforcing bar diameter, minimum", 0.5, "in"),
        # source: EC&M code Q&A, ground rod electrodes
        ("rod or pipe length in earth, minimum", 8, "ft"),
        # source: adopted residential code text of 250.53, up.codes
        ("spacing between electrodes of different systems, minimum", 6, "ft"),
        # source: from memory
        ("single rod resistance limit to omit a supplement", 25, "ohm"),
        ("ground ring length, minimum", 20, "ft"),
    ],
)
def test_dimensions_of_electrodes(item: str, value: float, unit: str) -> None:
    cell = CODE.cell("electrodes", item=item)
    assert (float(cell.value), cell.unit) == (value, unit)
