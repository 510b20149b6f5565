"""How the page of a scorecard looks: light or dark as the reader has it, from a phone of 390 px to a wide screen."""

from __future__ import annotations

from ..view.colours import THEMES


def style() -> str:
    """The style sheet; colours of plots are those of the pictures."""
    light, dark = (f":root {{ {_colours(name)} }}" for name in ("light", "dark"))
    return f"{light}\n@media (prefers-color-scheme: dark) {{ {dark} }}\n{_RULES}"


def _colours(name: str) -> str:
    theme = THEMES[name]
    own = {"found": theme.fault, "clean": theme.correct}
    drawn = "".join(f"--{key}: rgb{colour}; " for key, colour in own.items())
    return _PLAIN[name] + " " + drawn


_PLAIN = {
    "light": "--ink: #1a1a1a; --ground: #fff; --soft: #555; --line: #ccc; --bad: #a33600; --warn: #fff1e6;",
    "dark": "--ink: #eee; --ground: #16181b; --soft: #b4b4b4; --line: #4a4a4a; --bad: #ff9a5c; --warn: #33231a;",
}

_RULES = """:root { color-scheme: light dark; }
* { box-sizing: border-box; }
body { font: 16px/1.5 system-ui, sans-serif; color: var(--ink); background: var(--ground); margin: 0 auto;
  padding: 1rem; max-width: 80rem; overflow-wrap: anywhere; }
h1 { font-size: 1.6rem; line-height: 1.25; } h2 { font-size: 1.2rem; margin: 2.2rem 0 .3rem; }
h3 { font-size: 1rem; margin: 1.2rem 0 .2rem; } a { color: inherit; }
p.small, caption, .soft { color: var(--soft); font-size: .9rem; }
.alarm { border: 2px solid var(--bad); background: var(--warn); padding: .6rem .9rem; border-radius: .4rem; }
.note { border-left: 4px solid var(--clean); padding: .1rem .8rem; }
.short { color: var(--bad); font-weight: 600; }
nav ul { columns: 18rem; column-gap: 2.5rem; padding-left: 1.2rem; margin: .3rem 0; } nav li { break-inside: avoid; }
summary { cursor: pointer; padding: .35rem 0; font-weight: 600; } details > summary { color: var(--ink); }
details.grey, details.grey summary { color: var(--soft); }
div.wide { overflow-x: auto; } div.wide td { white-space: nowrap; overflow-wrap: normal; }
th { overflow-wrap: normal; } div.wide table { font-size: .81rem; } div.wide :is(td, th) { padding: .3rem .4rem; }
table { border-collapse: separate; border-spacing: 0; font-size: .88rem; font-variant-numeric: tabular-nums; }
caption { text-align: left; padding: .3rem 0; }
th, td { padding: .3rem .55rem; border-bottom: 1px solid var(--line); text-align: right; vertical-align: top; }
th:first-child, td:first-child { text-align: left; } td small { display: block; color: var(--soft); font-size: 1em; }
.panels { display: grid; grid-template-columns: repeat(auto-fill, minmax(17rem, 1fr)); gap: .8rem 1.6rem; }
figure { margin: 0; min-width: 0; } figcaption b { display: block; } figcaption { font-size: .9rem; }
figcaption span { color: var(--soft); } svg { display: block; width: 100%; height: auto; }
svg text { fill: var(--ink); font: 13px system-ui, sans-serif; } svg .soft { fill: var(--soft); }
svg .axis { stroke: var(--line); fill: none; } svg .found { fill: var(--found); } svg .missed { fill: var(--clean); }
svg .curve { stroke: var(--found); stroke-width: 2.5; fill: none; }
svg .mark { stroke: var(--ink); stroke-dasharray: 5 4; }
svg .bar { stroke: var(--clean); stroke-width: 6; } svg .bias { fill: var(--ink); }
svg .cell { fill: var(--clean); } svg .strong { fill: var(--ground); }
img { display: block; width: 100%; max-width: 62rem; height: auto; background: #fff; padding: .3rem;
  border-radius: .4rem; }
.narrow { display: none; }
@media (prefers-color-scheme: dark) { img { filter: brightness(.86); } }
@media (max-width: 71rem) {
  div.wide td { white-space: normal; padding: .12rem 0; } div.wide table { font-size: .88rem; }
  .broad { display: none; } .narrow { display: block; }
  table, tbody, caption, tr, td { display: block; width: 100%; } thead { display: none; }
  tbody { display: grid; grid-template-columns: repeat(auto-fill, minmax(19rem, 1fr)); gap: .6rem; align-items: start; }
  tr { border: 1px solid var(--line); border-radius: .5rem; padding: .35rem .7rem; }
  td { display: flex; justify-content: space-between; gap: 1rem; border: 0; padding: .12rem 0; }
  td::before { content: attr(data-name); color: var(--soft); text-align: left; flex: 0 0 38%; }
  td small::before { content: "swimsim "; }
  td:first-child { font-weight: 600; font-size: 1rem; } td:first-child::before { content: none; }
}
"""
