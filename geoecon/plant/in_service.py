"""A binary plant as built, away from its design point: pressures and flows that its hardware settles at.

Evaporation settles where the turbine swallows what evaporator and preheater raise, condensation where the condenser passes
on what the turbine leaves. Exchangers keep their sizes, except that a condenser passes less heat where air is slower. The
superheat is held. Efficiency of the turbine falls with the parabola of its velocity ratio (textbooks of turbines, common
practice), those of pump and generator stay.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.plant.binary import CycleTerms
from geoecon.plant.built import (
    AIR_RISE,
    Fluid,
    Hardware,
    Keeping,
    Liquid,
    Vapour,
    brine_heat,
    brine_temperature,
    pump_work,
    throat,
)
from geoecon.resource.water import KELVIN

AIR_SIDE = 0.5  # size of a condenser moves with this power of its air; common practice for finned tubes, assumed
SPEEDS = np.arange(9, 2, -1) / 10  # of fans, over that of the design
ABOVE_CONDENSING = 1.0  # kelvin between condensation and the least evaporation
STEPS, STEPS_INSIDE = 10, 3
LEAST_SHARE = 1e-9  # of what is left that a step of a search goes


@dataclass(frozen=True)
class Plant:
    """What is asked about: a plant as built, its fluid and its terms, and what it keeps to."""

    fluid: Fluid
    terms: CycleTerms
    hardware: Hardware
    keeping: Keeping


@dataclass(frozen=True)
class Service:
    """States of a plant, (point,), energies in kW per kg/s of brine at the design point.

    evaporating, condensing, injection : [degC];  flow : of working fluid, kg per kg of brine at the design point
    speed : of the fans over that of the design
    heat_in + pump = turbine + heat_out, with the pump's work as the fluid has it
    """

    evaporating: Floats
    condensing: Floats
    injection: Floats
    flow: Floats
    speed: Floats
    heat_in: Floats
    heat_out: Floats
    turbine: Floats
    gross: Floats
    pump: Floats
    fans: Floats
    net: Floats


@dataclass(frozen=True)
class Conditions:
    """What a plant meets, (point,): brine and air [degC], brine flow and speed of the fans over those of the design."""

    brine: Floats
    air: Floats
    flow: Floats
    speed: Floats


def in_service(plant: Plant, brine: Floats, air: Floats, flow: float = 1.0) -> Service:
    """What the plant gives at brine and air temperatures, (point,) [degC], and a brine flow over that of the design.

    Where it cannot run, or would take more than it makes, it stands and the brine leaves as it came.
    """
    met = Conditions(brine, air, np.full_like(brine, flow), np.ones_like(brine))
    state = settled(plant, met)
    for speed in SPEEDS if plant.keeping.variable_fans else ():
        slower = settled(plant, replace(met, speed=np.full_like(brine, speed)))
        state = _where(slower.net > state.net, slower, state)
    return _stopped(_throttled(plant, state), brine)


def settled(plant: Plant, met: Conditions) -> Service:
    """The state in which the turbine swallows what is raised for it; all zero where there is none."""
    low = np.maximum(plant.fluid.coolest, met.air + ABOVE_CONDENSING)
    high = np.maximum(np.minimum(plant.fluid.hottest, met.brine - plant.fluid.superheat), low)
    evaporating, runs = _root(lambda at: _surplus(plant, met, at), low, high)
    return _where(runs, state_at(plant, met, evaporating), _nothing(met.brine))


def state_at(plant: Plant, met: Conditions, evaporating: Floats, flow: Floats | None = None) -> Service:
    """Everything at an evaporating temperature; `flow` of working fluid is what the turbine swallows unless given."""
    terms = plant.terms
    vapour = plant.fluid.vapour(evaporating)
    cold, liquid, flow = _condensed(plant, met, evaporating, vapour, flow)
    work = _work(plant, vapour, liquid)
    pump, turbine = flow * pump_work(terms, vapour, liquid), flow * work
    heat_out = flow * (vapour.top - work - liquid.heat)
    heat_in = flow * (vapour.top - liquid.heat) - pump
    gross = turbine * terms.generator_efficiency
    fans = plant.hardware.fans * _thicker(plant, met) * met.speed**3 * _cells(plant, met, heat_out, cold)
    net = gross * (1 - terms.auxiliary_share) - pump - fans
    injection = brine_temperature(brine_heat(met.brine) - heat_in / met.flow)
    return Service(evaporating, cold, injection, flow, met.speed, heat_in, heat_out, turbine, gross, pump, fans, net)


def _surplus(plant: Plant, met: Conditions, evaporating: Floats) -> Floats:
    """Heat that the turbine asks for over what is raised for it, (point,) [kW]; rises with the evaporation.

    Raised is what the exchangers pass on, or less, where brine passes them by so that none goes back cooler than it may.
    """
    vapour = plant.fluid.vapour(evaporating)
    cold, liquid, flow = _condensed(plant, met, evaporating, vapour, None)
    floor = np.minimum(plant.terms.floor(met.brine), met.brine)
    most = met.flow * (brine_heat(met.brine) - brine_heat(floor))
    asked = flow * (vapour.top - liquid.heat - pump_work(plant.terms, vapour, liquid))
    return np.maximum(surplus(plant, met, evaporating, flow, vapour, cold, liquid), asked - most)


def surplus(
    plant: Plant, met: Conditions, evaporating: Floats, flow: Floats, vapour: Vapour, cold: Floats, liquid: Liquid
) -> Floats:
    """Heat that a flow of working fluid takes in the evaporator less that which the evaporator passes on, (point,)  [kW]."""
    hardware = plant.hardware
    pumped = liquid.heat + pump_work(plant.terms, vapour, liquid)
    capacity = (vapour.bubble - pumped) / (evaporating - cold)
    at_boiling = evaporating + (met.brine - evaporating) * np.exp(-hardware.evaporator / met.flow)
    warmed = _effectiveness(hardware.preheater, flow * capacity, hardware.brine_capacity * met.flow)
    preheated = pumped + capacity * warmed * (at_boiling - cold)
    return np.asarray(flow * (vapour.top - preheated) - met.flow * (brine_heat(met.brine) - brine_heat(at_boiling)))


def _effectiveness(size: float, heated: Floats, cooled: Floats) -> Floats:
    """Rise of what is heated in counterflow over the difference of the inlets; capacities for heat in kW/K."""
    heated = np.maximum(heated, 1e-12)
    ratio, units = heated / cooled, size / heated
    left = np.exp(-units * (1 - ratio))
    with np.errstate(invalid="ignore", divide="ignore"):
        apart = (1 - left) / (1 - ratio * left)
    return np.asarray(np.where(np.abs(1 - ratio) < 1e-7, units / (1 + units), apart))


def _condensed(
    plant: Plant, met: Conditions, evaporating: Floats, vapour: Vapour, flow: Floats | None
) -> tuple[Floats, Liquid, Floats]:
    """Condensing temperature, liquid and flow where the condenser passes on what the turbine leaves."""
    capacity = _condenser(plant, met, met.speed)
    most = evaporating - ABOVE_CONDENSING / 2

    def at(cold: Floats) -> tuple[Liquid, Floats, Floats]:
        liquid = plant.fluid.condensed(cold)
        passing = plant.hardware.swallowing * throat(vapour, liquid) if flow is None else flow
        heat = passing * (vapour.top - _work(plant, vapour, liquid) - liquid.heat)
        return liquid, passing, np.asarray(met.air + heat / capacity)

    before = np.minimum(met.air + plant.terms.approach_K, most)
    off_before = at(before)[2] - before
    cold = np.minimum(before + off_before, most)
    for _ in range(STEPS_INSIDE):
        off = at(cold)[2] - cold
        with np.errstate(invalid="ignore", divide="ignore"):
            step = -off * (cold - before) / (off - off_before)
        before, off_before = cold, off
        cold = np.clip(cold + np.where(np.isfinite(step), step, 0.0), met.air, most)
    if plant.keeping.least_bar is not None:
        cold = np.minimum(np.maximum(cold, plant.fluid.saturation(plant.keeping.least_bar)), most)
    liquid, passing, _ = at(cold)
    return cold, liquid, passing


def _work(plant: Plant, vapour: Vapour, liquid: Liquid) -> Floats:
    """Work of the turbine for each kg of working fluid  [kJ/kg]."""
    drop = np.maximum(plant.fluid.drop(vapour, liquid), 1e-9)
    ratio = np.minimum(np.sqrt(plant.hardware.drop / drop), 2.0)
    return np.asarray(plant.terms.turbine_efficiency * ratio * (2 - ratio) * drop)


def _thicker(plant: Plant, met: Conditions) -> Floats:
    """Density of the air over that of the design: fans move a volume."""
    return np.asarray((plant.hardware.air + KELVIN) / (met.air + KELVIN))


def _condenser(plant: Plant, met: Conditions, speed: Floats) -> Floats:
    """Heat that the condenser passes on for each kelvin between condensation and entering air  [kW/K]."""
    air = speed * _thicker(plant, met)
    units = -np.log(1 - AIR_RISE)
    return np.asarray(plant.hardware.air_capacity * air * -np.expm1(-units * air ** (AIR_SIDE - 1)))


def _cells(plant: Plant, met: Conditions, heat_out: Floats, cold: Floats) -> Floats:
    """Share of the condenser's cells whose fans run: fewer where the least condensing pressure binds."""
    if plant.keeping.least_bar is None:
        return np.ones_like(heat_out)
    return np.clip(heat_out / (_condenser(plant, met, met.speed) * np.maximum(cold - met.air, 1e-9)), 0.0, 1.0)


