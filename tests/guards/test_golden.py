"""The numbers of every shipped case stay what they were, to 1e-9, until someone says why they moved."""

import json

import pytest

import geoecon
from tests.guards.golden import FOLDER, numbers


def test_every_shipped_case_has_its_numbers():
    assert {file.stem for file in FOLDER.glob("*.json")} == set(geoecon.shipped_cases())


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_numbers_did_not_move(name):
    before = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    now = numbers(name)
    moved = [
        f"{key:26} {before.get(key)!s:>24} {now.get(key)!s:>24}"
        for key in sorted(before | now)
        if before.get(key, "absent") != (now.get(key, "absent")) and not _same(before.get(key), now.get(key))
    ]
    hint = "if this is meant: python -m tests.guards.golden, and a line in the change list of DEVELOPERS.md"
    assert not moved, "\n".join([f"{'metric':26} {'before':>24} {'now':>24}", *moved, hint])


def _same(before, now):
    return isinstance(before, float) and isinstance(now, float) and now == pytest.approx(before, rel=1e-9, abs=1e-9)
