"""Electrode, its conductor, and downstream: what a look settles."""

from engine.rules.look import Seen, high_leg
from engine.site import Site


def _aluminum_electrode_conductor(site: Site) -> str | None:
    metal = site.need(lambda job: job.electrode.conductor.material)
    return None if metal == "aluminum" else "The electrode conductor is copper."


def _outdoors(site: Site) -> str | None:
    outdoors = site.need(lambda job: job.transformer.location) == "outdoors"
    return None if outdoors else "The transformer is indoors."


ELECTRODE: tuple[Seen, ...] = (
    Seen(
        "electrode_conductor_protection",
        "Electrode conductor fastened, unspliced, protected",
        "electrode_conductor_protection",
        "violation",
        "electrode",
        "fastened, one length, protected where exposed to damage",
        "It can be damaged, or is spliced.",
        "Protect it; run it in one length.",
        fact="electrode_conductor_protected",
    ),
    Seen(
        "aluminum_electrode_conductor",
        "Aluminum electrode conductor clear of earth",
        "electrode_conductor_aluminum",
        "violation",
        "electrode",
        "outdoors ended 18 in. or more above the earth; bare nowhere against earth or masonry",
        "Aluminum corrodes where it touches earth or masonry.",
        "Use copper there.",
        fact="aluminum_clear_of_earth",
        applies=_aluminum_electrode_conductor,
        asks=("electrode.conductor.material",),
    ),
    Seen(
        "ferrous_raceway",
        "Steel raceway of the electrode conductor bonded",
        "electrode_conductor_ferrous_raceway",
        "violation",
        "electrode",
        "any steel raceway around it bonded at both ends",
        "A steel raceway not bonded at both ends chokes the conductor.",
        "Bond both ends.",
        fact="ferrous_raceway_bonded",
    ),
    Seen(
        "outdoor_electrode",
        "Electrode at an outdoor source",
        "outdoor_source",
        "danger",
        "electrode",
        "an electrode connection at the transformer outdoors",
        "No electrode at the outdoor transformer.",
        "Connect one there.",
        fact="electrode_at_outdoor_source",
        applies=_outdoors,
        asks=("transformer.location",),
    ),
    Seen(
        "high_leg_loads",
        "No load from high leg to neutral",
        "high_leg_identification",
        "danger",
        "downstream",
        "nothing between the high leg and the neutral",
        "A load stands on the high leg and the neutral: too much voltage.",
        "Move the load.",
        fact="high_leg_free_of_neutral_loads",
        applies=high_leg,
        asks=("transformer.secondary_system",),
    ),
)
