"""What a panel brings to the page besides its widgets: how it looks, and names for whoever hears it."""

from collections.abc import Sequence
from typing import Any

STYLE = """
.course-panel .course-layer > .widget-html-content { width: 100%; line-height: 1.35; }
.course-seen { display: flex; flex-wrap: wrap; gap: 0.5em 1.5em; align-items: flex-start; }
.course-drawing { flex: 0 1 690px; max-width: 100%; contain: layout paint style; }
.course-drawing svg { display: block; width: 100%; height: auto; }
.course-told { flex: 1 1 15em; max-width: 30em; }
.course-panel table.course-numbers { border-collapse: collapse; margin: 0.3em 0; font-size: 1em; }
.course-panel .course-numbers th { text-align: left; font-weight: normal; padding: 0.1em 1em 0.1em 0; }
.course-panel .course-numbers td { text-align: right; white-space: nowrap; }
.course-panel .course-numbers td { font-variant-numeric: tabular-nums; }
.course-trouble-place { min-height: 3em; }
.course-panel .course-numbers tr { border-bottom: 1px solid var(--jp-border-color2, #ccc); background: none; }
.course-panel .course-warnings { min-height: 5.5em; }
.course-panel .course-warnings ul { margin: 0.4em 0; padding: 0; list-style: none; }
.course-warnings li { border-left: 4px dotted currentColor; padding: 0 0 0 0.6em; margin: 0.3em 0; }
.course-warnings li.course-stop { border-left: 4px solid #a63d00; }
.course-trouble { border: 2px solid #a63d00; padding: 0 0.6em; line-height: 1.4; }
.course-panel .course-box.course-wrong input { border: 2px dashed #a63d00 !important; }
.course-panel .noUi-handle:focus-visible, .course-panel button:focus-visible { outline: 3px solid #1a5fb4; }
"""

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
    look = widgets.HTML(f"<style>{STYLE}</style>")
    view = widgets.VBox([look, *parts, widgets.Output(outputs=(script,))])
    view.add_class("course-panel")
    return view
