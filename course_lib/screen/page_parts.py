"""What a panel brings to the page besides its widgets: how it looks, and names for whoever hears it."""

from collections.abc import Sequence
from typing import Any

from course_lib.screen.pages import part_from

# A slider's handle and the box beside it carry no name of their own that a screen reader could say: both
# take the label of their row. A box that was turned is also told as wrong.
NAME_THE_SLIDERS = """
(() => {
  const name = panel => {
    for (const row of panel.querySelectorAll('.widget-hslider')) {
      const label = row.querySelector('.widget-label');
      const handle = row.querySelector('.noUi-handle');
      if (!label || !handle) continue;
      handle.setAttribute('aria-label', label.textContent);
      const box = row.parentElement.querySelector('.course-box input');
      if (box) box.setAttribute('aria-label', label.textContent + ', exact size');
    }
    for (const box of panel.querySelectorAll('.course-box')) {
      const input = box.querySelector('input');
      if (input) input.setAttribute('aria-invalid', box.classList.contains('course-wrong'));
    }
  };
  let tries = 0;
  const start = () => {
    const panel = element.closest('.course-panel');
    if (!panel) { if (tries++ < 100) setTimeout(start, 50); return; }
    name(panel);
    const seen = {subtree: true, childList: true, attributeFilter: ['class']};
    new MutationObserver(() => name(panel)).observe(panel, seen);
  };
  start();
})();
"""


def heard_and_seen(parts: Sequence[Any]) -> Any:
    """Widgets one under another, with the course's look, and with names that a screen reader can say."""
    import ipywidgets as widgets

    script = {
        "output_type": "display_data", "data": {"application/javascript": NAME_THE_SLIDERS}, "metadata": {},
    }  # fmt: skip
    look = widgets.HTML(part_from("panel.html", "look"))
    view = widgets.VBox([look, *parts, widgets.Output(outputs=(script,))])
    view.add_class("course-panel")
    return view
