"""What can be asked for after `python3 -m course_lib`: the lessons, the tests and the other commands.

Only the standard library is imported here, so that it works before the set-up and costs no time after it.
"""

import importlib
import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import cast

from course_lib import set_up
from course_lib.set_up import Trouble, say

TOP = Path(__file__).resolve().parent.parent
# JupyterLab's settings for the course alone: a person's own JupyterLab stays as it is.
OWN_LOOK = Path(__file__).resolve().parent / "lab_settings"
FIRST_LESSON = "lessons/00-start-here.ipynb"
TESTED_FOLDERS = ("tests", "lessons", "solutions")
AT_ONCE = "course_lib.no_delay.NoDelayConnection"  # pictures that follow the hand
USUAL_PORT = 8888  # JupyterLab's own choice
WAY_IN = "python3 -m course_lib"


@dataclass(frozen=True)
class Command:
    """One word that may follow the way in."""

    place: str  # module:function
    help_line: str
    needs_packages: bool = True


COMMANDS = {
    "test": Command("course_lib.ways_in:run_tests", "set up, then run every test and every notebook", False),
    "set-up": Command(
        "course_lib.ways_in:set_up_only", "make or mend .venv and stop (set-up test: for tests)", False
    ),
    "card": Command("course_lib.commands:card", "make the bench card or the cut list of a measuring sheet"),
    "set-work": Command(
        "course_lib.class_commands:set_work", "set work: a code and an earring for each learner"
    ),
    "mark": Command("course_lib.class_commands:mark", "mark what was handed in, from your own record"),
    "try-exercise": Command(
        "course_lib.class_commands:try_exercise", "try an exercise that you wrote on a hundred jobs"
    ),
}


def main(arguments: list[str]) -> int:
    """Do what was asked for and return the exit code; trouble is told in one sentence."""
    try:
        return dispatch(arguments)
    except Trouble as trouble:
        say(str(trouble))
        return 1
    except KeyboardInterrupt:
        say("\nStopped before it was done: run the same command again and it goes on.")
        return 130


def dispatch(arguments: list[str]) -> int:
    """Choose between the help, the lessons and the commands."""
    if arguments[:1] in (["--help"], ["-h"], ["help"]):
        print(help_text())
        return 0
    if not arguments or arguments[0].startswith("-"):
        return open_lessons(arguments)
    command = COMMANDS.get(arguments[0])
    if command is None:
        say(f"There is no command {arguments[0]!r}: use one of those below.\n\n{help_text()}")
        return 2
    if command.needs_packages:
        python = set_up.python_for(TOP)
        if not is_running(python):
            return run_to_the_end([str(python), "-m", "course_lib", *arguments])
    return load(command.place)(arguments[1:])


def help_text() -> str:
    """List the ways in, each with one line."""
    ways = [("", "set up, then open the lessons in JupyterLab")]
    ways += [(f" {name}", command.help_line) for name, command in COMMANDS.items()]
    notes = [
        ("--no-browser", "start JupyterLab without opening the browser"),
        ("-- ...", "whatever follows is handed to JupyterLab, as in -- --port 9000"),
    ]
    width = max(len(WAY_IN + words) for words, _ in ways) + 2
    lines = [f"  {WAY_IN + words:<{width}}{line}" for words, line in ways]
    lines += ["", "When opening the lessons:", *(f"  {words:<{width}}{line}" for words, line in notes)]
    return "\n".join(["Run from the top folder of the course:", "", *lines])


def load(place: str) -> Callable[[list[str]], int]:
    """Find a function by its place, written module:function."""
    module, function = place.split(":")
    return cast(Callable[[list[str]], int], getattr(importlib.import_module(module), function))


def open_lessons(arguments: list[str]) -> int:
    """Open JupyterLab at the first lesson and stay until it ends.

    Args:
        arguments: what followed on the command line.

    Returns:
        JupyterLab's exit code.

    Raises:
        Trouble: the port is taken, an argument is not known, or the set-up did not come to its end.
    """
    handed_on = jupyterlab_arguments(arguments)
    set_up.check_there(TOP / FIRST_LESSON)
    python = set_up.python_for(TOP)
    # Run as a module, because the jupyter programs in .venv stop working when the folder is moved.
    command = [str(python), "-m", "jupyterlab", f"--ServerApp.root_dir={TOP}"]
    command += [f"--LabApp.default_url=/lab/tree/{FIRST_LESSON}"]
    command += [
        f"--ServerApp.kernel_websocket_connection_class={AT_ONCE}",
        f"--LabApp.app_settings_dir={OWN_LOOK}",
    ]
    command += handed_on
    code = run_to_the_end(command, TOP)
    port = asked_port(handed_on)
    if code == 1 and is_taken(port):
        raise Trouble(
            f"Port {port} is taken by another program and JupyterLab found no free one: close that program "
            f"or choose another port, as in {WAY_IN} -- --port {port + 100 if port < 65000 else USUAL_PORT}"
        )
    return code


