"""Properties that hold for any job: order, determinism, monotony, scale, symmetry, and that nothing ever raises.

No figures of the code stand here; each property is a law of arithmetic or the contract's own promise.
"""

import random
from copy import deepcopy
from math import sqrt
from typing import Any

import pytest
from hypothesis import assume, given, reject
from hypothesis import strategies as st

from engine import evaluate
from engine.code import SIZES, code_for, size_index
from engine.evaluation.judge import judge
from engine.evaluation.order import RULES
from engine.files.refusals import Refusal, job_from_data
from engine.job.site import Site
from tests.engine.checked import check_of, checked, verdicts
from tests.engine.examples import examples
from tests.engine.jobs import (
    BUILDERS,
    FACTS,
    Data,
    get,
    job,
    nameplate,
    parallel,
    put,
    sound,
    with_facts,
)
from tests.engine.strategies import EDITION, JOBS, ONE_FACT, changed_jobs, possible

POWER_SIZES = SIZES[SIZES.index("14") :]
KVA = (5, 10, 15, 25, 30, 37.5, 45, 50, 75, 100, 112.5, 150, 167, 225, 300, 333, 500, 750, 1000)
RATINGS = code_for(2023).standard_ratings("breaker")
WHOLE = st.sampled_from(sorted(BUILDERS)).map(lambda name: BUILDERS[name]())


@examples(2000)
@given(JOBS)
def test_evaluate_never_raises_on_a_job_that_was_not_refused(data: Data) -> None:
    try:
        read, _ = job_from_data(data)
    except Refusal:
        reject()
    evaluate(read, compare_editions=False)


@examples(120)
@given(JOBS)
def test_every_result_keeps_the_invariants(data: Data) -> None:
    try:
        read, _ = job_from_data(data)
    except Refusal:
        reject()
    checked(read)


def _shuffled(value: Any, seed: random.Random) -> Any:
    if isinstance(value, dict):
        keys = list(value)
        seed.shuffle(keys)
        return {key: _shuffled(value[key], seed) for key in keys}
    return value


@examples(60)
@given(changed_jobs(most=6), st.randoms(use_true_random=False))
def test_the_answer_does_not_depend_on_the_order_of_fields(data: Data, seed: random.Random) -> None:
    assert evaluate(job(_shuffled(data, seed))) == evaluate(job(data))


@given(st.permutations(["building_steel", "water_pipe", "rod", "ring"]), EDITION)
def test_the_order_of_the_electrodes_does_not_matter(order: list[str], edition: int) -> None:
    one = with_facts(sound(), electrode__available=order, electrode__used="rod", edition=edition)
    other = with_facts(one, electrode__available=sorted(order))
    assert verdicts(job(one)) == verdicts(job(other))


@given(st.permutations([60.0, 40.0, 100.0, 20.0]))
def test_the_order_of_grouped_devices_does_not_matter(order: list[float]) -> None:
    one = with_facts(
        sound(), secondary__protection__kind="grouped_devices", secondary__protection__ratings=order
    )
    other = with_facts(one, secondary__protection__ratings=sorted(order))
    assert verdicts(job(one)) == verdicts(job(other))


@given(st.permutations([205.0, 208.0, 214.0]))
def test_the_order_of_readings_does_not_matter(order: list[float]) -> None:
    one = with_facts(sound(), readings__line_to_line_volts=order)
    other = with_facts(one, readings__line_to_line_volts=sorted(order))
    assert verdicts(job(one)) == verdicts(job(other))


# A job may change where a check does not look: the check must not move. It is also the proof that `asks` is complete.
@examples(800)
@given(changed_jobs(most=4), st.sampled_from(RULES), st.lists(ONE_FACT, min_size=1, max_size=12))
def test_a_fact_that_a_check_does_not_ask_for_never_moves_it(data, rule, more) -> None:
    changed = deepcopy(data)
    for path, value in more:
        if path not in rule.asks and path != "transformer.autotransformer":
            put(changed, path, value)
    possible(changed)
    assume(all(get(data, path) == get(changed, path) for path in rule.asks))
    try:
        before, after = job(data), job(changed)
    except ValueError:
        reject()
    code = code_for(before.edition)
    found, later = judge(rule, Site(before, code)), judge(rule, Site(after, code))
    assert found.finding.verdict == later.finding.verdict
    assert found.missing == later.missing


