"""The published JSON Schema of a scenario file, made from the models: `python -m swimsim.scenario.schema`."""

from __future__ import annotations

import json
from typing import Any

from ..ground.tables import data_folder
from .models import Scenario

DIALECT = "https://json-schema.org/draft/2020-12/schema"
NAME = "scenario.schema.json"
_SIZES = ("severity", "amount", "word")
_OWN_CAMERA = ("position_m", "aim_m", "field_deg")


def scenario_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a scenario file, also of the resolved one that a run leaves."""
    schema = {"$schema": DIALECT, **_without_null(Scenario.model_json_schema())}
    schema["title"] = "swimsim scenario"
    fault, camera = schema["$defs"]["Fault"], schema["$defs"]["Camera"]
    fault["oneOf"] = [{"required": [size]} for size in _SIZES]
    fault["dependentRequired"] = {"amount": ["unit"], "unit": ["amount"]}
    camera["oneOf"] = [{"required": ["view"]}, {"required": list(_OWN_CAMERA)}]
    camera["dependentRequired"] = {name: list(_OWN_CAMERA) for name in _OWN_CAMERA}
    schema["$defs"]["Stroke"]["dependentRequired"] = {
        "stroke_count": ["pool_length_m"],
        "pool_length_m": ["stroke_count"],
    }
    return schema


def schema_text() -> str:
    """The schema as it lies in `shared/`."""
    return json.dumps(scenario_schema(), indent=1, sort_keys=True) + "\n"


def _without_null(node: Any) -> Any:
    """TOML has no null: an optional key is one that may be left out."""
    if isinstance(node, list):
        return [_without_null(item) for item in node]
    if not isinstance(node, dict):
        return node
    node = {k: _without_null(v) for k, v in node.items() if not (k == "default" and v is None)}
    choices = [c for c in node.get("anyOf", []) if c != {"type": "null"}]
    if "anyOf" in node and len(choices) == 1:
        del node["anyOf"]
        node = {**choices[0], **node}
    return node


if __name__ == "__main__":
    (data_folder("shared") / NAME).write_text(schema_text(), encoding="utf-8", newline="\n")
