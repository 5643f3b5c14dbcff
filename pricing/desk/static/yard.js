// The buying list: a tick shows at once and is kept.
"use strict";

document.addEventListener("change", (event) => {
  const tick = event.target.closest(".tick input");
  if (!tick) return;
  tick.closest("li").classList.toggle("done", tick.checked);
  document.getElementById("done").textContent = document.querySelectorAll(".fetch li.done").length;
});
