// One station's readings corrected in their place.
"use strict";

const form = document.getElementById("correct");
const cells = [...form.querySelectorAll(".cell")].map((box) => ({
    box,
    input: box.querySelector("input"),
    key: box.querySelector(".key"),
    mark: box.querySelector(".mark"),
    // What stands there was confirmed once; only what is typed now is looked at.
    sure: true,
}));

const bearing = form.querySelector(".bears");
bearing.addEventListener("click", () => { bearing.setAttribute("aria-pressed", String(bearing.getAttribute("aria-pressed") !== "true")); });

cells.forEach((cell) => {
    cell.input.addEventListener("input", () => { cell.sure = false; show(cell, { state: "" }); });
    if (!cell.key) { return; }
    cell.key.addEventListener("click", () => {
        const gap = cell.key.dataset.gap !== "yes";
        cell.key.dataset.gap = gap ? "yes" : "no";
        cell.key.textContent = gap ? "gap" : "over";
        cell.key.setAttribute("aria-label", `Station ${cell.input.dataset.station}: ${gap ? "gap" : "over"}, change`);
        cell.sure = false;
        show(cell, { state: "" });
    });
});

function show(cell, { state, text }) {
    markField(cell, state, text);
    if (state === "doubt") { cell.mark.append(button("It is right, keep it", "small", () => { cell.sure = true; put(); })); }
}

async function put() {
    const problem = document.getElementById("correct-problem");
    const key = form.querySelector("[type=submit]");
    problem.textContent = "";
    key.disabled = true;
    const { status, answer } = await send("/correct", {
        version: joint.version,
        round: Number(form.dataset.round),
        against: form.dataset.against,
        rebent: form.dataset.rebent === "true",
        cells: cells.map((cell) => ({
            station: cell.input.dataset.station,
            quantity: cell.box.dataset.quantity,
            gap: Boolean(cell.key) && cell.key.dataset.gap === "yes",
            text: cell.input.value,
            sure: cell.sure,
        })),
        bears: [{ station: bearing.dataset.station, bears: bearing.getAttribute("aria-pressed") === "true" }],
    });
    if (status === 200) { go(answer.next); return; }
    key.disabled = false;
    problem.textContent = answer.error;
    if (answer.marks) { answer.marks.forEach((mark, i) => show(cells[i], mark)); }
    tellStale(status === 409);
}

form.addEventListener("submit", (event) => { event.preventDefault(); put(); });
cells[0].input.focus();
cells[0].input.select();
