// Typing a round: every keystroke is marked and drawn by the server, and kept in
// the folder's draft as soon as the hand rests.
"use strict";

const form = document.getElementById("round");
const round = Number(form.dataset.round);
const cells = [...form.querySelectorAll(".cell")].map((box) => {
    const input = box.querySelector("input");
    return {
        box, input,
        key: box.querySelector(".key"),
        mark: box.querySelector(".mark"),
        was: input.dataset.was,
        sure: input.dataset.sure === "yes",
        changed: false,
        state: "",
        clash: null,
    };
});
// The keys for where the rib is felt to bear.
const bearings = [...form.querySelectorAll(".bears")].map((key) => ({ key, changed: false }));
// The two choices for the whole round, as the fields: changed here, and last heard.
const chosen = {
    against: { changed: false, was: form.dataset.against ?? null },
    rebent: { changed: false, was: form.dataset.rebent ? form.dataset.rebent === "true" : null },
};

function isGap(cell) {
    return Boolean(cell.key) && cell.key.dataset.gap === "yes";
}

function setGap(cell, gap) {
    if (!cell.key) { return; }
    cell.key.dataset.gap = gap ? "yes" : "no";
    cell.key.textContent = gap ? "gap" : "over";
    cell.key.setAttribute("aria-label", `Station ${cell.input.dataset.station}: ${gap ? "gap" : "over"}, change`);
}

function against() {
    return form.querySelector("input[name=against]:checked").value;
}

function somethingChanged() {
    return chosen.against.changed || chosen.rebent.changed || [...cells, ...bearings].some((each) => each.changed);
}

function bears({ key }) {
    return key.getAttribute("aria-pressed") === "true";
}

// Those tapped here stay; others are as the draft has them.
function takeBearings(body, answer) {
    bearings.forEach((bearing, i) => {
        if (body.keep && !answer.trouble && body.bears[i].bears === bears(bearing)) { bearing.changed = false; }
        if (!bearing.changed) { bearing.key.setAttribute("aria-pressed", String(answer.bears[i])); }
    });
}

// Keys that nobody touched say what is usual.
function tellUsual() {
    const usual = against() === "neighbour";
    cells.forEach((cell) => { if (cell.key && cell.key.dataset.set !== "yes") { setGap(cell, usual); } });
}

function rebent() {
    const box = document.getElementById("rebent");
    return Boolean(box) && box.checked;
}

function asSent(keep) {
    return {
        version: joint.version, round, keep,
        against: against(), rebent: rebent(), chosen: { against: { ...chosen.against }, rebent: { ...chosen.rebent } },
        cells: cells.map((cell) => ({
            station: cell.input.dataset.station,
            quantity: cell.box.dataset.quantity,
            gap: isGap(cell),
            text: cell.input.value,
            sure: cell.sure,
            changed: cell.changed && !cell.clash,
            was: cell.was,
        })),
        bears: bearings.map((bearing) => ({ station: bearing.key.dataset.station, bears: bears(bearing), changed: bearing.changed })),
    };
}

// One request at a time; what is typed meanwhile goes with the next one.
let busy = false;
let waiting = null;
let resting;

function typed() {
    clearTimeout(resting);
    resting = setTimeout(() => exchange(true), 400);
    exchange(false);
}

async function exchange(keep) {
    if (busy) {
        waiting = { keep: keep || Boolean(waiting && waiting.keep) };
        return;
    }
    busy = true;
    keep = keep && somethingChanged();
    const body = asSent(keep);
    const { status, answer } = await send("/typed", body);
    busy = false;
    if (status === 200) { take(body, answer); } else { trouble(answer.error); }
    main.dataset.drawn = String(Number(main.dataset.drawn || 0) + 1);
    if (waiting) {
        const next = waiting;
        waiting = null;
        exchange(next.keep);
    } else if (!keep && !somethingChanged()) {
        main.dataset.kept = "yes";
    }
    if (keep && status === 200 && !answer.trouble && !somethingChanged()) { main.dataset.kept = "yes"; }
}

function trouble(text) {
    const count = document.getElementById("count");
    count.textContent = text;
    count.classList.add("problem");
    say(text);
}

