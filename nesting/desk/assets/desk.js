// The page's script: asks how the plan stands, sends what is typed to the reader and shows its sentences, saves.
// Nothing is reckoned here; every number and every drawing comes from the program.
"use strict";

const $ = (what, where = document) => where.querySelector(what);
const $$ = (what, where = document) => [...where.querySelectorAll(what)];

async function ask(address, said) {
  const headers = { "X-Desk": "script" };
  const body = JSON.stringify(said);
  const options = said === undefined ? { headers } : {
    method: "POST", keepalive: body.length < 30000, headers: { ...headers, "Content-Type": "application/json" }, body,
  };
  const answer = await fetch(address, options);
  const data = answer.headers.get("Content-Type")?.startsWith("application/json") ? await answer.json() : null;
  if (answer.status === 403) throw new Error("refused");
  return { code: answer.status, data };
}

// ------------------------------------------------------------------------------------- how the plan stands

const body = document.body;
let known = body.dataset.mark;
let mine = 0; // so many saves of this page are under way: the files change because of them
let saves = 0; // so many times; an answer asked for before the last one is old news
let lost = 0;

function notice(words, label, doing) {
  const place = $("#notice");
  place.replaceChildren(words);
  if (label) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = label;
    button.addEventListener("click", doing);
    place.append(" ", button);
  }
  place.hidden = false;
}

// Show the page anew; what it was about may be gone.
async function again() {
  const there = await fetch(location.href, { headers: { "X-Desk": "script" } });
  if (there.ok) location.reload();
  else location.assign("/");
}

async function refresh(turn) {
  for (const part of $$("[data-live]")) {
    if (part.dataset.turn === String(turn)) continue;
    const answer = await fetch(part.dataset.live, { headers: { "X-Desk": "script" } });
    if (!answer.ok) continue;
    const inside = part.contains(document.activeElement) && document.activeElement.closest("a, [tabindex]");
    const before = inside && inside.getAttribute("href");
    part.innerHTML = await answer.text();
    part.dataset.turn = String(turn);
    if (before) $(`a[href="${CSS.escape(before)}"]`, part)?.focus();
  }
}

function showState(state) {
  const words = $("#progress-words");
  const said = state.busy ? `Planning: ${state.sentence}` : "";
  if (words.textContent !== said) words.textContent = said;
  $("#progress").dataset.busy = state.busy ? "yes" : "";
  $("#stop").hidden = !state.stoppable || !state.busy || state.stopped;
  for (const [id, what] of [["#undo", state.undo], ["#redo", state.redo]]) {
    $(id).disabled = !what;
    $(id).title = what;
  }
}

async function poll() {
  let wait = 1500;
  try {
    const before = saves;
    const { data } = await ask("/state");
    if (before !== saves) throw new Error("old news");
    if (lost) { $("#notice").hidden = true; lost = 0; }
    showState(data);
    if (data.mark !== known && !mine) {
      if ($$("form[data-form]").some(dirty)) {
        notice("The files were changed outside of this page.", "Show them as they are now", () => location.reload());
        known = data.mark;
      } else {
        return again();
      }
    }
    if (String(data.turn) !== body.dataset.turn) {
      body.dataset.turn = String(data.turn);
      await refresh(data.turn);
    }
    wait = data.busy ? 200 : 1500;
  } catch (wrong) {
    lost += wrong.message === "old news" ? 0 : 1;
    if (lost > 1) notice("The desk does not answer. Start it again with “nesting desk”; what was saved is safe.");
  }
  setTimeout(poll, wait);
}

// ------------------------------------------------------------------------------------- forms

const value = (field) => field.type === "checkbox" ? (field.checked ? "yes" : "") : field.value;

function first(form) {
  for (const field of $$("[data-field], [data-key]", form)) field.dataset.first ??= value(field);
}

function rowsOf(form) {
  if (!$("#parts", form)) return null;
  return $$("[data-row]", form).map((row) => {
    const said = { was: row.dataset.was };
    for (const field of $$("[data-key]", row)) said[field.dataset.key] = value(field);
    return said;
  });
}

function rowsDirty(form) {
  if (!$("#parts", form)) return false;
  return form.dataset.dropped === "yes" || $$("[data-row]", form).some((row) =>
    row.dataset.was === "" || $$("[data-key]", row).some((field) => value(field) !== field.dataset.first));
}

function dirty(form) {
  return rowsDirty(form) || $$("[data-field]", form).some((field) => value(field) !== field.dataset.first);
}

function editOf(form) {
  const all = "fresh" in form.dataset;
  const fields = {};
  for (const field of $$("[data-field]", form)) {
    if (all || value(field) !== field.dataset.first) fields[field.name] = value(field);
  }
  const name = form.dataset.name ?? $("[name=name]", form)?.value ?? "";
  const edit = { what: form.dataset.form, name, fields, seen: JSON.parse(form.dataset.seen) };
  if (rowsDirty(form)) edit.rows = rowsOf(form);
  return edit;
}

