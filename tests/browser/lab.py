"""A JupyterLab of the course's own making, and a page in it, for tests and for figures."""

import json
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from playwright.sync_api import Browser, Locator, Page, sync_playwright

import course_lib
from course_lib.ways_in import AT_ONCE, OWN_LOOK

TOP = Path(course_lib.__file__).resolve().parent.parent
IN_PAGE = (Path(__file__).parent / "in_page.js").read_text("utf-8")
NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
_PATIENCE = 90_000  # ms; a busy machine opens a notebook slowly


def browser_path() -> str | None:
    """Where a Chromium is on this computer; the variable COURSE_BROWSER names another."""
    return os.environ.get("COURSE_BROWSER") or next(filter(None, map(shutil.which, NAMES)), None)


@contextmanager
def open_browser() -> Iterator[Browser]:
    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=browser_path(), args=FLAGS)
        yield browser
        browser.close()


class Lab:
    """A server on this computer alone, with settings of its own, started as the course starts it."""

    def __init__(self, root: Path, scratch: Path, at_once: bool = True) -> None:
        self.root, self.scratch, self.at_once = root, scratch, at_once
        self.token = os.urandom(12).hex()
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]

    def __enter__(self) -> Self:
        self._quiet_settings()
        command = [
            sys.executable, "-m", "jupyterlab", "--no-browser", "--allow-root", "--expose-app-in-browser",
            f"--ServerApp.root_dir={self.root}", "--ServerApp.ip=127.0.0.1", f"--ServerApp.port={self.port}",
            "--ServerApp.port_retries=0", f"--IdentityProvider.token={self.token}",
        ]  # fmt: skip
        command.append(f"--LabApp.app_settings_dir={OWN_LOOK}")
        if self.at_once:
            command.append(f"--ServerApp.kernel_websocket_connection_class={AT_ONCE}")
        self.log = (self.scratch / "server.log").open("w")
        self.process = subprocess.Popen(
            command, stdout=self.log, stderr=subprocess.STDOUT, env=self._places()
        )
        end = time.monotonic() + _PATIENCE / 1000
        while time.monotonic() < end and self.process.poll() is None:
            try:
                self.ask("GET", "/api/status")
                return self
            except OSError:
                time.sleep(0.1)
        self.__exit__(None, None, None)
        raise RuntimeError("JupyterLab did not start:\n" + (self.scratch / "server.log").read_text()[-2000:])

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.process.terminate()
        self.process.wait(20)
        self.log.close()

    def ask(self, method: str, path: str) -> Any:
        request = urllib.request.Request(
            f"http://127.0.0.1:{self.port}{path}", method=method,
            headers={"Authorization": f"token {self.token}"},
        )  # fmt: skip
        with urllib.request.urlopen(request, timeout=10) as answer:
            body = answer.read()
        return json.loads(body) if body else None

    def end_kernels(self) -> None:
        for session in self.ask("GET", "/api/sessions"):
            self.ask("DELETE", f"/api/sessions/{session['id']}")

    def _places(self) -> dict[str, str]:
        own = {
            "JUPYTER_CONFIG_DIR": "config", "JUPYTER_RUNTIME_DIR": "runtime", "JUPYTER_DATA_DIR": "data",
            "IPYTHONDIR": "ipython", "JUPYTERLAB_SETTINGS_DIR": "settings",
            "JUPYTERLAB_WORKSPACES_DIR": "workspaces",
        }  # fmt: skip
        paths = os.pathsep.join([str(TOP), *filter(None, [os.environ.get("PYTHONPATH")])])
        return (
            os.environ
            | {name: str(self.scratch / where) for name, where in own.items()}
            | {"PYTHONPATH": paths}
        )

    def _quiet_settings(self) -> None:
        """No news, no saving by itself: neither belongs in a measurement."""
        said = {
            "docmanager-extension/plugin": {"autosave": False},
            "apputils-extension/notification": {"fetchNews": "false", "checkForUpdates": False},
        }
        for name, setting in said.items():
            file = self.scratch / "settings" / "@jupyterlab" / f"{name}.jupyterlab-settings"
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(json.dumps(setting))


class OpenNotebook:
    """One notebook in one page."""

    def __init__(self, browser: Browser, lab: Lab, path: str, wide: int = 1400, high: int = 1000) -> None:
        self.lab, self.path = lab, path
        self.context = browser.new_context(viewport={"width": wide, "height": high})
        self.context.add_init_script(IN_PAGE)
        self.page: Page = self.context.new_page()
        self.errors: list[str] = []
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.open()

    def open(self) -> None:
        """Open the notebook and wait until its kernel is idle: before that, 'run all' can do nothing."""
        self.page.goto(f"http://127.0.0.1:{self.lab.port}/lab/tree/{self.path}?token={self.lab.token}&reset")
        self.page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=_PATIENCE)
        self.wait_for_kernel()

    def wait_for_kernel(self) -> None:
        self.page.wait_for_function(
            "window.jupyterapp?.shell.currentWidget?.sessionContext?.session?.kernel?.status === 'idle'",
            timeout=_PATIENCE,
        )

    def command(self, name: str) -> None:
        """One of JupyterLab's own commands."""
        self.page.evaluate("name => { jupyterapp.commands.execute(name) }", name)

    def run_all(self, cells: int | None = None) -> None:
        """Run every cell and wait for the end."""
        self.page.evaluate("() => jupyterapp.commands.execute('notebook:run-all-cells')")
        self.wait_for_kernel()

    def part(self, selector: str) -> Locator:
        return self.page.locator(selector)

    def handle(self, label: str) -> Locator:
        """A slider's handle by the name that a screen reader says."""
        return self.page.get_by_role("slider", name=label, exact=True)

    def tracebacks(self) -> list[str]:
        return self.page.locator(
            ".jp-OutputArea [data-mime-type='application/vnd.jupyter.error']"
        ).all_inner_texts()

    def begin(self, light: bool = False) -> None:
        self.page.evaluate("light => courseWatch.begin(light)", light)

    def settled(self, quiet: float = 200, limit: float = 8000, needed: bool = True) -> dict[str, Any]:
        """What happened since `begin`, when all is quiet."""
        found: dict[str, Any] = self.page.evaluate(
            "([quiet, limit, needed]) => courseWatch.settled(quiet, limit, needed)", [quiet, limit, needed]
        )
        return found

    def close(self) -> None:
        self.context.close()
