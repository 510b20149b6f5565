"""What is wrong with a scenario file, in one line each: field, expected, got, nearest valid word."""

from __future__ import annotations

import types
import typing

from annotated_types import Ge, Le, MaxLen, MinLen
from pydantic import BaseModel, ValidationError

from ..ground.errors import nearest


def lines(error: ValidationError, model: type[BaseModel]) -> list[str]:
    """One line for each problem that the validator found, in file order."""
    return list(dict.fromkeys(_line(problem, model) for problem in error.errors(include_url=False)))


def field_name(loc: tuple) -> str:
    """`fault[2].severity` for ("fault", 1, "severity"): lists count from 1, as people do."""
    name = ""
    for part in loc:
        name += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if name else str(part)
    return name


def _line(problem: dict, model: type[BaseModel]) -> str:
    loc, kind, got = problem["loc"], problem["type"], problem["input"]
    name = field_name(loc)
    if kind == "extra_forbidden":
        keys = _model_at(model, loc[:-1]).model_fields
        where = f"[{field_name(loc[:-1])}]" if len(loc) > 1 else "the top of the file"
        return f"{name}: expected a known key of {where}, got '{loc[-1]}'; {nearest(str(loc[-1]), keys)}"
    if kind == "missing":
        return f"{name}: expected a value, got none"
    if kind == "value_error":
        text = str(problem["ctx"]["error"])  # begins with the name of the key
        table = field_name(loc[:-1] if loc and text.startswith(f"{loc[-1]}: ") else loc)
        return f"{table}.{text}" if table else text
    if kind == "literal_error":
        words = _words(model, loc)
        hint = (
            f"; {nearest(got, words)}"
            if isinstance(got, str) and all(isinstance(w, str) for w in words)
            else ""
        )
        return f"{name}: expected {_either(words)}, got {shown(got)}{hint}"
    return f"{name}: expected {_expected(kind, model, loc)}, got {shown(got)}"


def shown(value: object) -> str:
    """A value as the file has it, cut short."""
    if isinstance(value, bool):
        return str(value).lower()
    text = f"{value:.10g}" if isinstance(value, float) else repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _either(words: list) -> str:
    return (
        ", ".join(str(word) for word in words[:-1]) + f" or {words[-1]}" if len(words) > 1 else str(words[0])
    )


def _expected(kind: str, model: type[BaseModel], loc: tuple) -> str:
    annotation, metadata = _field_at(model, loc)
    bounds = [next((getattr(m, end) for m in metadata if isinstance(m, cls)), None) for cls, end in _BOUNDS]
    plain = {
        "bool_type": "true or false", "string_type": "text in quotes", "model_type": "a table",
        "list_type": "a list in brackets ([[...]] for a table)", "dict_type": "a table",
        "model_attributes_type": "a table",
    }  # fmt: skip
    if kind in plain:
        return plain[kind]
    if kind in ("too_long", "too_short", "string_too_short", "string_too_long"):
        unit = "characters" if kind.startswith("string") else "values"
        low, high = bounds[2] or 0, bounds[3]
        return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
    number = "a whole number" if annotation is int else "a number"
    return f"{number} from {shown(bounds[0])} to {shown(bounds[1])}" if None not in bounds[:2] else number


_BOUNDS = ((Ge, "ge"), (Le, "le"), (MinLen, "min_length"), (MaxLen, "max_length"))


def _model_at(model: type[BaseModel], loc: tuple) -> type[BaseModel]:
    annotation: object = model
    for part in loc:
        annotation = _strip(annotation)[0]
        if isinstance(part, int):
            annotation = typing.get_args(annotation)[0]
        else:
            annotation = annotation.model_fields[part].annotation
    return _strip(annotation)[0]


def _field_at(model: type[BaseModel], loc: tuple) -> tuple[object, list]:
    """Plain type of the field at a place, and its bounds."""
    if isinstance(loc[-1], int):
        holder = _model_at(model, loc[:-1])
        return _strip(typing.get_args(holder)[0])
    field = _model_at(model, loc[:-1]).model_fields[loc[-1]]
    annotation, metadata = _strip(field.annotation)
    return annotation, [*_flat(field.metadata), *metadata]


def _words(model: type[BaseModel], loc: tuple) -> list:
    return list(typing.get_args(_field_at(model, loc)[0]))


def _strip(annotation: object) -> tuple[object, list]:
    """A type without `| None` and `Annotated`, and what the latter held."""
    metadata = []
    while True:
        if typing.get_origin(annotation) is typing.Annotated:
            annotation, *extra = typing.get_args(annotation)
            metadata += _flat(extra)
        elif typing.get_origin(annotation) in (typing.Union, types.UnionType):
            annotation = next(a for a in typing.get_args(annotation) if a is not type(None))
        else:
            return annotation, metadata


def _flat(metadata: list) -> list:
    return [inner for m in metadata for inner in (getattr(m, "metadata", None) or [m])]
