// The bench page without leaving the keyboard. Without this module every form and link still works.

import { goOnAlone } from "./alone.js";
import { askAboutComma } from "./comma.js";
import { dropDrafts, foldNeverConnect, foldSeenCautions, keepDraft, restoreDrafts } from "./drafts.js";
import { actionOf } from "./keys.js";
import { showWaiting } from "./notice.js";
import { showDelivered, showKept, showRefused } from "./results.js";
import { NotReached, get, post, problemsIn } from "./sending.js";
import { Waiting } from "./waiting.js";

const RETRY_MS = 15_000;
const LETTERS_OFF = "logbook.letters-off";
const bench = document.getElementById("bench");
const waiting = new Waiting(bench.dataset.person);
const inFlight = new Set();
let clockOffset = 0;
let why = "";

const field = (id) => document.getElementById(id);

function arrive() {
  clockOffset = Date.parse(field("bench-middle").dataset.serverTime) - Date.now();
  settle();
}

function settle() {
  const letters = field("letter-keys");
  letters.checked = !localStorage.getItem(LETTERS_OFF);
  foldSeenCautions();
  foldNeverConnect();
  restoreDrafts();
  const reads = field("reads");
  if (reads) reads.focus({ preventScroll: window.matchMedia("(min-width: 62rem)").matches });
}

function swap(answer, addHistory) {
  bench.innerHTML = answer.html;
  if (addHistory) history.pushState(null, "", answer.url);
  else history.replaceState(null, "", answer.url);
  arrive();
}

function tell() {
  showWaiting(waiting.all(), why, { retry: flush, insist, discard });
}

function tellProblem(text) {
  const place = field("reads-problem");
  if (!place) return;
  const line = document.createElement("p");
  line.className = "problems";
  line.textContent = text;
  place.replaceChildren(line);
}

// One reading: kept first, then sent, forgotten only when the site has answered for it.

async function record(form, submitter) {
  const data = new FormData(form, submitter);
  const repeats = (data.get("repeats") ?? "").trim();
  const value = data.get("word") || data.get("value").trim() || (repeats && "the mean of repeats");
  if (!value) {
    tellProblem("Type what the instrument reads, or a word such as inconclusive.");
    field("reads").focus();
    return;
  }
  if (!data.get("word") && askAboutComma(form.elements.value, field("reads-problem"))) {
    field("reads").focus();
    return;
  }
  data.set("taken_at", new Date(Date.now() + clockOffset).toISOString());
  const check = `${data.get("target")} ${data.get("point")}`.trim();
  const entry = {
    key: data.get("key"),
    url: form.action,
    body: new URLSearchParams(data).toString(),
    label: `${value} on ${check}`,
    refused: "",
  };
  if (inFlight.has(entry.key)) return;
  waiting.put(entry);
  // What is typed now would be typed into a field that is about to be replaced.
  form.elements.value.readOnly = true;
  await deliver(entry);
}

async function deliver(entry) {
  inFlight.add(entry.key);
  try {
    const answer = await post(entry.url, entry.body);
    waiting.remove(entry.key);
    dropDrafts();
    why = "";
    if (answer.ok) swap(answer, false);
    else showRefusal(answer);
    flush();
  } catch (failure) {
    if (!(failure instanceof NotReached)) throw failure;
    why = failure.message;
    dropDrafts();
    leadOn(entry);
  } finally {
    inFlight.delete(entry.key);
    tell();
  }
}

function leadOn(entry) {
  const form = field("entry");
  if (form.elements.key.value !== entry.key) return;
  showKept(entry);
  goOnAlone(form, tellProblem);
}

function showRefusal(answer) {
  bench.innerHTML = answer.html;
  arrive();
  field("reads")?.select();
}

