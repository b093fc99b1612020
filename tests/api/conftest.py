import pytest

from tests.api.houses import House


@pytest.fixture
def house(db):
    return House()


@pytest.fixture
def neighbor(db):
    return House()
