"""Who may do what: two tables, as data. Knows nothing of records; routes are named as in the urls.

An action is something a person does in the trade. A route says which action its reading and its writing are.
A route that is not in the table answers nobody.
"""

from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    OWNER = "owner"
    ESTIMATOR = "estimator"
    CREW_LEAD = "crew_lead"
    CREW = "crew"
    VIEWER = "viewer"


EVERYONE = frozenset(Role)
OFFICE = frozenset({Role.OWNER, Role.ESTIMATOR})
LEADS = OFFICE | {Role.CREW_LEAD}
FIELD = LEADS | {Role.CREW}

ACTIONS = {
    "read rooms": EVERYONE,
    "keep jobs": OFFICE,
    "keep rooms": LEADS,
    "measure": FIELD,
    "lay out": LEADS,
    "print cards": FIELD,
    "keep the catalog": OFFICE,
    "verify cutouts": LEADS,
    "move stages": LEADS,
    "run the shop": frozenset({Role.OWNER}),
    "own token": EVERYONE,
    "wire rooms": LEADS,
    "pull cable": FIELD,
    "log hours": FIELD,
    "order material": LEADS,
    "receive material": FIELD,
    "write extras": FIELD,
    "count takeoffs": OFFICE,
    "see prices": OFFICE,
    "keep prices": OFFICE,
    "bid": OFFICE,
    "change contracts": OFFICE,
}

# What the owner gives to a person, whatever the role; crew and viewers can't be given them.
PERSONAL = {"approve layouts": "may_approve", "move marks": "may_move_marks", "quote changes": "may_quote"}
MAY_BE_GIVEN = LEADS
# Who has a personal permission by role: the office sees prices anyway.
WITHOUT_BEING_GIVEN = {"quote changes": OFFICE}

ANYONE = "anyone"  # no sign-in: sign-in itself, the page behind a card's QR, and the one behind a client's link
SIGNED_IN = "signed in"  # signed in, shop not yet chosen


@dataclass(frozen=True, slots=True)
class Route:
    read: str | None = None  # GET, HEAD
    write: str | None = None  # POST, PUT, PATCH, DELETE

    def action(self, method):
        return self.read if method in ("GET", "HEAD", "OPTIONS") else self.write


