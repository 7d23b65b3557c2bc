"""Makes the course's own Python in the folder .venv, with every package it needs, and mends it when it must.

Only the standard library is used here, because at this point nothing else is installed yet.

The versions come from course_lib/pins.txt; pyproject.toml says how that file is made again.
"""

import contextlib
import errno
import hashlib
import importlib.metadata
import importlib.util
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO

PYTHON_NAME = f"{sys.version_info.major}.{sys.version_info.minor}"
ROOM_NEEDED = {"": 1_000_000_000, "test": 2_500_000_000}  # bytes, while the packages are fetched and unpacked

NO_INTERNET = (
    "The course needs the internet once, to fetch its packages: connect this computer to the internet "
    "and run the same command again."
)
DISK_FULL = "The disk is full: make some room on it and run the same command again."
FILES_IN_USE = (
    "The folder .venv cannot be changed: close JupyterLab and every other window that uses this course, "
    "and run the same command again."
)
NO_PACKAGE = (
    f"A package that the course needs was not found for Python {PYTHON_NAME} on this computer: check the "
    "internet connection, or use a 64-bit Python from 3.11 to 3.14, and run the same command again."
)
PATH_TOO_LONG = (
    "The path of this folder is too long for this computer: copy the course to a folder with a short path, "
    r"such as C:\course, and run the same command there."
)
UNKNOWN_TROUBLE = (
    "The set-up stopped before it was done: run the same command again, and if it stops again, show the file "
    "{log} to somebody who knows Python."
)

# What pip writes when something goes wrong, and what the person is told in its place; the first that fits.
SIGNS_OF_TROUBLE = (
    (r"No space left on device|Errno 28\b|not enough space on the disk", DISK_FULL),
    (r"Windows Long Path support|File name too long", PATH_TOO_LONG),
    (
        r"Retrying \(Retry|NewConnectionError|ConnectionError|connection (broken|timed out|refused|error)|"
        r"name resolution|Network is unreachable|Failed to connect|ReadTimeout|ProxyError|"
        r"IncompleteRead|incomplete-download|SSLError|certificate verify failed",
        NO_INTERNET,
    ),
    (r"WinError (5|32)\b|Permission denied|Errno 13\b", FILES_IN_USE),
    (r"No matching distribution|Failed to build|Failed building|metadata-generation-failed", NO_PACKAGE),
)


class Trouble(Exception):
    """Something that the person at the keyboard can mend; its text is all that is shown."""


@dataclass(frozen=True)
class Course:
    """Where the parts of one copy of the course lie."""

    top: Path

    @property
    def project_file(self) -> Path:
        """The file that names the packages the course needs."""
        return self.top / "pyproject.toml"

    @property
    def pins(self) -> Path:
        """The file with the exact versions of the packages."""
        return self.top / "course_lib" / "pins.txt"

    @property
    def venv(self) -> Path:
        """The folder of the course's own Python."""
        return self.top / ".venv"

    @property
    def python(self) -> Path:
        """The program of the course's own Python."""
        return self.venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python")

    @property
    def stamp(self) -> Path:
        """The note, written last, that says what the finished set-up was made from."""
        return self.venv / "course-is-set-up.txt"

    @property
    def unfinished(self) -> Path:
        """The note that is there only while .venv itself is being made."""
        return self.venv / "course-is-being-made.txt"

    @property
    def log(self) -> Path:
        """Everything that was said during the latest set-up."""
        return self.venv / "set-up.log"

    @property
    def lock(self) -> Path:
        """The file that one set-up holds, so that a second one waits."""
        return self.top / ".set-up.lock"


def python_for(top: Path, extra: str = "") -> Path:
    """Return a Python that has every package the course needs, setting one up first if there is none."""
    course = Course(top)
    if not course.project_file.exists():
        return Path(sys.executable)  # the course was installed as a package, and its packages with it
    if not runs_inside(course.venv) and has_packages_here(course, extra):
        return Path(sys.executable)
    return make_ready(top, extra)


def make_ready(top: Path, extra: str = "") -> Path:
    """Make or mend .venv if that is needed, and return the Python in it.

    Raises:
        Trouble: a part is missing, or the set-up did not come to its end; the text says what would help.
    """
    course = Course(top)
    check_there(course.project_file)
    check_there(course.pins)
    if is_ready(course, extra):
        return course.python
    check_folder(top)
    if not course.python.exists():  # later on only a few packages are fetched anew
        check_room(top, ROOM_NEEDED[extra])
    check_venv_module()
    try:
        with one_at_a_time(course) as lock:
            if not is_ready(course, extra):  # the set-up that was waited for may have done it
                set_up(course, extra, lock)
    except OSError as error:
        raise Trouble(sentence_for_error(error, course)) from error
    return course.python


