"""Published success of geothermal wells, and what it makes of a small field.

Seen: abstract on production-well success in Nevada (World Geothermal Congress, record 13946): 60 to 66 % of wells drilled for
production became producers, 3.1 +- 1.8 wells a MW at eight sites; abstract of V. Stefansson, Geothermics 21 (1992): 13 wells
on average, 4 to 36, before the running mean of a field settles.
From memory: International Finance Corporation, Success of Geothermal Wells (2013): 59 % of wells succeed in exploration, 74 %
in development, 83 % in operation, 78 % of all 2,613.
"""

import numpy as np
import pytest

from geoecon.case.fields import about
from geoecon.case.schema import TABLES
from geoecon.case.wells import Wells
from geoecon.tables import row
from geoecon.wells.success import expected_drilled, success_by_well


def published(key, part="value"):
    return float(row("drilling_success", key=key)[part])


def test_the_default_lies_in_what_was_seen_in_nevada():
    low, high = published("production", "low"), published("production", "high")
    default = float(Wells().success[0]) * 100
    assert (low, high) == (60, 66)
    assert low <= default <= high


def test_phases_of_the_world_survey_rise_and_their_mean_lies_between():
    phases = [published(phase) for phase in ("exploration", "development", "operation")]
    assert phases == sorted(phases) == [59, 74, 83]
    assert phases[0] < published("all") < phases[-1]


@pytest.mark.parametrize(("path", "key"), [("learning_wells", "learning"), ("success_exploration", "exploration")])
def test_help_says_what_the_table_holds(path, key):
    words = about(TABLES["wells"], path).help
    assert f"absent: {published(key):.0f}" in words
    assert f"{published('operation'):.0f} %" in about(TABLES["wells"], "success_makeup").help


def test_a_running_mean_settles_after_as_many_wells_as_published(agree):
    """Once the published 13 wells are drilled each further good well takes 1 / success: an identity at the published length."""
    learning = round(published("learning"))
    taught = success_by_well(np.array([0.74]), np.array([0.5]), learning, existing=learning)
    agree(expected_drilled(np.array([6.0]), taught)[0], 6 / 0.74, digits=12, what="wells for six good ones")


@pytest.mark.parametrize(("phase", "wells"), [("exploration", 8.47), ("development", 6.76), ("operation", 6.02)])
def test_wells_for_five_good_ones_by_phase(agree, phase, wells):
    """Five good wells at 59, 74 and 83 %, by hand."""
    found = expected_drilled(np.array([5.0]), success_by_well(np.array([published(phase) / 100])))[0]
    agree(found, wells, digits=2.8, what=f"wells at the success of {phase}")
