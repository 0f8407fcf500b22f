"""The conductors and the raceway of a run, asked alike of the primary and of the secondary."""

from engine.code.limits import METAL_RACEWAYS
from engine.wizard.asking import FAHRENHEIT, FEET, INCHES, Catalogue
from engine.wizard.conditions import Condition, is_, one_of, parallel
from engine.wizard.usual_values import ABOVE_1000_VOLTS, HELD_BY_600_VOLTS, USUAL_SETS


def ask_conductors(c: Catalogue, side: str, group: str, purposes: tuple[str, ...]) -> None:
    """Ask for the conductors and the raceway of one side, `primary` or `secondary`."""
    s = f"{side}.conductors"
    name = side.capitalize()
    c.ask(
        f"{s}.size",
        group,
        f"{name} conductor size",
        f"What size are the {side} conductors?",
        picker=True,
        purposes=purposes,
    )
    c.ask(
        f"{s}.material",
        group,
        f"{name} conductor metal",
        f"Are the {side} conductors copper or aluminum?",
        purposes=purposes,
    )
    c.ask(
        f"{s}.sets",
        group,
        f"{name} conductors in parallel",
        "How many in parallel per phase?",
        first=USUAL_SETS,
        other=True,
        purposes=purposes,
    )
    c.ask(
        f"{s}.raceways",
        group,
        f"{name} raceways",
        "How many raceways are they divided among?",
        first=USUAL_SETS,
        other=True,
        when=parallel(side),
        purposes=purposes,
    )
    c.ask(
        f"{s}.insulation",
        group,
        f"{name} insulation",
        "What insulation letters are on it?",
        picker=True,
    )
    c.ask(
        f"{s}.insulation_volts",
        group,
        f"{name} insulation voltage",
        "What voltage is printed on the insulation?",
        unit="V",
        when={"not": one_of(f"transformer.{side}_volts", *HELD_BY_600_VOLTS, *ABOVE_1000_VOLTS)},
    )
    c.ask(f"{s}.wet_location", group, f"{name} run wet", "Is any part of the run wet?")
    others = {
        "primary": ("primary.equipment_grounding",),
        "secondary": ("secondary.grounded_conductor", "bonding.supply_side_bonding_jumper"),
    }[side]
    c.ask(
        f"{s}.outer_covering",
        group,
        f"{name} outer covering",
        "Do the RHH or RHW wires have an outer covering?",
        when={
            "any": [one_of(f"{wires}.insulation", "RHH", "RHW", "RHW-2") for wires in (s, *others)]
        },
    )
    c.ask(
        f"{s}.length_feet",
        group,
        f"{name} conductor length",
        "How long are they, terminal to terminal?",
        unit="ft",
        metric=FEET,
    )
    c.ask(
        f"{s}.current_carrying",
        group,
        f"{name} current-carrying conductors",
        "How many current-carrying conductors are in one raceway?",
        first=(3, 4, 6, 9),
        other=True,
    )
    c.ask(
        f"{s}.ambient_celsius",
        group,
        f"{name} ambient temperature",
        "How hot does it get along the run?",
        unit="°C",
        first=(30, 35, 40, 45, 50),
        other=True,
        metric=FAHRENHEIT,
    )
    c.ask(
        f"{s}.termination_celsius",
        group,
        f"{name} terminals at the transformer",
        "What temperature is marked on the transformer's lugs?",
        unit="°C",
    )
    r = f"{side}.raceway"
    c.ask(
        f"{r}.type",
        group,
        f"{name} raceway type",
        "What type of raceway?",
        picker=True,
        purposes=purposes,
    )
    c.ask(
        f"{r}.trade_size",
        group,
        f"{name} raceway size",
        "What trade size?",
        unit="in.",
        picker=True,
    )
    c.ask(
        f"{r}.length_feet",
        group,
        f"{name} raceway length",
        "How long is the raceway?",
        unit="ft",
        metric=FEET,
    )
    # A run that is outdoors by another answer is wet inside too.
    wet: Condition = {
        "any": [
            is_(f"{s}.wet_location", True),
            is_("transformer.location", "outdoors"),
            *([is_("secondary.rule", "outside")] if side == "secondary" else []),
        ]
    }
    c.ask(
        f"{r}.on_sunny_rooftop",
        group,
        f"{name} run on a sunny roof",
        "Is any part on or above a roof, in direct sun?",
        when={"any": [wet, {"path": f"{r}.height_above_roof_inches", "known": True}]},
    )
    c.ask(
        f"{r}.height_above_roof_inches",
        group,
        f"{name} raceway height above the roof",
        "How high above the roof is the bottom of the raceway?",
        unit="in.",
        when={"all": [wet, is_(f"{r}.on_sunny_rooftop", True)]},
        metric=INCHES,
    )
    c.ask(f"{r}.nipple", group, f"{name} nipple", "Is it a nipple of 24 in. or less?")


def is_rigid(side: str) -> Condition:
    """Where a raceway may have a flexible section, which has less room and may be used in fewer places."""
    return one_of(f"{side}.raceway.type", *METAL_RACEWAYS, "PVC40", "PVC80")


def has_flexible_section(side: str) -> Condition:
    """Where a flexible section of a rigid raceway is on record."""
    length = f"{side}.raceway.flexible_length_feet"
    return {
        "all": [is_rigid(side), {"path": length, "known": True}, {"not": is_(length, 0)}],
    }


def ask_flexible_section(c: Catalogue, side: str, group: str) -> None:
    """Ask what the flexible section of a rigid raceway is, where there is one."""
    r, name = f"{side}.raceway", side
    c.ask(
        f"{r}.flexible_type",
        group,
        f"Type of the flexible section, {name}",
        f"What type is the flexible section of the {name} raceway?",
        when=has_flexible_section(side),
    )
    c.ask(
        f"{r}.flexible_trade_size",
        group,
        f"Size of the flexible section, {name}",
        f"What trade size is the flexible section of the {name} raceway?",
        unit="in.",
        picker=True,
        when=has_flexible_section(side),
    )
