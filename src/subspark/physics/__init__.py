"""Physics of intrinsic safety: arrays in, arrays out, NumPy only, nothing known of plants.

    ignition     what spark current and capacitance a voltage permits (tabulated curves)
    energy       limits of inductance from the energy of a spark
    sources      equivalents of sources in one circuit, and their largest power
    conductors   ohms of copper by section, gauge and temperature

and of what works:

    characteristics  voltage by current from points, and the least left between two of them
    loops            closed forms of loops: working points, loads of power, coils, time constants
    thermometry      resistance thermometers and thermocouples
    network          any circuit of resistors, sources, diodes and loads, by nodes
    trees            trunks with spurs, by sweeps

Everything is SI in float64. An unknown is NaN, and NaN in is NaN out.
"""
