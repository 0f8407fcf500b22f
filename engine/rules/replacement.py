"""A replacement: what the new nameplate changes, and what must have been done."""

from engine.derived import currents, faults
from engine.missing import need_at
from engine.physics.fault_current import transformer_fault_current
from engine.physics.full_load_current import full_load_current
from engine.quantities import amperes, kiloamperes, number, volts
from engine.rules.rule import Rule, rule
from engine.site import Site
from engine.verdicts import Finding, Severity, confirm, every, undetermined


@rule(
    "replacement_voltages",
    title="New and old nameplate: voltages and connection",
    cite="listing_and_instructions",
    severity="danger",
    group="replacement",
    asks=(
        "replacement.old.primary_volts",
        "replacement.old.secondary_volts",
        "replacement.old.secondary_system",
        "transformer.secondary_system",
    ),
)
def replacement_voltages(site: Site) -> Finding:
    """Whether voltages [V] and connection are those of the old transformer. Section: 110.3(B). Raises Missing."""
    return every(site, _same_primary, _same_secondary, _same_system)


def _same_primary(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.primary_volts)
    return _same(site, volts(old), volts(site.job.transformer.primary_volts), "primary voltage")


def _same_secondary(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.secondary_volts)
    return _same(site, volts(old), volts(site.job.transformer.secondary_volts), "secondary voltage")


def _same_system(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.secondary_system)
    new = site.need(lambda job: job.transformer.secondary_system)
    return _same(site, old.replace("_", " "), new.replace("_", " "), "connection")


def _same(site: Site, old: str, new: str, what: str) -> Finding:
    return confirm(
        site,
        old == new,
        required=f"{what} {old}",
        found=new,
        reason=f"Same {what}.",
        otherwise=f"Another {what}: everything fed from it was made for {old}.",
        remedy="Do not energize the loads. Get the unit that matches, or have the change engineered.",
    )


@rule(
    "replacement_capacity",
    title="New and old nameplate: kVA and what it changes",
    cite="transformer_protection",
    severity="advice",
    group="replacement",
    asks=("replacement.old.kva",),
)
def replacement_capacity(site: Site) -> Finding:
    """What another kVA changes: currents, largest devices, fault current [kVA, A]. Section: 450.3(B). Raises Missing."""
    old = site.need(lambda job: job.replacement.old.kva)
    transformer = site.job.transformer
    new_current = currents.full_load_current_primary(site)
    old_current = full_load_current(
        kva=old, volts=transformer.primary_volts, phases=transformer.phases
    )
    found = f"{number(old)} kVA before, {number(transformer.kva)} kVA now"
    steps = (
        f"Primary full-load current: {amperes(old_current)} before, {amperes(new_current.amount)} now",
    )
    if old == transformer.kva:
        return confirm(
            site,
            True,
            required="the same kVA, or a change worked through",
            found=found,
            reason="Same kVA.",
            otherwise="",
        )
    if transformer.kva < old:
        return confirm(
            site,
            False,
            required="the same kVA, or a change worked through",
            found=found,
            reason="",
            otherwise="Smaller than before: the load may overload it, and the kept devices may be too large for it.",
            remedy="Compare the load with the new rating; see the device checks.",
        )._replace(steps=steps)
    return undetermined(
        "Larger than before: the kept device, conductors, jumpers, electrode conductor and ratings were sized for less. "
        "Each has its own line in the checklist, judged for the new unit.",
        required="the same kVA, or a change worked through",
        found=found,
    )._replace(steps=steps)


@rule(
    "replacement_fault_current",
    title="Fault current before and after",
    cite="short_circuit_rating",
    severity="danger",
    group="replacement",
    asks=(
        "replacement.old.kva",
        "replacement.old.impedance_percent",
        "transformer.impedance_percent",
    ),
)
def replacement_fault_current(site: Site) -> Finding:
    """Whether the new transformer raises the fault current [kA]: ratings and marks downstream then change.

    Section: 110.10, 408.6. Raises Missing.
    """
    new = faults.secondary_fault_current(site)
    kva = site.need(lambda job: job.replacement.old.kva)
    impedance = site.need(lambda job: job.replacement.old.impedance_percent)
    transformer = site.job.transformer
    before = transformer_fault_current(
        full_load_amperes=full_load_current(
            kva=kva, volts=transformer.secondary_volts, phases=transformer.phases
        ),
        impedance_percent=impedance,
    )
    found = f"{kiloamperes(before)} before, {kiloamperes(new.amount)} now (infinite bus)"
    return confirm(
        site,
        new.amount <= before * (1 + 1e-9),
        required="not above what the equipment downstream was chosen for",
        found=found,
        reason="Not higher than before.",
        otherwise="Higher than before: check every rating downstream, and mark fault current and arc-flash labels anew.",
        remedy="Compare with the ratings downstream; mark the new value and date.",
        steps=new.steps,
    )