async function flush() {
  for (const entry of waiting.all()) {
    if (entry.refused || inFlight.has(entry.key)) continue;
    inFlight.add(entry.key);
    try {
      const answer = await post(entry.url, entry.body);
      settleWaiting(entry, answer);
    } catch (failure) {
      if (!(failure instanceof NotReached)) throw failure;
      why = failure.message;
      break;
    } finally {
      inFlight.delete(entry.key);
    }
  }
  tell();
}

function settleWaiting(entry, answer) {
  const isThisBoard = new URL(entry.url).pathname.startsWith(location.pathname);
  if (answer.ok) {
    waiting.remove(entry.key);
    if (isThisBoard) showDelivered(entry, answer.html);
  } else {
    waiting.put({ ...entry, refused: problemsIn(answer.html) || "the site did not take it." });
    if (isThisBoard) showRefused(entry);
  }
}

async function insist(entry) {
  const body = new URLSearchParams(entry.body);
  body.set("despite_stop", "on");
  waiting.put({ ...entry, body: body.toString(), refused: "" });
  await flush();
}

function discard(entry) {
  waiting.remove(entry.key);
  tell();
}

async function visit(url, addHistory) {
  try {
    swap(await get(url), addHistory);
  } catch (failure) {
    if (!(failure instanceof NotReached)) throw failure;
    tellProblem(`${failure.message} The page stays with this check.`);
  }
}

async function withdraw(form) {
  try {
    swap(await post(form.action, new URLSearchParams(new FormData(form)).toString()), false);
  } catch (failure) {
    if (!(failure instanceof NotReached)) throw failure;
    tellProblem(`${failure.message} Nothing was withdrawn.`);
  }
}

function forgetUncertainty() {
  const { expanded_uncertainty: uncertainty, coverage_factor: factor } = field("entry").elements;
  uncertainty.value = "";
  factor.value = "";
  field("kept").remove();
  field("reads").focus();
}

const ACTS = {
  withdraw: () => field("because")?.select(),
  note: () => {
    field("more").open = true;
    field("note").focus();
  },
  on: () => field("move-on")?.click(),
  back: () => field("move-back")?.click(),
  entry: () => field("reads")?.focus(),
  leave: () => field("reads").blur(),
  help: () => {
    field("keys").open = !field("keys").open;
    field("keys").scrollIntoView({ block: "nearest" });
  },
};

document.addEventListener("keydown", (event) => {
  if (event.target.id === "note" && event.ctrlKey && event.key === "Enter") {
    event.preventDefault();
    field("entry").requestSubmit();
    return;
  }
  const action = actionOf(event, !localStorage.getItem(LETTERS_OFF));
  if (!action || !field("entry")) return;
  event.preventDefault();
  ACTS[action]();
});

bench.addEventListener("submit", (event) => {
  if (event.target.id === "entry") {
    event.preventDefault();
    record(event.target, event.submitter);
  } else if (event.target.id === "withdraw") {
    event.preventDefault();
    withdraw(event.target);
  }
});

bench.addEventListener("click", (event) => {
  const link = event.target.closest("a[href]");
  const isPlain = !event.ctrlKey && !event.metaKey && !event.shiftKey && event.button === 0;
  if (!link || !isPlain || link.pathname !== location.pathname || link.hash) return;
  event.preventDefault();
  if (link.id === "forget") forgetUncertainty();
  else visit(link.href, true);
});

bench.addEventListener("input", (event) => {
  keepDraft(event.target);
  if (event.target.id === "reads") askAboutComma(event.target, field("reads-problem"));
});
bench.addEventListener("change", (event) => {
  if (event.target.id !== "letter-keys") return;
  if (event.target.checked) localStorage.removeItem(LETTERS_OFF);
  else localStorage.setItem(LETTERS_OFF, "off");
});
window.addEventListener("popstate", () => visit(location.href, false));
window.addEventListener("online", flush);
setInterval(() => waiting.all().some((entry) => !entry.refused) && flush(), RETRY_MS);

arrive();
tell();
flush();
