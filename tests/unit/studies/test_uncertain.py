"""Which inputs are uncertain: as the case says, by estimate class, by maturity of the field."""

import pytest

from geoecon.errors import CaseError
from geoecon.studies.uncertain import uncertain_inputs


def declared(case, table):
    return type(case).read(f"{case.to_toml()}\n{table}", "case")


def test_what_the_case_says_goes_before_class_and_maturity(example):
    found = uncertain_inputs(example("sorrel-basin"))
    assert found["resource.temperature"].origin == "as the case says"
    assert found["resource.temperature"].evidence == "stated"
    assert found["resource.temperature"].quantile(0.5) == pytest.approx(149 + (0.5 * 15 * 9) ** 0.5)
    assert found["wells.flow_decline"].origin.startswith("maturity surface (no maturity is stated): -50% to +120%")


def test_class_of_an_account_sets_the_range_of_eight_chances_in_ten(example):
    """AACE 18R-97 through two summaries: class 4 -30/+50 %, class 3 -20/+30 %."""
    found = uncertain_inputs(example("sorrel-basin"))
    plant, wells = found["plant.cost_per_kw"], found["wells.cost_factor"]
    assert (plant.quantile(0.1), plant.quantile(0.9)) == pytest.approx((2900 * 0.7, 2900 * 1.5))
    assert (wells.quantile(0.1), wells.quantile(0.9)) == pytest.approx((0.8, 1.3), rel=1e-6)
    assert "estimate class 4: -30% to +50%" in plant.origin
    assert plant.evidence == "compiled"


def test_a_case_without_a_class_is_taken_as_the_roughest_and_says_so(example):
    found = uncertain_inputs(example("dunmarrow"))["plant.cost_per_kw"]
    assert "estimate class 5 (no class is stated)" in found.origin


def test_more_known_of_the_field_makes_its_ranges_narrower(example):
    case = example("ambry-wells")
    widths = []
    for maturity in ("regional", "surface", "drilled", "tested", "produced"):
        flow = uncertain_inputs(case.with_values({"resource.maturity": maturity}))["wells.flow_per_producer"]
        widths.append(flow.quantile(0.9) / flow.quantile(0.1))
    assert widths == sorted(widths, reverse=True)
    assert len(set(widths)) == 5


def test_a_smaller_class_makes_its_range_narrower(example):
    case = example("ambry-wells")
    widths = []
    for level in range(5, 0, -1):
        classed = case.with_values({"project.estimate_class": {"all": level}})
        plant = uncertain_inputs(classed)["plant.cost_per_kw"]
        widths.append(plant.quantile(0.9) / plant.quantile(0.1))
    assert widths == sorted(widths, reverse=True)


def test_wells_that_nobody_drills_are_not_uncertain(example):
    assert "wells.cost_factor" not in uncertain_inputs(example("tessel-ridge"))


def test_no_range_leaves_the_bounds_of_its_field(every_example):
    for input_ in uncertain_inputs(every_example).values():
        low, high = input_.input.about.limits(input_.input.kind)
        assert low <= input_.quantile(1e-9) < input_.quantile(1 - 1e-9) <= high


@pytest.mark.parametrize(
    ("table", "path", "words"),
    [
        ('[uncertainty."market.price"]\nshape = "normal"\nmean = "90 USD/MWh"\ndeviation = "-2 USD/MWh"', "", "not above zero"),
        ('[uncertainty."market.price"]\nshape = "normal"\nmean = "90 USD/MWh"', "", "takes mean, deviation, and may take low"),
        ('[uncertainty."market.price"]\nshape = "lognormal"\np10 = "90 USD/MWh"\np90 = "80 USD/MWh"', "", "stands above"),
        ('[uncertainty."market.price"]\nshape = "discrete"\nvalues = ["80 USD/MWh"]\nchances = [0.9]', "", "with the sum 1"),
        ('[uncertainty."market.price"]\nshape = "empirical"\nvalues = ["80 USD/MWh"]', "", "at least two observed"),
        ('[uncertainty."market.price"]\nshape = "uniform"\nlow = "8 USD/MWh"\nhigh = "8 USD/MWh"', "", "are the same"),
        ('[uncertainty."market.price"]\nshape = "uniform"\nlow = "8 USD/MWh"\nhigh = 9', ".high", "has no unit"),
        (
            '[uncertainty."market.price"]\ncommon = 0.5\nshape = "uniform"\nlow = "8 USD/MWh"\nhigh = "9 USD/MWh"',
            ".common", "speaks of wells",
        ),
        (
            '[uncertainty."operation.forced_outage"]\nshape = "uniform"\nlow = "80 %"\nhigh = "95 %"',
            ".high", "outside what the field",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_where_it_stands(example, table, path, words):
    with pytest.raises(CaseError) as caught:
        declared(example("dunmarrow"), table)
    (fault,) = caught.value.faults
    assert words in fault.message
    assert fault.path.endswith(path)
    assert fault.line


def test_correlations_that_cannot_hold_together_are_refused(example):
    ranks = "\n".join(
        f'[[uncertainty.correlation]]\npaths = ["{one}", "{other}"]\nrank = -0.9'
        for one, other in (
            ("market.price", "wells.depth"),
            ("wells.depth", "plant.cost_per_kw"),
            ("market.price", "plant.cost_per_kw"),
        )
    )
    with pytest.raises(CaseError, match="these correlations cannot hold together; 55% of each"):
        declared(example("dunmarrow"), ranks)


def test_an_uncertain_field_without_a_value_is_asked_for(example):
    case = declared(
        example("dunmarrow"), '[uncertainty."capital.grant"]\nshape = "uniform"\nlow = "1 MUSD"\nhigh = "2 MUSD"'
    )
    with pytest.raises(CaseError, match="the field itself has no value"):
        uncertain_inputs(case)


def test_wells_that_differ_are_not_correlated_as_a_field(example):
    pair = '[[uncertainty.correlation]]\npaths = ["wells.flow_per_producer", "wells.productivity_index"]\nrank = 0.6'
    text = example("sorrel-basin").to_toml().replace("factor = 1.3", "factor = 1.3\ncommon = 0.4")
    with pytest.raises(CaseError, match="differs from well to well"):
        type(example("sorrel-basin")).read(f"{text}\n{pair}\n")


def test_a_flow_by_mass_with_its_uncertainty_by_volume_is_told_so(example):
    case = example("sorrel-basin")
    with pytest.raises(CaseError, match="the field itself is stated as a mass flow"):
        case.with_texts({"wells.flow_per_producer": "80 kg/s"})
