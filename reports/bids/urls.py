from django.urls import path

from reports.bids import client_web, papers_web, sending_web, web

REVISION = "bids/revisions/<int:bid_revision_id>/"
BID = "bids/<int:bid_id>/"
LINE = "bids/lines/<int:bid_line_id>/"

urlpatterns = [
    path("bids/", web.bids, name="bids"),
    path("bids/outcomes/", sending_web.bid_outcomes, name="bid_outcomes"),
    path("bids/texts/", web.bid_texts, name="bid_texts"),
    path("jobs/<int:job_id>/bids/", web.job_bids, name="job_bids"),
    path(BID + "edit/", web.edit_bid, name="edit_bid"),
    path(BID + "discard/", web.discard_bid, name="discard_bid"),
    path(BID + "outcome/", sending_web.bid_outcome, name="bid_outcome"),
    path(BID + "compare/", papers_web.compare_bids, name="compare_bids"),
    path(BID + "next/", sending_web.next_bid_revision, name="next_bid_revision"),
    path(REVISION, web.bid_revision, name="bid_revision"),
    path(REVISION + "takeoff/", web.take_takeoff, name="bid_takeoff"),
    path(REVISION + "lines/new/", web.new_bid_line, name="new_bid_line"),
    path(LINE, web.bid_line, name="bid_line"),
    path(LINE + "remove/", web.remove_bid_line, name="remove_bid_line"),
    path(REVISION + "send/", sending_web.send_bid, name="send_bid"),
    path(REVISION + "withdraw/", sending_web.withdraw_bid, name="withdraw_bid"),
    path(REVISION + "accept/", sending_web.accept_bid, name="accept_bid"),
    path(REVISION + "link/", sending_web.bid_link, name="bid_link"),
    path(REVISION + "true-up/", sending_web.true_up, name="true_up"),
    path(REVISION + "proposal/", papers_web.proposal, name="proposal"),
    path(REVISION + "estimate/", papers_web.estimate_sheet, name="estimate_sheet"),
    path("open/<slug:link>/", client_web.client_link, name="client_link"),
]
