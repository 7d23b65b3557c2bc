"""The set-up and the ways in, tried with real processes on a tiny made-up course that needs no internet."""

import ast
import contextlib
import errno
import importlib.machinery
import importlib.metadata
import importlib.util
import json
import os
import re
import runpy
import shutil
import signal
import socket
import stat
import subprocess
import sys
import tempfile
import time
import tomllib
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from course_lib import set_up, ways_in
from course_lib.set_up import Course, Trouble

TOP = Path(__file__).resolve().parent.parent
posix_only = pytest.mark.skipif(os.name != "posix", reason="signals and permissions work another way there")

# It names a package that nobody has, so that the environment of the tests never counts as good enough; the
# back end below does not pass it on, so that pip does not look for it.
PROJECT_FILE = """
[build-system]
requires = []
build-backend = "made_up_back_end"
backend-path = ["."]

[project]
name = "made-up-course"
version = "0.1.0"
dependencies = ["package-that-nobody-has>=1,<2"]

[project.optional-dependencies]
test = []
"""

BACK_END = """
import zipfile
from pathlib import Path


def build_editable(folder, config_settings=None, metadata_directory=None):
    name = "made_up_course-0.1.0-py3-none-any.whl"
    about = "made_up_course-0.1.0.dist-info"
    with zipfile.ZipFile(Path(folder) / name, "w") as wheel:
        wheel.writestr("made_up_course.pth", str(Path.cwd()))
        wheel.writestr(f"{about}/METADATA", "Metadata-Version: 2.1\\nName: made-up-course\\nVersion: 0.1.0\\n"
                       "Provides-Extra: test\\n")
        wheel.writestr(f"{about}/WHEEL", "Wheel-Version: 1.0\\nRoot-Is-Purelib: true\\nTag: py3-none-any\\n")
        wheel.writestr(f"{about}/RECORD", f"made_up_course.pth,,\\n{about}/METADATA,,\\n{about}/WHEEL,,\\n"
                       f"{about}/RECORD,,\\n")
    return name
"""

COMMANDS = """
import sys


def card(arguments):
    print(sys.prefix, *arguments)
    return 7
"""


def make_course(top: Path) -> Course:
    """Lay out a tiny course with the real ways in."""
    shutil.rmtree(top, ignore_errors=True)
    (top / "course_lib").mkdir(parents=True)
    for name in ("__init__.py", "__main__.py", "set_up.py", "version.py", "ways_in.py"):
        shutil.copy(TOP / "course_lib" / name, top / "course_lib" / name)
    (top / "course_lib" / "pins.txt").write_text("")
    (top / "course_lib" / "commands.py").write_text(COMMANDS)
    (top / "pyproject.toml").write_text(PROJECT_FILE)
    (top / "made_up_back_end.py").write_text(BACK_END)
    return Course(top)


def settings(fake_pip: Path | None = None, **more: str) -> dict[str, str]:
    """Cut pip off from everything outside; a fake pip is found before the real one."""
    own = {"PIP_CONFIG_FILE": os.devnull, "PIP_NO_INDEX": "1", "PIP_FIND_LINKS": ""}
    return os.environ | own | {"PYTHONPATH": str(fake_pip or "")} | more


def start(course: Course, *words: str, fake_pip: Path | None = None, **more: str) -> subprocess.Popen[str]:
    """Start python -m course_lib in a made-up course."""
    command = [sys.executable, "-m", "course_lib", *words]
    pipe = subprocess.PIPE
    return subprocess.Popen(
        command,
        cwd=course.top,
        env=settings(fake_pip, **more),
        stdin=subprocess.DEVNULL,
        stdout=pipe,
        stderr=pipe,
        text=True,
        start_new_session=True,  # so that it can be killed with all that it started
    )


def run(course: Course, *words: str, fake_pip: Path | None = None, **more: str) -> tuple[int, str, str]:
    """Run python -m course_lib to its end; return the exit code and what it wrote."""
    with start(course, *words, fake_pip=fake_pip, **more) as process:
        out, err = process.communicate(timeout=60)
    assert "Traceback" not in err
    return process.returncode, out, err


