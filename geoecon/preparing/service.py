"""How the unit of a case is run."""

import numpy as np

from geoecon.arrays import Floats, column
from geoecon.case import Case
from geoecon.energy import Running
from geoecon.preparing.basics import late, wide


def running(case: Case, net_kw: Floats) -> Running:
    """How a unit of a net capacity is run, what limits it and who takes its energy."""
    operation, plant, community = case.operation, case.plant, case.community
    limit = wide(case, net_kw) * plant.output_limit
    if plant.stated_capacity_factor is not None:
        limit = wide(case, np.inf)  # the factor holds every loss and limit already
    if case.site.export_limit is not None:
        limit = np.minimum(limit, case.site.export_limit)
    load = None
    if community.islanded and community.local_load is not None:
        load = column(community.local_load) * (1 - wide(case, community.standby_share))
    month = None if operation.planned_outage_month is None else operation.planned_outage_month - 1
    return Running(
        wide(case, operation.planned_outage), month, wide(case, operation.forced_outage), limit,
        wide(case, case.site.line_loss), load, late(case),
    )  # fmt: skip
