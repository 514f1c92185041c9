// Checks, and where pictures of the pages go.

import { mkdirSync } from "node:fs";
import { join } from "node:path";

export function check(holds, words) {
    if (!holds) { throw new Error(words); }
}

export function same(a, b, words) {
    const [x, y] = [a, b].map((v) => JSON.stringify(v));
    check(x === y, `${words}: ${x} is not ${y}`);
}

/// Kept for people to look at, if they said where.
export async function screenshot(page, name) {
    const folder = process.env.RIBWRIGHT_SHOTS;
    if (!folder) { return; }
    mkdirSync(folder, { recursive: true });
    await page.screenshot({ path: join(folder, `${name}.png`), fullPage: true });
}

/// Types a number into the field that has the focus, key by key, and goes on with Enter.
export async function typeOn(page, text) {
    await page.keyboard.type(text);
    await page.keyboard.press("Enter");
}

/// Waits until all that is typed is in the folder's draft.
export async function kept(page) {
    await page.waitForFunction(() => document.getElementById("main").dataset.kept === "yes");
}
