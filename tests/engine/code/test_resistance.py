"""Tables 8 and 9 of Chapter 9 against the resistivity of copper and aluminum."""

import itertools
from math import isclose, pi

import pytest

from engine.code import SIZES, code_for
from engine.code.sources import cells

CODE = code_for(2023)


def resistance_75(material: str, kcmil: float, stranded: bool) -> float:
    """Direct-current resistance [ohm per 1000 ft] at 75 °C from resistivity.

    Source: annealed copper of 100 % IACS, 10.371 ohm cmil/ft and 0.00393 per K at 20 °C (ASTM B258, IEC 60028);
    aluminum of 61 % IACS, 17.002 ohm cmil/ft and 0.00403 per K (ASTM B230); stranding lay 2 % (ASTM B8).
    """
    resistivity, coefficient = {"copper": (10.371, 0.00393), "aluminum": (17.002, 0.00403)}[
        material
    ]
    return resistivity / kcmil * (1 + coefficient * (75 - 20)) * (1.02 if stranded else 1)


@pytest.mark.parametrize(("material", "symbol"), [("copper", "Cu uncoated"), ("aluminum", "Al")])
@pytest.mark.parametrize("stranding", ["solid", "stranded"])
def test_direct_current_resistance_follows_from_resistivity(
    material: str, symbol: str, stranding: str
) -> None:
    checked = 0
    for (size, kind, quantity), row in cells("conductor_properties", 2023).items():
        if kind == stranding and quantity == f"DC resistance 75C {symbol}" and row.value:
            checked += 1
            expected = resistance_75(material, CODE.area_kcmil(size), stranding == "stranded")
            # three figures are printed, so a leading 1 leaves half a per cent to rounding
            assert isclose(float(row.value), expected, rel_tol=0.012), size
    assert checked >= 6


def test_lookup_takes_the_stranded_resistance_where_both_are_printed() -> None:
    # source: rows of Table 8 for 8 AWG
    row = cells("conductor_properties", 2023)["8", "stranded", "DC resistance 75C Cu uncoated"]
    assert CODE.dc_resistance("8", "copper") == float(row.value)


@pytest.mark.parametrize("material", ["copper", "aluminum"])
@pytest.mark.parametrize("conduit", ["PVC", "Al", "steel"])
def test_alternating_current_resistance_is_near_and_falls_towards_direct_current(
    material: str, conduit: str
) -> None:
    # source: physics; skin and proximity effect and conduit losses add to the direct-current resistance
    found = [(size, CODE.ac_impedance(size, material, conduit)) for size in SIZES]
    pairs = [(size, pair) for size, pair in found if pair]
    assert len(pairs) >= 20
    resistances = [pair[0] for _, pair in pairs]
    assert resistances == sorted(resistances, reverse=True)
    for size, (resistance, _) in pairs:
        direct = CODE.dc_resistance(size, material)
        # two figures are printed: 3.1 for 14 AWG stands for 3.07 or 3.14
        assert direct * 0.94 <= resistance <= direct * 2.2, size
        if CODE.area_kcmil(size) < 106:
            assert resistance == pytest.approx(direct, rel=0.08), size


def skin_effect(material: str, size: str) -> float:
    """Ratio of alternating to direct-current resistance of one round conductor at 60 Hz and 75 °C.

    Source: IEC 60287-1-1, skin effect factor x4/(192 + 0.8 x4) with x2 = 8 pi f / R' x 1e-7, R' in ohm per metre.
    """
    per_metre = CODE.dc_resistance(size, material) / 304.8
    x4 = (8 * pi * 60 / per_metre * 1e-7) ** 2
    return 1 + x4 / (192 + 0.8 * x4)


@pytest.mark.parametrize("material", ["copper", "aluminum"])
def test_resistance_in_plastic_conduit_is_direct_current_with_skin_and_proximity_effect(
    material: str,
) -> None:
    # source: IEC 60287-1-1; proximity of three conductors adds up to about as much again as the skin effect
    for size in SIZES:
        pair = CODE.ac_impedance(size, material, "PVC")
        if pair:
            direct = CODE.dc_resistance(size, material)
            skin = skin_effect(material, size) - 1
            decimals = 1 if pair[0] >= 1 else max(2, len(f"{pair[0]:g}".split(".")[-1]))
            rounding = 0.5 * 10**-decimals
            assert pair[0] >= direct * 0.985 - rounding, size
            assert pair[0] <= direct * (1 + 2.2 * skin) * 1.015 + rounding, size


@pytest.mark.parametrize("material", ["copper", "aluminum"])
def test_metal_conduit_adds_loss_to_large_conductors_only(material: str) -> None:
    # source: physics; conduit and eddy losses grow with the current that a large conductor carries
    for size in SIZES:
        plastic = CODE.ac_impedance(size, material, "PVC")
        if plastic:
            for conduit in ("Al", "steel"):
                metal = CODE.ac_impedance(size, material, conduit)
                assert metal is not None
                limit = (
                    1.04
                    if CODE.area_kcmil(size) < 66
                    else 1.1
                    if CODE.area_kcmil(size) < 200
                    else 1.36
                )
                assert plastic[0] * 0.999 <= metal[0] <= plastic[0] * limit, (size, conduit)


def test_reactance_in_steel_is_a_quarter_more_than_in_nonmagnetic_conduit() -> None:
    # source: physics of magnetic conduit, usual factor 1.25; Table 9 keeps it within its rounding
    for size in SIZES:
        plastic, steel = (
            CODE.ac_impedance(size, "copper", "PVC"),
            CODE.ac_impedance(size, "copper", "steel"),
        )
        if plastic and steel:
            assert steel[1] / plastic[1] == pytest.approx(1.25, abs=0.035), size
            assert CODE.ac_impedance(size, "copper", "Al")[1] == plastic[1]  # type: ignore[index]


def test_reactance_falls_slowly_with_size() -> None:
    # source: physics; reactance depends on the logarithm of spacing over radius only
    for conduit in ("PVC", "steel"):
        found = [CODE.ac_impedance(size, "copper", conduit) for size in SIZES]
        reactances = [pair[1] for pair in found if pair]
        assert max(reactances) / min(reactances) < 1.7
        # insulation grows in steps, so a step up of a few per cent is in the print
        assert all(later <= earlier * 1.08 for earlier, later in itertools.pairwise(reactances))


def test_each_cell_of_table_9_has_a_print_and_most_have_two() -> None:
    # source: Table 9 has no formula behind it, so prints are its only guard
    table = cells("ac_impedance", 2023)
    assert all(row.source1 for row in table.values())
    single = {key for key, row in table.items() if row.status != "two-sources"}
    assert len(single) <= 41
    assert all(row.source2 for key, row in table.items() if key not in single)
