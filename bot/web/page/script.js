// What a page does beside what it shows: it takes up what is new as it is
// said, keeps the focus where it is, and sends without leaving the page. Every
// form and link works without it.
(() => {
  const body = document.body, status = document.getElementById("status");
  if (!body.dataset.events) return;
  let last = body.dataset.last, source, again = "", hidden;

  const atEnd = () => innerHeight + scrollY >= document.documentElement.scrollHeight - 160;
  const toEnd = () => scrollTo({ top: document.documentElement.scrollHeight });
  // What is higher than the window is shown from its beginning.
  const show = (part) => part.offsetHeight > innerHeight / 2 ? part.scrollIntoView() : toEnd();
  const say = (text) => { if (status && status.textContent !== text) status.textContent = text; };
  const parse = (html) => { const t = document.createElement("template"); t.innerHTML = html; return [...t.content.children]; };

  // put puts a part in place of what it renews, or behind the others.
  function put(part) {
    const old = document.getElementById(part.id), list = document.getElementById(part.dataset.in || "");
    if (old) {
      if (old.querySelector("[aria-current]")) part.querySelector("a")?.setAttribute("aria-current", "page");
      if (old.outerHTML === part.outerHTML) return;
      const held = old.contains(document.activeElement) ? document.activeElement : null;
      old.replaceWith(part);
      if (held) ([...part.querySelectorAll("button, a, summary")].find((e) => e.textContent === held.textContent) || part.querySelector("button, a"))?.focus();
    } else if (list) {
      const follow = atEnd();
      list.append(part);
      if (follow && part.matches(".line")) show(part);
    }
    if (part.id === "clock") wall();
  }

  // reread takes the page itself anew, unless somebody is at work in it.
  async function reread() {
    const main = document.getElementById("main");
    const page = new DOMParser().parseFromString(await (await fetch(location.href)).text(), "text/html").getElementById("main");
    if (!page || main.querySelector("select, input, textarea")?.matches(":focus")) return;
    const held = main.contains(document.activeElement) ? document.activeElement.textContent : "";
    main.replaceChildren(...page.childNodes);
    if (held) [...main.querySelectorAll("a, button")].find((e) => e.textContent === held)?.focus();
  }

  function connect() {
    if (body.dataset.kind === "form") return;
    source?.close();
    source = new EventSource(`${body.dataset.events}&after=${last}${again}`);
    source.onopen = () => { again = "&again=1"; say(""); body.dataset.live = "yes"; };
    source.addEventListener("part", (e) => { if (e.lastEventId) last = e.lastEventId; parse(e.data).forEach(put); });
    source.addEventListener("again", reread);
    source.onerror = () => {
      body.dataset.live = "";
      say(body.dataset.lost);
      if (source.readyState === EventSource.CLOSED) setTimeout(connect, 2000);
    };
  }

  // A page that nobody has looked at for a minute lets go of its connection: a
  // browser has few of them for one address.
  document.addEventListener("visibilitychange", () => {
    clearTimeout(hidden);
    if (document.hidden) hidden = setTimeout(() => { source?.close(); source = null; }, 60000);
    else if (!source || source.readyState === EventSource.CLOSED) connect();
  });

  // The clock goes on from what it was told last.
  let told = 0, since = 0;
  function wall() {
    told = Number(document.getElementById("clock").dataset.wall);
    since = performance.now();
  }
  function tick() {
    const c = document.getElementById("clock"), d = new Date(told + performance.now() - since);
    const day = c.textContent.split(" ")[0], text = d.toISOString().slice(0, 16).replace("T", " ");
    if (d.getUTCDate() === new Date(told).getUTCDate() && !c.textContent.endsWith(text)) c.textContent = `${day} ${text}`;
  }

  const fresh = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, "0")).join("");

  document.addEventListener("submit", async (e) => {
    const form = e.target, by = e.submitter;
    if (form.method !== "post" || body.dataset.kind === "form" && form.id !== "press") return;
    e.preventDefault();
    if (form.dataset.busy) return;
    form.dataset.busy = "yes";
    if (form.matches(".write") || form.id === "press") toEnd(); // and what comes is followed
    const data = new URLSearchParams(new FormData(form, by?.name ? by : undefined));
    const send = () => fetch(form.action, { method: "POST", body: data, headers: { "X-Script": "1" } });
    try {
      // A connection that died with the process fails once; by its nonce what is sent twice is done once.
      const r = await send().catch(async () => { await new Promise((go) => setTimeout(go, 1000)); return send(); });
      const text = await r.text();
      if (!r.ok) throw new Error(text);
      say("");
      if (form.elements.nonce) form.elements.nonce.value = fresh();
      form.closest("details")?.removeAttribute("open");
      const field = form.elements.text;
      if (field) { field.value = ""; grow(field); field.focus(); }
      const to = new URL(text, location.href), here = new URL(location.href);
      if (to.pathname + to.search !== here.pathname + here.search && (form.matches(".write") || to.pathname.endsWith("/form"))) location.assign(to);
    } catch (why) {
      say(`${body.dataset.failed} ${why instanceof TypeError ? "" : why.message}`);
    } finally {
      delete form.dataset.busy;
    }
  });

  // Enter sends, with Shift it begins a line.
  const grow = (t) => { t.style.height = "auto"; t.style.height = `${t.scrollHeight + 2}px`; };
  document.addEventListener("input", (e) => { if (e.target.id === "text") grow(e.target); });
  document.addEventListener("keydown", (e) => {
    if (e.target.id === "text" && e.key === "Enter" && !e.shiftKey && !e.isComposing) {
      e.preventDefault();
      e.target.form.requestSubmit();
    } else if (e.key === "Escape") {
      const open = document.querySelector("details.menu[open]");
      if (open) { open.open = false; open.querySelector("summary").focus(); }
    }
  });

  const strip = document.getElementById("strip"), current = strip.querySelector("[aria-current]");
  if (current) strip.scrollLeft = current.offsetLeft - (strip.clientWidth - current.offsetWidth) / 2;
  wall();
  setInterval(tick, 5000);
  connect();
  // Who comes to a door wants its last word; who comes to the log on a small
  // screen sees first where they are.
  if (body.dataset.kind === "door" || body.dataset.kind === "log" && (location.hash || matchMedia("(min-width: 60rem)").matches)) toEnd();
})();
