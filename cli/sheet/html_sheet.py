"""The sheet as one page for a phone: no network, one script, readable and printable without it."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup

from standmark.cli.drawing.attack_arrows import is_turned, match_arrows
from standmark.cli.drawing.field_plan import field_marks
from standmark.cli.drawing.follow_card import ground_marks
from standmark.cli.drawing.follow_ground import camera_index
from standmark.cli.drawing.font_face import EUROPEAN, font_faces
from standmark.cli.drawing.ground import Ground
from standmark.cli.drawing.maps import SHARE_WORDS, split_surface
from standmark.cli.drawing.marks import rings
from standmark.cli.drawing.palette import CAMERAS, DARK, HATCH_DEG, STYLES
from standmark.cli.drawing.plan import ground_panel, plan_bounds, plan_description, side_marks
from standmark.cli.drawing.playing_area import N_DOTS, area_marks
from standmark.cli.drawing.surroundings import surroundings_marks
from standmark.cli.drawing.svg import look_of, path_data, svg_elements
from standmark.cli.sheet.answers import told_times
from standmark.cli.sheet.content import (
    CameraPost,
    FrameShot,
    SheetContent,
    duty_columns,
    duty_notes,
    duty_rows,
    match_line,
    missed_words,
)
from standmark.cli.sheet.data import data_json, sheet_data
from standmark.cli.sheet.log_data import log_data
from standmark.cli.sheet.operator_page import WELL, stand_of
from standmark.cli.sheet.template_cache import TemplateCache
from standmark.cli.words.checked_words import checked_words
from standmark.cli.words.crew_words import contacts_of
from standmark.cli.words.dial import LABELS, dial_notes
from standmark.cli.words.lines import capital, with_unit
from standmark.cli.words.proof_words import proof_words
from standmark.cli.words.roam_words import card_section, follow_section, told_scenes
from standmark.cli.words.section import Section
from standmark.cli.words.spots import short_when
from standmark.cli.words.units import Units
from standmark.optimizer.picture.stretch import Stretch
from standmark.optimizer.planning import Plan
from standmark.optimizer.roam.follow import FollowPlan, SceneFollow

AXIS = re.compile(r"(?<![\w-])-(?=[xy]\b)")
PAGE = Path(__file__).parent / "page"
WIDTH_MM = 104.0  # of the ground on the page, in its own units
SIDE_MM = 5.5
CARD_MM = 52.0  # height of the drawing on a card
SMALL_MM = (104.0, 66.0)  # drawing of one place on the first screen
DAY_SECTIONS = ("decisions", "kit", "before", "access", "welfare", "joint", "light")
CAMERA_SECTIONS = ("cautions", "focus", "shutters", "rates", "steps")


def sheet_html(content: SheetContent) -> bytes:
    """Write the sheet as one self-contained page."""
    plan, stretches, units = content.plan, content.stretches, content.units
    ground = page_ground(plan)
    script, look = _part("sheet.js") + _part("log.js"), page_look(EUROPEAN)
    log = log_data(plan)
    text = _template().render(
        plan=plan,
        policy=policy(script, look),
        look=Markup(look),
        script=Markup(script),
        data=Markup(data_json(sheet_data(plan, stretches, content.scene, ground, units) | {"log": log})),
        log=log,
        line=match_line(plan),
        times=_times(content),
        cautions=[answer.cautions for answer in content.answers],
        stretches=[_still(plan, stretch, ground, units) for stretch in stretches],
        base=_base(plan, stretches, ground),
        dot_share=f"{100 / N_DOTS:g}",
        shares=SHARE_WORDS,
        posts=[
            _article(content, post, camera, index)
            for camera, posts in enumerate(content.posts)
            for index, post in enumerate(posts)
        ],
        cards=[_card(plan, follow, scene, units) for follow in plan.follow for scene in told_scenes(follow)],
        duties=[_duties(plan, stretch) for stretch in stretches],
        sections=_told(plan, content.sections),
        contacts=contacts_of(plan.match),
        proof=proof_words(plan),
        well=f"{WELL} {checked_words(plan.match.sport)}",
    )
    return text.encode("utf-8")


@lru_cache(maxsize=1)
def _template() -> Template:
    environment = Environment(
        loader=FileSystemLoader(PAGE), bytecode_cache=TemplateCache(PAGE), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, finalize=_unbroken,
    )  # fmt: skip
    return environment.get_template("sheet.html")


def policy(script: str, look: str) -> str:
    """Content security policy of the page: its own script and look by their digests, and nothing else."""
    own = {"script-src": script, "style-src": look}
    sources = "; ".join(f"{kind} 'sha256-{_digest(text)}'" for kind, text in own.items())
    return f"default-src 'none'; {sources}; font-src data:; base-uri 'none'; form-action 'none'"


def page_ground(plan: Plan) -> Ground:
    """Window on the ground that fills the width of the page, whatever scale that gives."""
    low_x, low_y, high_x, high_y = plan_bounds(plan)
    per_m = (WIDTH_MM - 2 * SIDE_MM) / (high_x - low_x)
    height = (high_y - low_y) * per_m
    window = (SIDE_MM, SIDE_MM, WIDTH_MM - 2 * SIDE_MM, height)
    if is_turned(plan.match.sport.area):
        return Ground(1000.0 / per_m, SIDE_MM + high_x * per_m, SIDE_MM - low_y * per_m, window, is_turned=True)
    return Ground(1000.0 / per_m, SIDE_MM - low_x * per_m, SIDE_MM + high_y * per_m, window)


def page_look(letters: str = "") -> str:
    """Style sheet of the page: its own rules, its font, then those of every kind of mark, by day and by night."""
    font = font_faces({False: letters, True: letters})
    day = _rules({name: look_of(style) for name, style in STYLES.items()})
    return f"{font}{_part('sheet.css')}{day}@media screen and (prefers-color-scheme: dark){{{_rules(DARK)}}}"


def _rules(looks: Mapping[str, Mapping[str, str]]) -> str:
    return "".join(
        f".{name}{{{';'.join(f'{key}:{value}' for key, value in look.items())}}}" for name, look in looks.items()
    )


def _unbroken(value: Any) -> Any:
    """Keep the sign of "-x end" and the unit of a figure on their line."""
    return AXIS.sub("\u2011", with_unit(value)) if type(value) is str else value


def _part(name: str) -> str:
    return (PAGE / name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


def _still(plan: Plan, stretch: Stretch, ground: Ground, units: Units) -> dict[str, Any]:
    """Drawing of a stretch for paper and for readers without the script."""
    box = (0.0, 0.0, WIDTH_MM, _height_mm(ground))
    _, marks = ground_panel(plan, stretch, box, units=units, ground=ground)
    return {
        "name": stretch.name,
        "short": short_when([p.period.name for p in stretch.periods], len(plan.periods)) or stretch.name,
        "box": _view_box(box),
        "label": plan_description(plan, (stretch,), units),
        "drawing": Markup(svg_elements(marks)),
    }


def _base(plan: Plan, stretches: Sequence[Stretch], ground: Ground) -> dict[str, Any]:
    """What lies under and over the layers that the script draws."""
    surface, painted = split_surface(list(area_marks(plan.match.sport.area, ground)))
    extent = ground.shape(stretches[0].coverage_map.mesh.extent)
    return {
        "box": _view_box((0.0, 0.0, WIDTH_MM, _height_mm(ground))),
        "under": Markup(svg_elements([*surroundings_marks(plan.match, ground), *surface])),
        "over": Markup(svg_elements([*painted, *side_marks(plan.match, ground)])),
        "arrows": [
            Markup(svg_elements(match_arrows(plan.match, ground, only=[p.period for p in stretch.periods])))
            for stretch in stretches
        ],
        "extent": path_data(rings(extent), is_closed=True),
        "hatches": [Markup(_hatch(index)) for index in range(len(plan.match.cameras))],
    }


def _hatch(index: int) -> str:
    """Pattern of a camera's own direction."""
    return (
        f'<pattern id="hatch-of-{index}" width="2" height="2" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate({-HATCH_DEG[index]:g})"><path class="hatch-{index}" stroke="{CAMERAS[index]}" '
        'stroke-width="0.5" d="M0 1h2"/></pattern>'
    )


