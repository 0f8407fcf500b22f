"""The facts that several rules read together, by their paths."""

# What the sizes of jumpers and electrode conductor follow from.
DERIVED_CONDUCTORS = (
    "secondary.conductors.size",
    "secondary.conductors.material",
    "secondary.conductors.sets",
)
# What `grounded_systems.is_grounded` reads: above 150 V to ground it is the conductor that is run that decides.
GROUNDED_BY = (
    "transformer.secondary_system",
    "bonding.system_bonding_jumper.location",
    "secondary.grounded_conductor.present",
    "secondary.grounded_conductor.size",
)
# What `needs_no_electrode` may read.
NO_ELECTRODE = (
    "secondary.class_1_2_3_circuits_only",
    "bonding.system_bonding_jumper.location",
    "primary.equipment_grounding.kind",
)
# What the primary device counts as, by `currents.primary_device_rating`.
DEVICE_RATING = (
    "primary.device.rating",
    "primary.device.kind",
    "primary.device.adjustable",
    "primary.device.rating_basis",
    "primary.device.highest_rating",
)
# How the secondary devices are rated, and what those ratings are based on.
SECONDARY_BASIS = (
    "secondary.protection.kind",
    "secondary.protection.rating",
    "secondary.protection.ratings",
    "secondary.protection.device_kind",
    "secondary.protection.adjustable",
    "secondary.protection.rating_basis",
)
# What they count as, by `currents.secondary_device_rating`.
SECONDARY_RATING = (*SECONDARY_BASIS, "secondary.protection.highest_rating")


def conductor_asks(side: str) -> tuple[str, ...]:
    """The paths that an ampacity reads. Unit: none. Section: 310.15, 110.14(C)."""
    device = "primary.device" if side == "primary" else "secondary.protection"
    return (
        f"{side}.conductors.size",
        f"{side}.conductors.material",
        f"{side}.conductors.insulation",
        f"{side}.conductors.sets",
        f"{side}.conductors.raceways",
        f"{side}.conductors.current_carrying",
        f"{side}.conductors.ambient_celsius",
        f"{side}.conductors.termination_celsius",
        f"{device}.termination_celsius",
        f"transformer.{side}_terminal_celsius",
        f"{side}.conductors.wet_location",
        "transformer.location",
        f"{side}.raceway.on_sunny_rooftop",
        f"{side}.raceway.height_above_roof_inches",
        f"{side}.raceway.nipple",
        f"{side}.raceway.length_feet",
        f"{side}.conductors.length_feet",
        *(
            (
                "transformer.secondary_system",
                "secondary.grounded_conductor.present",
                "secondary.grounded_conductor.size",
                "secondary.grounded_conductor.sets",
                "secondary.grounded_conductor.current_carrying",
                "bonding.system_bonding_jumper.location",
                "secondary.rule",
            )
            if side == "secondary"
            else ()
        ),
    )


# What `beside_other_insulation` reads beyond an ampacity.
INSULATIONS_BESIDE = {
    "primary": ("primary.equipment_grounding.kind", "primary.equipment_grounding.insulation"),
    "secondary": (
        "secondary.grounded_conductor.insulation",
        "bonding.supply_side_bonding_jumper.kind",
        "bonding.supply_side_bonding_jumper.insulation",
        "bonding.system_bonding_jumper.location",
    ),
}
