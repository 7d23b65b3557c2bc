"""Who has very like answers: the same numbers, although each was asked for others."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.classroom.exercises.keys import Key, asks_the_same
from course_lib.classroom.school.class_keys import number_in

# So many equal numbers where there should be none are worth a talk, if they are so much of all; fewer can be
# chance.
FEWEST = 3
_LEAST_SHARE = 0.15
# In a class this small everybody is compared with everybody; in a larger one, who has several in a row.
_SMALL_CLASS = 400
_IN_A_ROW = 3
_MOST_TOGETHER = 30
_MOST_PAIRS = 2_000


@dataclass(frozen=True)
class Alike:
    """Two hand-ins: how many numbers are the same, of those that should differ.

    `of_one` and `of_other` of these are right for the one, and for the other: whose numbers they are.
    """

    one: str
    other: str
    same: int
    of: int
    of_one: int = 0
    of_other: int = 0

    @property
    def share(self) -> float:
        """How much of what should differ is the same."""
        return self.same / self.of if self.of else 0.0

    @property
    def worth_a_talk(self) -> bool:
        """More than chance."""
        return self.same >= FEWEST and self.share >= _LEAST_SHARE


def alike_pairs(codes: Sequence[str], typed: Any, key_of: Callable[[str, int], Key]) -> list[Alike]:
    """Pairs with very like answers, the likest first.

    Args:
        codes: of the learners.
        typed: a row a learner, a column an exercise: the last number typed, NaN where there is none.
        key_of: gives what the key holds for a learner and the place of an exercise.

    Returns:
        The pairs. Where both were asked for the same number, equal answers do not count.
    """
    pairs = _pairs_of_all(typed) if len(codes) <= _SMALL_CLASS else _pairs_in_a_row(typed)
    found = []
    for at, (mine, theirs) in enumerate(pairs):
        if at >= _MOST_PAIRS:
            break
        pair = compared(codes[mine], codes[theirs], typed[mine], typed[theirs], key_of)
        if pair.worth_a_talk:
            found.append(pair)
    return sorted(_unexplained(found), key=lambda pair: (-pair.share * pair.same, pair.one, pair.other))


def _unexplained(pairs: Sequence[Alike]) -> Iterator[Alike]:
    """Without pairs that only follow from others.

    Whoever copied from one learner shares some numbers with a third, whose right ones lie near those.
    """
    most: dict[str, int] = defaultdict(int)
    for pair in pairs:
        for code in (pair.one, pair.other):
            most[code] = max(most[code], pair.same)
    for pair in pairs:
        if 2 * pair.same > max(most[pair.one], most[pair.other]):
            yield pair


def compared(one: str, other: str, mine: Any, theirs: Any, key_of: Callable[[str, int], Key]) -> Alike:
    """Count in two hand-ins the numbers that should differ, and those that do not.

    A number that is right for both is no sign of anything: theirs lie side by side, and were rounded alike.

    Args:
        one, other: the codes of the two learners.
        mine, theirs: the last number each typed in every exercise, NaN where there is none.
        key_of: gives the key of a learner for the place of an exercise.

    Returns:
        How many numbers are the same, of those that should differ.
    """
    both = np.flatnonzero(~np.isnan(mine) & ~np.isnan(theirs))
    should_differ = [at for at in both.tolist() if not asks_the_same(key_of(one, at), key_of(other, at))]
    same = of_one = of_other = by_chance = 0
    for at in should_differ:
        if mine[at] != theirs[at]:
            continue
        for_one, for_other = _is_right(mine[at], key_of(one, at)), _is_right(mine[at], key_of(other, at))
        if for_one and for_other:
            by_chance += 1
        else:
            same, of_one, of_other = same + 1, of_one + for_one, of_other + for_other
    return Alike(one, other, same, len(should_differ) - by_chance, of_one, of_other)


def _is_right(number: float, key: Key) -> bool:
    right = number_in(key)
    # the numbers typed are kept with seven figures
    return right is not None and bool(abs(number - right[0]) <= right[1] * 1.001 + 1e-6 * abs(right[0]))


def _pairs_of_all(typed: Any) -> Iterator[tuple[int, int]]:
    for mine in range(len(typed) - 1):
        same = (typed[mine + 1 :] == typed[mine]).sum(axis=1)
        for more in np.flatnonzero(same >= FEWEST).tolist():
            yield mine, mine + 1 + more


def _pairs_in_a_row(typed: Any) -> Iterator[tuple[int, int]]:
    """Pairs that share some numbers in neighbouring exercises: found by sorting, without comparing all."""
    seen: set[tuple[int, int]] = set()
    columns = [at for at in range(typed.shape[1]) if not np.isnan(typed[:, at]).all()]
    for start in range(len(columns) - _IN_A_ROW + 1):
        window = typed[:, columns[start : start + _IN_A_ROW]]
        rows = np.flatnonzero(~np.isnan(window).any(axis=1))
        together: dict[bytes, list[int]] = defaultdict(list)
        for row, content in zip(rows.tolist(), map(bytes, np.ascontiguousarray(window[rows])), strict=True):
            together[content].append(row)
        for group in together.values():
            if 2 <= len(group) <= _MOST_TOGETHER:
                for place, one in enumerate(group):
                    for other in group[place + 1 :]:
                        if (one, other) not in seen:
                            seen.add((one, other))
                            yield one, other
