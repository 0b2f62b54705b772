// What the page does at once where scripts run: it reads lines while they are typed, answers in
// place, and moves the proposal under sliders and knobs. All works without it, by the same form.
const $ = (id) => document.getElementById(id);
const all = (query, within = document) => [...within.querySelectorAll(query)];
const kept = ["measures", "lengths"];
const jobs = {};
const words = $("status").dataset;

async function post(address, extra = [], signal) {
  const body = new URLSearchParams([...new FormData($("brief")), ...extra]);
  const answer = await fetch(address, { method: "POST", body, signal });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (!answer.ok) throw new Error("", { cause: page.querySelector(".notice span")?.textContent });
  return page;
}

// The question in the address that the page shows.
let shown = location.search;

const say = (words) => ($("status").textContent = words);
const fail = (wrong) => wrong.name === "AbortError" || say(`${wrong.cause || words.failed} ${words.kept}`);

// The old answer stays, marked as out of date; once nothing moves any more its heading is said.
function stale(is, parts = ["answer", "rest"]) {
  for (const id of parts) {
    $(id)?.classList.toggle("stale", is);
    $(id)?.setAttribute("aria-busy", is);
  }
  if (!is) job("tell", 700, () => $("told").textContent = $("h-answer").textContent);
}

// One job of a kind at a time: a newer one stops the older.
async function job(kind, wait, work) {
  jobs[kind]?.abort();
  const { signal } = (jobs[kind] = new AbortController());
  if (wait) await new Promise((done) => setTimeout(done, wait));
  if (signal.aborted) return;
  try {
    await work(signal);
  } catch (wrong) {
    fail(wrong);
  }
}

// What was ticked or typed while an answer was on its way counts, not what was sent before.
function carry(old, next) {
  const key = (input) => input.name + (input.type === "checkbox" ? input.value : "");
  const left = all("input", next);
  const was = document.activeElement;
  let focused;
  for (const input of all("input", old)) {
    const at = left.findIndex((each) => key(each) === key(input));
    if (at < 0) continue;
    const [twin] = left.splice(at, 1);
    twin.checked = input.checked;
    twin.value = input.value;
    if (input === was) focused = twin;
  }
  for (const { id } of all("details[open]", old)) next.querySelector(`#${id}`)?.setAttribute("open", "");
  const at = spot(was);
  old.replaceWith(next);
  (focused || at())?.focus({ preventScroll: true });
}

// Where the focus is, to be found again when what it is in was put in place anew.
function spot(was) {
  const within = was.parentElement?.id;
  const named = was.name && `[name="${CSS.escape(was.name)}"][value="${CSS.escape(was.value)}"]`;
  return () => was.isConnected ? null : (was.id && $(was.id)) || (was.nodeName === "SUMMARY" && $(within)?.firstElementChild) || (named && document.querySelector(named));
}

const read = () => job("read", 250, async (signal) => carry($("understood"), (await post("/page/understood", [], signal)).getElementById("understood")));

// Drawings change attribute by attribute, so that they move; anything else is put in place whole.
function morph(old, next) {
  if (old.nodeName !== next.nodeName || old.childNodes.length !== next.childNodes.length) return old.replaceWith(next);
  if (old.nodeType === 3) return old.data !== next.data && (old.data = next.data);
  if (old === document.activeElement) return;
  for (const { name, value } of next.attributes) if (old.getAttribute(name) !== value && name !== "type") old.setAttribute(name, value);
  if ("value" in old && old.type !== "range") old.value = next.value;
  const fresh = [...next.childNodes];
  [...old.childNodes].forEach((child, at) => morph(child, fresh[at]));
}

const move = () => job("move", 0, async (signal) => {
  const late = setTimeout(() => signal.aborted || stale(true, ["answer"]), 150);
  const page = await post("/page/moved", [], signal).finally(() => clearTimeout(late));
  const next = page.getElementById("hero");
  if (!next.firstElementChild) return stale(true);
  morph($("hero"), next);
  for (const id of ["h-answer", "bar-say"]) $(id)?.replaceChildren(...page.getElementById(id).childNodes);
  stale(false, ["answer"]);
  dress();
});

