"""The page of limits: both metals and both terminals side by side, each as the tables have it."""

import pytest

from engine import evaluate
from engine.derived.minimums_in_metal import IN_METAL
from engine.evaluation.values import VALUES
from tests.engine.checked import checked
from tests.engine.jobs import job, nameplate, parallel, sound, with_facts

# The fields that say of which metal what is installed is.
METAL_OF = (
    "bonding__system_bonding_jumper__material",
    "bonding__supply_side_bonding_jumper__material",
    "secondary__grounded_conductor__material",
    "electrode__conductor__material",
    "bonding__water_pipe_bond__material",
    "bonding__structural_steel_bond__material",
    "primary__equipment_grounding__material",
)


def tables(data) -> dict[str, dict[str, list[str]]]:
    """The cells of each line, by table and line."""
    return {
        table.id: {row.label: row.cells for row in table.rows} for table in checked(job(data)).sheet
    }


def test_the_smallest_conductors_stand_by_metal_and_terminals() -> None:
    data = with_facts(
        nameplate(75, 3, 480, 208), primary__device__rating=125, secondary__protection__rating=225
    )
    shown = tables(data)
    columns = next(t.columns for t in checked(job(data)).sheet if t.id == "primary_run")
    assert columns == ["60 °C terminals", "75 °C terminals"]
    # NFPA 70, Table 310.16, with 240.4(B) for 125 A: copper 60 °C 1/0 = 125 A (1 = 110 A goes up to 110 A only),
    # 75 °C 2 = 115 A, next rating 125 A; aluminum 60 °C 2/0 = 115 A, 75 °C 1/0 = 120 A.
    assert shown["primary_run"] == {
        "Copper": ["1/0 AWG", "2 AWG"],
        "Aluminum": ["2/0 AWG", "1/0 AWG"],
    }
    # Without 240.4(B), 225 A: copper 60 °C 300 kcmil = 240 A, 75 °C 4/0 = 230 A; aluminum 400 = 225 A, 300 = 230 A.
    assert shown["secondary_run"] == {
        "Copper": ["300 kcmil", "4/0 AWG"],
        "Aluminum": ["400 kcmil", "300 kcmil"],
    }


def test_jumpers_and_electrode_conductor_stand_in_both_metals() -> None:
    shown = tables(
        with_facts(
            nameplate(75, 3, 480, 208),
            secondary__conductors__size="4/0",
            secondary__conductors__sets=1,
            secondary__conductors__material="copper",
        )
    )["jumpers"]
    # NFPA 70, Table 250.102(C)(1) and Table 250.66: over 3/0 to 350 kcmil copper, 2 AWG copper or 1/0 AWG aluminum
    for line in (
        "System bonding jumper",
        "Supply-side bonding jumper, in each raceway",
        "Grounding electrode conductor",
        "Bond of the metal water pipe",
        "Bond of the structural steel",
    ):
        assert shown[line] == ["2 AWG", "1/0 AWG"], line
    # 250.66(A) and (B): to a rod alone 6 AWG copper or 4 AWG aluminum; to concrete 4 AWG copper, no limit for aluminum
    assert shown["Same, to a rod, pipe or plate alone"] == ["6 AWG", "4 AWG"]
    assert shown["Same, to a concrete-encased electrode alone"] == ["4 AWG", "1/0 AWG"]


def test_a_known_electrode_without_a_limit_leaves_the_limits_of_others_out() -> None:
    lines = tables(with_facts(sound(), electrode__used="building_steel"))["jumpers"]
    assert not [line for line in lines if line.startswith("Same")]


@pytest.mark.parametrize("metal", ["copper", "aluminum"])
def test_each_cell_is_what_the_value_says_for_that_metal(metal: str) -> None:
    facts = dict.fromkeys(METAL_OF, metal)
    values = evaluate(job(with_facts(sound(), **facts))).values
    jumpers = next(table for table in evaluate(job(sound())).sheet if table.id == "jumpers")
    at = jumpers.columns.index(metal.capitalize())
    cells = {row.label: row.cells[at] for row in jumpers.rows}
    in_metals = [item for item in VALUES if item.title_in_metals]
    assert {item.id for item in in_metals} == {*IN_METAL}
    for item in in_metals:
        assert cells[item.title_in_metals] == values[item.id].shown, item.id


def test_what_rests_on_an_assumption_says_so_line_by_line() -> None:
    result = checked(job(nameplate(75, 3, 480, 208)))
    rows = {row.label: row.assumed for table in result.sheet for row in table.rows}
    assert not rows["Full-load current, primary"]
    assert rows["Copper"]
    assert rows["System bonding jumper"]


def test_a_grounding_visit_gets_its_own_lines_only() -> None:
    result = checked(job(with_facts(sound(), purpose="grounding")))
    assert [table.id for table in result.sheet] == ["jumpers"]
    assert "Primary equipment grounding conductor" not in {r.label for r in result.sheet[0].rows}


@pytest.mark.parametrize(
    ("data", "phases"),
    [
        (sound(), ", for secondary phases of 4/0 AWG copper"),
        (parallel(), ", for secondary phases of 4 × 500 kcmil copper"),
        (with_facts(sound(), secondary__conductors__material=None), ""),
        (nameplate(75, 3, 480, 208), ""),
    ],
)
def test_the_jumpers_say_which_phases_they_were_sized_for(data, phases) -> None:
    # Jumpers go by the phases that are there, which may have to grow: the smallest conductor stands in a table of its own.
    (table,) = (table for table in checked(job(data)).sheet if table.id == "jumpers")
    assert table.title == f"Smallest jumpers, bonds and electrode conductor{phases}"