ROUTES = {
    "sign_in": Route(ANYONE, ANYONE),
    "sign_out": Route(None, SIGNED_IN),
    "choose_shop": Route(SIGNED_IN, SIGNED_IN),
    "alive": Route(ANYONE),
    "figures": Route("read rooms"),
    "figure": Route("read rooms"),
    "home": Route("read rooms"),
    "people": Route("run the shop", "run the shop"),
    "person": Route("run the shop", "run the shop"),
    "shop_rules": Route("read rooms", "run the shop"),
    "own_tokens": Route("own token", "own token"),
    "fixture_types": Route("read rooms", "keep the catalog"),
    "fixture_type": Route("read rooms", "keep the catalog"),
    "verify_cutout": Route(None, "verify cutouts"),
    "control_types": Route("read rooms", "keep the catalog"),
    "control_type": Route("read rooms", "keep the catalog"),
    "jobs": Route("read rooms"),
    "new_job": Route("keep jobs", "keep jobs"),
    "job": Route("read rooms"),
    "edit_job": Route("keep jobs", "keep jobs"),
    "new_room": Route("keep rooms", "keep rooms"),
    "edit_room": Route("keep rooms", "keep rooms"),
    "copy_room": Route(None, "keep rooms"),
    "move_stage": Route(None, "move stages"),
    "build_up": Route("read rooms", "keep rooms"),
    "measurements": Route("read rooms", "measure"),
    "counts": Route("read rooms", "keep rooms"),
    "overhead": Route("read rooms", "measure"),
    "put_back_overhead": Route(None, "measure"),
    "new_thing": Route("measure", "measure"),
    "thing": Route("read rooms", "measure"),
    "read_length": Route("read rooms"),
    "room": Route("read rooms", "lay out"),
    "room_preview": Route("read rooms"),
    "plan": Route("read rooms", "lay out"),
    "plan_live": Route(None, "read rooms"),
    "plan_keep": Route(None, "lay out"),
    "plan_dxf": Route("read rooms"),
    "plan_svg": Route("read rooms"),
    "plan_picture": Route("read rooms"),
    "plan_picture_upload": Route(None, "lay out"),
    "plan_picture_scale": Route(None, "lay out"),
    "plan_picture_remove": Route(None, "lay out"),
    "issue_revision": Route(None, "lay out"),
    "take_way": Route(None, "lay out"),
    "put_way_back": Route(None, "lay out"),
    "other_layouts": Route("read rooms"),
    "framing_to_suit": Route("read rooms"),
    "take_framing": Route(None, "lay out"),
    "lid": Route("read rooms"),
    "task_lines": Route("read rooms"),
    "hold_task": Route(None, "lay out"),
    "switches": Route("read rooms", "wire rooms"),
    "take_switches": Route(None, "wire rooms"),
    "put_back_switches": Route(None, "wire rooms"),
    "circuits": Route("read rooms", "wire rooms"),
    "job_circuits": Route("read rooms", "wire rooms"),
    "circuit": Route("read rooms", "wire rooms"),
    "next_door": Route("read rooms"),
    "hold_next_door": Route(None, "lay out"),
    "on_site": Route("read rooms", "measure"),
    "answer_site_move": Route(None, "approve layouts"),
    "revision": Route("read rooms"),
    "approve_revision": Route(None, "approve layouts"),
    "check_card": Route(ANYONE),
    "rooms": Route("read rooms"),
    "print_card": Route(None, "print cards"),
    "card": Route("read rooms"),
    "schedule": Route("read rooms"),
    "takeoff": Route("read rooms"),
    "checklist": Route("read rooms"),
    "job_schedule": Route("read rooms"),
    "job_takeoff": Route("read rooms"),
    "takeoff_matrix": Route("read rooms"),
    "purchase_list": Route("read rooms"),
    "takeoff_labor": Route("see prices"),
    "takeoff_sheet": Route("read rooms"),
    "takeoff_difference": Route("read rooms"),
    "count_job": Route(None, "count takeoffs"),
    "asked_items": Route("read rooms", "count takeoffs"),
    "room_counting": Route("read rooms", "count takeoffs"),
    "kept_takeoffs": Route("read rooms", "count takeoffs"),
    "kept_takeoff": Route("read rooms"),
    "takeoff_rules": Route("read rooms", "count takeoffs"),
    "rules_versions": Route("read rooms"),
    "put_back_rules": Route(None, "count takeoffs"),
    "job_checklist": Route("read rooms"),
    "job_packet": Route("read rooms"),
    "material": Route("read rooms"),
    "order_material": Route(None, "order material"),
    "material_order": Route("read rooms"),
    "receive_material": Route(None, "receive material"),
    "give_up_material": Route(None, "order material"),
    "promise_material": Route(None, "order material"),
    "job_stock": Route("read rooms"),
    "carry_material": Route(None, "receive material"),
    "take_back_movement": Route(None, "receive material"),
    "room_material": Route("read rooms"),
    "write_pick_list": Route(None, "receive material"),
    "pick_list": Route("read rooms"),
    "pick_material": Route(None, "receive material"),
    "bring_back_material": Route(None, "receive material"),
    "leftovers": Route("read rooms"),
    "count_leftovers": Route(None, "receive material"),
    "take_leftovers": Route("receive material", "receive material"),
    "room_wiring": Route("read rooms", "wire rooms"),
    "job_cables": Route("read rooms"),
    "cable_labels": Route("read rooms"),
    "pull_list": Route("read rooms", "pull cable"),
    "reel_plan": Route("read rooms"),
    "reels": Route("read rooms", "pull cable"),
    "reel": Route("read rooms", "pull cable"),
    # Long work: of those who may read, each sees and stops the kinds of work that are theirs to do.
    "unsigned": Route("change contracts"),
    "job_changes": Route("change contracts"),
    "new_change": Route("change contracts", "change contracts"),
    "change_from_layouts": Route(None, "change contracts"),
    "contract_terms": Route("change contracts", "change contracts"),
    "room_change": Route("change contracts", "change contracts"),
    "change": Route("change contracts"),
    "edit_change": Route("change contracts", "change contracts"),
    "change_line": Route(None, "change contracts"),
    "change_goods": Route(None, "change contracts"),
    "send_change": Route(None, "change contracts"),
    "approve_change": Route(None, "change contracts"),
    "spoken_change": Route(None, "change contracts"),
    "reject_change": Route(None, "change contracts"),
    "void_change": Route(None, "change contracts"),
    "change_paper": Route("change contracts"),
    "extras": Route("write extras"),
    "job_extra": Route("write extras", "write extras"),
    "room_extra": Route("write extras", "write extras"),
    "extra": Route("write extras"),
    "extra_photo": Route("write extras"),
    "charge_extra": Route(None, "change contracts"),
    "close_extra": Route(None, "change contracts"),
    "moved_lights": Route("quote changes", "quote changes"),
    "works": Route("read rooms"),
    "work": Route("read rooms"),
    "work_state": Route("read rooms"),
    "cancel_work": Route(None, "read rooms"),
    "resume_work": Route(None, "read rooms"),
    "bids": Route("bid"),
    "bid_outcomes": Route("bid"),
    "bid_texts": Route("bid", "bid"),
    "job_bids": Route("bid", "bid"),
    "edit_bid": Route("bid", "bid"),
    "bid_outcome": Route("bid", "bid"),
    "compare_bids": Route("bid"),
    "next_bid_revision": Route(None, "bid"),
    "bid_revision": Route("bid", "bid"),
    "bid_takeoff": Route(None, "bid"),
    "new_bid_line": Route("bid", "bid"),
    "bid_line": Route("bid", "bid"),
    "remove_bid_line": Route(None, "bid"),
    "send_bid": Route(None, "bid"),
    "withdraw_bid": Route(None, "bid"),
    "accept_bid": Route(None, "bid"),
    "bid_link": Route(None, "bid"),
    "true_up": Route(None, "bid"),
    "proposal": Route("bid"),
    "estimate_sheet": Route("bid"),
    "client_link": Route(ANYONE, ANYONE),
}


