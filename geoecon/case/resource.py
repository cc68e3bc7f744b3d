"""The fields of a case that say what is below ground and how it changes."""

from geoecon.arrays import Floats
from geoecon.case.fields import Stated, Table, choice, count, number, plain, words

# What only some ways of the temperature have a part for.
USED_BY = {
    "temperature_decline": ("rate",),
    "decline_start_years": ("rate",),
    "decline_reference_flow": ("rate",),
    "well_spacing": ("doublet", "sweep"),
    "aquifer_thickness": ("doublet", "sweep"),
    "swept_width": ("sweep",),
    "fracture_area": ("fracture",),
    "drawdown_parameter": ("fracture",),
    "porosity": ("doublet", "sweep"),
    "rock_density": ("doublet", "sweep", "fracture"),
    "rock_heat_capacity": ("doublet", "sweep", "fracture"),
    "rock_conductivity": ("sweep", "fracture"),
    "reinjection_temperature": ("doublet", "sweep", "fracture"),
    "temperature_table": ("table",),
    "table_factor": ("table",),
}
DEFAULTED = ("porosity", "rock_density", "rock_heat_capacity", "rock_conductivity")
OF_BORE = (
    "rock_density",
    "rock_heat_capacity",
    "rock_conductivity",
)  # what a bore that conducts heat into rock asks for
OF_STORED_HEAT = ("reservoir_heat_capacity", "recovery_factor", "utilization")


class Resource(Table):
    """What is below ground."""

    temperature: Floats | None = number("temperature", 20, 400, "Fluid at the feed zone, start of operating year 1")
    temperature_path: str = choice(
        ("rate", "doublet", "sweep", "fracture", "table"),
        "How the produced fluid cools over the years. Rate: so much a year. Doublet: cold water arrives once that of an "
        "injector has cooled the rock all the way to its producer, then streamline by streamline; no heat from above and "
        "below, pairs of wells do not touch. Sweep: in one dimension, with heat conducted from cap and base. Fracture: along "
        "one fracture between walls that conduct. Table: from a reservoir study. Doublet, sweep and fracture follow the "
        "design's flow for a pair of wells and its injection temperature",
        default="rate",
    )
    temperature_decline: Floats = number(
        "cooling rate",
        0,
        20,
        "Fall of the produced fluid's temperature, field-wide, new wells included",
        default="0 K/yr",
    )
    decline_start_years: int = count(0, 60, "Operating years before the temperature begins to fall", default=0)
    decline_reference_flow: Stated | None = number(
        ("mass flow", "volume flow"), 0, 0,
        "With `rate`: total flow of the field at which `temperature_decline` holds; more flow cools it as much faster; "
        "absent: the rate holds whatever is taken out",
        bounds={"mass flow": (0.01, 20000), "volume flow": (1e-5, 25)},
    )  # fmt: skip
    well_spacing: Floats | None = number(
        "length", 1, 20000, "Between a producer and its injector, at depth; cold water arrives the later, the more"
    )
    aquifer_thickness: Floats | None = number(
        "length", 0.1, 5000, "Thickness of the layer that takes part in the flow between wells"
    )
    swept_width: Floats | None = number(
        "length", 1, 20000, "With `sweep`: width of the strip that the water of one pair passes through"
    )
    fracture_area: Floats | None = number(
        "area", 1e-6, 1000, "With `fracture`: one face of the fracture of one pair; both faces conduct"
    )
    drawdown_parameter: Floats | None = number(
        "flow per area", 1e-8, 1, "With `fracture`: flow over the area of one face, in the place of `fracture_area`"
    )
    porosity: Floats = number("share", 0.001, 0.6, "Share of the layer that water fills", default="10 %")
    rock_density: Floats = number(
        "density", 1000, 4000, "Of dry rock", default="2650 kg/m3", source="rock_heat", evidence="recalled"
    )
    rock_heat_capacity: Floats = number(
        "specific heat", 300, 2000, "Of dry rock", default="850 J/kg/K", source="rock_heat", evidence="recalled"
    )
    rock_conductivity: Floats = number(
        "conductivity", 0.3, 8, "Of the rock beside the layer, fracture or bore", default="2.5 W/m/K", source="rock_tables",
        evidence="compiled",
    )  # fmt: skip
    reinjection_temperature: Floats | None = number(
        "temperature", 5, 250, "Of the water that cools the field; absent: the brine leaving at the design point"
    )
    temperature_table: str | None = words(
        "With `table`: CSV beside the case with the columns year (from 0, the start of operation, to the last, whole), "
        "temperature [degC] (or [degF], [K]) at the feed zone at its end; straight between years; its fall from year 0 is "
        "taken from `temperature`",
        default=None,
    )
    table_factor: Floats | None = plain(
        0, 5, "With `table`: multiplies the fall in temperature; state 1 to let it be unsure; absent: 1"
    )
    supported_power: Floats | None = number("power", 0, 1e7, "Net power that the field supports for the life")
    reservoir_area: Floats | None = number(
        "area",
        0.001,
        10000,
        "Area of the hot rock; with the thickness it gives the gross power that stored heat supports",
    )
    reservoir_thickness: Floats | None = number("length", 1, 7000, "Thickness of the hot rock")
    reservoir_heat_capacity: Floats = number(
        "heat of volume", 1, 5, "Heat that rock and water hold together", default="2.7 MJ/m3/K", source="circular790",
        evidence="recalled",
    )  # fmt: skip
    recovery_factor: Floats = number(
        "share", 0, 0.5, "Share of the stored heat that comes to the wells", default="10 %", source="williams2008",
        evidence="assumed",
    )  # fmt: skip
    utilization: Floats = number(
        "share", 0.05, 0.7, "Share of the water's work made into power above 150 degC, half of it at 90", default="40 %",
        source="circular790", evidence="recalled",
    )  # fmt: skip
    maturity: str | None = choice(
        ("regional", "surface", "drilled", "tested", "produced"),
        "What the field's numbers rest on: maps, a survey on site, a hole that met the heat, a well tested for flow, or "
        "years of production; sets how unsure they are where `uncertainty` does not say; absent: tested where a producer "
        "exists or none is drilled, surface otherwise",
        default=None,
    )
    salinity: Floats | None = number("content", 0, 350000, "Dissolved solids")
    silica: Floats | None = number(
        "analysis", 1, 1500, "Dissolved silica of the water at depth; sets the coolest brine that may leave; absent: none for "
        "binary plants, as of quartz at the temperature for flash, up to 330 degC", varies=False,
    )  # fmt: skip
    gas: Floats = number(
        "share", 0, 0.15, "Flash and dry steam: gas that does not condense, mostly CO2, by mass of the steam with the gas in "
        "it; of a flash, of the steam that leaves the water at `gas_pressure`. A separator at another pressure has the same "
        "gas in another amount of steam", default="0 %", varies=False,
    )  # fmt: skip
    gas_pressure: Stated | None = number(
        ("absolute pressure", "gauge pressure"), 0, 0,
        "Only flash: pressure at which steam has the share of `gas`; absent: `wells.wellhead_pressure`",
        bounds={"absolute pressure": (0.5, 150), "gauge pressure": (0, 150)}, varies=False,
    )  # fmt: skip
