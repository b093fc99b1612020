"""What a computed room looks like: SVG, each with a table twin. Values in, text out: no records, no page."""

from layout.drawing.picture import Picture, Table
from layout.light.pictures.bands import Bands, bands_of
from layout.light.pictures.charts import ChartPoint, Choice, trade_off_chart, wall_chart
from layout.light.pictures.elevations import elevations
from layout.light.pictures.plan_map import plan_map
from layout.light.pictures.surfaces import isolines
from layout.light.pictures.values import Form, Told
from layout.light.pictures.view import Eye, from_the_door

__all__ = [
    "Bands",
    "ChartPoint",
    "Choice",
    "Eye",
    "Form",
    "Picture",
    "Table",
    "Told",
    "bands_of",
    "elevations",
    "from_the_door",
    "isolines",
    "plan_map",
    "trade_off_chart",
    "wall_chart",
]
