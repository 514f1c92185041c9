// The page as one file in Firefox, over WebDriver BiDi (a W3C draft), which it speaks itself: opened
// from a folder, a demo joint read, a field kept over a reload, nothing asked for.

import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { check, same } from "./check.mjs";

const { ws: Socket } = createRequire(import.meta.url)("playwright-core/lib/utilsBundle");
const NAMES = ["firefox", "firefox-esr"];

/// Starts one of them; gives its address for BiDi.
async function started(profile) {
    for (const name of NAMES) {
        const child = spawn(name, ["--headless", "--no-remote", "--profile", profile, "--remote-debugging-port", "0"], { stdio: ["ignore", "ignore", "pipe"] });
        const address = await new Promise((done) => {
            let said = "";
            child.on("error", () => done(null));
            child.stderr.on("data", (more) => {
                said += more;
                const found = /WebDriver BiDi listening on (ws:\S+)/.exec(said);
                if (found) { done(found[1]); }
            });
        });
        if (address) { return { child, address }; }
    }
    throw new Error(`none of ${NAMES} on PATH`);
}

/// Commands, and what is told without being asked.
async function connected(address) {
    const socket = new Socket(`${address}/session`);
    await new Promise((done) => { socket.on("open", done); });
    const [waiting, events] = [new Map(), []];
    socket.on("message", (data) => {
        const message = JSON.parse(data);
        if (message.id) { waiting.get(message.id)(message); } else { events.push(message); }
    });
    const send = (method, params) => new Promise((good, bad) => {
        const id = waiting.size + 1;
        waiting.set(id, (said) => (said.type === "error" ? bad(new Error(`${method}: ${said.message}`)) : good(said.result)));
        socket.send(JSON.stringify({ id, method, params }));
    });
    return { send, events };
}

export async function run(file) {
    const profile = mkdtempSync(join(tmpdir(), "ribwright-browser-"));
    const { child, address } = await started(profile);
    try {
        await play(file, await connected(address));
    } finally {
        const ended = new Promise((done) => { child.on("exit", done); });
        child.kill();
        await ended;
        rmSync(profile, { recursive: true, force: true, maxRetries: 10 });
    }
}

async function play(file, { send, events }) {
    await send("session.new", { capabilities: {} });
    await send("session.subscribe", { events: ["log.entryAdded", "network.beforeRequestSent"] });
    const { contexts: [{ context }] } = await send("browsingContext.getTree", {});
    await send("browsingContext.setViewport", { context, viewport: { width: 390, height: 740 } });
    const run = async (expression) => (await send("script.evaluate", { expression, target: { context }, awaitPromise: true })).result?.value;
    const until = async (what) => {
        for (let n = 0; n < 400; n += 1) {
            if (await run(`Boolean(${what})`)) { return; }
            await new Promise((done) => { setTimeout(done, 50); });
        }
        throw new Error(`never: ${what}; ${await run("document.body.innerText.slice(0, 600)")}`);
    };
    const shown = (path) => until(`document.getElementById("own-page")?.dataset.shown === "${path}"`);
    const fits = async () => same(await run("document.scrollingElement.scrollWidth - document.documentElement.clientWidth"), 0, "wider than the window");

    await send("browsingContext.navigate", { context, url: file, wait: "complete" });
    await until(`document.querySelector("[name=demo]")`);
    await fits();
    await run(`document.querySelector("[name=demo]").click()`);
    await shown("/joint/1");
    same(await run(`document.querySelector(".verdict h2").textContent`), "Plane", "the verdict");
    await fits();
    await run(`location.hash = "#/joint/1/read"`);
    await shown("/joint/1/read");
    await run(`(() => { const field = document.querySelector(".station input"); field.value = "0.45"; field.dispatchEvent(new Event("input", { bubbles: true })); })()`);
    await until(`document.getElementById("main").dataset.kept === "yes"`);
    check(await run(`document.querySelectorAll("#map svg").length`) > 0, "the map is drawn");
    await send("browsingContext.reload", { context, wait: "complete" });
    await shown("/joint/1/read");
    same(await run(`document.querySelector(".station input").value`), "0.45", "kept over a reload");
    same(await run(`document.getElementById("own-bar").dataset.kept`), "true", "and said so");
    await fits();
    const told = events.filter(({ method, params }) => method === "log.entryAdded" && params.level !== "info").map(({ params }) => params.text);
    same(told, [], "complaints");
    const asked = events.filter(({ method, params }) => method === "network.beforeRequestSent" && !/^(data|file|blob):/.test(params.request.url));
    same(asked.map(({ params }) => params.request.url), [], "asked for");
}
