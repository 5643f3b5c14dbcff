// The buying list: a tick shows at once and is kept; what is fetched of a line stands beside it.
"use strict";

function mark(line, done) {
  line.classList.toggle("done", done);
  document.getElementById("done").textContent = document.querySelectorAll(".fetch li.done").length;
}

document.addEventListener("change", (event) => {
  const tick = event.target.closest(".tick input");
  if (tick) mark(tick.closest("li"), tick.checked);
});

// A tick says what is fetched then, and a number whether that is all; neither touches the field that was used, nor a
// tick that is still to be sent.
document.addEventListener("kept", (event) => {
  const line = event.target.closest(".fetch li");
  if (!line) return;
  const some = line.querySelector(".some input:not([type=hidden])");
  if (event.target.matches(".some")) {
    const tick = line.querySelector(".tick input");
    if (!Desk.asked(tick.form)) {
      tick.checked = event.detail.done;
      mark(line, event.detail.done);
    }
    some.defaultValue = some.value;
  } else if (some && some.value === some.defaultValue) {
    some.value = some.defaultValue = event.detail.fetched;
  }
});

// A trial whose page was opened by its address, or that waited for the job's own figure, is asked for once it may begin.
async function askForTrial() {
  const trial = document.querySelector("[data-try]");
  if (!trial) return;
  const body = new FormData();
  body.set("none", trial.dataset.none);
  body.set("instead", trial.dataset.instead);
  const address = trial.dataset.try;
  delete trial.dataset.try;
  const { status, told } = await Desk.send(address, body).catch(() => ({ status: 0 }));
  if (status === 200) Desk.showSearch(told.search);
}
document.addEventListener("DOMContentLoaded", askForTrial);
document.addEventListener("fresh", askForTrial);
