"""Metal raceway, rigid or flexible, as a path for a ground fault."""

from engine.code.choices import choice
from engine.code.limits import METAL_RACEWAYS_AND_FLEX
from engine.derived.currents import primary_device_rating
from engine.derived.raceways import Piece
from engine.derived.sides import PRIMARY
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, every, undetermined
from engine.physics.quantities import amperes, at_most, feet, trade_size


def metal_to_metal(type_: str) -> Finding:
    """No wire was found, and a metal raceway is there that may serve. Unit: none. Section: 250.118, 250.30(A)(2)."""
    return undetermined(
        f"No wire was found, and {type_} may serve by itself. If it runs metal to metal from case to case with "
        "tight fittings, answer that the metal raceway serves.",
        required="a wire, or a metal raceway from case to case",
        found=f"no wire; {type_}",
    )


_SIZES_UP_TO_1_1_4 = ("3/8", "1/2", "3/4", "1", "1-1/4")
# Largest device ahead of LFMC of 3/4 to 1-1/4 in., and ahead of FMC or smaller LFMC [A]: 250.118.
_HIGHEST_DEVICE = 60.0
_HIGHEST_DEVICE_OF_SMALL = 20.0
_WIRE = "A wire in the raceway."
CORE_NOT_LOOKED_AT = "Not looked at: the core. If it is stainless steel, pull a wire-type equipment grounding conductor."


def flexible_serves(site: Site, piece: Piece) -> Finding:
    """Whether flexible metal raceway may be part of the primary's grounding path [A, ft].

    piece: the whole raceway, or the flexible section of a rigid one. Section: 250.118. Raises Missing.
    """
    if piece.type not in METAL_RACEWAYS_AND_FLEX:
        return confirm(
            site,
            False,
            required="a raceway that may serve as the equipment grounding conductor",
            found=piece.type,
            reason="",
            otherwise=f"{piece.type} is not metal: it carries no fault current.",
            remedy=_WIRE,
        )

    def size_of(site: Site) -> Finding:
        return _flexible_size(site, piece)

    def device(site: Site) -> Finding:
        return _flexible_device(site, piece)

    def length(site: Site) -> Finding:
        return _flexible_length(site, piece)

    return every(site, size_of, device, length, _flexible_use)


def _flexible_size(site: Site, piece: Piece) -> Finding:
    type_, trade = piece.type, piece.trade(site, PRIMARY)
    limited = (
        type_ != "FMC" or choice(site.code.edition, "flexible_metal_conduit_size") == "limited"
    )
    return confirm(
        site,
        not limited or trade in _SIZES_UP_TO_1_1_4,
        required=f"{type_} of at most 1-1/4 in." if limited else "",
        found=trade_size(trade, type_),
        reason="",
        otherwise=f"{type_} larger than 1-1/4 in. may not serve as the equipment grounding conductor.",
        remedy=_WIRE,
    )


def _flexible_device(site: Site, piece: Piece) -> Finding:
    rating = primary_device_rating(site)
    limit = _HIGHEST_DEVICE if piece.type == "LFMC" else _HIGHEST_DEVICE_OF_SMALL
    # Above the higher limit nobody has to read the trade size.
    if at_most(rating, limit) and limit > _HIGHEST_DEVICE_OF_SMALL:
        small = piece.trade(site, PRIMARY) in ("3/8", "1/2")
        limit = _HIGHEST_DEVICE_OF_SMALL if small else limit
    return compare(
        site,
        found=rating,
        at_most=limit,
        required=f"device of at most {amperes(limit)}",
        found_shown=f"device {amperes(rating)}",
        reason="The device is small enough for a flexible raceway to serve.",
        otherwise="The device is too large for a flexible raceway to serve.",
        remedy=_WIRE,
    )


def _flexible_length(site: Site, piece: Piece) -> Finding:
    """A raceway that is flexible itself counts with its whole length, and with it any other flexible piece."""
    raceway, section = site.job.primary.raceway, piece.flexible_section
    whole = 0.0 if section else raceway.length_feet
    length = max(whole or 0.0, raceway.flexible_length_feet or 0.0)
    if at_most(length, 6):
        length = max(
            0.0 if section else site.need(lambda job: job.primary.raceway.length_feet),
            site.need(lambda job: job.primary.raceway.flexible_length_feet),
        )
    return compare(
        site,
        found=length,
        at_most=6,
        required="at most 6 ft of flexible raceway in the path",
        found_shown=feet(length),
        reason="Short enough.",
        otherwise="Too long for a flexible raceway to serve.",
        remedy=_WIRE,
    )


def _flexible_use(site: Site) -> Finding:
    listed = site.need(lambda job: job.primary.raceway.fittings_listed_for_grounding)
    moves = site.need(lambda job: job.primary.raceway.flexibility_needed)
    return confirm(
        site,
        listed and not moves,
        required="fittings listed for grounding, no movement or vibration to take up",
        found=f"fittings {'listed' if listed else 'not listed'}, {'moves' if moves else 'does not move'}",
        reason="Fittings listed, no movement.",
        otherwise="Flexible raceway that moves, or whose fittings are not listed for grounding, needs a wire.",
        remedy=_WIRE,
    )
