from django.apps import AppConfig


class WebhooksConfig(AppConfig):
    name = "projects.webhooks"
    label = "webhooks"

    def ready(self):
        from projects.history.recorded import leave_out, quiet
        from projects.webhooks.rounds import make_a_round
        from projects.work.worker import NOW_AND_THEN

        leave_out("webhooks.Delivery", "a message about entries of the history, kept for a month")
        leave_out("webhooks.ReadUpTo", "how far the history was read")
        quiet("webhooks.Webhook", "failed", "failing_since", "rests_until")
        NOW_AND_THEN.append(make_a_round)
