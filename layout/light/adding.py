"""A meter reading into the log, with what is predicted for its place as things stand now."""

from layout.light import services
from layout.light.predicting import dims_at, predicted
from layout.light.queries import RoomLight


def add_reading(light: RoomLight, fields, percents, *, by):
    """fields: as ReadingForm.fields_of_record. percents: zone letter -> level it was read at."""
    lux = predicted(light, fields, dims_at(percents))
    digest = light.made.digest if lux is not None else ""
    return services.add_reading(light.room, by=by, dims=percents, predicted_lx=lux, digest=digest, **fields)