def _throttled(plant: Plant, state: Service) -> Service:
    """The whole plant throttled in proportion where the generator gives its most."""
    if plant.keeping.most_gross is None:
        return state
    most = plant.keeping.most_gross * plant.hardware.gross
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(state.gross > most, most / state.gross, 1.0)
    names = ("flow", "heat_in", "heat_out", "turbine", "gross", "pump", "fans", "net")
    return replace(state, **{name: getattr(state, name) * share for name in names})


def _stopped(state: Service, brine: Floats) -> Service:
    return _where(state.net > 0, state, _nothing(brine))


def _nothing(brine: Floats) -> Service:
    """No power: the brine leaves as hot as it came."""
    none = {f.name: np.zeros_like(brine) for f in fields(Service)}
    return Service(**(none | {"injection": brine.astype(np.float64), "speed": np.ones_like(brine)}))


def _where(rows: Bools, one: Service, other: Service) -> Service:
    return Service(**{f.name: np.where(rows, getattr(one, f.name), getattr(other, f.name)) for f in fields(Service)})


def _root(function: Callable[[Floats], Floats], low: Floats, high: Floats) -> tuple[Floats, Bools]:
    """Where a function that rises is zero, (point,), and whether it is not above zero at the low end already.

    Where it is below zero at the high end too, that end is the answer. By the method of Chandrupatla (Advances in
    Engineering Software 28 (1997), p. 145, from memory): the parabola through three points where they lie well for it,
    else half of what is left. `at` and `far` hold the zero between them, `before` is the point left last.
    """
    far, at = high, low
    f_far, f_at = function(far), function(at)
    exists, beyond = f_at < 0, f_far < 0
    share = np.full_like(low, 0.5)
    for _ in range(STEPS):
        new = at + share * (far - at)
        value = function(new)
        same = (value > 0) == (f_at > 0)
        before, f_before = np.where(same, at, far), np.where(same, f_at, f_far)
        far, f_far = np.where(same, far, at), np.where(same, f_far, f_at)
        at, f_at = new, value
        share = _next_share(at, far, before, f_at, f_far, f_before)
    nearest = np.where(np.abs(f_at) < np.abs(f_far), at, far)
    return np.where(beyond, high, nearest), exists


def _next_share(at: Floats, far: Floats, before: Floats, f_at: Floats, f_far: Floats, f_before: Floats) -> Floats:
    """How far from `at` to `far` to look next."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        place, height = (at - far) / (before - far), (f_at - f_far) / (f_before - f_far)
        curved = (height**2 < place) & ((1 - height) ** 2 < 1 - place)
        share = f_at / (f_far - f_at) * f_before / (f_far - f_before) + (before - at) / (far - at) * f_at / (
            f_before - f_at
        ) * f_far / (f_before - f_far)
    return np.clip(np.where(curved & np.isfinite(share), share, 0.5), LEAST_SHARE, 1 - LEAST_SHARE)
