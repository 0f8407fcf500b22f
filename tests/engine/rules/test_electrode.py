"""The electrode, its conductor, and the bonds of pipe and steel.

Source of sizes: Table 250.66 ("Appendix B: Grounding Tables", scribd.com/document/615778061); limits for a sole
connection 250.66(A) to (C) (VoltageLab, "The 8 grounding electrodes").
"""

import pytest

from tests.engine.checked import found, value_of, verdict
from tests.engine.jobs import parallel, sound, ungrounded_delta, with_facts

SIZE = "electrode__conductor__size"


@pytest.mark.parametrize(
    ("phase", "least", "too_small"),
    [
        # copper, Table 250.66: up to 2 AWG 8; 1 and 1/0 6; 2/0 and 3/0 4; to 350 2; to 600 1/0; to 1100 2/0; above 3/0
        ("2", "8", "10"),
        ("1/0", "6", "8"),
        ("3/0", "4", "6"),
        ("350", "2", "3"),
        ("500", "1/0", "1"),
        ("1000", "2/0", "1/0"),
        ("1250", "3/0", "2/0"),
    ],
)
def test_the_electrode_conductor_goes_by_the_derived_conductors(phase, least, too_small):
    data = with_facts(sound(), secondary__conductors__size=phase)
    assert verdict("grounding_electrode_conductor", data, **{SIZE: least}) == "meets"
    assert verdict("grounding_electrode_conductor", data, **{SIZE: too_small}) == "does_not_meet"


def test_aluminum_electrode_conductors_have_their_own_column():
    # 4/0 copper phases: 1/0 aluminum
    data = with_facts(sound(), electrode__conductor__material="aluminum")
    assert value_of("grounding_electrode_conductor_minimum", data) == "1/0"


def test_no_more_than_3_0_copper_is_ever_required():
    # four sets of 500 kcmil: 2000 kcmil, and still 3/0 copper (250 kcmil aluminum)
    assert value_of("grounding_electrode_conductor_minimum", parallel()) == "3/0"
    assert (
        value_of(
            "grounding_electrode_conductor_minimum",
            parallel(),
            electrode__conductor__material="aluminum",
        )
        == "250"
    )
    assert verdict("grounding_electrode_conductor", parallel()) == "meets"


@pytest.mark.parametrize(
    ("used", "material", "cap"),
    [
        ("rod", "copper", "6"),
        ("pipe", "copper", "6"),
        ("plate", "copper", "6"),
        ("rod", "aluminum", "4"),
        ("concrete_encased", "copper", "4"),
    ],
)
def test_a_sole_connection_has_a_limit(used, material, cap):
    data = with_facts(
        sound(),
        secondary__conductors__size="500",
        electrode__used=used,
        electrode__available=[used],
        electrode__joined_to_building_system=None,
        electrode__conductor__material=material,
        **{SIZE: cap},
    )
    assert verdict("grounding_electrode_conductor", data) == "meets"
    assert value_of("grounding_electrode_conductor_minimum", data) == cap
    # 500 kcmil copper: 1/0 copper or 3/0 aluminum where the conductor goes on to another electrode
    assert (
        verdict("grounding_electrode_conductor", data, electrode__sole_connection=False)
        == "does_not_meet"
    )
    assert (
        verdict("grounding_electrode_conductor", data, electrode__sole_connection=None)
        == "cannot_tell"
    )


@pytest.mark.parametrize(
    ("ring", "least"),
    # 250.66(C): not required larger than the ring, which is itself at least 2 AWG
    [("2", "2"), ("1", "1"), ("4/0", "1/0"), (None, None)],
)
def test_a_ring_limits_its_conductor_by_its_own_size(ring, least):
    data = with_facts(
        sound(),
        secondary__conductors__size="500",
        electrode__used="ring",
        electrode__available=["ring"],
        electrode__joined_to_building_system=None,
        electrode__ring_size=ring,
        **{SIZE: least or "2"},
    )
    assert verdict("grounding_electrode_conductor", data) == ("meets" if least else "cannot_tell")


@pytest.mark.parametrize(
    ("ring", "expected"),
    # 250.52(A)(4): bare copper not smaller than 2 AWG (Mike Holt forum, "Grounding Ring", thread 2575808)
    [
        ("2", "meets"),
        ("4/0", "meets"),
        ("3", "does_not_meet"),
        ("6", "does_not_meet"),
        (None, "cannot_tell"),
    ],
)
def test_a_ring_of_too_small_a_conductor_is_no_electrode(ring, expected):
    data = with_facts(
        sound(),
        electrode__used="ring",
        electrode__available=["ring"],
        electrode__ring_size=ring,
    )
    assert verdict("grounding_electrode", data) == expected


