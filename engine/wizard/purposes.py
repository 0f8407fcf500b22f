"""What a visit is for, what each purpose asks first, and the stops of the walk in their order."""

from typing import Any, get_args

from engine.job.kinds import Purpose
from engine.job.words import STOPS
from engine.wizard.answers import ANSWER_WORDS

# Three screens before the limits: voltages, power, primary device.
_NAMEPLATE_FIRST = ("nameplate_voltages", "transformer.kva", "primary.device.rating")
# `first`: what is asked before the limits are shown; the rest of the walk comes after them.
PURPOSES: tuple[dict[str, Any], ...] = (
    {
        "id": "installation",
        "title": ANSWER_WORDS["installation"],
        "text": "From the nameplate to every limit, then a checklist of what is really there.",
        "first": [*_NAMEPLATE_FIRST],
    },
    {
        "id": "grounding",
        "title": ANSWER_WORDS["grounding"],
        "text": "Electrode conductor, jumpers and bonds from the secondary conductors and the electrodes.",
        "first": [
            "nameplate_voltages",
            "transformer.kva",
            "secondary.conductors.size",
            "secondary_metal_and_sets",
            "electrode.available",
            "electrode.used",
        ],
    },
    {
        "id": "replacement",
        "title": ANSWER_WORDS["replacement"],
        "text": "Old and new nameplate, what changes downstream, readings before it goes into service.",
        "first": [*_NAMEPLATE_FIRST],
    },
)

GROUPS: tuple[dict[str, str], ...] = (
    {"id": "nameplate", "title": STOPS["nameplate"], "text": "Read it; do not open covers."},
    {
        "id": "primary_disconnect",
        "title": STOPS["primary_disconnect"],
        "text": "The device ahead of the transformer.",
    },
    {
        "id": "primary_run",
        "title": STOPS["primary_run"],
        "text": "From that device to the transformer.",
    },
    {
        "id": "enclosure",
        "title": STOPS["enclosure"],
        "text": "Around the transformer, and what is open already.",
    },
    {
        "id": "secondary_run",
        "title": STOPS["secondary_run"],
        "text": "From the transformer to the first disconnect.",
    },
    {
        "id": "first_disconnect",
        "title": STOPS["first_disconnect"],
        "text": "Main device and panelboard.",
    },
    {"id": "bonding", "title": STOPS["bonding"], "text": "Where the neutral is bonded to metal."},
    {
        "id": "electrode",
        "title": STOPS["electrode"],
        "text": "Follow each conductor to its end.",
    },
    {"id": "downstream", "title": STOPS["downstream"], "text": "Past the first disconnect."},
    {
        "id": "replacement",
        "title": STOPS["replacement"],
        "text": "What came out, and how the new one is installed.",
    },
    {
        "id": "readings",
        "title": STOPS["readings"],
        "text": "Only by a qualified person, with the right tester.",
    },
    {"id": "job", "title": STOPS["job"], "text": "For the report."},
)
# Whose visits ask a question.
EVERY_VISIT: tuple[str, ...] = get_args(Purpose)
FULL_VISIT = ("installation", "replacement")
REPLACEMENT_VISIT = ("replacement",)
