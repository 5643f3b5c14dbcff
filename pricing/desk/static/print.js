// Printing: what stands in the fields, as it stands at that moment, becomes text that wraps; afterwards the fields are back.
"use strict";

(() => {
  const FIELDS = "input:not([type=hidden]):not([type=checkbox]):not([type=radio]):not([type=file]), select, textarea";
  const SHORT = 10; // up to so many characters, a value stands on one line: a day, a length, a weight

  function up() {
    document.querySelectorAll(".written").forEach((words) => words.remove());
    document.querySelectorAll(".put-down").forEach((field) => field.classList.remove("put-down"));
  }

  function down() {
    up();
    const today = new Date();
    const day = `${today.getDate()} ${today.toLocaleString("en", { month: "long" })} ${today.getFullYear()}`;
    document.querySelectorAll(".print-day").forEach((place) => { place.textContent = day; });
    document.querySelectorAll(FIELDS).forEach((field) => {
      if (!field.value) return;
      const words = document.createElement("span");
      words.textContent = field.tagName === "SELECT" ? field.selectedOptions[0].textContent : field.value;
      words.className = words.textContent.length > SHORT ? "written" : "written short";
      field.classList.add("put-down");
      field.after(words);
    });
  }

  window.addEventListener("beforeprint", down);
  window.addEventListener("afterprint", up);
})();
