"""The grounding electrode conductor: minimum size by the table, and the limits of each kind of electrode."""

from collections.abc import Collection

from engine.code import MATERIALS, size_index
from engine.code.choices import choice
from engine.code.electrodes import (
    has_limit,
    has_limits_alone,
    is_the_only_kind,
    others_ask_for_no_more,
)
from engine.derived.derived import Alternative, Derived
from engine.derived.jumper_table import in_other_metals
from engine.derived.ungrounded_area import derived_ungrounded_area, derived_ungrounded_metal
from engine.job.site import Site, once
from engine.physics.quantities import area_kcmil, size


@once
def grounding_electrode_conductor_minimum(site: Site) -> Derived:
    """Smallest grounding electrode conductor for the electrode in use (AWG or kcmil).

    Section: 250.30(A)(5), Table 250.66 and the sole-connection limits 250.66(A) to (C). Raises Missing: conductors, or
    electrode not known; whether the connection is the only one, where a limit depends on it.
    """
    return grounding_electrode_conductor_in(site, site.job.electrode.conductor.material or "copper")


def grounding_electrode_conductor_in(site: Site, material: str) -> Derived:
    """As `grounding_electrode_conductor_minimum`, in a metal that is named. Unit: AWG or kcmil. Section: 250.66. Raises Missing."""
    phase = derived_ungrounded_metal(site)
    area = derived_ungrounded_area(site)
    by_table = site.code.grounding_electrode_conductor(area.amount, phase, material)
    steps = [
        *area.steps,
        f"{site.section('grounding_electrode_conductor_table')}, {phase} ungrounded conductors of "
        f"{area_kcmil(area.amount)}: {size(by_table, material)}",
    ]
    alternatives = _electrode_alternatives(site, area.amount, phase)
    steps += in_other_metals(alternatives, material)
    chosen, cite = by_table, "grounding_electrode_conductor_table"
    electrode = site.need(lambda job: job.electrode.used)
    if has_limit(electrode):
        limits, cap = electrode, _electrode_cap(site, electrode, material, by_table)
        if cap is not None and size_index(cap) < size_index(by_table):
            reached = _electrodes_reached(site, electrode)
            cap, limits = _limit_of_all(site, reached, material, by_table)
        else:
            reached = frozenset({electrode})
        words = limits.replace("_", "-")
        if not reached:
            steps.append(
                f"Goes on to another electrode: the limit for a {electrode.replace('_', '-')} alone does not apply."
            )
        elif cap is None:
            steps.append(f"No limit for {material} to a {words} electrode: the table applies.")
        elif size_index(cap) >= size_index(by_table):
            steps.append(
                f"The limit for a {words} electrode, {size(cap, material)}, is not below the table."
            )
        elif site.need(lambda job: job.electrode.common_conductor):
            steps.append(
                "A tap ends at the shared conductor, not at the electrode: use the table size "
                f"({site.section('common_grounding_electrode_conductor')})"
            )
        else:
            cite = {
                "concrete_encased": "electrode_conductor_concrete_encased",
                "ring": "electrode_conductor_ground_ring",
            }.get(limits, "electrode_conductor_rod_pipe_plate")
            steps.append(
                f"Connects to a {words} electrode and does not go on to one that requires a larger conductor: not "
                f"required larger than "
                f"{size(cap, material)} ({site.section(cite)})"
            )
            chosen = cap
    elif electrode != "none":
        steps.append(
            f"To {electrode.replace('_', ' ')}: the size of the table; no smaller one is accepted for this electrode."
        )
    return Derived(
        chosen,
        "AWG or kcmil",
        cite,
        tuple(steps),
        size=chosen,
        alternatives=alternatives,
    )


def _electrode_cap(site: Site, electrode: str, material: str, by_table: str) -> str | None:
    """The limit of a conductor that ends at this electrode; None where there is none for its metal.

    A ground ring is a bare copper conductor, and the limit is that conductor: none is taken for aluminum, which carries
    less in the same size. Section: 250.66(A) to (C), 250.52(A)(4). Raises Missing.
    """
    if electrode == "ring":
        return _ring_cap(site, by_table) if material == "copper" else None
    return site.code.electrode_cap(electrode, material)


