"""What the kinds and the conductors are called, each name written once: shown by itself, and said within a sentence."""

from typing import NamedTuple


class Name(NamedTuple):
    """One name in its two forms."""

    shown: str
    said: str


def _of(shown: dict[str, str], **said: str) -> dict[str, Name]:
    """Names that differ in a sentence by their first letter alone, but for those that are given."""
    return {
        kind: Name(name, said.get(kind, name[0].lower() + name[1:])) for kind, name in shown.items()
    }


CONNECTIONS = {
    "delta_3_wire": Name("Delta, 3-wire", "delta 3-wire"),
    "wye_3_wire": Name("Wye, 3-wire", "wye 3-wire"),
    "wye_4_wire": Name("Wye, 4-wire", "wye 4-wire"),
    "single_phase_2_wire": Name("Single-phase, 2-wire", "single-phase 2-wire"),
    "single_phase_3_wire": Name("Single-phase, 3-wire", "single-phase 3-wire"),
    "delta_3_wire_ungrounded": Name("Delta, 3-wire, ungrounded", "ungrounded delta 3-wire"),
    "delta_corner_grounded": Name("Delta, corner-grounded", "corner-grounded delta"),
    "delta_high_leg": Name("Delta, 4-wire, high leg", "high-leg delta 4-wire"),
}
SECONDARY_RULES = _of(
    {
        "primary_device": "Protected by the primary device",
        "10_ft": "Not over 10 ft",
        "industrial_25_ft": "Industrial, not over 25 ft",
        "outside": "Outdoors",
        "feeder_tap_25_ft": "From a tapped feeder, 25 ft in all",
        "25_ft": "Not over 25 ft",
    }
)
JUMPER_PLACES = _of(
    {
        "source": "At the transformer",
        "first_disconnect": "At the first disconnect",
        "both": "At both",
        "none": "None found",
    },
    both="at the transformer and at the first disconnect",
    none="nowhere",
)
ELECTRODES = _of(
    {
        "building_steel": "Building steel",
        "water_pipe": "Metal water pipe",
        "concrete_encased": "Concrete-encased",
        "rod": "Rod",
        "pipe": "Pipe",
        "plate": "Plate",
        "ring": "Ground ring",
        "none": "None",
    },
    concrete_encased="concrete-encased electrode",
)
PURPOSES = {
    "installation": Name("Check an installation", "Check of an installation"),
    "grounding": Name("Confirm the grounding", "Confirmation of the grounding"),
    "replacement": Name("Verify a replacement", "Verification of a replacement"),
}
CONDUCTOR_NAMES = {
    "primary_equipment_grounding": "Primary equipment grounding conductor",
    "grounded_conductor": "Grounded conductor",
    "supply_side_bonding_jumper": "Supply-side bonding jumper",
    "system_bonding_jumper": "System bonding jumper",
    "grounding_electrode_conductor": "Grounding electrode conductor",
    "water_pipe_bond": "Bond of the metal water pipe",
    "structural_steel_bond": "Bond of the structural steel",
}
# The stops of the walk round the installation.
STOPS = {
    "nameplate": "Nameplate",
    "primary_disconnect": "Primary disconnect",
    "primary_run": "Primary run",
    "enclosure": "Transformer enclosure",
    "secondary_run": "Secondary run",
    "first_disconnect": "First disconnect",
    "bonding": "Bonding point",
    "electrode": "Electrode, pipe and steel",
    "downstream": "Downstream",
    "replacement": "Replacement",
    "readings": "Readings",
    "job": "This job",
}
