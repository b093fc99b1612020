"""Printed lengths with true fractions. Knows neither lengths nor pages: it dresses text that is already right."""

import re

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

FRACTION = re.compile(r"(\d+/\d+)")
SPAN = '<span class="frac">{}</span>'


def dressed(text: str) -> SafeString:
    """`75 1/4` with its fraction in a span of its own, so that only it is set as a fraction; all else is escaped."""
    parts = FRACTION.split(text)  # every second part is a fraction
    spans = [format_html(SPAN, part) if place % 2 else part for place, part in enumerate(parts)]
    return format_html_join("", "{}", ((span,) for span in spans))
