"""The version of the course, which cards, records and hand-ins name."""

VERSION = "0.2.0"
