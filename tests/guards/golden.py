"""Write the numbers of every shipped case anew: `python -m tests.guards.golden`. Say in DEVELOPERS.md why they moved."""

import json
from pathlib import Path

import geoecon

FOLDER = Path(__file__).parent / "golden"


def numbers(name: str) -> dict[str, float | None]:
    """Metric -> value of a shipped case, null where there is none."""
    metrics = geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name))).as_json()["metrics"]
    return {key: metric["value"] for key, metric in metrics.items()}


def main() -> None:
    """Write one file a case, and take away those of cases that are gone."""
    for old in FOLDER.glob("*.json"):
        old.unlink()
    for name in geoecon.shipped_cases():
        (FOLDER / f"{name}.json").write_text(json.dumps(numbers(name), indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
