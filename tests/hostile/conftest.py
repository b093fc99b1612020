from tests.api.conftest import house, house_standing, neighbor, neighbor_standing  # noqa: F401  fixtures by their names
