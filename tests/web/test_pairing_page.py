"""A phone is paired, as both its owner and the barn's see it."""

import re

from playwright.sync_api import Browser, Page, expect

from evenfall.store import Barn, devices


def test_a_phone_is_paired_used_and_removed(
    page: Page, browser: Browser, served_afar: str, barn: Barn
) -> None:
    page.goto("/settings")
    page.get_by_label("On: paired devices too").check()
    page.get_by_role("button", name="Save").last.click()
    page.goto("/devices")
    page.get_by_role("button", name="Show a code").click()
    expect(page.get_by_role("img", name="The address below as a code to scan")).to_be_visible()
    path = re.sub(r"^http://[^/]+", "", page.locator(".link-text code").inner_text())

    context = browser.new_context(viewport={"width": 360, "height": 740}, base_url=served_afar)
    phone = context.new_page()
    phone.goto("/settings")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Not paired")
    phone.goto(path)
    phone.get_by_label("What is this device called?").fill("Anna's phone")
    phone.get_by_role("button", name="Pair").click()
    phone.wait_for_url("**/")
    phone.goto("/settings")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Settings")
    expect(phone.get_by_text("This computer")).to_have_count(0)
    assert phone.evaluate("document.cookie") == ""

    page.goto("/devices")
    page.get_by_role("button", name="Remove Anna's phone").click()
    expect(page.get_by_text("None yet.")).to_be_visible()
    phone.reload()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Not paired")
    assert [device.revoked_at is not None for device in devices.every(barn)] == [True]
    context.close()
