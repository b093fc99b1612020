"""Guards of a test's own, which are missing where the test says so; in place of those of the product."""

from unittest.mock import patch

from projects.catalogue.tables import stages
from projects.stages.guards import ENTER, GUARDS, LEAVE, Guard


class Held:
    """One guard at every door of every stage: 'enter_rough_in', 'leave_rough_in'. lacking: {(room id, guard)}."""

    def __init__(self, safety=()):
        self.lacking, self.looks = set(), 0
        self.guards = {
            f"{at}_{stage.key}": self._guard(f"{at}_{stage.key}", stage.key, at, f"{at}_{stage.key}" in safety)
            for stage in stages()
            for at in (ENTER, LEAVE)
        }

    def _guard(self, key, stage, at, safety):
        def missing(rooms):
            self.looks += 1
            return {room.pk: f"{key} is missing." for room in rooms if (room.pk, key) in self.lacking}

        return Guard(key, stage, at, key.replace("_", " "), missing, safety)

    def instead(self):
        return patch.dict(GUARDS, self.guards, clear=True)


def doors(own, came_from, goes_to):
    """The guards between two places of a list of stages' keys, walked door by door."""
    here, there = own.index(came_from), own.index(goes_to)
    walked = []
    for at in range(here, there):
        walked += [f"leave_{own[at]}", f"enter_{own[at + 1]}"]
    return walked
