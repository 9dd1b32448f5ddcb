// What scripts add to pages that work without them: answers are kept as they are
// given, the time left counts down, and figures are answered where they are drawn.
// The form's own controls are the answer; figures only set them.
"use strict";
(() => {
  const $ = (sel, root = document) => root.querySelector(sel);
  const $$ = (sel, root = document) => [...root.querySelectorAll(sel)];

  // The server's clock decides; ours only shows how long it is until then.
  for (const clock of $$("[data-deadline]")) {
    const skew = Date.now() - Number(clock.dataset.now), until = Number(clock.dataset.deadline);
    const left = $("[data-left]", clock);
    const show = () => {
      const s = Math.floor((until + skew - Date.now()) / 1000);
      left.textContent = s <= 0 ? "time is up" : s < 120 ? s + " s left" : Math.floor(s / 60) + " min left";
      if (s <= 0) { clearInterval(timer); setTimeout(() => location.reload(), 1500); }
    };
    const timer = setInterval(show, 1000);
    show();
  }

  // A page that the server could not give asks for itself again.
  const later = $("[data-again]");
  if (later) {
    later.textContent = "This page asks again by itself.";
    setTimeout(() => location.reload(), 5000);
  }

  const form = $("[data-sheet]");
  if (!form || form.hasAttribute("data-fixed")) return;
  const kind = form.dataset.kind, say = $("[data-kept]", form), revision = form.elements.revision;
  const opened = Date.now();
  let stored = JSON.stringify(answer()), saving = false, again = false, wait = 0;

  // answer reads the controls into the answer that the JSON face takes.
  function answer() {
    const a = {}, chosen = $$("input[name=option]:checked", form).map(i => i.value);
    if (kind === "match") {
      const rows = {};
      for (const s of $$("select[name^='row.']", form)) if (s.value) rows[s.name.slice(4)] = s.value;
      if (Object.keys(rows).length) a.rows = rows;
    } else if (kind === "order" || kind === "sequence") {
      const placed = places().filter(p => p.at).sort((x, y) => x.at - y.at).map(p => p.id);
      if (placed.length) a.options = placed;
    } else {
      if (chosen.length) a.options = chosen;
      const n = form.elements.number;
      if (kind === "numeric" && n.value.trim()) a.number = n.value.trim();
    }
    return a;
  }
  function places() {
    return $$("select[name^='place.']", form).map(s => ({ id: s.name.slice(6), at: Number(s.value), select: s }));
  }
  const twice = () => {
    const at = places().map(p => p.at).filter(Boolean);
    return new Set(at).size !== at.length;
  };

  // save sends what is not yet kept. "Kept" is said only when the server has
  // acknowledged; a save that fails is sent again, later and later.
  async function save() {
    if (saving) { again = true; return; }
    const now = answer(), text = JSON.stringify(now);
    if (text === stored) { form.dataset.state = "kept"; return; }
    form.dataset.state = "open";
    if (twice()) { say.textContent = "Not kept: one place is given twice"; return; }
    saving = true;
    say.textContent = "Keeping …";
    const mine = Number(revision.value) + 1;
    try {
      const r = await fetch(form.dataset.save, { method: "PUT", headers: { "Content-Type": "application/json" }, keepalive: true,
        body: JSON.stringify({ revision: mine, answer: now, millis: Math.min(Date.now() - opened, 86400000) }) });
      const body = await r.json();
      if (r.ok) {
        revision.value = body.revision;
        stored = text; wait = 0;
        if (JSON.stringify(answer()) === text) form.dataset.state = body.applied ? "kept" : "stale";
        say.textContent = body.applied ? "Kept " + new Date(body.kept_at).toTimeString().slice(0, 8) : "Not kept: a newer answer of yours stands. Load the sheet again.";
      } else if (r.status === 409 || r.status === 401) {
        location.reload();
      } else if (r.status === 422) {
        wait = 0;
        say.textContent = "Not kept: " + (body.detail || "it cannot be read");
      } else throw new Error(r.status);
    } catch {
      wait = Math.min((wait || 1000) * 2, 30000);
      say.textContent = "Not kept yet. Trying again …";
      setTimeout(save, wait);
    }
    saving = false;
    if (again) { again = false; save(); }
  }
  let typing;
  form.addEventListener("change", save);
  form.addEventListener("input", e => {
    if (e.target.name !== "number") return;
    clearTimeout(typing);
    typing = setTimeout(save, 500);
  });
  // A number excludes the other answer, and the other way round.
  if (kind === "numeric") form.addEventListener("input", e => {
    if (e.target.name === "number" && e.target.value) $$("input[name=option]", form).forEach(o => { o.checked = false; });
    if (e.target.name === "option" && e.target.checked) form.elements.number.value = "";
  });

  if (kind !== "order" && kind !== "sequence") return;

  // Orders: take one after the other; take the last one back.
  const set = $("[data-order]", form);
  const text = id => $(`.row[data-option="${id}"] .text`, set).textContent;
  const order = () => places().filter(p => p.at).sort((x, y) => x.at - y.at);
  const live = document.createElement("p");
  live.className = "vh";
  live.setAttribute("aria-live", "polite");
  set.append(live);

  function put(ids) {
    for (const p of places()) p.select.value = ids.indexOf(p.id) + 1 || "";
    draw();
    save();
  }
  function take(id) {
    const ids = order().map(p => p.id), i = ids.indexOf(id);
    if (i >= 0) { ids.splice(i, 1); live.textContent = text(id) + ": taken back"; }
    else { ids.push(id); live.textContent = text(id) + ": number " + ids.length; }
    put(ids);
  }
  function button(label, act) {
    const b = document.createElement("button");
    b.type = "button"; b.textContent = label;
    b.addEventListener("click", act);
    return b;
  }
  const bar = document.createElement("p");
  bar.className = "buttons";
  bar.append(button("Take the last one back", () => put(order().map(p => p.id).slice(0, -1))), button("Start again", () => put([])));

  let draw;
  if (kind === "sequence") {
    // Tap the drawn fasteners in the order of tightening; each shows its number.
    const spots = $$(".figure [data-option]", form);
    for (const g of spots) {
      g.setAttribute("role", "button");
      g.setAttribute("tabindex", "0");
      g.addEventListener("click", () => take(g.dataset.option));
      g.addEventListener("keydown", e => { if (e.key === "Enter" || e.key === " ") { e.preventDefault(); take(g.dataset.option); } });
    }
    draw = () => {
      const ids = order().map(p => p.id);
      for (const g of spots) {
        const n = ids.indexOf(g.dataset.option) + 1;
        $(".place", g).textContent = n || "";
        g.classList.toggle("done", n > 0);
        g.setAttribute("aria-label", text(g.dataset.option) + (n ? ", number " + n : ", not yet tightened"));
      }
    };
    set.querySelector("legend").textContent = "Tap the fasteners on the drawing in the order in which you would tighten them.";
  } else {
    // Put the layers in one by one: what is left lies in the tray.
    const tray = document.createElement("ul"), taken = document.createElement("ol"), bore = $(".figure [data-bore]", form);
    tray.className = "tray"; taken.className = "taken";
    set.append(taken, tray);
    draw = () => {
      const ids = order().map(p => p.id), all = places();
      const had = document.activeElement && document.activeElement.dataset ? document.activeElement.dataset.take : "";
      taken.replaceChildren(...all.map((_, i) => {
        const li = document.createElement("li");
        if (!ids[i]) { li.className = "free"; li.textContent = i === ids.length ? "next" : ""; return li; }
        const svg = $(`.row[data-option="${ids[i]}"] svg`, set), t = document.createElement("span");
        if (svg) li.append(svg.cloneNode(true));
        t.textContent = text(ids[i]);
        const b = button("Take out", () => take(ids[i]));
        b.className = "plain"; b.setAttribute("aria-label", "Take out " + text(ids[i]));
        li.append(t, b);
        return li;
      }));
      tray.replaceChildren(...all.filter(p => !ids.includes(p.id)).map(p => {
        const li = document.createElement("li"), b = button("", () => take(p.id)), svg = $(`.row[data-option="${p.id}"] svg`, set), t = document.createElement("span");
        if (svg) b.append(svg.cloneNode(true));
        t.textContent = text(p.id);
        b.append(t); b.dataset.take = p.id;
        li.append(b);
        return li;
      }));
      if (had) ($(`[data-take="${had}"]`, tray) || $("button", tray) || $("button", bar)).focus();
      if (bore) for (const slot of $$("[data-slot]", bore)) {
        const id = ids[Number(slot.dataset.slot) - 1], svg = id && $(`.row[data-option="${id}"] svg [data-part]`, set);
        slot.replaceChildren(...(svg ? [svg.cloneNode(true)] : []));
      }
    };
    set.querySelector("legend").textContent = "Take them one after the other, the first one first.";
  }
  set.append(bar);
  set.classList.add("figured");
  draw();
})();
