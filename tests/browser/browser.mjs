// The distribution's browser, headless, cut off from the world: whatever a page asks
// for elsewhere is written down and refused.

import { execSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

const NAMES = ["chromium", "chromium-browser", "google-chrome"];

/// Where the browser is.
export function found() {
    for (const name of NAMES) {
        try {
            return execSync(`command -v ${name}`, { encoding: "utf8", shell: "/bin/sh" }).trim();
        } catch { /* the next one */ }
    }
    throw new Error("no chromium on PATH");
}

export const PHONE = { width: 360, height: 740 };
export const DESK = { width: 1280, height: 800 };

/// Shows that the page of the file that stands behind the # is there; at once where a server gives it.
export async function shown(page) {
    await page.waitForFunction(() => {
        const own = document.getElementById("own-page");
        return !own || own.dataset.shown === (location.hash.slice(1) || "/");
    });
}

/// Opens a folder of tables in the file.
export async function openFolder(page, folder) {
    await page.getByRole("button", { name: "Try an invented joint" }).waitFor();
    await page.locator("#own-folder").setInputFiles(folder);
    await page.locator("#own-bar").waitFor();
}

/// Goes to an address of the server, or of the file (`file:///.../ribwright.html#/joint/1`), in which
/// the folder that RIBWRIGHT_FOLDER names is opened first.
export async function visit(page, url) {
    const [file, path] = url.split("#");
    if (path !== undefined && page.url().split("#")[0] !== file) {
        await page.goto(file);
        await openFolder(page, process.env.RIBWRIGHT_FOLDER);
        await shown(page);
    }
    await page.goto(url);
    await shown(page);
}

/// A window; `strays` collects requests that leave the origin, `faults` what the
/// page's scripts and the policy complain about.
export async function open({ viewport = PHONE, dark = false, touch = viewport.width < 600 } = {}) {
    const profile = mkdtempSync(join(tmpdir(), "ribwright-browser-"));
    const context = await chromium.launchPersistentContext(profile, {
        executablePath: found(),
        headless: true,
        viewport,
        colorScheme: dark ? "dark" : "light",
        hasTouch: touch,
        isMobile: touch,
        deviceScaleFactor: touch ? 2 : 1,
        args: [
            "--no-sandbox", "--disable-background-networking", "--disable-component-update", "--disable-sync",
            "--disable-default-apps", "--no-first-run", "--disable-dev-shm-usage",
        ],
    });
    context.setDefaultTimeout(15000);
    const strays = [];
    const faults = [];
    context.on("request", (request) => {
        const url = new URL(request.url());
        if (!["127.0.0.1", "localhost"].includes(url.hostname) && url.protocol.startsWith("http")) { strays.push(request.url()); }
    });
    const listen = (page) => {
        page.on("pageerror", (error) => faults.push(String(error)));
        page.on("console", (message) => { if (message.type() === "error") { faults.push(message.text()); } });
    };
    context.on("page", listen);
    const page = context.pages()[0] ?? await context.newPage();
    listen(page);
    const close = async () => {
        await context.close();
        rmSync(profile, { recursive: true, force: true });
    };
    return { context, page, strays, faults, close };
}
