"""Sentences and names that several rules say in the same words."""

OVER_1000 = "Conductors above 1000 V are outside this tool. Ask the engineer of record."
# The connections of a winding, in words.
CONNECTIONS = {
    "single_phase_2_wire": "single-phase 2-wire",
    "single_phase_3_wire": "single-phase 3-wire",
    "delta_3_wire": "delta 3-wire",
    "delta_3_wire_ungrounded": "ungrounded delta 3-wire",
    "delta_corner_grounded": "corner-grounded delta",
    "delta_high_leg": "high-leg delta 4-wire",
    "wye_3_wire": "wye 3-wire",
    "wye_4_wire": "wye 4-wire",
}
ONE_CASE_WORDS = "The first disconnect is built into the transformer's case: no raceway runs to it."
NO_CONDUCTOR_WORDS = "No conductor goes to an electrode; that is checked separately."
NO_ELECTRODE_WORDS = (
    "Not over 1000 VA, for Class 1, 2 or 3 circuits only, its neutral bonded to its grounded frame: no electrode "
    "conductor is required."
)


# The electrodes, in words.
ELECTRODE_NAMES = {
    "building_steel": "building steel",
    "water_pipe": "metal water pipe",
    "concrete_encased": "concrete-encased electrode",
    "rod": "rod",
    "pipe": "pipe",
    "plate": "plate",
    "ring": "ground ring",
    "none": "none",
}
