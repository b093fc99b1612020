"""A bid written on its pages, by one person or by two at once: nobody's line is lost."""

from decimal import Decimal

import pytest
from django.urls import reverse

from projects.platform.permissions import Role
from reports.bids import services
from reports.bids.models import Bid, BidLine, BidRevision
from tests.factories import JobFactory
from tests.shops import forms_of, issue, on_page, practice_room, send_bid, sign_in


def page_of(revision):
    return reverse("bid_revision", args=[revision.pk])


def line_of(revision, words):
    return BidLine.objects.of(revision.shop).get(revision=revision, words=words)


def test_a_bid_starts_with_the_shops_lists_and_a_number(desk, room):
    answer = desk.post(reverse("job_bids", args=[room.job_id]), {"number": "", "client": ""})
    revision = BidRevision.objects.of(room.shop).get()
    assert answer.url == page_of(revision)
    assert revision.bid.number == f"B-{room.job.number}"
    assert set(revision.lines.values_list("kind", flat=True)) == {"exclusion", "assumption", "payment"}
    assert "No client named yet" in desk.get(answer.url).content.decode()


def test_a_number_is_used_once_in_a_shop(desk, draft):
    answer = desk.post(reverse("job_bids", args=[draft.bid.job_id]), {"number": draft.bid.number})
    assert answer.status_code == 422 and set(answer.context["form"].errors) == {"number"}
    assert Bid.objects.of(draft.shop).count() == 1


def test_the_sum_is_read_line_by_line_with_what_each_percent_is_of(desk, draft):
    page = desk.get(page_of(draft)).content.decode()
    for shown in (
        "$511.50", "8.25 % of taxable material", "$4,035.12", "38 % of wage", "$450.00", "$11,196.62",
        "4 % of direct cost", "$2,561.79", "22 % of direct cost and contingency", "$14,206.27",
        "10 % of price = 11.11 % of cost", "$1,578.47", "$15,784.74",
    ):  # fmt: skip
        assert shown in page, shown


def terms(desk, draft, **changes):
    return desk.post(page_of(draft), on_page(desk.get(page_of(draft)), "profit_pct") | changes)


def test_terms_are_kept_and_the_sum_follows(desk, draft):
    assert terms(desk, draft, profit_basis="of_cost").status_code == 302
    assert "$15,626.90" in desk.get(page_of(draft)).content.decode()


@pytest.mark.parametrize(
    ("box", "typed"),
    [
        ("profit_pct", "100"), ("profit_pct", "-1"), ("wage", "NaN"), ("wage", "Infinity"), ("tax_pct", "1e-9"),
        ("overhead_pct", "501"), ("contingency_pct", "lots"), ("validity_days", "0"), ("round_to", "7"),
        ("wage", "٣"), ("wage", "1,2,3"),
    ],
)  # fmt: skip
def test_a_wrong_figure_is_refused_by_its_box_and_what_was_typed_stays(desk, draft, box, typed):
    answer = terms(desk, draft, **{box: typed})
    assert answer.status_code == 422 and set(answer.context["form"].errors) == {box}
    assert answer.context["form"][box].value() == typed


def test_a_price_typed_as_people_write_it_is_read(desk, draft):
    address = reverse("new_bid_line", args=[draft.pk]) + "?kind=sub"
    desk.post(address, on_page(desk.get(address), "words") | {"words": "Patching", "amount": "$1,250.50"})
    assert line_of(draft, "Patching").amount == Decimal("1250.50")


def test_an_alternate_is_priced_alone_and_stays_out_of_the_price(desk, draft):
    for kind, words in (("add", "Dimming upgrade"), ("deduct", "Speaker prewire only")):
        address = reverse("new_bid_line", args=[draft.pk]) + f"?kind={kind}"
        desk.post(address, on_page(desk.get(address), "words") | {"words": words, "material": "100", "hours": "2"})
    page = desk.get(page_of(draft)).content.decode()
    # 100.00 + 8.25 tax + 2 x 34 x 1.38 = 93.84 -> 202.09; + 8.08 + 46.24 = 256.41; / 0.9 = 284.90
    assert "+$284.90" in page and "−$284.90" in page
    assert "$15,784.74" in page


