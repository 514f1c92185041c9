// A lesson: stations are tapped, the rib is seated anew, the answer says what came of it.

import { PHONE, open, visit } from "./browser.mjs";
import { check, same } from "./check.mjs";
import { look } from "./axe.mjs";

export async function run(base) {
    const window = await open({ viewport: PHONE });
    const { page } = window;
    await visit(page, base);
    await page.getByRole("link", { name: "Lessons" }).tap();
    await page.getByRole("link", { name: "A bump is a lever" }).tap();
    await page.locator(".tile").first().waitFor();
    const tile = (i) => page.locator(".tile").nth(i);
    for (const i of [9, 9, 9, 4]) { await tile(i).tap(); }
    await page.getByText("puts one back").tap();
    await tile(4).tap();
    await tile(4).tap();
    same(await page.locator(".tile .count").allTextContents().then((all) => [all[9], all[4]]), ["3", "0"], "taps");
    check(await page.getByRole("button", { name: "Station 10 , 3 shavings" }).or(page.getByRole("button", { name: "Station 10, 3 shavings" })).count() === 1, "said");
    await page.getByRole("button", { name: "See what comes of it" }).tap();
    const came = page.locator("#came-words");
    await came.getByText("3 shavings at 10", { exact: true }).waitFor();
    check(await came.locator(".narrow svg .now, .narrow svg .after").count() > 0, "the answer is drawn");
    same(await page.evaluate(() => document.activeElement.id), "came-head", "the focus goes to the answer");
    await look(page, "a lesson answered");
    // Ways to choose from, and a plane with its pushes.
    for (const [topic, choose] of [["slices", async () => { await page.locator("input[name=way]").nth(1).check(); }], ["soles", async () => {
        await page.locator("#pushes").focus();
        for (let n = 0; n < 3; n += 1) { await page.keyboard.press("ArrowRight"); }
    }]]) {
        await visit(page, `${base}lessons/${topic}/2`);
        await choose();
        await page.getByRole("button", { name: "See what comes of it" }).tap();
        await came.locator(".narrow svg").waitFor();
    }
    check(window.strays.length === 0, `left the origin: ${window.strays}`);
    check(window.faults.length === 0, `complained: ${window.faults}`);
    await window.close();
}
