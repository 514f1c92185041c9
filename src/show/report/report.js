// Without this script all passes stand under one another; with it one shows at a time.
(() => {
  const slider = document.querySelector(".slider");
  if (!slider) return;
  const input = slider.querySelector("input");
  const passes = [...slider.querySelectorAll(".pass")];
  const show = () => {
    const at = Number(input.value);
    passes.forEach((pass, k) => { pass.hidden = k !== at; });
    slider.querySelector("output").textContent = at;
  };
  input.addEventListener("input", show);
  slider.hidden = false;
  document.body.classList.add("sliding");
  show();
})();
