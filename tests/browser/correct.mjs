// A reading in doubt is corrected in its one field; then what an older copy of the table took
// away is brought back.

import { open } from "./browser.mjs";
import { check, same } from "./check.mjs";

export async function run(base, [step]) {
    const window = await open();
    const { page } = window;
    await page.goto(`${base}joint/1`);
    await (step === "correct" ? correct(page) : recover(page));
    check(window.strays.length === 0, `left the origin: ${window.strays}`);
    // A value in doubt is an answer with a status of its own, which the browser notes.
    const faults = window.faults.filter((f) => !f.includes("422"));
    check(faults.length === 0, `complained: ${faults}`);
    await window.close();
}

async function correct(page) {
    await page.getByRole("link", { name: "Read or correct station 5" }).click();
    const field = page.locator(".cell[data-quantity=overlap] input");
    await field.waitFor();
    check(await field.evaluate((input) => input === document.activeElement), "the field has the focus");
    same(await field.inputValue(), "4.00", "what stands there");
    await page.keyboard.type("2.9");
    await page.keyboard.press("Enter");
    const mark = page.locator(".cell[data-quantity=overlap] .mark");
    await mark.getByText("far from").waitFor();
    check(await mark.getByRole("button", { name: "It is right, keep it" }).isVisible(), "a doubt can be answered");
    await field.fill("0.3");
    check(await mark.isHidden(), "a new value is no doubt yet");
    await page.getByRole("button", { name: "Put this in its place" }).click();
    await page.waitForURL((url) => url.pathname === "/joint/1");
    same(await page.getByRole("link", { name: "Read or correct station 5" }).count(), 0, "doubts left");
}

async function recover(page) {
    await page.getByText("Not as it was confirmed").waitFor();
    await page.getByRole("button", { name: "Bring it back" }).click();
    await page.waitForFunction(() => document.getElementById("lost") === null);
}
