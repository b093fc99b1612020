"""Read the electrical table in fixtures/electrical.json as the engine's values. Knows no shop and nothing of Django."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from layout.engine.wiring.boxes import Box, BoxTable
from layout.engine.wiring.circuits import Breaker, Bundling
from layout.engine.wiring.dimmers import DimmerProduct, Load
from projects.catalogue.tables import TableError, _table


@dataclass(frozen=True, slots=True)
class Electrical:
    """Boxes and what conductors take in them, breakers, bundling, and the dimmer sheets there are."""

    version: str
    boxes: BoxTable
    breakers: tuple[Breaker, ...]
    bundling: tuple[Bundling, ...]
    dimmers: tuple[DimmerProduct, ...]


@lru_cache
def electrical() -> Electrical:
    """The whole table. Raises TableError naming the entry that can't be read."""
    table = _table("electrical")
    allowances = table["allowances"]
    return Electrical(
        version=table["version"],
        boxes=BoxTable(
            allowances_in3=MappingProxyType({row["awg"]: float(row["in3"]) for row in allowances}),
            allowances_source=allowances[0]["source"],
            boxes=tuple(_read(_box, row) for row in table["boxes"]),
        ),
        breakers=tuple(_read(_plain(Breaker), row) for row in table["breakers"]),
        bundling=tuple(_read(_plain(Bundling), row) for row in table["bundling"]),
        dimmers=tuple(_read(_dimmer, row) for row in table["dimmers"]),
    )


def _read(make: Callable[[dict[str, Any]], Any], row: dict[str, Any]) -> Any:
    try:
        return make(row)
    except (KeyError, TypeError, ValueError) as wrong:
        raise TableError(f"fixtures/electrical.json, entry {row.get('key', '?')}: {wrong}") from wrong


def _plain(kind: type) -> Callable[[dict[str, Any]], Any]:
    return lambda row: kind(**{name: value for name, value in row.items() if name != "key"})


def _box(row: dict[str, Any]) -> Box:
    return Box(**{**row, "in3": float(row["in3"])})


def _dimmer(row: dict[str, Any]) -> DimmerProduct:
    ratings = {
        Load(load): tuple(None if w is None else float(w) for w in three) for load, three in row["ratings"].items()
    }
    least = {Load(load): float(watts) for load, watts in row["least"].items()}
    return DimmerProduct(row["key"], row["name"], MappingProxyType(ratings), MappingProxyType(least), row["source"])
