"""What to pack and prepare for this match, each line with its reason."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.optimizer.day.media import MediaNeed, media_need
from standmark.optimizer.day.outing import CameraDay, Outing, is_raised
from standmark.optimizer.match.weather import heat_bands, is_cold, is_dull, is_wet


@dataclass(frozen=True)
class Item:
    """One line of the packing list."""

    group: str
    name: str
    quantity: int
    why: str = ""


def kit_list(outing: Outing) -> tuple[Item, ...]:
    """List what to pack."""
    return (
        *(item for camera in outing.cameras for item in _camera_items(camera, outing)),
        *_shared_items(outing),
        *_weather_items(outing),
        *_person_items(outing),
    )


def camera_media(camera: CameraDay, outing: Outing) -> MediaNeed:
    """Cards and batteries of one camera on this day."""
    return media_need(camera.recorder, outing.periods, fps=camera.fps, weather=outing.weather)


def _camera_items(camera: CameraDay, outing: Outing) -> tuple[Item, ...]:
    need = camera_media(camera, outing)
    cards_why = (
        f"{need.gigabytes:.0f} GB for {need.recorded_min:.0f} min at {camera.recorder.bit_rate_mbit_s:.0f} Mbit/s; "
        f"one holds {need.card_min:.0f} min"
    )
    batteries_why = f"{need.powered_min:.0f} min switched on, {need.battery_min:.0f} min each, one to spare"
    lenses = tuple(Item(camera.name, lens, 1) for lens in camera.lenses)
    return (
        *lenses,
        Item(camera.name, camera.support, 1),
        *(Item(camera.name, name, 1, "the settings use it") for name in camera.filters),
        Item(camera.name, f"card of {camera.recorder.card_gb:.0f} GB", need.n_cards, cards_why),
        Item(camera.name, "battery", need.n_batteries, batteries_why),
        *((Item(camera.name, "safety lines and sandbag", 1, "it hangs over people"),) if is_raised(camera) else ()),
        *((Item(camera.name, "rain cover", 1, "rain is forecast"),) if _may_get_wet(outing) else ()),
    )


def _shared_items(outing: Outing) -> tuple[Item, ...]:
    n_cameras = len(outing.cameras)
    together = (
        Item("shared", "radios or agreed hand signals", n_cameras, "if you can't talk you'll both film the same thing"),
    )
    return (
        *(together if n_cameras > 1 else ()),
        Item("shared", "white card", 1, "white balance the same on every camera"),
        Item("shared", "reference microphone with wind shield", n_cameras, "sound to line the cameras up by"),
        Item("shared", "second drive for the back-up", 1, "two copies before a card is cleared"),
        Item("shared", "cloth, blower, tape, pen, team sheet", 1),
    )


def _may_get_wet(outing: Outing) -> bool:
    return is_wet(outing.weather) and not outing.is_indoor


def _weather_items(outing: Outing) -> tuple[Item, ...]:
    n_people = max(1, len(outing.cameras))
    items: list[Item] = []
    if _may_get_wet(outing):
        items += [
            Item("weather", "towel", n_people, "rain"),
            Item("weather", "waterproof jacket and trousers", n_people, "rain; no umbrella beside a playing area"),
            Item("weather", "dry bag for cards", 1, "rain"),
        ]
    if is_cold(outing.weather) and not outing.is_indoor:
        items += [
            Item("weather", "thin gloves, hat, warm layer", n_people, "cold"),
            Item("weather", "inside pocket for spare batteries", n_people, "cold takes a third of their time or more"),
        ]
    if heat_bands(outing.weather):
        items += [Item("weather", "shade cloth over the camera", len(outing.cameras), "heat makes cameras switch off")]
    return tuple(items)


def _person_items(outing: Outing) -> tuple[Item, ...]:
    n_people = max(1, len(outing.cameras))
    low = any(not is_raised(camera) for camera in outing.cameras)
    sun = (
        ()
        if outing.is_lit or is_dull(outing.weather)
        else (Item("person", "hat and sunscreen", n_people, "hours without shade"),)
    )
    return (
        Item("person", "pass, bib, identity card", n_people, "without a bib you'll be sent away"),
        Item("person", "water, food", n_people, "no time to queue in the break"),
        *sun,
        *((Item("person", "low stool or kneeling mat", n_people, "pitch side"),) if low else ()),
        Item("person", "hearing protection", n_people, "loud speakers and crowd"),
        Item("person", "torch, first-aid kit", 1),
    )
