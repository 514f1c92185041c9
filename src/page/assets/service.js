// Keeps the files of this folder on the device, so that the page opens without a network. Another
// version waits until every page of the old one is closed.
"use strict";

const OWN = `ribwright one file ${registration.scope} `;
const KEPT = `${OWN}VERSION`;
const FILES = ["./", "manifest.webmanifest", "icon.svg", "icon-192.png", "icon-512.png"];

async function fill() {
    const kept = await caches.open(KEPT);
    await kept.addAll(FILES.map((name) => new Request(name, { cache: "reload" })));
}

async function begin() {
    const older = (await caches.keys()).filter((name) => name.startsWith(OWN) && name !== KEPT);
    await Promise.all(older.map((name) => caches.delete(name)));
    await clients.claim();
}

async function answer(request) {
    const kept = await caches.open(KEPT);
    return await kept.match(request.mode === "navigate" ? "./" : request, { ignoreSearch: true }) ?? fetch(request);
}

addEventListener("install", (event) => event.waitUntil(fill()));
addEventListener("activate", (event) => event.waitUntil(begin()));
addEventListener("fetch", (event) => { if (event.request.method === "GET") { event.respondWith(answer(event.request)); } });