def test_building_steel_has_no_limit_of_its_own():
    data = with_facts(sound(), secondary__conductors__size="500", **{SIZE: "4"})
    assert verdict("grounding_electrode_conductor", data) == "does_not_meet"


def test_no_conductor_to_any_electrode_is_a_danger():
    data = with_facts(sound(), electrode__used="none", **{SIZE: None})
    assert found("grounding_electrode_conductor", data).severity == "danger"
    assert verdict("grounding_electrode_conductor", data) == "does_not_meet"
    assert verdict("grounding_electrode", data) == "does_not_meet"


@pytest.mark.parametrize(
    ("available", "used", "joined", "edition", "expected"),
    [
        # 250.50: all electrodes of a building are one system; apart from the others steel is none of it
        (["building_steel", "water_pipe"], "building_steel", True, 2023, "meets"),
        (["building_steel", "water_pipe"], "building_steel", False, 2023, "does_not_meet"),
        (["building_steel", "water_pipe"], "building_steel", None, 2023, "cannot_tell"),
        (["concrete_encased", "rod"], "concrete_encased", False, 2023, "does_not_meet"),
        (["building_steel"], "building_steel", None, 2023, "meets"),
        (
            ["building_steel"],
            "rod",
            True,
            2023,
            "cannot_tell",
        ),  # the rod is not among what exists: misread
        (["building_steel", "rod"], "rod", True, 2023, "meets"),
        (["building_steel", "rod"], "rod", False, 2023, "does_not_meet"),
        (["building_steel", "rod"], "rod", None, 2023, "cannot_tell"),
        (["rod"], "rod", None, 2023, "meets"),
        # 2014 prefers the nearest of steel and water pipe (Mike Holt forum, thread 139882)
        (["building_steel", "rod"], "rod", True, 2014, "does_not_meet"),
        (["water_pipe"], "water_pipe", None, 2014, "meets"),
        (["rod"], "rod", True, 2014, "meets"),
        (None, "rod", True, 2023, "cannot_tell"),
        (["rod"], None, True, 2023, "cannot_tell"),
    ],
)
def test_the_electrode_is_one_that_the_edition_accepts(available, used, joined, edition, expected):
    data = with_facts(
        sound(),
        edition=edition,
        electrode__available=available,
        electrode__used=used,
        electrode__joined_to_building_system=joined,
        # It goes on to another kind only where there is one.
        electrode__sole_connection=None if available and len(available) == 1 else not joined,
    )
    assert verdict("grounding_electrode", data) == expected


@pytest.mark.parametrize(
    ("size", "material", "expected"),
    [
        # 250.30(A)(6)(a): 3/0 copper or 250 kcmil aluminum
        ("3/0", "copper", "meets"),
        ("2/0", "copper", "does_not_meet"),
        ("250", "aluminum", "meets"),
        ("4/0", "aluminum", "does_not_meet"),
        (None, "copper", "cannot_tell"),
    ],
)
def test_a_shared_electrode_conductor_is_large(size, material, expected):
    data = with_facts(
        sound(),
        electrode__common_conductor=True,
        electrode__common_conductor_size=size,
        electrode__common_conductor_material=material,
    )
    assert verdict("common_grounding_electrode_conductor", data) == expected


def test_without_a_shared_conductor_its_size_does_not_matter():
    assert verdict("common_grounding_electrode_conductor", sound()) == "does_not_apply"
    assert (
        verdict("common_grounding_electrode_conductor", sound(), electrode__common_conductor=None)
        == "cannot_tell"
    )


BONDS = [("water_pipe_bond", "water_pipe"), ("structural_steel_bond", "building_steel")]


@pytest.mark.parametrize(("bond", "metal"), BONDS)
@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"size": "2"}, "meets"),  # 4/0 copper phases: 2 AWG copper, Table 250.102(C)(1)
        ({"size": "3"}, "does_not_meet"),
        ({"size": None}, "cannot_tell"),
        ({"present": None}, "cannot_tell"),
        ({"present": False, "metal_in_area": True}, "does_not_meet"),
        ({"present": False, "metal_in_area": False}, "does_not_apply"),
    ],
)
def test_pipe_and_steel_in_the_area_are_bonded(bond, metal, facts, expected):
    data = with_facts(
        sound(),
        electrode__used="concrete_encased",
        electrode__available=["concrete_encased"],
        **{f"bonding__{bond}__{name}": value for name, value in facts.items()},
    )
    assert verdict(bond, data) == expected


