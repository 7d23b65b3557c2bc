"""One JupyterLab and one browser for all tests in this folder."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from .lab import TOP, Lab, OpenNotebook, browser_path, open_browser

HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Where there is no Chromium, say so; where one is promised (BROWSER_TESTS=must), run and fail."""
    if browser_path() or os.environ.get("BROWSER_TESTS") == "must":
        return
    reason = "no Chromium on this computer: install it, or name one in COURSE_BROWSER"
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.skip(reason=reason))


@pytest.fixture(scope="session", name="browser")
def _browser() -> Iterator[Browser]:
    with open_browser() as browser:
        yield browser


@pytest.fixture(scope="session", name="lab")
def _lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    """A copy of the lessons, as a learner has them; what is answered there is kept there."""
    root = tmp_path_factory.mktemp("learner")
    shutil.copytree(TOP / "lessons", root / "lessons", ignore=shutil.ignore_patterns("my-answers", ".ipynb*"))
    shutil.copytree(TOP / "data", root / "data")
    with Lab(root, tmp_path_factory.mktemp("lab")) as lab:
        yield lab


@pytest.fixture(name="open_notebook")
def _open_notebook(browser: Browser, lab: Lab) -> Iterator[Callable[..., OpenNotebook]]:
    opened: list[OpenNotebook] = []

    def open_it(path: str, wide: int = 1400, high: int = 1000) -> OpenNotebook:
        opened.append(OpenNotebook(browser, lab, path, wide, high))
        return opened[-1]

    yield open_it
    for notebook in opened:
        notebook.close()
    lab.end_kernels()
