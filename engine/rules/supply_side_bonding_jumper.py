"""The supply-side bonding jumper between the enclosures of source and first disconnect."""

from engine.code.limits import METAL_RACEWAYS
from engine.derived import bonding_jumpers
from engine.derived.derived import Derived
from engine.job.site import Site
from engine.job.words import CONDUCTOR_NAMES
from engine.judging.verdicts import Finding, confirm, not_applicable
from engine.rules.conditions.facts_read import DERIVED_CONDUCTORS
from engine.rules.conditions.grounding_path import metal_to_metal
from engine.rules.conditions.large_enough import large_enough
from engine.rules.conditions.two_jumpers import TWO_JUMPERS, both_permitted
from engine.rules.rule import rule


@rule(
    "supply_side_bonding_jumper",
    title=CONDUCTOR_NAMES["supply_side_bonding_jumper"],
    cite="supply_side_bonding_jumper",
    severity="danger",
    group="secondary_run",
    grounding_visit=True,
    asks=(
        "bonding.supply_side_bonding_jumper.kind",
        "bonding.supply_side_bonding_jumper.size",
        "bonding.supply_side_bonding_jumper.material",
        "secondary.raceway.type",
        "secondary.enclosed_in_raceway",
        "secondary.first_disconnect_separate",
        "bonding.system_bonding_jumper.location",
        *TWO_JUMPERS,
        *DERIVED_CONDUCTORS,
        "secondary.conductors.raceways",
    ),
)
def supply_side_bonding_jumper(site: Site) -> Finding:
    """Whether the enclosures of source and first disconnect are bonded, by the derived conductors (AWG or kcmil).

    It is on the supply side of the secondary protection, so the table for equipment grounding conductors does not
    size it. Section: 250.30(A)(2), 250.30(B)(3), 250.102(C). Raises Missing.
    """
    kind = site.need(lambda job: job.bonding.supply_side_bonding_jumper.kind)
    if kind == "none":
        return _no_jumper(site)
    if kind == "raceway":
        type_ = site.need(lambda job: job.secondary.raceway.type)
        if type_ in METAL_RACEWAYS and not site.need(lambda job: job.secondary.enclosed_in_raceway):
            return confirm(
                site,
                False,
                required="a metal raceway from enclosure to enclosure",
                found="not in a raceway all the way",
                reason="",
                otherwise="The raceway that serves as the supply-side bonding jumper does not run all the way between "
                "the enclosures.",
                remedy="Install a wire-type supply-side bonding jumper, or complete the raceway.",
            )
        return confirm(
            site,
            type_ in METAL_RACEWAYS,
            required="a nonflexible metal raceway: RMC, IMC or EMT",
            found=type_,
            reason=f"{type_} may serve as the supply-side bonding jumper; its fittings must be made up tight.",
            otherwise=f"{type_} may not serve as the supply-side bonding jumper, whatever its length.",
            remedy="A wire-type supply-side bonding jumper in each raceway.",
        )
    found = site.need(lambda job: job.bonding.supply_side_bonding_jumper.size)
    material = site.need(lambda job: job.bonding.supply_side_bonding_jumper.material)
    return large_enough(
        site,
        found=found,
        material=material,
        minimum=_supply_side_minimum(site),
        reason="Large enough by the derived ungrounded conductors.",
        otherwise="Too small by the derived ungrounded conductors. The table for equipment grounding conductors does "
        "not size it: it is ahead of the secondary device.",
    )


def _supply_side_minimum(site: Site) -> Derived:
    minimum = bonding_jumpers.supply_side_bonding_jumper_minimum(site)
    if site.job.transformer.secondary_system == "delta_3_wire_ungrounded":
        return minimum._replace(cite="ungrounded_supply_side_bonding_jumper")
    return minimum


def _no_jumper(site: Site) -> Finding:
    type_ = site.job.secondary.raceway.type
    if type_ in METAL_RACEWAYS:
        return metal_to_metal(type_)
    # A secondary raceway that was recorded leads out of the transformer: the disconnect is then elsewhere.
    if type_ is None and not site.need(lambda job: job.secondary.first_disconnect_separate):
        return not_applicable("Source and first disconnect share one enclosure.")
    if site.job.bonding.system_bonding_jumper.location == "both" and both_permitted(site):
        return not_applicable(
            "A jumper at both ends is permitted here; a supply-side bonding jumper would make a parallel path."
        )
    return confirm(
        site,
        False,
        required="a supply-side bonding jumper",
        found="none found",
        reason="",
        otherwise="Nothing bonds the transformer's enclosure to the first disconnect's.",
        remedy="A wire in each raceway, or RMC, IMC or EMT all the way.",
    )
