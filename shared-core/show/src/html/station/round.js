// The round. Nothing that the page needs in order to work: without it each stop is sent by its button.
//
// With it each field is kept when it changes. What was typed stays on this device until the station
// says that it has it; the station gone and back costs nothing. What another phone enters appears by
// itself. The words beneath a line are the station's.
"use strict";

(() => {
  const round = document.getElementById("round");
  if (!round || !window.fetch) return;
  const CHECK = round.dataset.check;
  const PATH = `/check/${CHECK}`;
  const KEY = `sponson-check-${CHECK}`;
  const GAPS_MS = [1000, 2000, 4000, 8000, 15000]; // between tries while the station does not answer
  const GATHER_MS = 150; // news that comes together is one
  const ANSWER_MS = 20000; // a request without an answer is given up, and sent again
  const FAULTS = 100; // numbers of faults lie below
  document.documentElement.dataset.script = "on";

  const all = (css, root = document) => [...root.querySelectorAll(css)];
  const one = (css, root = document) => root.querySelector(css);
  const told = document.getElementById("told");
  const unsent = document.getElementById("unsent");

  // What this device has entered and the station does not have: field -> { text, draft, refused }.
  let waiting = {};
  const keep = () => {
    try {
      if (Object.keys(waiting).length) localStorage.setItem(KEY, JSON.stringify(waiting));
      else localStorage.removeItem(KEY);
    } catch {
      // Without room or leave to keep it, it stays as long as the page does.
    }
  };
  try {
    waiting = JSON.parse(localStorage.getItem(KEY) || "{}") || {};
  } catch {
    waiting = {};
  }

  let known = {}; // as the station has it: field -> text
  let entries = Number(round.dataset.entries) || 0;
  let sending = false;
  let tries = 0;
  let timer = null;
  let isLost = false;
  let isOver = false;

  const controls = (field) => all(`[name="${CSS.escape(field)}"]:not(button)`, round);
  const lineOf = (element) => element.closest("[data-line]");
  const valueOf = (field) => {
    const found = controls(field);
    if (found[0] && found[0].type === "radio") {
      const chosen = found.find((it) => it.checked);
      return chosen ? chosen.value : "";
    }
    return found[0] ? found[0].value.trim() : "";
  };
  const put = (field, text) => {
    for (const it of controls(field)) {
      if (it.type === "radio") it.checked = text !== "" && it.value === text;
      else if (it.value !== text) it.value = text;
    }
    for (const key of all(`button.key[name="${CSS.escape(field)}"]`, round)) {
      key.setAttribute("aria-pressed", String(text !== "" && key.value === text));
    }
    const line = field.endsWith(".left") && controls(field)[0] && lineOf(controls(field)[0]);
    if (line) line.classList.toggle("left-entered", text !== "");
  };

  // --- What is said ---

  const say = (text) => {
    if (told.textContent !== text) told.textContent = text;
  };
  const outstanding = () => Object.values(waiting).filter((it) => !it.refused && !it.draft).length;
  const sayUnsent = () => {
    const number = outstanding();
    const refused = Object.values(waiting).filter((it) => it.refused).length;
    const parts = [];
    if (isLost) parts.push("The station does not answer. Go on: what you enter stays on this device and is sent once it answers.");
    if (number && (isLost || tries)) parts.push(number === 1 ? "1 entry not at the station yet." : `${number} entries not at the station yet.`);
    if (refused) parts.push(refused === 1 ? "1 entry was not kept: it says why." : `${refused} entries were not kept: they say why.`);
    const text = parts.join(" ");
    if (unsent.textContent !== text) unsent.textContent = text;
    unsent.hidden = text === "";
  };

  const paragraph = (kind, text) => {
    const it = document.createElement("p");
    it.className = kind;
    it.textContent = text;
    return it;
  };
  const askedBack = (asked) => {
    const it = document.createElement("div");
    it.className = "asked";
    const text = document.createElement("p");
    const strong = document.createElement("strong");
    strong.textContent = "Asked back: ";
    text.append(strong, asked.text);
    it.append(text);
    if (asked.affirm && one("input[name=token]", round)) {
      const key = document.createElement("button");
      key.className = "key";
      key.name = asked.affirm;
      key.value = "yes";
      key.textContent = "That is right";
      it.append(key);
    }
    return it;
  };
  const notKept = (field, { why, stand_by: standBy }) => {
    const it = document.createElement("div");
    it.className = "fault";
    it.append(paragraph("", `Not kept. ${why}`));
    if (standBy) {
      const key = document.createElement("button");
      key.className = "key";
      key.name = standBy;
      key.value = "yes";
      key.dataset.with = field;
      key.textContent = "That is right";
      it.append(key);
    }
    return it;
  };
  const refusals = new Map(); // field -> { why, stand_by }
  let lines = null; // as the station last said; none until it has
  const sayLine = (line) => {
    const said = one(":scope > .said", line) || one(".said", line);
    if (!said) return;
    const name = line.dataset.line;
    const fresh = document.createDocumentFragment();
    for (const [field, why] of refusals) {
      const at = controls(field)[0];
      if (at && lineOf(at) === line) fresh.append(notKept(field, why));
    }
    if (lines) {
      const state = lines[name] || {};
      for (const text of state.figures || []) fresh.append(paragraph("figure", text));
      for (const asked of state.asked || []) fresh.append(askedBack(asked));
      if (state.by) fresh.append(paragraph("by", state.by));
    } else {
      for (const old of [...said.children]) if (!old.classList.contains("fault")) fresh.append(old);
    }
    const holder = document.createElement("div");
    holder.append(fresh);
    if (holder.innerHTML !== said.innerHTML) said.replaceChildren(...holder.childNodes);
  };
  const sayLines = () => all("[data-line]", round).forEach(sayLine);

  // --- How far it is ---

  const has = (field) => {
    const mine = waiting[field];
    if (mine && mine.refused) return Boolean(known[field]);
    return mine ? mine.text !== "" : valueOf(field) !== "" || Boolean(known[field]);
  };
  const proves = (line) => (line.dataset.proving || "").split("\n").filter(Boolean);
  const count = () => {
    let done = 0;
    let of = 0;
    for (const stop of all(".stop[data-stop]", round)) {
      let here = 0;
      let total = 0;
      for (const line of all(".line[data-proving]", stop)) {
        const fields = all("[name]", line).map((it) => it.name);
        let looked = proves(line).some(has);
        const bag = line.closest("details[data-sealed]");
        if (bag && !all("[name]:not(button)", bag).some((it) => has(it.name))) continue;
        const behind = line.nextElementSibling;
        if (!looked && behind && behind.matches("details[data-sealed]")) {
          looked = all("[name]:not(button)", behind).some((it) => has(it.name));
        }
        const waits = fields.some((field) => field in waiting && !waiting[field].draft);
        line.dataset.state = waits ? "waits" : looked ? "done" : "open";
        total += 1;
        here += looked ? 1 : 0;
      }
      for (const it of all(`[data-stop-count="${CSS.escape(stop.dataset.stop)}"]`)) it.textContent = words(here, total);
      done += here;
      of += total;
    }
    for (const it of all("[data-all-count]")) it.textContent = words(done, of);
  };
  const words = (done, of) => `${done} of ${of} ${of === 1 ? "line" : "lines"}`;

  const stops = all(".stop[data-stop]", round);
  const at = document.getElementById("at");
  const next = document.getElementById("next");
  let here = -1;
  const place = () => {
    if (!at || !next) return;
    const mark = window.innerHeight * 0.4;
    let found = 0;
    stops.forEach((stop, index) => {
      if (stop.getBoundingClientRect().top < mark) found = index;
    });
    if (window.scrollY + window.innerHeight >= document.documentElement.scrollHeight - 4) found = stops.length - 1;
    if (found === here) return;
    here = found;
    const last = stops.length - 1; // the end is no stop
    at.hidden = false;
    at.textContent = here === last ? "The end" : `Stop ${here + 1} of ${last}`;
    const then = stops[Math.min(here + 1, last)];
    next.hidden = here === last;
    next.href = `#${then.id}`;
    next.textContent = then.id === "end" ? "To the end" : `Next: ${one("h2", then).textContent}`;
  };
  const go = (id) => {
    const stop = document.getElementById(id);
    if (!stop) return;
    history.replaceState(null, "", `#${id}`);
    stop.scrollIntoView();
    const head = one("h2", stop);
    if (head) head.focus({ preventScroll: true });
  };

  // --- To the station and from it ---

  const token = () => (one("input[name=token]", round) || {}).value;

  const take = (state) => {
    if (state.over) return over();
    if (typeof state.entries !== "number" || state.entries < entries) return;
    entries = state.entries;
    known = state.fields;
    lines = state.lines;
    const named = new Set(all("[name]", round).map((it) => it.name));
    for (const field of named) {
      if (["token", "stop", "was", "go", "entries"].includes(field) || field in waiting) continue;
      put(field, known[field] || "");
    }
    all("input[name=was]", round).forEach((was) => {
      const fields = new Set(all("[name]:not(button)", was.form).map((it) => it.name));
      const shown = Object.entries(known).filter(([field]) => fields.has(field));
      was.value = new URLSearchParams(shown).toString();
    });
    otherFaults();
    showPictures();
    sayLines();
    count();
  };
  const over = () => {
    isOver = true;
    unsent.hidden = false;
    const number = outstanding();
    const lost = number === 0 ? "" : `${number === 1 ? "1 entry" : `${number} entries`} of this device came too late for it. `;
    unsent.textContent = `This check has been recorded or dropped. ${lost}`;
    const link = document.createElement("a");
    link.href = PATH;
    link.textContent = "See what became of it";
    unsent.append(link);
    unsent.scrollIntoView();
  };

  const later = () => {
    clearTimeout(timer);
    timer = setTimeout(send, GAPS_MS[Math.min(tries, GAPS_MS.length - 1)]);
    tries += 1;
  };
  const lose = () => {
    isLost = true;
    say("No answer from the station");
    sayUnsent();
    later();
  };
  const found = () => {
    if (isLost) say("The station answers again");
    isLost = false;
    tries = 0;
  };

  // A token ends when the station starts anew: the page itself has the new one.
  const renew = async () => {
    const reply = await fetch(PATH, { cache: "no-store", credentials: "same-origin", signal: AbortSignal.timeout(ANSWER_MS) });
    if (!reply.ok) return false;
    const page = new DOMParser().parseFromString(await reply.text(), "text/html");
    const fresh = one("#round input[name=token]", page);
    if (!fresh) return false;
    all("input[name=token]", round).forEach((it) => (it.value = fresh.value));
    return true;
  };
  const post = async (fields) => {
    const body = new URLSearchParams({ token: token() || "" });
    for (const [field, text] of fields) body.append(field, text);
    return fetch(`${PATH}/enter`, { method: "POST", body, credentials: "same-origin", signal: AbortSignal.timeout(ANSWER_MS), headers: { accept: "application/json" } });
  };

  const send = async () => {
    if (sending || isOver) return;
    const fields = Object.entries(waiting).filter(([, it]) => !it.draft && !it.refused).map(([field, it]) => [field, it.text]);
    if (!fields.length && !isLost) return;
    sending = true;
    let isSent = false;
    try {
      let reply = fields.length ? await post(fields) : await fetch(PATH, { cache: "no-store", credentials: "same-origin", signal: AbortSignal.timeout(ANSWER_MS), headers: { accept: "application/json" } });
      if (reply.status === 401 || reply.status === 403) {
        if (!(await renew())) {
          say("Say again who you are, then come back: nothing is lost.");
          sayUnsent();
          return;
        }
        reply = await post(fields);
      }
      if (reply.redirected) {
        say("Say again who you are, then come back: nothing is lost.");
        sayUnsent();
        return;
      }
      if (!reply.ok) throw new Error(String(reply.status));
      const state = await reply.json();
      found();
      settle(fields, state);
      take(state);
      isSent = true;
    } catch {
      lose();
    } finally {
      sending = false;
    }
    sayUnsent();
    if (isSent && outstanding()) send();
  };

  // What was kept waits no longer; what was refused stays in its field, with the why.
  const settle = (fields, state) => {
    const refused = new Map((state.refused || []).map((it) => [it.field, it]));
    const kept = new Set(state.kept || []);
    for (const [field, text] of fields) {
      const now = waiting[field];
      if (!now || now.text !== text) continue;
      if (refused.has(field)) {
        now.refused = true;
        refusals.set(field, refused.get(field));
        controls(field).forEach((it) => it.setAttribute("aria-invalid", "true"));
      } else if (kept.has(field)) {
        delete waiting[field];
      }
    }
    keep();
    const asked = fields.some(([field]) => Object.entries(state.lines || {}).some(([line, it]) => it.asked && (field === line || field.startsWith(`${line}.`))));
    if (refused.size) say("Not kept: see why at the line");
    else if (asked) say("Kept, and asked back");
    else if (fields.length) say(fields.length === 1 ? "Kept" : `${fields.length} kept`);
  };

  const enter = (field, text) => {
    refusals.delete(field);
    controls(field).forEach((it) => it.removeAttribute("aria-invalid"));
    waiting[field] = { text };
    keep();
    put(field, text);
    const at = controls(field)[0];
    const line = at && lineOf(at);
    if (line) sayLine(line);
    count();
    if (isLost) {
      sayUnsent();
      say("Stays on this device");
    }
    send();
  };

  // --- What a person does ---

  const isField = (it) => it.name && it.type !== "hidden" && it.matches("input, select, textarea") && it.form && it.form.matches(".enter");

  round.addEventListener("input", (event) => {
    const it = event.target;
    if (!isField(it) || it.type === "radio" || it.tagName === "SELECT") return;
    waiting[it.name] = { text: it.value.trim(), draft: true };
    keep();
    if (it.name.endsWith(".left")) lineOf(it).classList.toggle("left-entered", it.value !== "");
  });
  round.addEventListener("change", (event) => {
    const it = event.target;
    if (isField(it)) enter(it.name, it.type === "radio" ? it.value : it.value.trim());
  });
  round.addEventListener("focusout", (event) => {
    const draft = waiting[event.target.name];
    if (draft && draft.draft) enter(event.target.name, draft.text);
  });

  const step = (button) => {
    const field = button.dataset.of;
    const now = Number.parseInt(valueOf(field), 10);
    const by = Number(button.dataset.step);
    const then = Number.isNaN(now) ? Math.max(by, 0) : Math.max(now + by, 0);
    enter(field, String(then));
    say(`${then}`);
  };

  let cameFrom = null;
  const faultHere = (link) => {
    const form = document.getElementById("new-fault");
    if (!form) return;
    form.open = true;
    const line = lineOf(link);
    cameFrom = link.closest(".stop");
    const part = line && line.dataset.part;
    const field = one("[data-fault]", form).dataset.line;
    if (part && !valueOf(`${field}.part`)) enter(`${field}.part`, part);
  };

  round.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    const link = event.target.closest("a[data-fault-here]");
    if (link) faultHere(link);
    if (!button) return;
    if (button.dataset.step) step(button);
    else if (button.classList.contains("key") && button.name) {
      event.preventDefault();
      const beside = button.dataset.with;
      if (beside) {
        waiting[button.name] = { text: button.value };
        enter(beside, valueOf(beside));
      } else {
        enter(button.name, button.value);
      }
    }
  });

  const drafts = () => {
    for (const [field, it] of Object.entries(waiting)) if (it.draft) waiting[field] = { text: it.text };
    keep();
    send();
  };
  const onwards = (field) => {
    const inOrder = all("input:not([type=hidden]), select, textarea, .choice input", field.form).filter((it) => it.offsetParent !== null);
    const then = inOrder[inOrder.indexOf(field) + 1];
    if (then) then.focus();
    else field.blur();
  };
  round.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches(".enter")) return;
    event.preventDefault();
    const button = event.submitter;
    drafts();
    if (!button || button.classList.contains("default")) {
      if (document.activeElement && isField(document.activeElement)) onwards(document.activeElement);
      return;
    }
    const fault = button.closest("[data-fault]");
    if (fault) keptFault(fault);
    else go(button.value === "end" ? "end" : `stop-${button.value}`);
  });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") drafts();
    else send();
  });
  window.addEventListener("pagehide", drafts);

  // --- Faults ---

  const blank = document.getElementById("new-fault") && document.getElementById("new-fault").cloneNode(true);
  if (blank) {
    all("input:not([type=radio]), textarea", blank).forEach((it) => it.setAttribute("value", ""));
    all("[checked]", blank).forEach((it) => it.removeAttribute("checked"));
  }
  const keptFault = (form) => {
    const field = form.dataset.line;
    const words = (end) => {
      const it = controls(`${field}.${end}`)[0];
      if (!it || it.type === "radio") return valueOf(`${field}.${end}`);
      return it.selectedIndex > 0 ? it.options[it.selectedIndex].textContent : "";
    };
    if (!words("part") || !words("class") || !words("severity")) {
      say("A fault needs its part, what it is and how bad");
      const missing = ["part", "class", "severity"].find((end) => !words(end));
      controls(`${field}.${missing}`)[0].focus();
      return;
    }
    const details = form.closest("details");
    if (details.id === "new-fault" && blank) {
      const number = form.dataset.fault;
      const used = new Set(Object.keys({ ...known, ...waiting }).filter((it) => it.startsWith("fault.")).map((it) => it.split(".")[1]));
      let other = Number(number);
      do other = (other + 1) % FAULTS;
      while (used.has(String(other)) && used.size < FAULTS);
      const fresh = blank.cloneNode(true);
      fresh.innerHTML = fresh.innerHTML.replaceAll(`fault.${number}`, `fault.${other}`).replaceAll(`fault-${number}`, `fault-${other}`).replaceAll(`data-fault="${number}"`, `data-fault="${other}"`);
      fresh.open = false;
      details.removeAttribute("id");
      details.className = "fault-written";
      details.open = false;
      one("summary", details).textContent = `Fault: ${words("class")} at ${words("part")}`;
      document.getElementById("faults-found").append(details);
      one(".stop[data-stop=faults] #faults-found, #faults-found").after(fresh);
    } else {
      details.open = false;
    }
    pictureOf(form.dataset.fault, `${words("class")} at ${words("part")}`);
    say("Fault kept");
    if (cameFrom) go(cameFrom.id);
    cameFrom = null;
  };
  // Faults that another phone wrote down have no form on this page.
  const otherFaults = () => {
    const list = document.getElementById("faults-found");
    if (!list) return;
    const numbers = new Set(Object.keys(known).filter((it) => it.startsWith("fault.")).map((it) => it.split(".")[1]));
    all("[data-other-fault]", list).forEach((it) => it.remove());
    for (const number of numbers) {
      if (one(`[data-fault="${CSS.escape(number)}"]`, round)) continue;
      const it = paragraph("by", `Fault: ${known[`fault.${number}.class`] || "?"} at ${known[`fault.${number}.part`] || "?"}. ${((lines || {})[`fault.${number}`] || {}).by || ""}`);
      it.dataset.otherFault = number;
      list.append(it);
    }
  };

  // --- Pictures ---

  const showPictures = () => {
    for (const holder of all("[data-pictures]", round)) {
      const names = Object.keys(known).filter((it) => it.startsWith(holder.dataset.pictures)).sort().map((it) => known[it]);
      const shown = all("img", holder).map((it) => it.getAttribute("src"));
      if (names.join() === shown.map((it) => it.replace("/picture/", "")).join()) continue;
      holder.replaceChildren(...names.map((name, index) => {
        const it = document.createElement("img");
        it.src = `/picture/${encodeURIComponent(name)}`;
        it.alt = `Picture ${index + 1}`;
        it.width = 160;
        return it;
      }));
    }
  };
  const pictureOf = (number, text) => {
    const list = document.getElementById("p-fault");
    if (!list || [...list.options].some((it) => it.value === number)) return;
    list.add(new Option(text, number));
    list.value = number;
  };
  // A page that is left while the station is away is lost: the picture goes by itself.
  round.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!form.matches(".picture")) return;
    event.preventDefault();
    say("The picture is on its way");
    try {
      const reply = await fetch(form.action, { method: "POST", body: new FormData(form), credentials: "same-origin", signal: AbortSignal.timeout(6 * ANSWER_MS), headers: { accept: "application/json" } });
      const said = await reply.json();
      const refused = (said.refused || [])[0];
      if (refused) say(`Not kept. ${refused.why}`);
      else {
        say("Picture kept");
        form.reset();
        look();
      }
    } catch {
      say("The picture was not taken: no answer from the station. Press again later");
    }
  });

  // --- News ---

  let gathering = null;
  const look = () => {
    clearTimeout(gathering);
    gathering = setTimeout(async () => {
      try {
        const reply = await fetch(PATH, { cache: "no-store", credentials: "same-origin", signal: AbortSignal.timeout(ANSWER_MS), headers: { accept: "application/json" } });
        if (!reply.ok) return;
        take(await reply.json());
        found();
        sayUnsent();
        send();
      } catch {
        lose();
      }
    }, GATHER_MS);
  };
  let source = null;
  const listen = () => {
    if (!window.EventSource || isOver) return;
    source = new EventSource(`${PATH}/news`);
    source.addEventListener("change", look);
    source.addEventListener("open", () => {
      if (isLost) look();
    });
    source.addEventListener("error", () => {
      look();
      if (source.readyState === EventSource.CLOSED) setTimeout(listen, GAPS_MS[3]);
    });
  };
  listen();
  // A page that was left is kept by some browsers, and a browser has six connections for all of them.
  window.addEventListener("pagehide", () => source && source.close());
  window.addEventListener("pageshow", (event) => {
    if (!event.persisted) return;
    listen();
    look();
  });
  window.addEventListener("offline", lose);
  window.addEventListener("online", () => send());

  // --- Begin: what this device still has goes into its fields and to the station ---

  for (const [field, it] of Object.entries(waiting)) {
    waiting[field] = { text: it.text };
    put(field, it.text);
  }
  keep();
  all("input[name$='.left']", round).forEach((it) => lineOf(it).classList.toggle("left-entered", it.value !== ""));
  sayUnsent();
  count();
  place();
  window.addEventListener("scroll", place, { passive: true });
  window.addEventListener("resize", place);
  send();
})();
