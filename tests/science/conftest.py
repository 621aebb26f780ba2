"""Settings of the science tests: properties are judged by their answers, never by the clock of a busy machine."""

from hypothesis import settings

settings.register_profile("science", deadline=None)
settings.load_profile("science")
