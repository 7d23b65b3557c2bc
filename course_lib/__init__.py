"""A course for the bench: plan the making of one lost earring of a pair.

Three rooms, one direction: ``classroom`` may use ``screen`` and ``bench``, ``screen`` may use
``bench``, and ``bench`` uses neither. This front door needs only the standard library, so that
the course can set itself up before anything is installed.
"""

from course_lib.version import VERSION as __version__

__all__ = ["__version__"]