def jupyterlab_arguments(arguments: list[str]) -> list[str]:
    """Sort out what is handed to JupyterLab, refusing what this command does not know.

    Args:
        arguments: what followed on the command line.

    Returns:
        What JupyterLab gets.

    Raises:
        Trouble: an argument that is not known here.
    """
    own, handed_on = split_at_dashes(arguments)
    for argument in own:
        if argument != "--no-browser":
            raise Trouble(
                f"{argument!r} is not known here: to hand it to JupyterLab, put -- and a space before it."
            )
    # JupyterLab refuses to run for the administrator unless told; in a container there is often nobody else.
    as_root = ["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return [*own, *as_root, *handed_on]


def split_at_dashes(arguments: list[str]) -> tuple[list[str], list[str]]:
    """Split a command line at the first -- in it."""
    if "--" not in arguments:
        return arguments, []
    place = arguments.index("--")
    return arguments[:place], arguments[place + 1 :]


def asked_port(arguments: Sequence[str]) -> int:
    """Find the port that JupyterLab was asked to use."""
    found = re.findall(r"--(?:port|ServerApp\.port|LabApp\.port)[= ](\d+)", " ".join(arguments))
    return int(found[-1]) if found else USUAL_PORT


def is_taken(port: int) -> bool:
    """Tell whether a program on this computer already uses a port."""
    with socket.socket() as trial:
        if os.name == "posix":
            # A port that was closed a moment ago is free for JupyterLab, and so it must be here.
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(("localhost", port))
        except (OSError, OverflowError):
            return True
    return False


def run_tests(arguments: list[str]) -> int:
    """Run the tests and, as tests too, all notebooks; more arguments go to pytest."""
    set_up.check_there(TOP / "tests")
    python = set_up.python_for(TOP, "test")
    handed_on = [argument for argument in arguments if argument != "--"]
    folders = [] if names_files(handed_on) else [name for name in TESTED_FOLDERS if (TOP / name).is_dir()]
    # The notebooks may have been saved under another kernel's name on somebody's own computer.
    command = [str(python), "-m", "pytest", "--nbval", "--nbval-current-env", *folders, *handed_on]
    if folders:
        # a file at a time to each worker, for the cells of a notebook belong together
        command += ["-n", str(min(os.cpu_count() or 1, 4)), "--dist", "loadfile"]
    return run_to_the_end(command, TOP)


def names_files(arguments: list[str]) -> bool:
    """Tell whether pytest was told which files to run; the word after -k or -m is none."""
    words = [
        word for before, word in zip(["", *arguments], arguments, strict=False) if before not in ("-k", "-m")
    ]
    return any((TOP / word.split("::")[0]).exists() for word in words)


def set_up_only(arguments: list[str]) -> int:
    """Make or mend .venv, for the lessons or, with the word test, for the tests as well."""
    if arguments not in ([], ["test"]):
        say(f"Only the word test may follow: {WAY_IN} set-up test")
        return 2
    set_up.make_ready(TOP, *arguments)
    return 0


def is_running(python: Path) -> bool:
    """Tell whether a Python is the one that is running now."""
    return Path(sys.executable) == python or set_up.runs_inside(python.parent.parent)


def run_to_the_end(command: list[str], folder: Path | None = None) -> int:
    """Run a program with this terminal, wait until it ends, and return its exit code."""
    with subprocess.Popen(command, cwd=folder, env=environment()) as process:

        def end_it(number: int, frame: FrameType | None) -> None:
            process.terminate()

        before = signal.signal(signal.SIGTERM, end_it)
        try:
            code = wait_for(process)
        finally:
            signal.signal(signal.SIGTERM, before)
    return code if code >= 0 else 128 - code  # as a shell tells it when a signal ended a program


def wait_for(process: subprocess.Popen[bytes]) -> int:
    """Wait for a program; it gets every Ctrl-C of the terminal itself, and decides what that means."""
    while True:
        try:
            return process.wait()
        except KeyboardInterrupt:
            continue


def environment() -> dict[str, str]:
    """Return the settings for a program of the course: it must find this copy, and no other one."""
    paths = [str(TOP), *filter(None, [os.environ.get("PYTHONPATH")])]
    return os.environ | {"PYTHONPATH": os.pathsep.join(paths)}
