"""The shortest chain and the least tree found by other means: every order, every tree, and a general solver."""

from itertools import pairwise, permutations, product

from ortools.sat.python import cp_model


def steps(a, b):
    return abs(a[0] - b[0]) + abs(a[1] - b[1])


def length(points):
    return sum(steps(a, b) for a, b in pairwise(points))


def by_every_order(points, start=None):
    """The least length over every order; a handful of points."""
    ahead = [start] if start is not None else []
    return min(length([*ahead, *order]) for order in permutations(points))


def by_circuit(points, start, seconds=60, workers=2):
    """The least length, by a circuit over the points, the start, and a way back that costs nothing. Whole numbers.

    Returns: what was found, and what nothing is below; equal when it is proven.
    """
    model = cp_model.CpModel()
    places = [*points, start]
    arcs, cost = [], []
    for i, a in enumerate(places):
        for j, b in enumerate(places):
            if i != j:
                taken = model.new_bool_var("")
                arcs.append((i, j, taken))
                cost.append(taken * (0 if j == len(points) else steps(a, b)))
    model.add_circuit(arcs)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    solver.solve(model)
    return round(solver.objective_value), round(solver.best_objective_bound)


def by_every_tree(points):
    """The least tree over the points, by every tree there is: n to the n - 2 of them (A. Cayley, 1889)."""
    count = len(points)
    if count == 1:
        return 0
    return min(
        sum(steps(points[a], points[b]) for a, b in tree_of(code, count))
        for code in product(range(count), repeat=count - 2)
    )


def tree_of(code, count):
    """The tree that a code of H. Prüfer (1918) stands for."""
    degree = [1 + code.count(point) for point in range(count)]
    edges = []
    for point in code:
        leaf = degree.index(1)
        edges.append((leaf, point))
        degree[leaf] -= 1
        degree[point] -= 1
    last = [point for point in range(count) if degree[point] == 1]
    return [*edges, (last[0], last[1])]
