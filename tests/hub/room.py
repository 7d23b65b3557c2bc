"""A room full of learners: a JupyterHub on loopback, a server for each of them, and what they do in it."""

import json
import os
import secrets
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
import uuid
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import psutil
from websocket import WebSocket, create_connection

import course_lib

TOP = Path(course_lib.__file__).resolve().parent.parent
_PATIENCE = 120
_PLACES = (TOP / ".venv" / "proxy" / "node_modules" / ".bin", Path("/usr/local/bin"))

# What an administrator sets; DEVELOPERS.md says the same in words.
CONFIG = """
c = get_config()
c.JupyterHub.bind_url = "http://127.0.0.1:{port}"
c.JupyterHub.hub_port = {hub_port}
c.JupyterHub.cookie_secret_file = "{scratch}/cookie"
c.JupyterHub.db_url = "sqlite:///{scratch}/hub.sqlite"
c.ConfigurableHTTPProxy.command = ["{proxy}"]
c.ConfigurableHTTPProxy.api_url = "http://127.0.0.1:{proxy_port}"
c.JupyterHub.authenticator_class = "dummy"
c.Authenticator.allow_all = True
c.JupyterHub.spawner_class = "simple"
c.SimpleLocalProcessSpawner.home_dir_template = "{scratch}/homes/{{username}}"
c.Spawner.cmd = ["{python}", "-m", "jupyterhub.singleuser"]
c.Spawner.args = ["--allow-root", "--ServerApp.kernel_websocket_connection_class={at_once}"]
c.Spawner.notebook_dir = "{course}"
c.Spawner.environment = {{"PYTHONPATH": "{course}", "COURSE_ANSWERS": "~/my-answers"}}
c.Spawner.http_timeout = {patience}
c.Spawner.start_timeout = {patience}
c.JupyterHub.services = [{{"name": "teacher", "api_token": "{token}"}}]
c.JupyterHub.load_roles = [{{
    "name": "teacher", "services": ["teacher"],
    "scopes": ["admin:users", "admin:servers", "access:servers", "tokens", "list:users"],
}}]
"""


def proxy_path() -> str | None:
    """Where the hub's proxy is on this computer; the variable HUB_PROXY names another."""
    named = os.environ.get("HUB_PROXY") or shutil.which("configurable-http-proxy")
    found = [each / "configurable-http-proxy" for each in _PLACES]
    return named or next((str(each) for each in found if each.exists()), None)


class Room:
    """The hub and its learners. `homes` holds a folder for each of them."""

    def __init__(self, scratch: Path) -> None:
        self.scratch = scratch
        self.homes = scratch / "homes"
        self.token = secrets.token_hex(16)
        self.port, hub_port, proxy_port = _free_ports(3)
        self.config = scratch / "jupyterhub_config.py"
        self.config.write_text(
            CONFIG.format(
                port=self.port, hub_port=hub_port, proxy_port=proxy_port, scratch=scratch, proxy=proxy_path(),
                python=sys.executable, course=TOP, token=self.token, patience=_PATIENCE,
                at_once="course_lib.no_delay.NoDelayConnection",
            )
        )  # fmt: skip

    def __enter__(self) -> Self:
        self.log = (self.scratch / "hub.log").open("w")
        environment = os.environ | {"CONFIGPROXY_AUTH_TOKEN": secrets.token_hex(16), "PYTHONPATH": str(TOP)}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "jupyterhub", "-f", str(self.config)], cwd=self.scratch, env=environment,
            stdout=self.log, stderr=subprocess.STDOUT,
        )  # fmt: skip
        try:
            self._until(lambda: self.ask("GET", "/hub/api/"), "the hub did not start")
        except RuntimeError:
            self.__exit__(None, None, None)
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        every = [self.process.pid, *(child.pid for child in psutil.Process(self.process.pid).children(True))]
        self.process.terminate()
        try:
            self.process.wait(20)
        except subprocess.TimeoutExpired:
            self.process.kill()
        for pid in every:
            try:
                psutil.Process(pid).kill()
            except psutil.NoSuchProcess:
                continue
        self.log.close()

    def ask(self, method: str, path: str, said: Any = None, token: str = "") -> Any:
        """Ask the hub, or through it a learner's server."""
        request = urllib.request.Request(
            f"http://127.0.0.1:{self.port}{path}", method=method,
            data=None if said is None else json.dumps(said).encode(),
            headers={"Authorization": f"token {token or self.token}", "Content-Type": "application/json"},
        )  # fmt: skip
        with urllib.request.urlopen(request, timeout=30) as answer:
            body = answer.read()
        return json.loads(body) if body else None

    def _until(self, try_it: Any, trouble: str) -> Any:
        end = time.monotonic() + _PATIENCE
        while time.monotonic() < end:
            try:
                found = try_it()
            except OSError:
                found = None
            if found:
                return found
            if self.process.poll() is not None:
                break
            time.sleep(0.3)
        raise RuntimeError(f"{trouble}:\n{(self.scratch / 'hub.log').read_text()[-3000:]}")

    def seat(self, name: str) -> "Seat":
        """Give a learner a server of their own, and wait until it is ready."""
        (self.homes / name).mkdir(parents=True, exist_ok=True)
        self.ask("POST", f"/hub/api/users/{name}")
        self.ask("POST", f"/hub/api/users/{name}/server", {})
        self._until(
            lambda: self.ask("GET", f"/hub/api/users/{name}")["servers"].get("", {}).get("ready"), name
        )
        return Seat(self, name)


class Seat:
    """One learner at their page: a kernel in the folder of the lessons."""

    def __init__(self, room: Room, name: str) -> None:
        self.room, self.name = room, name
        kernel = room.ask("POST", f"/user/{name}/api/kernels", {"name": "python3", "path": "lessons"})
        self.kernel = kernel["id"]
        self.socket: WebSocket = create_connection(
            f"ws://127.0.0.1:{room.port}/user/{name}/api/kernels/{self.kernel}/channels",
            header=[f"Authorization: token {room.token}"], timeout=_PATIENCE,
        )  # fmt: skip

    @property
    def home(self) -> Path:
        """The learner's own folder."""
        return self.room.homes / self.name

    def run(self, code: str) -> str:
        """Run a cell; returns what it shows in words.

        Raises:
            AssertionError: the cell raised something.
        """
        asked = uuid.uuid4().hex
        head = {
            "msg_id": asked,
            "username": self.name,
            "session": asked,
            "msg_type": "execute_request",
            "version": "5.3",
        }
        content = {"code": code, "silent": False, "store_history": True, "allow_stdin": False}
        message = {
            "header": head,
            "parent_header": {},
            "metadata": {},
            "content": content,
            "channel": "shell",
        }
        self.socket.send(json.dumps(message))
        shown = ""
        while True:
            heard = json.loads(self.socket.recv())
            if heard.get("parent_header", {}).get("msg_id") != asked:
                continue
            kind, told = heard["header"]["msg_type"], heard["content"]
            if kind == "stream":
                shown += told["text"]
            elif kind in ("execute_result", "display_data"):
                shown += told["data"].get("text/plain", "")
            elif kind == "error":
                raise AssertionError("\n".join(told["traceback"]))
            elif kind == "status" and told["execution_state"] == "idle":
                return shown


def _free_ports(count: int) -> list[int]:
    found = []
    for _ in range(count):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            found.append(free.getsockname()[1])
    return found
