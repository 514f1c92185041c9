// The page as one file, opened as a maker opens it: from a folder, by no server, without a network.
// A scenario's name follows the address, then what it needs.

import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { join } from "node:path";
import { DESK, PHONE, open, openFolder } from "./browser.mjs";
import { look } from "./axe.mjs";
import { check, kept, same, screenshot, typeOn } from "./check.mjs";

const bar = (page) => page.locator("#own-bar");
const notice = (page) => page.locator("#own-notice");

/// Shows that a page of the file is there.
async function shown(page, path) {
    await page.waitForFunction((wanted) => document.getElementById("own-page").dataset.shown === wanted, path);
}

/// Saves, and leaves the file at a path.
export async function saveAs(page, file) {
    const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Save file" }).click()]);
    await download.saveAs(file);
}

async function begin(base, how) {
    const window = await open(how);
    // Whatever asks for anything but this file and what it made itself.
    window.asked = [];
    window.context.on("request", (request) => { if (!/^(file|blob|data):/.test(request.url())) { window.asked.push(request.url()); } });
    await window.context.setOffline(true);
    await window.page.goto(base);
    await window.page.getByRole("button", { name: "Try an invented joint" }).waitFor();
    return window;
}

async function end(window) {
    check(window.asked.length === 0, `asked for ${window.asked}`);
    check(window.faults.length === 0, `complained: ${window.faults}`);
    await window.close();
}

