// A row of the price book or a rule: kept without losing what is typed in others.
"use strict";

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (form.dataset.paper === undefined) return;
  event.preventDefault();
  const { status, told } = await Desk.send(form.action, new FormData(form, event.submitter));
  if (status === 409) {
    Desk.tell(told.message);
    setTimeout(() => location.reload(), 3000);
    return;
  }
  if (status >= 400) { Desk.tell(told.message); return; }
  document.querySelectorAll('form[data-paper] input[name="revision"], .undoing input[name="revision"]').forEach((field) => {
    const paper = field.form.elements.paper;
    if (!paper || paper.value !== "destinations") field.value = told.revision;
  });
  document.querySelectorAll('form[action="/rules/files"] input[name="rules"]').forEach((field) => { field.value = told.revision; });
  document.querySelectorAll(".undoing").forEach((ways) => {
    if (ways.dataset.paper !== "destinations") Desk.showWays(ways, told);
  });
  const row = form.closest("tr") || form;
  row.classList.add("kept");
  setTimeout(() => row.classList.remove("kept"), 1500);
  Desk.tell("Kept.");
});