def make_pip(folder: Path, program: str) -> Path:
    """Make a pip that does what a test needs, and return the folder to find it in."""
    (folder / "pip").mkdir(parents=True)
    (folder / "pip" / "__init__.py").touch()
    (folder / "pip" / "__main__.py").write_text(program)
    return folder


def wait_until(is_so: Callable[[], bool]) -> None:
    """Wait for something that another process does."""
    end = time.monotonic() + 30
    while not is_so():
        assert time.monotonic() < end, "it did not happen within half a minute"
        time.sleep(0.02)


def free_port() -> int:
    """Find a port that nobody uses."""
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


@pytest.fixture(scope="session")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Course:
    """A made-up course whose set-up went through, with the real venv and the real pip."""
    course = make_course(tmp_path_factory.mktemp("a course") / "top")
    code, _, err = run(course, "set-up")
    assert code == 0, err + course.log.read_text()
    return course


@pytest.fixture
def outdated(finished: Course) -> Iterator[Course]:
    """The same course after its pins changed, so that pip has to run again."""
    before = finished.stamp.read_text()
    finished.pins.write_text("# newer\n")
    yield finished
    finished.pins.write_text("")
    finished.stamp.write_text(before)


# --- the first start and the second


def test_set_up_installs_the_course_in_its_own_folder(finished: Course) -> None:
    answer = subprocess.run(
        [
            finished.python,
            "-c",
            "import course_lib, importlib.metadata as m; print(m.version('made-up-course'))",
        ],
        capture_output=True,
        text=True,
        cwd=finished.venv,
    )
    assert answer.stdout == "0.1.0\n", answer.stderr
    assert not finished.unfinished.exists()


def test_second_start_is_quick_and_runs_no_pip(finished: Course, tmp_path: Path) -> None:
    pip = make_pip(tmp_path, "raise SystemExit('pip was run')")
    started = time.monotonic()
    assert run(finished, "set-up", fake_pip=pip) == (0, "", "")
    assert time.monotonic() - started < 2


def test_command_runs_with_the_packages_and_passes_its_exit_code_on(finished: Course) -> None:
    code, out, err = run(finished, "card", "one", "two")
    assert (code, err) == (7, "")
    assert out == f"{finished.venv} one two\n"


def test_changed_pins_run_pip_again(outdated: Course, tmp_path: Path) -> None:
    pip = make_pip(tmp_path, "import sys; print(sys.argv)")
    code, _, err = run(outdated, "set-up", fake_pip=pip)
    assert code == 0 and "Fetching" in err
    assert "pins.txt" in outdated.log.read_text()
    assert run(outdated, "set-up", fake_pip=pip) == (0, "", "")


def test_set_up_for_tests_serves_the_lessons_too(outdated: Course, tmp_path: Path) -> None:
    pip = make_pip(tmp_path, "import sys; print(sys.argv)")
    assert run(outdated, "set-up", fake_pip=pip)[0] == 0
    assert not set_up.is_ready(outdated, "test")
    assert run(outdated, "set-up", "test", fake_pip=pip)[0] == 0
    assert "'.[test]'" in outdated.log.read_text()
    assert set_up.is_ready(outdated, "test") and set_up.is_ready(outdated, "")


def test_moved_course_is_set_up_again(finished: Course, tmp_path: Path) -> None:
    moved = make_course(tmp_path / "moved")
    moved.venv.mkdir()
    shutil.copy(finished.stamp, moved.stamp)
    moved.python.parent.mkdir(parents=True)
    moved.python.touch()
    assert not set_up.is_ready(moved, "")


# --- a set-up that was broken off


