"""All that a teacher needs to write an exercise of their own, in one line: see `own_exercises`."""

from course_lib.bench.units import quantity, shown, size
from course_lib.classroom.exercise import Slip
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.fineness import GaugeStep, Step, TwoFigures, Whole
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.open_tasks import OpenTask
from course_lib.classroom.sizes import NumberAsked, SizeAsked

__all__ = [
    "ChoiceAsked", "Column", "GaugeStep", "JobInHand", "NumberAsked", "OpenTask", "OrderAsked", "SizeAsked",
    "Slip", "Step", "SymptomAsked", "TableAsked", "TwoFigures", "Whole", "quantity", "shown", "size",
]  # fmt: skip
