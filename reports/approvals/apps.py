from django.apps import AppConfig


class ApprovalsConfig(AppConfig):
    name = "reports.approvals"
    label = "approvals"

    def ready(self):
        from projects.trash.purging import goes_with_room
        from reports.approvals.models import Answer, ApprovalLink

        goes_with_room(Answer)
        goes_with_room(ApprovalLink)
