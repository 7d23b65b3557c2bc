"""An invented class for tests: thirty invented names, and hand-ins of every kind, good and bad."""

import json
import random
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from course_lib.classroom.exercises.exercise import Exercise
from course_lib.classroom.page.hand_in import FORMAT, WHAT, as_file
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.school.work_record import Given, SetWork

# All invented. Some are hard on whoever prints, sorts or calculates with them.
NAMES = (
    "Alvar Test", "Beatrix Sample", "Cosmo Example", "Dilnoza Invented", "Édouard Modèle", "Fenja Muster",
    "Giorgio Prova", "Hülya Örnek", "Ines Exemplo", "Jørgen Prøve", "Kasimir Wzór", "Łucja Próbna",
    "Matteo Finto", "Nguyễn Thử", "Olamide Made-Up", "Padma Kalpit", "Quirin Probe", "Rosa Ficticia",
    "Sorin Inventat", "Tova Påhitt", "Ulla O'Example", "Vida Namišljena", "Wanjiru Mfano",
    "Xenia Platz-Halter", "Yusuf Uydurma", "Zdenka Vymyšlená", "=cmd|' /C calc'!A0", "@SUM(1+1)*9",
    "../../../etc/passwd", "山田 見本",
)  # fmt: skip


def class_list(names: Sequence[str] = NAMES) -> str:
    """A class list as a school exports it."""
    rows = "\n".join(f'{1001 + at};"{name}"' for at, name in enumerate(names))
    return f"Student ID;Student Name\n{rows}\n"


def tries_of(
    asked: Sequence[tuple[str, Exercise]], job: JobInHand, skill: float, seed: object, start: datetime
) -> list[dict[str, str]]:
    """What a learner of this skill (0 to 1) tries: often right, else a known slip or a guess."""
    rng, now = random.Random(str(seed)), start
    tries: list[dict[str, str]] = []
    for lesson, exercise in asked:
        if rng.random() > 0.5 + 0.5 * skill:
            continue  # left out
        for often in range(6):
            now += timedelta(seconds=rng.randint(20, 200))
            right = rng.random() < skill
            answer = _answer(exercise, job, right, rng)
            verdict = exercise.judged(answer, job)
            seen = "working" if often == 3 else "clue" if often == 2 else ""
            tries.append(
                {
                    "lesson": lesson,
                    "exercise": exercise.name,
                    "answer": answer,
                    "verdict": str(verdict.found),
                    "slip": verdict.slip,
                    "seen": seen,
                    "time": now.isoformat(timespec="seconds"),
                }
            )
            if verdict.is_right or rng.random() > 0.3 + 0.6 * skill:
                break
    return tries


def _answer(exercise: Exercise, job: JobInHand, right: bool, rng: random.Random) -> str:
    if exercise.ticks:
        letters = list(exercise.offered(job))
        return " ".join(letters if right else letters[:1])
    expected = exercise.expected(job)
    if right:
        return exercise.written(expected, job)
    slips = [value for slip in exercise.slips if (value := slip.value(job)) is not None]
    if slips and rng.random() < 0.8:
        # the first slip of a list is the commonest
        return exercise.written(slips[0] if rng.random() < 0.6 else rng.choice(slips), job)
    if hasattr(exercise, "number"):
        return exercise.written(exercise.number(expected) * rng.uniform(0.4, 1.7), job)
    return exercise.prompt(job).removeprefix("for example ") or "z"


def hand_in_of(given: Given, tries: Sequence[dict[str, str]], when: datetime, turn: int = 1) -> bytes:
    """A hand-in as the course writes it."""
    whole = {
        "what": WHAT,
        "version": FORMAT,
        "course": "0.1.0",
        "code": given.code,
        "job": given.digest,
        "turn": turn,
        "handed_in": when.isoformat(timespec="seconds"),
        "left_out": 0,
    }
    return as_file(whole, tries)


def changed(content: bytes, **changes: Any) -> bytes:
    """A hand-in with something in it changed."""
    return json.dumps({**json.loads(content), **changes}).encode()


