"""How each part of the bonding drawing appears, read off the result once."""

from typing import Literal, NamedTuple

from engine.result import Drawn, Result
from engine.result.words import VERDICTS

Look = Literal["sound", "wrong", "missing", "unknown", "idle", "absent"]
LOOK_WORDS: dict[Look, str] = {
    "sound": VERDICTS["meets"],
    "wrong": VERDICTS["does_not_meet"],
    "missing": "Missing",
    "unknown": VERDICTS["cannot_tell"],
    "idle": VERDICTS["does_not_apply"],
    "absent": "None, does not apply",
}
_NO_NEUTRAL = ("delta 3 wire ungrounded", "single phase 2 wire", "wye 3 wire")
PHASES = (24.0, 32.0, 40.0)
PAIR = (26.0, 38.0)


class Plan(NamedTuple):
    """What the drawing shows, read off the result once."""

    parts: dict[str, Drawn]
    looks: dict[str, Look]
    ungrounded: tuple[float, ...]
    """Where the ungrounded conductors run: two on a single-phase transformer, three on any other."""
    has_neutral: bool
    jumper_at: tuple[str, ...]
    starts_at: str
    doubled: bool


def look(part: Drawn) -> Look:
    """How one part appears, from its size and its state. Unit: none. Section: that of its check."""
    if part.size == "none found":
        return {"does_not_meet": "missing", "cannot_tell": "unknown"}.get(part.state, "absent")  # type: ignore[return-value]
    looks: dict[str, Look] = {"meets": "sound", "does_not_meet": "wrong", "cannot_tell": "unknown"}
    return looks.get(part.state, "idle")


def plan(result: Result) -> Plan:
    """The parts with their looks, and where they go. Unit: none. Section: 250.30(A)."""
    drawn = result.drawing
    parts = {part.id: part for part in drawn.parts}
    looks: dict[str, Look] = {id_: look(part) for id_, part in parts.items()}
    if drawn.jumper == "none":
        broken = parts["system_bonding_jumper"].state == "does_not_meet"
        looks["system_bonding_jumper"] = "missing" if broken else "absent"
    if drawn.electrode == "none":
        state = parts["grounding_electrode_conductor"].state
        looks["grounding_electrode_conductor"] = (
            "absent" if state == "does_not_apply" else "missing"
        )
    return Plan(
        parts=parts,
        looks=looks,
        ungrounded=PAIR if "single-phase" in result.job.transformer else PHASES,
        has_neutral=drawn.system not in _NO_NEUTRAL
        or parts["grounded_conductor"].state in ("meets", "does_not_meet"),
        jumper_at=("source", "first_disconnect") if drawn.jumper == "both" else (drawn.jumper,),
        starts_at=drawn.electrode_at,
        doubled=drawn.jumper == "both",
    )