@examples(200)
@given(changed_jobs(most=10), ONE_FACT)
def test_adding_a_fact_turns_no_conflict_into_meets_but_of_the_checks_it_is_about(
    data, fact
) -> None:
    path, value = fact
    put(data, path, None)
    more = possible(with_facts(data, **{path.replace(".", "__"): value}))
    try:
        before, after = verdicts(job(data)), verdicts(job(more))
    except ValueError:
        reject()
    about = {rule.id for rule in RULES if path in rule.asks}
    turned = {i for i, v in after.items() if v == "meets" and before[i] == "does_not_meet"}
    assert turned <= about


@examples(100)
@given(changed_jobs(most=3), st.lists(st.sampled_from(FACTS), min_size=1, max_size=6, unique=True))
def test_a_fact_that_was_only_assumed_counts_as_unknown(data: Data, paths: list[str]) -> None:
    known = [p for p in paths if get(data, p) is not None and p != "transformer.autotransformer"]
    unknown = deepcopy(data)
    for path in known:
        put(unknown, path, None)
    data["provenance"] = dict.fromkeys(known, "assumed")
    assert verdicts(job(data)) == verdicts(job(unknown))


# --- larger is never less -------------------------------------------------------------------------------------------

VALUES_THAT_GROW = (
    "full_load_current_primary",
    "full_load_current_secondary",
    "primary_device_maximum",
    "primary_device_maximum_with_secondary_protection",
    "secondary_device_maximum",
    "secondary_fault_current",
)
SIZES_THAT_GROW = (
    "primary_conductor_minimum",
    "secondary_conductor_minimum",
    "primary_equipment_grounding_minimum",
    "secondary_equipment_grounding_minimum",
    "grounded_conductor_minimum",
    "supply_side_bonding_jumper_minimum",
    "system_bonding_jumper_minimum",
    "grounding_electrode_conductor_minimum",
    "water_pipe_bond_minimum",
    "structural_steel_bond_minimum",
)


def _area(value: Any) -> float:
    return value.value if isinstance(value.value, float) else code_for(2023).area_kcmil(value.value)


@examples(60)
@given(
    st.lists(st.sampled_from(KVA), min_size=2, max_size=2, unique=True),
    st.sampled_from([1, 3]),
    EDITION,
    st.sampled_from([60, 75]),
)
def test_a_larger_transformer_never_needs_less(
    pair: list[float], phases: int, edition: int, celsius: int
) -> None:
    small, large = sorted(pair)
    results = [
        evaluate(
            job(
                nameplate(
                    kva,
                    phases,
                    480,
                    240,
                    edition=edition,
                    transformer__impedance_percent=4,
                    primary__conductors__sets=1,
                    secondary__conductors__sets=1,
                    # Above 100 A unmarked terminals count as 75 °C, and less copper does for more current (110.14(C)).
                    primary__device__termination_celsius=celsius,
                    primary__conductors__termination_celsius=celsius,
                    secondary__protection__termination_celsius=celsius,
                    secondary__conductors__termination_celsius=celsius,
                )
            ),
            compare_editions=False,
        ).values
        for kva in (small, large)
    ]
    less, more = results
    for id_ in VALUES_THAT_GROW:
        if id_ in more:
            assert less[id_].value <= more[id_].value, id_
    for id_ in SIZES_THAT_GROW:
        if id_ in less and id_ in more:
            assert _area(less[id_]) <= _area(more[id_]), id_


