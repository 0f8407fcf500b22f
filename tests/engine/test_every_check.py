"""Every check condemns something and passes something: none is there for show.

What condemns comes from the catalog of changes, the standing cases and the list below; what passes from sound jobs.
"""

from collections import defaultdict
from functools import cache

import pytest

from engine.code import code_for
from engine.evaluation.judge import judge
from engine.evaluation.order import RULES
from engine.files.refusals import job_from_data
from engine.job.site import Site
from tests.engine.installations import changed, draw
from tests.engine.jobs import BUILDERS, Data, put, replaced, sound
from tests.engine.nearly_right import CATALOG
from tests.engine.test_dangerous_jobs import DANGEROUS, LAWFUL, _base

# A reading can fail a bond, and never pass one.
NEVER_MEETS = (
    "neutral_to_ground_reading",
    "far_neutral_to_ground_reading",
    "bonding_current_reading",
    "bonding_path_reading",
)
# What is more than before, or than a margin, is a matter to be looked into and no fault by itself: can't tell.
NEVER_CONDEMNS = (
    "motor_contribution",
    "replacement_fault_current",
    "replacement_inrush",
    "replacement_weight",
    # A job whose unit is an autotransformer is refused whole.
    "separate_windings",
)
# What only these facts, in the sound job, condemn or pass. Figures: our own scenario.
ALSO: tuple[Data, ...] = (
    {"primary.device.adjustable": True},
    {
        "observations.above_ceiling": True,
        "observations.ceiling_moves_air": True,
        "observations.case_suits_air_space": True,
    },
    {"secondary.protection.back_fed": True, "secondary.protection.held_down": True},
    {"primary.device.instantaneous_multiple": 2},
    {"observations.shipping_parts_removed": False},
    # 75 kVA, 208 V, 4.5 %: 4.6 kA, about 0.9 kA more from motors
    {"secondary.panelboard.short_circuit_kiloamperes": 5},
    {"transformer.impedance_percent": 2, "secondary.panelboard.short_circuit_kiloamperes": 5},
    {"replacement.old.made_before_2016": True},
    {"edition": 2026},
    {"edition": 2026, "observations.short_circuit_rating_marked": False},
    {"edition": 2026, "observations.arc_flash_label_complete": False},
    {"replacement.old.taps_below_percent": 15},
    {"replacement.old.weight_pounds": 100},
    {"replacement.old.width_inches": 10, "observations.working_space_clear": False},
)


def _jobs():
    for build in BUILDERS.values():
        yield build()
    for case in (*DANGEROUS.values(), *LAWFUL.values()):
        facts = {path.replace(".", "__"): value for path, value in case["facts"].items()}
        yield replaced(_base(case["from"]), **facts)
    for facts in ALSO:
        data = sound()
        for path, value in facts.items():
            put(data, path, value)
        yield data
    left = list(CATALOG)
    for seed in range(160):
        installation = draw(seed)
        yield installation.data
        fitting = [(change, change.facts(installation)) for change in left]
        for change, facts in fitting:
            if facts is not None:
                left.remove(change)
                yield changed(installation, facts)


@cache
def _verdicts() -> dict[str, set[str]]:
    seen: dict[str, set[str]] = defaultdict(set)
    for data in _jobs():
        made = job_from_data(data)[0]
        site = Site(made, code_for(made.edition))
        for rule in RULES:
            seen[rule.id].add(judge(rule, site).finding.verdict)
    return seen


@pytest.mark.parametrize("id_", [rule.id for rule in RULES])
def test_a_check_condemns_something_and_passes_something(id_: str) -> None:
    seen = _verdicts()[id_]
    assert ("cannot_tell" if id_ in NEVER_CONDEMNS else "does_not_meet") in seen
    assert ("does_not_meet" in seen) is (id_ not in NEVER_CONDEMNS)
    assert ("meets" in seen) is (id_ not in NEVER_MEETS)
