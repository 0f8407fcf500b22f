"""What an answer is called on its button and in the report, written once for every question."""

from engine.job.words import (
    CONNECTIONS,
    ELECTRODES,
    JUMPER_PLACES,
    PURPOSES,
    SECONDARY_RULES,
    Name,
)
from engine.physics.quantities import RACEWAY_NAMES


def _shown(names: dict[str, Name]) -> dict[str, str]:
    return {kind: name.shown for kind, name in names.items()}


ANSWER_WORDS = {
    "copper": "Copper",
    "aluminum": "Aluminum",
    "breaker": "Breaker",
    "fuse": "Fuses",
    "indoors": "Indoors",
    "outdoors": "Outdoors",
    "dry": "Dry type",
    "cast_resin": "Cast resin",
    "liquid": "Liquid-filled",
    **_shown(CONNECTIONS),
    **_shown(SECONDARY_RULES),
    "main_device": "One main breaker or set of fuses",
    "main_lugs_only": "Main lugs only",
    "grouped_devices": "Several devices, grouped",
    **_shown(JUMPER_PLACES),
    "wire": "A wire",
    "raceway": "The metal raceway",
    "bare": "Bare",
    **_shown({kind: name for kind, name in ELECTRODES.items() if kind != "none"}),
    **RACEWAY_NAMES,
    "open": "Open, core and coils without a case",
    "ventilated": "Ventilated",
    "ventilated_with_weather_shield": "Ventilated, with weather shield",
    "totally_enclosed": "Totally enclosed, no vents",
    "encapsulated": "Encapsulated (potted)",
    "solidly_grounded_wye": "Wye, solidly grounded",
    "single_phase_grounded": "Single-phase, midpoint grounded",
    "high_leg": "Delta with a high leg",
    "corner_grounded": "Delta, one corner grounded",
    "ungrounded": "Ungrounded",
    "impedance_grounded": "Grounded through an impedance",
    "highest_setting": "Highest setting",
    "setting_restricted": "Present setting, access restricted",
    "setting_open": "Present setting, anyone can change it",
    "nothing_grounded": "Nothing grounded, no live parts",
    "grounded": "A grounded wall or grounded metal",
    "live": "Other live parts",
    **_shown(PURPOSES),
}
