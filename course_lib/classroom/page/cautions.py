"""The cautions of a stage, shown where a step can hurt somebody."""

from dataclasses import dataclass

from course_lib.bench.tables import find
from course_lib.screen.pages import page_from


@dataclass(frozen=True)
class Cautions:
    """Cautions as a cell shows them; each is a step and its sentence."""

    lines: tuple[tuple[str, str], ...]

    def __repr__(self) -> str:
        return "\n".join(f"Caution ({step}): {says}" for step, says in self.lines)

    def _repr_html_(self) -> str:
        return page_from("cautions.html", cautions=self.lines)


def cautions(*steps: str) -> Cautions:
    """The cautions of steps of the work, from data/cautions.csv; the general one always comes last.

    Where there is a flame, that of platinum stands too: a lesson is worked through on any job.

    Args:
        steps: such as ``"measure"`` or ``"solder"``.

    Returns:
        What a cell shows.

    Raises:
        Refused: no such step is known; the message offers the nearest.

    >>> [step for step, _ in cautions("saw", "drill").lines]
    ['saw', 'drill', 'general']
    """
    flame = ["platinum"] if {"solder", "anneal"} & {*steps} else []
    wanted = dict.fromkeys([*steps, *flame, "general"])
    rows = [find("cautions", "step", step, "a step with a caution") for step in wanted]
    return Cautions(tuple((row["step"], row["caution"]) for row in rows))
