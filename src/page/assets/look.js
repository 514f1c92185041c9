// The passes slide by; the rib turns under a finger, the arrow keys or the sliders.
// The server draws; one picture is asked for at a time.
"use strict";

// Shows the picture at the last address that was asked for.
function shower(place, shown) {
    let wanted = null;
    let busy = false;
    async function next() {
        if (busy || wanted === null) { return; }
        const address = wanted;
        wanted = null;
        busy = true;
        try {
            const response = await ask(joint.at + address);
            if (response.ok) {
                const answer = await response.json();
                place.innerHTML = answer.picture;
                shown(answer);
            }
        } catch { /* the picture stays as it is */ }
        main.dataset.drawn = String(Number(main.dataset.drawn || 0) + 1);
        busy = false;
        next();
    }
    return (address) => { wanted = address; next(); };
}

const pass = document.getElementById("pass");
if (pass) {
    const words = document.getElementById("pass-words");
    const show = shower(document.getElementById("pass-picture"), (answer) => { words.textContent = answer.said; });
    pass.addEventListener("input", () => show(`/pass/${pass.value}`));
}

const space = document.getElementById("space");
if (space) { turning(); }

function turning() {
    const [turn, tilt] = ["turn", "tilt"].map((id) => document.getElementById(id));
    const show = shower(space, () => {});

    function tell() {
        for (const slider of [turn, tilt]) { slider.nextElementSibling.textContent = `${Math.round(slider.value)}°`; }
        show(`/space/${Number(turn.value)}/${Number(tilt.value)}`);
    }

    function by(turned, tilted) {
        turn.value = Number(turn.value) + turned;
        tilt.value = Number(tilt.value) + tilted;
        tell();
    }

    turn.addEventListener("input", tell);
    tilt.addEventListener("input", tell);

    const STEPS = { ArrowLeft: [-4, 0], ArrowRight: [4, 0], ArrowUp: [0, 4], ArrowDown: [0, -4] };
    space.addEventListener("keydown", (event) => {
        const step = STEPS[event.key];
        if (!step) { return; }
        event.preventDefault();
        by(...step);
        say(`Turned ${Math.round(turn.value)}, tilted ${Math.round(tilt.value)} degrees.`);
    });

    // Half a degree a pixel; what is less than a slider's step waits for the rest. A finger turns
    // only: up and down it scrolls the page.
    let last = null;
    space.addEventListener("pointerdown", (event) => {
        last = [event.clientX, event.clientY];
        space.setPointerCapture(event.pointerId);
    });
    space.addEventListener("pointermove", (event) => {
        if (!last) { return; }
        const [dx, dy] = [event.clientX - last[0], event.clientY - last[1]].map((d) => 2 * Math.trunc(d / 4));
        if (dx === 0 && dy === 0) { return; }
        last = [last[0] + 2 * dx, last[1] + 2 * dy];
        by(dx, event.pointerType === "touch" ? 0 : dy);
    });
    for (const end of ["pointerup", "pointercancel"]) { space.addEventListener(end, () => { last = null; }); }
}
