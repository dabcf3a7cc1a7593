"""Offers, claims and loans."""

import pytest

from tests.factories import (
    ClubFactory,
    LoanFactory,
    MembershipFactory,
    PartFactory,
    UserFactory,
    member_of,
    part_of,
)
from tests.problem_details import refused

pytestmark = pytest.mark.django_db


def test_a_part_is_offered_claimed_lent_and_returned(api_of, user):
    club = MembershipFactory(user=user).club
    other = member_of(club)
    owner, mate = api_of(user), api_of(other)
    part = part_of("servo", user)
    offered = owner.post("/api/v1/offers/", {"part": part.code, "club": club.slug})
    assert offered.status_code == 201, offered.json()
    claimed = mate.post("/api/v1/claims/", {"part": part.code, "purpose": "my wing"})
    assert claimed.status_code == 201, claimed.json()
    lent = owner.post("/api/v1/loans/", {"part": part.code, "borrower": other.username})
    assert lent.status_code == 201, lent.json()
    back = owner.post(f"/api/v1/loans/{lent.json()['id']}/return/", {"condition": "worn"})
    assert back.json()["ended_at"]
    assert owner.get(f"/api/v1/parts/{part.code}/").json()["condition"] == "worn"
    assert owner.delete(f"/api/v1/offers/{offered.json()['id']}/").status_code == 204
    assert owner.get("/api/v1/offers/?open=true").json()["results"] == []


def test_of_two_claims_the_second_is_a_conflict(api_of):
    club = ClubFactory()
    part = part_of("servo", club)
    first, second = api_of(member_of(club)), api_of(member_of(club))
    assert first.post("/api/v1/claims/", {"part": part.code}).status_code == 201
    refused(second.post("/api/v1/claims/", {"part": part.code}), 409)


def test_a_part_is_lent_to_clubmates_only(api, user):
    part = part_of("servo", user)
    body = {"part": part.code, "borrower": UserFactory().username}
    refused(api.post("/api/v1/loans/", body), 400, "#/borrower")


def test_a_part_one_only_sees_is_neither_offered_nor_lent(api_of):
    club = ClubFactory()
    part, mate = part_of("servo", club), member_of(club)
    api = api_of(mate)
    refused(api.post("/api/v1/offers/", {"part": part.code, "club": club.slug}), 403)
    refused(api.post("/api/v1/loans/", {"part": part.code, "borrower": mate.username}), 403)


def test_a_part_of_a_stranger_is_not_claimed(api):
    refused(api.post("/api/v1/claims/", {"part": PartFactory().code}), 400, "#/part")


def test_a_borrower_does_not_end_the_loan_themselves(api_of):
    loan = LoanFactory()
    answer = api_of(loan.borrower).post(f"/api/v1/loans/{loan.pk}/return/", {"condition": "good"})
    refused(answer, 403)
