"""The keys of a scenario file: types, ranges, defaults. The published JSON Schema is made from these."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr, create_model, field_validator, model_validator

from ..faults.catalogue import WORDS, aliases, faults
from ..faults.linked import linked_sets
from ..ground.conventions import REFRACTIONS
from ..stroke.pattern import BREATHING_EVERY
from ..stroke.presets import PRESETS, RECOVERIES
from ..swimmer.anthropometry import BODY_TABLES, SEXES, STATURE_M
from ..view.cameras import VIEWS
from ..view.colours import THEMES
from ..view.layout import LAYOUTS, LEAST_HEIGHT, LEAST_WIDTH
from ..view.look import STYLES
from ..view.person import BUILDS, CAPS, CUTS, SKINS, SUITS, Person
from .checks import (
    breathing_agrees,
    one_size,
    one_speed,
    one_way_to_place,
    refraction_fits,
    size_fits,
    views_exist,
)
from .rates import tempo
from .targets import all_targets, said_twice

USUAL = Person()


class Section(BaseModel):
    """A table of the file: unknown keys are refused, numbers are not read from text."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)


def _number(low: float, high: float, says: str):
    return Annotated[float, Field(ge=low, le=high, description=says)]


def _whole(low: int, high: int, says: str):
    return Annotated[int, Field(ge=low, le=high, description=says)]


Point = Annotated[list[_number(-100, 100, "metres")], Field(min_length=3, max_length=3)]


class Swimmer(Section):
    """Whose body it is."""

    stature_m: _number(*STATURE_M, "standing height") = 1.70
    mass_kg: _number(30, 160, "body mass; the table's usual mass for the stature when left out") | None = None
    sex: Literal[SEXES] = "woman"
    body_table: Literal[BODY_TABLES] = BODY_TABLES[0]
    left_handed: Annotated[bool, Field(description="mirror the stroke of the preset")] = False
    clean: (
        _whole(0, 2**31 - 1, "number of a drawn swimmer without a fault, with body and stroke of its own")
        | None
    ) = None


class StrokeKeys(Section):
    """How the stroke is swum: a preset, rate and speed, then any pattern target by name."""

    preset: Literal[tuple(PRESETS)] | None = Field(
        None, description="pace400 of the swimmer's sex when left out"
    )
    recovery: Literal[RECOVERIES] = Field(
        "bent",
        description="the arm over the water: bent, or straight and high over the shoulder, which is a style",
    )
    stroke_rate_per_min: _number(9, 78, "full cycles per minute; the preset's own when left out") | None = (
        None
    )
    speed_m_s: _number(0.2, 2.6, "mean forward speed; the preset's own when left out") | None = None
    speed_from: Annotated[
        Literal["set", "water"],
        Field(
            description="set: the speed of the file or preset; water: the speed that the stroke gives at its rate in "
            "the model of the water, looked for from there"
        ),
    ] = "set"
    pace_s_per_100m: _number(38, 500, "seconds per 100 m, instead of a speed") | None = None
    stroke_count: (
        _whole(4, 200, "arm strokes (both arms) over pool_length_m, instead of a rate or a speed") | None
    ) = None
    pool_length_m: _number(5, 100, "metres over which stroke_count was counted") | None = None
    variability: Annotated[bool, Field(description="seeded scatter from stroke to stroke")] = False
    side_effects: Annotated[bool, Field(description="let a fault bring its usual companions")] = False

    @model_validator(mode="after")
    def _agrees(self):
        given = self.model_dump(exclude_none=True)
        tempo(given)
        said_twice(given)
        return self


Stroke = create_model(
    "Stroke",
    __base__=StrokeKeys,
    __doc__=StrokeKeys.__doc__,
    **{t.key: (_number(t.low, t.high, t.says) | None, None) for t in all_targets().values()},
)


class Breathing(Section):
    """When a breath is taken; `every` counts arm strokes."""

    side: Literal["none", "left", "right"] | None = Field(
        None, description="side of the (first) breath; left when only `every` is given"
    )
    every: Literal[BREATHING_EVERY] | None = Field(
        None, description="arm strokes from breath to breath, 0 for none; even to one side, odd alternate"
    )

    @model_validator(mode="after")
    def _agrees(self):
        breathing_agrees(self.side, self.every)
        return self


class Kick(Section):
    """The leg kick."""

    beats: Literal[0, 2, 4, 6] | None = Field(
        None, description="beats per cycle; the preset's own when left out"
    )


class Fault(Section):
    """One fault: how large (exactly one of severity, amount, word), on which side, on which strokes."""

    fault: Literal[(*faults(), *aliases())]
    of: Literal[faults()["asymmetry"].pairs] | None = Field(
        None, description="what differs between left and right, for asymmetry; shoulder_roll when left out"
    )
    severity: _number(0, 1, "0 the swimmer's own stroke, 1 gross") | None = None
    amount: _number(-200, 200, "the main measure itself, in `unit`") | None = None
    unit: Literal["m", "cm", "deg", "%"] | None = None
    word: Literal[tuple(WORDS)] | None = None
    side: Literal["left", "right", "both"] = "both"
    strokes: Literal["every", "breathing"] = "every"

    @model_validator(mode="after")
    def _one_size(self):
        one_size(self.severity, self.amount, self.word, unit=self.unit)
        return self


