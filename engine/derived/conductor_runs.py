"""How the conductors of a side run: wet or dry, how long, in a nipple, how many in one raceway."""

from engine.derived.grounded_systems import (
    CARRY_LINE_CURRENT,
    has_grounded_conductor,
    is_without_neutral,
)
from engine.derived.sides import SECONDARY, Side
from engine.job.site import Site
from engine.physics.quantities import TOLERANCE

LONGER_THAN_ANY_NIPPLE_RUN = 10.0


def is_wet(site: Site, side: Side) -> bool:
    """Whether the run of a side is wet inside: a raceway outdoors is, whoever calls it dry.

    Unit: none. Section: 300.9. Raises Missing.
    """
    # That a run is dry says that no part of it is outdoors: what says otherwise contradicts it (engine.judging.contradictions).
    outdoors = site.job.transformer.location == "outdoors"
    by_rule = side is SECONDARY and site.job.secondary.rule == "outside"
    on_roof = bool(side.raceway(site.job).on_sunny_rooftop)
    return (
        outdoors or by_rule or on_roof or site.need(lambda job: side.conductors(job).wet_location)
    )


def known_length(site: Site, side: Side) -> float | None:
    """Length of the conductors of a side [ft], never less than their raceway's where that is known; None if not known.

    Section: 240.21(B)(3), (C).
    """
    length = side.conductors(site.job).length_feet
    return None if length is None else max(length, side.raceway(site.job).length_feet or 0.0)


def longest(site: Site, side: Side, limit: float) -> float:
    """Length of the conductors of a side [ft], never less than the raceway that they fill, held against a limit [ft].

    Section: 240.21(B)(3), (C)(2), (C)(3), (C)(6). Raises Missing: within the limit neither length may be unknown.
    """
    length = site.need(lambda job: side.conductors(job).length_feet)
    secondary = site.job.secondary
    # Between a transformer and a disconnect in its own case there is no raceway.
    without_raceway = side is SECONDARY and (
        secondary.enclosed_in_raceway is False
        or (secondary.first_disconnect_separate is False and secondary.raceway.type is None)
    )
    if length <= limit * (1 + TOLERANCE) and not without_raceway:
        site.need(lambda job: side.raceway(job).length_feet)
    return known_length(site, side) or length


def is_nipple(site: Site, side: Side) -> bool:
    """Whether the raceway is a nipple; one known to be longer than 24 in. [ft] is none.

    Section: Chapter 9, Table 1, note 4. Raises Missing.
    """
    raceway, run = side.raceway(site.job), side.conductors(site.job)
    # Taking it for no nipple is the strict side; between enclosures a nipple joins, conductors are shorter than this.
    if raceway.nipple is None and (
        (raceway.length_feet or 0) > site.code.nipple_maximum_inches / 12
        or (run.length_feet or 0) >= LONGER_THAN_ANY_NIPPLE_RUN
    ):
        return False
    return site.need(lambda job: side.raceway(job).nipple)


def sets_in_one_raceway(site: Site, side: Side) -> int:
    """Parallel sets that share one raceway. Unit: sets. Section: 310.15(C)(1). Raises Missing: raceways not known."""
    sets = site.need(lambda job: side.conductors(job).sets)
    if sets == 1:
        return 1
    return -(-sets // site.need(lambda job: side.conductors(job).raceways))


def grounded_in_one_raceway(site: Site) -> int:
    """Grounded conductors of the secondary in one raceway; the fullest counts where they are not alike.

    Unit: conductors. Section: 310.15(C)(1), 310.10(G). Raises Missing.
    """
    if site.need(lambda job: job.secondary.conductors.sets) == 1:
        return site.job.secondary.grounded_conductor.sets or 1
    grounded = site.need(lambda job: job.secondary.grounded_conductor.sets)
    return -(-grounded // site.need(lambda job: job.secondary.conductors.raceways))


def current_carrying(site: Site, side: Side) -> int:
    """Current-carrying conductors in one raceway: those counted, and never fewer than the circuit itself puts there.

    Unit: conductors. Section: 310.15(C)(1) and 310.15(E). Raises Missing.
    """
    counted = site.need(lambda job: side.conductors(job).current_carrying)
    sets = sets_in_one_raceway(site, side)
    circuit = (3 if site.job.transformer.phases == 3 else 2) * sets
    if side is SECONDARY:
        circuit += _grounded_beyond(site, sets, counted - circuit)
    return max(counted, circuit)


def _grounded_beyond(site: Site, sets: int, room: int) -> int:
    """Grounded conductors in one raceway that count beside the lines of its sets, doubled ones as often as they lie there.

    `room`: how many of them the number entered already takes in. Unit: conductors. Section: 310.15(E). Raises Missing.
    """
    known = site.job.secondary.grounded_conductor.sets
    in_one = grounded_in_one_raceway(site) if known is not None or sets == 1 else None
    if in_one is not None and in_one <= max(room, 0 if site.job.transformer.phases == 3 else sets):
        return 0
    system = site.need(lambda job: job.transformer.secondary_system)
    if system in CARRY_LINE_CURRENT:
        # One to a set is among the lines already.
        return max(0, grounded_in_one_raceway(site) - sets) if has_grounded_conductor(site) else 0
    if (
        # A wye of three wires has a fourth as soon as its neutral is run.
        system in ("wye_4_wire", "wye_3_wire", "delta_high_leg")
        and not is_without_neutral(site)
        and site.need(lambda job: job.secondary.grounded_conductor.current_carrying)
    ):
        # A raceway that lacks its own is condemned elsewhere, and gains nothing here.
        return max(sets, grounded_in_one_raceway(site))
    return 0
