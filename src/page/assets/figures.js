// Figures of a bowl: typed, looked at by the server, saved once none is in doubt. Until then they
// are kept on this device.
"use strict";

const form = document.getElementById("figures");
if (form) {
    joint.at = form.dataset.to;
    const kept = `${form.dataset.to} figures`;
    const after = document.getElementById("after");
    const cells = [...form.querySelectorAll(".cell")].map((box) => ({ box, input: box.querySelector("input"), mark: box.querySelector(".mark"), sure: false }));

    const keep = () => shelf.put(kept, cells.map((cell) => [cell.input.id, cell.input.value]));
    const show = (cell, { state, text }) => {
        markField(cell, state, text);
        if (state === "doubt") { cell.mark.append(button("It is right, keep it", "small", () => { cell.sure = true; put(); })); }
    };
    const put = async () => {
        const problem = document.getElementById("figures-problem");
        const key = form.querySelector("[type=submit]");
        problem.textContent = "";
        key.disabled = true;
        const { status, answer } = await send("", {
            after: after ? Number(after.value) : null,
            figures: cells.map((cell) => ({ text: cell.input.value, sure: cell.sure })),
        });
        if (status === 200) {
            shelf.drop(kept);
            go(answer.next);
            return;
        }
        key.disabled = false;
        problem.textContent = answer.error;
        if (answer.marks) {
            answer.marks.forEach((mark, i) => show(cells[i], mark));
            const open = answer.marks.findIndex((mark) => mark.state !== "read");
            if (open >= 0) { cells[open].input.focus(); }
        }
    };

    cells.forEach((cell, i) => {
        cell.input.addEventListener("input", () => { cell.sure = false; show(cell, { state: "" }); keep(); });
        cell.input.addEventListener("keydown", (event) => {
            if (event.key !== "Enter") { return; }
            event.preventDefault();
            const next = cells[i + 1];
            if (next) { next.input.focus(); next.input.select(); } else { form.querySelector("[type=submit]").focus(); }
        });
    });
    form.addEventListener("submit", (event) => { event.preventDefault(); put(); });
    const typed = new Map(shelf.get(kept) ?? []);
    cells.forEach((cell) => { cell.input.value = typed.get(cell.input.id) ?? ""; });
}
