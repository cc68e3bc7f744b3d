"""The fields of wells: what one costs and gives, how many succeed, and what lifts and takes back the water."""

from geoecon.arrays import Floats
from geoecon.case.fields import Stated, choice, count, number, plain
from geoecon.case.well_cost import WellCost


class Wells(WellCost):
    """Producers, injectors and their pumps. Without `flow_per_producer` no new well is counted."""

    existing_producers: int = count(0, 500, "Producers that exist and are paid for, pumps included", default=0)
    existing_injectors: int = count(0, 500, "Injectors that exist and are paid for", default=0)
    spare_producers: int = count(0, 500, "Producers beyond need at the start", default=0)
    flow_per_producer: Stated | None = number(
        ("mass flow", "volume flow"), 0, 0, "Flow of one new producer, with its pump where it has one",
        bounds={"mass flow": (0.01, 1000), "volume flow": (1e-5, 1.2)},
    )  # fmt: skip
    flow_decline: Floats = number(
        "decline", 0, 0.9, "Loss in a well's first year of service, effective; each well's clock starts when it enters",
        default="0 %/yr",
    )  # fmt: skip
    decline_shape: str = choice(
        ("exponential", "hyperbolic", "harmonic"), "How the flow of a well falls", default="exponential"
    )
    decline_exponent: Floats = plain(0.01, 0.99, "Exponent of hyperbolic decline", default=0.5)
    success: Floats = number(
        "share", 0.02, 1, "Chance that one development well reaches its design flow or injectivity", default="65 %",
        source="nevada_success", evidence="compiled",
    )  # fmt: skip
    success_first: Floats | None = number(
        "share", 0.02, 1,
        "Chance of the first development well of a field that is still to be learnt; it rises in a straight line to `success` "
        "over `learning_wells`, and wells that exist have taught already. Absent: every development well has `success`",
    )  # fmt: skip
    learning_wells: int | None = count(
        1, 200,
        "Development wells over which the chance rises from `success_first`; absent: 13, the published mean of fields, which "
        "range from 4 to 36",
    )  # fmt: skip
    exploration_wells: int = count(
        0, 50,
        "How many of the first wells of a field explore it: of full size, counted and paid for like all others, with a chance "
        "of their own. Wells that exist come first; slim holes of `capital.exploration` are not among them", default=0,
    )  # fmt: skip
    success_exploration: Floats | None = number(
        "share", 0.02, 1, "Chance of each of them; absent: 59 %, that of a world survey, recalled"
    )
    success_makeup: Floats | None = number(
        "share", 0.02, 1,
        "The same for make-up wells; absent: `success`. A world survey has 83 % for wells drilled in operation, recalled",
    )  # fmt: skip
    failed_as_injectors: Floats = number(
        "share", 0, 1, "Share of failed producers that are of use as injectors", default="0 %"
    )
    producers_per_injector: Floats = plain(0.1, 20, "Producers served by one injector", default=1.5)
    pump: str = choice(
        ("lineshaft", "submersible", "none"),
        "What lifts the brine of a producer: a pump driven by a shaft from the top, one with its motor in the well, or none, "
        "where wells flow by themselves; the kind does not change the power",
        default="lineshaft",
    )  # fmt: skip
    shut_in_pressure: Stated | None = number(
        ("absolute pressure", "gauge pressure"), 0, 0,
        "Pressure at the wellhead of a shut well that is full and hot, in the place of `static_level`; with pump = \"none\" "
        "and no `flow_per_producer` it gives the flow of a producer, as a column of liquid",
        bounds={"absolute pressure": (0.5, 200), "gauge pressure": (0, 200)},
    )  # fmt: skip
    productivity_index: Stated | None = number(
        ("productivity", "volume productivity"), 0, 0, "Flow per unit of drawdown at the feed zone, stabilised",
        bounds={"productivity": (0.01, 1000), "volume productivity": (1e-6, 1)},
    )  # fmt: skip
    injectivity_index: Stated | None = number(
        ("productivity", "volume productivity"), 0, 0, "The same for an injector; absent: the productivity index",
        bounds={"productivity": (0.01, 1000), "volume productivity": (1e-6, 1)},
    )  # fmt: skip
    static_level: Floats | None = number("length", 0, 5000, "Water level of a shut well, below the wellhead")
    wellhead_pressure: Stated | None = number(
        ("absolute pressure", "gauge pressure"),
        0,
        200,
        "Pressure kept at the wellhead; absent: saturation plus 1.5 bar. Water of a flash boils no hotter than there, and dry "
        "steam is throttled to it; absent: neither holds",
    )
    temperature_loss: Floats = number(
        "difference", 0, 60, "Between feed zone and plant inlet; with `pipe_length`, between feed zone and wellhead",
        default="2 K",
    )  # fmt: skip
    bore_heat_loss: str = choice(
        ("stated", "ramey"),
        "What water loses on its way up. Stated: `temperature_loss`. Ramey: heat conducted into the rock, at the flow of a "
        "new producer and after a year of flow, which stands for every year (later less is lost, with less flow more); "
        "rock warms in a straight line from the mean of the air to the feed zone",
        default="stated",
    )  # fmt: skip
    pipe_length: Floats | None = number(
        "length", 1, 50000, "Insulated line from a producer's wellhead to the plant, one for each producer"
    )
    pipe_bore: Floats | None = number("length", 0.02, 2, "Inside diameter of that line; absent: `bore_diameter`")
    pipe_insulation: Floats = number("length", 0, 0.5, "Thickness of its insulation; common practice", default="50 mm")
    insulation_conductivity: Floats = number(
        "conductivity", 0.01, 2, "Of its insulation; mineral wool", default="0.045 W/m/K", source="insulation",
        evidence="recalled",
    )  # fmt: skip
    pump_efficiency: Floats = number("share", 0.1, 1, "Wire to water, of a well pump", default="65 %")
    bore_diameter: Floats = number(
        "length", 0.05, 1, "Inside diameter of what the water rises and sinks in", default="220 mm"
    )
    intake_margin: Floats = number(
        "pressure drop",
        0,
        20,
        "Pressure kept above saturation at a pump's intake: that of gas in the brine, and the head that the pump needs",
        default="1 bar",
    )
    makeup_threshold: Floats = number(
        "share", 0, 1, "Share of `net_capacity`; below it a make-up producer enters if flow is what is missing",
        default="90 %",
    )  # fmt: skip
    makeup_stop_years: int = count(0, 60, "No well enters in the last this-many operating years", default=5)
    makeup_per_year: int = count(0, 20, "Most make-up producers that enter in one year", default=1)
