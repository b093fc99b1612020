"""What a house has that the addresses of reports ask for, by the names that stand in the addresses."""

from tests.factories import CorrectionFactory


def ids_of_reports(house):
    correction = CorrectionFactory(result__room=house.room, result__visit__job=house.job)
    return {"correction_id": correction.pk, "visit_id": correction.result.visit_id}
