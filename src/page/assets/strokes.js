// Ticking strokes off as they are planed. Ticks and changes outlive a reload, in
// this browser; they are for this state of the folder only.
"use strict";

const strokes = document.getElementById("strokes");
if (strokes) { begin(); }

function begin() {
    const list = strokes.querySelector(".strokes");
    const another = document.getElementById("another");
    const kept = `${joint.at} strokes`;

    const part = (item, name) => item.querySelector(`[name="${name}"]`);
    const PARTS = ["plane", "from", "to", "count", "unbroken-from", "unbroken-to"];

    function keep() {
        const items = [...list.children].map((item) => ({
            done: part(item, "done").checked,
            pushes: pushes(item),
            parts: PARTS.map((name) => part(item, name).value),
        }));
        shelf.put(kept, { version: joint.version, items });
    }

    function restore() {
        const held = shelf.get(kept);
        if (held?.version !== joint.version) { return; }
        held.items.forEach((from, i) => {
            const item = list.children[i] || add();
            part(item, "done").checked = from.done;
            item.dataset.pushes = from.pushes || 0;
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

    // Pushes taken so far; a ticked stroke has them all.
    const pushes = (item) => part(item, "done").checked ? count(item) : Number(item.dataset.pushes || 0);
    const count = (item) => Number(part(item, "count").value);

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
        if (item.dataset.told !== now) {
            const { plane, from, to, count: many } = read(item);
            told.textContent = now;
            item.querySelector(".run").textContent = `${from} → ${to}`;
            item.querySelector(".with").textContent = `${plane}, ${many === 1 ? "1 stroke" : `${many} strokes`}`;
            item.dataset.told = now;
        }
        const push = item.querySelector(".push");
        push.hidden = count(item) < 2;
        push.querySelector("output").textContent = `${pushes(item)} of ${count(item)}`;
    }

    function push(item) {
        if (part(item, "done").checked) { return; }
        item.dataset.pushes = pushes(item) + 1;
        part(item, "done").checked = pushes(item) >= count(item);
        retell(item);
        keep();
    }

    function listen(item) {
        item.addEventListener("change", (event) => {
            if (event.target.name === "done") { item.dataset.pushes = 0; }
            retell(item);
            keep();
        });
        item.querySelector(".push").addEventListener("click", () => push(item));
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
    // A stroke of which some pushes were taken is recorded with these.
    const ticked = () => [...list.children].filter((item) => pushes(item) > 0).map((item) => ({ ...read(item), count: pushes(item) }));

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
            shelf.drop(kept);
            go(answer.next);
            return;
        }
        event.target.disabled = false;
        document.getElementById("record-problem").textContent = answer.error;
        tellStale(status === 409);
    });
}
