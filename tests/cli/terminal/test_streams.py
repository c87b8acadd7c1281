"""Standard streams that are closed: the work is done all the same, and nothing is printed into another file."""

import subprocess
import sys

import pytest


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&- <&-"])
def test_closed_streams_lead_nowhere(tmp_path, closed):
    own = tmp_path / "own.toml"
    line = f'"{sys.executable}" -m standmark.cli new netball -o "{own}" {closed}'
    done = subprocess.run(["sh", "-c", line], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert own.read_text().startswith("#")
    assert "wrote" not in own.read_text()
