"""The bonding point, the electrodes, the bonds of pipe and steel."""

from typing import Annotated, Literal

from pydantic import Field

from engine.code.sizes import Material, Size
from engine.job.base import OrEmpty, Record, unread
from engine.job.kinds import Electrode, JumperLocation
from engine.job.secondary import SupplySideBondingJumper


class SystemBondingJumper(Record):
    """The connection between the grounded conductor and the metal: one only."""

    factory_furnished: bool | None = None
    """The equipment's label or instructions name it. A wire, or just any screw that fits, does not count."""
    location: JumperLocation | None = None
    """Look for it in both enclosures, where they are open already. A meter cannot prove it."""
    in_each_enclosure: bool | None = None
    """Look in every first disconnect that this transformer feeds, where it is open already. If one has no jumper, answer no."""
    size: Size | None = None
    """Not needed for a furnished strap or screw. Otherwise printed along the wire (AWG or kcmil); measure bare wire with a gauge, de-energized."""
    material: Material | None = None
    """Not needed for a furnished strap or screw. Otherwise printed on the wire (CU or AL), or by the color of the bare metal."""


class AreaBond(Record):
    """A bonding jumper to metal in the area that the transformer serves."""

    present: bool | None = None
    """Whether it is bonded: by a jumper to where the electrode conductor connects, or to the steel or pipe that is the electrode here."""
    size: Size | None = None
    """The jumper itself (AWG or kcmil), not the electrode conductor. Printed along it; measure bare wire with a wire gauge."""
    material: Material | None = None
    """Printed on the insulation (CU or AL); if bare, by the color of the metal. If you can't see it, leave it blank."""
    metal_in_area: bool | None = None
    """The area is where its loads are, not only its room: the panel directories show how far it goes."""
    to_common_conductor: bool | None = None
    """Look for a jumper from it to the shared electrode conductor, in the area this transformer serves."""


class Bonding(Record):
    """The bonding jumpers."""

    system_bonding_jumper: OrEmpty[SystemBondingJumper] = unread(SystemBondingJumper)
    supply_side_bonding_jumper: OrEmpty[SupplySideBondingJumper] = unread(SupplySideBondingJumper)
    neutral_bonded_downstream: bool | None = None
    """Whether neutral and ground are joined again anywhere past the one bonding point: straps, green screws, receptacles."""
    water_pipe_bond: OrEmpty[AreaBond] = unread(AreaBond)
    structural_steel_bond: OrEmpty[AreaBond] = unread(AreaBond)


class ElectrodeConductor(Record):
    """The grounding electrode conductor."""

    size: Size | None = None
    """Printed along it (AWG or kcmil); measure bare wire with a wire gauge. To a shared conductor: the size of the tap."""
    material: Material | None = None
    """Printed on the insulation (CU or AL); if bare, by the color of the metal. If you can't see it, leave it blank."""


class GroundingElectrode(Record):
    """The electrodes that exist, the one in use, and the conductor to it."""

    available: list[Electrode] | None = None
    """All that are at this building, in use or not. Leave all unchecked only if you looked and found none."""
    used: (
        Literal[
            "building_steel",
            "water_pipe",
            "concrete_encased",
            "rod",
            "pipe",
            "plate",
            "ring",
            "none",
        ]
        | None
    ) = None
    """Follow it to its last clamp. A panel, a conduit or a shared conductor is on the way, not the electrode."""
    sole_connection: bool | None = None
    """Look past the clamp for a wire that goes on to steel, water pipe or another kind. Rod to rod is the same kind."""
    joined_to_building_system: bool | None = None
    """Look for the wire from it to steel, water pipe or the service's electrodes. If you can't see one, leave it blank: that is not a no."""
    nearest_of_steel_and_water: bool | None = None
    """Compare the distance to the steel and to where the water pipe enters. Matters in the 2014 edition only."""
    supplemented: bool | None = None
    """For a single rod, pipe or plate, a second one at least 6 ft away counts, beside a water pipe too. For a water pipe alone, any other kind of electrode."""
    resistance_ohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """Of the single rod, pipe or plate [ohm], by a ground-resistance tester. Ask for the test record."""
    conductor: OrEmpty[ElectrodeConductor] = unread(ElectrodeConductor)
    connected_at: Literal["source", "first_disconnect"] | None = None
    """See in which enclosure its upper end lands. It must match the location of the system bonding jumper."""
    common_conductor: bool | None = None
    """Look for one wire along the building that each transformer taps to. If this transformer's own wire runs straight to building steel or a water pipe, answer no and enter that as the electrode."""
    common_conductor_size: Size | None = None
    """Printed along it (AWG or kcmil). The conductor that the taps land on, not this transformer's tap."""
    common_conductor_material: Material | None = None
    """The metal of the conductor the taps land on: printed on it (CU or AL), or by the color of the bare metal."""
    ring_size: Size | None = None
    """The ring in the earth, not the conductor that comes up (AWG or kcmil). Buried: by the drawings, or leave it blank."""
