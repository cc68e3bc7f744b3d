"""How the power of a plant that steam drives comes about: steam of each kg, its way through the turbine, and own use."""

from geoecon.report.explain.facts import CLIMATE, INLET, STEAM, Facts, Term, Working, added, one, signed
from geoecon.steaming import (
    AUXILIARIES,
    BELOW_GROSS,
    BELOW_OWN,
    COMPRESSOR,
    CONDENSING,
    COOLING,
    IDEAL,
    OF_GAS,
    OF_STEAM,
    OF_TURBINE,
    SEPARATORS,
    STAGES,
    WETNESS,
)

SEPARATOR_RESTS_ON = (*INLET, "wells.wellhead_pressure", "resource.silica", "plant.injection_temperature_floor")
BINARY = ("plant.fluid", "plant.pinch", "plant.condenser_approach", "plant.feed_pump_efficiency")


def by_steam(facts: Facts) -> bool:
    """Whether a plant is one that steam drives."""
    return facts.has(CONDENSING)


def gross_capacity(facts: Facts) -> Working:
    """Steam that comes to the turbine, times what each kg of it gives."""
    stages = [_stage(facts, stage) for stage in STAGES if facts.has(f"{OF_TURBINE}: {IDEAL}, {stage} steam")]
    generator = facts.input("plant.generator_efficiency", "generator efficiency")
    made = added(stages)
    each = made.formula if len(stages) == 1 else f"({made.formula})"
    terms = [facts.metric("brine_flow"), *made.terms, generator]
    formula = f"{{brine flow}} * {each} * {{generator efficiency}}"
    factor = facts.input("plant.performance_factor", "performance factor", 1.0)
    if factor.value != 1:
        terms, formula = [*terms, factor], f"{formula} * {{performance factor}}"
    if facts.has(BELOW_GROSS):
        below = facts.worked_out(
            BELOW_GROSS, "gross power of the binary unit", "kW", (*BINARY, *SEPARATOR_RESTS_ON, *CLIMATE)
        )
        terms, formula = [*terms, below], f"{formula} + {{{below.label}}}"
    both = f"({formula})" if facts.has(BELOW_GROSS) else formula
    return Working(tuple(terms), f"{both} / 1000")


def _stage(facts: Facts, stage: str) -> Working:
    """Work of one steam for each kg that the wells bring: steam less gas and jets, isentropic drop, efficiency when wet."""
    rises = _rises(facts, stage)
    drop, wetness = (
        facts.worked_out(f"{OF_TURBINE}: {name}, {stage} steam", f"{label} of the {stage} steam", unit, under)
        for name, label, unit, under in (
            (IDEAL, "isentropic drop", "kJ/kg", (CONDENSING, "wells.wellhead_pressure", *SEPARATORS)),
            (WETNESS, "mean wetness", "1", ()),
        )
    )  # fmt: skip
    dry = facts.input(OF_TURBINE, "efficiency on dry steam")
    steam, terms = f"{{{rises.label}}}", [rises]
    if stage == STAGES[0] and facts.has(OF_GAS):
        gas = facts.worked_out(OF_GAS, "gas in it", "1", ("resource.gas", "resource.gas_pressure", *INLET))
        steam, terms = f"({steam} - {{gas in it}})", [*terms, gas]
        if facts.has("plant.ejector_steam"):
            jets = facts.input("plant.ejector_steam", "steam of jets for each kg of gas")
            steam, terms = f"({{{rises.label}}} - {{gas in it}} * (1 + {{{jets.label}}}))", [*terms, jets]
    formula = f"{steam} * {{{drop.label}}} * {{{dry.label}}} * (1 - {{{wetness.label}}})"
    return Working((*terms, drop, dry, wetness), formula)


def _rises(facts: Facts, stage: str) -> Term:
    path = SEPARATORS[STAGES.index(stage)]
    if facts.words("plant.kind") == "dry-steam":
        return Term("steam, gas in it, in what comes", 1.0, "1", INLET)
    return facts.worked_out(f"{path}: {OF_STEAM}", f"{stage} steam of each kg", "1", (path, *SEPARATOR_RESTS_ON))


def plant_net_capacity(facts: Facts) -> Working:
    """Gross less what the plant takes itself."""
    takes = [
        facts.worked_out(path, label, "kW", rests_on)
        for path, label, rests_on in (
            (COOLING, "fans and pumps of the cooling", ("plant.cooling", "plant.fan_power", *STEAM, *CLIMATE)),
            (AUXILIARIES, "other plant use", ("plant.auxiliary_power",)),
            (COMPRESSOR, "compressor of the gas", ("plant.compressor_efficiency", "resource.gas", "site.elevation")),
            (BELOW_OWN, "own use of the binary unit", BINARY),
        )
        if facts.has(path)
    ]  # fmt: skip
    own = signed(takes)
    return Working((facts.metric("gross_capacity"), *own.terms), f"{{gross capacity}} - ({own.formula}) / 1000")


def injection_temperature(facts: Facts) -> Working:
    """Brine at the temperature of the last separator, cooled by a binary unit where there is one; condensate of dry steam."""
    kind, leaves = facts.words("plant.kind"), facts.value("injection_temperature")
    if kind == "dry-steam":
        return one(
            Term("condensate, at the condensing temperature", leaves, "degC",
                 ("plant.cooling", CONDENSING, "plant.least_condensing_temperature", *CLIMATE))
        )  # fmt: skip
    stage = "second" if kind == "double-flash" else "first"
    path = SEPARATORS[STAGES.index(stage)]
    words = "brine of the last separator" if kind == "double-flash" else "brine of the separator"
    brine = facts.worked_out(path, words, "degC", (path, *SEPARATOR_RESTS_ON))
    if kind != "flash-binary":
        return one(brine)
    return signed([brine], [Term("cooled in the binary unit", brine.value - leaves, "K", BINARY)])