# The API's routes, by their names within its namespace. The same actions, by what a route does.
API_ROUTES = {
    "schema": Route("read rooms"),
    "me": Route("read rooms"),
    "fixture_types": Route("read rooms", "keep the catalog"),
    "fixture_type": Route("read rooms", "keep the catalog"),
    "verify_cutout": Route(None, "verify cutouts"),
    "control_types": Route("read rooms", "keep the catalog"),
    "control_type": Route("read rooms", "keep the catalog"),
    "jobs": Route("read rooms", "keep jobs"),
    "job": Route("read rooms", "keep jobs"),
    "job_rooms": Route("read rooms", "keep rooms"),
    "rooms": Route("read rooms"),
    "room": Route("read rooms", "keep rooms"),
    "copy_room": Route(None, "keep rooms"),
    "stages": Route("read rooms", "move stages"),
    "build_up": Route("read rooms", "keep rooms"),
    "measurements": Route("read rooms", "measure"),
    "counts": Route("read rooms", "keep rooms"),
    "ceiling": Route("read rooms", "measure"),
    "draft": Route("read rooms", "lay out"),
    "switching": Route("read rooms", "wire rooms"),
    "suggested_switches": Route("read rooms"),
    "room_loads": Route("read rooms"),
    "job_circuits": Route("read rooms", "wire rooms"),
    "job_loads": Route("read rooms"),
    "circuit": Route("read rooms", "wire rooms"),
    "preview": Route(None, "read rooms"),
    "ways": Route("read rooms", "lay out"),
    "choices": Route("read rooms"),
    "on_site": Route(None, "measure"),
    "answer_site_move": Route(None, "approve layouts"),
    "revisions": Route("read rooms", "lay out"),
    "revision": Route("read rooms"),
    "marks": Route("read rooms"),
    "approval": Route(None, "approve layouts"),
    "cards": Route("read rooms", "print cards"),
    "schedule": Route("read rooms"),
    "takeoff": Route("read rooms"),
    "checklist": Route("read rooms"),
    "job_schedule": Route("read rooms"),
    "job_takeoff": Route("read rooms"),
    "job_changes": Route("change contracts", "change contracts"),
    "change_from_layouts": Route(None, "change contracts"),
    "contract_sum": Route("change contracts"),
    "change": Route("change contracts"),
    "send_change": Route(None, "change contracts"),
    "approve_change": Route(None, "change contracts"),
    "extras": Route("write extras"),
    "job_extras": Route(None, "write extras"),
    "room_extras": Route(None, "write extras"),
    "extra": Route("write extras"),
    "works": Route("read rooms"),
    "work": Route("read rooms"),
    "cancel_work": Route(None, "read rooms"),
    "resume_work": Route(None, "read rooms"),
    "job_material": Route("read rooms"),
    "job_orders": Route("read rooms", "order material"),
    "receipts": Route(None, "receive material"),
    "room_material": Route("read rooms"),
    "leftovers": Route("read rooms"),
}


def may(member, action):
    """Does this member have this action? A personal permission counts only for roles that may be given it."""
    if action in PERSONAL:
        if Role(member.role) in WITHOUT_BEING_GIVEN.get(action, ()):
            return True
        return member.role in MAY_BE_GIVEN and getattr(member, PERSONAL[action])
    return Role(member.role) in ACTIONS[action]
