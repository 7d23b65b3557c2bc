"""What the course asks: exercises by lesson and kind, and the slips that each one knows.

python -m course_lib.classroom.making.lesson_list
"""

from collections import Counter

from course_lib.classroom.exercises.course import find_lesson, lesson_numbers


def listed() -> str:
    """The list as text: a block a lesson, and the sums at the end."""
    lines, kinds, slips = [], Counter[str](), 0
    for number in lesson_numbers():
        lesson = find_lesson(number)
        lines.append(f"{number} {lesson.title}: {len(lesson.exercises)} exercises")
        for exercise in lesson.exercises:
            names = "; ".join(slip.name for slip in exercise.slips)
            lines.append(f"    {exercise.kind:8s} {exercise.name:16s} {len(exercise.slips)} slips: {names}")
            kinds[exercise.kind] += 1
            slips += len(exercise.slips)
    told = ", ".join(f"{count} {kind}" for kind, count in kinds.most_common())
    lines.append(f"{sum(kinds.values())} exercises ({told}), {slips} slips")
    return "\n".join(lines)


if __name__ == "__main__":
    print(listed())