@pytest.mark.parametrize(("bond", "metal"), BONDS)
def test_metal_that_is_the_electrode_needs_no_jumper_of_its_own(bond, metal):
    # 250.104(D)(1) exception 1, (D)(2) exception 1
    data = with_facts(sound(), electrode__used=metal, **{f"bonding__{bond}__present": False})
    assert verdict(bond, data) == "does_not_apply"


@pytest.mark.parametrize(
    ("edition", "least"),
    [
        # four sets of 500 kcmil: 2014 by Table 250.66 3/0; 2017 by Table 250.102(C)(1) 250 kcmil, no upper limit;
        # from 2020 not required larger than 3/0 copper (ecmag.com, "2017 NEC: Grounding, Bonding and Wiring"; from memory)
        (2014, "3/0"),
        (2017, 250.0),
        (2020, "3/0"),
        (2023, "3/0"),
    ],
)
def test_the_bond_of_a_large_system_changed_with_the_edition(edition, least):
    value = value_of("water_pipe_bond_minimum", parallel(), edition=edition)
    assert value == (pytest.approx(least) if isinstance(least, float) else least)
    assert verdict("water_pipe_bond", parallel(), edition=edition) == (
        "does_not_meet" if edition == 2017 else "meets"
    )


def test_a_neighbouring_edition_with_another_verdict_is_named():
    check = found("water_pipe_bond", parallel(), edition=2020)
    assert check.verdict == "meets"
    assert "2017: does not meet" in check.editions_differ


@pytest.mark.parametrize(
    ("there", "expected"), [(True, "meets"), (False, "does_not_meet"), (None, "cannot_tell")]
)
def test_an_ungrounded_system_has_ground_detectors(there, expected):
    # 250.21(B): 120 V to 1000 V
    assert (
        verdict("ground_detection", ungrounded_delta(), observations__ground_detector=there)
        == expected
    )


def test_ground_detectors_are_not_for_grounded_systems():
    assert verdict("ground_detection", sound()) == "does_not_apply"


@pytest.mark.parametrize(
    ("nearest", "expected"), [(True, "meets"), (False, "does_not_meet"), (None, "cannot_tell")]
)
def test_2014_asks_for_the_nearer_of_steel_and_water_pipe(nearest, expected):
    # 250.30(A)(4) of 2014: the nearest of the two (Mike Holt forum, thread 139882)
    data = with_facts(sound(), electrode__nearest_of_steel_and_water=nearest, edition=2014)
    assert verdict("grounding_electrode", data) == expected
    assert verdict("grounding_electrode", data, edition=2017) == "meets"
    assert verdict("grounding_electrode", data, electrode__available=["building_steel"]) == "meets"


@pytest.mark.parametrize("only", ["rod", "pipe", "plate"])
@pytest.mark.parametrize(
    ("supplemented", "ohms", "expected"),
    [
        (True, None, "meets"),
        (False, 25, "meets"),
        (False, 25.5, "does_not_meet"),
        (False, None, "cannot_tell"),
        (None, 12, "cannot_tell"),
    ],
)
def test_a_single_rod_has_a_second_one_or_25_ohm(only, supplemented, ohms, expected):
    # 250.53(A)(2) and its exception, quoted in Mike Holt forum, thread 2578132
    alone = with_facts(
        sound(),
        electrode__available=[only],
        electrode__used=only,
        electrode__supplemented=supplemented,
        electrode__resistance_ohms=ohms,
    )
    assert verdict("supplemental_electrode", alone) == expected


@pytest.mark.parametrize(
    ("supplemented", "expected"),
    # another kind that is not listed is contradicted
    [(True, "cannot_tell"), (False, "does_not_meet"), (None, "cannot_tell")],
)
def test_a_water_pipe_alone_is_supplemented_whatever_its_resistance(supplemented, expected):
    # 250.53(D)(2), Mike Holt forum, thread 145511
    alone = with_facts(
        sound(),
        electrode__available=["water_pipe"],
        electrode__used="water_pipe",
        electrode__supplemented=supplemented,
        electrode__resistance_ohms=1,
    )
    assert verdict("supplemental_electrode", alone) == expected
    if supplemented is False:
        assert found("supplemental_electrode", alone).section == "250.53(D)(2)"


