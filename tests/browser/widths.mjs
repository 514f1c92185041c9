// Every page at every window's size, upright, sideways and at 200 % zoom: nothing wider than the
// window, no word on a key cut off; and with reduced motion nothing moves.

import { open, visit } from "./browser.mjs";
import { check } from "./check.mjs";

const SIZES = [[320, 640], [360, 740], [390, 844], [740, 1000], [740, 360], [844, 390], [640, 450]];

export async function run(base, paths) {
    const window = await open({ viewport: { width: 360, height: 740 } });
    const { page } = window;
    await page.emulateMedia({ reducedMotion: "reduce" });
    for (const path of paths) {
        await visit(page, base + path);
        await page.evaluate(() => document.querySelectorAll("details").forEach((d) => { d.open = true; }));
        for (const [width, height] of SIZES) {
            await page.setViewportSize({ width, height });
            const { wide, cut, moving } = await page.evaluate(looked);
            check(wide <= 0, `${path} at ${width}x${height}: ${wide} px wider than the window`);
            check(cut.length === 0, `${path} at ${width}x${height}: cut off: ${cut}`);
            check(moving.length === 0, `${path}: moves: ${moving}`);
        }
    }
    await window.close();
}

function looked() {
    const root = document.scrollingElement;
    const keys = [...document.querySelectorAll("button, .button, .ways a, .choice span, summary")];
    const shown = keys.filter((e) => e.getClientRects().length > 0);
    const cut = shown.filter((e) => e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0).map((e) => e.textContent.trim());
    const timed = [...document.querySelectorAll("main *")].filter((e) => parseFloat(getComputedStyle(e).transitionDuration) > 0);
    const moving = [...timed.map((e) => e.className), ...document.getAnimations().map((a) => a.effect?.target?.className)];
    return { wide: root.scrollWidth - document.documentElement.clientWidth, cut, moving };
}
