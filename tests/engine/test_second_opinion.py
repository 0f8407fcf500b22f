"""Fault current and voltage drop against pandapower, a general library for power systems.

pandapower works out the network's admittance matrix from the nameplate and the conductors; the fault current is Ohm's law
on its inverse. The tolerances: a millionth where both compute the same thing; inside our two bounds where the angles of the
impedances are not known on site; 2 % of the drop where the code's own formula leaves out the second-order term.
"""

from math import hypot, sqrt

import numpy as np
import pandapower as pp
import pytest

from engine.code import code_for
from engine.derived.faults import secondary_fault_current_at_least
from engine.job.site import Site
from engine.physics.fault_current import fault_current_through, source_impedance
from engine.physics.voltage_drop import effective_impedance, voltage_drop
from tests.engine.checked import checked, value_of
from tests.engine.jobs import job, nameplate, parallel, sound, with_facts

pytestmark = pytest.mark.slow

FEET_PER_KM = 1000 / 0.3048
HZ = 60.0


def network(
    *, kva, primary, secondary, z_percent, r_share, source_ka=None, source_r_share=0.1, ohms=None
):
    """Source, transformer and run as pandapower elements; `ohms` is R and X of the whole run."""
    net = pp.create_empty_network(f_hz=HZ, sn_mva=kva / 1000)
    grid = pp.create_bus(net, vn_kv=primary / 1000)
    pp.create_ext_grid(net, grid)
    high = grid
    if source_ka:
        high = pp.create_bus(net, vn_kv=primary / 1000)
        whole = primary / sqrt(3) / (source_ka * 1000)
        base = primary**2 / (kva * 1000)
        r, x = source_r_share * whole / base, sqrt(1 - source_r_share**2) * whole / base
        pp.create_impedance(net, grid, high, rft_pu=r, xft_pu=x, sn_mva=kva / 1000)
    low = pp.create_bus(net, vn_kv=secondary / 1000)
    pp.create_transformer_from_parameters(
        net,
        high,
        low,
        sn_mva=kva / 1000,
        vn_hv_kv=primary / 1000,
        vn_lv_kv=secondary / 1000,
        vk_percent=z_percent,
        vkr_percent=z_percent * r_share,
        pfe_kw=0,
        i0_percent=0,
    )
    end = low
    if ohms:
        end = pp.create_bus(net, vn_kv=secondary / 1000)
        pp.create_line_from_parameters(
            net,
            low,
            end,
            length_km=1,
            r_ohm_per_km=ohms[0],
            x_ohm_per_km=ohms[1],
            c_nf_per_km=0,
            max_i_ka=10,
        )
    return net, end


def fault_amperes(net, bus, secondary):
    """Bolted three-phase fault current at a bus [A] from pandapower's admittance matrix, the source shorted."""
    return secondary / sqrt(3) / abs(own_impedance(net, bus, secondary))


def line_to_ground_amperes(net, bus, zero_net, zero_bus, secondary):
    """Bolted fault from one line to ground on a delta-wye [A]: 3 V / (Z1 + Z2 + Z0), sequence networks in series.

    A delta is a short circuit to zero sequence, so the source's impedance is not in that network.
    Source: "Unsymmetrical faults", studylib.net 18867357: the three sequence currents are in series.
    """
    z1 = own_impedance(net, bus, secondary)
    z0 = own_impedance(zero_net, zero_bus, secondary)
    return 3 * secondary / sqrt(3) / abs(2 * z1 + z0)


def own_impedance(net, bus, secondary):
    """Impedance of a bus seen from itself [ohm] from pandapower's admittance matrix, the source shorted."""
    pp.runpp(net, calculate_voltage_angles=False)
    matrix = net._ppc["internal"]["Ybus"].toarray()
    place = net._pd2ppc_lookups["bus"]
    slack = place[net.ext_grid.bus.iloc[0]]
    keep = [i for i in range(matrix.shape[0]) if i != slack]
    z = np.linalg.inv(matrix[np.ix_(keep, keep)])
    own = z[keep.index(place[bus]), keep.index(place[bus])]
    return own * secondary**2 / (net.sn_mva * 1e6)


