"""A real headless Chromium for the tests: found, else installed, else the reason why not is said."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

_NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")


def chromium() -> str:
    """Path of a Chromium.

    Looks on the path; where there is none, and the machine lets us (root, Debian), installs the system's package. In CI
    a missing browser is a failure; elsewhere the test is skipped and says so.
    """
    found = _found()
    if found is None and hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get"):
        for command in (["apt-get", "update", "-qq"], ["apt-get", "install", "-y", "-qq", "chromium"]):
            subprocess.run(command, check=False, capture_output=True, timeout=300)
        found = _found()
    if found is None:
        reason = f"no Chromium found (looked for {', '.join(_NAMES)}); install one to run the browser tests"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return found


def _found() -> str | None:
    return next((path for name in _NAMES if (path := shutil.which(name))), None)


@contextmanager
def page(*, width: int = 390, height: int = 844, dark: bool = False) -> Iterator[Any]:
    """A blank page of a phone's size; anything it asks of a network fails the test."""
    from playwright.sync_api import sync_playwright

    asked: list[str] = []
    with sync_playwright() as runner:
        browser = runner.chromium.launch(executable_path=chromium(), args=["--no-sandbox", "--disable-gpu"])
        scheme = "dark" if dark else "light"
        context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme, has_touch=True)
        opened = context.new_page()
        opened.on("request", lambda request: asked.append(request.url) if request.url.startswith("http") else None)
        errors: list[str] = []
        opened.on("pageerror", lambda error: errors.append(str(error)))
        yield opened
        browser.close()
    assert asked == [], "the page asks the network for something"
    assert errors == [], "the page has a script error"
