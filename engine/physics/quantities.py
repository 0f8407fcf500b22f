"""Units and how people see them. No other module formats a number.

The same few thousand numbers come again and again in a fleet of jobs, so their texts are kept.
"""

from functools import lru_cache
from math import isfinite
from typing import Literal

Unit = Literal[
    "A",
    "%",
    "AWG or kcmil",
    "kcmil",
    "trade size",
    "V",
    "kA",
    "ft",
    "in2",
    "ohm",
    "kVA",
    "megohm",
    "°C",
    "×",
    "",
]

# Comparisons forgive the last bits of binary arithmetic, never a real difference.
TOLERANCE = 1e-9


def at_most(found: float, limit: float) -> bool:
    """Whether found ≤ limit, but for the last bits of binary arithmetic. Unit: any, the same for both."""
    return found <= limit * (1 + TOLERANCE) + 1e-12


@lru_cache(maxsize=4096)
def number(value: float, digits: int = 4) -> str:
    """A number as people write it: about four significant digits, thousands separated, no trailing zeros."""
    if not isfinite(value):
        return str(value)
    magnitude = abs(value)
    if magnitude >= 10 ** (digits - 1):
        text = (
            f"{value:,.0f}"
            if magnitude >= 1000 or abs(value - round(value)) < 5e-4
            else f"{value:,.1f}"
        )
    elif magnitude >= 100:
        text = f"{value:.1f}"
    elif magnitude >= 10:
        text = f"{value:.1f}" if digits <= 3 else f"{value:.2f}"
    elif magnitude >= 1:
        text = f"{value:.2f}"
    elif magnitude == 0:
        return "0"
    else:
        text = f"{value:.4f}" if magnitude >= 0.001 else f"{value:.3g}"
    if "." in text and "e" not in text:
        text = text.rstrip("0").rstrip(".")
    return text


@lru_cache(maxsize=4096)
def amperes(value: float) -> str:
    """A current with one decimal [A]."""
    text = f"{value:,.1f}"
    return f"{text[:-2] if text.endswith('.0') else text} A"


def percent(value: float) -> str:
    """A share with one decimal [%]."""
    text = f"{value:,.1f}"
    return f"{text[:-2] if text.endswith('.0') else text} %"


def kiloamperes(value: float) -> str:
    """A fault current, given in amperes, shown in kA with two decimals."""
    return f"{value / 1000:,.2f} kA"


@lru_cache(maxsize=4096)
def size(name: str, material: str | None = None) -> str:
    """A conductor size as the trade says it: `1/0 AWG copper`, `250 kcmil aluminum`."""
    unit = "kcmil" if name.isdigit() and int(name) >= 250 else "AWG"
    return f"{name} {unit}{' ' + material if material else ''}"


def area_kcmil(value: float) -> str:
    """A conductor area [kcmil]."""
    return f"{number(value)} kcmil"


def volts(value: float) -> str:
    """A voltage [V]."""
    return f"{number(value)} V"


def feet(value: float) -> str:
    """A length [ft]."""
    return f"{number(value)} ft"


@lru_cache(maxsize=4096)
def square_inches(value: float) -> str:
    """An area [in²]."""
    return f"{value:.4f} in²"


def trade_size(name: str, type_: str | None = None) -> str:
    """A raceway's trade size: `1-1/2 in. EMT`."""
    return f"{name} in.{' ' + RACEWAY_NAMES.get(type_, type_) if type_ else ''}"


RACEWAY_NAMES = {
    "PVC40": "PVC schedule 40",
    "PVC80": "PVC schedule 80",
}


def shown(value: float | str | None, unit: str) -> str:
    """Any value of a result, as people see it with its unit."""
    if value is None:
        return "not determined"
    if isinstance(value, str):
        if unit == "AWG or kcmil":
            return size(value)
        if unit == "trade size":
            return f"{value} in."
        return value
    if unit == "A":
        return amperes(value)
    if unit == "%":
        return percent(value)
    if unit == "kcmil":
        return area_kcmil(value)
    return f"{number(value)} {unit}".strip()
