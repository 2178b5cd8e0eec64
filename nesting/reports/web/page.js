"use strict";
// Ticks: kept in this browser by the plan's fingerprint; the first pass without all its ticks is shown above and lit.
(() => {
  const root = document.documentElement;
  const key = "nesting-ticks-" + root.dataset.plan;
  const lookKey = "nesting-look";
  const all = (where, what) => Array.from(where.querySelectorAll(what));
  const byId = (id) => document.getElementById(id);
  const boxes = all(document, "input[type=checkbox]");
  const passes = all(document, "li.pass");
  const papers = all(document, "section.paper");
  let order = [];   // ids ticked, oldest first
  let shown = 0;    // number of the paper looked at
  let keeps = true;

  const read = (name) => { try { return localStorage.getItem(name); } catch { return null; } };
  const write = (name, text) => { try { localStorage.setItem(name, text); return true; } catch { return false; } };
  const inside = (item) => all(item, "input[type=checkbox]");
  const isDone = (item) => inside(item).every((box) => box.checked);

  function load() {
    let known = [];
    try { known = JSON.parse(read(key) || "[]"); } catch { known = []; }
    const ids = new Set(boxes.map((box) => box.id));
    order = Array.isArray(known) ? known.filter((id) => ids.has(id)) : [];
    const ticked = new Set(order);
    for (const box of boxes) box.checked = ticked.has(box.id);
  }

  function keep() {
    if (write(key, JSON.stringify(order)) === keeps) return;
    keeps = !keeps;
    byId("kept").hidden = keeps;
  }

  function passesOf(number) { return passes.filter((item) => Number(item.dataset.paper) === number); }
  function nextOf(number) { return passesOf(number).find((item) => !isDone(item)); }

  function show(number) {
    shown = number;
    papers.forEach((section, place) => { section.hidden = place !== number; });
    all(document, ".papers button").forEach((button, place) => {
      button.setAttribute("aria-current", place === number ? "true" : "false");
    });
  }

  function light(next) {
    for (const item of passes) {
      item.classList.toggle("done", isDone(item));
      item.classList.toggle("next", item === next);
      if (item === next) item.setAttribute("aria-current", "step"); else item.removeAttribute("aria-current");
    }
    for (const mark of all(document, "g.mark")) {
      const item = byId(mark.dataset.pass);
      mark.classList.toggle("lit", item === next);
      mark.classList.toggle("done", isDone(item));
    }
    for (const figure of all(document, "figure.map")) {
      const lit = Boolean(figure.querySelector("g.mark.lit"));
      const frame = figure.querySelector(".frame");
      frame.classList.toggle("lit", lit);
      figure.classList.toggle("idle", Boolean(next) && !lit && Number(next.dataset.paper) === Number(figure.dataset.paper));
      for (const sign of all(figure, "g.disc, g.lead")) {
        sign.classList.toggle("called", lit && sign.dataset.stop === next.dataset.stop);
      }
    }
  }

  function tell(next, aloud) {
    const mine = passesOf(shown);
    const left = mine.filter((item) => !isDone(item)).length;
    const paper = papers.length ? papers[shown].dataset.name : "";
    const facts = byId("now-facts");
    facts.replaceChildren();
    let words;
    if (next) {
      facts.append(...Array.from(next.querySelector(".facts").cloneNode(true).childNodes));
      const open = inside(next).filter((box) => !box.checked);
      const several = inside(next).length > 1 ? open[0].dataset.say : "";
      byId("now-stack").textContent = several ? several + " · " : "";
      byId("now-count").textContent = "pass " + (mine.indexOf(next) + 1) + " of " + mine.length;
      words = "Next: " + paper + ", " + (several ? several + ", " : "") + next.dataset.say;
    } else {
      const other = papers.findIndex((section, place) => place !== shown && nextOf(place));
      byId("now-stack").textContent = "";
      byId("now-count").textContent = mine.length + " of " + mine.length + " passes done";
      words = mine.length ? "All passes of " + paper + " are done." : paper + " needs no cut.";
      if (other >= 0) words += " Next paper: " + papers[other].dataset.name + ".";
      facts.textContent = words;
    }
    byId("now-paper").textContent = paper;
    const wait = !next && papers.findIndex((section, place) => nextOf(place)) < 0;
    byId("tick").textContent = next ? "Done, show the next" : wait ? "All papers are cut" : "Go to the next paper";
    byId("tick").disabled = wait;
    byId("back").disabled = !order.length;
    if (aloud) byId("aloud").textContent = words;
    all(document, ".papers button").forEach((button, place) => {
      const open = passesOf(place).filter((item) => !isDone(item)).length;
      button.querySelector(".left").textContent = open ? open + " left" : "done";
    });
    return left;
  }

  function refresh(aloud) {
    const next = nextOf(shown);
    light(next);
    for (const item of all(document, "li.once")) item.classList.toggle("done", isDone(item));
    tell(next, aloud);
  }

  function set(box, on) {
    box.checked = on;
    order = order.filter((id) => id !== box.id);
    if (on) order.push(box.id);
  }

  function ticked(box) {
    set(box, box.checked);
    keep();
    const item = box.closest("li.pass");
    if (item && Number(item.dataset.paper) !== shown) show(Number(item.dataset.paper));
    refresh(true);
  }

  function intoView(item) {
    if (!item) return;
    const list = item.getBoundingClientRect();
    if (list.top < byId("now").offsetHeight || list.bottom > innerHeight) item.scrollIntoView({ block: "nearest" });
  }

  function forward() {
    const next = nextOf(shown);
    if (next) {
      set(inside(next).find((box) => !box.checked), true);
      keep();
      refresh(true);
      intoView(matchMedia("(min-width: 60rem)").matches ? nextOf(shown) : null);
      return;
    }
    const other = papers.findIndex((section, place) => nextOf(place));
    if (other >= 0) {
      show(other);
      refresh(true);
    }
  }

  function back() {
    const box = byId(order[order.length - 1]);
    if (!box) return;
    set(box, false);
    keep();
    const item = box.closest("li.pass");
    if (item) show(Number(item.dataset.paper));
    refresh(true);
  }

  function isDark() {
    return root.dataset.look ? root.dataset.look === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
  }

  function look(name) {
    if (name) root.dataset.look = name;
    byId("look").setAttribute("aria-pressed", String(isDark()));
  }

  function arrows(event) {
    const box = event.target;
    if (!(box instanceof HTMLInputElement) || box.type !== "checkbox") return;
    if (event.key === "Enter") {
      event.preventDefault();
      box.click();
      return;
    }
    const step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    event.preventDefault();
    const seen = boxes.filter((other) => other.offsetParent !== null);
    const target = seen[seen.indexOf(box) + step];
    if (target) target.focus();
  }

  for (const box of boxes) box.addEventListener("change", () => ticked(box));
  document.addEventListener("keydown", arrows);
  byId("tick").addEventListener("click", forward);
  byId("back").addEventListener("click", back);
  byId("look").addEventListener("click", () => {
    look(isDark() ? "light" : "dark");
    write(lookKey, root.dataset.look);
  });
  byId("anew").addEventListener("click", () => {
    if (!confirm("Take away all ticks on this page?")) return;
    order = [];
    for (const box of boxes) box.checked = false;
    keep();
    show(0);
    refresh(true);
  });
  all(document, ".papers button").forEach((button, place) => button.addEventListener("click", () => {
    show(place);
    refresh(true);
    byId("ways").open = false;
  }));
  for (const button of all(document, "figure button")) {
    button.addEventListener("click", () => {
      const large = button.closest("figure").querySelector(".frame").classList.toggle("large");
      button.setAttribute("aria-pressed", String(large));
    });
  }
  for (const item of all(document, ".needs-script")) item.hidden = false;
  new ResizeObserver(() => root.style.setProperty("--now-high", byId("now").offsetHeight + "px")).observe(byId("now"));
  load();
  const saved = read(lookKey);
  look(saved === "dark" || saved === "light" ? saved : "");
  show(Math.max(papers.findIndex((section, place) => nextOf(place)), 0));
  refresh(false);
})();
