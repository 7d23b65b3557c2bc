"""Text that a spreadsheet exported, whatever it is encoded in."""

from pathlib import Path

from course_lib.bench.refusals import Refused


def exported_text(path: Path, called: str, largest: int) -> str:
    """The text of a CSV file.

    Args:
        path: the file.
        called: what it should be, for the messages, such as ``"a measuring sheet"``.
        largest: more bytes than this cannot be right.

    Returns:
        The text, without a byte-order mark. What is not UTF-8 is read as Windows writes it.

    Raises:
        Refused: there is no such file, or it is none that a spreadsheet exports as CSV.
    """
    try:
        if not path.exists():
            raise Refused(f"{path}: there is no such file. Check the name and the folder.")
        if path.is_dir():
            raise Refused(f"{path} is a folder. Give the name of {called} in it.")
        amount = path.stat().st_size
        if amount > largest:
            raise Refused(
                f"{path.name} holds {amount / 1e6:.0f} MB; {called} is text, under {largest / 1e6:.0f} MB. "
                "Is it the right file?"
            )
        content = path.read_bytes()
    except (OSError, RuntimeError) as error:
        said = getattr(error, "strerror", None) or error
        raise Refused(f"{path} cannot be read: {said}.") from None
    return _decoded(content, path.name)


def _decoded(content: bytes, name: str) -> str:
    if content.startswith(b"PK"):
        raise Refused(f"{name} is a workbook, not CSV. In the spreadsheet choose 'Save as' and the kind CSV.")
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            return content.decode("utf-16")
        except UnicodeDecodeError:
            raise Refused(f"{name} is cut short or damaged. Export it again as CSV.") from None
    if b"\0" in content:
        raise Refused(f"{name} is not text. In the spreadsheet choose 'Save as' and the kind CSV.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")