BY_RATING = (
    (
        "primary.device.rating",
        ("primary_device", "primary_conductor_protection", "primary_conductors", "secondary_rule"),
    ),
    (
        "secondary.protection.rating",
        ("secondary_device", "secondary_conductors", "secondary_rule", "panelboard_protection"),
    ),
)


@pytest.mark.parametrize(("path", "ids"), BY_RATING)
@examples(60)
@given(whole=WHOLE, pair=st.lists(st.sampled_from(RATINGS), min_size=2, max_size=2, unique=True))
def test_a_smaller_device_never_breaks_a_limit_that_a_larger_one_keeps(
    path, ids, whole, pair
) -> None:
    small, large = sorted(pair)
    name = path.replace(".", "__")
    less, more = (verdicts(job(with_facts(whole, **{name: rating}))) for rating in (small, large))
    for id_ in ids:
        if more[id_] == "meets":
            assert less[id_] in ("meets", "does_not_apply"), (id_, small, large)


BY_SIZE = (
    ("primary.conductors.size", ("primary_conductors", "primary_conductor_protection")),
    ("secondary.conductors.size", ("secondary_conductors", "secondary_rule")),
    ("primary.equipment_grounding.size", ("primary_equipment_grounding",)),
    ("secondary.grounded_conductor.size", ("grounded_conductor",)),
    ("bonding.supply_side_bonding_jumper.size", ("supply_side_bonding_jumper",)),
    ("bonding.system_bonding_jumper.size", ("system_bonding_jumper",)),
    ("bonding.water_pipe_bond.size", ("water_pipe_bond",)),
    ("bonding.structural_steel_bond.size", ("structural_steel_bond",)),
    ("electrode.conductor.size", ("grounding_electrode_conductor",)),
)


@pytest.mark.parametrize(("path", "ids"), BY_SIZE)
@examples(40)
@given(
    whole=WHOLE, pair=st.lists(st.sampled_from(POWER_SIZES), min_size=2, max_size=2, unique=True)
)
def test_a_larger_conductor_never_breaks_what_a_smaller_one_keeps(path, ids, whole, pair) -> None:
    small, large = sorted(pair, key=size_index)
    name = path.replace(".", "__")
    less, more = (verdicts(job(with_facts(whole, **{name: size}))) for size in (small, large))
    for id_ in ids:
        if less[id_] == "meets":
            assert more[id_] in ("meets", "does_not_apply"), (id_, small, large)


TRADE_SIZES = ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4")


@examples(60)
@given(
    WHOLE,
    st.lists(st.sampled_from(TRADE_SIZES), min_size=2, max_size=2, unique=True),
    st.sampled_from(["primary", "secondary"]),
)
def test_a_larger_raceway_never_is_the_fuller_one(whole, pair, side) -> None:
    small, large = sorted(pair, key=TRADE_SIZES.index)
    name = f"{side}__raceway__trade_size"
    less, more = (checked(job(with_facts(whole, **{name: size}))) for size in (small, large))
    fill = f"{side}_raceway_fill"
    # A flexible section has a size of its own, and the fuller of both parts counts.
    assert less.values[fill].value >= more.values[fill].value
    if whole[side]["raceway"]["flexible_length_feet"] == 0:
        assert less.values[fill].value > more.values[fill].value
    if check_of(less, f"{side}_raceway").verdict == "meets":
        assert check_of(more, f"{side}_raceway").verdict == "meets"


# --- scale and symmetry ---------------------------------------------------------------------------------------------


