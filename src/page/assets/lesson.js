// A lesson: the choice is tapped, the server seats the rib anew.
"use strict";

const lesson = document.getElementById("lesson");
joint.at = lesson.dataset.at;
const tiles = [...lesson.querySelectorAll(".tile")];
const most = tiles.length ? Number(tiles[0].parentElement.dataset.most) : 0;

tiles.forEach((tile) => {
    tile.addEventListener("click", () => {
        const step = lesson.querySelector("input[name=tap]:checked").value === "more" ? 1 : -1;
        const count = Math.min(most, Math.max(0, Number(tile.dataset.count) + step));
        tile.dataset.count = String(count);
        tile.querySelector(".count").textContent = String(count);
        say(tile.textContent);
    });
});

const pushes = document.getElementById("pushes");
if (pushes) { pushes.addEventListener("input", () => { pushes.nextElementSibling.textContent = pushes.value; }); }

function choice() {
    if (tiles.length) { return { shavings: tiles.map((tile) => Number(tile.dataset.count)) }; }
    const chosen = (name) => Number(lesson.querySelector(`input[name=${name}]:checked`).value);
    return pushes ? { pushes: { plane: chosen("plane"), count: Number(pushes.value) } } : { one: chosen("way") };
}

lesson.addEventListener("submit", async (event) => {
    event.preventDefault();
    const key = lesson.querySelector("[type=submit]");
    const words = key.textContent;
    key.disabled = true;
    key.textContent = "Seating the rib anew …";
    const { status, answer } = await send("", choice());
    key.disabled = false;
    key.textContent = words;
    const came = document.getElementById("came-words");
    if (status === 200) { came.innerHTML = answer.came; } else { came.textContent = answer.error; }
    document.getElementById("came").hidden = false;
    const head = document.getElementById("came-head");
    head.focus();
    head.scrollIntoView({ block: "start" });
    say(status === 200 ? answer.said : answer.error);
});
