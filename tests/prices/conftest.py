"""The shop, its people and who is signed in: the same as for the pages of jobs."""

from tests.projects.conftest import as_role, job, owner, people, room, shop

__all__ = ["as_role", "job", "owner", "people", "room", "shop"]
