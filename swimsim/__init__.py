"""A synthetic front-crawl swimmer with known faults, exact ground truth and a blind reader.

The public functions are those of `swimsim.api`; they are loaded when first used, so that importing is light.
"""

from __future__ import annotations

_PUBLIC = (
    "__version__", "clean_scenario", "clean_swimmers", "clip", "clip_drill", "cost", "details", "detect", "doctor",
    "draw_views", "drill_names", "film", "listing", "measure", "measure_film",
    "measure_trace", "overview", "plan_camera", "play", "read_scenario",
    "read_trace", "run", "trace_drill", "validate", "write_trace", "write_traces",
    "what_if",
)  # fmt: skip
__all__ = list(_PUBLIC)


def __getattr__(name: str):
    if name not in _PUBLIC:
        raise AttributeError(f"module 'swimsim' has no attribute '{name}'")
    from . import api

    return getattr(api, name)


def __dir__() -> list[str]:
    return sorted([*globals(), *_PUBLIC])