function take(body, answer) {
    const count = document.getElementById("count");
    count.classList.remove("problem");
    count.textContent = answer.count;
    document.querySelectorAll(".so-far").forEach((place) => { place.innerHTML = answer.verdict; });
    const map = document.getElementById("map");
    const first = map.childElementCount === 0;
    map.innerHTML = answer.map;
    // The first map pushes the fields down: the one in hand stays in sight.
    if (first && cells.some((cell) => cell.input === document.activeElement)) { document.activeElement.scrollIntoView({ block: "nearest" }); }
    tellStale(answer.stale);
    document.getElementById("save").disabled = answer.stale;
    cells.forEach((cell, i) => takeCell(cell, body.cells[i], answer.marks[i], answer.held[i], answer.clashes.includes(i), body.keep && !answer.trouble));
    takeBearings(body, answer);
    takeChoice("against", body, answer, against(), (held) => { form.querySelector(`input[name=against][value=${held}]`).checked = true; });
    takeChoice("rebent", body, answer, rebent(), (held) => { const box = document.getElementById("rebent"); if (box) { box.checked = held; } });
    if (answer.elsewhere) { tellElsewhere(answer.elsewhere); }
    if (answer.trouble) { trouble(answer.trouble); }
}

// A choice made elsewhere is taken over; one made here since then stays.
function takeChoice(name, body, answer, now, set) {
    const { held, elsewhere } = answer.chosen[name];
    const choice = chosen[name];
    const same = now === body[name];
    if (same && (elsewhere || (body.keep && !answer.trouble))) { choice.changed = false; }
    if (!choice.changed && held !== null) { set(held); }
    choice.was = held;
}

function tellElsewhere(text) {
    const place = document.getElementById("elsewhere");
    place.textContent = `${text} Choose anew if that is not right.`;
    place.hidden = false;
    tellUsual();
}

function takeCell(cell, sent, mark, held, clash, kept) {
    const same = sent.text === cell.input.value && sent.gap === isGap(cell);
    if (clash) {
        cell.clash = held;
    } else if (kept && sent.changed) {
        cell.was = held.was;
        cell.changed = !same;
    }
    if (same) {
        if (mark.said && mark.said !== cell.said && sent.changed) { sayBack(cell, mark.said); }
        if (mark.gap !== undefined) { setGap(cell, mark.gap); }
        show(cell, mark);
    }
    if (!cell.clash && !cell.changed && same) {
        if (held.was !== cell.was && held.text !== cell.input.value.trim() && document.activeElement !== cell.input) {
            cell.input.value = held.text;
            if (held.gap !== null) { setGap(cell, held.gap); }
            cell.sure = held.sure;
        }
        cell.was = held.was;
    }
}

// The mark beside a field: a doubt can be answered, a clash settled.
function show(cell, mark) {
    const halfway = document.activeElement === cell.input && /^[-+−]?[.,]?$/.test(cell.input.value);
    const state = cell.clash ? "doubt" : (halfway && mark.state === "wrong" ? "empty" : mark.state);
    const text = cell.clash ? `Another page or the terminal typed ${cell.clash.said} here meanwhile.` : (mark.text || "");
    const shown = state + text;
    if (cell.shown === shown) { return; }
    cell.shown = shown;
    cell.state = state;
    if (!markField(cell, state, text)) { return; }
    if (cell.clash) {
        cell.mark.append(button("Take that", "small", () => settle(cell, true)), " ", button("Keep mine", "small", () => settle(cell, false)));
    } else if (state === "doubt") {
        cell.mark.append(button("It is right, keep it", "small", () => keepIt(cell)));
    }
    say(`Station ${cell.input.dataset.station}: ${text}`);
}

function keepIt(cell) {
    cell.sure = true;
    cell.changed = true;
    exchange(true);
    goOn(cell);
}

function settle(cell, theirs) {
    const held = cell.clash;
    cell.clash = null;
    cell.was = held.was;
    if (theirs) {
        cell.input.value = held.text;
        cell.sure = held.sure;
        if (held.gap !== null) { setGap(cell, held.gap); }
        cell.changed = false;
    }
    cell.input.focus();
    exchange(!theirs);
}

function change(cell) {
    cell.changed = true;
    cell.sure = false;
    delete main.dataset.kept;
    if (cell.key && cell.input.value.trim() !== "") { cell.key.dataset.set = "yes"; }
    typed();
}

