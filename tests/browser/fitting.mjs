// A whole fitting by thumb: readings typed, strokes ticked, until the page says stop.
// The rib is played by whoever started this: a line of JSON comes in for each trial
// of the rib, `{"gaps": [...], "lifts": [...]}`, and one goes out with what the page
// said, `{"verdict": "...", "strokes": [...]}`.

import { createInterface } from "node:readline";
import { PHONE, open, openFolder } from "./browser.mjs";
import { check, kept, same, screenshot } from "./check.mjs";
import { look } from "./axe.mjs";
import { saveAs } from "./one_file.mjs";

/// With a folder and the name of a .zip, the page is one file, which opens the one and saves the other.
export async function run(base, [folder, zip]) {
    const window = await open({ viewport: PHONE });
    const { page } = window;
    let round = 0;
    await page.goto(base);
    if (folder) { await openFolder(page, folder); }
    for await (const line of createInterface({ input: process.stdin })) {
        const read = JSON.parse(line);
        round += 1;
        const last = await page.getByRole("link", { name: `Type round ${round}` });
        if (await last.count() > 0) { await last.tap(); } else { await page.getByRole("link", { name: "Read", exact: true }).tap(); }
        await page.locator("#round").waitFor();
        await type(page, read, round);
        await save(page, round);
        const answer = { verdict: await page.locator(".verdict h2").first().textContent(), strokes: await strokes(page, round) };
        console.log(JSON.stringify(answer));
    }
    if (zip) { await saveAs(page, zip); }
    check(window.strays.length === 0, `left the origin: ${window.strays}`);
    check(window.faults.length === 0, `complained: ${window.faults}`);
    await window.close();
}

/// Decimal commas and points by turns; in the second round the page is reloaded in
/// the middle.
async function type(page, read, round) {
    const rows = page.locator(".station");
    same(await rows.count(), read.gaps.length, "stations");
    await rows.first().locator("input").first().tap();
    for (let i = 0; i < read.gaps.length; i += 1) {
        if (round === 2 && i === 6) { await reload(page, read, i); }
        const written = (value) => (i % 2 ? value.toFixed(2) : value.toFixed(2).replace(".", ","));
        for (const value of [read.gaps[i], read.lifts[i]]) {
            await page.keyboard.type(written(value));
            const doubt = page.locator(".cell[data-state=doubt]");
            await page.keyboard.press("Enter");
            if (round > 1) {
                await kept(page);
                if (await doubt.count() > 0) { await doubt.first().getByRole("button", { name: "It is right" }).tap(); }
            }
        }
    }
    await kept(page);
    const count = await page.locator("#count").textContent();
    same(count, `${read.gaps.length} of ${read.gaps.length} joint readings, ${read.gaps.length} of ${read.gaps.length} lifts`, "count");
    check(await page.locator("#map svg .end-point").count() >= read.gaps.length, "the map is drawn");
    if (round === 2) {
        await look(page, "a round being typed");
        await screenshot(page, "round-typed-phone");
    }
}

async function reload(page, read, done) {
    await kept(page);
    await page.reload();
    await page.locator(".station input").first().waitFor();
    const values = await page.locator(".cell[data-quantity=overlap] input").evaluateAll((all) => all.map((i) => i.value));
    same(values.slice(0, done).map(Number), read.gaps.slice(0, done), "gaps after a reload");
    same(values.slice(done).join(""), "", "and no others");
    await page.locator(".station").nth(done).locator("input").first().tap();
}

async function save(page, round) {
    await page.getByRole("button", { name: "Look it over and save" }).tap();
    const dialog = page.getByRole("dialog");
    await dialog.waitFor();
    check((await dialog.textContent()).includes("Every field is filled."), "all is read");
    if (round === 1) {
        await look(page, "the question whether to save");
        await screenshot(page, "save-phone");
        // Going back saves nothing.
        await dialog.getByRole("button", { name: "Go back" }).tap();
        await page.getByRole("button", { name: "Look it over and save" }).tap();
    }
    await dialog.getByRole("button", { name: `Save round ${round}` }).tap();
    await page.waitForURL((url) => !url.href.endsWith("/read"));
    await page.locator("#round").waitFor({ state: "detached" });
}

/// Ticks a stroke, or counts its pushes until it is ticked by itself.
async function take(stroke) {
    const push = stroke.locator(".push");
    if (!await push.isVisible()) { return stroke.getByRole("checkbox").tap(); }
    const many = Number((await push.locator("output").textContent()).split(" of ")[1]);
    for (let n = 1; n <= many; n += 1) {
        check(!await stroke.getByRole("checkbox").isChecked(), "no tick before the last push");
        await push.tap();
        same(await push.locator("output").textContent(), `${n} of ${many}`, "pushes counted");
    }
}

/// Ticks every stroke and records; gives their words.
async function strokes(page, round) {
    const list = page.locator(".strokes .stroke");
    const words = await list.locator(".words").allTextContents();
    if (words.length === 0) { return []; }
    const card = await list.first().boundingBox();
    check(card.y > 0 && card.y + card.height < page.viewportSize().height, "the first stroke is seen without scrolling");
    for (let i = 0; i < words.length; i += 1) {
        await take(list.nth(i));
        // Ticks outlive a reload.
        if (i === 0) {
            await page.reload();
            check(await list.nth(0).getByRole("checkbox").isChecked(), "the tick is still there");
        }
    }
    await page.getByRole("button", { name: "Record what is ticked" }).tap();
    const dialog = page.getByRole("dialog");
    await dialog.waitFor();
    same(await dialog.locator("li").count(), words.length, "strokes to be recorded");
    await dialog.getByRole("button", { name: "Record", exact: true }).tap();
    await page.getByRole("link", { name: `Read round ${round + 1}` }).waitFor();
    return words;
}
