"""A replacement: what the new nameplate changes from the old one."""

from engine.derived import currents, faults
from engine.job.site import Site
from engine.job.words import CONNECTIONS
from engine.judging.verdicts import Finding, compare, confirm, every, undetermined
from engine.physics.fault_current import transformer_fault_current
from engine.physics.full_load_current import full_load_current
from engine.physics.quantities import kiloamperes, number, volts
from engine.rules.rule import rule


@rule(
    "replacement_voltages",
    title="New and old nameplate: voltages and connection",
    cite="listing_and_instructions",
    severity="danger",
    group="replacement",
    asks=(
        "replacement.old.phases",
        "replacement.old.primary_volts",
        "replacement.old.secondary_volts",
        "replacement.old.secondary_system",
        "transformer.secondary_system",
        "replacement.old.primary_system",
        "transformer.primary_system",
    ),
)
def replacement_voltages(site: Site) -> Finding:
    """Whether phases, voltages [V] and connection are those of the old one. Section: 110.3(B). Raises Missing."""
    return every(
        site, _same_phases, _same_primary, _same_secondary, _same_system, _same_primary_system
    )


def _old_phases(site: Site) -> int:
    return site.job.replacement.old.known_phases or site.need(
        lambda job: job.replacement.old.phases
    )


_PHASES = {1: "single-phase", 3: "three-phase"}


def _same_phases(site: Site) -> Finding:
    new = site.job.transformer.phases
    return _same(site, _PHASES[_old_phases(site)], _PHASES[new], "number of phases")


def _same_primary(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.primary_volts)
    new = site.job.transformer.primary_volts
    stays = f"what feeds it is made for {volts(old)}"
    return _same(site, volts(old), volts(new), "primary voltage", stays)


def _same_secondary(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.secondary_volts)
    return _same(site, volts(old), volts(site.job.transformer.secondary_volts), "secondary voltage")


# Connections that serve loads between lines alone, whose insulation is for the full voltage to ground.
_LINES_ALONE = ("delta_3_wire_ungrounded", "wye_3_wire")


def _same_system(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.secondary_system)
    new = site.need(lambda job: job.transformer.secondary_system)
    if old != new and old in _LINES_ALONE and new in ("wye_3_wire", "wye_4_wire"):
        return undetermined(
            "Line-to-line loads see the same voltage as before. But the old system may have been ungrounded, and a "
            "grounded system trips on the first ground fault. Look for downstream equipment made for the old system, "
            "such as ground detectors. Have the change engineered.",
            required=f"connection {CONNECTIONS[old].said}",
            found=CONNECTIONS[new].said,
        )
    return _same(site, CONNECTIONS[old].said, CONNECTIONS[new].said, "connection")


def _same_primary_system(site: Site) -> Finding:
    """Another primary winding is no wrong voltage, but what it does to neutral and ground faults has to be worked out."""
    old = site.need(lambda job: job.replacement.old.primary_system)
    new = site.need(lambda job: job.transformer.primary_system)
    if old != new:
        return undetermined(
            "A different primary connection: phase shift, ground-fault current and how steady the voltages to "
            "neutral are may change with it. Have the change engineered.",
            required=f"primary {CONNECTIONS[old].said}",
            found=f"primary {CONNECTIONS[new].said}",
        )
    return _same(
        site, f"primary {CONNECTIONS[old].said}", f"primary {CONNECTIONS[new].said}", "connection"
    )


