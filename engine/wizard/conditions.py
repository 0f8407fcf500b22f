"""When a question is asked, and a choice offered.

Conditions know equality only (`is`, `one_of`, `known`, `all`, `any`, `not`), so no limit can hide in them.
"""

from typing import Any, cast, get_args

from engine.code import code_for
from engine.code.choices import editions_with
from engine.code.editions import DEFAULT_EDITION
from engine.code.limits import FUSES_OF_SMALL_SWITCHES, GROUND_FAULT_PROTECTION_FROM
from engine.job.kinds import PrimarySystem, SecondarySystem
from engine.job.runs import FURTHER

Condition = dict[str, Any]


def is_(path: str, value: Any) -> Condition:
    """A condition of equality. Unit: none. Section: none."""
    return {"path": path, "is": value}


def one_of(path: str, *values: Any) -> Condition:
    """A condition of membership. Unit: none. Section: none."""
    return {"path": path, "one_of": list(values)}


def holds(condition: Condition | None, job: dict[str, Any]) -> bool:
    """Whether a condition holds for a job as plain data; the screen has the same function, tested by the same cases.

    Unit: none. Section: none.
    """
    if condition is None:
        return True
    if "all" in condition:
        return all(holds(c, job) for c in condition["all"])
    if "any" in condition:
        return any(holds(c, job) for c in condition["any"])
    if "not" in condition:
        return not holds(condition["not"], job)
    value: Any = job
    for name in condition["path"].split("."):
        value = cast("dict[str, Any]", value).get(name) if isinstance(value, dict) else None
    if "known" in condition:
        return (value is not None) is condition["known"]
    if "one_of" in condition:
        return any(_same(value, each) for each in condition["one_of"])
    return _same(value, condition["is"])


def _same(value: Any, wanted: Any) -> bool:
    # Python holds True equal to 1; the screen's language does not.
    return (
        value is not None
        and isinstance(value, bool) is isinstance(wanted, bool)
        and bool(value == wanted)
    )


def in_editions(choice_id: str, wanted: str) -> Condition:
    """The editions that use a method (choices.csv). Unit: none. Section: none."""
    first, *others = editions_with(choice_id, wanted)
    return one_of("edition", first, *others) if others else is_("edition", first)


def rated_from(path: str, least: float) -> Condition:
    """A rating that is no standard one below a limit [A]: a condition knows equality only. Section: 240.6(A)."""
    below = [r for r in code_for(DEFAULT_EDITION).standard_ratings("fuse") if r < least]
    return {"all": [{"path": path, "known": True}, {"not": one_of(path, *below)}]}


def in_a_switch_for_more(path: str) -> Condition:
    """A fuse that asks for no ground-fault protection by itself and may stand in a switch for a larger one."""
    others = [
        r
        for r in code_for(DEFAULT_EDITION).standard_ratings("fuse")
        if r <= FUSES_OF_SMALL_SWITCHES or r >= GROUND_FAULT_PROTECTION_FROM
    ]
    return {"all": [{"path": path, "known": True}, {"not": one_of(path, *others)}]}


def parallel(side: str) -> Condition:
    """More than one set of conductors on a side. Unit: none. Section: none."""
    return {
        "all": [
            {"path": f"{side}.conductors.sets", "known": True},
            {"not": is_(f"{side}.conductors.sets", 1)},
        ]
    }


def further_runs_entered() -> Condition:
    """At least one further secondary run. Unit: none. Section: none."""
    return {"all": [{"path": FURTHER, "known": True}, {"not": one_of(FURTHER, [])}]}


def by_phase(single: Condition, three: Condition) -> dict[Any, Condition]:
    """Which connection is offered when. Unit: none. Section: none."""
    return {
        system: single if system.startswith("single_phase") else three
        for system in (*get_args(PrimarySystem), *get_args(SecondarySystem))
    }
