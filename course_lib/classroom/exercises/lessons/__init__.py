"""What the lessons ask: one file a lesson, `lesson_NN`, whose `LESSON` holds its objectives and exercises."""
