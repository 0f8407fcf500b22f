"""Names of sizes, materials, insulations and raceways in the order of the trade."""

from typing import Literal, get_args

Size = Literal[
    "18", "16", "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0", "250", "300", "350", "400",
    "500", "600", "700", "750", "800", "900", "1000", "1250", "1500", "1750", "2000",
]  # fmt: skip
TradeSize = Literal[
    "3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4", "5", "6"
]
Material = Literal["copper", "aluminum"]
Insulation = Literal[
    "THHN", "THWN", "THWN-2", "XHHW", "XHHW-2", "THW", "THW-2", "THHW", "TW", "RHH", "RHW", "RHW-2",
]  # fmt: skip
RacewayType = Literal["RMC", "IMC", "EMT", "PVC40", "PVC80", "FMC", "LFMC", "LFNC", "ENT"]
# What bends by hand, as a whole run or as a section of a rigid one.
FlexibleType = Literal["FMC", "LFMC", "LFNC", "ENT"]
SIZES: tuple[Size, ...] = get_args(Size)
TRADE_SIZES: tuple[TradeSize, ...] = get_args(TradeSize)
MATERIALS: tuple[Material, ...] = get_args(Material)
INSULATIONS: tuple[Insulation, ...] = get_args(Insulation)
RACEWAY_TYPES: tuple[RacewayType, ...] = get_args(RacewayType)
FLEXIBLE_RACEWAYS: tuple[FlexibleType, ...] = get_args(FlexibleType)

_INDEX = {size: index for index, size in enumerate(SIZES)}


class UnknownSize(ValueError):
    """A conductor size that is not one of SIZES."""


def size_index(size: str) -> int:
    """Place of a size in trade order, smallest first.

    Raises UnknownSize for a size outside SIZES.

    >>> size_index("1/0") - size_index("1")  # own arithmetic
    1
    """
    try:
        return _INDEX[size]
    except KeyError:
        raise UnknownSize(
            f"{size!r} is not a conductor size; sizes run from 18 AWG to 2000 kcmil"
        ) from None
