"""What all views of the API share: two doors, filters that refuse what they do not know."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

from django.db import models
from django.http import QueryDict
from django_filters.rest_framework import DjangoFilterBackend, FilterSet
from rest_framework import status
from rest_framework.exceptions import ValidationError
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView
from rest_framework.viewsets import GenericViewSet

from hangar.clubs.models import User
from hangar.errors import Missing, NotAllowed

PAGE_PARAMETERS = ("cursor", "page_size")


def refuse_unknown(parameters: QueryDict, known: Iterable[str]) -> None:
    """Refuse a query parameter that nobody reads, so that a misspelt one is not overlooked."""
    readable = sorted(known)
    strange = sorted(set(parameters) - set(readable))
    if strange:
        may = f"It may be one of {', '.join(readable)}." if readable else "There are none here."
        raise ValidationError(
            {name: [f"There is no such parameter here. {may}"] for name in strange}
        )


class StrictFilterBackend(DjangoFilterBackend):
    """django-filter that refuses unknown parameters; a view may choose its filters by request."""

    def get_filterset_class(
        self, view: Any, queryset: models.QuerySet[Any] | None = None
    ) -> type[FilterSet] | None:
        """Give the filters the view chose, else its `filterset_class`."""
        choose = getattr(view, "choose_filterset_class", None)
        return choose() if choose else super().get_filterset_class(view, queryset)

    def filter_queryset(
        self, request: Request, queryset: models.QuerySet[Any], view: Any
    ) -> models.QuerySet[Any]:
        """Narrow the list; refuse what is no filter of it."""
        filters = self.get_filterset_class(view, queryset)
        names = filters.base_filters if filters else ()
        refuse_unknown(request.query_params, (*names, *PAGE_PARAMETERS))
        return super().filter_queryset(request, queryset, view)


class StrictView(APIView):
    """A view that refuses query parameters it does not read; `parameters` names those it does."""

    parameters: tuple[str, ...] = ()

    @property
    def person(self) -> User:
        """Who asks. The permission of the API lets nobody else in."""
        return cast(User, self.request.user)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Check the request before it is answered."""
        super().initial(request, *args, **kwargs)
        if "\x00" in request.path:
            # PostgreSQL keeps no such character, so nothing has it in its name.
            raise Missing("There is nothing at this address.")
        if getattr(self, "action", None) != "list":
            refuse_unknown(request.query_params, self.parameters)


class DoorViewSet(StrictView, GenericViewSet[Any]):
    """A viewset of things with two doors: who may see them and who may change them.

    What a person may not see answers 404; what they may see but not change answers 403.
    """

    queryset: Any
    filter_backends = (StrictFilterBackend,)
    lookup_value_converter = "int"
    not_yours = "This is not yours to change."

    def get_queryset(self) -> Any:
        """Give what the person may see."""
        return self.queryset.all().visible_to(self.person)

    def filter_queryset(self, queryset: Any) -> Any:
        """Apply the filters to lists only."""
        return super().filter_queryset(queryset) if self.action == "list" else queryset

    def check_object_permissions(self, request: Request, obj: Any) -> None:
        """Ask the second door before a change."""
        super().check_object_permissions(request, obj)
        if request.method not in SAFE_METHODS:
            self.ask_to_change(obj)

    def ask_to_change(self, obj: Any) -> None:
        """Refuse a change to a thing that the person may only see."""
        may = type(obj)._default_manager.all().editable_by(self.person)
        if not may.filter(pk=obj.pk).exists():
            raise NotAllowed(self.not_yours)

    def read(self, request: Request, thing: Any = None, *, partial: bool = False) -> dict[str, Any]:
        """Read the body by the view's serializer, perhaps as changes to a thing."""
        given = self.get_serializer(thing, data=request.data, partial=partial)
        given.is_valid(raise_exception=True)
        return dict(given.validated_data)

    def made(self, thing: Any) -> Response:
        """Answer a new thing (201)."""
        return Response(self.get_serializer(thing).data, status=status.HTTP_201_CREATED)
