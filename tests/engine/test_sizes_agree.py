"""What is sized is what is judged: a minimum put in as found is never condemned for its size, and no remedy is installed already.

No source: both follow from a value and its check being worked out by the same functions.
"""

import re
from typing import get_args

from hypothesis import assume, given, reject
from hypothesis import strategies as st

from engine import evaluate
from engine.code import SIZES, size_index
from engine.files.refusals import job_from_data
from engine.job import ProtectionKind, SecondaryRule
from engine.result import Check
from tests.engine.checked import verdicts
from tests.engine.examples import examples
from tests.engine.installations import changed, draw
from tests.engine.jobs import BUILDERS, Data, get, job, with_facts
from tests.engine.nearly_right import CATALOG
from tests.engine.strategies import EDITION, JOBS, consistent, possible

AMPERES = st.sampled_from(
    [15, 20, 30, 40, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 400]
)


@st.composite
def _ends(draw) -> Data:
    """A complete job under any rule, with any end of its secondary conductors, any load and any conditions of use."""
    data = with_facts(
        BUILDERS[draw(st.sampled_from(sorted(BUILDERS)))](),
        edition=draw(EDITION),
        primary__device__rating=draw(AMPERES),
        secondary__rule=draw(st.sampled_from(get_args(SecondaryRule))),
        secondary__protection__kind=draw(st.sampled_from(get_args(ProtectionKind))),
        secondary__protection__rating=draw(AMPERES),
        secondary__protection__ratings=draw(st.lists(AMPERES, max_size=4)),
        secondary__panelboard__rating=draw(AMPERES),
        secondary__panelboard__present=True,
        secondary__first_disconnect_separate=draw(st.booleans()),
        secondary__load__continuous_amperes=draw(st.integers(0, 300)),
        secondary__load__noncontinuous_amperes=draw(st.integers(0, 100)),
        secondary__conductors__ambient_celsius=draw(st.sampled_from([5, 20, 30, 40, 50])),
        secondary__conductors__material=draw(st.sampled_from(["copper", "aluminum"])),
        secondary__conductors__current_carrying=draw(st.integers(1, 12)),
        secondary__conductors__sets=draw(st.integers(1, 3)),
        secondary__conductors__termination_celsius=draw(st.sampled_from([60, 75, 90])),
        secondary__protection__termination_celsius=draw(st.sampled_from([60, 75, 90])),
    )
    return consistent(possible(data))


OF_LENGTH_OR_PLACE = ("secondary__conductors__length_feet", "primary__conductors__length_feet")
BOTH = ("secondary_rule", "secondary_conductors")


def _with_size(data: Data, size: str) -> Data:
    return with_facts(data, secondary__conductors__size=size)


def _bare(data: Data) -> Data:
    """The same job with every condition kept that no size of conductors touches."""
    return with_facts(
        data,
        **dict.fromkeys(OF_LENGTH_OR_PLACE, 5),
        primary__conductors__size="2000",
        primary__protected_from_damage=True,
        secondary__enclosed_in_raceway=True,
        secondary__protected_from_damage=True,
        secondary__qualified_persons_only=True,
        transformer__location="outdoors",
    )


def _condemned_for_size(data: Data) -> list[str]:
    """The checks whose broken conditions name a size as the remedy."""
    return [
        check.id
        for check in evaluate(job(data), compare_editions=False).checks
        if check.id in BOTH
        and check.verdict == "does_not_meet"
        and re.search(r"or larger|Larger conductors|Larger secondary|No single size", check.remedy)
    ]


@examples(250)
@given(_ends())
def test_the_smallest_secondary_conductor_is_never_condemned_for_its_size(data: Data) -> None:
    data = _bare(data)
    value = evaluate(job(data), compare_editions=False).values.get("secondary_conductor_minimum")
    assume(value is not None and not value.assumed)
    assert not _condemned_for_size(_with_size(data, str(value.value)))
    at = size_index(str(value.value))
    if at == 0:
        return
    smaller = verdicts(job(_with_size(data, SIZES[at - 1])))
    assert "does_not_meet" in {smaller[id_] for id_ in BOTH}, (value.value, value.steps)


