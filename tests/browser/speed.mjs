// From a keystroke to the map that is drawn anew, and the first page.

import { PHONE, open } from "./browser.mjs";
import { check } from "./check.mjs";

export async function run(base, [limit]) {
    const window = await open({ viewport: PHONE });
    const { page } = window;
    const from = performance.now();
    await page.goto(`${base}joint/1`, { waitUntil: "load" });
    const first = performance.now() - from;
    const [page_, size] = await page.evaluate(() => {
        const all = [...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")];
        return [all[0].loadEventEnd, all.reduce((sum, entry) => sum + entry.encodedBodySize, 0)];
    });
    await page.goto(`${base}joint/1/read`);
    await page.waitForFunction(() => document.getElementById("main").dataset.drawn);
    // The time from the event to the next frame after the map has changed.
    await page.evaluate(() => {
        globalThis.times = [];
        let start = null;
        document.addEventListener("input", () => { start ??= performance.now(); }, true);
        new MutationObserver(() => {
            if (start === null) { return; }
            const begun = start;
            start = null;
            requestAnimationFrame(() => globalThis.times.push(performance.now() - begun));
        }).observe(document.getElementById("map"), { childList: true });
    });
    await page.locator("#f0-overlap").focus();
    const count = await page.locator(".station").count();
    for (let i = 0; i < count; i += 1) {
        for (const key of ["0", ".", "2", "Enter", "0", ".", "1", "Enter"]) {
            await page.keyboard.press(key);
            await page.waitForTimeout(120);
        }
    }
    const times = (await page.evaluate(() => globalThis.times)).sort((a, b) => a - b);
    const at = (part) => times[Math.min(times.length - 1, Math.floor(part * times.length))];
    const told = `${times.length} keystrokes at ${count} stations: median ${at(0.5).toFixed(0)} ms, 95 % ${at(0.95).toFixed(0)} ms; first page ${page_.toFixed(0)} ms (${first.toFixed(0)} from outside), ${(size / 1000).toFixed(0)} kB`;
    console.log(told);
    check(size < 200_000, `the first page is too large: ${told}`);
    check(times.length >= 4 * count, `too few: ${told}`);
    check(at(0.95) < Number(limit), `too slow: ${told}`);
    await window.close();
}
