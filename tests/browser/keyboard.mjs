// The whole work with the keyboard alone; the focus can be seen at every step.

import { DESK, open, shown, visit } from "./browser.mjs";
import { check, same, typeOn } from "./check.mjs";

/// What has the focus, and whether that shows.
async function focus(page) {
    return page.evaluate(() => {
        const e = document.activeElement;
        const marked = [e, e.closest(".field"), e.nextElementSibling].filter(Boolean).map((m) => getComputedStyle(m));
        const seen = marked.some((s) => (s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2) || s.boxShadow !== "none");
        return { tag: e.tagName, id: e.id, text: (e.textContent || "").trim().slice(0, 40), seen };
    });
}

/// Tabs until something has the focus; never past a place that can't be seen.
async function tabTo(page, wanted) {
    for (let n = 0; n < 200; n += 1) {
        const now = await focus(page);
        if (wanted(now)) { return now; }
        await page.keyboard.press("Tab");
        const next = await focus(page);
        check(next.tag === "BODY" || next.seen, `the focus does not show on ${JSON.stringify(next)}`);
    }
    throw new Error(`not reached with Tab: ${wanted}`);
}

export async function run(base) {
    const window = await open({ viewport: DESK });
    const { page } = window;
    await visit(page, base);
    if (!base.startsWith("file:")) {
        await page.keyboard.press("Tab");
        same((await focus(page)).text, "To the page itself", "first comes the way past the head");
    }
    await tabTo(page, (f) => f.text === "Read");
    await page.keyboard.press("Enter");
    await page.waitForURL(/read$/);
    await page.waitForFunction(() => document.getElementById("main").dataset.drawn);
    await tabTo(page, (f) => f.id === "f0-overlap-key");
    await page.keyboard.press("Space");
    same(await page.locator("#f0-overlap-key").textContent(), "over", "the sign key");
    await page.keyboard.press("Space");
    await page.keyboard.press("Tab");
    const count = await page.locator(".station").count();
    for (let i = 0; i < count; i += 1) {
        const was = await page.locator(`#f${i}-overlap-was`).textContent();
        await typeOn(page, was.replace(/.*was (gap |over )?/, ""));
        await typeOn(page, "0.1");
    }
    same((await focus(page)).text, "Look it over and save", "Enter leads to the end");
    await page.waitForFunction(() => document.getElementById("main").dataset.kept === "yes");
    const doubts = await page.locator(".cell[data-state=doubt]").count();
    for (let i = 0; i < doubts; i += 1) {
        await page.keyboard.press("Enter");
        await page.locator(".cell[data-state=doubt] input:focus").waitFor();
        await tabTo(page, (f) => f.text === "It is right, keep it");
        await page.keyboard.press("Enter");
        await tabTo(page, (f) => f.text === "Look it over and save");
    }
    await page.keyboard.press("Enter");
    await page.getByRole("dialog").waitFor();
    await tabTo(page, (f) => f.text.startsWith("Save round"));
    await page.keyboard.press("Enter");
    await page.waitForURL((url) => !url.href.endsWith("/read"));
    await shown(page);

    // Strokes: ticked if there are any, told all the same if there are none.
    if (await page.locator(".strokes .stroke").count() === 0) {
        await tabTo(page, (f) => f.text.includes("planed all the same"));
        await page.keyboard.press("Enter");
        await tabTo(page, (f) => f.text === "Another stroke");
        await page.keyboard.press("Enter");
    } else {
        await tabTo(page, (f) => f.tag === "INPUT");
        await page.keyboard.press("Space");
    }
    await tabTo(page, (f) => f.text === "Record what is ticked");
    await page.keyboard.press("Enter");
    await page.getByRole("dialog").waitFor();
    await tabTo(page, (f) => f.text === "Record");
    await page.keyboard.press("Enter");
    await page.getByText("Read again: strokes are recorded").waitFor();

    // The rib turns by the arrow keys, sliders too.
    await visit(page, `${base}joint/1/look`);
    const picture = () => page.locator("#space svg >> visible=true").innerHTML();
    const before = await picture();
    const turned = Number(await page.locator("#turn").inputValue());
    await tabTo(page, (f) => f.id === "space");
    await page.keyboard.press("ArrowRight");
    const drawnAnew = (old) => [...document.querySelectorAll("#space svg")].every((svg) => svg.innerHTML !== old);
    await page.waitForFunction(drawnAnew, before);
    same(await page.locator("#turn").inputValue(), String(turned + 4), "turned by 4 degrees");
    // A finger that goes up or down over it scrolls the page.
    same(await page.locator("#space").evaluate((e) => getComputedStyle(e).touchAction), "pan-y", "a finger is not trapped");
    await visit(page, `${base}joint/1/try`);
    await tabTo(page, (f) => f.id === "cut-4");
    const lies = await page.locator("#then").textContent();
    for (let i = 0; i < 10; i += 1) { await page.keyboard.press("ArrowRight"); }
    await page.waitForFunction((old) => document.getElementById("then").textContent !== old, lies);
    check(window.strays.length === 0, `left the origin: ${window.strays}`);
    check(window.faults.length === 0, `complained: ${window.faults}`);
    await window.close();
}
