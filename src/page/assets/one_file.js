// The page as one file: the library answers in a worker, addresses stand behind the #, and the
// tables lie in this browser until they are saved as a file.
//
// This script holds the tables; the worker has a copy. What a request changed is written into the
// browser's store before the page hears of it, so that 'saved' is said of what is kept.
"use strict";

// What the names of all that it keeps begin with: any other page that is opened from a file has the
// same store.
const NAME = "ribwright one file";
const SHELF = `${NAME} `;
const today = () => Math.floor(Date.now() / 86400000);
// What is this file's own has names of its own, apart from those on pages.
const own = (name) => document.getElementById(`own-${name}`);

// The tables: the folder's name, its files, whether the library could open them, whether this browser
// keeps them, and whether anything was typed, and any round, that is in no saved file.
const desk = { name: "", files: new Map(), open: false, kept: false, typed: false, unsaved: false };

// The worker.

const worker = new Worker(URL.createObjectURL(new Blob([own("worker").textContent], { type: "text/javascript" })));
const waiting = new Map();
let count = 0;

worker.onmessage = ({ data }) => {
    waiting.get(data.number)(data);
    waiting.delete(data.number);
};
// Answers come in the order of the questions.
function post(message) {
    count += 1;
    const number = count;
    worker.postMessage({ number, ...message });
    return new Promise((done) => { waiting.set(number, done); });
}

// Has the library do something; the bar says so if it takes a while. Where it stops, it is begun anew
// with the tables as they are here.
async function work(task, bytes) {
    const slow = setTimeout(() => { own("state").textContent = "working it out …"; }, 500);
    const { told, stopped } = await post({ task, bytes });
    clearTimeout(slow);
    tell();
    if (!stopped) { return told; }
    notice("The program stopped at something. Your tables are safe; save them.");
    const { told: broken } = await post({ task: { do: "broken", method: task.method ?? "POST", path: task.path ?? "/" } });
    const [open, content] = opening([...desk.files]);
    await post({ task: open, bytes: content });
    return broken;
}

const opening = (files) => bring({ do: "open", day: today() }, files);

// The browser's store: a copy of the tables, nothing else.

const done = (request) => new Promise((good, bad) => {
    request.onsuccess = () => good(request.result);
    request.onerror = () => bad(request.error);
});
const store = { db: null };

store.open = async () => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => { request.result.createObjectStore("tables"); request.result.createObjectStore("about"); };
    store.db = await done(request);
};
store.read = async () => {
    const both = store.db.transaction(["tables", "about"]);
    const [names, contents, about] = await Promise.all([
        done(both.objectStore("tables").getAllKeys()), done(both.objectStore("tables").getAll()), done(both.objectStore("about").get("about")),
    ]);
    return { files: names.map((name, i) => [name, contents[i]]), about };
};
// Ends once everything lies on the disk, as far as the browser can tell; all of it or nothing.
store.write = (files, afresh) => new Promise((good, bad) => {
    const both = store.db.transaction(["tables", "about"], "readwrite", { durability: "strict" });
    const tables = both.objectStore("tables");
    if (afresh) { tables.clear(); }
    for (const [name, content] of files) {
        if (content === null) { tables.delete(name); } else { tables.put(content, name); }
    }
    both.objectStore("about").put({ unsaved: desk.unsaved }, "about");
    both.oncomplete = () => good();
    both.onabort = () => bad(both.error);
    both.onerror = () => bad(both.error);
});

async function keep(files, afresh) {
    try {
        if (!store.db) { throw new Error("there is no store"); }
        await store.write(desk.kept ? files : [...desk.files], afresh || !desk.kept);
        desk.kept = true;
    } catch {
        desk.kept = false;
    }
    tell();
}

// Takes over what a request changed.
async function take(files) {
    if (files.length === 0) { return; }
    for (const [name, content] of files) {
        if (content === null) { desk.files.delete(name); } else { desk.files.set(name, content); }
        desk.typed = true;
        // What is still being typed is no round yet.
        desk.unsaved ||= !name.endsWith("/.round-draft");
    }
    await keep(files, false);
}

