// What the page does at once where scripts run: it reads lines while they are typed, answers in
// place and moves sliders. Everything works without it; it sends the same form to the same place.
const $ = (id) => document.getElementById(id);
const kept = ["measures", "lengths"];
let reading;
let trying;

async function post(address, extra = [], signal) {
  const body = new URLSearchParams([...new FormData($("brief")), ...extra]);
  const answer = await fetch(address, { method: "POST", body, signal });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (!answer.ok) throw new Error(page.querySelector(".notice span")?.textContent || "No answer came.");
  return page;
}

function say(words) {
  $("status").textContent = words;
}

function fail(wrong) {
  say(`${wrong.message} Nothing you typed is lost.`);
}

// What was ticked or typed while an answer was on its way counts, not what was sent before.
function carry(old, next) {
  const key = (input) => input.name + (input.type === "checkbox" ? input.value : "");
  const left = [...next.querySelectorAll("input")];
  let focused;
  for (const input of old.querySelectorAll("input")) {
    const at = left.findIndex((each) => key(each) === key(input));
    if (at < 0) continue;
    const [twin] = left.splice(at, 1);
    twin.checked = input.checked;
    twin.value = input.value;
    if (input === document.activeElement) focused = twin;
  }
  old.replaceWith(next);
  focused?.focus();
}

async function part(name, id, signal) {
  try {
    const page = await post(`/page/${name}`, [], signal);
    carry($(id), page.getElementById(id));
    return true;
  } catch (wrong) {
    if (wrong.name !== "AbortError") fail(wrong);
  }
}

async function whole(button) {
  stopReading();
  say("Working it out…");
  still(true);
  try {
    const page = await post("/", [[button?.name || "do", button?.value || "answer"]]);
    $("main").replaceWith(page.getElementById("main"));
    document.title = page.title;
    dress();
    const next = $("faults") || (button?.value !== "read" && $("h-answer")) || $("understood");
    next.tabIndex = -1;
    next.focus();
    if ($("share")) history.replaceState(null, "", $("share").href);
  } catch (wrong) {
    fail(wrong);
    still(false);
  }
}

async function ladder() {
  say("Working out the ladder…");
  if (await part("ladder", "ladder-result")) {
    say("");
    $("h-rungs")?.focus();
  }
}

function still(is) {
  for (const id of ["brief", "answer"]) if ($(id)) $(id).inert = is;
}

function stopReading() {
  clearTimeout(reading?.wait);
  reading?.abort.abort();
}

function read() {
  stopReading();
  const abort = new AbortController();
  reading = { abort, wait: setTimeout(() => part("understood", "understood", abort.signal), 300) };
}

async function tryOut() {
  if (trying) {
    trying = "again";
    return;
  }
  do {
    trying = "once";
    await part("what-if", "what-if-result");
  } while (trying === "again");
  trying = undefined;
}

function tell(slider) {
  const output = slider.parentElement.querySelector("output");
  if (output) output.textContent = slider.value;
}

function dress() {
  for (const button of document.querySelectorAll("[data-print],[data-copy]")) button.hidden = false;
  for (const input of document.querySelectorAll(".sliders input")) {
    input.type = "range";
    const output = document.createElement("output");
    input.previousElementSibling.append(": ", output);
    tell(input);
  }
}

function convert(unit) {
  for (const input of document.querySelectorAll("[data-in]")) {
    const { mm, in: inches } = input.dataset;
    if ([mm, inches].includes(input.value)) input.value = input.dataset[unit];
  }
}

document.addEventListener("submit", (event) => {
  event.preventDefault();
  const does = event.submitter?.value;
  if (does === "ladder") ladder();
  else if (does === "what-if") tryOut();
  else whole(event.submitter);
});

document.addEventListener("input", ({ target }) => {
  if (target.id === "lines") read();
  if (target.type === "range") {
    tell(target);
    tryOut();
  }
});

document.addEventListener("change", ({ target }) => {
  if (!kept.includes(target.name)) return;
  if (target.name === "lengths") convert(target.value);
  localStorage.setItem(target.name, target.value);
});

document.addEventListener("click", async ({ target }) => {
  if (target.matches("[data-print]")) print();
  if (target.matches("[data-copy]")) {
    const text = $(target.dataset.copy);
    text.select();
    await navigator.clipboard?.writeText(text.value).catch(() => document.execCommand("copy"));
    say("Copied.");
  }
});

dress();
for (const name of location.search ? [] : kept) {
  const chosen = document.querySelector(`[name=${name}][value="${CSS.escape(localStorage.getItem(name) || "")}"]`);
  if (chosen && !chosen.checked) {
    chosen.checked = true;
    if (name === "lengths") convert(chosen.value);
  }
}
