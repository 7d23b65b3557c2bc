"""What the command line does once the course is installed."""

import argparse
import sys
from pathlib import Path

from course_lib.bench.job import Job, Plan
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
    sheet = Path(chosen.sheet)
    out = Path(chosen.out) if chosen.out else sheet.with_name(f"{sheet.stem}-card.pdf")
    try:
        if out.resolve() == sheet.resolve():
            raise Refused(f"{out} is the measuring sheet itself. Give the card another name.")
        plan = Job.load(sheet).plan()
        written = plan.card(out)
    except Refused as refusal:
        print(refusal, file=sys.stderr)
        return BAD_INPUT
    _report(plan, written)
    return 0


def _report(plan: Plan, written: Path) -> None:
    """Say what was noticed, and where the card is."""
    for remark in plan.remarks:
        print(f"{'STOP' if remark.stop else 'Look'}: {remark}")
    print(f"Written: {written}")
