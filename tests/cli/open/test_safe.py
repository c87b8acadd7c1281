"""Who may speak to the server: attacks in a real browser, judged by the state and the disk, and by hand."""

import asyncio
import http.server
import json
import os
import socket
import stat
import threading
from pathlib import Path

import pytest
from running_page import Running
from selenium import webdriver

from standmark.cli.open import safe, serve
from standmark.cli.open.hub import MOST_WAITING, Hub

NETBALL = '[match]\nsport = "netball"\n'
ATTACK = {
    "page": "x",
    "base": 1,
    "edits": [{"do": "put", "part": "match", "field": "title", "value": "taken over"}],
}
SEND = """
const [url, body, kind, mode, done] = arguments;
fetch(url, {method: "POST", mode, credentials: "include", headers: {"Content-Type": kind}, body})
  .then(a => a.text().then(t => done([a.status, t])), e => done(["failed", String(e)]));
"""
TAMPER = """
from dataclasses import replace
from standmark.cli.open import app
make = app.whole_page
def whole_page(files):
    page = make(files)
    html = page.html.replace("</head>", "<script>globalThis.foreign = 1</script></head>")
    html = html.replace('<script type="module">', '<script type="module">globalThis.tampered = 1;')
    return replace(page, html=html.replace("<style>", "<style>html { color: red }", 1))
app.whole_page = whole_page
"""
BREAK_IN = """
const made = (tag, fill) => { const node = document.createElement(tag); fill(node); document.body.append(node); };
for (const way of [
  () => made("script", node => { node.textContent = "globalThis.foreign = 1"; }),
  () => made("script", node => node.append("globalThis.foreign = 1")),
  () => made("script", node => { node.src = "data:text/javascript,globalThis.foreign = 1"; }),
  () => made("img", node => { node.setAttribute("onerror", "globalThis.foreign = 1"); node.src = "blob:x"; }),
  () => made("style", node => node.append("html { color: red }")),
  () => document.body.insertAdjacentHTML("beforeend", "<img src=x onerror='globalThis.foreign = 1'>"),
  () => setTimeout("globalThis.foreign = 1"),
  () => trustedTypes.createPolicy("foreign", {}),
]) try { way(); } catch { /* that is the policy */ }
return import("data:text/javascript,globalThis.foreign = 1").catch(() => new Promise(done => setTimeout(done, 200)));
"""
RAN = """return [globalThis.foreign, globalThis.tampered, getComputedStyle(document.documentElement).color,
  document.querySelectorAll("#line li").length > 0]"""
READ = """
const [url, mode, done] = arguments;
fetch(url, {mode, credentials: "include"}).then(a => a.text().then(done), e => done("failed " + e));
"""
FORM = """
const form = document.createElement("form");
Object.assign(form, {method: "POST", action: arguments[0] + "/change", enctype: "text/plain", target: "_blank"});
const field = document.createElement("input");
field.name = arguments[1].slice(0, -1) + ', "what": "';
field.value = '"}';
form.append(field);
document.body.append(form);
form.submit();
"""


@pytest.fixture(scope="module")
def running(tmp_path_factory):
    folder = tmp_path_factory.mktemp("safe")
    (folder / "match.toml").write_text(NETBALL)
    server = Running("match.toml", folder=folder, enter=False)
    server.folder = folder
    yield server
    server.stop()


@pytest.fixture(scope="module")
def other_port():
    """Port of another program of this machine, and the cookies that browsers sent to it."""

    class Page(http.server.BaseHTTPRequestHandler):
        def do_GET(self):
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(b"<!doctype html><title>other</title><body>")

        def log_message(self, *_):
            pass

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Page)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield server.server_address[1]
    server.shutdown()


