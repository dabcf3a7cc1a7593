"""What a person does with a part that others share: wait, ask, extend, pass on, report lost."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect

from hangar.requests import PersonRequest
from hangar.submissions import sent, show
from inventory import operations
from inventory.codes import CodeError, check_code
from inventory.forms.pool import ExtendForm, LabelForm, LostForm, SureForm, TransferForm, WaitForm
from inventory.models import Claim, Loan, Part, Wait
from inventory.pages.doors import part_to_change, visible_part
from inventory.pages.part_actions import act


@login_required
def wait(request: PersonRequest, code: str) -> HttpResponse:
    """Wait for the part, or ask its owner for it."""
    part = visible_part(request, code)
    return act(
        request,
        part,
        WaitForm(sent(request)),
        lambda given: operations.join_queue(part, by=request.user, **given),
        heading=f"Wait or ask for {part.display_name}",
        button="Wait or ask",
        done="You will be told when the part is put aside for you.",
    )


@login_required
def wait_grant(request: PersonRequest, pk: int) -> HttpResponse:
    """Agree that somebody gets the part."""
    parts = Part.objects.editable_by(request.user)
    asked = Wait.objects.asked().filter(part__in=parts.values("pk"))
    found = get_object_or_404(asked.select_related("part__sheet", "person"), pk=pk)
    return act(
        request,
        found.part,
        SureForm(sent(request)),
        lambda _: operations.grant_wait(found, by=request.user),
        heading=f"Let {found.person} have {found.part.display_name}",
        button="Agree",
        done=f"{found.person} gets it as soon as it is free.",
    )


@login_required
def wait_end(request: PersonRequest, pk: int) -> HttpResponse:
    """Leave the queue, or decline somebody in it."""
    waits = Wait.objects.open().editable_by(request.user)
    found = get_object_or_404(waits.select_related("part__sheet", "person"), pk=pk)
    return act(
        request,
        found.part,
        SureForm(sent(request)),
        lambda _: operations.give_up_wait(found, by=request.user),
        heading=f"End the waiting of {found.person} for {found.part.display_name}",
        button="End it",
        done="The place in the queue has ended.",
    )


@login_required
def extend_loan(request: PersonRequest, pk: int) -> HttpResponse:
    """Lend for longer."""
    loans = Loan.objects.open().visible_to(request.user)
    found = get_object_or_404(loans.select_related("part__sheet", "borrower"), pk=pk)
    return act(
        request,
        found.part,
        ExtendForm(sent(request)),
        lambda given: operations.extend_loan(found, due_on=given["day"], by=request.user),
        heading=f"Extend the loan of {found.part.display_name} to {found.borrower}",
        button="Extend it",
        done="The loan is extended.",
    )


@login_required
def extend_claim(request: PersonRequest, pk: int) -> HttpResponse:
    """Put the part aside for longer."""
    claims = Claim.objects.open().editable_by(request.user)
    found = get_object_or_404(claims.select_related("part__sheet", "claimant"), pk=pk)
    return act(
        request,
        found.part,
        ExtendForm(sent(request)),
        lambda given: operations.extend_claim(found, until_on=given["day"], by=request.user),
        heading=f"Extend the claim of {found.claimant} on {found.part.display_name}",
        button="Extend it",
        done="The claim is extended.",
    )


@login_required
def transfer(request: PersonRequest, code: str) -> HttpResponse:
    """Pass the part on for good; who gives it away may see it no more."""
    part = part_to_change(request, code)
    answer = act(
        request,
        part,
        TransferForm(sent(request), user=request.user, part=part),
        lambda given: operations.transfer_part(part, by=request.user, **given),
        heading=f"Pass {part.display_name} on for good",
        button="Pass it on",
        tone="stop",
        done="The part has a new owner.",
    )
    return _elsewhere_if_hidden(request, part, answer, "inventory:part_list")


@login_required
def lost(request: PersonRequest, code: str) -> HttpResponse:
    """Record that nobody finds the part."""
    part = visible_part(request, code)
    answer = act(
        request,
        part,
        LostForm(sent(request)),
        lambda given: operations.report_lost(part, by=request.user, **given),
        heading=f"{part.display_name} is lost",
        button="It is lost",
        tone="stop",
        done="Recorded as lost. Loan, claim and offers have ended.",
    )
    return _elsewhere_if_hidden(request, part, answer, "inventory:pool_mine")


def _elsewhere_if_hidden(
    request: PersonRequest, part: Part, answer: HttpResponse, to: str
) -> HttpResponse:
    """The answer; where it leads to a part that the person sees no more, the way to `to`."""
    is_done = answer.status_code == 302
    if is_done and not Part.objects.visible_to(request.user).filter(pk=part.pk).exists():
        return redirect(to)
    return answer


@login_required
def hand_over(request: PersonRequest) -> HttpResponse:
    """From the label of a part in hand to what is next: take it back, hand it out, or its page."""
    form = LabelForm(sent(request))
    if form.is_valid():
        part = _of_label(request, form)
        if part is not None:
            return _next_step(request, part)
    return show(request, "inventory/hand_over.html", {"form": form}, form)


def _of_label(request: PersonRequest, form: LabelForm) -> Part | None:
    try:
        code = check_code(form.cleaned_data["code"])
    except CodeError as error:
        form.add_error("code", str(error))
        return None
    part = Part.objects.visible_to(request.user).filter(code=code).first()
    if part is None:
        form.add_error("code", "There is no such part that you may see.")
    return part


def _next_step(request: PersonRequest, part: Part) -> HttpResponse:
    loan = Loan.objects.open().editable_by(request.user).filter(part=part).first()
    if loan:
        return redirect("inventory:loan_return", pk=loan.pk)
    if Part.objects.editable_by(request.user).filter(pk=part.pk).exists():
        return redirect("inventory:part_lend", code=part.code)
    return redirect("inventory:part_detail", code=part.code)
