"""Grounding electrodes, the electrode conductor, and the bonds of water pipe and structural steel."""

from typing import get_args

from engine.code.electrodes import SINGLE
from engine.job import Electrode
from engine.wizard.asking import Catalogue
from engine.wizard.conditions import in_editions, is_, one_of
from engine.wizard.purposes import EVERY_VISIT

_ELECTRODES = get_args(Electrode)


def ask_electrode(c: Catalogue) -> None:
    """Ask for the electrodes, the conductor to them and the bonds in the area."""
    g, e = "electrode", "electrode"
    c.ask(
        f"{e}.available",
        g,
        "Electrodes at the building",
        "Which electrodes exist here?",
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{e}.used",
        g,
        "Electrode in use",
        "Which electrode does the conductor go to?",
        purposes=EVERY_VISIT,
    )
    made = one_of(f"{e}.used", "rod", "pipe", "plate", "ring", "concrete_encased")
    c.ask(
        f"{e}.sole_connection",
        g,
        "Only connection",
        "Does it end there and go to no other kind?",
        when=made,
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{e}.ring_size",
        g,
        "Ground ring size",
        "What size is the ring?",
        when=is_(f"{e}.used", "ring"),
        purposes=EVERY_VISIT,
        picker=True,
    )
    c.ask(
        f"{e}.joined_to_building_system",
        g,
        "Joined to the building's electrodes",
        "Is it bonded to the building's other electrodes?",
        when={
            "all": [
                {"not": is_(f"{e}.used", "none")},
                {"not": one_of(f"{e}.available", *([kind] for kind in _ELECTRODES))},
            ]
        },
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{e}.nearest_of_steel_and_water",
        g,
        "Nearer of steel and water pipe",
        "Is it the nearer of building steel and water pipe?",
        when={
            "all": [
                in_editions("electrode_preference", "nearest_steel_or_water"),
                one_of(f"{e}.used", "building_steel", "water_pipe"),
                {"not": one_of(f"{e}.available", *([kind] for kind in _ELECTRODES))},
            ]
        },
        purposes=EVERY_VISIT,
    )
    alone = one_of(f"{e}.available", *([kind] for kind in (*SINGLE, "water_pipe")))
    singles = [
        lone for kind in SINGLE for lone in ([kind], [kind, "water_pipe"], ["water_pipe", kind])
    ]
    c.ask(
        f"{e}.supplemented",
        g,
        "Supplemental electrode",
        "Is a supplemental electrode connected as well?",
        when={"any": [alone, one_of(f"{e}.available", *singles)]},
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{e}.resistance_ohms",
        g,
        "Resistance of the electrode",
        "What is its measured resistance to earth?",
        unit="ohm",
        when={
            "all": [
                one_of(f"{e}.available", *singles),
                is_(f"{e}.supplemented", False),
            ]
        },
        purposes=EVERY_VISIT,
    )
    there = {"not": is_(f"{e}.used", "none")}
    c.ask(
        f"{e}.conductor.size",
        g,
        "Electrode conductor size",
        "What size is the electrode conductor?",
        when=there,
        purposes=EVERY_VISIT,
        picker=True,
    )
    c.ask(
        f"{e}.conductor.material",
        g,
        "Electrode conductor metal",
        "Is the electrode conductor copper or aluminum?",
        when=there,
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{e}.connected_at",
        g,
        "Electrode conductor connected at",
        "Where does it connect to the system?",
        when=there,
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{e}.common_conductor",
        g,
        "Shared electrode conductor",
        "Is it a tap to a conductor shared by several transformers?",
        when=there,
        purposes=EVERY_VISIT,
    )
    shared = is_(f"{e}.common_conductor", True)
    c.ask(
        f"{e}.common_conductor_size",
        g,
        "Shared conductor size",
        "What size is the shared conductor?",
        when=shared,
        purposes=EVERY_VISIT,
        picker=True,
    )
    c.ask(
        f"{e}.common_conductor_material",
        g,
        "Shared conductor metal",
        "Is the shared conductor copper or aluminum?",
        when=shared,
        purposes=EVERY_VISIT,
    )
    for bond, name in (
        ("water_pipe_bond", "water pipe"),
        ("structural_steel_bond", "structural steel"),
    ):
        b = f"bonding.{bond}"
        c.ask(
            f"{b}.present",
            g,
            f"Bond of the {name}",
            f"Is there a bonding jumper to the {name} in this area?",
            purposes=EVERY_VISIT,
        )
        c.ask(
            f"{b}.size",
            g,
            f"{name.capitalize()} bond size",
            f"What size is the bond of the {name}?",
            when=is_(f"{b}.present", True),
            purposes=EVERY_VISIT,
            picker=True,
        )
        c.ask(
            f"{b}.material",
            g,
            f"{name.capitalize()} bond metal",
            f"Is the bond of the {name} copper or aluminum?",
            when=is_(f"{b}.present", True),
            purposes=EVERY_VISIT,
        )
        c.ask(
            f"{b}.metal_in_area",
            g,
            f"{name.capitalize()} in the area",
            f"Is there {'exposed ' if name == 'structural steel' else 'metal '}{name} in the area served?",
            when=is_(f"{b}.present", False),
            purposes=EVERY_VISIT,
        )
        c.ask(
            f"{b}.to_common_conductor",
            g,
            f"{name.capitalize()} bonded to the shared conductor",
            f"Is the {name} bonded to the shared electrode conductor in this area?",
            when={"all": [is_(f"{b}.present", False), shared]},
            purposes=EVERY_VISIT,
        )
    c.ask(
        "observations.aluminum_clear_of_earth",
        g,
        "Aluminum clear of earth",
        "Is the aluminum kept clear of earth and masonry?",
        when={
            "any": [
                *(
                    is_(path, "aluminum")
                    for path in (
                        f"{e}.conductor.material",
                        f"{e}.common_conductor_material",
                        "bonding.water_pipe_bond.material",
                        "bonding.structural_steel_bond.material",
                    )
                ),
                {
                    "all": [
                        is_("bonding.supply_side_bonding_jumper.material", "aluminum"),
                        {
                            "any": [
                                is_("bonding.supply_side_bonding_jumper.insulation", "bare"),
                                is_("transformer.location", "outdoors"),
                            ]
                        },
                    ]
                },
            ]
        },
    )
    c.ask(
        "observations.electrode_conductor_protected",
        g,
        "Electrode conductor protected",
        "Is it in one length, fastened and protected?",
    )
    c.ask(
        "observations.small_electrode_conductor_enclosed",
        g,
        "Small electrode conductor enclosed",
        "Is each one smaller than 6 AWG in a raceway or cable armor all the way?",
        when={
            "any": [
                one_of(path, "18", "16", "14", "12", "10", "8")
                for path in (
                    f"{e}.conductor.size",
                    "bonding.water_pipe_bond.size",
                    "bonding.structural_steel_bond.size",
                )
            ]
        },
    )
    c.ask(
        "observations.water_pipe_near_entry",
        g,
        "Connection near the water entry",
        "Is the connection within 5 ft of where the water pipe enters?",
        when=is_(f"{e}.used", "water_pipe"),
        purposes=EVERY_VISIT,
    )
    c.ask(
        "observations.grounding_connections_sound",
        g,
        "Grounding connections",
        "Are the grounding connections made for the purpose, on clean metal?",
    )
    c.ask(
        "observations.ferrous_raceway_bonded",
        g,
        "Steel raceway bonded",
        "Is a steel raceway around it bonded at both ends?",
    )
    c.ask(
        "observations.electrode_at_outdoor_source",
        g,
        "Electrode outdoors",
        "Is an electrode connected at the outdoor transformer?",
        when=is_("transformer.location", "outdoors"),
        purposes=EVERY_VISIT,
    )