def set_up(course: Course, extra: str, lock: IO[str]) -> None:
    """Make .venv if it is not whole, put the packages in it, and stamp it as the very last thing."""
    if not venv_is_whole(course):
        say("Making the folder .venv for the course's own Python ...")
        make_venv(course, lock)
    say("Fetching and installing the packages: this takes some minutes, and happens only once ...")
    course.stamp.unlink(missing_ok=True)
    install_packages(course, extra, lock)
    write_stamp(course, extra)
    say("The set-up is done.")


def is_ready(course: Course, extra: str) -> bool:
    """Tell whether .venv was finished, from the same files and Python as now, with at least this extra."""
    try:
        made_from, made_with = course.stamp.read_text(encoding="utf-8").split("\n")[:2]
    except (OSError, ValueError):
        return False
    return course.python.exists() and made_from == digest(course) and extra in ("", made_with)


def digest(course: Course) -> str:
    """Sum up everything that the packages in .venv depend on."""
    # The path counts too, because the installed course points to the folder that it was installed from.
    parts = [
        course.project_file.read_bytes(),
        course.pins.read_bytes(),
        PYTHON_NAME.encode(),
        bytes(course.top),
    ]
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def write_stamp(course: Course, extra: str) -> None:
    """Note that the set-up is finished; the note appears whole or not at all."""
    draft = course.stamp.with_suffix(".draft")
    draft.write_text(f"{digest(course)}\n{extra}\n", encoding="utf-8")
    draft.replace(course.stamp)


def runs_inside(venv: Path) -> bool:
    """Tell whether the Python that is running now is the one in this folder."""
    return venv.exists() and os.path.samefile(sys.prefix, venv)


def has_packages_here(course: Course, extra: str) -> bool:
    """Tell whether Python runs in an environment that already holds every package the course asks for."""
    conda = (Path(sys.prefix) / "conda-meta").is_dir()
    if sys.prefix == sys.base_prefix and not conda:
        return False
    project = tomllib.loads(course.project_file.read_text(encoding="utf-8"))["project"]
    needed = project["dependencies"] + project.get("optional-dependencies", {}).get(extra, [])
    return all(is_installed(requirement) for requirement in needed)


def is_installed(requirement: str) -> bool:
    """Tell whether a package is installed at an allowed version; a requirement looks like name>=2.1,<3."""
    name = re.split(r"[^\w.-]", requirement, maxsplit=1)[0]
    try:
        version = numbers_in(importlib.metadata.version(name))
    except importlib.metadata.PackageNotFoundError:
        return False
    lowest = re.search(r">=\s*([\d.]+)", requirement)
    too_new = re.search(r"<\s*([\d.]+)", requirement)
    return not (lowest and version < numbers_in(lowest[1])) and not (
        too_new and version >= numbers_in(too_new[1])
    )


def numbers_in(version: str) -> tuple[int, ...]:
    """Return the leading numbers of a version, so that 10.2 comes after 9.8."""
    leading = re.match(r"[\d.]*", version)
    return tuple(int(number) for number in (leading[0] if leading else "").split(".") if number)


def check_there(part: Path) -> None:
    """Refuse to go on in a copy of the course that lacks a part.

    Raises:
        Trouble: it is not there.
    """
    if not part.exists():
        raise Trouble(f"{part} is missing: get the whole course again and run the command in its top folder.")


def check_folder(top: Path) -> None:
    """Refuse a folder that cannot be written to, by trying it: permissions alone do not tell everywhere.

    Raises:
        Trouble: nothing can be written there, or the disk is full.
    """
    try:
        with tempfile.TemporaryFile(dir=top):
            pass
    except OSError as error:
        if error.errno in (errno.ENOSPC, errno.EDQUOT):
            raise Trouble(DISK_FULL) from error
        raise Trouble(
            f"Nothing can be written in the folder {top}: copy the whole course to a folder of your own and "
            "run the same command there."
        ) from error


def check_room(top: Path, needed: int) -> None:
    """Refuse to start when the disk has too little room for the packages.

    Args:
        top: a folder on the disk.
        needed: how many bytes must be free.

    Raises:
        Trouble: there is less room than that.
    """
    free = shutil.disk_usage(top).free
    if free < needed:
        raise Trouble(
            f"The disk has {free / 1e9:.1f} GB free and the set-up needs {needed / 1e9:.1f} GB: make some "
            "room and run the same command again."
        )


def check_venv_module() -> None:
    """Refuse to start when this Python lacks the part that makes environments, as on a bare Debian.

    Raises:
        Trouble: a part is missing; the text says which command brings it.
    """
    for name in ("venv", "ensurepip"):
        part = importlib.util.find_spec(name)
        if part is None or part.origin is None:
            raise Trouble(
                "A part of Python is missing that the set-up needs: on Debian or Ubuntu run the line\n"
                f"    sudo apt install python3-venv python{PYTHON_NAME}-venv\n"
                "and then the same command again; elsewhere install Python anew, with all its parts."
            )


