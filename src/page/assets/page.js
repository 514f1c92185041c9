// What all pages share: talking to the server, and to a screen reader.
"use strict";

const main = document.getElementById("main");
const joint = { at: main.dataset.at, version: main.dataset.version };

// Where there are more ways than a phone is wide, the one that is open is in sight.
const here = document.querySelector(".ways [aria-current]");
if (here) { here.scrollIntoView({ block: "nearest", inline: "center" }); }

// Sends something to one of the joint's addresses. Gives the status and the answer;
// status 0 where the program does not answer.
async function send(path, body, leaving) {
    try {
        const response = await ask(joint.at + path, {
            method: "POST",
            headers: { "Content-Type": "application/json" },
            body: JSON.stringify(body),
            keepalive: Boolean(leaving),
        });
        const text = await response.text();
        let answer = { error: text };
        try { answer = JSON.parse(text); } catch { /* a sentence */ }
        return { status: response.status, answer };
    } catch {
        return { status: 0, answer: { error: "The program does not answer: is it still running? What you typed is on this page still." } };
    }
}

// What a page keeps on this device; where that is refused, it lasts as long as the page.
const shelf = {
    get(name) { try { return JSON.parse(localStorage.getItem(SHELF + name)); } catch { return null; } },
    put(name, what) { try { localStorage.setItem(SHELF + name, JSON.stringify(what)); } catch { /* no room */ } },
    drop(name) { try { localStorage.removeItem(SHELF + name); } catch { /* nothing was kept */ } },
};

// Says something to a screen reader, once the maker pauses.
let saying;
function say(text) {
    clearTimeout(saying);
    saying = setTimeout(() => {
        const said = document.getElementById("said");
        if (said) { said.textContent = text; }
    }, 500);
}

// Tells that the folder has changed under this page.
function tellStale(stale) {
    const banner = document.getElementById("stale");
    if (!stale || !banner.hidden) { return; }
    banner.append("The folder was changed by another page, the terminal or a spreadsheet. ");
    const again = document.createElement("a");
    again.href = location.href;
    again.textContent = "Look at what is there now";
    banner.append(again, ". What you typed is kept.");
    banner.hidden = false;
    banner.scrollIntoView({ block: "nearest" });
}

// What is not as it was confirmed is brought back, or kept as it is.
document.querySelectorAll("[data-recover]").forEach((key) => {
    key.addEventListener("click", async () => {
        key.disabled = true;
        const { status, answer } = await send("/recover", { version: joint.version, way: key.dataset.recover });
        if (status === 200) { go(answer.next); return; }
        key.disabled = false;
        document.getElementById("lost-problem").textContent = answer.error;
    });
});

// An element with its text and what happens when it is tapped.
function button(text, look, tapped) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = `button ${look}`;
    made.textContent = text;
    made.addEventListener("click", tapped);
    return made;
}

// Marks a field: what is wrong or in doubt about it stands beside it. Gives whether there is anything.
function markField(cell, state, text) {
    const marked = state === "doubt" || state === "wrong";
    cell.box.dataset.state = state;
    cell.input.setAttribute("aria-invalid", marked ? "true" : "false");
    cell.mark.replaceChildren();
    cell.mark.hidden = !marked;
    if (marked) {
        const words = document.createElement("p");
        words.textContent = text;
        cell.mark.append(words);
    }
    return marked;
}
