"""What a person does with one part: measure, share, lend, take out of service, retire."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.forms import BaseForm
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from hangar.requests import PersonRequest
from hangar.submissions import sent, show, submit
from inventory import operations
from inventory.forms.parts import MeasurementForm
from inventory.forms.pool import (
    ClaimForm,
    InspectForm,
    LendForm,
    OfferForm,
    RetireForm,
    ReturnForm,
    StopForm,
    SureForm,
)
from inventory.health import cautions
from inventory.models import Claim, Loan, Offer, Part
from inventory.pages.doors import part_to_change, visible_part
from inventory.pages.parts import show_part


def act(
    request: PersonRequest,
    part: Part,
    form: BaseForm,
    operation: Callable[[dict[str, Any]], Any],
    **words: Any,
) -> HttpResponse:
    """Ask by a form, do it, and go back to the part."""
    if submit(form, operation):
        messages.success(request, words["done"])
        return redirect("inventory:part_detail", code=part.code)
    back = reverse("inventory:part_detail", args=[part.code])
    context = {"form": form, "part": part, "back": back, **words}
    return show(request, "inventory/part_form.html", context, form)


@login_required
@require_POST
def measure(request: PersonRequest, code: str) -> HttpResponse:
    """Record a figure found on the part."""
    part = part_to_change(request, code)
    form = MeasurementForm(request.POST, kind=part.kind, auto_id="measure_%s")
    done = submit(form, lambda given: operations.record_measurement(part, by=request.user, **given))
    if not done:
        return show_part(request, part, form)
    messages.success(request, "The figure is recorded.")
    return redirect("inventory:part_detail", code=part.code)


@login_required
def offer(request: PersonRequest, code: str) -> HttpResponse:
    """Offer the part to a club's pool."""
    part = part_to_change(request, code)
    return act(
        request,
        part,
        OfferForm(sent(request), user=request.user),
        lambda given: operations.offer_part(part, by=request.user, **given),
        heading=f"Offer {part.display_name} to a pool",
        button="Offer it",
        done="The part is offered.",
    )


@login_required
def claim(request: PersonRequest, code: str) -> HttpResponse:
    """Put the part aside for oneself."""
    part = visible_part(request, code)
    return act(
        request,
        part,
        ClaimForm(sent(request), user=request.user, part=part),
        lambda given: operations.claim_part(part, by=request.user, **given),
        heading=f"Claim {part.display_name}",
        button="Claim it",
        done="The part is put aside.",
    )


@login_required
def lend(request: PersonRequest, code: str) -> HttpResponse:
    """Hand the part to a member."""
    part = part_to_change(request, code)
    return act(
        request,
        part,
        LendForm(sent(request), user=request.user, part=part),
        lambda given: operations.lend_part(part, by=request.user, **given),
        heading=f"Lend {part.display_name}",
        button="Lend it",
        done="The part is lent.",
    )


@login_required
def take_out_of_service(request: PersonRequest, code: str) -> HttpResponse:
    """Mark the part as not to be used, or report its damage to whoever may."""
    part = visible_part(request, code)
    may_stop = Part.objects.loggable_by(request.user).filter(pk=part.pk).exists()
    return act(
        request,
        part,
        StopForm(sent(request)),
        lambda given: operations.take_out_of_service(part, by=request.user, **given),
        tone="stop",
        **(_stop_words(part) if may_stop else _report_words(part)),
    )


def _stop_words(part: Part) -> dict[str, str]:
    return {
        "heading": f"Take {part.display_name} out of service",
        "button": "Take it out of service",
        "done": "The part is out of service.",
    }


def _report_words(part: Part) -> dict[str, str]:
    return {
        "heading": f"Report damage of {part.display_name}",
        "button": "Report it",
        "done": f"Reported: {part.owner_name} sees that the part is suspect.",
    }


@login_required
def inspect(request: PersonRequest, code: str) -> HttpResponse:
    """Record an inspection that puts the part back into service."""
    part = part_to_change(request, code)
    return act(
        request,
        part,
        InspectForm(sent(request)),
        lambda given: operations.return_to_service(part, by=request.user, **given),
        heading=f"Inspection of {part.display_name}",
        button="Put it back into service",
        done="The part is back in service.",
        warning=cautions.OUT_OF_SERVICE if part.kind == "pack" else "",
    )


@login_required
def retire(request: PersonRequest, code: str) -> HttpResponse:
    """Retire the part; its records stay."""
    part = part_to_change(request, code)
    return act(
        request,
        part,
        RetireForm(sent(request)),
        lambda given: operations.retire_part(part, by=request.user, **given),
        heading=f"Retire {part.display_name}",
        button="Retire it",
        tone="stop",
        done="The part is retired. Its records stay.",
        warning=cautions.DISPOSAL if part.kind == "pack" else "",
    )


@login_required
def withdraw(request: PersonRequest, pk: int) -> HttpResponse:
    """Take an offer back."""
    mine = Offer.objects.editable_by(request.user).select_related("part__sheet", "club")
    found = get_object_or_404(mine, pk=pk)
    return act(
        request,
        found.part,
        SureForm(sent(request)),
        lambda _: operations.withdraw_offer(found, by=request.user),
        heading=f"Withdraw {found.part.display_name} from the pool of {found.club}",
        button="Withdraw it",
        done="The offer is withdrawn.",
    )


@login_required
def release(request: PersonRequest, pk: int) -> HttpResponse:
    """End a claim."""
    mine = Claim.objects.editable_by(request.user).select_related("part__sheet", "claimant")
    found = get_object_or_404(mine, pk=pk)
    return act(
        request,
        found.part,
        SureForm(sent(request)),
        lambda _: operations.release_claim(found, by=request.user),
        heading=f"End the claim of {found.claimant} on {found.part.display_name}",
        button="End the claim",
        done="The claim has ended.",
    )


@login_required
def take_back(request: PersonRequest, pk: int) -> HttpResponse:
    """Take a lent part back."""
    mine = Loan.objects.editable_by(request.user).select_related("part__sheet", "borrower")
    found = get_object_or_404(mine, pk=pk)
    return act(
        request,
        found.part,
        ReturnForm(
            sent(request),
            is_bag=found.part.is_bag,
            initial={"condition": found.condition_out, "count": found.count_out},
        ),
        lambda given: operations.return_loan(found, by=request.user, **given),
        heading=f"Take {found.part.display_name} back from {found.borrower}",
        button="It is back",
        done="The part is back.",
    )
