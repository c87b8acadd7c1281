"""A running `standmark open`, spoken to as a page would, or as somebody who is not the page."""

import contextlib
import http.client
import json
import re
import socket
import subprocess
import sys
import threading
import time


class Running:
    """The command in a process of its own, with the cookie that its one-time address gives."""

    def __init__(self, *arguments, folder, enter=True, before=""):
        """`before` is Python that runs in the process first: to break what should not break."""
        way_in = (
            ["-c", f"{before}\nfrom standmark.cli.__main__ import run\nrun()"] if before else ["-m", "standmark.cli"]
        )
        command = [sys.executable, *way_in, "open", "--no-browser", *map(str, arguments)]
        self.process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, cwd=folder)
        self.said = []
        found = None
        while found is None:
            line = self.process.stderr.readline()
            assert line, self.said
            self.said.append(line)
            found = re.search(r"http://127\.0\.0\.1:(\d+)(/start/\S+)", line)
        self.port, self.start = int(found[1]), found[2]
        self.origin = f"http://127.0.0.1:{self.port}"
        self.address = self.origin + self.start
        self.cookie = ""
        self.events = []
        self._wait_until_it_answers()
        if enter:
            status, headers, _ = self.ask("GET", self.start)
            assert status == 303, status
            self.cookie = headers["set-cookie"].split(";")[0]

    def ask(self, method, path, body=None, **headers):
        """Status, headers and body of the answer; a header of None is left out."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        usual = {"Cookie": self.cookie or None}
        if method == "POST":
            usual |= {"Origin": self.origin, "Content-Type": "application/json"}
        given = usual | {name.replace("_", "-"): value for name, value in headers.items()}
        raw = body if isinstance(body, bytes | type(None)) else json.dumps(body).encode()
        connection.putrequest(method, path, skip_host="Host" in given)
        for name, value in given.items():
            if value is not None:
                connection.putheader(name, value)
        if raw is not None and "Content-Length" not in given:
            connection.putheader("Content-Length", str(len(raw)))
        connection.endheaders(raw)
        answer = connection.getresponse()
        found = answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
        connection.close()
        return found

    def post(self, path, body, **headers):
        """Status and the answer as plain data."""
        status, _, raw = self.ask("POST", path, body, **headers)
        return status, json.loads(raw)

    @property
    def text(self):
        """The match as it is now."""
        status, _, raw = self.ask("GET", "/copy")
        assert status == 200
        return raw.decode()

    def listen(self):
        """Collect events from now on."""
        threading.Thread(target=self._listen, daemon=True).start()

    def go(self):
        """Close the page."""
        self._socket.shutdown(socket.SHUT_RDWR)

    def heard(self, event, pred=lambda data: True, within_s=60):
        """Data of the first event of a kind that was or will be heard."""
        end = time.monotonic() + within_s
        while time.monotonic() < end:
            for name, data in list(self.events):
                if name == event and pred(data):
                    return data
            time.sleep(0.02)
        raise AssertionError(f"no {event} among {[name for name, _ in self.events]}")

    def stop(self, number=2):
        """Send a signal; exit code and what was said last."""
        if self.process.poll() is None:
            self.process.send_signal(number)
        _, rest = self.process.communicate(timeout=30)
        return self.process.returncode, rest

    def _wait_until_it_answers(self):
        for _ in range(200):
            try:
                self.ask("GET", "/")
                return
            except ConnectionRefusedError:
                time.sleep(0.05)

    def _listen(self):
        connection = http.client.HTTPConnection("127.0.0.1", self.port)
        connection.request("GET", "/events", headers={"Cookie": self.cookie})
        self._socket = connection.sock
        stream, name = connection.getresponse(), ""
        with contextlib.suppress(OSError):
            while line := stream.readline().decode():
                if line.startswith("event: "):
                    name = line[7:].strip()
                elif line.startswith("data: "):
                    self.events.append((name, json.loads(line[6:])))
        self.events.append(("end", None))
