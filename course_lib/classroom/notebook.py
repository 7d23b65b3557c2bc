"""All that a lesson's notebook needs from the classroom, so that its first line is short."""

from course_lib.bench.units import quantity, size, unit_of
from course_lib.classroom.page.asking import open_lesson, open_own
from course_lib.classroom.page.cautions import cautions
from course_lib.classroom.page.glossary import glossary, word
from course_lib.classroom.page.hand_in import hand_in, hand_in_box
from course_lib.classroom.page.progress import progress, progress_box, start_over
from course_lib.classroom.pieces.job_in_hand import demo_job, load_job
from course_lib.classroom.pieces.own_numbers import my_job

mm = unit_of("mm")
um = unit_of("um")
gram = unit_of("gram")
degree = unit_of("degree")

__all__ = [
    "cautions", "degree", "demo_job", "glossary", "gram", "hand_in", "hand_in_box", "load_job", "mm",
    "my_job", "open_lesson", "open_own", "progress", "progress_box", "quantity", "size", "start_over", "um",
    "word",
]  # fmt: skip
