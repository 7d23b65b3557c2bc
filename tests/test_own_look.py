"""The course's own settings of JupyterLab: no single letter is a command on its pages."""

import json
import re
import sysconfig
from pathlib import Path

from course_lib.ways_in import OWN_LOOK

SHORTCUTS = "@jupyterlab/shortcuts-extension:shortcuts"
# A picture that is open by itself is no page of the course.
ELSEWHERE = ".jp-ImageViewer"


def test_every_single_letter_of_this_jupyterlab_is_off() -> None:
    """Read from JupyterLab's own files: a letter that a newer one adds is found here."""
    said = json.loads((OWN_LOOK / "overrides.json").read_text(encoding="utf-8"))
    off = {
        (each["command"], tuple(each["keys"])) for each in said[SHORTCUTS]["shortcuts"] if each["disabled"]
    }
    schemas = Path(sysconfig.get_path("data")) / "share" / "jupyter" / "lab" / "schemas"
    found = {
        (each["command"], tuple(each["keys"]))
        for path in schemas.rglob("*.json")
        for each in json.loads(path.read_text(encoding="utf-8")).get("jupyter.lab.shortcuts", ())
        if each.get("keys")
        and all(re.fullmatch(r"(Shift )?[A-Z0-9]", key) for key in each["keys"])
        and each["selector"] != ELSEWHERE
    }
    assert len(found) > 20
    assert found <= off, found - off
