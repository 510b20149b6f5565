"""Metrics: the blind reader. It sees a trace and the definitions, and nothing of what made the trace."""

from .events import ArmStrokes, list_events
from .over_strokes import Spread, over_strokes
from .reading import Reading, measure_trace
from .seen_reading import Scale, lifted, measure_seen
from .strokes import Strokes, read_strokes
from .track import Track
from .triangulation import triangulate

__all__ = [
    "ArmStrokes", "Reading", "Scale", "Spread", "Strokes", "Track", "lifted", "list_events", "measure_seen",
    "measure_trace", "over_strokes", "read_strokes", "triangulate",
]  # fmt: skip
