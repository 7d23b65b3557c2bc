"""What the bench refuses, said so that a person can mend it.

Every refusal names the argument (or the row and column), what came, and what would do.
"""


class Refused(ValueError):
    """A value, a file or a request that cannot be used; the message says how to mend it."""


class WrongUnit(Refused, TypeError):
    """A bare number where a unit is needed, or a unit of another kind."""


class NoRoute(Refused):
    """No run of passes leads from the start to the finish within the limits."""


class NoDrill(Refused):
    """No drill in the set frees the post without leaving too much play."""


class NoSolder(Refused):
    """The joints cannot be made with these solders on this metal."""
