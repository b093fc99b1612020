"""Two houses behind the database's own wall, asked as a role that does not see past it."""

import pytest
from django.db import connection

from tests.walk.walked import (  # noqa: F401
    house,
    house_standing,
    neighbor,
    neighbor_standing,
    owner,
    packets_unprinted,
)


@pytest.fixture
def walled(house, neighbor, settings):  # noqa: F811
    """A superuser's connection sees past row security: it speaks as a plain role until the test is rolled back."""
    from projects.walls.install import install

    settings.ROW_WALL = True
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        install()
        cursor.execute("SELECT rolsuper OR rolbypassrls FROM pg_roles WHERE rolname = current_user")
        if cursor.fetchone()[0]:
            cursor.execute(
                "CREATE ROLE wall_tester NOLOGIN; GRANT ALL ON ALL TABLES IN SCHEMA public TO wall_tester;"
                "GRANT ALL ON ALL SEQUENCES IN SCHEMA public TO wall_tester; SET LOCAL ROLE wall_tester"
            )