async function whole(name, value, { quietly, fresh } = {}) {
  stale(true);
  if (!quietly) jobs.read?.abort(), jobs.again?.abort();
  await job("whole", 0, async (signal) => {
    const page = await post("/", [[name, value]], signal);
    if (quietly && !page.querySelector(".hero, .card")) return say(words.unread);
    const beside = $("beside");
    const share = page.getElementById("share")?.getAttribute("href");
    jobs.move?.abort();
    if (share && !fresh) history[quietly ? "replaceState" : "pushState"](null, "", share);
    show(page, quietly);
    if (beside) $("answer").append(beside);
    stale(false);
    if (quietly) return say("");
    const next = $("faults") || (value === "read" ? $("understood") : name === "way" ? $("h-card") : $("h-answer"));
    next.tabIndex = -1;
    next.focus({ preventScroll: true });
    next.scrollIntoView({ block: "start" });
    say("");
  });
}

// Quietly, what is being typed in stays as it is.
function show(page, quietly) {
  shown = location.search;
  const open = all("details[open][id]").map((each) => each.id);
  const at = spot(document.activeElement);
  for (const id of quietly ? ["answer", "rest"] : ["main"]) $(id).replaceWith(page.getElementById(id));
  for (const id of open) $(id)?.setAttribute("open", "");
  at()?.focus({ preventScroll: true });
  if ($("bar-say")) $("bar-say").replaceWith(page.getElementById("bar-say"));
  document.body.className = page.body.className;
  document.title = page.title;
  if (location.hash === "#brief") history.replaceState(null, "", "#answer");
  dress();
}

// A question that was answered is answered anew when it changes; the old answer is marked until then.
// The proposal that stands is judged by the new question at once, its ways follow.
function again(quick) {
  const fresh = !$("answer").classList.contains("stale");
  stale(true);
  if (quick && fresh && $("hero").firstElementChild) move();
  job("again", 200, () => whole("do", $("lines").value.trim() ? "answer" : "", { quietly: true, fresh: !$("lines").value.trim() }));
}

// A draft stays on the device alone, until it is forgotten.
function keep() {
  if ($("lines").value.trim()) localStorage.setItem("draft", new URLSearchParams([...new FormData($("brief"))].filter(([name, value]) => value && !/^(proposal|way|hand\.|was\.)/.test(name))));
}

function dress() {
  const draft = localStorage.getItem("draft");
  $("draft").hidden = !draft;
  $("draft-back").hidden = !!$("lines").value.trim();
  $("draft-back").href = `/?${draft}&do=answer`;
  for (const button of all("[data-print],[data-copy],[data-do]")) button.hidden = false;
  for (const input of all(".sl input[type=number]")) input.type = "range";
  for (const input of all(".sl input[type=range]")) input.parentElement.querySelector("output").textContent = (+input.value).toFixed(1).replace(/\.0$/, "");
}

function convert(unit) {
  for (const input of all("[data-in],[data-mm]")) {
    const { mm = input.defaultValue, in: inches = input.defaultValue } = input.dataset;
    if ([mm, inches].includes(input.value)) input.value = unit === "in" ? inches : mm;
  }
}

function beside() {
  const list = $("beside") || $("answer").appendChild(Object.assign(document.createElement("ol"), { id: "beside", className: "beside" }));
  if (list.children.length > 2) list.firstElementChild.remove();
  const item = list.appendChild(document.createElement("li"));
  for (const part of [".cap.r", ".hero-svg", ".tens-pair>div:last-child"]) {
    const copy = $("hero").querySelector(part).cloneNode(true);
    all("[id]", copy).forEach((each) => each.removeAttribute("id"));
    all(".knob", copy).forEach((each) => each.remove());
    item.append(copy);
  }
  say(words.beside);
}