// What the page's scripts ask for.
async function answer(path, { method = "GET", body = "" } = {}) {
    const begins = method === "POST" && path.startsWith(NEW);
    if (begins && !mayReplace()) { return { response: new Response("Nothing was begun; what was open is open still.", { status: 409 }) }; }
    const told = await work({ do: "ask", method, path, day: today() }, new TextEncoder().encode(body));
    if (told.opened) { await takeOver(told, true); } else { await take(told.files); }
    const response = new Response(told.body, { status: told.status, headers: { "Content-Type": told.kind } });
    return { response, place: told.place };
}

// The bar over the page: what is open, and where it is kept.

function tell() {
    const state = desk.unsaved ? "kept here, in no file yet" : "kept in this browser";
    own("name").textContent = desk.name.split("/").pop();
    own("state").textContent = desk.kept ? state : "not kept by this browser: save before you close";
    own("bar").dataset.kept = desk.kept;
    own("bar").dataset.unsaved = desk.unsaved;
    own("bar").hidden = desk.name === "";
}

function notice(text) {
    own("notice").textContent = text;
    own("notice").hidden = text === "";
}

// Pages.

// The page that is shown; what it still waits for when another one is shown never comes.
let visit = null;

const here = () => location.hash.slice(1) || "/";
// The address of the first page, where tables are opened.
const BEGIN = "begin";
// Those where something is begun, with nothing open.
const NEW = "/new/";

function go(path) {
    if (here() === path) { show(); } else { location.hash = path; }
}

async function show() {
    if (visit) { visit.left(); }
    const mine = { left: () => {}, back: () => {} };
    const first = visit === null;
    visit = mine;
    delete own("page").dataset.shown;
    if ((!desk.open && !here().startsWith(NEW)) || here() === BEGIN) {
        put(own("start").content.cloneNode(true), "ribwright");
        begun();
        own("page").dataset.shown = BEGIN;
        return;
    }
    const { response, place } = await answer(here());
    if (visit !== mine) { return; }
    if (place) { location.replace(`#${place}`); return; }
    const page = new DOMParser().parseFromString(await response.text(), "text/html");
    const scripts = new Set([...page.querySelectorAll("script[src]")].map((script) => script.src.split("/").pop()));
    page.querySelectorAll("script, noscript").forEach((each) => each.remove());
    put(page.body, page.title);
    if (!first) { scrollTo(0, 0); document.getElementById("main").focus({ preventScroll: true }); }
    const ask = async (path, how) => {
        if (visit !== mine && !how?.keepalive) { return new Promise(() => {}); }
        const { response: heard } = await answer(path, how);
        return visit === mine ? heard : new Promise(() => {});
    };
    runPage(scripts, ask, go, (left, back) => { mine.left = left; mine.back = back; }, SHELF);
    own("page").dataset.shown = here();
}

function put(from, title) {
    own("page").replaceChildren(...from.childNodes);
    document.title = title;
}

addEventListener("hashchange", show);
document.addEventListener("visibilitychange", () => { if (visit) { (document.visibilityState === "visible" ? visit.back : visit.left)(); } });
addEventListener("beforeunload", (event) => {
    if (!desk.unsaved && (desk.kept || !desk.typed)) { return; }
    event.preventDefault();
    event.returnValue = true;
});
document.addEventListener("click", (event) => {
    const to = event.target.closest("a[href]")?.getAttribute("href");
    if (!to) { return; }
    if (to.startsWith("/")) { event.preventDefault(); go(to); return; }
    if (to.startsWith("#")) { event.preventDefault(); document.getElementById(to.slice(1))?.focus(); return; }
    if (event.target.closest("a").href === location.href) { event.preventDefault(); show(); }
});

// Opening and saving.

function opened(told, unsaved) {
    if (told.status !== 200) {
        notice(new TextDecoder().decode(told.body));
        return false;
    }
    notice("");
    Object.assign(desk, { name: told.name, files: new Map(told.files), open: true, typed: false, unsaved });
    tell();
    return true;
}

const mayReplace = () => !desk.unsaved || confirm("What is new in the tables that are open is in no saved file yet. Leave them all the same?");

