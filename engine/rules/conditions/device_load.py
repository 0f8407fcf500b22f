"""Whether an overcurrent device carries the load of its side."""

from collections.abc import Callable

from engine.derived import sides
from engine.job import Job
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare
from engine.physics.quantities import amperes, at_most, number


def carried(
    site: Site,
    side: sides.Side,
    *,
    rating: float,
    continuous_percent: Callable[[Job], int | None],
) -> Finding:
    """Whether a device [A] carries the load of its side: 125 % of what is continuous, unless it is rated for 100 %.

    Section: 215.3. Raises Missing.
    """
    continuous = site.need(lambda job: side.load(job).continuous_amperes)
    rest = site.need(lambda job: side.load(job).noncontinuous_amperes)
    factor = 1.25
    if not at_most(factor * continuous + rest, rating) and at_most(continuous + rest, rating):
        factor = 1.0 if site.need(continuous_percent) == 100 else 1.25
    wanted = factor * continuous + rest
    full_rating = (
        " a device rated to carry 100 % continuously," if at_most(continuous + rest, rating) else ""
    )
    return compare(
        site,
        found=rating,
        at_least=wanted,
        required=f"at least {amperes(wanted)}",
        found_shown=amperes(rating),
        reason="The device carries the load.",
        otherwise="The load is more than the device may carry.",
        remedy=f"A smaller load,{full_rating} or a larger device within the other limits.",
        steps=(
            f"{amperes(continuous)} × {number(100 * factor)} % + {amperes(rest)} = {amperes(wanted)}",
        ),
    )
