"""The served demo as the browser tests see it: accounts, tokens, what a page says and loads."""

import json
from urllib.request import Request, urlopen

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}


class Site:
    """A running server, a browser, and who may sign in."""

    def __init__(self, address, browser, passwords, make_token):
        self.address = address
        self.browser = browser
        self.passwords = passwords
        self._make_token = make_token
        self._signed_in = {}
        self._tokens = {}

    def context(self, name=None, **options):
        """A browser context in which the account is signed in."""
        if name is not None:
            options["storage_state"] = self._state_of(name)
        return self.browser.new_context(base_url=self.address, **options)

    def _state_of(self, name):
        if name not in self._signed_in:
            context = self.browser.new_context(base_url=self.address)
            page = context.new_page()
            sign_in(page, name, self.passwords[name])
            self._signed_in[name] = context.storage_state()
            context.close()
        return self._signed_in[name]

    def api(self, name, path):
        """The JSON that the API answers to an account's token."""
        if name not in self._tokens:
            self._tokens[name] = self._make_token(name)
        request = Request(
            f"{self.address}/api/v1/{path}",
            headers={"Authorization": f"Bearer {self._tokens[name]}"},
        )
        with urlopen(request, timeout=20) as answer:
            return json.load(answer)

    def every(self, name, path):
        """All rows of a list of the API."""
        rows, link = [], path
        while link:
            page = self.api(name, link)
            rows += page["results"]
            link = page["next"] and page["next"].split("/api/v1/")[1]
        return rows


def sign_in(page, name, password):
    """Sign in by the form."""
    page.goto("/sign-in/")
    page.locator("[name=username]").fill(name)
    page.locator("[name=password]").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", level=1).wait_for()
    assert "/sign-in/" not in page.url, page.locator("main").inner_text()


class Watch:
    """What a page said on its console, and what it asked for from where."""

    def __init__(self, page):
        self.said = []
        self.addresses = []
        self._answers = []
        page.on("console", self._hear)
        page.on("pageerror", lambda error: self.said.append(str(error)))
        page.on("requestfailed", lambda request: self.said.append(f"failed: {request.url}"))
        page.on("request", lambda request: self.addresses.append(request.url))
        page.on("response", lambda answer: self._answers.append(answer))

    def _hear(self, message):
        if message.type in ("error", "warning"):
            self.said.append(message.text)

    def foreign(self, address):
        """Requests to any other host."""
        return [
            url for url in self.addresses if not url.startswith((f"{address}/", "data:", "blob:"))
        ]

    def weight(self):
        """Bytes of all that was loaded, as they came over the wire."""
        return sum(
            answer.request.sizes()["responseBodySize"]
            for answer in self._answers
            if answer.status == 200
        )


def overflow(page):
    """How many px the page is wider than the window, and what sticks out."""
    return page.evaluate(
        """() => {
          const room = document.documentElement.clientWidth;
          const wide = document.documentElement.scrollWidth - room;
          if (wide <= 0) return null;
          const out = [...document.querySelectorAll('body *')].filter(
            one => one.getBoundingClientRect().right > room + 1 && !one.closest('.scroll'));
          return wide + ' px: ' + out.slice(0, 5).map(
            one => `${one.tagName}.${one.className} ${one.textContent.trim().slice(0, 40)}`
          ).join(' | ');
        }"""
    )
