import pytest

from tests.api.houses import House
from tests.conftest import own_copy, standing

house_standing = standing(House)
neighbor_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return own_copy(house_standing)


@pytest.fixture
def neighbor(neighbor_standing, db):
    return own_copy(neighbor_standing)