// Other tables in place of those that are open; ticks and figures of those are forgotten.
async function takeOver(told, unsaved) {
    if (!opened(told, unsaved)) { return false; }
    try {
        Object.keys(localStorage).filter((name) => name.startsWith(`${SHELF}/`)).forEach((name) => localStorage.removeItem(name));
    } catch { /* nothing was kept */ }
    await keep([...desk.files], true);
    return true;
}

async function openInstead(task, bytes) {
    if (!mayReplace()) { return; }
    if (await takeOver(await work(task, bytes), false)) { go("/"); }
}

// Comes once the library and what was kept are there.
let nowReady;
const ready = new Promise((done) => { nowReady = done; });

async function openFiles(input) {
    const files = await Promise.all([...input.files].map(async (file) => [file.webkitRelativePath || file.name, new Uint8Array(await file.arrayBuffer())]));
    input.value = "";
    await ready;
    if (files.length > 0) { await openInstead(...opening(files)); }
}

function download(name, bytes, kind) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([bytes], { type: kind }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

async function save() {
    const packed = await work(...bring({ do: "save" }, [...desk.files]));
    if (packed.status !== 200) { notice(new TextDecoder().decode(packed.body)); return; }
    download(`${desk.name.split("/").pop()}.zip`, packed.body, packed.kind);
    Object.assign(desk, { typed: false, unsaved: false });
    notice("");
    await keep([], false);
}

// The tables that are open, each to be saved alone.
function singly(place) {
    place.hidden = !desk.open;
    for (const [name, bytes] of desk.files) {
        if (/\/\.|\.log$/.test(name)) { continue; }
        const key = document.createElement("button");
        Object.assign(key, { type: "button", className: "button small", textContent: name.slice(desk.name.length + 1) });
        key.addEventListener("click", () => download(name.split("/").pop(), bytes, "application/octet-stream"));
        place.append(key);
    }
}

// The keys of the first page.
function begun() {
    const page = own("page");
    singly(page.querySelector("[data-singly]"));
    page.querySelector("[name=demo]").addEventListener("click", () => openInstead({ do: "demo", day: today() }));
    page.querySelector("[name=lessons]").addEventListener("click", async () => {
        if (!desk.open) { await openInstead({ do: "demo", day: today() }); }
        go("/lessons");
    });
}

own("save").addEventListener("click", save);
own("open").addEventListener("click", () => go(BEGIN));
document.addEventListener("click", (event) => {
    const way = event.target.closest("[data-open]")?.dataset.open;
    if (way) { own(way).click(); }
});
for (const input of document.querySelectorAll("#own-files, #own-folder")) { input.addEventListener("change", () => openFiles(input)); }

// Beginning.

async function start() {
    notice("");
    own("page").textContent = "";
    const { stopped } = await post({ text: own("library").textContent });
    if (stopped) {
        notice(`This browser can't run the page (${stopped}). Next: open it in one from 2023 or later.`);
        return;
    }
    let kept = { files: [] };
    try {
        await store.open();
        kept = await store.read();
    } catch {
        store.db = null;
    }
    if (kept.files.length > 0) {
        desk.kept = true;
        if (!opened(await work(...opening(kept.files)), kept.about?.unsaved ?? false)) { stranded(kept.files); }
    }
    nowReady();
    show();
}

// Tables that were kept and can't be opened any more can be saved still.
function stranded(files) {
    Object.assign(desk, { name: files[0][0].split("/")[0], files: new Map(files), unsaved: true });
    tell();
}

// One tab alone writes into the store; a second waits until the first is closed.
async function alone() {
    if (!navigator.locks) { return start(); }
    const free = await navigator.locks.request(NAME, { ifAvailable: true }, (lock) => lock !== null);
    if (!free) { notice("Your tables are open in another tab of this browser. Go on there; when it is closed, this one opens them."); }
    return navigator.locks.request(NAME, () => { start(); return new Promise(() => {}); });
}
alone();
// From a web server it is kept on the device, to open without a network.
if (document.querySelector("link[rel=manifest]")) { navigator.serviceWorker?.register("service.js").catch(() => { /* then it needs the network */ }); }
