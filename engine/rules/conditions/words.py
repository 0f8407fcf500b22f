"""Sentences and names that several rules say in the same words."""

OVER_1000 = "Conductors above 1000 V are outside this tool. Ask the engineer of record."
ONE_CASE_WORDS = "The first disconnect is built into the transformer's case: no raceway runs to it."
NO_CONDUCTOR_WORDS = "No conductor goes to an electrode; that is checked separately."
NO_ELECTRODE_WORDS = (
    "Not over 1000 VA, for Class 1, 2 or 3 circuits only, its neutral bonded to its grounded frame: no electrode "
    "conductor is required."
)