@posix_only
def test_killed_set_up_is_mended_by_running_it_again(tmp_path: Path) -> None:
    course = make_course(tmp_path / "top")
    first = start(course, "set-up")
    wait_until(course.unfinished.exists)
    os.killpg(first.pid, signal.SIGKILL)
    first.communicate()
    assert course.unfinished.exists(), "it was killed too late to try this"

    note = tmp_path / "pip-runs"
    slow = (
        f"import os, pathlib, time\npathlib.Path({str(note)!r}).write_text(str(os.getpid()))\ntime.sleep(60)"
    )
    second = start(course, "set-up", fake_pip=make_pip(tmp_path / "slow", slow))
    wait_until(lambda: note.exists() and note.read_text() != "")
    second.kill()
    assert not course.unfinished.exists() and not course.stamp.exists()

    third = start(course, "set-up", fake_pip=make_pip(tmp_path / "quick", ""))
    assert third.stderr is not None
    assert third.stderr.readline().startswith("Another window"), "it must not work beside the pip left over"
    os.kill(int(note.read_text()), signal.SIGKILL)
    _, err = third.communicate(timeout=30)
    second.communicate()
    assert third.returncode == 0 and "Making" not in err
    assert set_up.is_ready(course, "")


def test_folder_that_is_no_whole_environment_is_not_trusted(tmp_path: Path) -> None:
    course = make_course(tmp_path / "top")
    assert not set_up.venv_is_whole(course)
    course.python.parent.mkdir(parents=True)
    course.python.write_text("not a program")
    assert not set_up.venv_is_whole(course)
    set_up.remove(course.venv)
    course.venv.write_text("a file in its place")
    set_up.remove(course.venv)
    assert not course.venv.exists()


@posix_only
def test_second_set_up_waits_for_the_first(outdated: Course, tmp_path: Path) -> None:
    note = tmp_path / "go-on"
    program = f"import pathlib, time\nwhile not pathlib.Path({str(note)!r}).exists(): time.sleep(0.02)"
    pip = make_pip(tmp_path, program)
    first = start(outdated, "set-up", fake_pip=pip)
    wait_until(lambda: not outdated.stamp.exists())
    second = start(outdated, "set-up", fake_pip=pip)
    assert second.stderr is not None
    assert second.stderr.readline().startswith("Another window is setting up the course")
    note.touch()
    first.communicate(timeout=30)
    _, rest = second.communicate(timeout=30)
    assert (first.returncode, second.returncode, rest) == (0, 0, "")


# --- trouble, told in a sentence


PIP_SAYS = {
    "ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device": "disk is full",
    "WARNING: Retrying (Retry(total=0)) after connection broken by 'New'": "needs the internet once",
    "ReadTimeoutError: HTTPSConnectionPool: Read timed out.": "needs the internet once",
    "ERROR: [WinError 32] The process cannot access the file": "close JupyterLab",
    "HINT: This system does not have Windows Long Path support enabled": "short path",
    "ERROR: No matching distribution found for numpy": "64-bit Python",
    "ERROR: something nobody has seen before": "set-up.log",
}


@pytest.mark.parametrize("said", PIP_SAYS)
def test_trouble_of_pip_is_told_in_a_sentence(outdated: Course, tmp_path: Path, said: str) -> None:
    pip = make_pip(tmp_path, f"import sys; print({said!r}); sys.exit(1)")
    code, _, err = run(outdated, "set-up", fake_pip=pip)
    assert code == 1
    assert PIP_SAYS[said] in err.splitlines()[-1]
    assert said in outdated.log.read_text()
    assert not outdated.stamp.exists()


def test_no_internet_is_told_by_the_real_pip(outdated: Course) -> None:
    project = outdated.project_file.read_text()
    outdated.project_file.write_text(
        project.replace("requires = []", 'requires = ["package-that-nobody-has"]')
    )
    nobody_there = f"http://127.0.0.1:{free_port()}/"
    code, _, err = run(outdated, "set-up", PIP_NO_INDEX="0", PIP_INDEX_URL=nobody_there, PIP_RETRIES="1")
    outdated.project_file.write_text(project)
    assert code == 1
    assert err.splitlines()[-1] == set_up.NO_INTERNET