@rule(
    "replacement_inrush",
    title="Inrush of a newer transformer",
    cite="transformer_protection",
    severity="advice",
    group="replacement",
    asks=("replacement.old.made_before_2016",),
)
def replacement_inrush(site: Site) -> Finding:
    """Whether the newer unit may draw more inrush than the old one. Unit: none. Section: none.

    Source: IAEI Magazine, "High-efficiency transformers and the electrical distribution system" (2016). Raises Missing.
    """
    old = site.need(lambda job: job.replacement.old.made_before_2016)
    if old:
        return undetermined(
            "Three-phase dry types made from 2016 on often have lower impedance and more inrush than older ones: the kept "
            "device may trip on energizing. See the inrush line.",
            required="the kept device held against the new inrush",
            found="old unit made before 2016",
        )
    return confirm(
        site,
        True,
        required="the kept device held against the new inrush",
        found="old unit made 2016 or later",
        reason="Both of the same generation; see the inrush line.",
        otherwise="",
    )


@rule(
    "replacement_k_factor",
    title="New and old nameplate: K-factor and rise",
    cite="listing_and_instructions",
    severity="advice",
    group="replacement",
    asks=(
        "replacement.old.k_factor",
        "transformer.k_factor",
        "replacement.old.temperature_rise_celsius",
        "transformer.temperature_rise_celsius",
    ),
)
def replacement_k_factor(site: Site) -> Finding:
    """Whether the new unit stands as much harmonic load and runs no hotter [K, °C]. Section: 110.3(B). Raises Missing."""
    old_k = site.need(lambda job: job.replacement.old.k_factor)
    new_k = site.need(lambda job: job.transformer.k_factor)
    old_rise = site.need(lambda job: job.replacement.old.temperature_rise_celsius)
    new_rise = site.need(lambda job: job.transformer.temperature_rise_celsius)
    return confirm(
        site,
        new_k >= old_k and new_rise <= old_rise,
        required=f"K-{number(old_k)} or higher, rise {old_rise} °C or lower",
        found=f"K-{number(new_k)}, rise {new_rise} °C",
        reason="Not below the old one.",
        otherwise="Below the old one: it may overheat under the same load, or give off more heat.",
        remedy="Ask the customer what the load needs before keeping it.",
    )


def _done(
    id_: str,
    title: str,
    field: str,
    *,
    otherwise: str,
    remedy: str,
    severity: Severity,
    cite: str = "listing_and_instructions",
) -> Rule:
    path = f"replacement.{field}"

    def judge(site: Site) -> Finding:
        answer = need_at(site.job, path)
        return confirm(
            site,
            answer,
            required="yes",
            found="yes" if answer else "no",
            reason="Done, on word of whoever did it.",
            otherwise=otherwise,
            remedy=remedy,
        )

    return rule(id_, title=title, cite=cite, severity=severity, group="replacement", asks=(path,))(
        judge
    )


REPLACEMENT = (
    _done(
        "replacement_isolation",
        "Isolated, locked and tested dead on both sides",
        "isolated_both_sides",
        otherwise="A transformer can be fed from either side.",
        remedy="Isolate both sides, lock, test dead.",
        severity="danger",
    ),
    replacement_voltages,
    replacement_capacity,
    replacement_fault_current,
    replacement_inrush,
    replacement_k_factor,
    _done(
        "replacement_taps",
        "Taps alike on all phases",
        "taps_alike_on_all_phases",
        otherwise="Tap links differ between phases: unequal voltages.",
        remedy="Set them alike, dead.",
        severity="violation",
    ),
    _done(
        "replacement_frequency",
        "Frequency of the supply",
        "frequency_matches",
        otherwise="Made for another frequency: it may saturate and overheat.",
        remedy="Get the unit that matches.",
        severity="violation",
    ),
    _done(
        "replacement_bonds",
        "Bonds and electrode conductor refitted",
        "bonds_refitted",
        otherwise="A bond or the electrode conductor was left off.",
        remedy="Refit them before energizing.",
        severity="danger",
        cite="separately_derived_systems",
    ),
)
