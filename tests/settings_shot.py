"""One shot, one body and one light for tests of settings."""

from standmark.geometry.optics.camera import RecordingMode
from standmark.optimizer.match.light_kinds import LAMPS
from standmark.optimizer.settings.light import lamplight
from standmark.optimizer.settings.shot import Controls, Shot

FULL_FRAME = RecordingMode("full frame UHD", 36.0, 20.25, 3840, 2160, (25.0, 50.0, 100.0, 120.0))
SHOT = Shot("shots at goal", 40.0, 200.0, 2.8, 4.0, 1.8, 8.0, 30.0, 0.22)
CONTROLS = Controls(FULL_FRAME, iso=(100.0, 800.0, 6400.0))
STEADY = lamplight(LAMPS["led steady"], mains_hz=50.0, lux=300.0)
