"""Does everything that the course needs work here? And if not, the line that mends it."""

import sys
from dataclasses import dataclass
from importlib import metadata
from importlib.util import find_spec
from typing import Any

from course_lib.bench.filing import write_whole
from course_lib.bench.refusals import Refused
from course_lib.classroom.pieces.job_in_hand import demo_job
from course_lib.classroom.pieces.own_folder import ANSWERS, kept_at
from course_lib.screen.page_parts import heard_and_seen
from course_lib.screen.pages import page_from

PROJECT = "duplicate-earring-course"
OLDEST_PYTHON = (3, 11)
NEEDED = ("numpy", "pandas", "matplotlib", "ipywidgets", "jinja2", "pint")
_IN_BROWSER = sys.platform == "emscripten"
_AGAIN = (
    "Load this page in the browser once more."
    if _IN_BROWSER
    else "Close JupyterLab. In a terminal, in the top folder of the course, run: python3 -m course_lib"
)
_WIDGET = "application/vnd.jupyter.widget-view+json"


@dataclass(frozen=True)
class Checked:
    """One thing that was looked at; `mend` says what to do when it is not in order."""

    what: str
    in_order: bool
    mend: str = ""

    def __str__(self) -> str:
        return f"{self.what}: in order." if self.in_order else f"{self.what}: NOT in order. {self.mend}"


class SetUpChecked:
    """What a cell shows of the check, with a slider to try."""

    def __init__(self, lines: list[Checked]) -> None:
        self.lines = lines

    @property
    def in_order(self) -> bool:
        """Whether all is well."""
        return all(line.in_order for line in self.lines)

    def __repr__(self) -> str:
        return "\n".join([*map(str, self.lines), f"If you see no slider here: {_AGAIN}"])

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        bundle: dict[str, Any] = {"text/plain": repr(self)}
        if find_spec("ipywidgets"):
            bundle[_WIDGET] = _with_slider(self.lines)._repr_mimebundle_().get(_WIDGET)
        return bundle


def _with_slider(lines: list[Checked]) -> Any:
    import ipywidgets as widgets

    slider = widgets.IntSlider(value=0, min=0, max=10, description="Move me")
    heard = widgets.HTML("Take the round grip with the mouse, or press Tab and then the arrow keys.")

    def hear(change: dict[str, Any]) -> None:
        heard.value = f"The slider stands at {change['new']}: it works."

    slider.observe(hear, "value")
    return heard_and_seen([widgets.HTML(page_from("set_up.html", lines=lines)), slider, heard])


def check_set_up() -> SetUpChecked:
    """Look at Python, the packages, the data of the course and the folder for the answers."""
    return SetUpChecked([_python(), *_packages(), _data(), _folder()])


def _python() -> Checked:
    running = sys.version_info[:2]
    return Checked(f"Python {'.'.join(map(str, running))}", running >= OLDEST_PYTHON, _AGAIN)


def _packages() -> list[Checked]:
    """Each package at a version that the course was made for."""
    wanted = _wanted()
    checked = []
    for name in NEEDED:
        try:
            version = metadata.version(name)
        except metadata.PackageNotFoundError:
            checked.append(Checked(name, False, _AGAIN))
            continue
        fits = name not in wanted or wanted[name].contains(version, prereleases=True)
        checked.append(Checked(f"{name} {version}", fits, f"It should be {wanted.get(name)}. {_AGAIN}"))
    return checked


def _wanted() -> dict[str, Any]:
    """The versions that the installed course asks for; nothing where it runs from its folder alone."""
    from packaging.requirements import Requirement  # matplotlib brings it

    try:
        lines = metadata.requires(PROJECT) or []
    except metadata.PackageNotFoundError:
        return {}
    needed = [Requirement(line) for line in lines if "extra" not in line]
    return {each.name: each.specifier for each in needed}


def _data() -> Checked:
    try:
        demo_job()
    except (Refused, OSError):
        return Checked("The demo piece", False, "Get the whole course again: a part of it is missing.")
    return Checked("The demo piece", True)


def _folder() -> Checked:
    """Try to write: permissions alone do not tell everywhere."""
    folder = kept_at(ANSWERS).parent
    trial = folder / "can-be-written.txt"
    try:
        folder.mkdir(exist_ok=True)
        write_whole(trial, b"")
        trial.unlink()
    except (Refused, OSError):
        mend = f"{folder.parent} cannot be written to. Copy the whole course to a folder of your own."
        return Checked("The folder for your answers", False, mend)
    return Checked(f"The folder for your answers ({folder.name})", True)
