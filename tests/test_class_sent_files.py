"""What learners send is read within bounds or refused with a reason; nothing is followed, run or unpacked."""

import gzip
import io
import json
import os
import random
import socket
import stat
import tempfile
import tracemalloc
import zipfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from course_lib.bench.refusals import Refused
from course_lib.classroom.pieces.learner_code import code_from
from course_lib.classroom.school import sent_files as reading
from course_lib.classroom.school.sent_files import (
    LARGEST,
    LONGEST_ANSWER,
    MOST_TRIES,
    CannotUse,
    Sent,
    content_of,
    moment,
    read_sent,
    sent_files,
)
from course_lib.classroom.school.work_record import Given
from tests.invented_class import changed, hand_in_of, hostile_files

CODE = code_from("usual", "a sender")
WHO = Given("1", "Ann Example", CODE, "0123456789ab")
TRY = {
    "lesson": "01", "exercise": "value", "answer": "0.81 mm", "verdict": "right", "slip": "", "seen": "",
    "time": "2026-05-04T10:00:00+00:00",
}  # fmt: skip
GOOD = hand_in_of(WHO, [TRY, {**TRY, "answer": "1; 2\n3; 4"}, {**TRY, "exercise": "band"}], datetime.now(UTC))
WHERE_A_NUMBER_STANDS = b'"left_out": 0'


def reason(content: bytes) -> str:
    with pytest.raises(CannotUse) as refusal:
        read_sent(content)
    return str(refusal.value)


def test_a_good_file_is_read_whole() -> None:
    sent = read_sent(GOOD)
    assert (sent.code, sent.job, sent.turn, sent.remarks) == (CODE, WHO.digest, 1, [])
    assert [one["answer"] for one in sent.tries] == ["0.81 mm", "1; 2\n3; 4", "0.81 mm"]
    assert sent.handed_in is not None and sent.handed_in.tzinfo is not None


@pytest.mark.parametrize("indent", [None, 3])
def test_the_same_file_written_by_somebody_elses_program_is_read_alike(indent: int | None) -> None:
    """With escapes, another order, other spaces, a byte-order mark: the quick look does not apply to it."""
    said = json.loads(GOOD)
    said["tries"] = [dict(reversed(one.items())) for one in said["tries"]]
    text = json.dumps(dict(reversed(said.items())), indent=indent)
    for content in (
        text.encode(),
        b"\xef\xbb\xbf" + text.encode(),
        text.replace("value", "va\\u006cue").encode(),
    ):
        sent = read_sent(content)
        assert [{**one} for one in sent.tries] == [dict(one) for one in read_sent(GOOD).tries]
        assert sent.remarks == []


def test_hostile_files_are_refused_each_with_its_reason() -> None:
    for name, (content, _) in hostile_files(GOOD).items():
        if name in ("number.json", "empty.json", "large.json"):
            continue
        assert reason(content), name
    assert read_sent(hostile_files(GOOD)["number.json"][0]).code == CODE


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (b"NaN", "NaN, which is no number"),
        (b"-Infinity", "Infinity, which is no number"),
        (b"9" * 5000, "what no hand-in holds"),
        (b"[" * 100_000 + b"]" * 100_000, "nested more deeply"),
        (b'{"a":' * 50_000 + b"1" + b"}" * 50_000, "nested more deeply"),
        (b"[" * 1_500_000, "nested more deeply"),
        (b'"left' + b"\\" * 9 + b'"', "cut short or damaged"),
        (b"0, 1", "cut short or damaged"),
        (b'0, "code": "LO47-MI82-L"', "stands in it twice"),
        (b'0, "cod\\u0065": "LO47-MI82-L"', "stands in it twice"),
    ],
)
def test_what_stands_for_a_number_can_be_anything(value: bytes, said: str) -> None:
    assert said in reason(GOOD.replace(WHERE_A_NUMBER_STANDS, b'"left_out": ' + value))


def test_a_name_that_stands_twice_in_a_try_is_found_even_if_something_else_is_missing() -> None:
    """As many quotation marks as in a good file: one answer too many here, one name too few there."""
    twice = GOOD.replace(b'"answer": "0.81 mm"', b'"answer": "9 mm", "answer": "0.81 mm"', 1)
    assert "twice" in reason(twice)
    for missing in (b', "seen": ""', b'"course": "0.1.0",\n ', b'"turn": 1,\n '):
        assert "twice" in reason(twice.replace(missing, b"", 1))


@pytest.mark.parametrize("cut", range(1, len(GOOD), 37))
def test_a_file_cut_short_in_transit_is_refused(cut: int) -> None:
    assert reason(GOOD[:cut]) in (
        "it is no hand-in of this course",
        *(f"it is cut short or damaged in line {at}" for at in range(1, 30)),
    )


