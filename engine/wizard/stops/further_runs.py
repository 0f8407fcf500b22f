"""What is asked of a further secondary run alone."""

from engine.job.runs import FURTHER
from engine.wizard.asking import Catalogue
from engine.wizard.conditions import is_
from engine.wizard.purposes import EVERY_VISIT


def ask_further_runs(c: Catalogue) -> None:
    """Ask what only a further run has: where its first device is."""
    g = "first_disconnect"
    c.ask(
        f"{FURTHER}.0.in_first_enclosure",
        g,
        "In the enclosure of run 1",
        "Does it end in the same enclosure as the first run?",
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{FURTHER}.0.beside_first_run",
        g,
        "Grouped with run 1",
        "Is its device grouped with that of the first run?",
        when=is_(f"{FURTHER}.0.in_first_enclosure", False),
    )
