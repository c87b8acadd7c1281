"""A brief as one page for a browser: no script, nothing fetched, a drawing inside."""

from __future__ import annotations

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from standmark.cli.drawing.marks import Picture
from standmark.cli.drawing.palette import FAINT, INK, QUIET
from standmark.cli.drawing.svg import FONTS, svg_elements, view_box
from standmark.cli.words.brief_text import brief_sections, headline
from standmark.cli.words.units import Units
from standmark.sports.sport import Sport

PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>Brief: {{ sport.name }}</title>
<style>
body { font: 16px/1.5 {{ fonts }}; color: {{ ink }}; max-width: 62rem; margin: 0 auto; padding: 1rem; }
h1 { margin: 0 0 .2rem; } h2 { font-size: 1.05rem; margin: 0 0 .2rem; } p, ul { margin: 0 0 .5rem; }
.lead { font-size: 1.1rem; } .quiet { color: {{ quiet }}; }
.parts { columns: 24rem 2; column-gap: 2rem; } section { break-inside: avoid-column; padding-bottom: .8rem; }
section.long { break-inside: auto; } li { break-inside: avoid; } ul { padding-left: 1.1rem; } b { font-weight: 600; }
svg { width: 100%; height: auto; border: 1px solid {{ faint }}; margin: .8rem 0; }
@media print { body { font-size: 10pt; max-width: none; } }
</style>
</head>
<body>
<h1>{{ sport.name }}</h1>
<p class="lead">{{ sport.summary }}</p>
<p class="quiet">{{ headline }}</p>
<svg xmlns="http://www.w3.org/2000/svg" viewBox="{{ box }}" role="img" aria-label="{{ picture.title }}"
 font-family="{{ fonts }}">{{ drawing }}</svg>
<div class="parts">
{% for part in parts %}
<section{% if part.items|length > 6 %} class="long"{% endif %}>
<h2>{{ part.title }}</h2>
{% for sentence in part.sentences %}<p>{{ sentence }}</p>
{% endfor %}{% if part.items %}<ul>
{% for name, words in part.items %}<li>{% if name %}<b>{{ name }}:</b> {% endif %}{{ words }}</li>
{% endfor %}</ul>
{% endif %}</section>
{% endfor %}
</div>
</body>
</html>
"""


def brief_html(sport: Sport, picture: Picture, *, units: Units = Units.METRIC) -> bytes:
    """Fill the page; every word from a definition is escaped."""
    page = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True).from_string(PAGE)
    text = page.render(
        sport=sport,
        picture=picture,
        headline=headline(sport),
        parts=brief_sections(sport, units=units),
        drawing=Markup(svg_elements(picture.marks)),
        box=view_box(picture),
        fonts=Markup(FONTS),
        ink=INK,
        quiet=QUIET,
        faint=FAINT,
    )
    return text.encode("utf-8")