def test_tries_that_are_none_are_left_out_and_told() -> None:
    odd = [
        7, None, "text", [], {}, {**TRY, "answer": 1e308}, {**TRY, "answer": None},
        {**TRY, "answer": ["0.81 mm"]}, {**TRY, "lesson": {"a": 1}}, {**TRY, "slip": "x" * 300},
        {**TRY, "answer": "x" * (LONGEST_ANSWER + 1)},
    ]  # fmt: skip
    sent = read_sent(changed(GOOD, tries=[TRY, *odd]))
    assert len(sent.tries) == 1 and f"{len(odd)} of its tries" in sent.remarks[0]
    # an older version may have said less of a try
    assert (
        len(
            read_sent(
                changed(GOOD, tries=[{key: TRY[key] for key in ("lesson", "exercise", "answer")}])
            ).tries
        )
        == 1
    )


def test_text_that_no_file_can_hold_is_made_harmless() -> None:
    sent = read_sent(changed(GOOD, tries=[{**TRY, "answer": "0.8 \ud800 mm"}]))
    assert sent.tries[0]["answer"] == "0.8 ? mm"


@pytest.mark.parametrize(
    "said", [None, "", "yesterday", "2026-05-04T10:00:00", "0001-01-01T00:00:00+00:00", 7, "x" * 99]
)
def test_a_time_that_is_none_counts_as_none(said: Any) -> None:
    assert moment(said) is None
    assert read_sent(changed(GOOD, handed_in=said)).handed_in is None


@pytest.mark.parametrize("turn", [None, -1, 1e308, "2", 10**18, True])
def test_a_turn_that_is_none_counts_as_the_first(turn: Any) -> None:
    assert read_sent(changed(GOOD, turn=turn)).turn == 1


def test_a_million_tries_are_refused_before_anybody_looks_at_them() -> None:
    assert f"more than {MOST_TRIES}" in reason(changed(GOOD, tries=[0] * 1_000_000))


# --- files ---------------------------------------------------------------------------------------------


def refused_file(path: Path) -> str:
    with pytest.raises(CannotUse) as refusal:
        content_of(path)
    return str(refusal.value)


def test_a_huge_file_is_not_even_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "huge.json"
    with path.open("wb") as file:
        file.truncate(1 << 30)  # a gigabyte, of which the disk holds nothing
    monkeypatch.setattr(os, "open", lambda *_: pytest.fail("it was opened"))
    assert "1074 MB; a hand-in is under 4 MB" in refused_file(path)


def test_a_file_that_grows_while_it_is_read_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "grows.json"
    path.write_bytes(b"x" * (LARGEST + 100))
    small = os.stat_result((stat.S_IFREG | 0o644, 1, 1, 1, 0, 0, 10, 0, 0, 0))
    monkeypatch.setattr(os, "stat", lambda *_, **__: small)
    monkeypatch.setattr(os, "fstat", lambda *_: small)
    assert "4 MB" in refused_file(path)


def test_links_pipes_devices_and_folders_are_not_followed(tmp_path: Path) -> None:
    secret = tmp_path / "secret.json"
    secret.write_bytes(GOOD)
    (tmp_path / "link.json").symlink_to(secret)
    (tmp_path / "nowhere.json").symlink_to(tmp_path / "gone")
    os.mkfifo(tmp_path / "pipe.json")
    (tmp_path / "folder.json").mkdir()
    with socket.socket(socket.AF_UNIX) as door:
        door.bind(str(tmp_path / "door.json"))
        assert "link" in refused_file(tmp_path / "link.json")
        assert "link" in refused_file(tmp_path / "nowhere.json")
        assert "pipe" in refused_file(tmp_path / "pipe.json")
        assert "pipe or a device" in refused_file(tmp_path / "door.json")
        assert "pipe or a device" in refused_file(Path("/dev/zero"))
        assert "folder" in refused_file(tmp_path / "folder.json")
        assert "No such file" in refused_file(tmp_path / "gone.json")
        assert "cannot be read" in refused_file(Path("a\0b"))


def test_a_file_of_the_system_that_says_it_is_empty_but_never_ends(tmp_path: Path) -> None:
    if Path("/proc/self/status").exists():
        # its size is given as 0; reading stops at the bound all the same
        assert len(content_of("/proc/self/status")) < LARGEST


def test_a_bomb_of_an_archive_stays_packed() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("hand-in.json", b"0" * 50_000_000)
    assert len(packed.getvalue()) < 100_000
    tracemalloc.start()
    assert "archive" in reason(packed.getvalue()) and "archive" in reason(gzip.compress(GOOD))
    assert tracemalloc.get_traced_memory()[1] < 2_000_000
    tracemalloc.stop()


