"""Taps, case, terminals, weight and size of a transformer, the new one or the old one."""

from engine.wizard.asking import INCHES, POUNDS, Catalogue
from engine.wizard.purposes import FULL_VISIT, REPLACEMENT_VISIT


def ask_case(c: Catalogue, path: str, group: str, *, old: bool = False) -> None:
    """Taps, case, terminals, weight and size, asked alike of the new transformer and of the old one."""
    is_or_was = "was" if old else "is"

    def label(text: str) -> str:
        return f"Old {text[0].lower()}{text[1:]}" if old else text

    for side in ("above", "below"):
        c.ask(
            f"{path}.taps_{side}_percent",
            group,
            label(f"Taps {side} nominal"),
            f"How far {'did' if old else 'do'} the taps reach {side} nominal?",
            unit="%",
            purposes=REPLACEMENT_VISIT,
        )
    c.ask(
        f"{path}.enclosure",
        group,
        label("Enclosure"),
        f"What kind of enclosure {'did' if old else 'does'} it have?",
        purposes=REPLACEMENT_VISIT if old else FULL_VISIT,
    )
    for side, letter in (("primary", "H"), ("secondary", "X")):
        c.ask(
            f"{path}.{side}_terminal_celsius",
            group,
            label(f"{side.capitalize()} terminals ({letter})"),
            f"What temperature {is_or_was} marked at the {side} terminals?",
            unit="°C",
            purposes=REPLACEMENT_VISIT,
        )
    c.ask(
        f"{path}.weight_pounds",
        group,
        label("Weight"),
        f"How heavy {is_or_was} it?",
        unit="lb",
        purposes=REPLACEMENT_VISIT,
        metric=POUNDS,
    )
    for name, adjective in (("width", "wide"), ("height", "high"), ("depth", "deep")):
        c.ask(
            f"{path}.{name}_inches",
            group,
            label(name.capitalize()),
            f"How {adjective} {is_or_was} it overall?",
            unit="in.",
            purposes=REPLACEMENT_VISIT,
            metric=INCHES,
        )
