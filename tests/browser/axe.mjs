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
        const window = await open({ viewport });
        for (const path of paths) {
            await window.page.goto(base + path);
            await window.page.waitForLoadState("networkidle");
            // Everything that can be unfolded is looked at, too.
            await window.page.evaluate(() => document.querySelectorAll("details").forEach((d) => { d.open = true; }));
            for (const scheme of few ? [viewport === DESK ? "dark" : "light"] : ["light", "dark"]) {
                await window.page.emulateMedia({ colorScheme: scheme });
                const name = `${viewport === PHONE ? "phone" : "desk"}${scheme === "dark" ? "-dark" : ""}`;
                await look(window.page, `${path} ${name}`);
                await screenshot(window.page, `${path.replaceAll("/", "-").slice(1) || "first"}-${name}`);
            }
        }
        check(window.strays.length === 0, `left the origin: ${window.strays}`);
        // That a page is not there is an answer with a status of its own, which the browser notes.
        const faults = window.faults.filter((f) => !f.includes("404"));
        check(faults.length === 0, `complained: ${faults}`);
        await window.close();
    }
}

/// Words inside pictures that don't stand out from what lies under them (WCAG 2.2, 1.4.3: 4.5 to 1;
/// axe-core leaves them open): at nine points of each, the last shape drawn before it counts.
function faint() {
    const parts = (colour) => (colour.match(/[\d.]+/g) ?? []).map(Number);
    const light = (colour) => {
        const [r, g, b] = parts(colour).map((c) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4));
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const ratio = (a, b) => { const [low, high] = [light(a), light(b)].sort((x, y) => x - y); return (high + 0.05) / (low + 0.05); };
    const seen = (colour) => colour !== "none" && parts(colour)[3] !== 0;
    const ground = (e) => { const c = getComputedStyle(e).backgroundColor; return seen(c) ? c : ground(e.parentElement); };
    const found = [];
    for (const svg of document.querySelectorAll("main svg")) {
        if (svg.getClientRects().length === 0) { continue; }
        const under = [];
        for (const e of svg.querySelectorAll("path, rect, circle, text")) {
            const fill = getComputedStyle(e).fill;
            if (e.tagName !== "text") { if (seen(fill)) { under.push([e, fill]); } continue; }
            const box = e.getBBox();
            for (const [x, y] of [0.1, 0.5, 0.9].flatMap((a) => [0.2, 0.5, 0.8].map((b) => [a, b]))) {
                const at = new DOMPoint(box.x + x * box.width, box.y + y * box.height).matrixTransform(e.getCTM());
                const here = ([shape]) => shape.isPointInFill(at.matrixTransform(shape.getCTM().inverse()));
                const below = under.findLast(here)?.[1] ?? ground(svg);
                const is = ratio(fill, below);
                if (is < 4.5) { found.push(`'${e.textContent}' ${fill} on ${below}: ${is.toFixed(2)}`); break; }
            }
        }
    }
    return found;
}

export async function look(page, where) {
    await page.evaluate(source);
    const found = await page.evaluate(async () => {
        const result = await globalThis.axe.run(document, { resultTypes: ["violations"] });
        return result.violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.map((n) => `${n.target} ${n.failureSummary}`).join("; ")}`);
    });
    check(found.length === 0, `${where}: ${found.join("\n")}`);
    const pale = await page.evaluate(faint);
    check(pale.length === 0, `${where}: too faint: ${pale.join("\n")}`);
    const tiny = await page.evaluate(small);
    check(tiny.length === 0, `${where}: too small: ${tiny.join("\n")}`);
    const wide = await page.evaluate(() => document.scrollingElement.scrollWidth - document.documentElement.clientWidth);
    check(wide <= 0, `${where}: ${wide} px wider than the screen`);
}