def test_the_worst_file_within_the_bound_takes_bounded_memory() -> None:
    """Four megabytes of the smallest things that JSON has, for which Python needs most."""
    worst = GOOD.replace(WHERE_A_NUMBER_STANDS, b'"left_out": [' + b"[]," * 1_300_000 + b"0]")
    assert len(worst) < LARGEST
    tracemalloc.start()
    read_sent(worst)
    assert tracemalloc.get_traced_memory()[1] < 250_000_000
    tracemalloc.stop()


def test_files_are_found_in_folders_but_not_behind_links(tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "private.json").write_bytes(GOOD)
    top = tmp_path / "in"
    for name in ("b.json", "a/b.json", "a/.hidden", "a/Thumbs.db", "__MACOSX/c.json", "z/y/x/w/v/u/t.json"):
        (top / name).parent.mkdir(parents=True, exist_ok=True)
        (top / name).write_bytes(GOOD)
    (top / "door").symlink_to(outside)
    (top / "marks").mkdir()
    (top / "marks" / "mark-list.csv").write_text("x")
    assert sent_files(top, top / "marks") == ["a/b.json", "b.json", "door", "z/y/x/w/v/u"]
    assert "link" in refused_file(top / "door")
    with pytest.raises(Refused, match="is no folder"):
        sent_files(top / "b.json")


def test_a_name_that_is_no_text_does_no_harm(tmp_path: Path) -> None:
    try:
        (tmp_path / os.fsdecode(b"bad-\xff-name.json")).write_bytes(GOOD)
    except OSError:
        pytest.skip("this system has no such names")
    (name,) = sent_files(tmp_path)
    assert read_sent(content_of(tmp_path / name)).code == CODE


# --- whatever comes ------------------------------------------------------------------------------------

FINITE = st.floats(allow_nan=False, allow_infinity=False)
ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | FINITE | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)
FIELDS = ["what", "version", "code", "job", "turn", "handed_in", "left_out", "course", "tries"]


def read_or_refused(content: bytes) -> Sent | None:
    try:
        sent = read_sent(content)
    except CannotUse as refusal:
        assert 0 < len(str(refusal)) < 300
        return None
    assert all(set(one) == set(TRY) and all(type(text) is str for text in one.values()) for one in sent.tries)
    json.dumps(sent.tries, ensure_ascii=False).encode("utf-8")  # it can be written to any file
    return sent


@settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.binary(max_size=400))
@example(b"\xff\xfe[\x00]\x00")
@example(b"null")
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    read_or_refused(content)


@settings(max_examples=600, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(FIELDS), ANY_JSON)
def test_anything_in_any_place_of_the_head_is_read_or_refused(field: str, value: Any) -> None:
    read_or_refused(changed(GOOD, **{field: value}))


@settings(max_examples=600, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.lists(st.dictionaries(st.sampled_from([*TRY, "more"]), ANY_JSON, max_size=8) | ANY_JSON, max_size=5)
)
def test_anything_for_a_try_is_left_out_or_read(tries: list[Any]) -> None:
    content = changed(GOOD, tries=[TRY, *tries])
    if read_or_refused(content) is None:
        assert "nested more deeply" in reason(content)


@settings(max_examples=1500, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.integers(0, 2**32), st.integers(1, 6))
def test_a_good_file_with_pieces_cut_out_doubled_or_changed_is_read_or_refused(seed: int, often: int) -> None:
    rng, content = random.Random(seed), GOOD
    for _ in range(often):
        start = rng.randrange(len(content) + 1)
        stop = min(len(content), start + rng.randrange(40))
        piece = rng.choice(
            (
                b"",
                content[start:stop] * 2,
                bytes(rng.randrange(256) for _ in range(3)),
                b'"',
                b"[",
                b"}",
                b"\\",
                b",",
            )
        )
        content = content[:start] + piece + content[stop:]
    sent = read_or_refused(content)
    # what is read by the quick look is what the careful one reads
    if sent is not None:
        careful = reading._only_as_written(reading._as_json(content, reading._each_name_once)["tries"], [])
        assert sent.tries == careful


def test_the_quick_look_lets_nothing_pass_that_the_careful_one_would_not() -> None:
    """Every single byte of a good file changed to each of the signs that matter."""
    signs = b'"\\{}[]:,0n '
    for at in range(0, len(GOOD), 2):
        for sign in signs:
            content = GOOD[:at] + bytes([sign]) + GOOD[at + 1 :]
            sent = read_or_refused(content)
            if sent is not None:
                found = reading._as_json(content, reading._each_name_once)
                assert sent.tries == reading._only_as_written(found["tries"], [])


def test_nothing_is_written_by_reading() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "in.json"
        path.write_bytes(GOOD)
        before = path.stat()
        read_sent(content_of(path))
        assert sent_files(folder) == ["in.json"] and path.stat().st_mtime_ns == before.st_mtime_ns
