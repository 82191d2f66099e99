// Live updates of a page. Nothing that a page needs in order to work.
//
// The server says on /changes that something shown may have changed ("change"), and every few
// seconds that it is there ("still"). The same page is fetched then and its main part put in the
// place of the old one: focus, open parts, what stands in forms, and where one reads, stay. While a
// form is being filled in nothing moves: a button says that there is news.
"use strict";

(() => {
  const GATHER_MS = 800; // changes that come together are one
  const LOOK_AGAIN_MS = 60000; // ages go on when nothing changes
  const TRY_AGAIN_MS = 5000;
  const SILENT_MS = 45000; // three "still" that did not come

  const says = document.getElementById("live");
  // A check under way is kept up to date by its own script.
  if (!says || !window.EventSource || !window.fetch || document.getElementById("round")) return;

  let source = null;
  let heard = 0; // when "still" last came; 0 until one has
  let lostAt = null; // in the county's time
  let gathering = null;
  let fetching = false;
  let again = false;

  const main = () => document.getElementById("main");

  // The county's clock, as far as the last page tells it; this device's may be wrong.
  let ahead = 0;
  const keepClock = () => {
    const made = Date.parse(main().dataset.rendered);
    if (!Number.isNaN(made)) ahead = made - Date.now();
  };
  const clock = (ms) => {
    const minutes = Number(main().dataset.offset) || 0;
    return new Date(ms + minutes * 60000).toISOString().slice(11, 16);
  };
  const now = () => Date.now() + ahead;
  const shownAt = () => clock(Date.parse(main().dataset.rendered));

  const whose = () => main().dataset.whose || "the county";

  const say = (text, lost) => {
    if (says.textContent !== text) says.textContent = text;
    says.classList.toggle("lost", Boolean(lost));
  };

  const lose = () => {
    if (lostAt === null) lostAt = now();
    say(`No answer from ${whose()} since ${clock(lostAt)}. What stands here is as of ${shownAt()}.`, true);
  };

  // What a person has begun to fill in.
  const changed = (field) => {
    if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
    if (field.options) {
      const set = [...field.options].findIndex((option) => option.defaultSelected);
      return field.selectedIndex !== Math.max(set, 0);
    }
    return field.value !== field.defaultValue;
  };
  const fields = () => [...main().querySelectorAll("input, select, textarea")].filter((it) => it.type !== "hidden");
  const filling = () => {
    const at = document.activeElement;
    return fields().some((field) => field === at || changed(field));
  };

  // Where one reads: the first thing with an id that is in view, and how far down it stands.
  const place = () => {
    for (const one of main().querySelectorAll("[id]")) {
      const top = one.getBoundingClientRect().top;
      if (top >= 0 && top < window.innerHeight) return { id: one.id, top };
    }
    return null;
  };

  const focused = () => {
    const at = document.activeElement;
    if (!at || !main().contains(at)) return null;
    if (at.id) return (root) => root.querySelector(`#${CSS.escape(at.id)}`);
    const part = at.tagName === "SUMMARY" && at.parentElement.id;
    if (part) return (root) => root.querySelector(`#${CSS.escape(part)} > summary`);
    const href = at.getAttribute("href");
    if (href) return (root) => root.querySelector(`a[href="${CSS.escape(href)}"]`);
    return null;
  };

  const put = (fresh) => {
    const old = main();
    const find = focused();
    const reading = place();
    const open = new Map([...old.querySelectorAll("details[id]")].map((it) => [it.id, it.open]));
    const kept = fields().filter((it) => it.id && changed(it));
    const next = document.adoptNode(fresh);
    for (const part of next.querySelectorAll("details[id]")) {
      if (open.has(part.id)) part.open = open.get(part.id);
    }
    for (const field of kept) {
      const same = next.querySelector(`#${CSS.escape(field.id)}`);
      if (!same) continue;
      if (field.type === "checkbox" || field.type === "radio") same.checked = field.checked;
      else same.value = field.value;
    }
    old.replaceWith(next);
    const back = find && find(next);
    if (back) back.focus({ preventScroll: true });
    const mark = reading && document.getElementById(reading.id);
    if (mark) window.scrollBy(0, mark.getBoundingClientRect().top - reading.top);
    keepClock();
  };

  // A page of the same question, or none when the county does not answer.
  const page = async () => {
    const reply = await fetch(location.href, { cache: "no-store", credentials: "same-origin" });
    if (reply.status === 401 || reply.status === 403) {
      say(`You are signed in no longer. What stands here is as of ${shownAt()}.`, true);
      return null;
    }
    if (!reply.ok) throw new Error(String(reply.status));
    const text = await reply.text();
    const whole = new DOMParser().parseFromString(text, "text/html");
    const sync = document.getElementById("sync");
    const newer = whole.getElementById("sync");
    if (sync && newer) sync.replaceWith(document.adoptNode(newer));
    return whole.getElementById("main");
  };

  const offer = () => {
    if (says.querySelector("button")) return;
    say("There is news. ", false);
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = "Show it";
    button.addEventListener("click", () => {
      button.remove();
      look(true, true);
    });
    says.append(button);
  };

  // Looks at the county: with news, or only because time has passed.
  const look = async (news, asked) => {
    if (filling() && !asked) {
      if (news) offer();
      return;
    }
    if (fetching) {
      again = again || news;
      return;
    }
    fetching = true;
    try {
      const fresh = await page();
      if (fresh && filling() && !asked) {
        if (news) offer();
      } else if (fresh) {
        put(fresh);
        if (lostAt !== null) say(`${whose().replace("the", "The")} answers again. What stands here is as of ${shownAt()}.`, false);
        else if (news) say(`News of ${shownAt()} is shown.`, false);
        lostAt = null;
      }
    } catch {
      lose();
    } finally {
      fetching = false;
    }
    if (again) {
      again = false;
      look(true, false);
    }
  };

  const change = () => {
    heard = heard && Date.now();
    if (gathering === null) {
      gathering = setTimeout(() => {
        gathering = null;
        look(true, false);
      }, GATHER_MS);
    }
  };

  const listen = () => {
    source = new EventSource("/changes");
    source.addEventListener("open", () => {
      if (lostAt !== null) look(true, false);
    });
    source.addEventListener("message", change);
    source.addEventListener("change", change);
    source.addEventListener("still", () => {
      heard = Date.now();
    });
    source.addEventListener("error", () => {
      lose();
      if (source.readyState === EventSource.CLOSED) setTimeout(listen, TRY_AGAIN_MS);
    });
  };

  keepClock();
  say(`As of ${shownAt()}. News comes by itself.`, false);
  listen();
  setInterval(() => {
    const silent = heard !== 0 && Date.now() - heard > SILENT_MS;
    if (silent) {
      lose();
      heard = 0;
      source.close();
      listen();
    }
  }, TRY_AGAIN_MS);
  setInterval(() => look(false, false), LOOK_AGAIN_MS);
  window.addEventListener("offline", lose);
  window.addEventListener("online", () => look(true, false));
  // A page that was left is kept by some browsers, and a browser has six connections for all of them.
  window.addEventListener("pagehide", () => source.close());
  window.addEventListener("pageshow", (event) => {
    if (!event.persisted) return;
    listen();
    look(true, false);
  });
})();