def _article(content: SheetContent, post: CameraPost, camera: int, stretch: int) -> dict[str, Any]:
    """One camera in one stretch: where, set, get, if they say no."""
    answer = content.answers[camera]
    key = post.stretch.first.period.key
    place = next(i for i, s in enumerate(answer.stays) if key in [p.period.key for p in s.periods])
    stay, dial = answer.stays[place], answer.dial
    _, marks = field_marks(
        content.plan, [stand_of(answer, stay, 1)], (0.0, 0.0, *SMALL_MM), with_sun=False, is_small=True
    )
    name = stay.where.name
    return {
        "stretch": stretch,
        "camera": camera,
        "name": answer.name,
        "letter": answer.name[:1],
        "when": post.when.lower(),
        "place": capital(name),
        "detail": f"{capital(stay.where.detail)}.",
        "missing": stay.missing,
        "kit": stay.kit,
        "box": _view_box((0.0, 0.0, *SMALL_MM)),
        "label": f"Ground: camera {answer.name} at the {stay.where.words}",
        "drawing": Markup(svg_elements(marks)),
        "dial": list(zip(LABELS[:6], dial.cells[:6], strict=True)),
        "focus": f"{dial.focus[:1].lower()}{dial.focus[1:]}, {dial.focus_on}",
        "notes": [*dial_notes(dial), *dial.warnings],
        "refused": " ".join(stay.refused),
        "walk": f"{stay.walk_words}." if stay.walk_words else "",
        "gets": [
            {"name": get.name, "short": _sentence(get.short, get.hint), "grade": get.grades[place] or "hardly"}
            for get in answer.gets
        ],
        "missed": answer.missed,
        "frames": [_figure(shot) for shot in post.shots],
    }


