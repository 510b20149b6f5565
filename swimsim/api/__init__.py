"""The public functions. The command line is one call of each; from Python: `swimsim.run(...)` and so on."""

from __future__ import annotations

from ..detectors import detect
from ..ground.files import read_trace, write_trace
from ..ground.version import VERSION as __version__
from ..metrics import measure_trace, over_strokes
from ..scenario.clean_swimmers import CleanSwimmer, clean_scenario, clean_swimmers
from ..scenario.listing import details, listing, overview
from ..scenario.play import play
from ..scenario.read import read_scenario
from ..stroke.drill import drill_names
from .clips import clip, clip_drill
from .costs import Costed, WhatIf, cost, what_if
from .filming import film, is_seen_csv, measure_film
from .judging import Planned, Validated, plan_camera, validate
from .lists import doctor, draw_views, small_views
from .measuring import Measured, measure
from .runs import Ran, run, trace_drill, write_traces

__all__ = [
    "CleanSwimmer", "Costed", "Measured", "Planned", "Ran", "Validated", "WhatIf", "__version__", "clean_scenario",
    "clean_swimmers", "clip", "clip_drill", "cost", "details", "detect", "doctor", "draw_views", "drill_names",
    "film", "is_seen_csv", "listing", "measure", "measure_film", "measure_trace",
    "over_strokes", "overview", "plan_camera", "play", "read_scenario", "read_trace", "run",
    "small_views", "trace_drill", "validate", "what_if", "write_trace", "write_traces",
]  # fmt: skip