def test_two_people_on_one_line_see_both_and_lose_neither(client, people, draft):
    line = line_of(draft, "Lights and cable")
    address = reverse("bid_line", args=[line.pk])
    sign_in(client, people[Role.OWNER])
    opened = on_page(client.get(address), "material")
    sign_in(client, people[Role.ESTIMATOR])
    client.post(address, on_page(client.get(address), "material") | {"material": "6300"})
    sign_in(client, people[Role.OWNER])
    answer = client.post(address, opened | {"material": "6100"})
    page = answer.content.decode()
    assert answer.status_code == 409 and "6100" in page and "6300" in page
    assert line_of(draft, "Lights and cable").material == 6300
    client.post(address, on_page(answer, "material"))
    assert line_of(draft, "Lights and cable").material == 6100


def test_two_people_on_two_lines_of_one_bid_do_not_meet(client, people, draft):
    lines = [line_of(draft, words) for words in ("Lights and cable", "Lift, one week")]
    addresses = [reverse("bid_line", args=[line.pk]) for line in lines]
    sign_in(client, people[Role.OWNER])
    opened = [on_page(client.get(address), "words") for address in addresses]
    sign_in(client, people[Role.ESTIMATOR])
    client.post(addresses[0], opened[0] | {"material": "6300"})
    sign_in(client, people[Role.OWNER])
    assert client.post(addresses[1], opened[1] | {"amount": "500"}).status_code == 302
    assert line_of(draft, "Lights and cable").material == 6300


def test_start_bid_and_add_line_pressed_twice_make_one(desk, room):
    for _press in range(2):
        answer = desk.post(reverse("job_bids", args=[room.job_id]), {"number": "", "client": "Okafor"}, follow=True)
    assert "was started a moment ago" in answer.content.decode()
    draft = BidRevision.objects.of(room.shop).get()
    for hours in ("2", "2", "3"):
        desk.post(
            reverse("new_bid_line", args=[draft.pk]),
            {"words": "Sconces", "material": "100", "hours": hours},
            follow=True,
        )
    assert [line.hours for line in draft.lines.filter(kind="work")] == [2, 3], "other hours are another line"
    desk.post(reverse("job_bids", args=[room.job_id]), {"number": "", "client": "Reyes"})
    assert Bid.objects.of(room.shop).count() == 2, "another client's is another bid"


def test_a_bid_is_thrown_away_only_while_it_was_never_sent(desk, draft, office):
    def boxes():
        page = desk.get(reverse("edit_bid", args=[draft.bid_id]))
        return [boxes for action, boxes in forms_of(page) if action.endswith("/discard/")]

    [asked] = boxes()
    discard = reverse("discard_bid", args=[draft.bid_id])
    desk.post(discard, {"version": 0})
    send_bid(draft, office)
    desk.post(discard, asked)
    assert Bid.objects.of(draft.shop).exists(), "changed since, or sent: it stays"
    assert not boxes()
    other = services.open_bid(draft.bid.job, by=office, client="Okafor")
    answer = desk.post(reverse("discard_bid", args=[other.bid_id]), {"version": 1}, follow=True)
    assert "was thrown away" in answer.content.decode()
    assert BidRevision.objects.of(draft.shop).get().pk == draft.pk


def test_a_line_somebody_changed_is_not_taken_out_unseen(desk, draft):
    line = line_of(draft, "Lift, one week")
    remove = reverse("remove_bid_line", args=[line.pk])
    BidLine.objects.of(draft.shop).filter(pk=line.pk).update(version=2)
    assert desk.post(remove, {"version": 1}).url == reverse("bid_line", args=[line.pk])
    desk.post(remove, {"version": 2})
    assert not BidLine.objects.of(draft.shop).filter(pk=line.pk).exists()