function sentence(problem) {
  return `${problem.what} ${problem.todo}`;
}

function place(form, subject) {
  const field = $(`[data-subject="${CSS.escape(subject)}"]`, form);
  if (field) return [field, $("input, select, textarea", field), $(".wrong", field)];
  for (const row of $$("[data-row]", form)) {
    const said = `design “${form.dataset.name}”, ${$("[data-key=kind]", row).value} “${$("[data-key=name]", row).value}”`;
    if (subject === said || subject.startsWith(`${said}, `)) {
      const key = { smaller_by: "amount", border: "amount", size: "amount" }[subject.slice(said.length + 2)]
        ?? subject.slice(said.length + 2);
      return [row, key ? $(`[data-key="${CSS.escape(key)}"]`, row) : $("[data-key=amount]", row), $("[data-wrong]", row)];
    }
  }
  return null;
}

function showProblems(form, problems) {
  for (const field of $$("[aria-invalid]", form)) field.removeAttribute("aria-invalid");
  for (const words of $$(".wrong", form)) words.textContent = "";
  const rest = [];
  for (const problem of problems) {
    const found = place(form, problem.subject);
    if (!found || !found[2]) { rest.push(problem); continue; }
    found[1]?.setAttribute("aria-invalid", "true");
    found[2].textContent = `${found[2].textContent} ${sentence(problem)}`.trim();
  }
  const list = $("[data-problems]", form);
  const words = rest.map((one) => {
    const where = [one.file && one.line ? `${one.file}, line ${one.line}` : one.file, one.subject].filter(Boolean).join(": ");
    return `${where}${where ? ": " : ""}${sentence(one)}`;
  });
  if (list) {
    list.replaceChildren(...words.map((text) => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    }));
  } else if (words.length) {
    const spot = $(".form-end [data-wrong], [data-wrong]", form);
    if (spot) spot.textContent = words.join(" ");
  }
}

let asked = 0;
async function check(form) {
  const number = ++asked;
  const began = performance.now();
  const { code, data } = await ask("/check", editOf(form));
  if (number !== asked || !data) return;
  const problems = code === 200 ? data.problems : data.problems.map((what) => ({ what, todo: "", subject: "" }));
  showProblems(form, problems);
  const spot = $("[data-drawing]", form);
  if (spot && data.drawing) spot.innerHTML = data.drawing;
  spot?.classList.toggle("old", problems.length > 0 && !data.drawing);
  const stale = $("#stale", form);
  if (stale) stale.hidden = !(problems.length > 0 && !data.drawing);
  form.dataset.checked = String(number);
  form.dataset.took = String(Math.round(performance.now() - began));
}

const timers = new Map();
function soon(key, doing, wait) {
  clearTimeout(timers.get(key));
  timers.set(key, setTimeout(doing, wait));
}

// What was sent is saved; what was typed since is not.
function settle(sent, data) {
  for (const other of $$("form[data-seen]")) other.dataset.seen = JSON.stringify(data.seen);
  for (const [field, said] of sent) field.dataset.first = said;
  known = data.mark;
  showState({ busy: false, sentence: "", ...data, stoppable: false });
}

// One save after the other; a form that saves by itself does so only what is right.
let saving = Promise.resolve();
function save(form, how = {}) {
  mine += 1;
  saving = saving.then(() => send(form, how)).finally(() => { mine -= 1; });
  return saving;
}

async function send(form, how) {
  const instant = "instant" in form.dataset;
  if (instant && !dirty(form)) return;
  mine += 1;
  saves += 1;
  try {
    const sent = new Map($$("[data-field], [data-key]", form).map((field) => [field, value(field)]));
    const edit = { ...editOf(form), ...how, onlyRight: instant };
    const { code, data } = await ask("/save", edit);
    if (code === 409) return both(form, data.conflict);
    if (code === 422) return showProblems(form, data.fresh);
    if (code !== 200) return showProblems(form, data.problems.map((what) => ({ what, todo: "", subject: "" })));
    const rows = edit.rows !== undefined;
    settle(sent, data);
    if (form.dataset.then || rows) leaving = true; // what is saved needs no question at the door
    if (form.dataset.then) return location.assign(form.dataset.then + encodeURIComponent(edit.fields.to ?? edit.name));
    const said = data.problems.length ? "Saved, with something to mend." : "Saved.";
    if (rows) {
      sessionStorage.setItem("saved", JSON.stringify([form.dataset.form, form.dataset.name, said]));
      return away || location.reload();
    }
    const words = $(".saved", form);
    if (words) words.textContent = said;
    showProblems(form, instant ? [] : data.problems);
  } catch (wrong) {
    notice("The desk does not answer; nothing was saved.");
  } finally {
    mine -= 1;
    saves += 1;
  }
}