if sys.platform == "win32":
    import msvcrt

    def take_lock(lock: IO[str]) -> bool:
        """Try to take the lock; it is let go by itself when the program that holds it ends in any way."""
        try:
            msvcrt.locking(lock.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
else:
    import fcntl

    def take_lock(lock: IO[str]) -> bool:
        """Try to take the lock; it is let go by itself when the program that holds it ends in any way."""
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:
            return True  # some network drives know no locks, and one person alone needs none
        return True


@contextlib.contextmanager
def one_at_a_time(course: Course) -> Iterator[IO[str]]:
    """Hold the lock of this folder, after waiting for another set-up that holds it."""
    with course.lock.open("a", encoding="utf-8") as lock:
        if not take_lock(lock):
            say("Another window is setting up the course in this folder: waiting until it is done ...")
            while not take_lock(lock):
                time.sleep(0.2)
        yield lock


def venv_is_whole(course: Course) -> bool:
    """Tell whether .venv was made to the end, with the Python version that is running now."""
    if course.unfinished.exists() or not course.python.exists():
        return False
    question = f"import sys, pip; sys.exit('%d.%d' % sys.version_info[:2] != '{PYTHON_NAME}')"
    try:
        return subprocess.run([course.python, "-I", "-c", question], capture_output=True).returncode == 0
    except OSError:
        return False


def make_venv(course: Course, lock: IO[str]) -> None:
    """Make .venv anew; a note lies in it until it is whole, so that a broken-off try is noticed later.

    Args:
        course: whose Python it is.
        lock: the lock that this set-up holds; programs that it starts hold it too.

    Raises:
        Trouble: the Python that runs now is the one to be made, or venv did not come to its end.
    """
    if runs_inside(course.venv):
        raise Trouble(
            "The Python in .venv is not whole and cannot mend itself: run the same command with the Python "
            "that is installed on this computer, python3 -m course_lib"
        )
    remove(course.venv)
    course.venv.mkdir()
    course.unfinished.touch()
    run_logged(course, [sys.executable, "-m", "venv", str(course.venv)], lock)
    course.unfinished.unlink()


def remove(path: Path) -> None:
    """Remove a folder with all that is in it, or the file or link that lies in its place."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def install_packages(course: Course, extra: str, lock: IO[str]) -> None:
    """Let pip put the course and its packages into .venv."""
    pins = str(course.pins.relative_to(course.top))
    command = [str(course.python), "-m", "pip", "install", "--no-input", "--progress-bar", "off"]
    command += ["--disable-pip-version-check", "-c", pins, "-e", f".[{extra}]" if extra else "."]
    run_logged(course, command, lock)


def run_logged(course: Course, command: list[str], lock: IO[str]) -> None:
    """Run one program of the set-up, with all that it says going to the log.

    Args:
        course: in whose folder it runs, and whose log it fills.
        command: the program and its arguments.
        lock: the lock that this set-up holds; the program holds it too.

    Raises:
        Trouble: the program failed; the text is one plain sentence about why.
    """
    own_settings = {"PIP_USER": "0", "PYTHONIOENCODING": "utf-8"}
    with (
        course.log.open("w", encoding="utf-8") as log,
        subprocess.Popen(
            command,
            cwd=course.top,
            env=os.environ | own_settings,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            errors="replace",
            # A program that outlives a killed set-up keeps the lock, so that no other set-up works beside it.
            pass_fds=() if os.name == "nt" else (lock.fileno(),),
        ) as program,
    ):
        assert program.stdout is not None
        for line in program.stdout:
            log.write(line)
            show_progress(line)
    show_progress("")
    if program.returncode != 0:
        raise Trouble(sentence_for(course.log.read_text(encoding="utf-8"), course))


def show_progress(line: str) -> None:
    """Show on one line of the terminal what pip is busy with; say nothing where nobody watches."""
    if not sys.stderr.isatty():
        return
    step = re.match(r"\s*(Collecting|Downloading|Installing) ([\w.-]*)", line)
    if step or not line:
        doing = f"  {step[1]} {step[2]} ..." if step else ""
        print(f"\r{doing[:70]:<70}\r", end="", file=sys.stderr, flush=True)


def sentence_for(said: str, course: Course) -> str:
    """Turn what pip or venv said into one plain sentence."""
    for sign, sentence in SIGNS_OF_TROUBLE:
        if re.search(sign, said, re.IGNORECASE):
            return sentence
    return UNKNOWN_TROUBLE.format(log=course.log)


def sentence_for_error(error: OSError, course: Course) -> str:
    """Turn an error of the file system into one plain sentence."""
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return DISK_FULL
    if isinstance(error, PermissionError):
        return FILES_IN_USE
    return sentence_for(str(error), course)


def say(sentence: str) -> None:
    """Tell the person what is going on, at once."""
    print(sentence, file=sys.stderr, flush=True)