@contextlib.contextmanager
def read_only_folder() -> Iterator[Path]:
    """A folder that cannot be written to; an administrator can write anywhere, so that right is laid down."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(stat.S_IRUSR | stat.S_IXUSR | stat.S_IROTH | stat.S_IXOTH)
    administrator = os.geteuid() == 0
    if administrator:
        os.seteuid(65534)
    try:
        yield folder
    finally:
        if administrator:
            os.seteuid(0)
        folder.rmdir()


@posix_only
def test_read_only_folder_is_told_before_anything_starts() -> None:
    with (
        read_only_folder() as folder,
        pytest.raises(Trouble, match="copy the whole course to a folder of your own"),
    ):
        set_up.check_folder(folder)


def test_path_that_is_no_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(Trouble, match="Nothing can be written"):
        set_up.check_folder(tmp_path / "file")


def test_folder_of_ones_own_is_fine_and_stays_empty(tmp_path: Path) -> None:
    set_up.check_folder(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_small_disk_is_told_before_anything_starts(tmp_path: Path) -> None:
    set_up.check_room(tmp_path, 0)
    with pytest.raises(Trouble, match="GB free and the set-up needs"):
        set_up.check_room(tmp_path, 10**18)


def test_errors_of_the_file_system_are_told(tmp_path: Path) -> None:
    course = Course(tmp_path)
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    assert set_up.sentence_for_error(full, course) == set_up.DISK_FULL
    assert set_up.sentence_for_error(PermissionError(errno.EACCES, "no"), course) == set_up.FILES_IN_USE
    assert "set-up.log" in set_up.sentence_for_error(OSError(errno.EIO, "broken"), course)


@pytest.mark.parametrize("missing", [None, importlib.machinery.ModuleSpec("ensurepip", None)])
def test_missing_part_of_python_is_told_with_the_line_to_run(
    monkeypatch: pytest.MonkeyPatch, missing: importlib.machinery.ModuleSpec | None
) -> None:
    set_up.check_venv_module()
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: missing)
    with pytest.raises(Trouble, match=r"\n +sudo apt install python3-venv python3\.\d+-venv\n"):
        set_up.check_venv_module()


def test_incomplete_copy_is_told(tmp_path: Path) -> None:
    course = make_course(tmp_path / "top")
    course.pins.unlink()
    code, _, err = run(course, "set-up")
    assert code == 1 and "pins.txt is missing" in err
    code, _, err = run(course)
    assert code == 1 and "00-start-here.ipynb is missing" in err


@pytest.mark.parametrize("version", [(3, 6, 15), (3, 10, 13)])
def test_old_python_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], version: tuple[int, int, int]
) -> None:
    monkeypatch.setattr(sys, "version_info", version)
    with pytest.raises(SystemExit) as ended:
        runpy.run_path(str(TOP / "course_lib" / "__main__.py"), run_name="__main__")
    assert ended.value.code == 1
    told = capsys.readouterr().err
    assert "needs Python 3.11 or newer" in told and f"this is Python 3.{version[1]}:" in told


@pytest.mark.parametrize("name", ["__init__.py", "__main__.py", "version.py"])
def test_old_pythons_can_read_what_tells_them(name: str) -> None:
    source = (TOP / "course_lib" / name).read_text(encoding="utf-8")
    for step in ast.walk(ast.parse(source, feature_version=(3, 6))):
        assert not (isinstance(step, ast.ImportFrom) and step.module == "__future__")


# --- environments that somebody made themselves


def test_own_environment_is_used_when_it_has_the_packages(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    course = make_course(tmp_path / "top")
    assert not set_up.has_packages_here(course, "")
    course.project_file.write_text(PROJECT_FILE.replace("package-that-nobody-has>=1,<2", "pytest>=8"))
    monkeypatch.setattr(sys, "prefix", "/somewhere/else")
    assert set_up.has_packages_here(course, "test")
    assert set_up.python_for(course.top, "test") == Path(sys.executable)
    monkeypatch.setattr(sys, "prefix", sys.base_prefix)
    assert set_up.has_packages_here(course, "") == (Path(sys.base_prefix) / "conda-meta").is_dir()


def test_installed_course_needs_no_set_up(tmp_path: Path) -> None:
    assert set_up.python_for(tmp_path) == Path(sys.executable)


def test_versions_are_compared_by_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.metadata, "version", lambda name: "10.2.1rc1")
    assert set_up.is_installed("any-package")
    assert set_up.is_installed("any_package>=9.9")
    assert set_up.is_installed("any.package>=10.2,<11")
    assert not set_up.is_installed("any-package>=10.3,<11")
    assert not set_up.is_installed("any-package>=9,<10")


# --- the ways in


def test_help_names_every_way_in(capsys: pytest.CaptureFixture[str]) -> None:
    assert ways_in.main(["--help"]) == 0
    out = capsys.readouterr().out
    assert all(f"course_lib {name} " in out for name in ways_in.COMMANDS)


def test_unknown_command_lists_the_others(capsys: pytest.CaptureFixture[str]) -> None:
    assert ways_in.main(["crad"]) == 2
    err = capsys.readouterr().err
    assert err.startswith("There is no command 'crad'") and "course_lib card" in err


def test_ways_in_import_nothing_but_the_standard_library(finished: Course) -> None:
    program = (
        "import sys; from course_lib import ways_in; print(*{name.split('.')[0] for name in sys.modules})"
    )
    answer = subprocess.run(
        [sys.executable, "-S", "-c", program], capture_output=True, text=True, cwd=finished.top
    )
    assert set(answer.stdout.split()) - sys.stdlib_module_names <= {"course_lib", "__main__"}, answer.stderr


def test_what_follows_two_dashes_goes_to_jupyterlab() -> None:
    handed_on = ways_in.jupyterlab_arguments(["--no-browser", "--", "--port", "9000"])
    assert [word for word in handed_on if word != "--allow-root"] == ["--no-browser", "--port", "9000"]


def test_unknown_option_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert ways_in.main(["--port", "9000"]) == 1
    assert capsys.readouterr().err.startswith("'--port' is not known here")


@pytest.mark.parametrize(
    ("words", "port"),
    [
        ([], 8888),
        (["--port", "9"], 9),
        (["--port=10"], 10),
        (["--ServerApp.port=11", "--LabApp.port=12"], 12),
    ],
)
def test_asked_port_is_found(words: list[str], port: int) -> None:
    assert ways_in.asked_port(words) == port


@pytest.mark.parametrize(
    ("words", "folders"),
    [
        ([], ["tests", "lessons"]),
        (["-q", "--", "-k", "tests"], ["tests", "lessons"]),
        (["tests/test_one.py::test_it"], []),
    ],
)
def test_tests_cover_the_notebooks_unless_told_otherwise(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, words: list[str], folders: list[str]
) -> None:
    for name in ("tests", "lessons"):
        (tmp_path / name).mkdir()
    (tmp_path / "tests" / "test_one.py").touch()
    seen: list[list[str]] = []
    monkeypatch.setattr(ways_in, "TOP", tmp_path)

    def note_command(command: list[str], folder: Path) -> int:
        seen.append(command)
        return 5

    monkeypatch.setattr(ways_in, "run_to_the_end", note_command)
    assert ways_in.run_tests(words) == 5
    assert seen[0][1:5] == ["-m", "pytest", "--nbval", "--nbval-current-env"]
    several = ["-n", str(min(os.cpu_count() or 1, 4)), "--dist", "loadfile"] if folders else []
    assert seen[0][5:] == folders + [word for word in words if word != "--"] + several


@pytest.fixture
def lessons(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A folder with a first lesson, opened with the Python that runs the tests, in a home of its own."""
    (tmp_path / "lessons").mkdir()
    notebook = {"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}
    (tmp_path / ways_in.FIRST_LESSON).write_text(json.dumps(notebook))
    for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR"):
        monkeypatch.setenv(name, str(tmp_path / name))
    monkeypatch.setattr(ways_in, "TOP", tmp_path)
    return tmp_path


def test_taken_port_is_told_when_there_is_no_other(
    lessons: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(set_up, "python_for", lambda top: Path(sys.executable))
    with socket.socket() as busy:
        busy.bind(("127.0.0.1", 0))
        busy.listen()
        port = busy.getsockname()[1]
        words = ["--no-browser", "--", "--port", str(port), "--ServerApp.port_retries=0"]
        assert ways_in.main(words) == 1
    err = capfd.readouterr().err
    assert err.splitlines()[-1].startswith(f"Port {port} is taken by another program")
    assert "Traceback" not in err


@posix_only
def test_jupyterlab_opens_the_first_lesson_on_the_next_free_port(lessons: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from course_lib import ways_in\n"
        f"ways_in.TOP = Path({str(lessons)!r})\n"
        "sys.exit(ways_in.main(sys.argv[1:]))"
    )
    with socket.socket() as busy:
        busy.bind(("127.0.0.1", 0))
        busy.listen()
        port = busy.getsockname()[1]
        command = [
            sys.executable,
            "-c",
            program,
            "--no-browser",
            "--",
            "--port",
            str(port),
            "--ServerApp.token=x",
        ]
        with subprocess.Popen(command, cwd=TOP, stderr=subprocess.PIPE, text=True) as lab:
            assert lab.stderr is not None
            url = next(found[0] for line in lab.stderr if (found := re.search(r"http://127[^?\s]+", line)))
            try:
                wait_until(lambda: b"JupyterLab" in ask(url + "?token=x"))
            finally:
                lab.terminate()
                lab.stderr.read()  # ends only when JupyterLab itself was told to end
    assert f":{port}/" not in url
    assert "/lab/tree/lessons/00-start-here.ipynb" in url


def ask(url: str) -> bytes:
    """Ask a server for a page; one that is not up yet answers nothing."""
    try:
        with urllib.request.urlopen(url, timeout=10) as answer:
            return bytes(answer.read())
    except OSError:
        return b""


@posix_only
def test_ctrl_c_is_left_to_the_program_that_runs() -> None:
    inner = (
        "import signal, sys, time\n"
        "signal.signal(signal.SIGINT, lambda *_: (time.sleep(0.3), sys.exit(5)))\n"
        "print('ready', flush=True)\n"
        "time.sleep(30)"
    )
    outer = (
        "import sys; from course_lib import ways_in\n"
        f"sys.exit(ways_in.run_to_the_end([sys.executable, '-c', {inner!r}]))"
    )
    command = [sys.executable, "-c", outer]
    with subprocess.Popen(command, cwd=TOP, stdout=subprocess.PIPE, start_new_session=True) as process:
        assert process.stdout is not None
        process.stdout.readline()
        os.killpg(process.pid, signal.SIGINT)  # a terminal sends it to both programs too
        assert process.wait(timeout=10) == 5


def test_ctrl_c_during_the_set_up_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(set_up, "make_ready", interrupt)
    assert ways_in.main(["set-up"]) == 130
    assert "run the same command again" in capsys.readouterr().err


# --- the pins


def test_pins_hold_versions_and_nothing_else() -> None:
    lines = (TOP / "course_lib" / "pins.txt").read_text(encoding="utf-8").splitlines()
    assert all(re.fullmatch(r"[a-z0-9-]+==[\w.]+( ; [\w.=<>!'() -]+)?", line) for line in lines)


def test_every_package_is_pinned_at_an_allowed_version() -> None:
    lines = (TOP / "course_lib" / "pins.txt").read_text(encoding="utf-8").splitlines()
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for requirement in project["dependencies"] + project["optional-dependencies"]["test"]:
        parts = re.fullmatch(r"([\w-]+)>=([\d.]+),<([\d.]+)", requirement)
        assert parts, requirement
        name, lowest, too_new = parts.groups()
        pinned = [
            line.split(" ;")[0].split("==")[1] for line in lines if line.startswith(f"{name.lower()}==")
        ]
        assert pinned, requirement
        for version in map(set_up.numbers_in, pinned):
            assert set_up.numbers_in(lowest) <= version < set_up.numbers_in(too_new), requirement