class Linked(Section):
    """Faults that are often seen together, set at once: how large (one of severity, word), on which side."""

    set: Literal[tuple(linked_sets())]
    severity: _number(0, 1, "of the first fault of the set; the others follow by their share") | None = None
    word: Literal[tuple(WORDS)] | None = None
    side: Literal["left", "right", "both"] = "both"

    @model_validator(mode="after")
    def _one_size(self):
        one_size(self.severity, None, self.word, unit=None)
        return self


class Camera(Section):
    """A named view, or one's own (position_m, aim_m, field_deg), called camera_1, camera_2, ..."""

    view: Literal[tuple(VIEWS)] | None = None
    position_m: Point | None = None
    aim_m: Point | None = None
    field_deg: _number(5, 150, "angle across the picture, side to side") | None = None
    travels: Annotated[bool, Field(description="the camera keeps up with the swimmer")] = True
    refraction: Annotated[
        Literal[REFRACTIONS],
        Field(description="what bends the light: a flat port (camera under water), the surface (in the air)"),
    ] = "none"
    port_m: _number(0.001, 0.5, "metres from lens to flat port; 0.05 when left out") | None = None

    @model_validator(mode="after")
    def _one_way(self):
        one_way_to_place(self.view, self.position_m, self.aim_m, field_deg=self.field_deg)
        place = VIEWS[self.view].position if self.view else self.position_m
        refraction_fits(self.refraction, self.port_m, height_m=place[2])
        return self


class Figure(Section):
    """How the swimmer is drawn. The words name no real person."""

    style: Annotated[Literal[STYLES], Field(description="a solid body or sticks")] = "solid"
    skin: Literal[tuple(SKINS)] = USUAL.skin
    cap: Literal[tuple(CAPS)] = USUAL.cap
    suit: Literal[tuple(SUITS)] = USUAL.suit
    cut: Literal[CUTS] | None = Field(None, description="one_piece for a woman, shorts for a man")
    build: Literal[tuple(BUILDS)] | None = Field(
        None, description="sturdy from 25 kg/m2 of mass over stature squared, else lean"
    )
    splash: Annotated[bool, Field(description="splash and bubbles as the hand enters")] = False


class Output(Section):
    """What is drawn and how."""

    views: Annotated[list[str], Field(min_length=1, max_length=8)] | None = None
    layout: Literal[LAYOUTS] = "side_by_side"
    theme: Literal[tuple(THEMES)] = "light"
    size: Annotated[list[_whole(LEAST_HEIGHT, 3840, "pixels")], Field(min_length=2, max_length=2)] = [
        1280,
        720,
    ]
    fps: _whole(25, 240, "frames per second of traces and clip") = 60
    seconds: _number(0.5, 600, "swimming time of the first stretch; whole periods when left out") | None = (
        None
    )
    slow: _number(0.05, 1, "playback speed of a clip of one stretch: 1 as swum, 0.5 half speed") = 1.0
    speeds: Annotated[list[_number(0.05, 1, "playback speed")], Field(min_length=1, max_length=8)] | None = (
        Field(
            None,
            description="playback speeds, one stretch each; [1, 0.5, 0.25, 1] when left out, "
            "or `slow` alone when only `seconds` or `slow` is given",
        )
    )
    mirror: Annotated[bool, Field(description="left and right of every view exchanged")] = False
    locked: Annotated[
        bool, Field(description="both swimmers at the same share of the stroke, else in real time")
    ] = True
    stick: Annotated[bool, Field(description="write the clip in the style of sticks too")] = True
    review: Annotated[bool, Field(description="write the review clip")] = True
    forces: Annotated[
        bool,
        Field(description="show where the hand's push goes: an arrow, and strips of push, speed and roll"),
    ] = False

    @field_validator("views")
    @classmethod
    def _known_views(cls, views):
        views_exist(views, VIEWS)
        return views

    @field_validator("size")
    @classmethod
    def _can_be_drawn(cls, size):
        size_fits(size, least=(LEAST_WIDTH, LEAST_HEIGHT))
        return size

    @model_validator(mode="after")
    def _one_speed(self):
        one_speed(self.slow if "slow" in self.model_fields_set else None, self.speeds)
        return self


class Scenario(Section):
    """One swimmer, one stroke, the faults to show and how to show them."""

    title: Annotated[str, Field(min_length=1, max_length=120)] = "A front-crawl swimmer"
    seed: _whole(0, 2**32 - 1, "of every random number") = 0
    dimensions: Literal[2, 3] = 3
    swimmer: Swimmer = Swimmer()
    stroke: Stroke = Stroke()
    breathing: Breathing = Breathing()
    kick: Kick = Kick()
    fault: Annotated[list[Fault], Field(max_length=8)] = []
    linked: Annotated[list[Linked], Field(max_length=2)] = []
    camera: Annotated[list[Camera], Field(max_length=8)] = []
    figure: Figure = Figure()
    output: Output = Output()

    _source: str = PrivateAttr("scenario")
