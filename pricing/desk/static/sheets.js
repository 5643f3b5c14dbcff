// The part under the pointer, or under the keyboard, explained.
"use strict";

(() => {
  const about = document.getElementById("about");
  let lit = [];

  function facts() {
    const place = document.getElementById("part-facts");
    return place ? JSON.parse(place.textContent) : {};
  }

  // A drawing that came as a picture is put into the page itself, so that its parts can be pointed at.
  async function unfold(place) {
    // Where the page is left meanwhile, the picture that stands there is enough.
    const answer = await fetch(place.dataset.svg).catch(() => null);
    if (!answer || !answer.ok) return;
    const drawing = new DOMParser().parseFromString(await answer.text(), "image/svg+xml").documentElement;
    if (drawing.nodeName !== "svg") return;
    const label = place.querySelector("img").alt;
    drawing.setAttribute("role", "img");
    drawing.setAttribute("aria-label", label);
    place.replaceChildren(document.adoptNode(drawing));
  }

  function watch() {
    const seen = new IntersectionObserver((entries) => entries.forEach((entry) => {
      if (!entry.isIntersecting) return;
      seen.unobserve(entry.target);
      unfold(entry.target);
    }), { rootMargin: "300px" });
    document.querySelectorAll(".drawn[data-svg]").forEach((place) => seen.observe(place));
  }
  document.addEventListener("fresh", watch);
  watch();

  function clear() {
    lit.forEach((shape) => shape.classList.remove("lit"));
    lit = [];
  }

  function explain(name, tip, shapes) {
    clear();
    lit = shapes;
    lit.forEach((shape) => shape.classList.add("lit"));
    const known = facts()[name];
    about.hidden = false;
    about.replaceChildren();
    const head = document.createElement("strong");
    head.textContent = name;
    about.append(head);
    const text = known ? `${known.role || "part"} of ${known.crate} (${known.method}), for ${known.pieces}. ` +
      `${known.size}, ${known.count} in all; ${known.grain}.` : tip;
    about.append(` ${text}`);
  }

  const nameOf = (shape) => {
    const title = shape.querySelector("title");
    return title ? title.textContent.split(",")[0] : "";
  };

  document.addEventListener("pointerover", (event) => {
    const shape = event.target.closest(".drawn polygon");
    if (!shape || !nameOf(shape)) return;
    explain(nameOf(shape), shape.querySelector("title").textContent, [shape]);
  });
  document.addEventListener("focusin", (event) => {
    const button = event.target.closest("button.part");
    if (!button) return;
    const shapes = [...button.closest("figure").querySelectorAll("polygon")].filter((shape) => nameOf(shape) === button.dataset.part);
    explain(button.dataset.part, button.dataset.part, shapes);
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button.part");
    if (button) button.focus();
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") { clear(); about.hidden = true; }
  });
})();
