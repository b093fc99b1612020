from django.apps import AppConfig


class TakeoffsConfig(AppConfig):
    name = "reports.takeoffs"
    label = "takeoffs"

    def ready(self):
        from projects.history.recorded import leave_out
        from reports.prices.lines import RULES
        from reports.takeoffs import work  # noqa: F401  registers the counting of a whole job
        from reports.takeoffs.rules import rules_of

        leave_out("takeoffs.RoomLines", "counts that are kept to spare counting; no more than their rooms say")
        RULES.append(rules_of)  # the price list holds every line this shop counts