@pytest.mark.parametrize("kva", [15, 75, 1000])
@pytest.mark.parametrize(("primary", "secondary"), [(480, 208), (600, 240)])
@pytest.mark.parametrize("z_percent", [1.2, 4.5, 7])
def test_the_ceiling_is_what_pandapower_says_behind_an_infinite_bus(
    kva, primary, secondary, z_percent
):
    net, low = network(
        kva=kva, primary=primary, secondary=secondary, z_percent=z_percent, r_share=0.5
    )
    data = nameplate(kva, 3, primary, secondary, transformer__impedance_percent=z_percent)
    assert value_of("secondary_fault_current", data) == pytest.approx(
        fault_amperes(net, low, secondary), rel=1e-6
    )


@pytest.mark.parametrize(("data", "size", "sets"), [(sound(), "4/0", 1), (parallel(), "500", 4)])
@pytest.mark.parametrize("feet", [5, 25, 200])
@pytest.mark.parametrize("source_ka", [2, 65])
@pytest.mark.parametrize("r_share", [0.1, 0.9])
def test_with_source_and_run_pandapower_lies_between_our_bounds(
    data, size, sets, feet, source_ka, r_share
):
    data = with_facts(
        data, primary__source_fault_kiloamperes=source_ka, secondary__conductors__length_feet=feet
    )
    r, x = code_for(2023).ac_impedance(size, "copper", "steel")
    ohms = (r * feet / 1000 / sets, x * feet / 1000 / sets)
    t = data["transformer"]
    unit = {
        "kva": t["kva"],
        "primary": 480,
        "secondary": 208,
        "z_percent": t["impedance_percent"],
        "r_share": r_share,
        "ohms": ohms,
    }
    net, end = network(**unit, source_ka=source_ka)
    exact = fault_amperes(net, end, 208)
    to_ground = line_to_ground_amperes(net, end, *network(**unit), 208)
    assert to_ground > exact
    read = job(data)
    values = checked(read).values
    least = secondary_fault_current_at_least(Site(read, code_for(2023))).amount
    assert least * (1 - 1e-6) <= exact
    most = values["secondary_fault_current_at_first_disconnect"].value
    assert to_ground <= most * (1 + 1e-6)
    assert to_ground <= values["secondary_fault_current"].value * (1 + 1e-6)
    # the bound is no empty one: never more than √3 times what is there (three impedances at right angles or in line)
    assert most <= to_ground * sqrt(3) * 1.05


def test_impedances_add_up_to_pandapowers_when_their_angles_are_known():
    ohms = (0.005, 0.004)
    net, end = network(kva=75, primary=480, secondary=208, z_percent=4.5, r_share=0.6, ohms=ohms)
    own = source_impedance(volts=208, fault_amperes=75000 / (sqrt(3) * 208) / 0.045, phases=3)
    r, x = own * 0.6 + ohms[0], own * 0.8 + ohms[1]
    ours = fault_current_through(volts=208, phases=3, resistance_ohms=r, reactance_ohms=x)
    assert ours == pytest.approx(fault_amperes(net, end, 208), rel=1e-6)
    assert hypot(r, x) > own


@pytest.mark.parametrize("power_factor", [1.0, 0.95, 0.85, 0.7])
@pytest.mark.parametrize(
    ("size", "feet", "amperes"), [("1", 100, 90), ("4/0", 150, 170), ("500", 300, 350)]
)
def test_the_voltage_drop_is_pandapowers_within_2_percent(power_factor, size, feet, amperes):
    volts = 480
    r, x = code_for(2023).ac_impedance(size, "copper", "steel")
    net = pp.create_empty_network(f_hz=HZ)
    start, end = (pp.create_bus(net, vn_kv=volts / 1000) for _ in range(2))
    pp.create_ext_grid(net, start)
    pp.create_line_from_parameters(
        net,
        start,
        end,
        length_km=feet / FEET_PER_KM,
        r_ohm_per_km=r * FEET_PER_KM / 1000,
        x_ohm_per_km=x * FEET_PER_KM / 1000,
        c_nf_per_km=0,
        max_i_ka=10,
    )
    apparent = sqrt(3) * volts * amperes / 1e6
    pp.create_load(
        net, end, p_mw=apparent * power_factor, q_mvar=apparent * sqrt(1 - power_factor**2)
    )
    pp.runpp(net)
    exact = (1 - net.res_bus.vm_pu[end]) * volts
    flows = net.res_line.i_from_ka[0] * 1000
    ours = voltage_drop(
        amperes=flows,
        length_feet=feet,
        ohms_per_1000_feet=effective_impedance(
            resistance=r, reactance=x, power_factor=power_factor
        ),
        phases=3,
    )
    assert ours == pytest.approx(exact, rel=0.02)
