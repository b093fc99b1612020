"""The room's card on the phone."""

from django.utils.translation import gettext_lazy

from reports.field.pages import phone_page

phone_page("field_card", gettext_lazy("Card"), may="read rooms", place=10)