def _same(site: Site, old: str, new: str, what: str, stays: str = "") -> Finding:
    return confirm(
        site,
        old == new,
        required=f"{what} {old}",
        found=new,
        reason=f"Same {what}.",
        otherwise=f"Different {what}: {stays or f'everything fed from it was made for {old}'}.",
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
    """What another kVA changes: currents, largest devices, fault current [kVA]. Section: 450.3(B). Raises Missing."""
    old = site.need(lambda job: job.replacement.old.kva)
    transformer = site.job.transformer
    found = f"{number(old)} kVA before, {number(transformer.kva)} kVA now"
    steps = currents.full_load_current_primary(site).steps
    if old == transformer.kva:
        return confirm(
            site,
            True,
            required="the same kVA, or every change checked",
            found=found,
            reason="Same kVA.",
            otherwise="",
        )
    if transformer.kva < old:
        return confirm(
            site,
            False,
            required="the same kVA, or every change checked",
            found=found,
            reason="",
            otherwise="Smaller than before: the load may overload it, and the kept devices may be too large for it.",
            remedy="Compare the load with the new rating; see the device checks.",
        )._replace(steps=steps)
    return undetermined(
        "Larger than before: the kept device, conductors, jumpers, electrode conductor and ratings were sized for less. "
        "Each is checked separately, for the new unit.",
        required="the same kVA, or every change checked",
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
        "replacement.old.phases",
        "replacement.old.secondary_volts",
        "replacement.old.secondary_system",
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
    secondary_volts = site.need(lambda job: job.replacement.old.secondary_volts)
    before = transformer_fault_current(
        full_load_amperes=full_load_current(
            kva=kva, volts=secondary_volts, phases=_old_phases(site)
        ),
        impedance_percent=impedance,
    )
    found = f"{kiloamperes(before)} before, {kiloamperes(new.amount)} now (infinite bus)"
    required = "not above what the equipment downstream was chosen for"
    if new.amount <= before * (1 + 1e-9):
        return confirm(
            site,
            True,
            required=required,
            found=found,
            reason="Fault current not higher than before.",
            otherwise="",
            steps=new.steps,
        )
    # What was chosen for the old unit may well bear more: the lines of the ratings tell, where they were read.
    return undetermined(
        "Fault current higher than before: compare every rating downstream with it, beyond the first panelboard "
        "too, and update the fault-current marking, its date and the arc-flash labels.",
        required=required,
        found=found,
    )._replace(steps=new.steps)


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
            "device may trip on energizing. See the inrush check.",
            required="the kept device compared with the new inrush",
            found="old unit made before 2016",
        )
    return confirm(
        site,
        True,
        required="the kept device compared with the new inrush",
        found="old unit made 2016 or later",
        reason="Both of the same generation; see the inrush check.",
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
        reason="K-factor not lower than the old one, and rise not higher.",
        otherwise="Lower K-factor or higher rise than the old one: it may overheat under the same load, or give off more heat.",
        remedy="Ask the customer what the load needs before keeping it.",
    )


@rule(
    "replacement_tap_range",
    title="New and old nameplate: taps",
    cite="common_practice",
    severity="advice",
    group="replacement",
    asks=(
        "replacement.old.taps_above_percent",
        "transformer.taps_above_percent",
        "replacement.old.taps_below_percent",
        "transformer.taps_below_percent",
    ),
)
def replacement_tap_range(site: Site) -> Finding:
    """Whether the taps reach as far as the old ones did [%]. Section: none, common practice. Raises Missing."""
    return every(site, _taps_above, _taps_below)


def _taps_above(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.taps_above_percent)
    new = site.need(lambda job: job.transformer.taps_above_percent)
    return _reach(site, old, new, "above", "too high")


def _taps_below(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.taps_below_percent)
    new = site.need(lambda job: job.transformer.taps_below_percent)
    return _reach(site, old, new, "below", "too low")


def _reach(site: Site, old: float, new: float, side: str, output: str) -> Finding:
    return compare(
        site,
        found=new,
        at_least=old,
        required=f"taps to {number(old)} % {side} nominal",
        found_shown=f"{number(new)} % {side}",
        reason=f"They reach as far {side} nominal as before.",
        otherwise=f"They reach less far {side} nominal: an output that is {output} can't be corrected as far as before.",
        remedy="Ask which tap the old one was set on; read the output, unloaded, before the loads go on.",
    )
