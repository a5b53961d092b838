"use strict";
const at = (id) => document.getElementById(id);
const text = at("text"), marked = at("marked"), answer = at("answer"), state = at("state");
let kind = "findings", turn = 0, waiting = 0;

async function send(path, body) {
  const reply = await fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
  const said = await reply.json();
  if (said.error) throw new Error(said.error);
  return said;
}

function asked(what) {
  return { kind: what, text: text.value, name: at("name").value.trim(), weight: at("weight").value, life: at("life").value };
}

// The words stand once more behind the box, unseen but for the lines under them.
function underline(marks) {
  const words = text.value, pieces = [];
  let done = 0;
  for (const one of [...marks].sort((a, b) => a.start - b.start || b.end - a.end)) {
    if (one.start < done || one.end <= one.start) continue;
    pieces.push(words.slice(done, one.start));
    const mark = document.createElement("mark");
    mark.className = one.severity;
    mark.title = one.message;
    mark.textContent = words.slice(one.start, one.end);
    pieces.push(mark);
    done = one.end;
  }
  pieces.push(words.slice(done) + "\n");
  marked.replaceChildren(...pieces);
  marked.scrollTop = text.scrollTop;
}

async function look() {
  const mine = ++turn;
  answer.setAttribute("aria-busy", "true");
  try {
    const found = await send("/answer", asked("findings"));
    if (mine !== turn) return;
    underline(found.marks);
    const shown = kind === "findings" ? found : await send("/answer", asked(kind));
    if (mine !== turn) return;
    answer.innerHTML = shown.html; // made by the server's templates, which escape all of a label
  } catch (error) {
    if (mine === turn) answer.textContent = error.message;
  } finally {
    if (mine === turn) answer.removeAttribute("aria-busy");
  }
}

function soon() {
  marked.replaceChildren();
  turn++; // what is still under way is of an older text
  answer.setAttribute("aria-busy", "true");
  clearTimeout(waiting);
  waiting = setTimeout(look, 350);
}

text.addEventListener("input", () => { state.textContent = "Not saved."; soon(); });
window.addEventListener("beforeunload", (event) => { if (state.textContent === "Not saved.") event.preventDefault(); });
text.addEventListener("scroll", () => { marked.scrollTop = text.scrollTop; });
at("weight").addEventListener("input", soon);
at("life").addEventListener("change", soon);
at("print").addEventListener("click", () => window.print());
for (const button of document.querySelectorAll(".kind")) {
  button.addEventListener("click", () => {
    kind = button.dataset.kind;
    for (const other of document.querySelectorAll(".kind")) other.setAttribute("aria-pressed", String(other === button));
    look();
  });
}
at("open").addEventListener("change", async (event) => {
  const file = event.target.files[0];
  if (!file) return;
  text.value = await file.text();
  if (!at("name").value) at("name").value = file.name.replace(/\.[^.]*$/, "") + ".panel";
  state.textContent = "Not saved.";
  look();
});
at("keep").addEventListener("submit", async (event) => {
  event.preventDefault();
  const name = at("name").value.trim();
  const known = [at("original").value, at("original").value.replace(/\.panel$/, "")].includes(name);
  try {
    const kept = await send("/save", { name, text: text.value, mark: known ? at("mark").value : "" });
    at("name").value = at("original").value = kept.name;
    at("mark").value = kept.mark;
    state.textContent = "Saved as " + kept.name + ".";
    document.title = kept.name + ": panellint desk";
    document.querySelector("h1").textContent = kept.name;
    history.replaceState(null, "", "/?label=" + encodeURIComponent(kept.name));
    const links = kept.names.map((one) => {
      const item = document.createElement("li"), link = document.createElement("a");
      link.href = "/?label=" + encodeURIComponent(one);
      link.textContent = one;
      if (one === kept.name) link.setAttribute("aria-current", "page");
      item.append(link);
      return item;
    });
    at("labels").replaceChildren(at("labels").firstElementChild, ...links);
  } catch (error) {
    state.textContent = error.message;
  }
});
look();
