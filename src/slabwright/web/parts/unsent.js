// Edits that the workspace has not acknowledged: kept in this tab until they are saved, sent again or left out.
//
// An edit is written down when it is typed and struck out when the server says that it was taken. A tab that comes back to
// a server which knows it no more is loaded anew; what is still written down then is offered on the present state.
// It belongs to the person who typed it: it goes with their sign-out, and nobody else who signs in here is offered it.
(() => {
  const STORE = "slabwright-unsent";
  const HERE = location.pathname + location.search;
  const TAB = Math.random().toString(36).slice(2); // this showing of the page; the store outlives it
  let away = false;
  let timer = null;
  let guard = null;
  let told = "";
  let signedOut = false;
  let lines = [];

  const read = () => JSON.parse(sessionStorage.getItem(STORE) || "[]");
  const write = (kept) => {
    sessionStorage.setItem(STORE, JSON.stringify(kept));
    show();
  };
  const own = (edit) => (edit.by ?? "") === window.slabwrightPerson;
  if (!read().every(own)) sessionStorage.setItem(STORE, JSON.stringify(read().filter(own)));
  const leaves = (form) => form.getAttribute && form.getAttribute("action") === "/sign-out";
  document.addEventListener("submit", (event) => leaves(event.target) && write([]), true);
  const words = (node) => (node ? node.textContent.trim() : "");

  // What was typed, and where: a field by its label, a cell by its table and its label.
  function about(box) {
    if (box.matches(".field > [id^=field-]")) {
      const label = words(box.parentElement.querySelector("label"));
      return { kind: "field", table: "", label, element: box.parentElement.id, nth: alike(label).indexOf(box) };
    }
    if (box.matches("[data-column]")) {
      const table = words(box.closest("table").caption);
      return { kind: "cell", table, label: box.getAttribute("aria-label"), element: "", nth: 0 };
    }
    return null;
  }
  function alike(label) {
    return [...document.querySelectorAll(".field > [id^=field-]")].filter(
      (box) => words(box.parentElement.querySelector("label")) === label,
    );
  }
  function found(edit) {
    if (edit.kind === "field") return alike(edit.label)[edit.nth];
    return [...document.querySelectorAll("[data-column]")].find(
      (box) => box.getAttribute("aria-label") === edit.label && words(box.closest("table").caption) === edit.table,
    );
  }
  const same = (a, b) =>
    a.page === b.page && a.kind === b.kind && a.table === b.table && a.label === b.label && a.nth === b.nth;

  function keep(event) {
    const box = event.target;
    const place = box.matches ? about(box) : null;
    if (!place || (event.type === "input") !== (place.kind === "cell")) return;
    const edit = { ...place, page: HERE, tab: TAB, by: window.slabwrightPerson, text: box.value, number: Math.random(), taken: false };
    write([...read().filter((other) => !same(other, edit)), edit]);
  }
  document.addEventListener("change", keep, true);
  document.addEventListener("input", keep, true);

  // Each event carries a call that the server makes when it has been dealt with; a cell is then in the server's draft,
  // which is not saved yet and lives no longer than the server.
  function watch(socket) {
    const emit = socket.emit.bind(socket);
    socket.emit = (name, message, ...more) => {
      if (name !== "event" || more.length) return emit(name, message, ...more);
      const waiting = read().filter((edit) => edit.tab === TAB && !edit.taken);
      const field = waiting.filter((edit) => edit.kind === "field" && edit.element === `c${message.id}`);
      const meant = field.length ? field : waiting.filter((edit) => edit.kind === "cell");
      const numbers = meant.map((edit) => edit.number);
      if (!numbers.length) return emit(name, message);
      return emit(name, message, (done) => done === true && settle(numbers));
    };
    socket.on("disconnect", () => {
      guard = window.onbeforeunload;
      window.onbeforeunload = null; // nothing is lost by leaving: what was typed is kept here
      clearTimeout(timer);
      timer = setTimeout(() => {
        away = true;
        show();
      }, window.slabwrightPatience * 1000);
    });
    socket.io.on("reconnect_error", ask);
    socket.on("connect_error", ask);
    socket.on("connect", () => {
      signedOut = false;
      if (guard) window.onbeforeunload = guard;
      clearTimeout(timer);
      away = false;
      show();
    });
  }
  // A server that answers, but wants a sign-in first, has ended the session: waiting for it would be in vain.
  async function ask() {
    try {
      const reply = await fetch("/favicon.ico", { redirect: "manual", cache: "no-store", headers: { accept: "text/html" } });
      if (signedOut === (reply.type === "opaqueredirect")) return;
      signedOut = !signedOut;
      show();
    } catch {
      // it does not answer
    }
  }
  function settle(numbers) {
    const left = read().filter((edit) => edit.kind === "cell" || !numbers.includes(edit.number));
    write(left.map((edit) => (numbers.includes(edit.number) ? { ...edit, taken: true } : edit)));
  }
  let held;
  Object.defineProperty(window, "socket", {
    configurable: true,
    get: () => held,
    set: (socket) => {
      held = socket;
      watch(socket);
    },
  });

  // A table that was saved or dropped has nothing unsaved left.
  window.slabwrightSettled = (table) => write(read().filter((edit) => edit.page !== HERE || edit.table !== table));

  function again(edit) {
    const box = found(edit);
    if (!box) {
      told = `${edit.label} is not on the page as it stands. Open the part or add the row where it belongs, then send it again.`;
      show();
      return;
    }
    told = "";
    write(read().filter((other) => other.number !== edit.number));
    box.value = edit.text;
    for (const type of ["input", "change"]) box.dispatchEvent(new Event(type, { bubbles: true }));
    box.scrollIntoView({ block: "center" });
  }

  function put(parent, tag, text, act) {
    const made = document.createElement(tag);
    made.textContent = text;
    if (act) {
      made.type = "button";
      made.className = "act";
      made.addEventListener("click", act);
    }
    parent.append(made);
    return made;
  }
  function show() {
    document.getElementById("unsent")?.remove();
    lines = [];
    const mine = read().filter((edit) => edit.page === HERE);
    const edits = mine.filter((edit) => edit.tab !== TAB || away);
    const waiting = document.getElementById("popup"); // "Trying to reconnect", which it would do for ever
    if (waiting) waiting.style.visibility = signedOut ? "hidden" : "";
    if (!document.body || !(edits.length || signedOut)) return;
    const box = document.createElement("section");
    box.id = "unsent";
    box.setAttribute("role", "alert");
    if (signedOut) {
      const kept = mine.length ? " What was typed here and not saved is kept in this tab and offered to you again." : "";
      put(box, "p", `Your session has ended: nothing on this page is saved any more.${kept}`);
      const link = put(box, "a", "Sign in again");
      link.href = `/sign-in?next=${encodeURIComponent(HERE)}`;
      document.body.prepend(box);
      return;
    }
    put(box, "p", away
      ? `The workspace has not answered for ${window.slabwrightPatience} seconds. This was not saved; it is kept in this tab and offered again when the workspace answers.`
      : "This was not saved before the workspace went away. The page shows the present state.");
    const list = put(box, "ul", "");
    for (const edit of edits) {
      const line = put(list, "li", "");
      const said = put(line, "span", "");
      lines.push(() => (said.textContent = sentence(edit)));
      if (away) continue;
      put(line, "button", "Send again", () => again(edit)).setAttribute("aria-label", `Send again ${edit.label}`);
      put(line, "button", "Leave out", () => write(read().filter((other) => other.number !== edit.number)))
        .setAttribute("aria-label", `Leave out ${edit.label}`);
    }
    if (told) put(box, "p", told);
    document.body.prepend(box);
    lines.forEach((say) => say());
  }
  function sentence(edit) {
    const now = away ? null : found(edit);
    const present = now ? ` (now ${now.value || "empty"})` : "";
    return `${edit.table ? `${edit.table}, ` : ""}${edit.label}: ${edit.text || "(empty)"}${present} `;
  }
  document.addEventListener("DOMContentLoaded", show);
  setInterval(() => lines.forEach((say) => say()), 1000); // fields are drawn after the page, and follow what others do
})();
