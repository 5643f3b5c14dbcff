// At the saw: the arrow keys go from setting to setting, space ticks the one that is shown. A page that was out of sight
// is asked for again when somebody looks at it: another window may have ticked meanwhile.
"use strict";

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return;
  if (event.target.closest("input, textarea, select, dialog")) return;
  const way = { ArrowLeft: "stop-before", ArrowRight: "stop-after" }[event.key];
  if (way) {
    const link = document.getElementById(way);
    if (link && link.href) { event.preventDefault(); link.click(); }
    return;
  }
  // On a button, a link or a summary, space means what it means everywhere.
  if (event.key !== " " || event.repeat || event.target.closest("button, a, summary")) return;
  const form = document.getElementById("stop-tick");
  if (!form || form.closest("[inert]")) return;
  event.preventDefault();
  form.requestSubmit();
});

document.addEventListener("visibilitychange", () => { if (!document.hidden) location.reload(); });
