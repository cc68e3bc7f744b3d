"""The fields of a plant: its kind, size and cost, its parts, and how it is cooled."""

from geoecon.arrays import Floats
from geoecon.case.fields import BIG, Stated, Table, choice, months, number, plain, words


class Plant(Table):
    """The conversion from hot brine to unit-net power."""

    kind: str = choice(
        ("binary", "single-flash", "double-flash", "flash-binary", "dry-steam", "stated"),
        "How the plant is described. Binary: brine heats a working fluid. Flash: water boils in a separator, once or twice, "
        "and its steam drives a turbine; with `flash-binary` the brine of one separator then heats a working fluid, and air "
        "cools both. Dry steam: wells give steam. Stated: by a quote or a record",
    )
    fluid: str | None = choice(
        ("isobutane", "isopentane", "n-butane", "n-pentane", "R245fa", "R1233zd(E)", "R1234ze(E)", "R134a", "best"),
        "Working fluid of a binary plant, or of the binary unit below a flash; best: of a binary plant, the one that gives the "
        "most unit net for each kg/s of brine at the design point, found when the plant is ordered", default=None,
    )  # fmt: skip
    layout: str = choice(
        ("basic", "recuperated", "dual-pressure", "supercritical"),
        "Parts of a binary plant. Recuperated: exhaust of the turbine warms the liquid, which gives power where the coolest "
        "brine that may leave is what binds. Dual-pressure: fluid boils at two temperatures, which cools the brine further. "
        "Supercritical: heated above the critical pressure, for brine some 40 K hotter than the critical temperature of the "
        "fluid. What they cost more is for you to state",
        default="basic",
    )
    size_from: str = choice(("capacity", "wells"), "Which is given and which follows", default="capacity")
    net_capacity: Floats | None = number("power", 1, 1e6, "Unit net at the design point, well pumps deducted")
    gross_capacity: Floats | None = number(
        "power", 1, 1e6, "Only `stated`: gross at the design point; absent: nothing is known of plant use, net is taken"
    )
    design_air_temperature: Floats | None = number(
        "temperature", -40, 55, "Air at the design point; absent: annual mean"
    )
    max_brine_flow: Floats = plain(
        0.1, 3, "Most brine that the plant takes, as a multiple of the design flow", default=1.0
    )
    output_limit: Floats = plain(0.1, 3, "Most unit-net power, as a multiple of `net_capacity`", default=1.05)
    performance: str | None = words(
        "Only `stated`: file with a vendor's performance table, beside the case: brine temperature, air temperature, plant "
        "net per kg/s, injection temperature",
        default=None,
    )
    performance_factor: Floats = plain(
        0.1, 2, "Multiplies the plant's output; the way to vary performance", default=1.0
    )
    cost_per_kw: Floats | None = number(
        "money per kW", 0, BIG,
        "Plant from brine inlet flange to high side of the step-up transformer, erected, without wells, well pumps, "
        "gathering, line, owner's cost and contingency, per kW of `cost_basis`",
    )  # fmt: skip
    cost_basis: str = choice(("net", "plant-net", "gross"), "Which kW the cost is per", default="plant-net")
    cost_reference_capacity: Floats | None = number(
        "power",
        1,
        1e6,
        "Capacity at which `cost_per_kw` holds; absent: this one, and `sizes` takes that of the case as it is",
    )
    cost_exponent: Floats = plain(0.2, 1.2, "Plant cost grows with capacity to this power", default=1.0)
    injection_temperature_floor: Floats | None = number(
        "temperature", 10, 250,
        "Coolest brine that may leave; absent: 0.43 of the inlet in degC or the silica limit, whichever is higher, by "
        "`resource.silica` or, where that is absent, by water at rest with quartz; the silica limit alone holds for what "
        "leaves a separator, and steam has none",
        varies=False,
    )  # fmt: skip
    turbine_efficiency: Floats = number(
        "share", 0.3, 0.95, "Isentropic, of the turbine, on dry steam where steam drives it", default="82 %", varies=False,
        source="components", evidence="recalled",
    )  # fmt: skip
    feed_pump_efficiency: Floats = number(
        "share", 0.3, 0.95, "Wire to fluid, of the working-fluid pump", default="72 %", varies=False, source="components",
        evidence="recalled",
    )  # fmt: skip
    generator_efficiency: Floats = number(
        "share", 0.7, 1, "Generator and gearbox", default="95 %", varies=False, source="components", evidence="recalled"
    )
    pinch: Floats = number(
        "difference", 1, 40, "Least difference between brine and working fluid, all along", default="5 K", varies=False,
        source="components", evidence="recalled",
    )  # fmt: skip
    recuperator_pinch: Floats | None = number(
        "difference", 1, 60, "Least difference between exhaust and liquid in the recuperator; absent: 8 K with `recuperated`, "
        "and no recuperator with `supercritical`", varies=False,
    )  # fmt: skip
    condenser_approach: Floats = number(
        "difference", 3, 60, "Only air: condensing temperature above the entering air", default="18 K", varies=False,
        source="components", evidence="recalled",
    )  # fmt: skip
    fan_power: Floats = number(
        "share", 0, 0.1, "Only air: fan power over heat rejected", default="1.1 %", varies=False, source="components",
        evidence="recalled",
    )  # fmt: skip
    cooling: str | None = choice(
        ("air", "wet"),
        "What carries heat away: air, or water that a wet tower cools toward the wet bulb. A binary plant's tower takes "
        "make-up water, and the plant is worked out as the best one at every temperature; that of a steam plant lives on "
        "condensed steam. Absent: wet for flash and dry steam, air for binary and flash-binary",
        default=None,
    )
    tower_approach: Floats = number(
        "difference", 1, 20, "Only wet: cold water above the wet bulb", default="5 K", varies=False,
        source="cooling_towers", evidence="recalled",
    )  # fmt: skip
    tower_range: Floats = number(
        "difference", 2, 25, "Only wet: by how much water warms in the condenser", default="8 K", varies=False,
        source="cooling_towers", evidence="recalled",
    )  # fmt: skip
    tower_terminal_difference: Floats = number(
        "difference", 0.5, 20, "Only wet: condensing temperature above the water as it leaves the condenser", default="4 K",
        varies=False, source="cooling_towers", evidence="recalled",
    )  # fmt: skip
    tower_fan_power: Floats = number(
        "share", 0, 0.05, "Only wet: power of the tower's fans over heat rejected", default="0.4 %", varies=False,
        source="cooling_towers", evidence="recalled",
    )  # fmt: skip
    tower_pump_head: Floats = number(
        "length", 0, 100, "Only wet: head of the pump that circulates water", default="15 m", varies=False,
        source="cooling_towers", evidence="recalled",
    )  # fmt: skip
    tower_pump_efficiency: Floats = number(
        "share", 0.3, 0.95, "Only wet: wire to water, of that pump", default="75 %", varies=False,
        source="cooling_towers", evidence="recalled",
    )  # fmt: skip
    tower_cycles: Floats = plain(
        1.5, 20,
        "Only `binary`, wet: what is dissolved in the circulating water over that in the make-up; blowdown holds it there",
        default=4.0, source="cooling_towers", evidence="recalled",
    )  # fmt: skip
    auxiliary_power: Floats = number("share", 0, 0.3, "Other plant use over gross", default="1.5 %", varies=False)
    brine_pressure_drop: Floats = number(
        "pressure drop", 0, 20, "Only `binary`: lost by the brine in the plant", default="3 bar"
    )
    evaporating_temperature: Floats | None = number(
        "temperature",
        20,
        300,
        "Fixes the evaporation, the upper one of two; absent: the one with most net power",
        varies=False,
    )
    off_design: str = choice(
        ("built", "re-optimised"),
        "Only `binary`: away from the design point the plant keeps the exchangers, turbine and fans that it was built with, or "
        "is the best one at every temperature, which no plant is; only the basic layout, cooled by air, is worked out as built",
        default="built",
    )
    fan_speed: str = choice(
        ("fixed", "variable"),
        "Only `binary`, as built: fans slow down where that gives more net power; their power falls with the cube of the speed",
        default="fixed",
    )
    least_condensing_pressure: Stated | None = number(
        ("absolute pressure", "gauge pressure"), 0, 0,
        "Only `binary`, as built: fans of some cells stop in cold air to hold it, so that no air leaks in; absent: none",
        bounds={"absolute pressure": (0.05, 30), "gauge pressure": (-0.9, 29)}, varies=False,
    )  # fmt: skip
    generator_limit: Floats | None = number(
        "share", 0.5, 3, "Only `binary`, as built: most gross power, as a share of that at the design point; absent: only "
        "`output_limit` holds", varies=False,
    )  # fmt: skip
    tower_evaporation: Floats = number(
        "share", 0, 1,
        "Flash and dry steam, wet: share of the condensed steam that goes into the air; the rest is injected", default="75 %",
        varies=False, source="steam_components", evidence="recalled",
    )  # fmt: skip
    least_condensing_temperature: Floats = number(
        "temperature", 5, 80, "Flash and dry steam: no colder, however cold the air", default="35 degC", varies=False,
        source="steam_components", evidence="recalled",
    )  # fmt: skip
    separator_temperature: Floats | None = number(
        "temperature", 80, 300, "Only flash: of the first separator, no hotter than water boils at "
        "`wells.wellhead_pressure`; absent: the one with most net power at the design point", varies=False,
    )  # fmt: skip
    second_separator_temperature: Floats | None = number(
        "temperature", 80, 300, "Only `double-flash`: of the second separator; absent: the best", varies=False
    )
    gas_removal: str = choice(
        ("ejector", "compressor"), "Flash and dry steam: what draws `resource.gas` off, jets of steam or a compressor",
        default="ejector",
    )  # fmt: skip
    ejector_steam: Floats = plain(
        1, 20, "Steam that jets take for each mass of gas, two stages", default=4.0, varies=False,
        source="steam_components", evidence="recalled",
    )  # fmt: skip
    compressor_efficiency: Floats = number(
        "share", 0.2, 0.95, "Of a compressor of gas, wire to gas", default="60 %", varies=False, source="steam_components",
        evidence="recalled",
    )  # fmt: skip
    stated_capacity_factor: Floats | None = number(
        "share", 0.01, 1, "Only `stated`: unit-net energy of year 1 over `net_capacity` x 8,760 h, every loss in it"
    )
    stated_output: tuple[float, ...] | None = months(
        "power", 0, 1e6, "Only `stated`: unit-net power by month with everything in service, before outages"
    )
    stated_brine_flow: Stated | None = number(
        ("mass flow", "volume flow"), 0, 0, "Only `stated`: brine that the plant takes at the design point",
        bounds={"mass flow": (0.01, 20000), "volume flow": (1e-5, 25)},
    )  # fmt: skip
    air_slope: Floats = number(
        "slope", 0, 0.1, "Only `stated`: share of `net_capacity` lost per kelvin of warmer air", default="0 %/K"
    )
    brine_slope: Floats = number(
        "slope", 0, 0.1, "Only `stated`: share of `net_capacity` lost per kelvin of cooler brine", default="0 %/K"
    )
