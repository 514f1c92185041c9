// The walk along the rib: from field to field, one station at a time if the maker likes, in the
// order that the program asks for; leaves of the feelers to tap; what was taken said back.
"use strict";

const asked = cells.filter((cell) => "asked" in cell.box.dataset);
const leaves = document.getElementById("leaves");
const submit = form.querySelector("[type=submit]");
const stops = [...form.querySelectorAll(".stations > li")];
// Stations with something to read come first.
const first = stops.filter((stop) => asked.some((cell) => stop.contains(cell.box)));
const route = [...first, ...stops.filter((stop) => !first.includes(stop))];
let inHand = null;

function isSingle() {
    return form.classList.contains("single");
}

// The field in hand: its station is shown, and the leaves lie under it.
function hold(cell) {
    inHand = cell;
    const here = cell.box.closest("li");
    stops.forEach((stop) => stop.classList.toggle("here", stop === here));
    cells.forEach((each) => each.box.classList.toggle("now", each === cell));
    const at = route.indexOf(here);
    const order = at < first.length ? `${at + 1} of ${first.length} to read` : "Not asked for; read it if you like";
    document.getElementById("where").textContent = isSingle() && asked.length > 0 ? `${order}.` : "";
    if (!leaves) { return; }
    leaves.hidden = Boolean(cell.key) && (against() === "line" || !isGap(cell));
    here.append(leaves);
}

function goTo(cell) {
    hold(cell);
    cell.input.focus();
    cell.input.select();
}

// The field after one: in a list the next, one at a time what is asked for and open still.
function after(cell) {
    if (!isSingle() || asked.length === 0) { return cells[cells.indexOf(cell) + 1]; }
    const from = cells.indexOf(cell);
    const open = asked.filter((each) => each !== cell && each.input.value.trim() === "");
    return open.find((each) => cells.indexOf(each) > from) ?? open[0];
}

function goOn(cell) {
    const next = after(cell);
    if (next) { goTo(next); } else { submit.focus(); }
}

cells.forEach((cell) => {
    cell.input.addEventListener("focus", () => hold(cell));
});

// What was taken last, large; a screen reader hears it too.
function sayBack(cell, said) {
    cell.said = said;
    document.getElementById("taken").textContent = `${cell.input.dataset.station}: ${said}`;
    if (isSingle()) { say(`Station ${cell.input.dataset.station}: ${said}`); }
}

if (leaves) {
    leaves.querySelectorAll("button").forEach((leaf) => {
        leaf.addEventListener("click", () => {
            const cell = inHand;
            cell.input.value = leaf.value;
            setGap(cell, true);
            change(cell);
            // No field is focused, so that no keys come up over the leaves.
            const next = after(cell);
            if (next) { hold(next); } else { submit.focus(); }
        });
    });
}

function stepTo(by) {
    const stop = route[route.indexOf(inHand.box.closest("li")) + by];
    const cell = stop && cells.find((each) => stop.contains(each.box));
    if (cell) { goTo(cell); } else if (by > 0) { submit.focus(); }
}

document.getElementById("step-back").addEventListener("click", () => stepTo(-1));
document.getElementById("step-on").addEventListener("click", () => stepTo(1));

function showAs(way) {
    form.classList.toggle("single", way === "single");
    form.querySelector(`input[name=walk][value=${way}]`).checked = true;
    const open = (asked.length > 0 ? asked : cells).find((cell) => cell.input.value.trim() === "");
    hold(open ?? cells[0]);
}

form.querySelectorAll("input[name=walk]").forEach((way) => {
    way.addEventListener("change", () => {
        shelf.put("walk", way.value);
        showAs(way.value);
    });
});

showAs(shelf.get("walk") === "single" ? "single" : "list");
exchange(false);