# Where the size that a remedy speaks of was found, and its metal.
FOUND = {
    "primary_conductors": "primary.conductors",
    "primary_conductor_protection": "primary.conductors",
    "primary_equipment_grounding": "primary.equipment_grounding",
    "secondary_conductors": "secondary.conductors",
    "secondary_rule": "secondary.conductors",
    "grounded_conductor": "secondary.grounded_conductor",
    "grounded_conductor_load": "secondary.grounded_conductor",
    "grounded_conductor_sets": "secondary.grounded_conductor",
    "supply_side_bonding_jumper": "bonding.supply_side_bonding_jumper",
    "system_bonding_jumper": "bonding.system_bonding_jumper",
    "grounding_electrode_conductor": "electrode.conductor",
    "common_grounding_electrode_conductor": "electrode.common_conductor",
    "water_pipe_bond": "bonding.water_pipe_bond",
    "structural_steel_bond": "bonding.structural_steel_bond",
}
NAMED = re.compile(
    r"(?:(\d+) × )?(\d+(?:/0)?(?= AWG)|\d+(?= kcmil))(?: AWG| kcmil)(?: (copper|aluminum))? or larger"
)


def _remedies_that_are_installed(data: Data) -> list[tuple[str, str, str]]:
    wrong = []
    for check in evaluate(job(data), compare_editions=False).checks:
        if check.verdict != "does_not_meet" or check.id not in FOUND:
            continue
        place = FOUND[check.id]
        joint = "_" if place == "electrode.common_conductor" else "."
        installed, metal = get(data, f"{place}{joint}size"), get(data, f"{place}{joint}material")
        for sets, size, of in NAMED.findall(check.remedy):
            same_sets = not sets or int(sets) == get(data, f"{place}.sets")
            if installed is None or size not in SIZES or (of and of != metal) or not same_sets:
                continue
            if size_index(size) <= size_index(installed):
                wrong.append((check.id, installed, check.remedy))
    return wrong


@examples(250)
@given(st.one_of(_ends(), JOBS))
def test_no_remedy_names_a_size_that_is_not_larger_than_what_is_installed(data: Data) -> None:
    try:
        job(data)
    except ValueError:
        reject()
    assert not _remedies_that_are_installed(data)


RATED = {
    "primary_device": "primary.device.rating",
    "secondary_device": "secondary.protection.rating",
    "panelboard_protection": "secondary.protection.rating",
}
RACEWAYS = {
    "primary_raceway": "primary.raceway.trade_size",
    "secondary_raceway": "secondary.raceway.trade_size",
}
SPEAK_OF_SIZES = [c for c in CATALOG if {*c.checks} & {*FOUND, *RATED, *RACEWAYS}]


def _checks(data: Data) -> dict[str, Check]:
    result = evaluate(job_from_data(data)[0], compare_editions=False)
    return {check.id: check for check in result.checks}


def _named(check: Check, data: Data) -> tuple[str, str] | None:
    """The path and the size that a remedy names for what is installed, in its own metal and number; None for another one."""
    if check.id in RACEWAYS:
        size = re.match(r"([\d/-]+)(?: in\.)? \S.* or larger", check.remedy)
        return (RACEWAYS[check.id], size[1]) if size else None
    place = FOUND.get(check.id)
    named = NAMED.findall(check.remedy) if place else []
    if len(named) != 1:
        return None
    ((sets, size, of),) = named
    joint = "_" if place == "electrode.common_conductor" else "."
    if of and of != get(data, f"{place}{joint}material"):
        return None
    if sets and int(sets) != get(data, f"{place}.sets"):
        return None
    return f"{place}{joint}size", size


@examples(80)
@given(st.integers(0, 10**6))
def test_a_size_that_a_remedy_names_mends_what_it_stands_beside(seed: int) -> None:
    installation = draw(seed)
    fitting = ((c, c.facts(installation)) for c in SPEAK_OF_SIZES[seed % 5 :: 5])
    for change, facts in fitting:
        if facts is None:
            continue
        data = changed(installation, facts)
        for check in _checks(data).values():
            if check.verdict != "does_not_meet":
                continue
            said = (seed, change.id, check.id, check.remedy)
            device = re.search(r"([\d,.]+) A or less", check.remedy)
            if check.id in RATED and device:
                installed = get(data, RATED[check.id])
                assert not installed or float(device[1].replace(",", "")) < installed, said
            named = _named(check, data)
            if named is None:
                continue
            path, size = named
            assert size != get(data, path), said
            mended = _checks(changed(installation, {**facts, path: size}))[check.id]
            if mended.verdict == "does_not_meet":
                assert _named(mended, {}) is None, (*said, mended.remedy)
