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

function store() {
  try {
    return localStorage;
  } catch {
    return undefined; // where the device keeps nothing
  }
}

function say(words) {
  $("status").textContent = words;
}

function fail(wrong) {
  say(`${wrong.message} Nothing you typed is lost.`);
}

function swap(id, page) {
  const focused = document.activeElement?.id;
  $(id).replaceWith(page.getElementById(id));
  if (focused) $(focused)?.focus();
}

async function part(address, id, signal) {
  try {
    swap(id, await post(address, [], signal));
    return true;
  } catch (wrong) {
    if (wrong.name !== "AbortError") fail(wrong);
  }
}

async function whole(button) {
  say("Working it out…");
  $("main").setAttribute("aria-busy", "true");
  try {
    const page = await post("/", [[button?.name || "do", button?.value || "answer"]]);
    swap("main", page);
    document.title = page.title;
    dress();
    const next = $("faults") || (button?.value !== "read" && $("h-answer")) || $("understood");
    next.tabIndex = -1;
    next.focus();
    if ($("share")) history.replaceState(null, "", $("share").href);
  } catch (wrong) {
    fail(wrong);
    $("main").removeAttribute("aria-busy");
  }
}

async function ladder() {
  say("Working out the ladder…");
  if (await part("/page/ladder", "ladder-result")) {
    say("");
    $("h-rungs")?.focus();
  }
}

function read() {
  clearTimeout(reading?.wait);
  reading?.abort.abort();
  const abort = new AbortController();
  reading = { abort, wait: setTimeout(() => part("/page/understood", "understood", abort.signal), 300) };
}

async function tryOut() {
  if (trying) return void (trying = "again");
  trying = "once";
  do {
    trying = "once";
    await part("/page/what-if", "what-if-result");
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
  for (const input of document.querySelectorAll("[data-length]")) {
    const found = /^([\d.]+) ?mm$/.exec(input.value);
    if (found && unit === "in") input.value = inches(found[1] / 25.4);
    else if (unit === "mm" && input.dataset.inches === input.value) input.value = input.dataset.mm;
    if (found) Object.assign(input.dataset, { mm: found[0], inches: input.value });
  }
}

function inches(length) {
  const parts = Math.max(1, Math.round(length * 32));
  let above = parts % 32;
  let below = 32;
  while (above && above % 2 === 0) [above, below] = [above / 2, below / 2];
  return [Math.floor(parts / 32) || "", above ? `${above}/${below}` : "", "in"].filter(Boolean).join(" ");
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
  store()?.setItem(target.name, target.value);
  if (target.name === "lengths") convert(target.value);
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
  const chosen = document.querySelector(`[name=${name}][value="${CSS.escape(store()?.getItem(name) || "")}"]`);
  if (chosen && !chosen.checked) {
    chosen.checked = true;
    if (name === "lengths") convert(chosen.value);
  }
}
