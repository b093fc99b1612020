"""Kinds of long work for tests: each does what a real one would, as little as possible of it. Knows no part's work."""

import os
import time

from projects.work.kinds import kind
from projects.work.running import WorkFailed
from projects.work.services import cancel


@kind("practice", may="read rooms")
def practice(work, progress):
    """So many steps, from where it was. `log`: a file that gets a line a step: who did it, and which."""
    steps = work.asked_for.get("steps", 1)
    for step in range(progress.done, steps):
        time.sleep(work.asked_for.get("seconds", 0))
        if log := work.asked_for.get("log"):
            with open(log, "a") as file:
                file.write(f"{os.getpid()} {step}\n")
        if work.asked_for.get("cancel_at") == step:
            cancel(work)
        if work.asked_for.get("fail_at") == step:
            raise WorkFailed("Room Snug has no readings. Enter them, then resume.")
        if work.asked_for.get("break_at") == step:
            raise ZeroDivisionError("a mistake in the program")
        progress.at(step + 1, steps)
    return {"steps": steps}


@kind("practice of the office", may="bid")
def practice_of_the_office(work, progress):
    return None
