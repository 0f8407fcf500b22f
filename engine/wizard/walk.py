"""The walk: every stop in its order, and the whole wizard as plain data. Nothing else knows the order."""

from typing import Any

from engine.job import MOST_FURTHER_RUNS, Job
from engine.job.runs import FURTHER, PLACES
from engine.wizard.asking import Catalogue
from engine.wizard.purposes import GROUPS, PURPOSES
from engine.wizard.stops.bonding import ask_bonding
from engine.wizard.stops.downstream import ask_downstream
from engine.wizard.stops.electrode import ask_electrode
from engine.wizard.stops.enclosure import ask_enclosure
from engine.wizard.stops.first_disconnect import ask_first_disconnect
from engine.wizard.stops.further_runs import ask_further_runs
from engine.wizard.stops.job import ask_job
from engine.wizard.stops.nameplate import ask_nameplate
from engine.wizard.stops.panelboard import ask_panelboard
from engine.wizard.stops.primary_disconnect import ask_primary_disconnect
from engine.wizard.stops.primary_run import ask_primary_run
from engine.wizard.stops.readings import ask_readings
from engine.wizard.stops.replacement import ask_replacement
from engine.wizard.stops.secondary_run import ask_secondary_run
from engine.wizard.together import TOGETHER


def made_of_further_runs() -> tuple[dict[str, Any], ...]:
    """What is asked of a further secondary run alone, made from the job model. Unit: none. Section: none."""
    c = Catalogue()
    ask_further_runs(c)
    return tuple(c.questions)


def made_catalogue() -> tuple[dict[str, Any], ...]:
    """All questions in walking order, made from the job model. Unit: each its own. Section: none."""
    c = Catalogue()
    for ask_stop in (
        ask_nameplate,
        ask_primary_disconnect,
        ask_primary_run,
        ask_enclosure,
        ask_secondary_run,
        ask_first_disconnect,
        ask_panelboard,
        ask_bonding,
        ask_electrode,
        ask_downstream,
        ask_replacement,
        ask_readings,
        ask_job,
    ):
        ask_stop(c)
    return tuple(c.questions)


def compiled_source() -> str:
    """Source of `_compiled_questions.py`: all questions as literals. Unit: none. Section: none."""
    return f'"""Made by the build from engine.wizard.walk; never edited."""\nCATALOGUE = {made_catalogue()!r}\nOF_FURTHER_RUNS = {made_of_further_runs()!r}\n'


def questions() -> dict[str, Any]:
    """The whole wizard as plain data, for the screen. Unit: each its own. Section: none."""
    from engine.code.coverage import limits  # noqa: PLC0415  (the phone gets them with the questions)

    asked = made_catalogue()
    purposes: list[dict[str, Any]] = []
    for purpose in PURPOSES:
        mine = [q for q in asked if purpose["id"] in q["purposes"]]
        groups = [g["id"] for g in GROUPS if any(q["group"] == g["id"] for q in mine)]
        if purpose["id"] == "replacement":
            # The old nameplate goes away with the old transformer, so it is read first.
            groups.sort(key=lambda id_: id_ not in ("nameplate", "replacement"))
        purposes.append({**purpose, "groups": groups})
    return {
        "format": "platepath.questions/1",
        "default_edition": Job.model_fields["edition"].default,
        "purposes": purposes,
        "groups": list(GROUPS),
        "questions": list(asked),
        "together": list(TOGETHER),
        "further_runs": {
            "name": "Run",
            "title": "Secondary runs",
            "text": "One transformer often feeds several panels, each with its own conductors. Add every run: the "
            "bonding jumper and the electrode conductor are sized from all runs together.",
            "most": MOST_FURTHER_RUNS,
            "path": FURTHER,
            "places": dict(PLACES),
            "questions": list(made_of_further_runs()),
        },
        "limits": [{"text": limit} for limit in limits()],
    }