@pytest.fixture(scope="module")
def browser(running):
    """A browser in which the page is open; the name foreign.example leads to this machine."""
    options = webdriver.ChromeOptions()
    options.binary_location = "/usr/bin/chromium"
    for argument in ("headless", "no-sandbox", "disable-gpu", "disable-background-networking", "disable-dev-shm-usage",
                     "host-resolver-rules=MAP foreign.example 127.0.0.1"):  # fmt: skip
        options.add_argument(f"--{argument}")
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService("/usr/bin/chromedriver"))
    driver.set_script_timeout(20)
    door = running.folder / "door.html"
    door.write_text(f'<meta http-equiv="refresh" content="0; url={running.address}">')
    driver.get(door.as_uri())
    for _ in range(100):
        if driver.current_url == f"{running.origin}/":
            break
        threading.Event().wait(0.05)
    assert driver.current_url == f"{running.origin}/"  # without the token, which is nowhere in the history either
    name = f"standmark_{running.port}"
    running.cookie = f"{name}={driver.get_cookie(name)['value']}"
    yield driver
    driver.quit()


def test_the_page_itself_may_read_and_change(browser, running):
    assert browser.execute_async_script(READ, "/copy", "same-origin") == NETBALL
    change = json.dumps(ATTACK | {"edits": []})
    status, answer = browser.execute_async_script(SEND, "/change", change, "application/json", "same-origin")
    assert (status, json.loads(answer)["change"]) == (200, 1)
    cookie = browser.get_cookie(f"standmark_{running.port}")
    assert (cookie["httpOnly"], cookie["sameSite"], cookie["path"]) == (True, "Strict", "/")
    assert "standmark" not in browser.execute_script("return document.cookie")


@pytest.mark.parametrize("host", ["foreign.example", "127.0.0.1", "localhost"])
def test_other_pages_change_nothing_and_read_nothing(browser, running, other_port, host):
    """A foreign page, and pages of another local port, which count as the same site."""
    browser.get(f"http://{host}:{other_port}/")
    for kind, mode in (("text/plain", "no-cors"), ("application/json", "cors"), ("text/plain", "cors")):
        browser.execute_async_script(SEND, f"{running.origin}/change", json.dumps(ATTACK), kind, mode)
    browser.execute_script(FORM, running.origin, json.dumps(ATTACK))
    for mode in ("cors", "no-cors"):
        assert "netball" not in browser.execute_async_script(READ, f"{running.origin}/copy", mode)
    browser.switch_to.window(browser.window_handles[0])
    untouched(running)


@pytest.mark.parametrize("name", ["foreign.example", "localhost"])
def test_another_name_that_leads_here_gets_nothing(browser, running, name):
    browser.get(f"http://{name}:{running.port}/")
    browser.get(f"http://{name}:{running.port}/copy")
    assert "netball" not in browser.page_source
    untouched(running)


def test_a_rebound_name_changes_nothing(running):
    """The same requests with all that a browser would send if the name had led elsewhere before."""
    for host in (f"foreign.example:{running.port}", f"localhost:{running.port}", "127.0.0.1", f"[::1]:{running.port}"):
        status, _, body = running.ask("POST", "/change", ATTACK, Host=host, Origin=f"http://{host}")
        assert (status, body) == (421, b"")
    untouched(running)


def untouched(running):
    assert running.text == NETBALL
    assert (running.folder / "match.toml").read_text() == NETBALL
    assert not (running.folder / "plan" / "unsaved-match.toml").exists()


def test_every_answer_carries_the_headers(browser, running):
    for method, path, status in (("GET", "/", 200), ("GET", "/copy", 200), ("GET", "/nowhere", 404),
                                 ("GET", "/assets/..%2f..%2fserve.py", 404), ("GET", "/start/wrong", 403),
                                 ("PUT", "/change", 405), ("OPTIONS", "/change", 405)):  # fmt: skip
        got, headers, _ = running.ask(method, path)
        assert got == status, path
        assert "default-src 'none'" in headers["content-security-policy"]
        assert headers["cache-control"] == "no-store"
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cross-origin-resource-policy"] == headers["cross-origin-opener-policy"] == "same-origin"
        assert not any(name.startswith("access-control") for name in headers)