document.addEventListener("submit", (event) => {
  const { name = "do", value = "answer", formTarget } = event.submitter || {};
  if (formTarget) return;
  event.preventDefault();
  whole(name, value);
});

document.addEventListener("input", ({ target }) => {
  keep();
  if (target.matches(".sl input")) {
    dress();
    move();
  } else if (target.id === "lines") {
    read();
    again();
  } else if (target.closest("#brief")) again(!target.closest("#understood"));
});

document.addEventListener("change", ({ target }) => {
  if (!kept.includes(target.name)) return;
  if (target.name === "lengths") convert(target.value);
  localStorage.setItem(target.name, target.value);
});

document.addEventListener("click", async (event) => {
  const { target } = event;
  if (target.matches("[data-print]")) print();
  if (target.matches("[data-do=beside]")) beside();
  if (target.matches("[data-do=unmove]")) {
    event.preventDefault();
    for (const input of all(".sl input[data-start]")) input.value = input.dataset.start;
    dress();
    move();
  }
  if (target.matches("[data-do=visit]")) {
    event.preventDefault();
    history.pushState(null, "", target.href);
    await visit();
    $("h-answer")?.focus();
  }
  if (target.matches("[data-do=forget]")) {
    localStorage.removeItem("draft");
    dress();
    say(words.forgotten);
  }
  if (target.matches("[data-do=share]")) {
    await navigator.clipboard?.writeText($("share").href).catch(() => {});
    say(words.copied);
  }
  if (target.matches("[data-copy]")) {
    const text = $(target.dataset.copy);
    text.select();
    await navigator.clipboard?.writeText(text.value).catch(() => document.execCommand("copy"));
    say(words.copied);
  }
});

// Help is fetched when it is first opened, and stands where it was asked for.
document.addEventListener("toggle", ({ target }) => {
  const link = target.open && target.querySelector("[data-load]");
  if (link) job("help", 0, async (signal) => {
    const page = new DOMParser().parseFromString(await (await fetch(link.href, { signal })).text(), "text/html");
    link.parentElement.replaceWith(page.getElementById(link.dataset.load));
  });
}, true);

// A knob moves its field by how far it is drawn along its own direction.
document.addEventListener("pointerdown", (event) => {
  const knob = event.target.closest?.(".knob");
  const field = knob && $(knob.dataset.for);
  if (!field) return;
  event.preventDefault();
  const { x, y } = knob.dataset;
  const scale = 760 / knob.ownerSVGElement.getBoundingClientRect().width;
  const start = parseFloat(field.value) || 0;
  const degrees = knob.dataset.for.endsWith("degrees");
  const drag = (now) => {
    const by = scale * ((now.clientX - event.clientX) * x + (now.clientY - event.clientY) * y);
    const value = Math.max(1.5, start + by);
    field.value = field.type === "range" ? value.toFixed(2) : degrees ? `${Math.round(value)}` : `${Math.round(value)} mm`;
    dress();
    move();
  };
  const drop = () => {
    removeEventListener("pointermove", drag);
    if (field.type !== "range") again(true);
  };
  addEventListener("pointermove", drag);
  addEventListener("pointerup", drop, { once: true });
  addEventListener("pointercancel", drop, { once: true });
});

const visit = () => job("back", 0, async (signal) => {
  const answer = await fetch(location.pathname + location.search, { headers: { Accept: "text/html" }, signal });
  show(new DOMParser().parseFromString(await answer.text(), "text/html"));
});
// A link within the page moves its place alone: nothing that is being typed is fetched anew.
addEventListener("popstate", () => location.search === shown || visit());

dress();
for (const name of location.search ? [] : kept) {
  const chosen = document.querySelector(`[name=${name}][value="${CSS.escape(localStorage.getItem(name) || "")}"]`);
  if (chosen && !chosen.checked) {
    chosen.checked = true;
    if (name === "lengths") convert(chosen.value);
  }
}
