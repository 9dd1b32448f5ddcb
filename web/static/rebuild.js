// What scripts add to the assessor's sheet: each place is kept as it is written, and
// the way and the wrench of one fastener are proposed for those after it. "Kept" is
// said only when the server has acknowledged; until then it is sent again.
"use strict";
(() => {
  const form = document.querySelector("[data-rebuild]");
  if (!form) return;
  const $$ = (sel, root = form) => [...root.querySelectorAll(sel)];
  const all = form.querySelector("[data-all]");
  const bare = /^[+\-−]?[0-9]+([.,][0-9]+)?$/;
  const unit = (value, u) => value && u && bare.test(value) ? value + " " + u : value;

  // entry reads the controls of a place into the entry that the JSON face takes.
  function entry(place) {
    const e = {}, near = sel => { const s = place.closest(".joint"); const u = s && s.querySelector(sel); return u ? u.value : ""; };
    for (const c of $$("[data-f]", place)) {
      const f = c.dataset.f, v = c.value.trim();
      if (c.type === "radio" || c.type === "checkbox") { if (c.checked) e[f] = c.type === "radio" ? v : true; continue; }
      if (f === "reading") { (e.readings ||= []).push(unit(v, c.dataset.unit)); continue; }
      if (!v) continue;
      if (f === "angle") e.angle = unit(v, near("[data-angle-unit]"));
      else if (f === "value") e.value = unit(v, c.dataset.unit || near("[data-unit]"));
      else e[f] = unit(v, c.dataset.unit);
    }
    if (e.outcome !== "not applicable") delete e.condition;
    const only = place.querySelector("input[type=hidden][data-f=as]");
    if (only && !e.value && !e.reached && !e.note) delete e.as;
    return e;
  }

  const places = new Map();
  for (const el of $$("[data-place]")) places.set(el, { stored: JSON.stringify(entry(el)), busy: false, again: false, wait: 0, timer: 0 });
  const open = () => [...places.values()].filter(s => s.open).length;
  const tell = () => { const n = open(); all.textContent = n ? n + (n === 1 ? " place" : " places") + " not kept yet" : "All kept"; };

  async function save(el) {
    const s = places.get(el), say = el.querySelector("[data-kept]"), fault = el.querySelector("[data-fault]"), rev = el.querySelector("[data-rev]");
    if (s.busy) { s.again = true; return; }
    const now = entry(el), text = JSON.stringify(now);
    if (text === s.stored) { s.open = false; tell(); return; }
    s.busy = s.open = true;
    say.textContent = "Keeping …";
    tell();
    try {
      const r = await fetch(form.dataset.rebuild + el.dataset.place, { method: "PUT", headers: { "Content-Type": "application/json" }, keepalive: true,
        body: JSON.stringify({ revision: Number(rev.value) + 1, entry: now }) });
      const body = await r.json();
      if (r.ok) {
        rev.value = body.revision;
        s.wait = 0;
        if (body.applied || body.same) {
          s.stored = text;
          s.open = false;
          say.textContent = "Kept " + new Date(body.kept_at).toTimeString().slice(0, 8);
          fault.textContent = body.fault ? "✗ " + body.fault : "";
        } else say.textContent = "Not kept: a newer entry stands. Load the step again.";
      } else if (r.status === 409 || r.status === 401 || r.status === 403) {
        location.reload();
      } else if (r.status === 422) {
        say.textContent = "Not kept: " + (body.detail || "it cannot be read");
      } else throw new Error(r.status);
    } catch {
      s.wait = Math.min((s.wait || 1000) * 2, 30000);
      say.textContent = "Not kept yet. Trying again …";
      clearTimeout(s.timer);
      s.timer = setTimeout(() => save(el), s.wait);
    }
    s.busy = false;
    tell();
    if (s.again) { s.again = false; save(el); }
  }

  // down proposes a choice for the fasteners after this one that have no value yet.
  function down(control) {
    const list = $$(".place", control.closest(".joint"));
    for (const el of list.slice(list.indexOf(control.closest(".place")) + 1)) {
      const value = el.querySelector("[data-f=value]"), same = el.querySelector(`[data-f=${control.dataset.f}]`);
      if (value && !value.value && same) same.value = control.value;
    }
  }

  form.addEventListener("change", e => {
    const place = e.target.closest("[data-place]");
    if (e.target.matches("[data-down]")) down(e.target);
    if (place) save(place);
    else if (e.target.matches("[data-unit], [data-angle-unit]")) for (const el of $$(".place", e.target.closest(".joint"))) save(el);
  });
})();
