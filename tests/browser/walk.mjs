// One station at a time, in the order asked for, by tapping alone: leaves, a bearing, the way on;
// what was taken is said back. Tells how many lifts were read.

import { PHONE, open, shown, visit } from "./browser.mjs";
import { check, kept, same, screenshot } from "./check.mjs";
import { look } from "./axe.mjs";

export async function run(base) {
    const window = await open({ viewport: PHONE });
    const { page } = window;
    await visit(page, `${base}joint/1/read`);
    await page.waitForFunction(() => document.getElementById("main").dataset.drawn);
    await page.getByText("one at a time").tap();
    const here = page.locator("li.here");
    same(await page.locator(".stations > li:visible").count(), 1, "stations shown");
    const leaf = (name) => page.locator("#leaves").getByRole("button", { name, exact: true });
    // Whatever is asked for first: the first station's joint edge.
    while (await here.locator("h3").textContent() !== "Station 1") { await page.locator("#step-back").tap(); }
    await here.locator("input").first().tap();
    await leaf("0.15").tap();
    await page.waitForFunction(() => document.getElementById("taken").textContent === "1: gap 0.15");
    const size = await page.locator("#taken").evaluate((e) => parseFloat(getComputedStyle(e).fontSize));
    check(size >= 32, `said back with ${size} px`);
    await leaf("none").tap();
    await page.waitForFunction(() => document.getElementById("taken").textContent.endsWith("lift <0.05"));
    // On to the next station, which bears.
    while (await here.locator("h3").textContent() !== "Station 2") { await page.locator("#step-on").tap(); }
    await here.locator(".bears").tap();
    same(await here.locator(".bears").getAttribute("aria-pressed"), "true", "it bears");
    await kept(page);
    await look(page, "one station at a time");
    await screenshot(page, "one-station-phone");
    // All that is asked for, by leaves; the choice outlives a reload.
    await page.reload();
    await shown(page);
    await page.waitForFunction(() => document.getElementById("main").dataset.drawn);
    same(await page.locator(".stations > li:visible").count(), 1, "stations shown after a reload");
    for (let n = 0; n < 60 && await page.locator(".cell[data-asked] input").evaluateAll((all) => all.some((input) => input.value === "")); n += 1) { await leaf("0.10").tap(); }
    await kept(page);
    const doubt = page.locator(".cell[data-state=doubt]");
    await page.locator("input[name=walk][value=list]").evaluate((e) => e.click());
    for (let n = await doubt.count(); n > 0; n -= 1) { await doubt.first().getByRole("button", { name: "It is right" }).tap(); await page.waitForTimeout(300); }
    await kept(page);
    const lifts = await page.locator(".cell[data-quantity=lift] input").evaluateAll((all) => all.filter((i) => i.value !== "").length);
    await page.getByRole("button", { name: "Look it over and save" }).tap();
    check((await page.getByRole("dialog").textContent()).includes("Felt to bear at 2."), "the bearing is told");
    await page.locator("#save").tap();
    await page.waitForURL((url) => !url.href.endsWith("/read"));
    check(window.faults.length === 0, `complained: ${window.faults}`);
    console.log(lifts);
    await window.close();
}
