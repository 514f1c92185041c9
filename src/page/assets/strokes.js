// Ticking strokes off as they are planed. Ticks and changes outlive a reload, in
// this browser; they are for this state of the folder only.
"use strict";

const strokes = document.getElementById("strokes");
if (strokes) { begin(); }

function begin() {
    const list = strokes.querySelector(".strokes");
    const another = document.getElementById("another");
    const shelf = `ribwright ${joint.at} strokes`;

    const part = (item, name) => item.querySelector(`[name="${name}"]`);
    const PARTS = ["plane", "from", "to", "count", "unbroken-from", "unbroken-to"];

    function keep() {
        const items = [...list.children].map((item) => ({
            done: part(item, "done").checked,
            parts: PARTS.map((name) => part(item, name).value),
        }));
        try { localStorage.setItem(shelf, JSON.stringify({ version: joint.version, items })); } catch { /* no room: ticks last as long as the page */ }
    }

    function restore() {
        let kept = null;
        try { kept = JSON.parse(localStorage.getItem(shelf)); } catch { /* as if there were none */ }
        if (!kept || kept.version !== joint.version) { return; }
        kept.items.forEach((from, i) => {
            const item = list.children[i] || add();
            part(item, "done").checked = from.done;
            PARTS.forEach((name, k) => { if (from.parts[k] !== undefined) { part(item, name).value = from.parts[k]; } });
            retell(item);
        });
    }

    function add() {
        list.append(another.content.cloneNode(true));
        const item = list.lastElementChild;
        listen(item);
        retell(item);
        return item;
    }

    const read = (item) => {
        const [plane, from, to, count, first, last] = PARTS.map((name) => part(item, name).value);
        const unbroken = first && last ? [first.slice(1), last.slice(1)] : null;
        return { plane, from, to, count: Number(count), unbroken };
    };

    const words = (stroke) => {
        const many = stroke.count === 1 ? "1 stroke" : `${stroke.count} strokes`;
        const ran = stroke.unbroken ? `, unbroken from ${stroke.unbroken[0]} to ${stroke.unbroken[1]}` : "";
        return `${stroke.plane}, station ${stroke.from} to ${stroke.to}, ${many}${ran}`;
    };

    function retell(item) {
        const told = item.querySelector(".words");
        const now = words(read(item));
        if (item.dataset.told === undefined) { item.dataset.told = now; }
        if (item.dataset.told !== now) { told.textContent = now; item.dataset.told = now; }
    }

    function listen(item) {
        item.addEventListener("change", () => { retell(item); keep(); });
    }

    [...list.children].forEach((item) => { retell(item); listen(item); });
    restore();

    document.getElementById("add").addEventListener("click", () => {
        const item = add();
        keep();
        part(item, "plane").focus();
    });

    const dialog = document.getElementById("record");
    const problem = document.getElementById("strokes-problem");
    const ticked = () => [...list.children].filter((item) => part(item, "done").checked).map(read);

    strokes.addEventListener("submit", (event) => {
        event.preventDefault();
        const done = ticked();
        problem.textContent = done.length === 0 ? "Nothing is ticked. Tick what you planed first." : "";
        if (done.length === 0) { return; }
        const shown = document.getElementById("record-list");
        shown.replaceChildren(...done.map((stroke) => {
            const line = document.createElement("li");
            line.textContent = words(stroke);
            return line;
        }));
        document.getElementById("record-problem").textContent = "";
        dialog.showModal();
    });

    document.getElementById("record-no").addEventListener("click", () => dialog.close());
    document.getElementById("record-yes").addEventListener("click", async (event) => {
        event.target.disabled = true;
        const { status, answer } = await send("/strokes", { version: joint.version, round: Number(strokes.dataset.round), strokes: ticked() });
        if (status === 200) {
            try { localStorage.removeItem(shelf); } catch { /* it is of another state of the folder from now on */ }
            location.assign(answer.next);
            return;
        }
        event.target.disabled = false;
        document.getElementById("record-problem").textContent = answer.error;
        tellStale(status === 409);
    });
}
