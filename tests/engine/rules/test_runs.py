"""Every wire of both runs: its metal at the lugs, its insulation where it is wet, its way back for a fault."""

from math import hypot

import pytest

from tests.engine.checked import found, verdict
from tests.engine.jobs import Data, sound, with_facts

PATH = "ground_fault_path"
WET = "wet_run_insulation"
LUGS = "lugs_for_aluminum"
WIRES = (
    "primary.conductors",
    "primary.equipment_grounding",
    "secondary.conductors",
    "secondary.grounded_conductor",
    "bonding.supply_side_bonding_jumper",
)


def _with(part: str, value: object, wire: str, **facts: object) -> Data:
    return with_facts(sound(), **{f"{wire}.{part}".replace(".", "__"): value}, **facts)


@pytest.mark.parametrize(
    "wire",
    [
        *WIRES,
        "bonding.system_bonding_jumper",
        "electrode.conductor",
        "bonding.water_pipe_bond",
        "bonding.structural_steel_bond",
    ],
)
def test_the_metal_of_every_wire_counts_at_the_lugs(wire):
    # 110.14(A): connectors for aluminum are identified for it
    assert verdict(LUGS, sound()) == "does_not_apply"
    data = _with("material", "aluminum", wire)
    assert verdict(LUGS, data, observations__lugs_marked_for_metal=False) == "does_not_meet"
    assert verdict(LUGS, data, observations__lugs_marked_for_metal=True) == "meets"
    assert verdict(LUGS, _with("material", None, wire)) == "cannot_tell"


def test_a_wire_that_is_not_there_has_no_metal():
    for kind in ("raceway", "none"):
        data = with_facts(
            sound(),
            primary__equipment_grounding__kind=kind,
            primary__equipment_grounding__material=None,
        )
        assert verdict(LUGS, data) == "does_not_apply"


@pytest.mark.parametrize("wire", WIRES)
def test_every_insulated_wire_of_a_wet_run_is_fit_for_it(wire):
    # 300.9; THHN is for dry and damp places (Table 310.4(1))
    side = "primary" if wire.startswith("primary") else "secondary"
    for wet, expected in ((True, "does_not_meet"), (False, "meets"), (None, "cannot_tell")):
        data = _with("insulation", "THHN", wire)
        assert verdict(WET, data, **{f"{side}__conductors__wet_location": wet}) == expected
        fit = _with("insulation", "THWN-2", wire)
        assert verdict(WET, fit, **{f"{side}__conductors__wet_location": wet}) == "meets"


def test_a_bare_wire_may_be_wet():
    data = with_facts(
        sound(),
        primary__equipment_grounding__insulation="bare",
        primary__conductors__wet_location=True,
    )
    assert verdict(WET, data) == "meets"


def test_a_long_run_may_not_open_its_device():
    # Table 9, steel conduit: 1 AWG R 0.16, X 0.057; 6 AWG R 0.49, X 0.064 ohm per 1000 ft; 480/√3 V to ground
    long = with_facts(
        sound(),
        primary__conductors__length_feet=3000,
        primary__raceway__length_feet=2990,
        primary__device__instantaneous_multiple=None,
    )
    current = 480 / 3**0.5 / (3 * hypot(0.16 + 0.49, 0.057 + 0.064))
    check = found(PATH, long)
    assert (check.verdict, check.severity) == ("does_not_meet", "advice")
    assert check.found == f"at most {current:.1f} A"  # 139.7 A against 5 × 125 A
    assert check.required.startswith("at least 625 A")
    assert found(PATH, with_facts(long, primary__device__rating=150)).severity == "danger"


def test_a_usual_run_opens_its_device_at_once():
    check = found(PATH, sound())
    assert check.verdict == "meets"  # 60 ft: 6,985 A against 20 × 125 A
    assert check.required.startswith("at least 2,500 A")
    # a fuse has no instantaneous trip
    fuse = found(PATH, with_facts(sound(), primary__device__kind="fuse"))
    assert fuse.required.startswith("at least 625 A")
    raceway = with_facts(sound(), primary__equipment_grounding__kind="raceway")
    assert verdict(PATH, raceway) == "does_not_apply"
    assert (
        verdict(PATH, with_facts(sound(), primary__conductors__length_feet=None)) == "cannot_tell"
    )
    assert verdict(PATH, with_facts(sound(), transformer__primary_volts=4160)) == "cannot_tell"
