// A bowl or a joint begun from nothing. What is typed is kept on this device until it is begun.
"use strict";

const form = document.getElementById("begin");
joint.at = form.dataset.to;
const list = form.querySelector(".rows");
const fields = () => [...form.querySelectorAll(".ask")].map((box) => ({ box, input: box.querySelector("input, select"), mark: box.querySelector(".mark") }));
const typed = () => Object.fromEntries(new FormData(form));

// One more station, under the next number.
function addRow() {
    const row = document.getElementById("row").content.firstElementChild.cloneNode(true);
    const number = list.children.length + 1;
    row.firstElementChild.setAttribute("aria-label", `Station ${number}`);
    row.querySelector(".name").textContent = number;
    row.querySelectorAll("label .unseen").forEach((words) => { words.textContent = `, station ${number}`; });
    for (const name of ["id", "name", "for", "aria-describedby"]) {
        row.querySelectorAll(`[${name}]`).forEach((each) => each.setAttribute(name, each.getAttribute(name).replace("-0", `-${number}`)));
    }
    list.append(row);
    document.getElementById("more").hidden = number >= Number(document.getElementById("more").dataset.most);
    return row;
}

function mark(marks) {
    const marked = fields().filter(({ mark: place }) => place).filter((field) => markField(field, field.input.name in marks ? "wrong" : "", marks[field.input.name]));
    if (marked.length > 0) { marked[0].input.focus(); }
}

form.addEventListener("input", ({ target }) => {
    const field = fields().find(({ input, mark: place }) => input === target && place);
    if (field) { markField(field, ""); }
    shelf.put(form.dataset.to.slice(1), typed());
});
form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.target.tagName !== "INPUT") { return; }
    event.preventDefault();
    const all = [...form.querySelectorAll("input:not([type=radio]), select, [type=submit]")];
    all[all.indexOf(event.target) + 1]?.focus();
});
form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const key = form.querySelector("[type=submit]");
    const problem = document.getElementById("begin-problem");
    key.disabled = true;
    problem.textContent = "";
    const { status, answer } = await send("", typed());
    if (status === 200) {
        shelf.drop(form.dataset.to.slice(1));
        go(answer.next);
        return;
    }
    key.disabled = false;
    problem.textContent = answer.error;
    mark(answer.marks ?? {});
});
document.getElementById("more")?.addEventListener("click", () => addRow().querySelector("input").focus());

for (const [name, text] of Object.entries(shelf.get(form.dataset.to.slice(1)) ?? {})) {
    // By this, since a field's name may be that of a property.
    const field = () => form.elements.namedItem(name);
    while (list && /-\d+$/.test(name) && !field() && text !== "") { addRow(); }
    if (field()) { field().value = text; }
}
