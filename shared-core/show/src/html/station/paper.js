// Entering a filled sheet: Enter goes to the next field, and a field is kept as soon as one leaves it.
// Without this the page's form keeps all of it at once.
"use strict";
(() => {
  const form = document.querySelector("form[data-paper]");
  if (!form) return;
  const live = document.getElementById("live");
  const fields = () => [...form.querySelectorAll("input:not([type=hidden]), select, button")];
  const waiting = new Map();
  let sending = false;

  const say = (words) => { if (live) live.textContent = words; };

  const send = async () => {
    if (sending || waiting.size === 0) return;
    sending = true;
    const [name, value] = waiting.entries().next().value;
    const body = new URLSearchParams({ token: form.elements.token.value, do: "keep", [name]: value });
    try {
      const reply = await fetch(form.action, { method: "POST", body, headers: { accept: "application/json" } });
      if (!reply.ok) throw new Error(reply.statusText);
      const { refused } = await reply.json();
      if (waiting.get(name) === value) waiting.delete(name);
      if (refused.length > 0) say(`Not kept: ${refused.join(" ")}`);
      else if (waiting.size === 0) say("Kept.");
      sending = false;
      send();
    } catch {
      say("Not at the station yet: what you enter stays here, and is sent again.");
      sending = false;
      setTimeout(send, 5000);
    }
  };

  form.addEventListener("change", (event) => {
    const field = event.target;
    if (!field.name || field.type === "hidden") return;
    waiting.set(field.name, field.type === "checkbox" && !field.checked ? "" : field.value);
    send();
  });

  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.target.tagName === "BUTTON") return;
    event.preventDefault();
    const all = fields();
    const next = all[all.indexOf(event.target) + 1];
    if (next) next.focus();
  });

  window.addEventListener("beforeunload", (event) => { if (waiting.size > 0) event.preventDefault(); });
})();
