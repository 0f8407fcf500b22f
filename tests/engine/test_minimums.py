"""A minimum and the check of the same conductor never disagree: as found it passes, one size smaller it does not.

No figures stand here: the value is put in as found, in any edition, connection, metal and number of sets.
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.code import EDITIONS, SIZES, code_for
from engine.derived.derived import NotInTables
from engine.evaluation.judge import judge
from engine.evaluation.order import RULES
from engine.evaluation.values import VALUES
from engine.files.refusals import Refusal, job_from_data
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.contradictions.found import contradictions
from tests.engine.examples import examples
from tests.engine.installations import changed, draw
from tests.engine.jobs import BUILDERS, Data, get, job, put, with_facts
from tests.engine.nearly_right import CATALOG
from tests.engine.strategies import possible

RULE = {rule.id: rule for rule in RULES}
WORK_OUT = {value.id: value.work_out for value in VALUES}
INSULATIONS = ("THWN-2", "THHN", "XHHW-2", "THW", "TW", "XHHW")
METALS = ("copper", "aluminum")
# The value, where its size is found, and the checks that hold it there.
MINIMUMS: dict[str, tuple[str, tuple[str, ...]]] = {
    "primary_conductor_minimum": (
        "primary.conductors.size",
        ("primary_conductors", "primary_conductor_protection"),
    ),
    "primary_equipment_grounding_minimum": (
        "primary.equipment_grounding.size",
        ("primary_equipment_grounding",),
    ),
    "primary_raceway_minimum": ("primary.raceway.trade_size", ("primary_raceway",)),
    "grounded_conductor_minimum": (
        "secondary.grounded_conductor.size",
        ("grounded_conductor", "grounded_conductor_load", "grounded_conductor_sets"),
    ),
    "supply_side_bonding_jumper_minimum": (
        "bonding.supply_side_bonding_jumper.size",
        ("supply_side_bonding_jumper",),
    ),
    "system_bonding_jumper_minimum": (
        "bonding.system_bonding_jumper.size",
        ("system_bonding_jumper",),
    ),
    "secondary_raceway_minimum": ("secondary.raceway.trade_size", ("secondary_raceway",)),
    "secondary_conductor_minimum": (
        "secondary.conductors.size",
        ("secondary_conductors", "secondary_rule"),
    ),
    "grounding_electrode_conductor_minimum": (
        "electrode.conductor.size",
        ("grounding_electrode_conductor",),
    ),
    "water_pipe_bond_minimum": ("bonding.water_pipe_bond.size", ("water_pipe_bond",)),
    "structural_steel_bond_minimum": (
        "bonding.structural_steel_bond.size",
        ("structural_steel_bond",),
    ),
}
CHANGES: dict[str, tuple[Any, ...]] = {
    "primary.device.rating": (20, 45, 100, 125, 150, 200, 400, 800, 1000, 1600),
    "primary.device.kind": ("breaker", "fuse"),
    "primary.device.continuous_percent": (80, 100),
    "primary.device.termination_celsius": (60, 75, 90),
    "primary.load.continuous_amperes": (0, 30, 60, 90, 110, 300),
    "primary.load.noncontinuous_amperes": (0, 12, 100),
    "primary.conductors.size": ("12", "8", "4", "1", "2/0", "350", "600"),
    "primary.conductors.material": METALS,
    "primary.conductors.insulation": INSULATIONS,
    "primary.conductors.sets": (1, 2, 3),
    "primary.conductors.raceways": (1, 2, 3),
    "primary.conductors.ambient_celsius": (10, 30, 41, 55),
    "primary.conductors.current_carrying": (3, 4, 7, 12),
    "primary.conductors.length_feet": (6, 60),
    "primary.conductors.wet_location": (False, True),
    "primary.equipment_grounding.material": METALS,
    "primary.raceway.type": ("EMT", "RMC", "PVC40", "PVC80"),
    "secondary.rule": ("25_ft", "10_ft", "outside", "feeder_tap_25_ft", "primary_device"),
    "secondary.protection.kind": ("main_device", "main_device", "grouped_devices"),
    "secondary.protection.rating": (15, 60, 110, 225, 400, 1200),
    "secondary.conductors.size": ("14", "8", "2", "1", "4/0", "500", "1000"),
    "secondary.conductors.material": METALS,
    "secondary.conductors.insulation": INSULATIONS,
    "secondary.conductors.sets": (1, 2, 4),
    "secondary.conductors.raceways": (1, 2, 4),
    "secondary.conductors.ambient_celsius": (20, 30, 45),
    "secondary.conductors.current_carrying": (3, 4, 6, 9),
    "secondary.conductors.termination_celsius": (60, 75),
    "secondary.conductors.wet_location": (False, True),
    "secondary.grounded_conductor.material": METALS,
    "secondary.grounded_conductor.insulation": INSULATIONS,
    "secondary.grounded_conductor.sets": (1, 2, 4),
    "secondary.neutral_load_amperes": (0, 3, 90, 150, 300),
    "secondary.raceway.type": ("EMT", "RMC", "PVC40"),
    "bonding.system_bonding_jumper.location": ("source", "first_disconnect"),
    "bonding.system_bonding_jumper.material": METALS,
    "bonding.supply_side_bonding_jumper.material": METALS,
}


@st.composite
def installations(draw: Any) -> Data:
    """A sound job of any connection with some of what its sizes follow from replaced."""
    data = with_facts(BUILDERS[draw(st.sampled_from(sorted(BUILDERS)))]())
    data["edition"] = draw(st.sampled_from(EDITIONS))
    for path in draw(st.lists(st.sampled_from(sorted(CHANGES)), max_size=8, unique=True)):
        put(data, path, draw(st.sampled_from(CHANGES[path])))
    return possible(data)


def _site(data: Data) -> Site:
    made = job(data)
    return Site(made, code_for(made.edition))


def _verdicts(data: Data, path: str, size: str, checks: tuple[str, ...]) -> set[str]:
    site = _site(with_facts(data, **{path.replace(".", "__"): size}))
    return {judge(RULE[id_], site).finding.verdict for id_ in checks}


def _sizes(data: Data, path: str) -> tuple[str, ...]:
    if not path.endswith("trade_size"):
        return SIZES
    type_ = get(data, path.replace("trade_size", "type"))
    return code_for(data["edition"]).raceway_trade_sizes(type_)


def disagreement(data: Data, id_: str) -> str | None:
    """What is wrong between a minimum and its checks; None where they agree, or where no size is given."""
    path, checks = MINIMUMS[id_]
    try:
        site = _site(data)
        minimum = WORK_OUT[id_](site)
    except (Refusal, Missing, NotInTables):
        return None
    if minimum is None or minimum.size is None or contradictions(site.job):
        return None
    sizes = _sizes(data, path)
    at = sizes.index(minimum.size)
    as_found = _verdicts(data, path, minimum.size, checks)
    # What no size mends is no matter of size.
    if "does_not_meet" in as_found and "does_not_meet" not in _verdicts(
        data, path, sizes[-1], checks
    ):
        return f"{minimum.size} is the minimum and is condemned: {minimum.steps}"
    if as_found <= {"meets", "does_not_apply"} and "meets" in as_found and at > 0:
        lower = _verdicts(data, path, sizes[at - 1], checks)
        # Compact aluminum may fit where ordinary stranding does not: then the print is asked for.
        allowed = {"cannot_tell"} if path.endswith("trade_size") else set()
        if path.endswith("_bond.size"):
            # Metal that is the electrode here needs no bond of its own, so none is too small.
            allowed = {"does_not_apply"}
        if not lower & ({"does_not_meet"} | allowed):
            return f"{minimum.size} is the minimum and {sizes[at - 1]} passes: {minimum.steps}"
    return None


@pytest.mark.parametrize("id_", sorted(MINIMUMS))
def test_a_minimum_as_found_passes_and_one_size_smaller_does_not(id_: str) -> None:
    @examples(60)
    @given(installations())
    def agree(data: Data) -> None:
        wrong = disagreement(data, id_)
        assert wrong is None, (wrong, data)

    agree()


@examples(120)
@given(st.integers(0, 10**6))
def test_minimums_of_a_drawn_installation_pass_and_one_size_smaller_does_not(seed: int) -> None:
    installation = draw(seed)
    # Every other one has a fault somewhere: that is sized by the same functions as it is judged.
    change = CATALOG[seed % len(CATALOG)].facts(installation) if seed % 2 else None
    data = changed(installation, change or {})
    wrong = [said for id_ in MINIMUMS if (said := disagreement(data, id_))]
    assert not wrong, seed


LUGS = {
    "secondary.protection.kind": "main_lugs_only",
    "secondary.protection.rating": None,
    "secondary.protection.ratings": None,
}
PRIMARY, SECONDARY = "primary.device.rating", "secondary.protection.rating"


@examples(150)
@given(st.integers(0, 10**6))
def test_a_device_at_its_maximum_passes_and_one_rating_up_does_not(seed: int) -> None:
    """Primary alone, primary with secondary protection, and secondary: each is judged where it is the one that counts."""
    installation = draw(seed)
    site = _site(installation.data)
    alone, both, secondary = (
        WORK_OUT[id_](site).standard_rating
        for id_ in (
            "primary_device_maximum",
            "primary_device_maximum_with_secondary_protection",
            "secondary_device_maximum",
        )
    )
    kinds = (
        installation.get("primary.device.kind"),
        installation.get("secondary.protection.device_kind") or "breaker",
    )
    main = {
        "secondary.protection.kind": "main_device",
        "secondary.protection.adjustable": None if kinds[1] == "fuse" else False,
        SECONDARY: secondary,
    }
    code = code_for(installation.edition)
    for path, most, check, kind, others in (
        (PRIMARY, alone, "primary_device", kinds[0], LUGS),
        (PRIMARY, both, "primary_device", kinds[0], main),
        (SECONDARY, secondary, "secondary_device", kinds[1], {**main, PRIMARY: both}),
    ):
        # Where the primary may be larger alone than with a secondary device, 450.3 asks for none there.
        if most is None or (path == SECONDARY and (both is None or both <= (alone or 0))):
            continue
        larger = next((rating for rating in code.standard_ratings(kind) if rating > most), None)
        for rating, passes in ((most, True), (larger, False)):
            if rating is None:
                continue
            made = job_from_data(changed(installation, {**others, path: rating}))[0]
            verdict = judge(RULE[check], Site(made, code)).finding.verdict
            if path == PRIMARY and others is main and (alone or 0) >= rating:
                continue
            assert (verdict == "meets") is passes, (seed, path, rating, verdict)


def test_the_jobs_they_start_from_are_really_compared() -> None:
    """Every minimum of every connection is given and passes, or there is nothing to size."""
    for name, build in BUILDERS.items():
        given_ = {id_ for id_, work_out in WORK_OUT.items() if work_out(_site(build())) is not None}
        ungrounded = {"grounded_conductor_minimum", "system_bonding_jumper_minimum"}
        lacking = set(MINIMUMS) - given_
        assert lacking == (ungrounded if name == "ungrounded delta" else set()), name