def test_it_is_sent_from_the_page_and_the_next_revision_compared_in_a_sentence(desk, draft):
    [boxes] = [boxes for action, boxes in forms_of(desk.get(page_of(draft))) if action.endswith("/send/")]
    desk.post(reverse("send_bid", args=[draft.pk]), boxes)
    sent = desk.get(page_of(draft)).content.decode()
    assert "no sign-in" in sent and "/open/" in sent
    second = desk.post(reverse("next_bid_revision", args=[draft.bid_id])).url
    second = BidRevision.objects.of(draft.shop).get(number=2)
    desk.post(
        reverse("bid_line", args=[line_of(second, "Lift, one week").pk]),
        {"version": 1, "words": "Lift, two weeks", "amount": "900"},
    )
    page = desk.get(reverse("compare_bids", args=[draft.bid_id])).content.decode()
    # 450 more of direct: x 1.04 x 1.22 / 0.9, each line to the cent: 11,646.62 + 465.86 + 2,664.75 = 14,777.23
    assert "Revision B is $634.40 more than revision A, $15,784.74 to $16,419.14; 1 line differs." in page
    assert "Lift, two weeks · $900.00" in page and "+$634.40" in page
    assert desk.get(reverse("compare_bids", args=[draft.bid_id]), {"from": "A", "to": "Z"}).status_code == 404


def test_the_shops_lists_are_its_own_to_change(desk, room, draft):
    address = reverse("bid_texts")
    typed = on_page(desk.get(address), "exclusions") | {
        "exclusions": "Painting\n\nHoles",
        "payments": "100 % At the end",
    }
    assert desk.post(address, typed).status_code == 302
    desk.post(reverse("job_bids", args=[room.job_id]), {"number": "B-own"})
    made = BidRevision.objects.of(room.shop).get(bid__number="B-own")
    assert list(made.lines.filter(kind="exclusion").values_list("words", flat=True)) == ["Painting", "Holes"]
    assert desk.post(address, typed).status_code == 409, "saved from the page before"
    wrong = on_page(desk.get(address), "exclusions") | {"payments": "all of it"}
    assert set(desk.post(address, wrong).context["form"].errors) == {"payments"}


def test_who_does_not_bid_sees_none_of_it(client, people, draft):
    sign_in(client, people[Role.CREW_LEAD])
    job = client.get(reverse("job", args=[draft.bid.job_id])).content.decode()
    assert "Bids" not in job
    assert client.get(page_of(draft)).status_code == 403
    assert client.get(reverse("proposal", args=[draft.pk])).status_code == 403


def test_another_shops_bid_is_not_here(client, stranger, draft):
    sign_in(client, stranger)
    assert client.get(page_of(draft)).status_code == 404


def test_a_page_of_bids_asks_no_more_with_more_bids(desk, shop, office, django_assert_max_num_queries):
    def bids(count):
        for _ in range(count):
            services.open_bid(JobFactory(shop=shop), by=office)

    bids(2)
    with django_assert_max_num_queries(8):
        desk.get(reverse("bids"))
    bids(8)
    with django_assert_max_num_queries(8):
        assert desk.get(reverse("bids")).context["page"].paginator.count == 10


def test_a_draft_of_many_rooms_asks_no_more_than_one_of_few(desk, draft, office, django_assert_max_num_queries):
    def laid_out(count):
        for n in range(count):
            issue(practice_room(draft.shop, job=draft.bid.job, name=f"Room {n} of {count}"), by=office)

    laid_out(2)
    with django_assert_max_num_queries(14):
        desk.get(page_of(draft))
    laid_out(6)
    with django_assert_max_num_queries(14):
        assert desk.get(page_of(draft)).content.decode().count("layout revision 1") == 9
