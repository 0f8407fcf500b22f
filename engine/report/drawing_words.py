"""The bonding drawing in words, a line a part, for whoever cannot see it."""

from engine.report.drawing_plan import LOOK_WORDS, Look, plan
from engine.report.elements import clean
from engine.result import Drawn, Result
from engine.result.words import JUMPER_PLACES


def _at(place: str) -> str:
    return JUMPER_PLACES.get(place, "place not known")


def _said(result: Result, part: Drawn, shown: Look) -> str:
    """One line of the text: what it is, where, its size, its state, and the reason where it does not just meet."""
    named = part.label
    if part.id in (
        "system_bonding_jumper",
        "grounding_electrode_conductor",
        "single_bonding_point",
    ):
        named = f"{named}, {_at(part.where)}"
    size = f"{part.size}. " if part.size and shown not in ("missing", "absent") else ""
    text = f"{named}: {size}{LOOK_WORDS[shown]}."
    check = next((check for check in result.checks if check.id == part.id), None)
    if check is not None and check.verdict != "meets" and check.reason:
        text = f"{text} {check.reason}"
    return " ".join(clean(text).split())


def drawing_text(result: Result) -> str:
    """The drawing in words, a line a part, for whoever cannot see it. Unit: AWG or kcmil. Section: 250.30(A)."""
    drawn, plan_ = result.drawing, plan(result)
    grounded = {True: "grounded", False: "not grounded", None: "not known whether grounded"}[
        drawn.grounded
    ]
    joined = {
        True: "Downstream, neutral and ground are joined again.",
        False: "Downstream, neutral and ground are kept apart.",
        None: "Whether neutral and ground are joined again downstream is not known.",
    }[drawn.downstream_bond]
    bonds = {
        "both": "Two bonds between neutral and metal: one at the transformer, one at the first disconnect.",
        "none": "No bond between neutral and metal was found.",
        "source": "One bond between neutral and metal, at the transformer.",
        "first_disconnect": "One bond between neutral and metal, at the first disconnect.",
    }.get(drawn.jumper, "Where neutral and metal are bonded is not known.")
    electrode = {"none": "No electrode is in use.", "not known": "The electrode is not known."}.get(
        drawn.electrode, f"Electrode: {drawn.electrode}, connected {_at(drawn.electrode_at)}."
    )
    lines = [
        f"Transformer: {result.job.transformer}. Secondary: {drawn.system}, {grounded}.",
        f"{bonds} {electrode} {joined}",
        *(_said(result, part, plan_.looks[part.id]) for part in drawn.parts),
    ]
    return "\n".join(clean(line) for line in lines)