cells.forEach((cell) => {
    cell.input.addEventListener("input", () => change(cell));
    // The first tap into a field takes its whole value, to be typed over; the next sets the caret.
    let first = false;
    cell.input.addEventListener("pointerdown", () => { first = document.activeElement !== cell.input; });
    cell.input.addEventListener("click", () => { if (first) { cell.input.select(); } first = false; });
    cell.input.addEventListener("change", () => {
        // The key says the sign from here on.
        if (cell.key && cell.state !== "wrong") { cell.input.value = cell.input.value.replace(/^\s*[-+−]\s*/, ""); }
        exchange(true);
    });
    cell.input.addEventListener("keydown", (event) => {
        if (event.key !== "Enter") { return; }
        event.preventDefault();
        goOn(cell);
    });
    if (cell.key) {
        cell.key.addEventListener("click", () => {
            cell.input.value = cell.input.value.replace(/^\s*[-+−]\s*/, "");
            setGap(cell, !isGap(cell));
            cell.key.dataset.set = "yes";
            if (cell.input.value.trim() === "") { return; }
            change(cell);
        });
    }
});

bearings.forEach((bearing) => {
    bearing.key.addEventListener("click", () => {
        bearing.key.setAttribute("aria-pressed", String(!bears(bearing)));
        bearing.changed = true;
        delete main.dataset.kept;
        typed();
    });
});

form.querySelectorAll("input[name=against], #rebent").forEach((choice) => {
    choice.addEventListener("change", () => {
        chosen[choice.name].changed = true;
        delete main.dataset.kept;
        document.getElementById("elsewhere").hidden = true;
        tellUsual();
        exchange(true);
    });
});

// Looking it over and saving.

const sure = document.getElementById("sure");

form.addEventListener("submit", (event) => {
    event.preventDefault();
    lookOver();
});

async function lookOver() {
    clearTimeout(resting);
    while (busy) { await new Promise((done) => { setTimeout(done, 20); }); }
    await exchange(true);
    const open = cells.find((cell) => cell.state === "doubt" || cell.state === "wrong");
    if (open) {
        open.input.focus();
        say(`Not yet: station ${open.input.dataset.station} is marked.`);
        return;
    }
    tellRound();
    document.getElementById("sure-problem").textContent = "";
    sure.showModal();
}

// What is about to be saved, in words.
function tellRound() {
    const missing = cells.filter((cell) => cell.input.value.trim() === "").map((cell) => `${cell.input.dataset.station} (${cell.box.dataset.quantity === "overlap" ? "joint" : cell.box.dataset.quantity})`);
    const words = document.getElementById("sure-words");
    words.replaceChildren();
    const line = (text) => { const p = document.createElement("p"); p.textContent = text; words.append(p); };
    line(`Read against ${against() === "line" ? "a line" : "the neighbour"}${rebent() ? ", bent again" : ""}: ${document.getElementById("count").textContent}.`);
    line(missing.length === 0 ? "Every field is filled." : `Not read: ${missing.join(", ")}.`);
    const felt = bearings.filter(bears).map(({ key }) => key.dataset.station);
    if (felt.length > 0) { line(`Felt to bear at ${felt.join(", ")}.`); }
    line("Once saved, a reading is changed only by correcting it, and what was there is kept.");
}

document.getElementById("back").addEventListener("click", () => sure.close());

document.getElementById("save").addEventListener("click", async (event) => {
    event.target.disabled = true;
    const { status, answer } = await send("/save", asSent(false));
    if (status === 200) {
        go(answer.next);
        return;
    }
    event.target.disabled = false;
    document.getElementById("sure-problem").textContent = answer.error;
    if (answer.held) {
        while (busy) { await new Promise((done) => { setTimeout(done, 20); }); }
        await exchange(false);
        tellRound();
    }
});

document.getElementById("discard").addEventListener("click", async () => {
    if (!confirm("Throw away what is typed of this round?")) { return; }
    const { status, answer } = await send("/discard", { round });
    if (status === 200) { go(answer.next); } else { trouble(answer.error); }
});

// Whoever leaves, or comes back to, this page.

whenLeft(
    () => { if (somethingChanged()) { send("/typed", asSent(true), true); } },
    () => { exchange(false); },
);