def limit_in_doubt(site: Site, material: str) -> tuple[str, str] | None:
    """The smaller size that a limit allows by some readings, and why it is not taken here; None where none is in doubt.

    Unit: AWG or kcmil. Section: 250.66(A) to (C), 250.30(A)(6). No print was found that settles either. Raises Missing.
    """
    electrode = site.need(lambda job: job.electrode.used)
    if not has_limit(electrode) or not site.need(lambda job: job.electrode.sole_connection):
        return None
    area, phase = derived_ungrounded_area(site), derived_ungrounded_metal(site)
    by_table = site.code.grounding_electrode_conductor(area.amount, phase, material)
    if electrode == "ring" and material == "aluminum":
        return _ring_cap(site, by_table), (
            "For a ground ring the limit is the size of the ring's own conductor, which is copper. It is not settled "
            "whether aluminum of that size is enough."
        )
    if not site.need(lambda job: job.electrode.common_conductor):
        cap = _electrode_cap(site, electrode, material, by_table)
        if cap is None or not _is_joined_by_some_wire(site):
            return None
        return cap, (
            "The grounding electrode conductor is recorded as ending at this electrode, but the electrode is bonded "
            "to others that require a larger conductor. If the jumper to them starts at this electrode, use the "
            "table size; if they are bonded elsewhere, the smaller limit applies."
        )
    bonds = (site.job.bonding.water_pipe_bond, site.job.bonding.structural_steel_bond)
    if any(bond.to_common_conductor for bond in bonds):
        # The shared conductor carries the bonds of pipe and steel too, and reaches them through the tap alone.
        return None
    cap = _electrode_cap(site, electrode, material, by_table)
    if cap is None:
        return None
    return cap, (
        "A tap is sized by the table. Some apply the limit for the electrode at the end of the shared conductor."
    )


def _electrode_alternatives(site: Site, area: float, phase: str) -> tuple[Alternative, ...]:
    """The table in both metals, and what the limits of a sole connection make of it."""
    found: list[Alternative] = []
    for metal in MATERIALS:
        by_table = site.code.grounding_electrode_conductor(area, phase, metal)
        found.append(Alternative(metal, "", size(by_table)))
        for electrode, words in (
            ("rod", "a rod, pipe or plate"),
            ("concrete_encased", "a concrete-encased electrode"),
        ):
            cap = site.code.electrode_cap(electrode, metal)
            if cap is not None and size_index(cap) < size_index(by_table):
                found.append(Alternative(metal, f"to {words} alone", size(cap)))
    return tuple(found)


def _electrodes_reached(site: Site, used: str) -> frozenset[str]:
    """The kinds of electrodes that the conductor reaches, or may reach; empty where one may ask for the table's size.

    Before 2017 the limits were those of a sole connection. Section: 250.66(A) to (C). Raises Missing.
    """
    electrode = site.job.electrode
    if electrode.sole_connection is False or _is_joined_by_some_wire(site):
        others = frozenset(electrode.available or ()) - {used}
        both = choice(site.code.edition, "limit_of_electrodes") == "none_requires_more"
        return others | {used} if both and others and has_limits_alone(others) else frozenset()
    return frozenset({used} if site.need(lambda job: job.electrode.sole_connection) else ())


def _limit_of_all(
    site: Site, kinds: Collection[str], material: str, by_table: str
) -> tuple[str | None, str]:
    """The largest of the limits of these electrodes and which of them has it; None where one has no limit."""
    largest, which = None, ""
    for kind in sorted(kinds):
        cap = _electrode_cap(site, kind, material, by_table)
        if cap is None:
            return None, kind
        if largest is None or size_index(cap) > size_index(largest):
            largest, which = cap, kind
    return largest, which


def _is_joined_by_some_wire(site: Site) -> bool:
    """Whether a wire that may start at this electrode joins it to one that asks for more. Raises Missing.

    An electrode of the only kind that the building has is joined by the service's own conductor alone.
    """
    electrode = site.job.electrode
    if is_the_only_kind(electrode.used, electrode.available) or others_ask_for_no_more(
        electrode.used, electrode.available
    ):
        return False
    return site.need(lambda job: job.electrode.joined_to_building_system)


def _ring_cap(site: Site, by_table: str) -> str:
    """A ground ring's own conductor, at least the smallest that makes a ring, limits its electrode conductor. Section: 250.66(C)."""
    least_ring = site.code.ground_ring_minimum_size
    if size_index(by_table) <= size_index(least_ring):
        return least_ring
    ring = site.need(lambda job: job.electrode.ring_size)
    return ring if size_index(ring) > size_index(least_ring) else least_ring