def _sentence(short: str, hint: str) -> str:
    """How to frame a moment and what this place changes, as sentences."""
    return f"{capital(short)}. {hint}".strip()


def _figure(shot: FrameShot) -> dict[str, Any]:
    box = (0.0, 0.0, shot.width_mm, shot.height_mm)
    return {"box": _view_box(box), "caption": shot.caption, "drawing": Markup(svg_elements(shot.marks))}


def _duties(plan: Plan, stretch: Stretch) -> dict[str, Any]:
    rows = duty_rows(plan, stretch)
    missed = missed_words(plan, stretch)
    said = [f"Mostly missed by all: {', '.join(missed)}."] if missed else []
    notes = [*duty_notes(plan.match, rows), *said]
    return {"title": stretch.name, "columns": duty_columns(plan.match), "rows": rows, "notes": notes}


def _told(plan: Plan, sections: Mapping[str, Section]) -> list[dict[str, Any]]:
    """Sections of day and settings, to be opened."""
    cameras = [f"{kind}-{camera.name}" for camera in plan.match.cameras for kind in CAMERA_SECTIONS]
    return [
        {
            "title": section.title,
            "columns": section.columns,
            "rows": section.rows,
            "notes": section.notes,
            "warnings": section.warnings,
        }
        for key in (*DAY_SECTIONS, *cameras)
        for section in [sections.get(key)]
        if section is not None
    ]


def _card(plan: Plan, follow: FollowPlan, scene: SceneFollow, units: Units) -> dict[str, Any]:
    """The card of a camera that walks: its drawing, its lines, what each way to work gets."""
    box = (0.0, 0.0, WIDTH_MM, CARD_MM)
    lines = card_section(follow, scene, plan.match, units=units)
    marks = list(ground_marks(plan.match, follow, scene, camera_index(plan.match, follow), box))
    said = "; ".join(f"{when}: {where}" for _, when, where in lines.rows)
    return {
        "title": lines.title,
        "box": _view_box(box),
        "label": said,
        "drawing": Markup(svg_elements(marks)),
        "lines": lines,
        "numbers": follow_section(follow),
    }


def _times(content: SheetContent) -> list[tuple[str, str, str]]:
    """Call times with their full date, so that the page can tell the next one."""
    pairs = zip(content.answers[0].times, told_times(content.day), strict=True)
    return [(at, words, time.at.isoformat()) for (at, words), time in pairs]


def _height_mm(ground: Ground) -> float:
    return ground.window[3] + 2 * SIDE_MM


def _view_box(box: tuple[float, float, float, float]) -> str:
    return " ".join(f"{value:g}" for value in np.round(box, 2))
