"""What is set on a body once, before the first shot: profile, zebra, stabiliser, focus, dials, sound, file, clock.

Where no source is named, the line is common practice, no source.

References
----------
[1] Recommendation ITU-R BT.709-6: the camera curve puts 18 % grey at 41 % of the signal (worked out from the curve)
[2] Camera and audio time code, 2025 (a trade page): set one clock into every camera, and look again after a battery
    change
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from standmark.geometry.optics.blur import skew_px
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.settings.card import SettingsCard, settings_card
from standmark.optimizer.settings.case import Settings
from standmark.optimizer.settings.focus_area import TIGHT_FROM_SHARE, WIDE_BELOW_SHARE
from standmark.optimizer.settings.notation import aperture_text, number_text, pixels_text, time_text
from standmark.optimizer.settings.shot import Controls, FilmWish

GREY_SIGNAL = 0.409  # of BT.709 for 18 % grey [1]
SKIN_ZEBRA = "60 to 70 %"
SLOW_FROM = 2.0  # times the delivery rate from which a shot counts as slow motion
SLOW_SHUTTER_DEG = 180.0
SAME_CROP = 0.02  # a mode that crops less shows the same picture
VISIBLE_SKEW_PX = 2.0  # less nobody sees


@dataclass(frozen=True)
class SetUpLine:
    """One thing to set once."""

    what: str
    text: str


def set_up(
    match: Match,
    camera: Camera,
    cards: Sequence[SettingsCard],
    *,
    controls: Controls,
    wish: FilmWish,
    support: str,
) -> tuple[SetUpLine, ...]:
    """List what to set once on a body.

    Parameters
    ----------
    cards : of the camera's groups of moments in one period, the one worth most first
    support : "tripod", "monopod" or "hands": what holds the camera at its place
    """
    return tuple(
        SetUpLine(what, text)
        for what, text in (
            ("profile", _profile_text(wish, controls)),
            ("zebra", _zebra_text(wish)),
            ("ISO", _iso_text(cards[0], controls)),
            ("white balance", cards[0].white_balance),
            ("stabiliser", _stabiliser_text(support)),
            ("focus", _focus_text(cards)),
            *_dials(cards[0], camera, controls, wish),
            ("buttons", "put focus magnified, zebra on and off, and the other focus area on buttons you find blind"),
            *_skew(cards, camera),
            ("zooming", _zoom_text(camera, cards)),
            ("close focus", _close_text(camera, cards)),
            ("sound", _sound_text(match)),
            ("file", _file_text(wish, camera)),
            ("clock", _clock_text(match)),
        )
        if text
    )


def _profile_text(wish: FilmWish, controls: Controls) -> str:
    if wish.profile == "standard":
        return "the standard profile (BT.709): what you see is what you hand over"
    over = f", exposed {number_text(wish.over_stops)} stops over the meter" if wish.over_stops else ""
    return (
        f"log, at ISO {controls.iso[0]:.0f} or more{over}; the exposure on these cards has that in it. "
        "Set a viewing look, or you'll judge a flat picture"
    )


def _zebra_text(wish: FilmWish) -> str:
    if wish.profile == "standard":
        return (
            f"{SKIN_ZEBRA} on the sunny side of faces, a second one just under 100 % for white shirts; "
            f"a grey card reads {100 * GREY_SIGNAL:.0f} %"
        )
    return (
        "grey card and skin read lower in log, at values of the maker's own: take them from its sheet, "
        "and set the zebra to the value it gives for skin"
    )


def _iso_text(card: SettingsCard, controls: Controls) -> str:
    if controls.second_base_iso is None:
        return f"base {controls.iso[0]:.0f}: leave it there as long as filter and aperture do"
    base = controls.second_base_iso if card.settings.iso >= controls.second_base_iso else controls.iso[0]
    return (
        f"two bases, {controls.iso[0]:.0f} and {controls.second_base_iso:.0f}: start on {base:.0f}. "
        "Just under the second base pictures are noisiest: go up to it and close the light down"
    )


def _stabiliser_text(support: str) -> str:
    return {
        "tripod": "off: on a tripod it drifts and fights the pan",
        "monopod": "on, in the mode for panning if there is one",
    }.get(support, "on")


def _focus_text(cards: Sequence[SettingsCard]) -> str:
    """Say how to switch the focus as the shot goes from wide to tight."""
    shares = [card.frame_share for card in cards]
    parts = []
    if min(shares) < WIDE_BELOW_SHARE:
        parts.append("wide: one area across the middle, or by hand")
    if any(WIDE_BELOW_SHARE <= share < TIGHT_FROM_SHARE for share in shares):
        parts.append("players half the frame: small area, slow to let go")
    if max(shares) >= TIGHT_FROM_SHARE:
        parts.append("head to toe and closer: person tracking, quick to find")
    switch = "; switch on a button as you zoom" if len(parts) > 1 else ""
    return f"continuous; {'; '.join(parts)}{switch}"


def _dials(card: SettingsCard, camera: Camera, controls: Controls, wish: FilmWish) -> Iterator[tuple[str, str]]:
    """Memory dials: one for real time, one for slow motion where the body has the frames for it."""
    yield "dial 1", f"real time: {_dial_text(card.settings)}"
    modes = [(controls.mode, ""), *((mode, mode.name) for mode in (camera.mode, *camera.more_modes))]
    mode, name = next(((m, name) for m, name in modes if max(m.fps) >= SLOW_FROM * wish.delivery_fps), (None, ""))
    if mode is None:
        fastest = number_text(max(max(m.fps) for m, _ in modes), decimals=3)
        yield "dial 2", f"no slow motion: this body stops at {fastest} frames a second"
        return
    slow_fps = [fps for fps in mode.fps if fps >= SLOW_FROM * wish.delivery_fps]
    whole = [fps for fps in slow_fps if fps % wish.delivery_fps == 0.0]  # plays without uneven steps
    slow_wish = replace(wish, least_fps=max(whole or slow_fps), shutter_deg=SLOW_SHUTTER_DEG, shutter_s=None)
    fast = replace(controls, mode=replace(controls.mode, fps=mode.fps))
    slow = settings_card(card.shot, fast, wish=slow_wish, light=card.light)
    if slow.rate.fps <= card.settings.fps:
        yield "dial 2", "the same: these cards are slow motion as they are"
        return
    short = f", {-slow.balance_stops:.1f} stops too dark" if slow.balance_stops < -0.5 else ""
    crop = controls.mode.width_mm / mode.width_mm
    zoom = ""
    if name and crop > 1.0 + SAME_CROP:
        wider = f"{card.shot.focal_mm / crop:.0f} mm shows what {card.shot.focal_mm:.0f} mm shows in dial 1"
        zoom = f"; it crops {number_text(crop)} times: {wider}"
    inside = f" in {name}" if name else ""
    text = f"slow motion{inside}, {number_text(slow.rate.slow_down)} times: {_dial_text(slow.settings)}{short}{zoom}"
    yield "dial 2", text


def _dial_text(settings: Settings) -> str:
    filters = f", ND {number_text(settings.nd_stops)} stops" if settings.nd_stops else ""
    rate = number_text(settings.fps, decimals=3)
    return (
        f"{rate} fps, {time_text(settings.time_s)}, {aperture_text(settings.f_number)}{filters}, ISO {settings.iso:.0f}"
    )


def _skew(cards: Sequence[SettingsCard], camera: Camera) -> Iterator[tuple[str, str]]:
    readout_s = camera.body.readout_s
    if readout_s is None or readout_s == 0.0:
        return
    lean_px = max(
        skew_px(card.shot.player_m_s, readout_s, px_per_m=card.px_per_m, frame_share=min(card.frame_share, 1.0))
        for card in cards
    )
    if lean_px < VISIBLE_SKEW_PX:
        return
    yield "rolling shutter", f"a player running across leans by {pixels_text(lean_px)} from head to feet; pan with them"


def _zoom_text(camera: Camera, cards: Sequence[SettingsCard]) -> str:
    """Say which aperture holds through the zoom, for a lens that closes as it gets longer."""
    focal_mm = max(card.shot.focal_mm for card in cards)
    fitting = [lens for lens in camera.lenses if lens.focal_mm[0] <= focal_mm <= lens.focal_mm[1]]
    closing = [lens for lens in fitting if lens.f_number[1] > lens.f_number[0]]
    if not closing or min(card.settings.f_number for card in cards) >= closing[0].f_number[1]:
        return ""
    at_long = aperture_text(closing[0].f_number[1])
    return f"this lens closes to {at_long} as it gets longer: set {at_long} if the picture mustn't darken as you zoom"


def _close_text(camera: Camera, cards: Sequence[SettingsCard]) -> str:
    """Say when the action comes nearer than a lens can focus."""
    nearest_m = min(card.shot.distance_m - card.shot.depth_m / 2.0 for card in cards)
    focal_mm = max(card.shot.focal_mm for card in cards)
    fitting = [lens for lens in camera.lenses if lens.focal_mm[0] <= focal_mm <= lens.focal_mm[1]]
    close_m = min((lens.close_focus_m for lens in fitting), default=0.0)
    return "" if nearest_m >= close_m else f"nothing nearer than {close_m:g} m is sharp: let it pass, or go wider"


def _sound_text(match: Match) -> str:
    shield = "" if match.venue.is_indoor else "a wind shield on the microphone, "
    return f"{shield}peaks at -12 dB with a whistle near you, limiter on; sound on every camera, to line them up later"


def _file_text(wish: FilmWish, camera: Camera) -> str:
    depth = "10 bit (log breaks up in 8)" if wish.profile == "log" else "8 bit will do, 10 if colours are graded"
    rate = camera.body.recorder.bit_rate_mbit_s
    return f"{depth}, {rate:g} Mbit/s as the cards are counted, both card slots at once if there are two"


def _clock_text(match: Match) -> str:
    clock = "date and time right to the second"
    if len(match.cameras) == 1:
        return clock
    return (
        f"{clock}, one time code into all {len(match.cameras)} cameras, looked at again after a battery change; "
        "film one clap with all of them"
    )