def test_what_is_not_quite_right_is_refused(browser, running):
    refused = [
        ({"Cookie": None}, 403),
        ({"Cookie": running.cookie[:-1] + "x"}, 403),
        ({"Cookie": f"standmark_1={running.cookie.partition('=')[2]}"}, 403),
        ({"Origin": None}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": running.origin + ".example"}, 403),
        ({"Sec_Fetch_Site": "same-site"}, 403),
        ({"Sec_Fetch_Site": "cross-site"}, 403),
        ({"Content_Type": "text/plain"}, 415),
        ({"Content_Type": None}, 415),
        ({"Content_Length": str(13 << 20)}, 413),
    ]
    for headers, status in refused:
        assert running.ask("POST", "/change", ATTACK, **headers)[0] == status, headers
    for path in ("/copy", "/events", "/catalogue", "/"):
        assert running.ask("GET", path, Sec_Fetch_Site="same-site")[0] == 403
        assert running.ask("GET", path, Cookie=None)[0] == 403
    assert running.ask("GET", running.start, Cookie=None)[0] == 403  # it was used up
    assert running.ask("POST", "/change", b"{" * 70_000)[0] == 400
    assert running.ask("POST", "/change", b" " * ((1 << 20) + 1))[0] == 413
    untouched(running)


def test_programs_of_other_users_are_told_apart(tmp_path, monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        with socket.create_connection(("127.0.0.1", port)) as client:
            here = client.getsockname()
            assert not safe.is_of_another_user(here, port)
            table = Path(safe.CONNECTIONS).read_text()
            row = next(line for line in table.splitlines() if line.split()[1:3] == safe.both_ends(here, port))
            fields = row.split()
            fields[7] = str(os.getuid() + 1)
            other = tmp_path / "tcp"
            other.write_text(" ".join(fields) + "\n")
            monkeypatch.setattr(safe, "CONNECTIONS", str(other))
            assert safe.is_of_another_user(here, port)
            assert not safe.is_of_another_user((here[0], here[1] ^ 1), port)


def test_the_file_that_opens_the_browser_is_its_owners_alone_and_goes():
    door = serve.Door("http://127.0.0.1:1/start/a&b")
    assert stat.S_IMODE(door.path.stat().st_mode) == 0o600
    assert "start/a&amp;b" in door.path.read_text()
    door.close()
    assert not door.path.exists()


def test_a_page_that_does_not_read_is_cut_off_and_others_go_on():
    async def play():
        hub = Hub(asyncio.get_running_loop())
        slow, quick = (hub.listen(lambda: ({"match": {}}, 1)) for _ in range(2))
        for stream in (slow, quick):
            while b"event: match" not in await anext(stream):
                pass
        for change in range(MOST_WAITING + 5):
            hub.tell("saved", {"n": change}, 1)
            while f'"n":{change}' not in (await anext(quick)).decode():
                pass
        assert hub.n_pages == 1
        got = [event async for event in slow]
        assert len(got) <= MOST_WAITING + 2
        await quick.aclose()
        assert hub.n_pages == 0

    asyncio.run(play())


def test_a_path_in_a_name_leads_nowhere(browser, running):
    for name in ("../match.toml", "/etc/passwd", "..\\..\\x.toml"):
        status, answer = running.post("/import", {"base": 1, "page": "x", "name": name, "base64": "!!"})
        assert (status, bool(answer["faults"])) == (422, True)
    for path in ("/files/..%2fmatch.toml", "/files/%2fetc%2fpasswd", "/files/sheet.html"):
        assert running.ask("GET", path)[0] == 404
    assert running.post("/open", {"ground": "../x.toml"})[0] == 400
    untouched(running)


def test_only_the_page_as_it_was_made_runs(browser, running, tmp_path):
    browser.get(f"{running.origin}/")
    for _ in range(200):
        if browser.execute_script(RAN)[3]:
            break
        threading.Event().wait(0.05)
    browser.execute_script(BREAK_IN)
    assert browser.execute_script(RAN) == [None, None, "rgb(0, 0, 0)", True]

    (tmp_path / "match.toml").write_text(NETBALL)
    tampered = Running("match.toml", folder=tmp_path, enter=False, before=TAMPER)
    browser.get_log("browser")
    browser.get(tampered.address)
    refused = [
        entry["message"] for entry in browser.get_log("browser") if "Content Security Policy" in entry["message"]
    ]
    assert browser.execute_script(RAN) == [None, None, "rgb(0, 0, 0)", False]
    assert len(refused) == 3, refused
    tampered.stop()
