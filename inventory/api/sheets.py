"""The API of data sheets: all together, and typed for each kind."""

from __future__ import annotations

from typing import Any

from rest_framework import mixins, status
from rest_framework.request import Request
from rest_framework.response import Response

from hangar.api import DoorViewSet
from inventory import operations
from inventory.filters import SheetFilterSet, sheets_of_kind
from inventory.kinds import DataSheet
from inventory.serializers.sheets import SERIALIZERS, SheetSerializer


class SheetViewSet(mixins.ListModelMixin, DoorViewSet):
    """Data sheets of all kinds, with what all have in common."""

    queryset = DataSheet.objects.select_related("person", "club")
    serializer_class = SheetSerializer
    filterset_class = SheetFilterSet


class TypedSheetViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, DoorViewSet):
    """Data sheets of one kind, with all figures of that kind."""

    # The key of a kind's table is a link, for which Django does not bound numbers as for `id`.
    lookup_field = "id"
    lookup_url_kwarg = "pk"
    page_ordering = ("id",)
    not_yours = "This data sheet is not yours to change."

    def get_queryset(self) -> Any:
        """Give sheets of the kind with their owners, an airframe's with its positions."""
        sheets = super().get_queryset().select_related("person", "club")
        return sheets.prefetch_related("template") if hasattr(sheets.model, "template") else sheets

    def create(self, request: Request) -> Response:
        """Add a data sheet, yours or a club's."""
        given = self.read(request)
        club, template = given.pop("club", None), given.pop("template", None)
        sheet = self.queryset.model(person=None if club else self.person, club=club, **given)
        return self.made(operations.save_sheet(sheet, by=self.person, template=template))

    def update(self, request: Request, pk: str, partial: bool = False) -> Response:
        """Change a data sheet; a `template` replaces all positions of an airframe."""
        sheet = self.get_object()
        given = self.read(request, sheet, partial=partial)
        given.pop("club", None)
        template = given.pop("template", None)
        for name, value in given.items():
            setattr(sheet, name, value)
        operations.save_sheet(sheet, by=self.person, template=template)
        return Response(self.get_serializer(self.get_object()).data)

    def partial_update(self, request: Request, pk: str) -> Response:
        """Change some figures of a data sheet."""
        return self.update(request, pk, partial=True)

    def destroy(self, request: Request, pk: str) -> Response:
        """Delete a data sheet of which there is no part."""
        operations.delete_sheet(self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)


def _viewset_of(kind: str, sheet: type[DataSheet]) -> type[TypedSheetViewSet]:
    words = {
        "queryset": sheet.objects.all(),
        "serializer_class": SERIALIZERS[kind],
        "filterset_class": sheets_of_kind(kind),
        "__doc__": f"Data sheets of {sheet.label_plural}.",
        "__module__": __name__,
    }
    return type(f"{sheet.__name__}ViewSet", (TypedSheetViewSet,), words)


VIEWSETS = {kind: _viewset_of(kind, sheet) for kind, sheet in DataSheet.registry.items()}
