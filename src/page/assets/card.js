"use strict";

document.getElementById("print").addEventListener("click", () => print());