@pytest.mark.parametrize(
    "available",
    [
        ["building_steel"],
        ["concrete_encased"],
        ["rod", "plate", "water_pipe"],
        ["concrete_encased", "rod", "water_pipe"],
        ["building_steel", "rod"],
    ],
)
def test_electrodes_that_supplement_each_other_need_no_more(available):
    data = with_facts(sound(), electrode__available=available, electrode__used=available[0])
    assert verdict("supplemental_electrode", data) == "does_not_apply"
    assert verdict("supplemental_electrode", data, electrode__available=None) == "cannot_tell"


@pytest.mark.parametrize("only", ["rod", "pipe", "plate"])
@pytest.mark.parametrize("used", ["water_pipe", ""])
@pytest.mark.parametrize(
    ("supplemented", "ohms", "expected"),
    [
        (True, None, "meets"),
        (False, 25, "meets"),
        (False, 25.5, "cannot_tell"),
        (False, 200, "cannot_tell"),
        (False, 0, "cannot_tell"),
        (False, None, "cannot_tell"),
        (None, None, "cannot_tell"),
    ],
)
def test_a_rod_beside_a_water_pipe_has_to_hold_by_itself(only, used, supplemented, ohms, expected):
    # 250.53(D)(2) refers to 250.53(A), whose (A)(2) asks for 25 ohm or one more electrode, from memory
    data = with_facts(
        sound(),
        electrode__available=["water_pipe", only],
        electrode__used=used or only,
        electrode__supplemented=supplemented,
        electrode__resistance_ohms=ohms,
    )
    judged = found("supplemental_electrode", data)
    assert judged.verdict == expected
    assert supplemented is None or "Contradicted" not in judged.reason
    if ohms is not None:
        assert judged.section == "250.53(D)(2)"


def test_a_limit_stays_where_no_other_electrode_asks_for_more():
    # 250.66(B): the limit falls only with electrodes that require a larger conductor (EC&M code quiz, article 55340858)
    data = with_facts(
        sound(),
        secondary__conductors__size="500",
        electrode__used="concrete_encased",
        electrode__available=["concrete_encased", "rod"],
        electrode__sole_connection=True,
        electrode__joined_to_building_system=True,
        **{SIZE: "4"},
    )
    assert verdict("grounding_electrode_conductor", data) == "meets"
    assert verdict("grounding_electrode", data) == "meets"
    # with steel among them it is not known where the wire that joins the two starts
    steel = with_facts(data, electrode__available=["concrete_encased", "building_steel"])
    assert verdict("grounding_electrode_conductor", steel) == "cannot_tell"
    # joined to the steel, and nobody says that the conductor ends here: 500 kcmil copper, 1/0 copper
    assert (
        verdict("grounding_electrode_conductor", steel, electrode__sole_connection=None)
        == "cannot_tell"
    )
    assert (
        verdict("grounding_electrode_conductor", steel, electrode__sole_connection=False)
        == "does_not_meet"
    )
    assert verdict("grounding_electrode_conductor", steel, **{SIZE: "6"}) == "does_not_meet"
    assert verdict("grounding_electrode_conductor", steel, **{SIZE: "1/0"}) == "meets"
    assert (
        value_of("grounding_electrode_conductor_minimum", steel, electrode__sole_connection=None)
        == "1/0"
    )


@pytest.mark.parametrize("bond", ["water_pipe_bond", "structural_steel_bond"])
@pytest.mark.parametrize(
    ("common", "to_common", "expected"),
    [
        (True, True, "does_not_apply"),
        (True, False, "does_not_meet"),
        (True, None, "cannot_tell"),
        (False, True, "does_not_meet"),
        (None, True, "cannot_tell"),
    ],
)
def test_metal_bonded_to_the_shared_conductor_needs_no_jumper_of_its_own(
    bond, common, to_common, expected
):
    # 250.104(D)(3), exception (Electrical Contractor: 2017 NEC grounding, bonding and wiring, ecmag.com)
    data = with_facts(
        sound(),
        electrode__used="concrete_encased",
        electrode__available=["concrete_encased"],
        electrode__common_conductor=common,
        **{f"bonding__{bond}__present": False, f"bonding__{bond}__to_common_conductor": to_common},
    )
    assert verdict(bond, data) == expected
