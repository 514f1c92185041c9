// Sliders for a cut that is only thought of.
"use strict";

const cuts = document.getElementById("cuts");
const sliders = [...cuts.querySelectorAll("input[type=range]")];
let seating = false;
let moved = false;

async function seat() {
    if (seating) { moved = true; return; }
    seating = true;
    const { status, answer } = await send("/try", { cut: sliders.map((slider) => Number(slider.value)) });
    seating = false;
    const then = document.getElementById("then");
    if (status === 200) {
        then.innerHTML = answer.then;
        document.getElementById("lies").textContent = answer.said;
        say(answer.said);
    } else {
        then.textContent = answer.error;
        say(answer.error);
    }
    main.dataset.drawn = String(Number(main.dataset.drawn || 0) + 1);
    if (moved) { moved = false; seat(); }
}

function tell(slider) {
    slider.nextElementSibling.textContent = slider.value;
}

sliders.forEach((slider) => slider.addEventListener("input", () => { tell(slider); seat(); }));
cuts.addEventListener("reset", () => setTimeout(() => { sliders.forEach(tell); seat(); }));
sliders.forEach(tell);
seat();
