"""Pages and parts of pages: layouts of the folder `layouts`, filled with values.

Whatever is filled in is text, and no mark of the page: only what came from a layout, or from the writer of
the drawings, is taken as it is.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from course_lib.bench.for_spreadsheets import printable
from course_lib.screen import inks

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

LAYOUTS = Path(__file__).parent / "layouts"


@cache
def layouts() -> Environment:
    """The layouts, each read when it is first wanted."""
    # not at the top: a notebook that shows no page yet need not wait for it
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    found = Environment(
        loader=FileSystemLoader(LAYOUTS), autoescape=True, undefined=StrictUndefined, auto_reload=False,
        trim_blocks=True, lstrip_blocks=True, finalize=_in_letters,
    )  # fmt: skip
    found.globals["ink"] = inks
    return found


def _in_letters(value: Any) -> Any:
    return printable(value) if type(value) is str else value


def page_from(name: str, /, **values: Any) -> Markup:
    """A layout, filled.

    Args:
        name: of a file in `layouts`.
        values: what it asks for.

    Returns:
        Text of a page, safe to be filled into another layout.

    >>> str(page_from("paragraphs.html", text="0.8 < 0.9"))
    '<div style="line-height: 1.45"><p>0.8 &lt; 0.9</p></div>'
    """
    from markupsafe import Markup

    return Markup(layouts().get_template(name).render(values))


def part_from(name: str, part: str, /, **values: Any) -> Markup:
    """One part of a layout that holds several, filled.

    Args:
        name: of a file in `layouts`.
        part: its macro.
        values: what the part asks for.

    >>> str(part_from("form.html", "trouble", text="0.8 < 0.9"))
    '<span class="course-trouble" role="alert">0.8 &lt; 0.9</span>'
    """
    filled: Markup = getattr(layouts().get_template(name).module, part)(**values)
    return filled


def paragraphs(text: str) -> Markup:
    """Plain text as paragraphs and lines of a page."""
    return page_from("paragraphs.html", text=text)


def page_file(name: str, /, **values: Any) -> bytes:
    """A layout of a whole page, filled: the content of an HTML file that needs nothing else."""
    return page_from(name, **values).encode("utf-8", "replace")