const scenarios = {
    /// Every page, at a phone's and a desk's size, light and dark.
    async axe(base, [folder, ...paths]) {
        for (const [viewport, dark] of [[PHONE, false], [DESK, true]]) {
            const window = await begin(base, { viewport, dark });
            const { page } = window;
            const name = `one-file-${viewport === PHONE ? "phone" : "desk"}`;
            await look(page, `the first page ${name}`);
            await screenshot(page, `${name}-first`);
            await openFolder(page, folder);
            for (const path of paths) {
                await page.goto(`${base}#${path}`);
                await shown(page, path);
                await look(page, `${path} ${name}`);
                await screenshot(page, `${name}${path.replaceAll("/", "-")}`);
            }
            await end(window);
        }
    },

    /// With nothing but the file: a bowl laid out, its first joint read and saved; a joint alone.
    async begins(base, [bowl, joint]) {
        const window = await begin(base, { viewport: PHONE });
        const { page } = window;
        await page.keyboard.press("Tab");
        same(await page.evaluate(() => document.activeElement.textContent), "To the page itself", "first comes the way past the head");
        await page.getByRole("link", { name: "Lay out a bowl" }).tap();
        await shown(page, "/new/bowl");
        const fill = (fields) => Object.entries(fields).reduce((before, [name, text]) => before.then(() => page.locator(`[name="${name}"]`).fill(text)), Promise.resolve());
        await fill({ title: "An invented bowl", ribs: "11", length: "480", width: "4800" });
        await page.getByRole("button", { name: "Begin", exact: true }).tap();
        await page.locator("#width-mark").getByText("out of range").waitFor();
        same(await page.evaluate(() => document.activeElement.id), "width", "the field in question has the focus");
        await look(page, "a field that is wrong");
        await screenshot(page, "one-file-begin-wrong");
        await page.reload();
        await shown(page, "/new/bowl");
        same(await page.locator("#ribs").inputValue(), "11", "typed before the reload");
        await fill({ width: "348" });
        await page.getByRole("button", { name: "Begin", exact: true }).tap();
        await shown(page, "/");
        same(await page.locator("#own-name").textContent(), "an-invented-bowl", "named by its title");
        same(await bar(page).getAttribute("data-unsaved"), "true", "in no file yet");
        await screenshot(page, "one-file-bowl");
        await page.getByRole("link", { name: "To joint 1" }).tap();
        await shown(page, "/joint/01");
        await page.getByRole("link", { name: "Read", exact: true }).tap();
        await shown(page, "/joint/01/read");
        await page.locator(".station input").first().tap();
        const count = await page.locator(".station input").count();
        for (let i = 0; i < count; i += 1) { await typeOn(page, i % 2 ? "0.1" : "0.3"); }
        await kept(page);
        await page.getByRole("button", { name: "Look it over and save" }).tap();
        await page.getByRole("dialog").getByRole("button", { name: "Save round 1" }).tap();
        await shown(page, "/joint/01");
        await page.locator(".verdict").first().waitFor();
        await saveAs(page, bowl);
        await page.goto(`${base}#begin`);
        await page.getByRole("link", { name: "Begin a joint alone" }).tap();
        await shown(page, "/new/joint");
        await fill({ "along-1": "20", "width-1": "30", "bevel-1": "6", "along-2": "120", "width-2": "40", "rise-2": "x" });
        await page.getByRole("button", { name: "Begin", exact: true }).tap();
        await page.locator("#bevel-2-mark").getByText("Expected a bevel").waitFor();
        check(await page.locator("#rise-2-mark").isVisible(), "what is no number is marked");
        await fill({ "rise-1": "4", "bevel-2": "7", "rise-2": "12", "along-3": "60", "width-3": "44", "bevel-3": "7" });
        await page.getByRole("button", { name: "Begin", exact: true }).tap();
        await page.locator("#along-3-mark").getByText("Expected more").waitFor();
        await page.locator("#rise-3-mark").getByText("at every station").waitFor();
        await fill({ "along-3": "220", "rise-3": "12" });
        while (await page.locator(".rows > li").count() < 10) { await page.getByRole("button", { name: "Another station" }).tap(); }
        await fill({ "along-10": "300", "width-10": "30", "bevel-10": "6", "rise-10": "4" });
        await page.getByRole("button", { name: "Begin", exact: true }).tap();
        await shown(page, "/joint/1");
        await saveAs(page, joint);
        await end(window);
    },

    /// Tables in any shape that the program takes; what other pages keep in the same store stays theirs.
    async opens(base, files) {
        const window = await begin(base, { viewport: DESK });
        const { page } = window;
        const own = "ribwright one file";
        await page.evaluate(() => localStorage.setItem("/joint/1 strokes", "of another page"));
        await page.getByRole("button", { name: "Try an invented joint" }).click();
        await shown(page, "/joint/1");
        await page.locator(".strokes .stroke").first().getByRole("checkbox").check();
        const names = () => page.evaluate(async () => [...Object.keys(localStorage), ...(await indexedDB.databases()).map((each) => each.name)]);
        same((await names()).sort(), ["/joint/1 strokes", own, `${own} /joint/1 strokes`].sort(), "what is kept");
        for (const file of files) {
            const was = await page.locator("#own-name").textContent();
            await page.locator("#own-files").setInputFiles(file.split("|"));
            await page.waitForFunction((name) => document.getElementById("own-name").textContent !== name, was);
            await shown(page, "/joint/1");
        }
        same((await names()).sort(), ["/joint/1 strokes", own].sort(), "ticks of other tables are forgotten");
        same(await page.evaluate(() => localStorage.getItem("/joint/1 strokes")), "of another page", "another page's");
        await end(window);
    },

    /// The folder behind a plain web server: it can be installed, and opens without that server.
    async web(folder) {
        const kinds = { html: "text/html", js: "text/javascript", png: "image/png", svg: "image/svg+xml", webmanifest: "application/manifest+json" };
        const server = createServer((request, response) => {
            const name = request.url === "/made/" ? "index.html" : request.url.replace("/made/", "");
            try {
                const bytes = readFileSync(join(folder, name));
                response.writeHead(200, { "Content-Type": kinds[name.split(".").pop()] }).end(bytes);
            } catch { response.writeHead(404).end(); }
        });
        await new Promise((done) => { server.listen(0, "127.0.0.1", done); });
        const window = await open({ viewport: PHONE });
        const { page, context } = window;
        await page.goto(`http://127.0.0.1:${server.address().port}/made/`);
        await page.getByRole("button", { name: "Try an invented joint" }).tap();
        await shown(page, "/joint/1");
        await page.evaluate(() => navigator.serviceWorker.ready);
        await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
        const session = await context.newCDPSession(page);
        same((await session.send("Page.getInstallabilityErrors")).installabilityErrors, [], "what speaks against installing it");
        const { errors, data } = await session.send("Page.getAppManifest");
        same(errors, [], "errors of the manifest");
        for (const { src, sizes, type } of JSON.parse(data).icons) {
            const bytes = readFileSync(join(folder, src));
            check(type === "image/svg+xml" || `${bytes.readUInt32BE(16)}x${bytes.readUInt32BE(20)}` === sizes, `${src} is not ${sizes}`);
        }
        server.close();
        server.closeAllConnections();
        await context.setOffline(true);
        await page.reload();
        await bar(page).waitFor();
        await shown(page, "/joint/1");
        await page.getByRole("link", { name: "Read", exact: true }).tap();
        await shown(page, "/joint/1/read");
        check(window.strays.length === 0, `left the origin: ${window.strays}`);
        check(window.faults.length === 0, `complained: ${window.faults}`);
        await window.close();
    },

    /// A round half typed is there after a reload; with unsaved rounds closing asks; what is saved
    /// opens again, byte for byte.
    async keeps(base, [folder, zip]) {
        const window = await begin(base, { viewport: PHONE });
        const { page } = window;
        await openFolder(page, folder);
        await page.getByRole("link", { name: "Read", exact: true }).click();
        await shown(page, "/joint/1/read");
        await page.locator(".station input").first().tap();
        for (const value of ["0.45", "0.2", "0.40"]) { await typeOn(page, value); }
        await kept(page);
        same(await bar(page).getAttribute("data-unsaved"), "false", "half a round is no round");
        await page.reload();
        await shown(page, "/joint/1/read");
        const values = await page.locator(".station input").evaluateAll((all) => all.map((i) => i.value));
        same(values.slice(0, 4).map(Number), [0.45, 0.2, 0.4, 0], "typed before the reload");
        await page.getByRole("button", { name: "Look it over and save" }).tap();
        await page.getByRole("dialog").getByRole("button", { name: "Save round" }).tap();
        await page.waitForFunction(() => location.hash === "#/joint/1");
        same(await bar(page).getAttribute("data-unsaved"), "true", "a round that is in no file");
        same(await bar(page).getAttribute("data-kept"), "true", "but kept here");
        let asked = 0;
        page.on("dialog", (dialog) => { asked += 1; dialog.accept(); });
        await page.reload();
        same(asked, 1, "closing asks");
        await bar(page).waitFor();
        same(await bar(page).getAttribute("data-unsaved"), "true", "still unsaved after a reload");
        await saveAs(page, zip);
        await page.waitForFunction(() => document.getElementById("own-bar").dataset.unsaved === "false");
        await page.reload();
        same(asked, 1, "closing asks no more");
        await bar(page).waitFor();
        await page.locator("#own-files").setInputFiles(zip);
        await shown(page, "/joint/1");
        await saveAs(page, `${zip}.again`);
        check(readFileSync(zip).equals(readFileSync(`${zip}.again`)), "the same bytes");
        await end(window);
    },

    /// Files that are no tables, or worse: said, and nothing of what is open is lost.
    async broken(base, files) {
        const window = await begin(base, { viewport: PHONE });
        const { page } = window;
        await page.getByRole("button", { name: "Try an invented joint" }).tap();
        await shown(page, "/joint/1");
        for (const file of files) {
            await page.locator("#own-files").setInputFiles(file);
            await notice(page).waitFor();
            const said = await notice(page).textContent();
            check(said.includes("Next:"), `${file}: ${said}`);
            console.log(said);
            same(await page.locator("#own-name").textContent(), "demo", "what was open is open");
            await page.evaluate(() => { document.getElementById("own-notice").hidden = true; });
        }
        await end(window);
    },

    /// A browser that keeps nothing: said so, and a file can be saved all the same.
    async refused(base, [zip]) {
        const window = await open({ viewport: DESK });
        const { page } = window;
        await page.addInitScript(() => { Object.defineProperty(window, "indexedDB", { value: { open() { throw new DOMException("no", "SecurityError"); } } }); });
        await page.goto(base);
        await page.getByRole("button", { name: "Try an invented joint" }).click();
        await shown(page, "/joint/1");
        same(await bar(page).getAttribute("data-kept"), "false", "not kept");
        check((await bar(page).textContent()).includes("save before you close"), "said so");
        await page.getByRole("link", { name: "Read", exact: true }).click();
        await shown(page, "/joint/1/read");
        await page.locator(".station input").first().click();
        await typeOn(page, "0.45");
        await kept(page);
        let asked = 0;
        page.on("dialog", (dialog) => { asked += 1; dialog.dismiss(); });
        await page.evaluate(() => { location.reload(); });
        await page.waitForTimeout(500);
        same(asked, 1, "closing asks even for half a round");
        await look(page, "a browser that keeps nothing");
        await saveAs(page, zip);
        check(window.faults.length === 0, `complained: ${window.faults}`);
        await window.close();
    },

    /// A store that is full in the middle of the work.
    async full(base) {
        const window = await begin(base, { viewport: PHONE });
        const { page } = window;
        await page.getByRole("button", { name: "Try an invented joint" }).tap();
        await shown(page, "/joint/1");
        same(await bar(page).getAttribute("data-kept"), "true", "kept at first");
        await page.evaluate(() => { IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); }; });
        await page.getByRole("link", { name: "Read", exact: true }).tap();
        await shown(page, "/joint/1/read");
        await page.locator(".station input").first().tap();
        await typeOn(page, "0.45");
        await page.waitForFunction(() => document.getElementById("own-bar").dataset.kept === "false");
        check((await bar(page).textContent()).includes("save before you close"), "said so");
        await end(window);
    },

    /// A second tab waits, and takes over when the first is closed.
    async tabs(base) {
        const window = await begin(base, { viewport: DESK });
        await window.page.getByRole("button", { name: "Try an invented joint" }).click();
        await shown(window.page, "/joint/1");
        const second = await window.context.newPage();
        await second.goto(base);
        await second.getByText("open in another tab").waitFor();
        await window.page.close();
        await bar(second).waitFor();
        same(await second.locator("#own-name").textContent(), "demo", "the second has the tables");
        await end(window);
    },

    /// A lesson that plays its bench for long: the page lives meanwhile, and says that it is at work.
    async alive(base) {
        const window = await begin(base, { viewport: PHONE });
        const { page } = window;
        await page.getByRole("button", { name: "Try an invented joint" }).tap();
        await shown(page, "/joint/1");
        await page.goto(`${base}#/lessons/noise/7`);
        await shown(page, "/lessons/noise/7");
        await page.evaluate(() => {
            const state = document.getElementById("own-state");
            globalThis.said = [];
            new MutationObserver(() => globalThis.said.push(state.textContent)).observe(state, { childList: true });
            document.querySelector("#lesson [type=submit]").click();
        });
        let heard = 0;
        while (await page.evaluate(() => document.getElementById("came").hidden)) { heard += 1; }
        const said = await page.evaluate(() => globalThis.said);
        check(said.at(-1) === "kept in this browser", `it says ${said}`);
        console.log(heard, said);
        await end(window);
    },

    /// The library stops in the middle: a new one is begun, and the tables are as they were.
    async trap(base) {
        const window = await open({ viewport: DESK });
        const { page } = window;
        await page.addInitScript(() => {
            const { postMessage } = Worker.prototype;
            Worker.prototype.postMessage = function post(message) {
                // More than the library's memory can grow to.
                const spoilt = message.task?.do === "ask" && message.task.path === "/lessons" ? { ...message, bytes: { length: 3e9 } } : message;
                return postMessage.call(this, spoilt);
            };
        });
        await page.goto(base);
        await page.getByRole("button", { name: "Try an invented joint" }).click();
        await shown(page, "/joint/1");
        await page.getByRole("link", { name: "Lessons" }).click();
        await page.getByText("Your tables are safe; save them").waitFor();
        await page.goto(`${base}#/joint/1/read`);
        await shown(page, "/joint/1/read");
        await window.close();
    },

    /// From the file opened to the first answer, and from a key to the map, with the processor slowed
    /// down; milliseconds.
    async speed(base, [folder, slower]) {
        const window = await begin(base, { viewport: PHONE });
        const { page, context } = window;
        await openFolder(page, folder);
        await shown(page, "/joint/1");
        const session = await context.newCDPSession(page);
        await session.send("Emulation.setCPUThrottlingRate", { rate: Number(slower) });
        const began = Date.now();
        await page.reload();
        await shown(page, "/joint/1");
        const first = Date.now() - began;
        await page.goto(`${base}#/joint/1/read`);
        await shown(page, "/joint/1/read");
        await page.locator(".station input").first().tap();
        const times = [];
        for (let i = 0; i < 24; i += 1) {
            const drawn = await page.evaluate(() => Number(document.getElementById("main").dataset.drawn || 0));
            times.push(await page.evaluate(async ([digit, before]) => {
                const at = performance.now();
                const field = document.activeElement;
                field.value = `0.${digit}`;
                field.dispatchEvent(new Event("input", { bubbles: true }));
                while (Number(document.getElementById("main").dataset.drawn || 0) === before) { await new Promise((done) => { setTimeout(done, 1); }); }
                return performance.now() - at;
            }, [String(10 + i), drawn]));
            await kept(page);
        }
        times.sort((a, b) => a - b);
        console.log(JSON.stringify({ first, median: Math.round(times[12]), most: Math.round(times[22]) }));
        await end(window);
    },
};

export async function run(base, [scenario, ...more]) {
    await scenarios[scenario](base, more);
}