@examples(40)
@given(st.integers(2, 12), st.sampled_from(["1/0", "4/0", "250", "350", "500", "750", "1000"]))
def test_identical_sets_each_in_its_own_raceway_add_up(sets: int, size: str) -> None:
    one = with_facts(
        parallel(),
        secondary__conductors__sets=1,
        secondary__conductors__raceways=1,
        secondary__grounded_conductor__sets=1,
        secondary__conductors__size=size,
        secondary__grounded_conductor__size=size,
    )
    many = with_facts(
        one,
        secondary__conductors__sets=sets,
        secondary__conductors__raceways=sets,
        secondary__grounded_conductor__sets=sets,
    )
    single, all_ = (evaluate(job(data), compare_editions=False).values for data in (one, many))
    assert all_["secondary_conductor_ampacity"].value == pytest.approx(
        sets * single["secondary_conductor_ampacity"].value
    )
    assert all_["secondary_raceway_fill"].value == pytest.approx(
        single["secondary_raceway_fill"].value
    )
    assert all_["secondary_voltage_drop"].value == pytest.approx(
        single["secondary_voltage_drop"].value / sets
    )
    for id_ in ("system_bonding_jumper_minimum", "grounding_electrode_conductor_minimum"):
        assert _area(all_[id_]) >= _area(single[id_])


@examples(60)
@given(st.sampled_from(POWER_SIZES[1:]), st.sampled_from(["primary", "secondary"]), EDITION)
def test_aluminum_never_carries_more_than_copper_of_its_size(
    size: str, side: str, edition: int
) -> None:
    data = with_facts(sound(), edition=edition, **{f"{side}__conductors__size": size})
    copper, aluminum = (
        evaluate(
            job(with_facts(data, **{f"{side}__conductors__material": metal})),
            compare_editions=False,
        ).values
        for metal in ("copper", "aluminum")
    )
    ampacity, least = f"{side}_conductor_ampacity", f"{side}_conductor_minimum"
    assert aluminum[ampacity].value < copper[ampacity].value
    assert _area(aluminum[least]) >= _area(copper[least])


@examples(60)
@given(st.floats(0.5, 500), st.sampled_from([120.0, 240.0, 480.0, 600.0]))
def test_the_same_current_gets_the_same_devices_with_one_phase_or_three(
    kva: float, volts: float
) -> None:
    single = evaluate(job(nameplate(kva, 1, 480, volts)), compare_editions=False).values
    three = evaluate(job(nameplate(kva * sqrt(3), 3, 480, volts)), compare_editions=False).values
    for id_ in VALUES_THAT_GROW:
        if id_ in single:
            assert three[id_].value == pytest.approx(single[id_].value), id_


@examples(60)
@given(st.floats(0.5, 500), st.sampled_from([208.0, 240.0, 480.0]), st.sampled_from([1, 3]))
def test_a_transformer_of_one_to_one_has_the_same_current_on_both_sides(kva, volts, phases) -> None:
    values = evaluate(job(nameplate(kva, phases, volts, volts)), compare_editions=False).values
    assert values["full_load_current_primary"].value == values["full_load_current_secondary"].value


@examples(40)
@given(st.floats(-20, 75), st.floats(0, 30), st.integers(3, 60), st.integers(0, 30))
def test_heat_and_company_never_raise_an_ampacity(ambient, hotter, count, more) -> None:
    cool, hot = (
        evaluate(
            job(
                sound(),
                secondary__conductors__ambient_celsius=celsius,
                secondary__conductors__current_carrying=number,
            ),
            compare_editions=False,
        )
        .values["secondary_conductor_ampacity"]
        .value
        for celsius, number in ((ambient, count), (ambient + hotter, count + more))
    )
    assert hot <= cool


@examples(40)
@given(st.floats(0.5, 20), st.floats(0, 5), st.floats(0.5, 200), st.floats(0, 100))
def test_more_impedance_and_more_length_never_raise_the_fault_current(
    z, more_z, length, more_length
) -> None:
    near, far = (
        evaluate(
            job(
                sound(),
                transformer__impedance_percent=percent,
                secondary__conductors__length_feet=feet,
            ),
            compare_editions=False,
        ).values
        for percent, feet in ((z, length), (z + more_z, length + more_length))
    )
    for id_ in ("secondary_fault_current", "secondary_fault_current_at_first_disconnect"):
        assert far[id_].value <= near[id_].value
    assert (
        near["secondary_fault_current_at_first_disconnect"].value
        <= near["secondary_fault_current"].value
    )
