"""Where a breaker with two voltages on its label holds: the voltage to ground of each conductor decides."""

from typing import NamedTuple

from engine.derived import grounded_systems, volts_to_ground
from engine.derived.volts_to_ground import NOMINAL
from engine.job.site import Site


class Label(NamedTuple):
    """The two voltages of a usual slash rating: between any two conductors, and from any one to ground [V]."""

    between: float
    to_ground: float


LABELS = (Label(240, 120), Label(480, 277), Label(600, 347))


class Exposure(NamedTuple):
    """What a breaker sees [V]: between two conductors, and from one to ground; None where nothing is solidly grounded."""

    between: float
    to_ground: float | None

    @property
    def usual_label_holds(self) -> bool:
        """Whether the lowest usual label for the voltage between conductors holds to ground as well."""
        usual = next((label for label in LABELS if self.between <= label.between * NOMINAL), None)
        return usual is not None and self._held_by(usual)

    @property
    def some_label_holds(self) -> bool:
        """Whether a higher one of the usual labels would hold."""
        return any(self._held_by(label) for label in LABELS)

    def _held_by(self, label: Label) -> bool:
        return (
            self.to_ground is not None
            and self.between <= label.between * NOMINAL
            and self.to_ground <= label.to_ground * NOMINAL
        )


def on_secondary(site: Site) -> Exposure:
    """What a breaker on the secondary sees [V]. Section: 240.85. Raises Missing."""
    line = site.job.transformer.secondary_volts
    system = site.need(lambda job: job.transformer.secondary_system)
    # A system that must be grounded and is not stands as it is found.
    if system == "delta_3_wire_ungrounded" or not grounded_systems.is_grounded(site):
        return Exposure(line, None)
    grounded = Exposure(line, line * volts_to_ground.SHARE_WHEN_GROUNDED[system])
    if not grounded.usual_label_holds:
        return grounded
    bare = site.need(lambda job: job.bonding.system_bonding_jumper.location) == "none"
    return Exposure(line, None) if bare else grounded


def on_supply(site: Site) -> tuple[Exposure, Exposure]:
    """What the primary breaker sees [V], at the least and at the most that the supply can make of it.

    Section: 240.85, which goes by the conductors of the circuit. Raises Missing.
    """
    line = site.job.transformer.primary_volts
    supply = site.need(lambda job: job.primary.supply_system)
    if supply in ("ungrounded", "impedance_grounded"):
        return Exposure(line, None), Exposure(line, None)
    to_ground = volts_to_ground.of_primary(site, supply)
    return Exposure(line, to_ground.least), Exposure(line, to_ground.most)
