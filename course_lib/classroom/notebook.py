"""All that a lesson's notebook needs from the classroom, so that its first line is short."""

from course_lib.bench.units import quantity, size, unit_of
from course_lib.classroom.asking import open_lesson
from course_lib.classroom.cautions import cautions
from course_lib.classroom.job_in_hand import demo_job, load_job

mm = unit_of("mm")
um = unit_of("um")
gram = unit_of("gram")
degree = unit_of("degree")

__all__ = [
    "cautions", "degree", "demo_job", "gram", "load_job", "mm", "open_lesson", "quantity", "size", "um",
]  # fmt: skip
