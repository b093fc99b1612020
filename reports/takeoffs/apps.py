from django.apps import AppConfig


class TakeoffsConfig(AppConfig):
    name = "reports.takeoffs"
    label = "takeoffs"

    def ready(self):
        from reports.prices.lines import RULES
        from reports.takeoffs import work  # noqa: F401  registers the counting of a whole job
        from reports.takeoffs.rules import rules_of

        RULES.append(rules_of)  # the price list holds every line this shop counts
