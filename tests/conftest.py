"""What every test shares; fixtures of one part stand in that part's own folder."""

import os

from hypothesis import settings

# A browser test's event loop runs in the test's own thread: the ORM is called from there on purpose.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"

# No test asserts a time: a slow machine is not a wrong answer. In CI the same examples are tried each time.
settings.register_profile("desk", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "desk")