function both(form, html) {
  const dialog = $("#both");
  dialog.innerHTML = html;
  $("[data-over]", dialog).addEventListener("click", () => { dialog.close(); save(form, { over: true }); });
  $("[data-leave]", dialog).addEventListener("click", () => { leaving = true; location.reload(); });
  $("[data-close]", dialog).addEventListener("click", () => dialog.close());
  dialog.showModal();
}

let away = false; // somebody is on the way to another page
document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href]");
  if (link && !link.download && !link.target && !event.ctrlKey && !event.metaKey && !event.shiftKey) away = true;
}, true);

// Whoever goes at once loses nothing: what waits for its save is sent now, over a save that may be on its way.
function sendWhatWaits() {
  for (const form of $$("form[data-instant]")) {
    clearTimeout(timers.get(form));
    send(form, { over: true });
  }
}
addEventListener("pagehide", sendWhatWaits);

let leaving = false;
addEventListener("beforeunload", (event) => {
  if (!leaving && !mine && $$("form[data-form]").some((form) => !("fresh" in form.dataset) && !("instant" in form.dataset) && dirty(form))) {
    event.preventDefault();
  }
  sendWhatWaits();
});

const [savedForm, savedName, savedWords] = JSON.parse(sessionStorage.getItem("saved") ?? "[]");
sessionStorage.removeItem("saved");

for (const form of $$("form[data-form]")) {
  first(form);
  if (form.dataset.form === savedForm && form.dataset.name === savedName) $(".saved", form).textContent = savedWords;
  form.addEventListener("input", () => {
    if ($(".saved", form)) $(".saved", form).textContent = "";
    if ("instant" in form.dataset) soon(form, () => save(form), 200);
    else if ("check" in form.dataset) soon(form, () => check(form), 90);
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    clearTimeout(timers.get(form));
    save(form);
  });
}

document.addEventListener("click", async (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.wait) setTimeout(() => { button.disabled = true; button.textContent = button.dataset.wait; }, 0);
  const form = button.closest("form");
  if (button.dataset.step) {
    const field = $("input", button.parentElement);
    field.value = String(Math.max(0, (parseInt(field.value, 10) || 0) + Number(button.dataset.step)));
    field.dispatchEvent(new Event("input", { bubbles: true }));
  } else if (button.id === "add-part") {
    const row = $("#new-part").content.cloneNode(true);
    $("#parts").append(row);
    const added = $("#parts").lastElementChild;
    for (const field of $$("[data-key]", added)) field.dataset.first = "";
    $("[data-key=name]", added).focus();
  } else if ("drop" in button.dataset) {
    const row = button.closest("[data-row]");
    const next = row.nextElementSibling ?? row.previousElementSibling;
    row.remove();
    form.dataset.dropped = "yes";
    ($("[data-key=name]", next ?? document) ?? $("#add-part")).focus();
    form.dispatchEvent(new Event("input", { bubbles: true }));
  } else if (button.dataset.takeOut) {
    const seen = JSON.parse(form.dataset.seen);
    const { code, data } = await ask("/save", { what: `no ${button.dataset.takeOut}`, name: form.dataset.name, seen });
    leaving = true;
    if (code === 200) location.assign(button.dataset.then);
    else if (code === 409) both(form, data.conflict);
    else showProblems(form, data.problems.map((what) => ({ what, todo: "", subject: "" })));
  } else if (button.id === "stop") {
    button.hidden = true;
    await ask("/stop", {});
  } else if (button.id === "undo" || button.id === "redo") {
    saves += 1;
    const { code, data } = await ask(`/${button.id}`, {});
    saves += 1;
    leaving = true;
    if (code === 200) await again();
    else notice(data.problems.join(" "));
  }
});

addEventListener("keydown", (event) => {
  const hot = $(`[data-hot="${event.key}"]`);
  if (hot && !hot.disabled && !event.target.closest("input, textarea, select") && !event.altKey && !event.repeat) {
    event.preventDefault();
    hot.click();
  }
  if ((event.ctrlKey || event.metaKey) && event.key === "s") {
    const form = document.activeElement?.closest("form[data-form]") ?? $("form[data-check]");
    if (form) { event.preventDefault(); form.requestSubmit(); }
  }
});

$("#new-family")?.addEventListener("change", (event) => {
  for (const words of $$("[data-family]")) words.hidden = words.dataset.family !== event.target.value;
});

function toLine() {
  const line = /^#line-(\d+)$/.exec(location.hash);
  const text = $("textarea#text");
  if (!line || !text) return;
  const lines = text.value.split("\n");
  const start = lines.slice(0, line[1] - 1).join("\n").length + (line[1] > 1 ? 1 : 0);
  text.focus();
  text.setSelectionRange(start, start + (lines[line[1] - 1] ?? "").length);
}
$("[data-focus]")?.focus({ preventScroll: true });
toLine();
addEventListener("hashchange", toLine);
setTimeout(poll, body.querySelector("#progress").dataset.busy ? 150 : 1000);
