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
    const said = `${slider.value} ${slider.dataset.unit}`;
    slider.nextElementSibling.textContent = said;
    slider.setAttribute("aria-valuetext", said);
}

sliders.forEach((slider) => slider.addEventListener("input", () => { tell(slider); seat(); }));
cuts.addEventListener("reset", () => setTimeout(() => { sliders.forEach(tell); seat(); }));
document.getElementById("none").addEventListener("click", () => { sliders.forEach((slider) => { slider.value = "0"; tell(slider); }); seat(); });
sliders.forEach(tell);
seat();
