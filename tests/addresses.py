"""Every page of the site by its address pattern, with things put in for its names."""

from dataclasses import dataclass

from django.urls import URLPattern, get_resolver, reverse

# The API is asked by scripts; its description and its page are opened in a browser, too.
NOT_PAGES = ("api/v1/",)


@dataclass(frozen=True)
class Page:
    """A page: its name, its address, and whether things were put into the address."""

    name: str
    address: str
    is_about_a_thing: bool


def pages(things):
    """Every page, in the order of the patterns.

    `things` gives for each name with arguments a dict of them, or None where there is no such
    thing to show.
    """
    for name, names in _patterns(get_resolver(), "", ""):
        if not names:
            yield Page(name, reverse(name), is_about_a_thing=False)
            continue
        if name not in things:
            raise LookupError(f"Say what to put into the address of {name}: {sorted(names)}.")
        if things[name] is not None:
            yield Page(name, reverse(name, kwargs=things[name]), is_about_a_thing=True)


def _patterns(resolver, namespace, before):
    for pattern in resolver.url_patterns:
        route = before + str(pattern.pattern)
        if route.startswith(NOT_PAGES):
            continue
        if isinstance(pattern, URLPattern):
            yield f"{namespace}{pattern.name}", pattern.pattern.converters
            continue
        inner = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
        yield from _patterns(pattern, inner, route)