def write_hand_ins(work: SetWork, folder: Path, due: datetime) -> dict[str, str]:
    """A whole class's hand-ins: good and poor, late, twice, copied, edited, broken and hostile.

    Returns:
        By the name of each file, what it is.
    """
    asked = list(zip([lesson for lesson, _ in work.asked], work.exercises(), strict=True))
    made: dict[str, str] = {}

    def write(name: str, content: bytes, what: str) -> None:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
        made[name] = what

    files: dict[int, bytes] = {}
    for at, given in enumerate(work.learners):
        skill = (0.95, 0.85, 0.7, 0.5, 0.3)[at % 5]
        begun = due - timedelta(days=4, hours=at)
        tries = tries_of(asked, work.job_of(given.code), skill, given.code, begun)
        files[at] = hand_in_of(given, tries, due - timedelta(hours=20 - at % 10))
    said = {at: json.loads(content) for at, content in files.items()}
    for at, given in enumerate(work.learners):
        name = f"hand-in-{given.code}-20270110-1200{at:02d}.json"
        if at == 3:
            write(name, hand_in_of(given, said[at]["tries"], due + timedelta(days=1)), "late")
        elif at == 4:
            half = said[at]["tries"][: len(said[at]["tries"]) // 2]
            write(name, hand_in_of(given, half, due - timedelta(days=2)), "first of two")
            write(
                f"again/{name}",
                hand_in_of(given, said[at]["tries"], due - timedelta(days=1), 2),
                "second of two",
            )
            late = [one for one in said[at]["tries"] if one["verdict"] == "right"]
            write(f"late/{name}", hand_in_of(given, late, due + timedelta(hours=2), 3), "third, and late")
        elif at == 6:
            write(name, hand_in_of(given, said[5]["tries"], due - timedelta(hours=3)), "copied from number 5")
        elif at == 7:
            claims = [{**one, "verdict": "right", "slip": ""} for one in said[at]["tries"]]
            write(name, hand_in_of(given, claims, due - timedelta(hours=3)), "every verdict edited to right")
        elif at == 8:
            pass  # nothing handed in
        elif at == 9:
            write(name, files[at][: len(files[at]) * 2 // 3], "cut short")
        elif at == 10:
            write(name, changed(files[at], code="LO47-MI82-L"), "nobody's code")
        elif at == 11:
            write(name, hand_in_of(work.learners[0], said[0]["tries"], due, 7), "named after another code")
        else:
            write(name, files[at], "good")
    for name, (content, what) in hostile_files(files[12]).items():
        write(f"odd/{name}", content, what)
    return made


def hostile_files(good: bytes) -> dict[str, tuple[bytes, str]]:
    """Files that nobody should send, made from a good one."""
    said = json.loads(good)
    one = said["tries"][0]
    deep = good.replace(b'"left_out": 0', b'"left_out": ' + b"[" * 50_000 + b"]" * 50_000)
    return {
        "empty.json": (b"", "empty"),
        "nan.json": (good.replace(b'"left_out": 0', b'"left_out": NaN'), "NaN"),
        "number.json": (
            good.replace(b'"left_out": 0', b'"left_out": 1e308'),
            "a huge number where one may be",
        ),
        "deep.json": (deep, "deep nesting"),
        "twice.json": (good.replace(b'"turn": 1', b'"turn": 1,\n "turn": 9'), "a name twice"),
        "a-million.json": (changed(good, tries=[one] * 9_000), "too many tries"),
        "zip.json": (b"PK\x03\x04" + b"\x00" * 100, "an archive"),
        "gzip.json.gz": (b"\x1f\x8b" + b"\x00" * 100, "an archive"),
        "latin.json": (good.replace(b'"course": "0.1.0"', b'"course": "\xff\xfe"'), "no UTF-8"),
        "list.json": (b"[1, 2, 3]", "no hand-in"),
        "newer.json": (changed(good, version=99), "a newer version"),
        "words.txt": (b"Dear teacher, here is my work", "a letter"),
        "no-code.json": (changed(good, code=["LO47"]), "no code"),
        "path.json": (changed(good, code="../../../etc/passwd"), "a path for a code"),
        "tries.json": (changed(good, tries={"a": 1}), "no list of tries"),
        "large.json": (b'{"what": "' + b"x" * 5_000_000, "too large"),
    }
