"""What a learner's notebook calls: asking, answer boxes, the record of answers, progress, the form."""
