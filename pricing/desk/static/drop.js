// A file dropped anywhere on the page goes to the form that takes files.
"use strict";

(() => {
  const form = document.querySelector("form[data-drop]");
  if (!form) return;
  const field = form.querySelector('input[type="file"]');
  const carries = (event) => [...event.dataTransfer.types].includes("Files");
  document.addEventListener("dragover", (event) => {
    if (!carries(event)) return;
    event.preventDefault();
    document.body.classList.add("dropping");
  });
  document.addEventListener("dragleave", (event) => {
    if (event.relatedTarget === null) document.body.classList.remove("dropping");
  });
  document.addEventListener("drop", (event) => {
    if (!carries(event)) return;
    event.preventDefault();
    document.body.classList.remove("dropping");
    field.files = event.dataTransfer.files;
    form.requestSubmit();
  });
})();
