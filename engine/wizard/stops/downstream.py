"""Past the first disconnect."""

from engine.wizard.asking import Catalogue
from engine.wizard.purposes import EVERY_VISIT


def ask_downstream(c: Catalogue) -> None:
    """Ask whether neutral and ground are joined again past the first disconnect."""
    c.ask(
        "bonding.neutral_bonded_downstream",
        "downstream",
        "Joined downstream",
        "Are neutral and ground joined again downstream?",
        purposes=EVERY_VISIT,
    )
