"""The way in: python3 -m course_lib, run from the top folder of the course.

Pythons from 3.6 on must be able to read this file, so that they can say in a sentence that they are too old.
"""

import sys

OLDEST_PYTHON = (3, 11)


def main(arguments: "list[str]") -> int:
    """Do what the words after `python3 -m course_lib` ask for, and return the exit code."""
    if sys.version_info < OLDEST_PYTHON:
        sys.stderr.write(
            "This course needs Python 3.11 or newer and this is Python {}.{}: install a newer Python and run "
            "the same command with it, for example python3.13 -m course_lib\n".format(*sys.version_info)
        )
        return 1
    from course_lib import ways_in

    return ways_in.main(arguments)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
