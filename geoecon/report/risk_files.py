"""A study of risk as JSON and as files."""

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from geoecon.audit import checks
from geoecon.errors import CaseError, Fault, OutputError
from geoecon.report.checks import alarm
from geoecon.report.files import write_all
from geoecon.report.risk import common, told_by, weights
from geoecon.report.tables import PICTURES, TABLES, ending_of
from geoecon.studies.risk import QUANTILES, Risk
from geoecon.studies.spread import CHANCES, spread

MOST_IN_CSV = 200_000


def as_json(found: Risk, metrics: Sequence[str], by: str) -> dict[str, Any]:
    """The study as plain objects, without the single draws; what does not exist is null."""
    return {
        "case": {"name": found.base.name, "hash": found.base.digest, "set_for_this_run": list(found.base.told)},
        "draws": found.draws,
        "wanted": found.wanted,
        "seed": found.seed,
        "sampler": found.sampler,
        "design": "sized in every draw" if found.resize else "as ordered",
        "failed": int(found.failed.sum()),
        "faults": [{"draws": n, "path": path, "message": words} for n, path, words in found.faults],
        "inputs": {
            path: {
                "unit": one.input.unit, "as_it_is": one.input.value, "origin": one.origin, "evidence": one.evidence,
                "known": one.known, "common": one.common,
                "below_with_chance": {f"{chance:g}": one.quantile(chance) for chance in QUANTILES},
            }
            for path, one in found.uncertain.items()
        },
        "events": {
            event.key: {"words": f"it {event.words}", "chance": None, "reason": event.reason} if event.reason else
            {"words": f"it {event.words}", "chance": event.chance, "standard_error": event.error}
            for event in found.events
        },
        "metrics": {key: _metric(found, key) for key in metrics},
        "worst_tenth": {"by": by, "inputs": [vars(one) for one in common(found, by)]},
        "importance": {"of": by, "inputs": [vars(one) for one in weights(found, by)]},
        "wells_rolled_up": [
            {"wells": r.wells, "common": r.common, "chances_of_at_least": list(CHANCES), "one": r.single.tolist(),
             "added": r.added.tolist(), "together": r.together.tolist(), "standard_error": _plain(r.error)}
            for r in found.rolled
        ],
        "checks": [check.as_json() for check in checks(found.base)],
    }  # fmt: skip


def _metric(found: Risk, key: str) -> dict[str, Any]:
    metric, own, base = found.metrics[key], spread(key, found.metrics[key]), found.base.metrics[key]
    shown: dict[str, Any] = {
        "unit": metric.unit, "basis": metric.basis, "as_it_is": base.as_json()["value"], "draws_without": own.missing,
    }  # fmt: skip
    if own.reason:
        return shown | {"reason": own.reason}
    sense = "at_most" if own.at_most else "at_least"
    points = zip(CHANCES, _plain(own.reached), _plain(own.error), strict=True)
    return shown | {sense: [{"chance": c, "value": value, "standard_error": error} for c, value, error in points]}


def _plain(values: Any) -> list[float | None]:
    return [float(v) if np.isfinite(v) else None for v in values]


def draws_table(found: Risk) -> dict[str, Any]:
    """Heading -> column (scenario,): drawn inputs, every figure, whether it could be worked out, events."""
    inputs = {f"{path} [{found.uncertain[path].input.unit}]": values for path, values in found.values.items()}
    metrics = {f"{key} [{metric.unit}]": metric.values for key, metric in found.metrics.items()}
    happens = {f"event {event.key}": event.happens for event in found.events if not event.reason}
    return {**inputs, **metrics, "worked out": ~found.failed, **happens}


def draws_csv(found: Risk) -> bytes:
    """The draws as CSV; what does not exist is empty. Raises `OutputError` above `MOST_IN_CSV`."""
    if found.draws > MOST_IN_CSV:
        raise OutputError(f"{found.draws:,} draws are too many for CSV (at most {MOST_IN_CSV:,}); take --table parquet")
    columns = {
        heading: column.astype(int).tolist() if column.dtype == bool else [_cell(v) for v in column.tolist()]
        for heading, column in draws_table(found).items()
    }
    return _csv([list(columns), *zip(*columns.values(), strict=True)])


def draws_parquet(found: Risk) -> bytes:
    """The draws as Parquet; what does not exist is null."""
    import pandas as pd

    data = io.BytesIO()
    pd.DataFrame(draws_table(found), copy=False).to_parquet(data, index=False)
    return data.getvalue()


def fans_csv(found: Risk) -> bytes:
    """The yearly columns as CSV: a line for each column and year, with its quantiles by cumulative chance."""
    rows: list[Sequence[object]] = [["column", "unit", "year", *(f"chance below {q:g}" for q in QUANTILES)]]
    for name, fan in found.fans.items():
        label = f"{name}, added up" if name == "cash_flow_equity" else name
        rows += [[label, fan.unit, int(y), *map(float, line)] for y, line in zip(fan.years, fan.quantiles, strict=True)]
    return _csv(rows)


def _cell(value: float) -> float | str:
    return "" if np.isnan(value) else value


def _csv(rows: Sequence[Sequence[object]]) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue().encode()


def risk_files(
    found: Risk, metrics: Sequence[str], chart: str | None, out: str | None, table: str = "csv"
) -> list[Path]:
    """Write the exceedance curve of the first figure and the folder of files, where asked for. Raises `OutputError`."""
    import json

    by = told_by(found, metrics)
    files: dict[Path, bytes] = {}
    if out is not None:
        shown = json.dumps(as_json(found, tuple(found.metrics), by), indent=2, ensure_ascii=False, allow_nan=False)
        draws = draws_parquet(found) if table == "parquet" else draws_csv(found)
        names = {"risk.json": f"{shown}\n".encode(), f"draws.{table}": draws, "fans.csv": fans_csv(found)}
        files = {Path(out) / name: data for name, data in names.items()}
    if chart is not None:
        from geoecon.report.charts import picture_file
        from geoecon.report.charts.risk import exceedance

        files[Path(chart)] = picture_file(
            exceedance(found, by), ending_of(chart, PICTURES, "a chart"), alarm(checks(found.base))
        )
    return write_all(files)


def check_places(chart: str | None, out: str | None, table: str, draws: int) -> None:
    """Refuse places that cannot be, before hours of work. Raises `OutputError` or `CaseError`."""
    if chart is not None:
        ending_of(chart, PICTURES, "a chart")
    if out is not None and (not out.strip() or (Path(out).exists() and not Path(out).is_dir())):
        raise OutputError(f"{out!r}: is no folder to write into")
    if table not in TABLES:
        raise CaseError([Fault("--table", f"{table!r} is not one of: {', '.join(TABLES)}")], "risk")
    if out is not None and table == "csv" and draws > MOST_IN_CSV:
        raise OutputError(f"{draws:,} draws are too many for CSV (at most {MOST_IN_CSV:,}); take --table parquet")
