"""What the command line does once the course is installed."""

import argparse
import io
import sys
from pathlib import Path

from course_lib.bench.job import Job
from course_lib.bench.plan import Plan
from course_lib.bench.refusals import Refused

BAD_INPUT = 2


def card(arguments: list[str]) -> int:
    """Make a bench card or a cut list from a measuring sheet.

    Args:
        arguments: ``SHEET.csv -o CARD.pdf`` (or ``-o CARD.csv``).

    Returns:
        0, or 2 when the sheet or the place for the card will not do; nothing is written then.
    """
    parser = argparse.ArgumentParser(
        prog="python -m course_lib card",
        description="Read a measuring sheet, plan the duplicate, and write its bench card.",
    )
    parser.add_argument("sheet", metavar="SHEET.csv", help="the measuring sheet; data/ has three to copy")
    parser.add_argument(
        "-o", "--out", metavar="CARD", help="CARD.pdf for the card, CARD.csv for the cut list"
    )
    chosen = parser.parse_args(arguments)
    try:
        sheet, out = _places(chosen.sheet, chosen.out)
        plan = Job.load(sheet).plan()
        written = plan.card(out)
    except Refused as refusal:
        print(refusal, file=sys.stderr)
        return BAD_INPUT
    except (OSError, RuntimeError) as error:
        print(f"{chosen.sheet} cannot be used: {error}. Check the name and the folder.", file=sys.stderr)
        return BAD_INPUT
    _report(plan, written)
    return 0


def _places(sheet: str, out: str | None) -> tuple[Path, Path]:
    """Where the sheet is and where the card goes; refused if the card would take the sheet's place."""
    source = Path(sheet)
    if not source.name:
        raise Refused(f"{sheet!r} is not a file. Give the name of the measuring sheet.")
    target = Path(out) if out else source.with_name(f"{source.stem}-card.pdf")
    if source.exists() and target.exists() and source.samefile(target):
        raise Refused(f"{target} is the measuring sheet itself. Give the card another name.")
    return source, target


def _report(plan: Plan, written: Path) -> None:
    """Say what was noticed, and where the card is."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        # a terminal or pipe that lacks a sign must not stop the report
        sys.stdout.reconfigure(errors="backslashreplace")
    for remark in plan.remarks:
        print(f"{'STOP' if remark.stop else 'Look'}: {remark}")
    print(f"Written: {written}")
