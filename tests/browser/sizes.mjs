// The field that is typed into stays in sight, and its whole number in it, at every
// window's size: phones upright and sideways, zoom, tablets, desks.

import { open, visit } from "./browser.mjs";
import { check } from "./check.mjs";

const SIZES = [
    [320, 640], [360, 740], [390, 844], [740, 360], [844, 390],
    [640, 450], [768, 1024], [960, 500], [1024, 600], [1280, 800],
];

export async function run(base, [number]) {
    const window = await open({ viewport: { width: 320, height: 640 }, touch: true });
    const { page } = window;
    await visit(page, `${base}joint/1/read`);
    await page.waitForFunction(() => document.getElementById("main").dataset.drawn);
    const inputs = page.locator(".cell input");
    await inputs.first().fill(number);
    await page.locator("#map svg").first().waitFor({ state: "attached" });
    for (const [width, height] of SIZES) {
        await page.setViewportSize({ width, height });
        for (const at of [0, 6, await inputs.count() - 2]) {
            await inputs.nth(at).tap();
            await inputs.nth(at).fill(number);
            await page.waitForTimeout(200);
            const { covered, cut } = await page.evaluate(looked);
            check(covered.length === 0, `${width}x${height}, field ${at}: covered by ${covered}`);
            check(cut === 0, `${width}x${height}, field ${at}: ${number} is ${cut} px too wide`);
        }
        await page.locator("h1").tap();
        await inputs.nth(6).tap();
        const taken = await inputs.nth(6).evaluate((i) => i.value.slice(i.selectionStart, i.selectionEnd));
        check(taken === number, `${width}x${height}: a tap takes '${taken}'`);
    }
    await window.close();
}

// What lies on the focused field's middle and corners, other than itself; and how much
// of its number has no room.
function looked() {
    const input = document.activeElement;
    const { left, right, top, bottom } = input.getBoundingClientRect();
    const points = [[(left + right) / 2, (top + bottom) / 2], [left + 3, top + 3], [right - 3, bottom - 3]];
    const there = points.map(([x, y]) => document.elementFromPoint(x, y));
    const covered = there.filter((e) => !input.closest(".field").contains(e)).map((e) => (e ? e.tagName : "the window's edge"));
    return { covered, cut: input.scrollWidth - input.clientWidth };
}
