"""What the report says of the visit: edition, place, person and permit."""

from engine.code import EDITIONS
from engine.wizard.asking import Catalogue
from engine.wizard.purposes import EVERY_VISIT


def ask_job(c: Catalogue) -> None:
    """Ask for the edition and for what identifies the visit."""
    g = "job"
    c.ask(
        "edition",
        g,
        "Edition",
        "Which edition does the authority enforce?",
        purposes=EVERY_VISIT,
        first=tuple(reversed(EDITIONS)),
    )
    c.ask("name", g, "Name", "What do you call this job?", purposes=EVERY_VISIT)
    c.ask("place", g, "Place", "Where is it?", purposes=EVERY_VISIT)
    c.ask("date", g, "Date", "When was the visit?", purposes=EVERY_VISIT, kind="date")
    c.ask("person", g, "Person", "Who made the visit?", purposes=EVERY_VISIT)
    c.ask("licence", g, "License", "License or badge number?", purposes=EVERY_VISIT)
    c.ask("permit", g, "Permit", "Permit number?", purposes=EVERY_VISIT)
    c.ask("permit_date", g, "Permit date", "Date of the permit?", purposes=EVERY_VISIT, kind="date")
    c.ask("notes", g, "Notes", "Anything else?", purposes=EVERY_VISIT, kind="text_long")
