// Every page: no violation that axe-core finds, targets large enough for a thumb,
// nothing wider than the screen; on a phone and on a desk, in light and dark.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { DESK, PHONE, open } from "./browser.mjs";
import { check, screenshot } from "./check.mjs";

const source = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/// What can be tapped and is smaller than 44 px either way; a link within a
/// sentence may be (WCAG 2.2, 2.5.8, exception "inline").
function small() {
    const all = document.querySelectorAll("a, button, input, select, summary, label.tick, [tabindex='0']");
    const shown = [...all].filter((e) => e.getClientRects().length > 0 && !e.matches(".skip, input[type=checkbox], input[type=radio]") && !e.closest("p, li.text"));
    const size = (e) => (e.closest(".field") && e.tagName === "INPUT" ? e.closest(".field") : e).getBoundingClientRect();
    return shown.filter((e) => { const s = size(e); return s.width < 43.9 || s.height < 43.9; }).map((e) => {
        const s = size(e);
        return `${e.outerHTML.slice(0, 120)} ${s.width.toFixed(0)} x ${s.height.toFixed(0)}`;
    });
}

/// With `few` behind the paths, only a phone in light and a desk in the dark.
export async function run(base, wanted) {
    const paths = wanted.filter((path) => path !== "few");
    const few = paths.length < wanted.length;
    for (const viewport of [PHONE, DESK]) {
        for (const dark of few ? [viewport === DESK] : [false, true]) {
            const name = `${viewport === PHONE ? "phone" : "desk"}${dark ? "-dark" : ""}`;
            const window = await open({ viewport, dark });
            for (const path of paths) {
                await window.page.goto(base + path);
                await window.page.waitForLoadState("networkidle");
                // Everything that can be unfolded is looked at, too.
                await window.page.evaluate(() => document.querySelectorAll("details").forEach((d) => { d.open = true; }));
                await look(window.page, `${path} ${name}`);
                await screenshot(window.page, `${path.replaceAll("/", "-").slice(1) || "first"}-${name}`);
            }
            check(window.strays.length === 0, `left the origin: ${window.strays}`);
            // That a page is not there is an answer with a status of its own, which the browser notes.
            const faults = window.faults.filter((f) => !f.includes("404"));
            check(faults.length === 0, `complained: ${faults}`);
            await window.close();
        }
    }
}

export async function look(page, where) {
    await page.evaluate(source);
    const found = await page.evaluate(async () => {
        const result = await globalThis.axe.run(document, { resultTypes: ["violations"] });
        return result.violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.map((n) => `${n.target} ${n.failureSummary}`).join("; ")}`);
    });
    check(found.length === 0, `${where}: ${found.join("\n")}`);
    const tiny = await page.evaluate(small);
    check(tiny.length === 0, `${where}: too small: ${tiny.join("\n")}`);
    const wide = await page.evaluate(() => document.scrollingElement.scrollWidth - document.documentElement.clientWidth);
    check(wide <= 0, `${where}: ${wide} px wider than the screen`);
}
