"""{% url %} for every template: an address that holds nothing but ids is filled into a shape that is kept."""

from django import template
from django.template import defaulttags
from django.utils.html import conditional_escape

from projects.platform.addresses import address_of

register = template.Library()


class Address(defaulttags.URLNode):
    """As Django's, but for `reverse` each time."""

    def render(self, context):
        if self.asvar or self.kwargs:
            return super().render(context)
        name, ids = self.view_name.resolve(context), [each.resolve(context) for each in self.args]
        if ":" in name or not all(type(each) is int and each >= 0 for each in ids):
            return super().render(context)
        address = address_of(name, *ids)
        return conditional_escape(address) if context.autoescape else address


@register.tag
def url(parser, token):
    """{% url "room" room.pk %} is the address of a page."""
    node = defaulttags.url(parser, token)
    return Address(node.view_name, node.args, node.kwargs, node.asvar)
